"""Options once their boards are laid: the offer's own reckoning, from the real pieces, sheets and joints."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from snugbay.base import Run
from snugbay.pieces import EdgeKind, Piece, PieceKind, PieceSet
from snugbay.sheets import Sheet, SheetPlan
from snugbay.ways.boardset import Cutting, cuttings
from snugbay.ways.conditions import conditions_at
from snugbay.ways.found import Ground
from snugbay.ways.made import Made
from snugbay.ways.offer import option_of
from snugbay.ways.parts import Desk, Laid
from snugbay.ways.reading import all_ways
from snugbay.ways.resources import Shelf, shelf
from snugbay.ways.values import Need, Option

WHOLE = ("new", "on hand")
"""Where whole sheets come from; offcuts of the job's own cost nothing."""


@dataclass
class _Counts:
    sheets: float = 0.0
    plugs: float = 0.0
    cuts: float = 0.0
    length: float = 0.0
    minutes: float = 0.0


def _share(sheet: Sheet, areas: dict[str, float]) -> dict[str, float]:
    """Share of a sheet for each piece on it, by area."""
    whole = sum(areas[p.piece] for p in sheet.placements)
    return {p.piece: areas[p.piece] / whole for p in sheet.placements} if whole > 0 else {}


def _counted(pieces: Sequence[Piece], sheets: SheetPlan) -> dict[str, _Counts]:
    """Sheets, cuts and minutes of each face, a cut that makes two pieces' edges shared between them."""
    named = {p.id: p for p in pieces}
    areas = {p.id: p.area for p in pieces}
    out = {p.face: _Counts() for p in pieces}
    for sheet in sheets.sheets:
        parts = _share(sheet, areas)
        if sheet.source in WHOLE:
            for label, part in parts.items():
                own = out[named[label].face]
                own.sheets += part
                own.plugs += part if named[label].kind is PieceKind.PLUG else 0.0
        for cut in sheet.cuts:
            makers = [label for label in cut.pieces if label in named]
            weights = dict.fromkeys(makers, 1.0 / len(makers)) if makers else parts
            for label, weight in weights.items():
                own = out[named[label].face]
                own.cuts += weight
                own.length += weight * cut.length
                own.minutes += weight * cut.minutes
    return out


def _laid(base: Ground, pieces: PieceSet, sheets: SheetPlan) -> dict[str, Laid]:
    counts = _counted(pieces.pieces, sheets)
    out = {}
    for face, counted in counts.items():
        own = tuple(p for p in pieces.pieces if p.face == face)
        seams = tuple(s for s in pieces.seams if s.face == face and s.kind is not EdgeKind.PLUG)
        boards = tuple(p for p in own if p.kind is not PieceKind.PLUG)
        plain = cuttings({face: boards}, 1e3, 1e3, base.rates)[face]
        cut = Cutting(
            counted.sheets - counted.plugs,
            counted.cuts,
            counted.length,
            plain.notches,
            plain.bevels,
            len(boards),
            plain.area,
            plain.learned,
            plain.notch_length,
            counted.minutes,
        )
        out[face] = Laid(boards, seams, cut, counted.plugs)
    return out


def _without_offcuts(option: Option, sheets: SheetPlan) -> Option:
    """Take off the sheets of plugs that kept offcuts of the job's own sheets are large enough for."""
    kept: dict[str, float] = {}
    for s in sheets.sheets:
        area = sum(w * h for _, _, w, h in s.keep) / (s.width * s.length)
        kept[s.material] = kept.get(s.material, 0.0) + area

    def left(need: Need) -> bool:
        return need.item not in kept or kept[need.item] < need.typical

    return replace(option, needs=tuple(n for n in option.needs if left(n)))


def as_laid(
    base: Ground, chosen: Sequence[Option], pieces: PieceSet, sheets: SheetPlan, run: Run, things: Shelf | None = None
) -> tuple[Option, ...]:
    """Reckon the chosen ways again from the pieces, sheets and joints as they are.

    Parameters
    ----------
    base : Ground
        The job, measured.
    chosen : sequence of Option
        One for each face, as offered.
    pieces, sheets : PieceSet, SheetPlan
        Of all chosen boards.
    run : Run
        Seed and effort.
    things : Shelf, optional
        What can be bought.

    Returns
    -------
    tuple of Option
        In the order given. Faces with boards have the hours, amounts and counts of what was laid; the minutes at the
        cutting place are those of the sheets. All else is as offered.
    """
    ways = all_ways(base.job.own_ways, base.rates)
    stock = things or shelf(base.job, ways, base.rates)
    laid = _laid(base, pieces, sheets)
    desk = Desk(base, run, stock, Made({}, {}, {}), laid)
    out = []
    for option in chosen:
        if option.boards is None or option.face not in laid:
            out.append(_without_offcuts(option, sheets))
            continue
        face = base.by_id[option.face]
        here = conditions_at(base.clear.over(face.face), base.job.you, base.rates)
        out.append(option_of(desk, face, option, ways, here))
    return tuple(out)
