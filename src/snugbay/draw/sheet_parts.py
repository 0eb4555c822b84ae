"""The parts of a sheet that are cut again, each from its own hook corner."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from math import hypot

from shapely import LineString, Polygon
from shapely import Point as ShapelyPoint
from shapely.ops import split

from snugbay.draw.details import (
    ENLARGED,
    Arrangement,
    Detail,
    arrangements,
    detail_scale,
    details_of,
    draw_detail,
    frames,
    without,
)
from snugbay.draw.geometry import Box, Point, View, bounds, polygons, rings_of, scale_for
from snugbay.draw.lettering import shortened, wrapped
from snugbay.draw.placing import Room
from snugbay.draw.rounds import off_board
from snugbay.draw.scene import Anchor, Area, Disc, Group, Item, Scene, Stroke, Text, moved, points_of, walk
from snugbay.draw.sheet_body import (
    DETOUR,
    bands_of,
    bevel_notes,
    bevel_words,
    cut_numbers,
    dislike_cut,
    draw_cuts,
    draw_damaged,
    draw_keep,
    draw_piece,
    draw_waste,
    piece_label,
    real_cuts,
    rect_on_page,
    tape_bands,
    tool_words,
)
from snugbay.draw.sheet_marks import PART, PART_ALONE, draw_lanes, edge_lanes, flat_edges, inside_marks, lane_depths
from snugbay.draw.symbols import Format, is_inch
from snugbay.draw.texts import kind_words, say
from snugbay.sheets import Cut, Mark, Placement, Sheet

Rect = tuple[float, float, float, float]
"""x, y, width, height. [m]"""

LEAST_BODY = 45.0
"""Height that a part itself gets at least, whatever its marks take above and below it. [mm]"""
MARGINS = (0.0, 9.0, 18.0, 27.0, 40.0)
"""Room above and below a part for labels that stand beside it with a leader, tried in turn. [mm]"""
_LEAST_SHARE = 0.6
"""Of the height of its room, if that is less."""
_SLACK = 0.012
"""A part's corner as its marks give it lies within this of where the cut lines put it: kerf. [m]"""


@dataclass(frozen=True)
class Part:
    """A part of a sheet that is cut again.

    Attributes
    ----------
    name : str
        What it is called, ``"2b"``; ``"sheet"`` for the whole sheet.
    corner : Point
        Its datum corner on the sheet. [m]
    sheet : Sheet
        The part as a sheet of its own: pieces, cuts and marks from its own datum corner.
    gives : tuple of (str, tuple of Point)
        Names of parts that its cuts give and that are cut again, and the outline of each, from its datum corner. [m]
    """

    name: str
    corner: Point
    sheet: Sheet
    gives: tuple[tuple[str, tuple[Point, ...]], ...] = ()


def parts_of(sheet: Sheet) -> tuple[Part, ...]:
    """Return the parts of a sheet that are cut again, in the order of cutting; none where only the sheet itself is cut.

    Parameters
    ----------
    sheet : Sheet
        As laid out. The cuts' blanks are named by the cut that gave them and a letter, ``"2b"``.
    """
    cuts = real_cuts(sheet.cuts)
    names = list(dict.fromkeys(c.blank for c in cuts))
    if set(names) <= {"sheet"}:
        return ()
    outlines = blank_outlines(sheet)
    order = sorted(names, key=lambda name: min(c.number for c in cuts if c.blank == name))
    return tuple(_part(name, sheet, outlines) for name in order if name != "sheet")


def blank_outlines(sheet: Sheet) -> dict[str, Polygon]:
    """Return the outline of every blank that is cut, on the sheet. [m]

    A blank ``"na"`` is what lies left of cut n or below it, within what was left then of the blank that was cut;
    ``"nb"`` is the other side. The blank itself goes on with its hook corner.
    """
    whole = Polygon([(0, 0), (sheet.length, 0), (sheet.length, sheet.width), (0, sheet.width)])
    names = {c.blank for c in sheet.cuts}
    parted = {c.blank for c in sheet.cuts for side in "ab" if f"{c.number}{side}" in names}
    found = {"sheet": whole}
    left = {"sheet": whole}
    for cut in sheet.cuts:
        if cut.blank in parted:
            rest = left.get(cut.blank, whole)
            for side in "ab":
                found[f"{cut.number}{side}"] = left[f"{cut.number}{side}"] = _side(rest, cut, side == "a")
            left[cut.blank] = left[f"{cut.number}a"]
    return {name: shape for name, shape in found.items() if name in names or name == "sheet"}


