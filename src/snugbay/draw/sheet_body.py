"""What is drawn of a sheet or of a part of one: pieces, waste, cuts, numbers, the tape along its edges."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import tan

from snugbay.draw.geometry import (
    Box,
    Point,
    View,
    bounds,
    clipped,
    distance,
    hatch,
    left_over,
    middle,
    offset,
    rings_of,
    room_for,
    spot_inside,
)
from snugbay.draw.lettering import text_width
from snugbay.draw.placing import Room
from snugbay.draw.rounds import rims
from snugbay.draw.scene import Area, Group, Item, Stroke, Text
from snugbay.draw.symbols import Format, arrow, degrees_text, disc_radius, numbered, readable_turn, up_arrow
from snugbay.draw.texts import end_words, kind_words, say
from snugbay.job import Tool
from snugbay.sheets import Cut, End, Placement, Sheet

LABEL = 7.0
"""Largest em of a piece's label. [mm]"""
LEAST_LABEL = 3.2
"""Smallest em of a piece's label before it moves outside with a leader. [mm]"""


TAPE = 2.4
"""Width of the tape along the edges. [mm]"""
KEEP_LABEL, LEAST_KEEP = 4.4, 3.2
"""Em of the words on an offcut to keep, and the least one. [mm]"""


_Block = tuple[Text, tuple[Point, float], tuple[float, float]]
"""A piece's label: text, arrow (place, length), size of both before the turn. [mm]"""
DETOUR = 24.0
"""So far a label moves, with a leader, to lie on no cut. [mm]"""


def real_cuts(cuts: Iterable[Cut]) -> tuple[Cut, ...]:
    """Return the cuts that are made, factory edges left out."""
    return tuple(c for c in cuts if c.kind != "factory edge")


def rect_on_page(view: View, rect: tuple[float, float, float, float]) -> tuple[Point, ...]:
    """Return the corners of x, y, width, height on the page. [mm]"""
    x, y, wide, high = rect
    return view.all(((x, y), (x + wide, y), (x + wide, y + high), (x, y + high)))


def draw_waste(sheet: Sheet, view: View) -> tuple[Group, ...]:
    """Hatch and cross what becomes no piece; reckon it where the sheet does not say."""
    found: tuple[tuple[tuple[Point, ...], ...], ...] = tuple((ring,) for ring in sheet.waste)
    if not found:
        taken: list[tuple[tuple[Point, ...], ...]] = [(p.outline, *p.holes) for p in sheet.placements]
        taken += [(_ring(rect),) for rect in (*sheet.keep, *sheet.damaged)]
        found = tuple(rings_of(g) for g in left_over((0, 0, sheet.length, sheet.width), taken, 0.008))
    return tuple(crossed(tuple(view.all(ring) for ring in rings)) for rings in found)


def _ring(rect: tuple[float, float, float, float]) -> tuple[Point, ...]:
    x, y, wide, high = rect
    return ((x, y), (x + wide, y), (x + wide, y + high), (x, y + high))


def crossed(rings: tuple[tuple[Point, ...], ...], layer: str = "waste") -> Group:
    """Hatch and cross an outline on the page."""
    left, top, right, bottom = bounds(rings[0])
    lines = [Stroke(pair, "waste-line") for pair in hatch(rings, 3.4, 45)]
    for start, end in (((left, top), (right, bottom)), ((left, bottom), (right, top))):
        lines += [Stroke(part, "waste-cross") for part in clipped(rings, start, end)]
    return Group((Area(rings, "paper"), *lines, Area(rings, "waste-rim")), layer)


def draw_damaged(sheet: Sheet, view: View) -> tuple[Group, ...]:
    """Hatch the damaged zones."""
    found = []
    for rect in sheet.damaged:
        ring = rect_on_page(view, rect)
        lines = tuple(Stroke(pair, "damage-line") for angle in (45, -45) for pair in hatch((ring,), 1.6, angle))
        found.append(Group((Area((ring,), "damage"), *lines), "damaged", title=say("sheet.damaged")))
    return tuple(found)


