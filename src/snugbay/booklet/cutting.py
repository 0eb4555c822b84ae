"""Pieces and sheets, as the booklet lists them."""

from __future__ import annotations

from collections.abc import Iterator

from snugbay.booklet.onward import mark_of
from snugbay.booklet.texts import say
from snugbay.booklet.words import Words, listed, number_text
from snugbay.draw.piece import size_words
from snugbay.draw.rounds import centre_words
from snugbay.draw.sheet_body import bevel_words, tool_words
from snugbay.draw.sheet_marks import distance_words
from snugbay.draw.sheet_parts import parts_of
from snugbay.draw.solid import is_plain
from snugbay.draw.symbols import board_name, degrees_text
from snugbay.draw.texts import end_words, kind_words
from snugbay.flow import JobPlan
from snugbay.pieces import Piece
from snugbay.sheets import Cut, End, Mark, Placement, Sheet
from snugbay.sheets.cutting.rounds import without_bites
from snugbay.ways import rates_of
from snugbay.ways.boardset import cuttings

Section = dict[str, object]


def piece_section(plan: JobPlan, words: Words) -> Section:
    """Return the piece list and which pieces get a drawing of their own."""
    titles = {f.id: f.title for f in plan.job.faces}
    placed = {p.piece: p for s in plan.sheets.sheets for p in s.placements}
    rows = []
    for piece in plan.pieces.pieces:
        width, height = size_words(piece, words.fmt)
        place = f"{piece.face} {titles.get(piece.face, '')}".strip()
        if piece.layer > 1:
            place += ", " + say("pieces.layer", layer=piece.layer)
        rows.append(
            {
                "label": piece.id,
                "place": place,
                "size": f"{width} x {height}",
                "board": board_name(piece.material),
                "edges": listed(
                    filter(None, (mark_of(plan, piece.id), edges_words(piece), _tip(placed.get(piece.id), words)))
                ),
                "fits": f"{100 * piece.fits:.0f} %",
                "front": piece.front,
                "note": piece.note,
            }
        )
    refused = [say("pieces.way-in", piece=w.piece, how=words.told(w.how)) for w in plan.pieces.way_in if not w.passes]
    proof = plan.pieces.proof
    return {
        "rows": rows,
        "cards": [p.id for p in plan.pieces.pieces if not is_plain(p)],
        "refused": refused,
        "proof": say("pieces.proof", text=words.said(proof.said)) if proof else "",
    }


TIP = 0.006
"""A tip that comes out so much shorter than the sides lose is named. [m]"""


def _tip(placed: Placement | None, words: Words) -> str:
    """Say of a piece with a thin tip how much of it rounding takes; empty for any other."""
    if placed is None or placed.tip - placed.body < TIP:
        return ""
    return say("pieces.tip", tip=words.length_up(placed.tip), body=words.length_up(placed.body))


def edges_words(piece: Piece) -> str:
    """Say what is special about a piece's outline in a few words."""
    found = []
    bevels = {degrees_text(abs(e.bevel)) for e in piece.edges if abs(e.bevel) > 1e-6}
    found += [say("pieces.bevel", angle=angle) for angle in sorted(bevels, key=float)]
    corners, bites = without_bites(piece.outline, 1e-3)
    if len(corners) != 4:
        found.append(say("pieces.notched", count=len(corners)))
    if bites:
        found.append(say("pieces.bite"))
    if piece.holes:
        found.append(say("pieces.hole") if len(piece.holes) == 1 else say("pieces.holes", count=len(piece.holes)))
    if piece.slits:
        found.append(say("pieces.slit"))
    if not found and not is_plain(piece):
        found.append(say("pieces.skew"))
    return listed(found) or say("pieces.plain")


def sheet_section(plan: JobPlan, words: Words) -> Section:
    """Return the sheets with their cuts in order."""
    sheets = plan.sheets
    worst = sheets.worst_rounding
    return {
        "about": say(
            "sheets.about",
            sheets=len(sheets.sheets),
            length=words.run(sheets.cut_length),
            setups=sheets.set_ups,
            minutes=number_text(sheets.minutes / 60),
        ),
        "compared": compared(plan),
        "rounding": say("sheets.rounding", worst=words.length_up(worst)) if worst > 0 else "",
        "sheets": [
            {
                "number": s.number,
                "board": board_name(s.material),
                "minutes": say("sheets.minutes", minutes=number_text(s.minutes, 0)),
                "groups": cut_groups(s, words),
            }
            for s in sheets.sheets
        ],
    }


