"""What one way on one face is put together from: layers, boards, hours, amounts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from snugbay.base import OutOfRange, Run, Said, Told
from snugbay.base.facts import FaceRef, Length
from snugbay.job import Job
from snugbay.materials import Board, Rates, material
from snugbay.pieces import BoardChoice, Fitting, Piece, Room, Seam
from snugbay.survey import Point
from snugbay.tape import format_length
from snugbay.ways.boardset import Cutting
from snugbay.ways.boardtime import BoardWork, board_work
from snugbay.ways.buildup import Added
from snugbay.ways.conditions import Conditions, conditions_at
from snugbay.ways.extras import Extra, extras
from snugbay.ways.fillwork import Amount, FillWork, fill_work
from snugbay.ways.foamed import foam_filling
from snugbay.ways.found import Ground
from snugbay.ways.limits import board_depth, occupied
from snugbay.ways.loose import loose_layer
from snugbay.ways.made import Made
from snugbay.ways.measure import Measured
from snugbay.ways.resources import Shelf
from snugbay.ways.table import Product, Way, figure
from snugbay.ways.triple import NOTHING, ONE, Triple, of
from snugbay.ways.values import HourElement

CUT_AND_FIT = frozenset({"measuring", "marking", "cutting", "fitting"})


@dataclass(frozen=True)
class Variant:
    """One way with its boards and thickness picked."""

    way: Way
    id: str
    title: str
    board: Board | None
    product: Product | None


@dataclass(frozen=True)
class Laid:
    """Boards of one face as they are laid.

    Attributes
    ----------
    pieces, seams : tuple
        Of all layers, plugs left out.
    cut : Cutting
        As the sheets have them.
    plugs : float
        Sheets that its plugs come out of.
    """

    pieces: tuple[Piece, ...]
    seams: tuple[Seam, ...]
    cut: Cutting
    plugs: float


@dataclass(frozen=True)
class Desk:
    """What the offers are reckoned with; faces with boards that are laid have them in ``laid``."""

    base: Ground
    run: Run
    shelf: Shelf
    made: Made
    laid: Mapping[str, Laid] = field(default_factory=dict)

    @property
    def job(self) -> Job:
        """The job."""
        return self.base.job

    @property
    def rates(self) -> Rates:
        """Rates with the job's own figures."""
        return self.base.rates


@dataclass(frozen=True)
class Parts:
    """What goes into one option; title and id where they are not the variant's own."""

    layers: tuple[Added, ...]
    hours: tuple[HourElement, ...]
    amounts: tuple[Amount, ...]
    charge: Triple
    choice: BoardChoice | None
    cut: Cutting | None
    board_work: BoardWork | None
    extra: Extra
    title: str = ""
    id: str = ""


def _stands_into(over: float, room: Room) -> Said:
    """Say into which face boards would stand, and how much has room there."""
    most = Said.of("ways.said.has-room", most=Length(room.most)) if room.most else None
    return Said.of("ways.said.stands-into", boards=Length(over), other=FaceRef(room.other), most=most)


def parts_of(desk: Desk, face: Measured, v: Variant, here: Conditions) -> Parts | tuple[Told, ...]:
    """Put an option together, or say why it does not fit."""
    way, rates = v.way, desk.rates
    factor = of(figure(way.labour_factor, rates))
    fills: list[FillWork] = []
    for rule, product in ((way.fill, v.product), (way.second, way.second.products[0] if way.second else None)):
        if rule is not None and product is not None:
            used = sum(k.thickness for f in fills for k in f.layers if k.between)
            fills.append(
                fill_work(
                    rule,
                    product,
                    face,
                    here,
                    rates,
                    desk.job.place.currency,
                    factor=factor,
                    title=v.title,
                    used_depth=used,
                )
            )
    layers = [k for f in fills for k in f.layers]
    hours = [h for f in fills for h in f.hours]
    amounts = [a for f in fills for a in f.amounts]
    charge = NOTHING
    for f in fills:
        charge = charge + f.charge
    choice = cut = work = None
    if v.board is not None and way.boards is not None:
        fittings = way.boards.layers
        over = sum(v.board.thickness for f in fittings if f is not Fitting.IN_BAYS)
        bays = sum(v.board.thickness for f in fittings if f is Fitting.IN_BAYS)
        bays += sum(k.thickness for k in layers if k.between)
        reasons = board_depth(face, bays, over, rates)
        room = desk.made.room.get(face.id)
        if room is not None and over > room.most + 1e-4:
            reasons.append(_stands_into(over, room))
        if reasons:
            return tuple(reasons)
        choice = BoardChoice(
            face.id, v.board.key, tuple((v.board.thickness, f) for f in fittings), v.board.width, v.board.length
        )
        cut, work = _boards(desk, face, v.board, fittings, here, way.boards.edges)
        if cut.pieces == 0 and (fills or bays or way.boards.edges != "gun foam"):
            return ("it is too narrow for boards",)
        if cut.pieces == 0:
            return _foamed(desk, face, way, here, over)
        hours += [_scaled(h, factor) for h in work.hours]
        amounts.append(Amount(v.board.key, _sheets(desk, face, cut, v.board, fittings), v.title))
        amounts += [Amount(n.item, Triple(n.low, n.typical, n.high), n.why) for n in work.needs]
        layers += [_laid(desk, face, v.board, f, way) for f in fittings]
    else:
        reasons = board_depth(face, 0.0, sum(k.thickness for k in layers), rates)
        if reasons:
            return tuple(reasons)
    extra = extras(
        desk.base,
        face,
        way,
        here,
        layers=tuple(layers),
        board=desk.shelf.boards[0],
        piece_hours=_piece_hours(work, len(way.boards.layers) if way.boards is not None else 1),
        plugs=desk.laid[face.id].plugs if face.id in desk.laid else None,
    )
    return Parts(
        tuple(layers),
        (*hours, *extra.hours),
        (*amounts, *extra.amounts),
        charge,
        choice,
        cut,
        work,
        extra,
    )


