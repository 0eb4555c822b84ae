"""Pieces and sheets, as the booklet lists them."""

from __future__ import annotations

from snugbay.booklet.texts import say
from snugbay.booklet.words import Words, listed, number_text
from snugbay.draw.piece import size_words
from snugbay.draw.rounds import centre_words
from snugbay.draw.sheet_body import bevel_words, tool_words
from snugbay.draw.sheet_marks import distance_words
from snugbay.draw.sheet_parts import parts_of
from snugbay.draw.solid import is_plain
from snugbay.draw.symbols import board_name, degrees_text
from snugbay.draw.texts import kind_words
from snugbay.flow import JobPlan
from snugbay.pieces import Piece
from snugbay.sheets import Cut, Mark, Sheet
from snugbay.sheets.cutting.rounds import without_bites

Section = dict[str, object]


def piece_section(plan: JobPlan, words: Words) -> Section:
    """Return the piece list and which pieces get a drawing of their own."""
    titles = {f.id: f.title for f in plan.job.faces}
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
                "edges": edges_words(piece),
                "fits": f"{100 * piece.fits:.0f} %",
                "front": piece.front,
                "note": piece.note,
            }
        )
    refused = [say("pieces.way-in", piece=w.piece, how=w.how) for w in plan.pieces.way_in if not w.passes]
    proof = plan.pieces.proof
    return {
        "rows": rows,
        "cards": [p.id for p in plan.pieces.pieces if not is_plain(p)],
        "refused": refused,
        "proof": say("pieces.proof", text=proof.text) if proof else "",
    }


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
                "marks": listed(dict.fromkeys(_mark(m, cut, words) for m in sheet.marks if m.cut == cut.number)),
                "bevel": bevel_words(cut, sheet.thickness, words.fmt),
                "tool": tool_words(cut),
                "pieces": listed(cut.pieces),
            }
        )
    return rows


def _mark(mark: Mark, cut: Cut, words: Words) -> str:
    if cut.radius:
        along, across = centre_words(mark, words.fmt)
        return say("sheets.mark-round", distance=along, across=across, radius=words.fmt(cut.radius))
    if mark.edge == "inside":
        along, across = (distance_words(v, words.fmt) for v in (mark.distance, mark.across))
        return say("sheets.mark-inside", distance=along, across=across)
    return say("sheets.mark", edge=say(f"sheets.edge-{mark.edge}"), distance=distance_words(mark.distance, words.fmt))
