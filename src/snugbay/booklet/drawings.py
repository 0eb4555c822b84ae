"""Every drawing of a plan, by name."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from snugbay.booklet.laying import GAP, Leaf, Spot, laid
from snugbay.booklet.runs import as_found_in_runs, one_of_each
from snugbay.booklet.words import words_of
from snugbay.draw import (
    Scene,
    SheetPage,
    exploded,
    face_sketch,
    frontier_chart,
    heat_bars,
    hours_bars,
    part_drawings,
    piece_drawing,
    sheet_drawing,
    spread_bars,
    step_drawing,
    tornado_bars,
)
from snugbay.draw.sheet_parts import scale_of
from snugbay.draw.solid import is_plain
from snugbay.flow import JobPlan
from snugbay.sheets import Sheet
from snugbay.weigh import AS_FOUND
from snugbay.weigh.points import as_shown

LETTER_SHEET = SheetPage(255.0, 176.0)
A4_SHEET = SheetPage(273.0, 170.0)
LETTER_HIGH, A4_HIGH = 193.0, 187.0
"""Height of a landscape page within its margins. [mm]"""
PARTS_HEAD, PARTS_FOOT = 28.0, 14.0
"""Height of the title over the parts, and of what stands under a sheet that lies on one page with them. [mm]"""
TABLE_HEAD, TABLE_ROW = 12.0, 9.0
"""Height that the table of the sheet's own cuts takes, and each of its rows. [mm]"""
LEAST_SHEET = 120.0
"""A sheet on a page of its own is drawn at least so high, whatever its table takes. [mm]"""
SHRUNK = 1.3
"""A sheet that would have to be so many times smaller for its table gets a page without it."""
MOST_SCALE = 32.0
"""A sheet that shares its page is not drawn smaller than one to this."""
FEW_PIECES = 4
"""Up to so many pieces a sheet may be drawn smaller to lie on one page with its parts."""


def charts(plan: JobPlan) -> dict[str, Scene]:
    """Return the charts of a plan that have something to show."""
    weighing, money = plan.weighing, words_of(plan.job).money
    found = {
        "heat": heat_bars(as_found_in_runs(plan.job, weighing.as_found), titled=False),
        "spread": spread_bars(weighing, money),
    }
    if weighing.hours:
        found["hours"] = hours_bars(as_shown(weighing))
    if len(weighing.frontier) + len(weighing.single_way) > 1:
        found["frontier"] = frontier_chart(as_shown(weighing), money)
    if weighing.spread.tornado:
        found["tornado"] = tornado_bars(weighing, money)
    return found


def sheet_page(plan: JobPlan) -> SheetPage:
    """Return the room on a landscape page of the plan's paper."""
    return LETTER_SHEET if words_of(plan.job).inch else A4_SHEET


def sheets(plan: JobPlan) -> Iterator[tuple[str, Scene]]:
    """Yield the drawing of each sheet under its number."""
    words = words_of(plan.job)
    page = sheet_page(plan)
    for sheet in plan.sheets.sheets:
        yield str(sheet.number), sheet_drawing(sheet, words.fmt, page, parts=False)


def parts(sheet: Sheet, plan: JobPlan, *, phone: bool = False) -> tuple[Scene, ...]:
    """Return the drawings of the parts of a sheet that are cut again, or for a phone.

    With one cut three stand in a row of the page, with a few cuts two, one with many fills a page.
    """
    words = words_of(plan.job)
    if phone:
        return part_drawings(sheet, words.fmt, (81.0, 80.0), (108.0, 120.0))
    high = LETTER_HIGH if words.inch else A4_HIGH
    whole, third, half = (_share(sheet_page(plan), columns) for columns in (1, 3, 2))
    return part_drawings(sheet, words.fmt, (third, 56.0), (whole, high - PARTS_HEAD), (half, 76.0))


@dataclass(frozen=True)
class SheetPages:
    """How a sheet and its parts are printed.

    Attributes
    ----------
    drawn : tuple of Scene
        The sheet, then its parts.
    leaves : tuple of Leaf
        Where they lie on pages: 0 is the sheet, 1 its first part.
    together : bool
        True where the sheet lies on one page with all its parts; it is then on the first leaf.
    apart : bool
        True where the sheet has a page of its own and the table of its cuts the next one.
    """

    drawn: tuple[Scene, ...]
    leaves: tuple[Leaf, ...]
    together: bool
    apart: bool = False