def _foamed(desk: Desk, face: Measured, way: Way, here: Conditions, depth: float) -> Parts:
    """Fill a strip that is too narrow for boards with gun foam, as deep as the boards of the way would be."""
    filled = foam_filling(face, depth, here, desk.rates, occupied=occupied(desk.job, face))
    extra = extras(
        desk.base,
        face,
        way,
        here,
        layers=filled.layers,
        board=desk.shelf.boards[0],
        piece_hours=NOTHING,
    )
    return Parts(
        filled.layers,
        (*filled.hours, *extra.hours),
        (*filled.amounts, *extra.amounts),
        NOTHING,
        None,
        None,
        None,
        extra,
        f"gun foam {format_length(depth, desk.job.units.value)} deep, too narrow for boards",
        f"{way.id}/foam-{round(depth * 1000)}mm",
    )


def _piece_hours(work: BoardWork | None, layers: int) -> Triple:
    """Hours to measure, mark, cut and fit one layer."""
    own = [h for h in work.hours if h.element in CUT_AND_FIT] if work is not None else []
    whole = Triple(sum(h.low for h in own), sum(h.typical for h in own), sum(h.high for h in own), True)
    return whole * (1.0 / layers)


def _scaled(h: HourElement, factor: Triple) -> HourElement:
    if factor == ONE:
        return h
    return replace(h, low=h.low * factor.low, typical=h.typical * factor.typical, high=h.high * factor.high)


def _boards(
    desk: Desk, face: Measured, board: Board, fittings: Sequence[Fitting], here: Conditions, edges: str
) -> tuple[Cutting, BoardWork]:
    """Pieces, cuts and work of a stack of boards; layers of one kind have the same pieces."""
    pieces, seams, cut = _as_made(desk, face, board, fittings)
    spots = [_middle(p) for p in pieces]
    there = conditions_at(desk.base.clear.heights(face.face, spots), desk.job.you, desk.rates) if spots else here
    return cut, board_work(
        desk.job, face, pieces, seams, cut, there, desk.rates, edges=edges, occupied=occupied(desk.job, face)
    )


def _as_made(
    desk: Desk, face: Measured, board: Board, fittings: Sequence[Fitting]
) -> tuple[Sequence[Piece], Sequence[Seam], Cutting]:
    """Pieces, joints and cuts of all layers: as laid, or each layer as if it were the only one."""
    laid = desk.laid.get(face.id)
    if laid is not None:
        return laid.pieces, laid.seams, laid.cut
    size = (board.length, board.width)
    cut: Cutting | None = None
    pieces: list[Piece] = []
    seams: list[Seam] = []
    at = 0.0
    for layer, fitting in enumerate(fittings, 1):
        made = desk.made.of(face.id, fitting, size)
        own = desk.made.cutting(face.id, fitting, size)
        cut = own if cut is None else cut + own
        pieces += [replace(p, layer=layer, thickness=board.thickness, depth=at) for p in made.pieces]
        seams += [replace(k, layer=layer, depth=board.thickness) for k in made.seams]
        at += board.thickness if fitting is not Fitting.IN_BAYS else 0.0
    assert cut is not None
    return pieces, seams, cut


def _middle(piece: Piece) -> Point:
    """Middle of a piece's corners, in the plane of its face. [m]"""
    n = len(piece.outline)
    return sum(p[0] for p in piece.outline) / n, sum(p[1] for p in piece.outline) / n


def _sheets(desk: Desk, face: Measured, cut: Cutting, board: Board, fittings: Sequence[Fitting]) -> Triple:
    """Sheets for one face, with the waste that laying all faces together may save or add; none once they are laid."""
    if face.id in desk.laid:
        return Triple(cut.sheets, cut.sheets, cut.sheets)
    rates = desk.rates
    bays = any(f is Fitting.IN_BAYS for f in fittings)
    waste = rates[
        "methods.rigid_board_cut_and_cobble.waste_pct" if bays else "methods.rigid_board_over_framing.waste_pct"
    ]
    plain = cut.area / (board.width * board.length)
    return Triple(
        min(plain / (1 - waste.low / 100), cut.sheets),
        cut.sheets,
        max(plain / (1 - waste.high / 100), cut.sheets),
        True,
    )


def _board_layer(board: Board, fitting: Fitting, way: Way, rates: Rates) -> Added:
    row = material(board.material)
    kept = of(figure(way.boards.kept, rates)) if way.boards is not None else ONE
    low, mid, high = (row.conductivity_high, row.conductivity, row.conductivity_low)
    if low is None or mid is None or high is None:
        raise OutOfRange(f"The board {board.key!r} has no conductivity.", where=("stock", board.key))
    r = Triple(board.thickness / low, board.thickness / mid, board.thickness / high) * kept
    return Added(r.low, r.typical, r.high, board.thickness, fitting is Fitting.IN_BAYS, board.material)


def _laid(desk: Desk, face: Measured, board: Board, fitting: Fitting, way: Way) -> Added:
    """Layer of board as it is laid: sealed, or with air moving behind it."""
    layer = _board_layer(board, fitting, way, desk.rates)
    if way.boards is not None and way.boards.edges == "none":
        return loose_layer(desk.base, face, layer)
    return layer