def _side(blank: Polygon, cut: Cut, low: bool) -> Polygon:
    """Return what lies left of or below a cut from edge to edge, or the other side."""
    (x0, y0), (x1, y1) = cut.start, cut.end
    long = hypot(x1 - x0, y1 - y0) or 1.0
    ux, uy = 10 * (x1 - x0) / long, 10 * (y1 - y0) / long
    halves = polygons(split(blank, LineString([(x0 - ux, y0 - uy), (x1 + ux, y1 + uy)])))
    in_order = sorted(halves, key=lambda half: half.centroid.x + half.centroid.y)
    return (in_order[0] if low else in_order[-1]) if in_order else blank


def _corner(outline: Polygon, marks: tuple[Mark, ...]) -> Point:
    """Return a blank's datum corner: where its marks say, within the kerf of where its cut lines lie."""
    left, low, _, _ = outline.bounds
    xs = [m.at[0] - m.exact for m in marks if m.edge in ("bottom", "top")]
    ys = [m.at[1] - m.exact for m in marks if m.edge in ("left", "right")]
    xs += [m.at[0] for m in marks if m.edge == "left"]
    ys += [m.at[1] for m in marks if m.edge == "bottom"]
    x = next((v for v in xs if abs(v - left) < _SLACK), left)
    y = next((v for v in ys if abs(v - low) < _SLACK), low)
    return (x, y)


def _part(name: str, sheet: Sheet, outlines: dict[str, Polygon]) -> Part:
    outline = outlines[name]
    cuts = tuple(c for c in sheet.cuts if c.blank == name)
    numbers = {c.number for c in cuts}
    marks = tuple(m for m in sheet.marks if m.cut in numbers)
    corner = _corner(outline, marks)
    _, _, right, high = outline.bounds
    inside = tuple(p for p in sheet.placements if _within(p, outline))
    shifted = replace(
        sheet,
        length=right - corner[0],
        width=high - corner[1],
        placements=tuple(_shift_piece(p, corner) for p in inside),
        cuts=tuple(replace(c, start=_less(c.start, corner), end=_less(c.end, corner)) for c in cuts),
        marks=tuple(replace(m, at=_less(m.at, corner)) for m in marks),
        damaged=tuple(_shift_rect(r, corner) for r in sheet.damaged if _holds(outline, r)),
        waste=(),
        keep=tuple(_shift_rect(r, corner) for r in sheet.keep if _holds(outline, r)),
    )
    gives = tuple((child, tuple(_less(q, corner) for q in ring)) for child, ring in given_by(numbers, outlines))
    return Part(name, corner, shifted, gives)


def given_by(numbers: Collection[int], outlines: Mapping[str, Polygon]) -> tuple[tuple[str, tuple[Point, ...]], ...]:
    """Return the blanks that some cuts give and that are cut again, each with its outline. [m]"""
    found = []
    for child, shape in outlines.items():
        number = re.match(r"\d+", child)
        if number and int(number[0]) in numbers:
            found.append((child, rings_of(shape)[0]))
    return tuple(found)


def _within(placement: Placement, outline: Polygon) -> bool:
    shape = Polygon(placement.outline)
    return bool(shape.intersection(outline).area > 0.5 * shape.area)


def _holds(outline: Polygon, rect: Rect) -> bool:
    x, y, wide, high = rect
    return bool(outline.buffer(1e-6).contains(ShapelyPoint(x + wide / 2, y + high / 2)))


def _shift_rect(rect: Rect, corner: Point) -> Rect:
    return (rect[0] - corner[0], rect[1] - corner[1], rect[2], rect[3])


def _less(a: Point, b: Point) -> Point:
    return (a[0] - b[0], a[1] - b[1])


def _shift_piece(p: Placement, corner: Point) -> Placement:
    return replace(
        p,
        outline=tuple(_less(q, corner) for q in p.outline),
        holes=tuple(tuple(_less(q, corner) for q in hole) for hole in p.holes),
        label_at=_less(p.label_at, corner),
    )


def part_drawing(part: Part, fmt: Format, width: float, height: float) -> Scene:
    """Draw a part with its hook corner, its cuts and their marks, and what becomes of it.

    Parameters
    ----------
    part : Part
        What is cut.
    fmt : Format
        Writes lengths.
    width, height : float
        Room for the drawing; it is no higher than it needs. Where labels find no place clear of the cuts, it gets a
        margin above and below. [mm]
    """
    plain = _clear(part, fmt, width, height)
    found = details_of(part.sheet, scale_of(plain))
    while found:
        tries = [(a, _clear(part, fmt, *a.part, found)) for a in arrangements(len(found), width, height)]
        arranged, own = min(tries, key=lambda t: scale_of(t[1]))
        worth = tuple(d for d in found if ENLARGED * detail_scale(d, arranged.tile) <= scale_of(own))
        if worth == found:
            return _with_details(own, part, fmt, width, found, arranged)
        found = worth
    return plain