def sheet_pages(sheet: Sheet, plan: JobPlan) -> SheetPages:
    """Lay a sheet and its parts on pages: on one where they are few, else the sheet first and the parts behind it."""
    words, page = words_of(plan.job), sheet_page(plan)
    high = LETTER_HIGH if words.inch else A4_HIGH
    own = sum(c.blank == "sheet" and c.kind != "factory edge" for c in sheet.cuts)
    left = high - TABLE_HEAD - TABLE_ROW * own
    drawn = parts(sheet, plan)
    if drawn and len(sheet.placements) <= FEW_PIECES:
        for width in (2 * _share(page, 3) + GAP, _share(page, 2)):
            whole = sheet_drawing(sheet, words.fmt, SheetPage(width, left - PARTS_FOOT), parts=False)
            leaves = laid(_sizes((whole, *drawn)), page.width, left - PARTS_FOOT, high)
            if len(leaves) == 1 and scale_of(whole) <= MOST_SCALE:
                return SheetPages((whole, *drawn), leaves, True)
    whole = sheet_drawing(sheet, words.fmt, replace(page, height=min(page.height, max(left, LEAST_SHEET))), parts=False)
    full = sheet_drawing(sheet, words.fmt, page, parts=False)
    apart = SHRUNK * scale_of(full) <= scale_of(whole)
    whole, below = (full, left) if apart else (whole, left - whole.height)
    under = laid(_sizes(drawn), page.width, below - PARTS_HEAD, high)
    leaves = under if under and under[0].spots else laid(_sizes(drawn), page.width, high - PARTS_HEAD, high)
    behind = (replace(leaf, spots=tuple(replace(s, number=s.number + 1) for s in leaf.spots)) for leaf in leaves)
    return SheetPages((whole, *drawn), (Leaf((Spot(0, 0.0, 0.0),), whole.height), *behind), False, apart)


def _sizes(scenes: Sequence[Scene]) -> list[tuple[float, float]]:
    return [(s.width, s.height) for s in scenes]


def _share(page: SheetPage, columns: int) -> float:
    """Width of one of several columns of a page. [mm]"""
    return (page.width - (columns - 1) * GAP) / columns


def cards(plan: JobPlan) -> Iterator[tuple[str, Scene]]:
    """Yield a card for each piece that is more than a plain rectangle."""
    fmt = words_of(plan.job).fmt
    for piece in plan.pieces.pieces:
        if not is_plain(piece):
            yield piece.id, piece_drawing(piece, fmt)


def faces(plan: JobPlan) -> Iterator[tuple[str, Scene]]:
    """Yield the sketch of each face that gets work or has a tape to pull again; of like faces only the first."""
    fmt = words_of(plan.job).fmt
    wanted = {face for face, way in plan.weighing.plan.ways if way != AS_FOUND}
    wanted |= {s.face for s in plan.survey.suspects} | {u.face for u in plan.survey.unchecked}
    wanted = wanted or {f.id for f in plan.job.faces}
    shown = set(one_of_each([f for f in plan.job.faces if f.id in wanted])) | {s.face for s in plan.survey.suspects}
    for face in plan.survey.faces:
        if face.id not in shown:
            continue
        yield face.id, face_sketch(plan.job, plan.survey, face.id, fmt)


def steps(plan: JobPlan) -> Iterator[tuple[str, Scene]]:
    """Yield, under its number, the drawing of each step that puts pieces in: these apart, earlier ones in place."""
    before: set[str] = set()
    for step in plan.fitting.steps:
        scene = step_drawing(plan.survey, plan.pieces, set(step.pieces), before)
        if scene is not None:
            yield str(step.number), scene
        before |= set(step.pieces)


def apart(plan: JobPlan, most_height: float = 200.0) -> Scene | None:
    """Return the exploded view, nothing where no piece is cut."""
    if not plan.pieces.pieces:
        return None
    return exploded(plan.job, plan.survey, plan.pieces, most_height=most_height)
