"""Enlarged details of a part: notches whose cuts lie so close that their numbers would lie on each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import hypot

from shapely import Polygon
from shapely import box as rectangle

from snugbay.draw.geometry import Box, Point, View, clipped, line_parts, polygon, polygons, rings_of, scale_for
from snugbay.draw.placing import Room
from snugbay.draw.scene import Anchor, Area, Group, Item, Stroke, Text
from snugbay.draw.sheet_body import DETOUR, cut_numbers, dislike_cut, draw_cuts, draw_waste, real_cuts, rect_on_page
from snugbay.draw.sheet_marks import PART, draw_lanes, edge_lanes, flat_edges, inside_marks, lane_depths
from snugbay.draw.symbols import Format
from snugbay.draw.texts import say
from snugbay.pieces.overlay import shared
from snugbay.sheets import Cut, Placement, Sheet

TIGHT = 12.0
"""A cut shorter than this on the page has no room for its number and its marks. [mm]"""
LONGEST = 30.0
"""A cut that meets a tight one belongs to its detail up to this length on the page. [mm]"""
ENLARGED = 1.5
"""A detail is worth drawing from so many times the size of the part."""
MOST = 6
"""Details of one part; more than that are drawn two by two in one."""
_MEETS = 0.004
"""Ends of cuts within this meet. [m]"""
_LEAST_RIM = 0.025
"""Board shown round the cuts of a detail, at least. [m]"""
_RIM = 0.3
"""Board shown round them, as a share of what they take."""
_HEAD, _AIR = 6.0, 4.0
"""Height of a detail's title, and what is left free over its board for labels. [mm]"""
_ROUND = (50.0, 26.0)
"""Room that marks and labels want beside a detail's board, and above and below it. [mm]"""


@dataclass(frozen=True)
class Detail:
    """A place of a part that is drawn again, larger.

    Attributes
    ----------
    name : str
        A letter.
    window : Box
        Left, low, right, high, from the part's datum corner. [m]
    cuts : frozenset of int
        Numbers of the cuts that are numbered and marked in it, not in the part's own drawing.
    """

    name: str
    window: Box
    cuts: frozenset[int]


def details_of(sheet: Sheet, scale: float) -> tuple[Detail, ...]:
    """Return the places of a part that need a larger drawing, left to right.

    Parameters
    ----------
    sheet : Sheet
        The part as a sheet of its own.
    scale : float
        Of its drawing, one to so many.
    """
    cuts = [c for c in real_cuts(sheet.cuts) if not c.radius]
    page = 1000 / scale
    tight = [c for c in cuts if c.length * page < TIGHT]
    groups: list[set[int]] = []
    windows: list[Box] = []
    for cut in tight:
        group = {cut.number} | {
            c.number for c in cuts if c.length * page < LONGEST and c.number != cut.number and _meet(c, cut)
        }
        groups.append(group)
        windows.append(_window(sheet, group))
    while (pair := _joined(windows, len(groups))) is not None:
        k, m = pair
        groups[k] |= groups.pop(m)
        windows.pop(m)
        windows[k] = _window(sheet, groups[k])
    crowded = [(w, g) for w, g in zip(windows, groups, strict=True) if len(g) > 1]
    crowded.sort(key=lambda pair: (pair[0][0], pair[0][1]))
    return tuple(Detail(chr(65 + n), window, frozenset(group)) for n, (window, group) in enumerate(crowded))


def _meet(a: Cut, b: Cut) -> bool:
    return any(hypot(p[0] - q[0], p[1] - q[1]) < _MEETS for p in (a.start, a.end) for q in (b.start, b.end))


def _window(sheet: Sheet, numbers: set[int]) -> Box:
    """Return the box round some cuts with board about it, out to the part's edge where that is near. [m]"""
    ends = [p for c in sheet.cuts if c.number in numbers for p in (c.start, c.end)]
    ends += [m.at for m in sheet.marks if m.cut in numbers]
    xs, ys = zip(*ends, strict=True)
    low, high = (min(xs), min(ys)), (max(xs), max(ys))
    rim = max(_LEAST_RIM, _RIM * max(high[0] - low[0], high[1] - low[1]))
    size = (sheet.length, sheet.width)
    near = tuple(max(0.0, v - rim) if v > 1.6 * rim else 0.0 for v in low)
    far = tuple(min(s, v + rim) if s - v > 1.6 * rim else s for v, s in zip(high, size, strict=True))
    return (near[0], near[1], far[0], far[1])