AGREE = 0.1
"""Part by which two reckonings of the same hours may differ and still be called the same."""


def compared(plan: JobPlan) -> str:
    """Hold the sheets' minutes against the hours that the decision counted for marking and cutting, and say why they
    differ; empty where the decision counted none.

    Both come from the same rates. The decision's were reckoned for every way and face before any board was laid: from
    boxes in rows, times the worker's skill and what is learned on like pieces. The sheets' are typical minutes, cut by
    cut, with no such factors.
    """
    counted = [h for h in plan.weighing.hours if h.element in CUT_ELEMENTS]
    decided = sum(h.typical for h in counted)
    cut = sum(c.minutes for s in plan.sheets.sheets for c in s.cuts) / 60
    if decided <= 0 or cut <= 0:
        return ""
    figures = {
        "decided": number_text(decided),
        "low": number_text(sum(h.low for h in counted)),
        "high": number_text(sum(h.high for h in counted)),
        "cut": number_text(cut),
    }
    if abs(cut - decided) <= AGREE * max(cut, decided):
        return say("sheets.compared-same", **figures)
    lines, notches = _boxes(plan)
    rounds = sum(bool(c.radius) for s in plan.sheets.sheets for c in s.cuts)
    why = [say("sheets.why", cuts=round(lines), notches=notches, setups=plan.sheets.set_ups, rounds=rounds)]
    if plan.job.you.skill != "usual" or plan.job.access.cut_inside:
        why.append(say("sheets.why-person"))
    return say("sheets.compared", **figures, why=" ".join(why))


def _boxes(plan: JobPlan) -> tuple[float, int]:
    """Return the cuts and notches that the boxes of the pieces, in rows, ask for: what the decision counts."""
    lines, notches = 0.0, 0
    for material in dict.fromkeys(p.material for p in plan.pieces.pieces):
        pieces = [p for p in plan.pieces.pieces if p.material == material]
        sheets = [s for s in plan.sheets.sheets if s.material == material]
        size = max(s.length for s in sheets), max(s.width for s in sheets)
        counted = cuttings({material: pieces}, *size, rates_of(plan.job))[material]
        lines, notches = lines + counted.cuts, notches + counted.notches
    return lines, notches


CUT_ELEMENTS = ("marking", "cutting")
"""Elements of the decision's hours that the sheets count too."""


def cut_groups(sheet: Sheet, words: Words) -> list[Section]:
    """Return the cuts of a sheet by what is cut: the whole sheet first, then its parts as they are drawn."""
    names = ["sheet", *(part.name for part in parts_of(sheet))]
    return [{"part": name, "cuts": cut_rows(sheet, name, words)} for name in names]


def cut_rows(sheet: Sheet, part: str, words: Words) -> list[dict[str, str]]:
    """Return the cuts of one part of a sheet in order, each with its own marks."""
    rows = []
    for cut in sheet.cuts:
        if cut.kind == "factory edge" or cut.blank != part:
            continue
        rows.append(
            {
                "number": str(cut.number),
                "blank": say("sheets.whole-sheet")
                if cut.blank == "sheet"
                else say("sheets.blank-name", name=cut.blank),
                "kind": kind_words(cut.kind),
                "marks": listed(dict.fromkeys(_marks(sheet, cut, words))),
                "bevel": bevel_words(cut, sheet.thickness, words.fmt),
                "tool": tool_words(cut),
                "pieces": listed(cut.pieces),
            }
        )
    return rows


def _marks(sheet: Sheet, cut: Cut, words: Words) -> Iterator[str]:
    """Yield the marks of a cut from start to end, each with what the tool does there if it does not lie on an edge."""
    own = (m for m in sheet.marks if m.cut == cut.number)
    for mark, end in zip(own, cut.ends, strict=False):
        said = _mark(mark, cut, words)
        if not cut.radius and (mark.edge == "inside" or end is not End.RUN):
            said += f" ({end_words(end)})"
        yield said


def _mark(mark: Mark, cut: Cut, words: Words) -> str:
    if cut.radius:
        along, across = centre_words(mark, words.fmt)
        return say("sheets.mark-round", distance=along, across=across, radius=words.fmt(cut.radius))
    if mark.edge == "inside":
        along, across = (distance_words(v, words.fmt) for v in (mark.distance, mark.across))
        return say("sheets.mark-inside", distance=along, across=across)
    return say("sheets.mark", edge=say(f"sheets.edge-{mark.edge}"), distance=distance_words(mark.distance, words.fmt))
