"""Empty sketches to take into the space: where each reading is to be pulled, with a line to write it on."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, cos, hypot, pi, sin

from snugbay.draw.face import corner_way
from snugbay.draw.geometry import Point, View, bounds, distance, middle, offset, scale_for
from snugbay.draw.placing import Room
from snugbay.draw.scene import Anchor, Area, Disc, Group, Item, Scene, Stroke, Text
from snugbay.draw.symbols import up_arrow
from snugbay.draw.texts import say
from snugbay.job import ReadingKind
from snugbay.job.field_sheets import AskedReading, SheetFace

_RIM = 11.0


def blank_sketch(face: SheetFace, asked: Sequence[AskedReading], width: float = 86.0, height: float = 70.0) -> Scene:
    """Draw one face of a field sheet with the numbers of its readings where they are to be taken.

    Parameters
    ----------
    face : SheetFace
        Outline, not to the user's scale.
    asked : sequence of AskedReading
        Readings of this face; numbers stand in discs, those that are checks in squares.
    width, height : float
        Of the drawing. [mm]
    """
    head = 7.0
    left, low, right, high = bounds(face.points)
    scale = scale_for((right - left, high - low), (width - 2 * _RIM, height - head - 2 * _RIM))
    mm = 1000 / scale
    view = View(mm, width / 2 - mm * (left + right) / 2, head + (height - head) / 2 + mm * (low + high) / 2)
    outline = view.all(face.points)
    space = Room((0.5, head, width - 0.5, height - 0.5))
    items: list[Item] = [
        Text((0, 2.6), face.title, 4.2, anchor=Anchor.START, bold=True),
        Group((Area((outline,), "hole"),), "face", face.name),
    ]
    n = len(outline)
    for k, (name, at) in enumerate(zip(face.corners, outline, strict=True)):
        way = corner_way(at, outline[k - 1], outline[(k + 1) % n])
        text, _ = space.put([Text(offset(at, way, 4.0), name, 4.8, bold=True)])
        items.append(Group((Disc(at, 0.8, "dot-solid"), text), "corner", name))
    at_corner = dict(zip(face.corners, outline, strict=True))
    for ask in asked:
        items.append(_asked(ask, at_corner, face.corners, space))
    centre = (sum(p[0] for p in outline) / n, sum(p[1] for p in outline) / n)
    spot = space.near(centre, 4.0, reach=30)
    word = Text((spot[0] + 2.6, spot[1]), say("face.up"), 3.2, anchor=Anchor.START, label=False)
    items.append(Group((*up_arrow(spot, (0.0, -1.0), 7.0).items, word), "up"))
    return Scene(width, height, tuple(items), face.title)


def _asked(ask: AskedReading, at: dict[str, Point], corners: tuple[str, ...], space: Room) -> Group:
    places = [at[c] for c in ask.corners if c in at]
    if len(places) < len(ask.corners) or not places:
        return Group((), "reading", str(ask.number))
    line: tuple[Item, ...] = ()
    spots: list[Point]
    p, q = places[0], places[1 % len(places)]
    n = len(corners)
    step = (corners.index(ask.corners[1 % len(places)]) - corners.index(ask.corners[0])) % n
    if ask.kind is ReadingKind.DISTANCE and step not in (1, n - 1):
        line = (Stroke((p, q), "ghost"),)
        spots = [middle(p, q, s) for s in (0.3, 0.7, 0.4, 0.6, 0.2, 0.8)]
    elif ask.kind in (ReadingKind.DISTANCE, ReadingKind.LEAN):
        way = _outward(p, q, at)
        far = 5.0 if ask.kind is ReadingKind.DISTANCE else -5.0
        spots = [offset(middle(p, q, s), way, far) for s in (0.5, 0.35, 0.65, 0.25, 0.75)]
    elif ask.kind is ReadingKind.ANGLE:
        line, spots = _corner_mark(places)
    else:
        line, spots = _dropped(ask, places)
    radius = 2.5
    for spot in spots:
        if space.free(_square(spot, radius)):
            break
    else:
        spot = space.near(spots[0], radius)
    space.take(_square(spot, radius))
    mark: Item = Disc(spot, radius, "number")
    if ask.check:
        mark = Area((_square(spot, radius),), "number")
    number = Text(spot, str(ask.number), 3.6, bold=True, label=False)
    return Group((*line, mark, number), "reading", str(ask.number), ask.text)


def _outward(p: Point, q: Point, at: dict[str, Point]) -> Point:
    long = distance(p, q) or 1.0
    side = (-(q[1] - p[1]) / long, (q[0] - p[0]) / long)
    centre = (sum(c[0] for c in at.values()) / len(at), sum(c[1] for c in at.values()) / len(at))
    mid = middle(p, q)
    inward = (centre[0] - mid[0]) * side[0] + (centre[1] - mid[1]) * side[1] > 0
    return (-side[0], -side[1]) if inward else side


def _square(at: Point, half: float) -> tuple[Point, ...]:
    x, y = at
    return ((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half))


def _corner_mark(places: list[Point]) -> tuple[tuple[Item, ...], list[Point]]:
    p, q, r = places
    a0, a1 = atan2(p[1] - q[1], p[0] - q[0]), atan2(r[1] - q[1], r[0] - q[0])
    sweep = (a1 - a0 + pi) % (2 * pi) - pi
    radius = 6.0
    arc = tuple((q[0] + radius * cos(a0 + sweep * k / 10), q[1] + radius * sin(a0 + sweep * k / 10)) for k in range(11))
    mid = a0 + sweep / 2
    spots = [(q[0] + far * cos(mid), q[1] + far * sin(mid)) for far in (10.0, 13.0, 16.0)]
    return (Stroke(arc, "thin"),), spots


def _dropped(ask: AskedReading, places: list[Point]) -> tuple[tuple[Item, ...], list[Point]]:
    p, q, r = places
    long = distance(p, q) or 1.0
    way = ((q[0] - p[0]) / long, (q[1] - p[1]) / long)
    foot = offset(p, way, (r[0] - p[0]) * way[0] + (r[1] - p[1]) * way[1])
    drop = (foot[0] - r[0], foot[1] - r[1])
    size = hypot(*drop) or 1.0
    out = (drop[0] / size, drop[1] / size)
    if ask.kind is ReadingKind.OFFSET:
        return (Stroke((foot, r), "ghost"),), [middle(foot, r, s) for s in (0.5, 0.35, 0.65)]
    tick = Stroke((offset(foot, out, 2), offset(foot, out, -2)), "thin")
    return (tick,), [offset(foot, out, 5.0), offset(offset(foot, out, 5.0), way, 6.0)]