def _joined(windows: Sequence[Box], count: int) -> tuple[int, int] | None:
    """Return two windows that overlap; where there are too many, the two that lie nearest."""
    pairs = [(k, m) for m in range(count) for k in range(m)]
    gaps = {pair: rectangle(*windows[pair[0]]).distance(rectangle(*windows[pair[1]])) for pair in pairs}
    best = min(pairs, key=lambda pair: gaps[pair], default=None)
    return best if best is not None and (gaps[best] <= 0 or count > MOST) else None


@dataclass(frozen=True)
class Arrangement:
    """How a part and its details share a room. [mm]

    Attributes
    ----------
    part : (float, float)
        Room of the part itself, from the upper left.
    tile : (float, float)
        Room of each detail.
    corners : tuple of (float, float)
        Upper left corners of the details.
    """

    part: Point
    tile: Point
    corners: tuple[Point, ...]


BESIDE = 150.0
"""Width from which details may stand beside their part. [mm]"""
GAP = 5.0
"""Between a part and its details. [mm]"""
TILE, LEAST_TILE, MOST_TILE = 78.0, 62.0, 100.0
"""Usual, least and greatest height of a detail. [mm]"""


def arrangements(count: int, width: float, height: float) -> tuple[Arrangement, ...]:
    """Return how a part and a number of details may lie in a room: beside it, below it; below it where it is narrow.

    Details below a narrow part take more height than the room has.
    """
    if width < BESIDE:
        corners = tuple((0.0, height + GAP + k * (TILE + GAP)) for k in range(count))
        return (Arrangement((width, height), (width, TILE), corners),)
    columns = 1 if count * (LEAST_TILE + GAP) <= height + GAP else 2
    rows = -(-count // columns)
    tile = (
        min(120.0, (0.45 if columns == 1 else 0.62) * width / columns),
        min(MOST_TILE, (height - (rows - 1) * GAP) / rows),
    )
    left = width - columns * tile[0]
    beside = tuple((left + (k % columns) * tile[0], (k // columns) * (tile[1] + GAP)) for k in range(count))
    found = [Arrangement((left - GAP, height), tile, beside)]
    if count <= 3 and height > TILE + 60.0:
        tile = ((width - (count - 1) * GAP) / count, TILE)
        below = tuple((k * (tile[0] + GAP), height - TILE) for k in range(count))
        found.append(Arrangement((width, height - TILE - GAP), tile, below))
    return tuple(found)


def without(sheet: Sheet, details: Sequence[Detail]) -> Sheet:
    """Return a part without the cuts and marks that its details show."""
    shown = {n for d in details for n in d.cuts}
    kept = tuple(
        m
        for m in sheet.marks
        if not any(m.cut in d.cuts and _holds(d.window, m.at) for d in details) or m.cut not in shown
    )
    return replace(sheet, cuts=tuple(c for c in sheet.cuts if c.number not in shown), marks=kept)


def _holds(window: Box, at: Point) -> bool:
    return window[0] - 1e-6 <= at[0] <= window[2] + 1e-6 and window[1] - 1e-6 <= at[1] <= window[3] + 1e-6


def frames(details: Sequence[Detail], view: View, space: Room) -> tuple[Group, ...]:
    """Draw the frame of each detail on its part, with its letter beside it."""
    found = []
    for detail in details:
        left, low, right, high = detail.window
        ring = rect_on_page(view, (left, low, right - left, high - low))
        (x0, y1), (x1, y0) = ring[0], ring[2]
        spots = [(x1 + 3.0, y1), (x0 - 3.0, y1), ((x0 + x1) / 2, y1 + 3.2), ((x0 + x1) / 2, y0 - 3.2)]
        spots += [(x1 + 3.0, y0), (x0 - 3.0, y0)]
        places = [Text(at, detail.name, 5.0, "ink-halo", bold=True) for at in spots]
        text, away = space.put(places, detour=DETOUR)
        leader: tuple[Item, ...] = (Stroke(((x1, y1), text.at), "leader"),) if away else ()
        found.append(Group((Stroke(ring, "hidden", closed=True), *leader, text), "detail-frame", detail.name))
    return tuple(found)


def detail_scale(detail: Detail, room: Point) -> float:
    """Return the scale of a detail in a room on the page, one to so many."""
    left, low, right, high = detail.window
    wide, tall = max(room[0] - _ROUND[0], 20.0), max(room[1] - _HEAD - _ROUND[1], 20.0)
    return scale_for((right - left, high - low), (wide, tall))


def draw_detail(detail: Detail, sheet: Sheet, fmt: Format, corner: Point, room: Point) -> tuple[Group, Room]:
    """Draw a detail with its cuts, their numbers and marks; running dimensions stay those of the part.

    Parameters
    ----------
    detail : Detail
        What is shown.
    sheet : Sheet
        The part.
    fmt : Format
        Writes lengths.
    corner, room : (float, float)
        Upper left corner on the page, and width and height there. [mm]
    """
    shown = _cropped(detail, sheet)
    lanes = edge_lanes(shown, fmt)
    scale = detail_scale(detail, room)
    mm = 1000 / scale
    left, top = corner
    across = (left + 1.0, left + room[0] - 1.0)

    def seen(depth: dict[str, float]) -> View:
        free = room[0] - depth["left"] - depth["right"] - shown.length * mm
        x = left + depth["left"] + max(0.0, free / 2)
        return View(mm, x, top + _HEAD + _AIR + depth["top"] + shown.width * mm)

    flat = flat_edges(lanes, shown, seen, across, PART)
    view = seen(lane_depths(lanes, PART, flat))
    space = Room((left, top + _HEAD, left + room[0], top + room[1]))
    edges = draw_lanes(lanes, shown, view, space, across, PART, flat)
    for cut in shown.cuts:
        dislike_cut(cut, shown, view, space)
    numbers = cut_numbers(replace(shown, cuts=tuple(c for c in shown.cuts if c.number in detail.cuts)), view, space)
    insides = inside_marks(shown, fmt, view, space)
    title = say("part.detail", name=detail.name, scale=f"{scale:g}")
    items: list[Item] = [
        Text((left, top + 2.5), title, 4.2, "ink", Anchor.START, bold=True),
        *_ground(shown, sheet, detail, view),
        *(replace(group, layer="blank-cut") for group in draw_cuts(shown, view)),
        *edges,
        *(replace(group, layer="blank-cutnumber") for group in numbers),
        *insides,
    ]
    return Group(tuple(items), "detail", detail.name, title), space


def _ground(shown: Sheet, sheet: Sheet, detail: Detail, view: View) -> list[Item]:
    """Draw board and waste without edges where the window cuts them, then the true edges and the frame."""
    whole = rect_on_page(view, (0, 0, shown.length, shown.width))
    items: list[Item] = [Area((whole,), "shade")]
    items += [replace(group, layer="blank-waste") for group in draw_waste(shown, view)]
    frame = rectangle(0, 0, shown.length, shown.width)
    for placement in shown.placements:
        rings = (view.all(placement.outline), *(view.all(hole) for hole in placement.holes))
        items.append(Group((Area(rings, "board-bare"),), "blank-piece", placement.piece))
    left, low = detail.window[:2]
    for placement in sheet.placements:
        shape = polygon((placement.outline, *placement.holes))
        for ring in (r for p in polygons(shape) for r in rings_of(p)):
            line = Polygon([(x - left, y - low) for x, y in ring]).exterior
            items += [Stroke(view.all(part), "thin") for part in line_parts(shared(line, frame))]
    edges = Polygon(
        [
            (-left, -low),
            (sheet.length - left, -low),
            (sheet.length - left, sheet.width - low),
            (-left, sheet.width - low),
        ]
    )
    items += [Stroke(view.all(part), "outline") for part in line_parts(shared(edges.exterior, frame))]
    return [*items, Stroke(whole, "hidden", closed=True)]


def _cropped(detail: Detail, sheet: Sheet) -> Sheet:
    """Return what a window shows of a part, as a sheet of its own; its marks say what they say on the part."""
    left, low, right, high = detail.window
    frame = rectangle(left, low, right, high)
    ring = tuple((x, y) for x, y, *_ in frame.exterior.coords[:-1])

    def less(p: Point) -> Point:
        return (p[0] - left, p[1] - low)

    placements: list[Placement] = []
    for p in sheet.placements:
        for shape in polygons(shared(polygon((p.outline, *p.holes)), frame)):
            outline, *holes = (tuple(less(q) for q in r) for r in rings_of(shape))
            placements.append(replace(p, outline=outline, holes=tuple(holes)))
    cuts = []
    for cut in (c for c in real_cuts(sheet.cuts) if not c.radius):
        for part in clipped((ring,), cut.start, cut.end)[:1]:
            start, end = sorted((part[0], part[-1]), key=lambda p: hypot(p[0] - cut.start[0], p[1] - cut.start[1]))
            cuts.append(replace(cut, start=less(start), end=less(end)))
    marks = tuple(
        replace(m, at=less(m.at)) for m in sheet.marks if m.cut in detail.cuts and _holds(detail.window, m.at)
    )
    return replace(
        sheet,
        length=right - left,
        width=high - low,
        placements=tuple(placements),
        cuts=tuple(cuts),
        marks=marks,
        damaged=(),
        waste=(),
        keep=tuple(
            (max(x, left) - left, max(y, low) - low, min(x + w, right) - max(x, left), min(y + h, high) - max(y, low))
            for x, y, w, h in sheet.keep
            if x < right and x + w > left and y < high and y + h > low
        ),
    )
