"""A sheet as it is marked out and cut."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, pi, sin

from snugbay.draw.geometry import Point, View, scale_for
from snugbay.draw.lettering import shortened, text_width
from snugbay.draw.placing import Room
from snugbay.draw.scene import Anchor, Area, Group, Item, Scene, Stroke, Text, moved
from snugbay.draw.sheet_body import (
    BAR,
    LEAD,
    bands_of,
    bevel_notes,
    crossed,
    cut_ends,
    cut_numbers,
    dislike_cut,
    draw_cuts,
    draw_damaged,
    draw_keep,
    draw_piece,
    draw_waste,
    kerf_cross,
    piece_label,
    real_cuts,
    rect_on_page,
    sawn,
    tape_bands,
)
from snugbay.draw.sheet_marks import EDGE, draw_lanes, edge_lanes, flat_edges, inside_marks, lane_depths
from snugbay.draw.sheet_parts import LEAST_BODY, MARGINS, blank_outlines, given_by, name_of_part, part_drawing, parts_of
from snugbay.draw.symbols import Format, arrow, board_name, check_square, is_inch, legend_lines, legend_rows, scale_bar
from snugbay.draw.texts import say
from snugbay.sheets import End, Sheet

HEAD = 13.0
"""Height of the title lines. [mm]"""
FOOT = 15.0
"""Height of the legend with two rows. [mm]"""
LEGEND_PITCH = 6.0
"""From one row of the legend to the next. [mm]"""
BESIDE = 170.0
"""Width from which the legend has room beside the scale; on a narrower drawing it stands over it. [mm]"""

FEW_CUTS, FEW_INSIDE = 4, 2
"""Up to so many cuts, and marks inside, a part needs no large drawing."""


@dataclass(frozen=True)
class SheetPage:
    """The room that a sheet drawing has.

    Attributes
    ----------
    width, height : float
        Of the drawing, its parts not counted. [mm]
    part_width : float
        Least width of the drawing of one part. [mm]
    """

    width: float = 255.0
    height: float = 180.0
    part_width: float = 80.0


PAGE = SheetPage()


def sheet_drawing(
    sheet: Sheet, fmt: Format, page: SheetPage = PAGE, material: str = "", *, parts: bool = True
) -> Scene:
    """Draw a sheet with its pieces, waste, cuts in order, and marks along the edges; then every part that is cut again.

    The sheet itself carries only the marks that are measured from its own hook corner. A part that a cut gives and that
    is cut again is drawn below with its own hook corner and its own marks, so that no mark can be taken from the wrong
    corner.

    Works without colour: pieces are toned and labelled with place and up arrow, waste is crossed, cuts are numbered and
    their kind is told by dashes.

    Parameters
    ----------
    sheet : Sheet
        As laid out.
    fmt : Format
        Writes lengths.
    page : SheetPage
        Room for the drawing.
    material : str
        Name of the board for people; empty takes the catalogue's.
    parts : bool
        False leaves out the parts, for a page that shows them in its own way (`part_drawings`).

    Returns
    -------
    Scene
        Drawn to a usual scale, stated in its note ``scale``; no higher than it needs.
    """
    tries = []
    for margin in MARGINS:
        items, height, scale, space = _whole(sheet, fmt, page, material, margin)
        tries.append(((space.missed, space.crossed), items, height, scale))
        if tries[-1][0] == (0, 0):
            break
    _, items, height, scale = min(tries, key=lambda t: t[0])
    if parts:
        below, height = _parts_below(sheet, fmt, page, height)
        items += below
    about = about_sheet(sheet)
    title = say("sheet.title", number=sheet.number)
    return Scene(page.width, height, tuple(items), title, about, (("scale", f"1:{scale:g}"),))


def _whole(
    sheet: Sheet, fmt: Format, page: SheetPage, material: str, margin: float
) -> tuple[list[Item], float, float, Room]:
    """Draw a sheet with a margin above and below for labels; also its height, its scale and how its page filled up."""
    own = {c.number for c in sheet.cuts if c.blank == "sheet"}
    marked = replace(sheet, marks=tuple(m for m in sheet.marks if m.cut in own))
    lanes = edge_lanes(marked, fmt)
    across = (1.0, page.width - 1.0)

    def seen(depth: dict[str, float]) -> View:
        taken = HEAD + FOOT + depth["bottom"] + depth["top"] + 2 * margin
        room = (page.width - depth["left"] - depth["right"], max(page.height - taken, LEAST_BODY))
        mm = 1000 / scale_for((sheet.length, sheet.width), room)
        left = depth["left"] + max(0.0, (room[0] - sheet.length * mm) / 2)
        return View(mm, left, HEAD + margin + depth["top"] + sheet.width * mm)

    flat = flat_edges(lanes, marked, seen, across, EDGE)
    depth = lane_depths(lanes, EDGE, flat)
    view = seen(depth)
    scale = 1000 / view.scale
    rows = legend_lines(_samples(sheet), _legend_right(fmt, scale, page))
    foot = FOOT + (rows + int(page.width < BESIDE) - 1) * LEGEND_PITCH
    height = view.foot + depth["bottom"] + margin + foot
    space = Room((0.0, HEAD, page.width, height - foot))
    edges = draw_lanes(lanes, marked, view, space, across, EDGE, flat)
    for cut in sheet.cuts:
        dislike_cut(cut, sheet, view, space)
    for band in (*bands_of(sheet, view), *(rect_on_page(view, rect) for rect in sheet.damaged)):
        space.dislike(band)
    labels = tuple(piece_label(p, view, space) for p in sheet.placements)
    insides = inside_marks(marked, fmt, view, space)
    items: list[Item] = [
        _heading(sheet, fmt, page, material),
        Group((Area((rect_on_page(view, (0, 0, sheet.length, sheet.width)),), "sheet"),), "sheet"),
        *draw_waste(sheet, view),
        *draw_damaged(sheet, view),
        *(draw_piece(p, view) for p in sheet.placements),
        *draw_keep(sheet, view, fmt, space),
        *draw_cuts(sheet, view),
        *tape_bands(sheet, view, is_inch(fmt)),
        *edges,
        *labels,
        *cut_numbers(sheet, view, space),
        *insides,
        *(name_of_part(name, view.all(ring), space) for name, ring in given_by(own, blank_outlines(sheet))),
        *_legend(sheet, fmt, scale, page, height, foot),
    ]
    return items, height, scale, space


def part_drawings(
    sheet: Sheet,
    fmt: Format,
    one: Point = (82.0, 76.0),
    several: Point = (170.0, 120.0),
    few: Point | None = None,
) -> tuple[Scene, ...]:
    """Draw each part that is cut again, in the order of cutting, each with its own hook corner and marks.

    Notches whose cuts would crowd are drawn again, larger, beside or below their part.

    Parameters
    ----------
    sheet : Sheet
        As laid out.
    fmt : Format
        Writes lengths.
    one : (float, float)
        Room for a part with one cut. [mm]
    several : (float, float)
        Room for a part with several cuts, whose marks crowd on all four sides. [mm]
    few : (float, float) or None
        Room for a part with a few cuts and hardly a mark inside; ``several`` if not given. [mm]
    """
    found = []
    for part in parts_of(sheet):
        cuts, inside = len(real_cuts(part.sheet.cuts)), len({m.at for m in part.sheet.marks if m.edge == "inside"})
        alone = cuts == 1 and not inside
        width, height = one if alone else several
        if few is not None and not alone and cuts <= FEW_CUTS and inside <= FEW_INSIDE:
            width, height = few
        found.append(part_drawing(part, fmt, width, height))
    return tuple(found)


def _parts_below(sheet: Sheet, fmt: Format, page: SheetPage, top: float) -> tuple[list[Item], float]:
    columns = max(1, int((page.width + 6) // (page.part_width + 6)))
    width = (page.width - 6 * (columns - 1)) / columns
    wide = width if columns == 1 else 2 * width + 6
    drawn = part_drawings(sheet, fmt, (width, 0.95 * width), (wide, 0.7 * wide))
    if not drawn:
        return [], top
    items: list[Item] = [
        Stroke(((0, top + 3), (page.width, top + 3)), "faint"),
        Text((0, top + 9), say("sheet.parts"), 5.0, anchor=Anchor.START, bold=True),
        Text((0, top + 15), shortened(say("sheet.parts-about"), page.width, 3.6), 3.6, "soft-text", Anchor.START),
    ]
    x, y, row = 0.0, top + 21, 0.0
    for scene in drawn:
        if x > 0 and x + scene.width > page.width + 0.1:
            x, y, row = 0.0, y + row + 6, 0.0
        placed = tuple(moved(item, x, y) for item in scene.items)
        items.append(Group(placed, "part", scene.note("part"), scene.title))
        x += scene.width + 6
        row = max(row, scene.height)
    return items, y + row + 6


def about_sheet(sheet: Sheet) -> str:
    """Say how many pieces and cuts a sheet has, and how it lies."""
    pieces, cuts = len(sheet.placements), len(real_cuts(sheet.cuts))
    return say(
        "sheet.about",
        pieces=say("sheet.piece" if pieces == 1 else "sheet.pieces", count=pieces),
        cuts=say("sheet.cut" if cuts == 1 else "sheet.cuts", count=cuts),
    )


def offcut_words(name: str) -> str:
    """Say which offcut it is; the word is not said twice."""
    return name if "offcut" in name.lower() else say("sheet.offcut", name=name)


def _heading(sheet: Sheet, fmt: Format, page: SheetPage, material: str) -> Group:
    name = Text((0, 4.4), say("sheet.title", number=sheet.number), 8.0, anchor=Anchor.START, bold=True)
    known = {"new": say("sheet.new"), "on hand": say("sheet.on-hand")}
    what = say(
        "sheet.what",
        material=material or board_name(sheet.material),
        thickness=fmt(sheet.thickness),
        length=fmt(sheet.length),
        width=fmt(sheet.width),
        source=known.get(sheet.source) or offcut_words(sheet.source),
    )
    left = name.width + 6
    about = about_sheet(sheet)
    lines = [
        name,
        Text((left, 2.6), shortened(what, page.width - left, 4.0), 4.0, anchor=Anchor.START),
        Text(
            (left, 7.2), about, 3.4 * min(1.0, (page.width - left) / text_width(about, 3.4)), "soft-text", Anchor.START
        ),
    ]
    own = [c for c in real_cuts(sheet.cuts) if c.blank == "sheet"]
    notes = "; ".join(bevel_notes(own, sheet.thickness, fmt))
    if notes:
        lines.append(Text((left, 11.4), shortened(notes, page.width - left, 3.4), 3.4, "ink", Anchor.START))
    return Group(tuple(lines), "heading")


def _samples(sheet: Sheet) -> list[tuple[Item, str]]:
    """Return what the legend explains, only what the drawing shows."""
    kinds = {c.kind for c in real_cuts(sheet.cuts)}
    samples: list[tuple[Item, str]] = []
    lines = (("chalk-line", "through"), ("chalk-stopped", "stopped"), ("chalk-plunge", "plunge"))
    present = (bool(kinds - {"stopped", "plunge", "round"}), "stopped" in kinds, "plunge" in kinds)
    if "round" in kinds:
        ring = tuple((5 + 2.4 * cos(pi * k / 12), 2.4 * sin(pi * k / 12)) for k in range(24))
        samples.append((Stroke(ring, "chalk-plunge", closed=True), say("sheet.legend-round")))
    for (look, name), shown in zip(lines, present, strict=True):
        if shown:
            samples.append((Stroke(((0, 0), (10, 0)), look), say(f"sheet.legend-{name}")))
    line, view = Stroke(((0, 0), (10, 0)), "chalk-line"), View(100.0, 0.0, 0.0)
    ends = {end.what is End.RUN for c in real_cuts(sheet.cuts) for end in cut_ends(c, sheet, view)}
    if False in ends:
        samples.append((Group((line, Stroke(((10, -BAR), (10, BAR)), "heavy")), "stop"), say("sheet.legend-bar")))
    if True in ends:
        lead = arrow((5.5, 0), (1.0, 0.0), LEAD, "chalk-solid", "chalk-tick")
        samples.append((Group((Stroke(((0, 0), (5.5, 0)), "chalk-line"), lead), "lead"), say("sheet.legend-lead")))
    if any(sawn(c) for c in real_cuts(sheet.cuts)):
        samples.append((kerf_cross((5.0, 0.0)), say("sheet.legend-kerf")))
    samples.append((crossed((((0, -2.5), (10, -2.5), (10, 2.5), (0, 2.5)),), "sample"), say("sheet.legend-waste")))
    return samples


def _square(fmt: Format) -> tuple[float, str]:
    """Return the side of the check square and its words. [mm]"""
    return (12.7, "1/2 in") if is_inch(fmt) else (10.0, "10 mm")


def _bar(fmt: Format, scale: float, page: SheetPage) -> tuple[float, int, float]:
    """Return the scale bar's step [m], its parts, and where it begins. [mm]"""
    side, words = _square(fmt)
    step, parts = (0.3048, 2) if is_inch(fmt) else (0.25, 2)
    note = Text((0, 0), say("sheet.square", side=words), 3.0)
    return step, parts, page.width - side - 10 - note.width - parts * step * 1000 / scale - 8


def _legend_right(fmt: Format, scale: float, page: SheetPage) -> float:
    """Return where the legend must end: before the scale, or at the page's edge where it stands over it. [mm]"""
    if page.width < BESIDE:
        return page.width
    return _bar(fmt, scale, page)[2] - 5 - text_width(say("sheet.scale", scale=f"{scale:g}"), 3.4) - 4


def _legend(sheet: Sheet, fmt: Format, scale: float, page: SheetPage, height: float, foot: float) -> tuple[Group, ...]:
    side, words = _square(fmt)
    square = check_square((page.width - side - 0.5, height - side - 0.5), side, say("sheet.square", side=words))
    step, parts, bar_left = _bar(fmt, scale, page)
    says = Text((bar_left - 5, height - 5.0), say("sheet.scale", scale=f"{scale:g}"), 3.4, "ink", Anchor.END)
    bar = scale_bar((bar_left, height - 7.0), scale, fmt, step, parts)
    right = _legend_right(fmt, scale, page)
    items = legend_rows(_samples(sheet), (0.0, height - foot + 5.0), right, LEGEND_PITCH)
    return (Group((*items, says), "legend"), bar, square)