def _with_details(
    own: Scene, part: Part, fmt: Format, width: float, found: Sequence[Detail], arranged: Arrangement
) -> Scene:
    """Add its details to a part's drawing, beside it or below."""
    top = max(0.0, own.height + 5.0 - arranged.corners[0][1]) if arranged.part[0] == width else 0.0
    bodies: list[Item] = []
    for detail, (x, y) in zip(found, arranged.corners, strict=True):
        drawn = draw_detail(detail, part.sheet, fmt, (x, y + top), arranged.tile)[0]
        bodies.append(drawn)
    _, bottom = _reach(bodies)
    return replace(own, width=width, height=max(own.height, bottom + 1.0), items=(*own.items, *bodies))


def scale_of(scene: Scene) -> float:
    """Return a drawing's scale, one to so many."""
    return float(scene.note("scale").removeprefix("1:"))


def _clear(part: Part, fmt: Format, width: float, height: float, details: Sequence[Detail] = ()) -> Scene:
    """Draw a part with the least margin that lets its labels lie clear."""
    tries = []
    for margin in MARGINS:
        scene, space = _drawn(part, fmt, width, height, margin, details)
        tries.append(((space.missed, space.crossed), scene))
        if tries[-1][0] == (0, 0):
            break
    return min(tries, key=lambda t: t[0])[1]


def _drawn(
    part: Part, fmt: Format, width: float, height: float, margin: float, details: Sequence[Detail] = ()
) -> tuple[Scene, Room]:
    sheet = part.sheet
    cuts = real_cuts(sheet.cuts)
    how = PART_ALONE if len(cuts) == 1 else PART
    own = without(sheet, details)
    lanes = edge_lanes(own, fmt)
    across = (1.0, width - 1.0)
    notes = wrapped(_tools(cuts, sheet, fmt), width - 7, 3.4)
    head = 11.0 + 5.0 * len(notes)

    def seen(depth: dict[str, float]) -> View:
        wide = width - depth["left"] - depth["right"]
        tall = max(height - head - depth["bottom"] - depth["top"], min(LEAST_BODY, _LEAST_SHARE * height))
        mm = 1000 / scale_for((sheet.length, sheet.width), (max(wide, 12.0), tall))
        left = depth["left"] + max(0.0, (wide - sheet.length * mm) / 2)
        return View(mm, left, head + margin + depth["top"] + sheet.width * mm)

    flat = flat_edges(lanes, sheet, seen, across, how)
    depth = lane_depths(lanes, how, flat)
    view = seen(depth)
    scale = 1000 / view.scale
    high = view.foot + depth["bottom"] + 1.0 + margin
    space = Room((0.0, head - 1, width, high))
    edges = draw_lanes(lanes, sheet, view, space, across, how, flat)
    for cut in cuts:
        dislike_cut(cut, sheet, view, space)
    for band in (*bands_of(sheet, view), *(rect_on_page(view, rect) for rect in sheet.damaged)):
        space.dislike(band)
    labels = tuple(replace(piece_label(p, view, space, 5.0), layer="blank-label") for p in sheet.placements)
    insides = inside_marks(own, fmt, view, space)
    items: list[Item] = [
        Group((Area((rect_on_page(view, (0, 0, sheet.length, sheet.width)),), "sheet"),), "blank", part.name),
        *(replace(group, layer="blank-waste") for group in draw_waste(sheet, view)),
        *(replace(group, layer="blank-damaged") for group in draw_damaged(sheet, view)),
        *(replace(draw_piece(p, view), layer="blank-piece") for p in sheet.placements),
        *(replace(group, layer="blank-keep") for group in draw_keep(sheet, view, fmt, space)),
        *(replace(group, layer="blank-cut") for group in draw_cuts(sheet, view)),
        *tape_bands(sheet, view, is_inch(fmt)),
        *edges,
        *labels,
        *(replace(group, layer="blank-cutnumber") for group in cut_numbers(own, view, space)),
        *insides,
        *frames(details, view, space),
        *(name_of_part(name, view.all(ring), space) for name, ring in part.gives),
    ]
    title = say("part.title", numbers=_numbers(cuts))
    facts = (("scale", f"1:{scale:g}"), ("part", part.name))
    top, bottom = _reach(items)
    body = tuple(moved(item, 0.0, head - top) for item in items)
    drawn = (_heading(part, cuts, width, notes), *body)
    return Scene(width, head + bottom - top + 1.0, drawn, title, say("part.of", name=part.name), facts), space