def draw_keep(sheet: Sheet, view: View, fmt: Format, space: Room) -> tuple[Group, ...]:
    """Mark the offcuts worth keeping."""
    found = []
    for rect in sheet.keep:
        ring = rect_on_page(view, rect)
        left, top, right, bottom = bounds(ring)
        wide, high = right - left, bottom - top
        centre = ((left + right) / 2, (top + bottom) / 2)
        words = say("sheet.keep", length=fmt(rect[2]), width=fmt(rect[3]))
        turn = -90.0 if high > wide else 0.0
        words = say("sheet.keep", length=fmt(rect[2]), width=fmt(rect[3]))
        size = KEEP_LABEL
        if not _holds(words, size, wide, high):
            size = LEAST_KEEP if _holds(words, LEAST_KEEP, wide, high) else size
            words = words if size == LEAST_KEEP else say("sheet.keep-short")
        kinds = ((words, size), (say("sheet.keep-short"), min(size, LEAST_KEEP)))
        places = [
            Text(middle(centre, ring[n], share), what, em, turn_deg=turned)
            for what, em in kinds
            for share in (0, 0.3, 0.5, 0.65)
            for n in range(4)
            for turned in (turn, -90.0 - turn)
        ]
        within = [t for t in places if _inside(bounds(t.corners), (left, top, right, bottom))]
        text, _ = space.put(within or places)
        found.append(Group((Area((ring,), "keep"), text), "keep", title=words))
    return tuple(found)


def _inside(inner: Box, outer: Box) -> bool:
    return inner[0] >= outer[0] and inner[1] >= outer[1] and inner[2] <= outer[2] and inner[3] <= outer[3]


def _holds(words: str, size: float, wide: float, high: float) -> bool:
    """True where a text along the longer side of a rectangle on the page stays within it."""
    return text_width(words, size) + 2 <= max(wide, high) and size <= min(wide, high)


def draw_piece(placement: Placement, view: View) -> Group:
    """Draw a piece where it lies."""
    rings = (view.all(placement.outline), *(view.all(hole) for hole in placement.holes))
    return Group((Area(rings, "board"),), "piece", placement.piece, placement.piece)


def piece_label(placement: Placement, view: View, space: Room, largest: float = LABEL) -> Group:
    """Letter a piece as large as it can hold, with its up arrow; outside with a leader where it can hold nothing."""
    rings = (view.all(placement.outline), *(view.all(hole) for hole in placement.holes))
    deep, depth = spot_inside(rings)
    up = view.way(placement.up)
    size = largest
    rest: _Block | None = None
    while size >= LEAST_LABEL:
        for block in _blocks(placement.piece, rings, (view.at(placement.label_at), deep), size, space):
            if not space.disliked(block[0].corners):
                return _lettered(block, up, space)
            rest = rest or block
        size -= 0.6
    if rest is not None:
        return _lettered(rest, up, space)
    long = max(2.4, min(5.0, 1.6 * depth))
    small = up_arrow(deep, up, long)
    space.take(_shaft(deep, up, long))
    text, _ = space.put([Text(deep, placement.piece, LEAST_LABEL + 0.4, "ink-halo", bold=True)], detour=DETOUR)
    return Group((small, Stroke((deep, text.at), "leader"), text), "label", placement.piece)


def _blocks(
    words: str, rings: Sequence[Sequence[Point]], centres: Sequence[Point], size: float, space: Room
) -> Iterator[_Block]:
    """Yield the places of one size that a label has room for."""
    for centre in centres:
        for turn in (0.0, -90.0):
            block = _block(words, centre, size, turn)
            free = space.free(block[0].corners) and space.free(_square(*block[1]))
            if free and room_for(rings, centre, *block[2], turn):
                yield block


def _lettered(block: _Block, up: Point, space: Room) -> Group:
    text, (at, long), _ = block
    space.take(text.corners)
    space.take(_shaft(at, up, long))
    return Group((text, up_arrow(at, up, long)), "label", text.text)


def _square(at: Point, length: float) -> tuple[Point, ...]:
    half = length / 2
    x, y = at
    return ((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half))


def _shaft(at: Point, way: Point, length: float) -> tuple[Point, ...]:
    """Return the box that an arrow takes. [mm]"""
    ends = offset(at, way, -length / 2), offset(at, way, length / 2)
    side = (-way[1], way[0])
    half = 0.42 * min(3.0, 0.45 * length)
    return (*(offset(e, side, half) for e in ends), *(offset(e, side, -half) for e in reversed(ends)))


def _block(words: str, centre: Point, size: float, turn: float) -> _Block:
    """Return label, arrow (place, length) and the block's size before its turn: text, then arrow beside it."""
    text = Text(centre, words, size, "ink-halo", bold=True)
    long = 1.25 * size
    gap = 0.5 * size
    wide = text.width + gap + long
    way = (1.0, 0.0) if turn == 0 else (0.0, -1.0)
    at = offset(centre, way, -(gap + long) / 2)
    spot = offset(centre, way, (text.width + gap) / 2)
    return replace(text, at=at, turn_deg=turn), (spot, long), (wide + 1.0, max(long, size) + 0.6)


def dislike_cut(cut: Cut, sheet: Sheet, view: View, space: Room) -> None:
    """Tell the page where a cut runs, so that labels keep off it."""
    for line in rims(sheet, cut) or ((cut.start, cut.end),):
        for a, b in pairwise(view.all(line)):
            space.dislike((a, b), f"cut {cut.number}")
    for end in cut_ends(cut, sheet, view):
        if end.long:
            space.dislike((end.at, offset(end.at, end.way, end.long)), SIGN)


def draw_cuts(sheet: Sheet, view: View) -> tuple[Group, ...]:
    """Draw the cut lines, their kinds told by dashes; a cross on the side that a saw's kerf takes.

    A bar ends a line where the tool stops; an arrow leads on from a mark within the board to the edge. A round cut is
    drawn along its rim.
    """
    looks = {"stopped": "chalk-stopped", "plunge": "chalk-plunge"}
    found = []
    for c in real_cuts(sheet.cuts):
        line = view.all((c.start, c.end))
        items: list[Item] = [Stroke(view.all(rim), "chalk-plunge") for rim in rims(sheet, c)]
        if not items:
            items.append(Stroke(line, looks.get(c.kind, "chalk-line")))
            items += _kerf_side(*line) if sawn(c) else []
            items += _ends(c, sheet, view)
        found.append(Group(tuple(items), "cut", str(c.number), f"{c.number}: {kind_words(c.kind)}"))
    return tuple(found)


BAR, LEAD = 1.7, 4.5
"""Half length of the bar where a tool stops, length of the arrow that leads on to the edge. [mm]"""


SIGN = "sign"
"""What words keep off and numbers need not: an arrow that leads on."""
LEAST_LEAD = 1.5
"""A shorter arrow says nothing. [mm]"""


@dataclass(frozen=True)
class CutEnd:
    """An end of a cut that lies on no edge, or where the tool stops: where, which way it ran, how long its sign is."""

    what: End
    at: Point
    way: Point
    long: float


def cut_ends(cut: Cut, sheet: Sheet, view: View) -> list[CutEnd]:
    """Return the ends of a cut that bear a sign. [mm]"""
    start, end = view.all((cut.start, cut.end))
    long = distance(start, end)
    if cut.radius or long < 1e-6:
        return []
    way = ((end[0] - start[0]) / long, (end[1] - start[1]) / long)
    inside = {m.at for m in sheet.marks if m.cut == cut.number and m.edge == "inside"}
    found = []
    for what, at, place, sign in zip(cut.ends, (start, end), (cut.start, cut.end), (-1, 1), strict=True):
        out = (sign * way[0], sign * way[1])
        lead = min(LEAD, view.scale * _to_rim(place, (out[0], -out[1]), sheet))
        if what is not End.RUN:
            found.append(CutEnd(what, at, out, 0.0))
        elif place in inside and lead >= LEAST_LEAD:
            found.append(CutEnd(what, at, out, lead))
    return found


def _to_rim(place: Point, way: Point, sheet: Sheet) -> float:
    """Return how far it is from a place to the board's rim in one direction. [m]"""
    sizes = (sheet.length, sheet.width)
    return min(((s if u > 0 else 0.0) - p) / u for p, u, s in zip(place, way, sizes, strict=True) if abs(u) > 1e-9)