def _reach(items: Sequence[Item]) -> tuple[float, float]:
    """Return how far up and down the page items reach. [mm]"""
    ys = [y for _, item in walk(tuple(items)) if not isinstance(item, Group) for _, y in points_of(item)]
    return min(ys), max(ys)


def _numbers(cuts: tuple[Cut, ...]) -> str:
    """Write cut numbers, runs as ``5 to 8``."""
    runs = []
    for _, run in groupby(enumerate(c.number for c in cuts), key=lambda pair: pair[1] - pair[0]):
        numbers = [n for _, n in run]
        runs.append(str(numbers[0]) if len(numbers) == 1 else say("part.run", first=numbers[0], last=numbers[-1]))
    return ", ".join(runs)


def _heading(part: Part, cuts: tuple[Cut, ...], width: float, notes: Sequence[str]) -> Group:
    tick = ((0.3, 0.8), (4.7, 0.8), (4.7, 5.2), (0.3, 5.2))
    title = say("part.title", numbers=_numbers(cuts))
    kinds = ", ".join(dict.fromkeys(kind_words(c.kind) for c in cuts))
    name = Text((7.0, 3.0), title, 5.2, anchor=Anchor.START, bold=True)
    of = Text((width, 3.0), say("part.of", name=part.name), 4.2, "ink", Anchor.END, bold=True)
    room = of.at[0] - of.width - name.at[0] - name.width - 5
    how = Text(
        (name.at[0] + name.width + 3, 3.2), shortened(kinds, max(room, 1.0), 3.4), 3.4, "soft-text", Anchor.START
    )
    return Group(
        (
            Stroke(tick, "thin", closed=True),
            name,
            how,
            of,
            *(Text((7.0, 8.4 + 5.0 * k), line, 3.4, "ink", Anchor.START) for k, line in enumerate(notes)),
        ),
        "heading",
    )


def _tools(cuts: tuple[Cut, ...], sheet: Sheet, fmt: Format) -> str:
    """Say with what the cuts are made, their bevels, and whose edges they make."""
    thickness = sheet.thickness
    tools = dict.fromkeys(tool_words(c) for c in cuts)
    alone = [bevel_words(c, thickness, fmt) for c in cuts if abs(c.bevel) > 1e-6]
    bevels = alone if len(cuts) == 1 else bevel_notes(cuts, thickness, fmt)
    made = dict.fromkeys(p for c in cuts for p in c.pieces)
    words = [*tools, *bevels]
    off = {m.cut for m in sheet.marks if off_board(m, sheet)}
    words += [say("round.off", number=c.number) for c in cuts if c.radius and c.number in off]
    if made:
        words.append(say("part.makes", pieces=", ".join(made)))
    return "; ".join(words)


def name_of_part(name: str, ring: Sequence[Point], space: Room) -> Group:
    """Say which part a cut gives, within that part's outline on the page; led there from outside where it has no room.

    Near the part's hook corner, on no cut, level if it can.
    """
    left, top, right, bottom = bounds(ring)
    wide, high = right - left, bottom - top
    shares = (0.3, 0.2, 0.4, 0.5, 0.12, 0.6, 0.7, 0.8, 0.9)
    words = say("part.name", name=name)
    places = [
        Text((left + u * wide, bottom - v * high), words, 3.8, "ink-halo", turn_deg=turn, bold=True)
        for turn in (0.0, -90.0)
        for u in shares
        for v in shares
    ]
    own = Polygon(ring).buffer(-0.3)
    held = [t for t in places if own.covers(Polygon(t.corners)) and space.free(t.corners)]
    clear = [t for t in held if not space.disliked(t.corners)]
    if clear or held:
        text, moved = space.put([(clear or held)[0]])
    else:
        text, moved = space.put(places[:1], detour=DETOUR)
    at = places[0].at
    leader: tuple[Item, ...] = (Stroke((at, text.at), "leader"), Disc(at, 0.5, "dot-solid")) if moved else ()
    return Group((*leader, text), "gives", name)


def part_box(part: Part) -> Box:
    """Return where a part lies on its sheet: left, low, right, high. [m]"""
    x, y = part.corner
    return (x, y, x + part.sheet.length, y + part.sheet.width)