def _ends(cut: Cut, sheet: Sheet, view: View) -> list[Item]:
    """Return a bar at each end where the tool stops, an arrow where it goes on from a mark within the board."""
    found: list[Item] = []
    for end in cut_ends(cut, sheet, view):
        if end.what is End.RUN:
            found.append(arrow(end.at, end.way, end.long, "chalk-solid", "chalk-tick"))
        else:
            side = (-end.way[1], end.way[0])
            bar = Stroke((offset(end.at, side, BAR), offset(end.at, side, -BAR)), "heavy")
            found.append(Group((bar,), "stop", title=end_words(end.what)))
    return found


def tool_words(cut: Cut) -> str:
    """Say with what a cut is made, in how many passes, and whether from both sides."""
    if cut.turned:
        return say("part.turned", tool=cut.tool)
    if cut.passes <= 1:
        return say("part.pass", tool=cut.tool)
    return say("part.passes", tool=cut.tool, count=cut.passes)


def sawn(cut: Cut) -> bool:
    """Answer whether a cut has a side on which the tool takes board away."""
    return cut.tool != Tool.KNIFE.value


def kerf_cross(at: Point) -> Group:
    """Return the cross on the side of a line that the saw takes. [mm]"""
    x, y = at
    half = 0.9
    strokes = (((x - half, y - half), (x + half, y + half)), ((x - half, y + half), (x + half, y - half)))
    return Group(tuple(Stroke(s, "pencil-tick") for s in strokes), "kerf")


def _kerf_side(start: Point, end: Point) -> list[Group]:
    """Return crosses beside a line, to the right of the way it runs on the sheet."""
    long = distance(start, end)
    if long < 5.0:
        return []
    side = ((start[1] - end[1]) / long, (end[0] - start[0]) / long)
    shares = (0.18, 0.82) if long > 30 else (0.25,)
    return [kerf_cross(offset(middle(start, end, share), side, 1.9)) for share in shares]


def bevel_words(cut: Cut, thickness: float, fmt: Format) -> str:
    """Say the angle of a cut and how far the line on the smaller face lies inside the mark; empty where it is square.

    Parameters
    ----------
    cut : Cut
        Its marks give the larger face: the back where the bevel is positive.
    thickness : float
        Of the board. [m]
    fmt : Format
        Writes lengths.
    """
    if abs(cut.bevel) < 1e-6:
        return ""
    face = say("sheet.bevel-front" if cut.bevel > 0 else "sheet.bevel-back")
    by = fmt(thickness * tan(abs(cut.bevel)))
    return say("sheet.bevel", angle=degrees_text(abs(cut.bevel)), face=face, by=by)


def bevel_notes(cuts: Iterable[Cut], thickness: float, fmt: Format) -> tuple[str, ...]:
    """Say of every bevelled cut how it is set, cuts that are set alike together."""
    found: dict[str, list[str]] = {}
    for cut in cuts:
        words = bevel_words(cut, thickness, fmt)
        if words:
            found.setdefault(words, []).append(str(cut.number))
    return tuple(say("sheet.bevel-of", numbers=", ".join(numbers), words=words) for words, numbers in found.items())


def cut_numbers(sheet: Sheet, view: View, space: Room) -> tuple[Group, ...]:
    """Number each cut on its line, or beside it with a leader where the line is too short or too crowded."""
    found = []
    for cut in real_cuts(sheet.cuts):
        start, end = view.all((cut.start, cut.end))
        radius = disc_radius(str(cut.number))
        short = distance(start, end) < 3 * radius
        shares = (0.5,) if short else SHARES
        wanted = [middle(start, end, share) for share in shares]
        if cut.radius:
            wanted = [view.at(p) for rim in rims(sheet, cut) for p in (*rim[len(rim) // 2 :], *rim)]
        spot, moved = _disc_place(wanted, radius, space, f"cut {cut.number}", settled=not short or bool(cut.radius))
        items: list[Item] = []
        if moved:
            items.append(Stroke((wanted[0], spot), "leader"))
        items.append(numbered(spot, str(cut.number)))
        if abs(cut.bevel) > 1e-6:
            words = say("sheet.angle", angle=degrees_text(abs(cut.bevel)))
            items += _bevel(words, start, end, spot, radius, space)
        found.append(Group(tuple(items), "cutnumber", str(cut.number)))
    return tuple(found)


SHARES = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.12, 0.88, *(k / 60 for k in range(2, 59)))
"""Parts of a line where its number may lie, best liked first."""


GRAZE = 0.3
"""A number may touch another line by so much. [mm]"""


def _disc_place(wanted: Sequence[Point], radius: float, space: Room, own: str, *, settled: bool) -> tuple[Point, bool]:
    """Return where a number lies: on its line where the fewest other lines run, or beside it.

    A number that is not settled rather leaves its line than lie on another one.
    """
    squares = [(spot, _square(spot, 2 * radius)) for spot in wanted]
    inner = 2 * (radius - GRAZE)
    free = [
        (space.disliked(_square(spot, inner), own, SIGN), k)
        for k, (spot, square) in enumerate(squares)
        if space.free(square)
    ]
    hits, best = min(free, default=(0, -1))
    if best >= 0 and (settled or hits == 0):
        space.take(squares[best][1])
        return wanted[best], False
    spot = space.near(wanted[0], radius, detour=DETOUR)
    square = _square(spot, 2 * radius)
    if best >= 0 and space.disliked(square, SIGN) > 0:
        space.take(squares[best][1])
        return wanted[best], False
    space.take(square)
    return spot, True


def _bevel(words: str, start: Point, end: Point, spot: Point, radius: float, space: Room) -> list[Item]:
    way = ((end[0] - start[0]), (end[1] - start[1]))
    turn = readable_turn(way)
    long = distance(start, end) or 1.0
    unit = (way[0] / long, way[1] / long)
    places = []
    for side in (2.7, -2.7):
        for along in (radius + 5, -radius - 5, 15.0, -15.0, 30.0, -30.0):
            at = offset(offset(spot, unit, along), (-unit[1], unit[0]), side)
            places.append(Text(at, words, 3.6, "chalk-text", turn_deg=turn))
    text, away = space.put(places)
    return [Stroke((spot, text.at), "leader"), text] if away else [text]


def bands_of(sheet: Sheet, view: View) -> tuple[tuple[Point, ...], ...]:
    """Return where the tape lies along the bottom and the left edge. [mm]"""
    corner = view.at((0, 0))
    found = []
    for long, way, out in ((sheet.length, (1.0, 0.0), (0.0, 1.0)), (sheet.width, (0.0, -1.0), (-1.0, 0.0))):
        end = offset(corner, way, long * view.scale)
        found.append((corner, end, offset(end, out, TAPE), offset(corner, out, TAPE)))
    return tuple(found)


def tape_bands(sheet: Sheet, view: View, inch: bool) -> tuple[Group, ...]:
    """Draw a tape along the bottom and the left edge, hooked on the datum corner."""
    step, big = (0.0254, 12) if inch else (0.05, 10)
    while step * view.scale < 1.6:
        step, big = step * 2, max(1, big // 2)
    corner = view.at((0, 0))
    deep = TAPE
    bands: list[Item] = []
    sides = ((sheet.length, (1.0, 0.0), (0.0, 1.0)), (sheet.width, (0.0, -1.0), (-1.0, 0.0)))
    for band, (long, way, out) in zip(bands_of(sheet, view), sides, strict=True):
        bands.append(Area((band,), "tape-band"))
        for n in range(1, int(long / step + 1e-6) + 1):
            at = offset(corner, way, n * step * view.scale)
            tick = deep if n % big == 0 else 0.4 * deep
            bands.append(Stroke((at, offset(at, out, tick)), "thin" if n % big == 0 else "hair"))
    x, y = corner
    hook = (
        (x - 3.6, y - 3.2),
        (x - 2.4, y - 3.2),
        (x - 2.4, y + 2.4),
        (x + 3.2, y + 2.4),
        (x + 3.2, y + 3.6),
        (x - 3.6, y + 3.6),
    )
    bands.append(Area((hook,), "solid"))
    return (Group(tuple(bands), "tape", title=say("sheet.from-here")),)
