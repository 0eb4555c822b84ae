"""The pieces in space, drawn apart along the way they go in, nearer ones over farther ones."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from math import cos, hypot, radians, sin

from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from snugbay.draw.geometry import Point, bounds, polygon, polygons, rings_of, scale_for, spot_inside
from snugbay.draw.lettering import wrapped
from snugbay.draw.placing import Room, apart
from snugbay.draw.scene import Anchor, Area, Group, Item, Scene, Stroke, Text
from snugbay.draw.solid import Place, Solid, solid_of, to_world
from snugbay.draw.texts import say
from snugbay.job import Job
from snugbay.pieces import PieceKind, PieceSet
from snugbay.survey import AdjustedFace, Frame, Survey

_ELEVATIONS = (25.0, -25.0)
_AZIMUTHS = tuple(22.5 + 45 * k for k in range(8))
_TOUCH = 1e-4
"""Solids this close count as touching, not as overlapping. [m]"""
_LOOK_UP = 0.85
"""A view from below must show this much more to be taken: people read a view from above more easily."""


@dataclass(frozen=True)
class Eye:
    """A parallel view.

    Attributes
    ----------
    right, up, towards : Place
        Unit vectors on the page and towards the eye, in the world.
    """

    right: Place
    up: Place
    towards: Place

    def flat(self, place: Place) -> Point:
        """Return the place on the picture plane, y up. [m]"""
        return (dot(self.right, place), dot(self.up, place))


def dot(a: Place, b: Place) -> float:
    """Return the dot product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Place, b: Place) -> Place:
    """Return the cross product."""
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def eye_at(azimuth_deg: float, elevation_deg: float) -> Eye:
    """Return the parallel view from a direction round the plumb line and a height over the level."""
    a, e = radians(azimuth_deg), radians(elevation_deg)
    towards = (cos(e) * cos(a), cos(e) * sin(a), sin(e))
    right = (-sin(a), cos(a), 0.0)
    return Eye(right, cross(towards, right), towards)


def best_eye(faces: Sequence[AdjustedFace]) -> Eye:
    """Return the view that shows the most of the boards' side of the faces."""
    best, most = eye_at(_AZIMUTHS[0], _ELEVATIONS[0]), -1.0
    for elevation in _ELEVATIONS:
        for azimuth in _AZIMUTHS:
            eye = eye_at(azimuth, elevation)
            shown = sum(f.area * max(0.0, dot(f.frame.normal, eye.towards)) for f in faces if f.frame)
            shown *= 1.0 if elevation > 0 else _LOOK_UP
            if shown > most + 1e-9:
                best, most = eye, shown
    return best


def exploded(
    job: Job, survey: Survey, pieces: PieceSet, explode: float = 1.0, width: float = 180.0, most_height: float = 190.0
) -> Scene:
    """Draw all pieces in their places, drawn apart along the way they go in.

    Parameters
    ----------
    job : Job
        Names of the faces.
    survey : Survey
        Where the faces stand.
    pieces : PieceSet
        What to draw.
    explode : float
        0 draws every piece in its place, 1 apart by about a sixth of the whole.
    width, most_height : float
        Room on the page. [mm]
    """
    frames: dict[str, Frame] = {f.id: f.frame for f in survey.faces if f.frame is not None}
    here = tuple(p for p in pieces.pieces if p.face in frames)
    missing = sorted({p.face for p in pieces.pieces} - frames.keys())
    used = {p.face for p in here}
    faces = tuple(f for f in survey.faces if f.id in used)
    title = say("exploded.title")
    if not here:
        return Scene(width, 12.0, (Text((0, 4), title, 6.0, anchor=Anchor.START, bold=True),), title)
    eye = best_eye(faces)
    outlines = tuple(tuple(to_world(frames[f.id], p, 0.0) for p in f.points) for f in faces)
    reach = explode * _size([c for o in outlines for c in o]) / 7
    solids = tuple(solid_of(p, frames[p.face], reach * (p.layer + (p.kind is PieceKind.PLUG))) for p in here)
    seated = tuple(solid_of(p, frames[p.face]) for p in here)
    places = [c for s in solids for ring in (*s.front, *s.back) for c in ring] + [c for o in outlines for c in o]
    left, low, right, high = bounds(eye.flat(c) for c in places)
    head = 10.0
    scale = scale_for((right - left, high - low), (width - 30, most_height - head - 18))
    mm = 1000 / scale
    height = head + (high - low) * mm + 18
    x0, y0 = width / 2 - mm * (left + right) / 2, head + 8 + mm * high

    def page(place: Place) -> Point:
        x, y = eye.flat(place)
        return (x0 + mm * x, y0 - mm * y)

    order = drawing_order(solids, eye)
    items: list[Item] = [Text((0, 3.6), title, 6.0, anchor=Anchor.START, bold=True)]
    items += [Group((Stroke(tuple(map(page, o)), "ghost", closed=True),), "face") for o in outlines]
    if explode > 0:
        items += [_way_in(s, t, page) for s, t in zip(seated, solids, strict=True)]
    items += [_drawn(solids[k], eye, page) for k in order]
    space = Room((0.0, head, width, height))
    items += _labels(solids, order, eye, page, space)
    about = say("exploded.about")
    for n, line in enumerate(wrapped(say("exploded.missing", faces=", ".join(missing)), width, 3.4) if missing else ()):
        items.append(Text((0, height + 3 + 5 * n), line, 3.4, "ink", Anchor.START))
    height += 8.0 if missing else 0.0
    notes = (("scale", f"1:{scale:g}"), ("missing", ", ".join(missing)))
    return Scene(width, height, tuple(items), f"{title}: {job.title}", about, notes)


def _size(places: Sequence[Place]) -> float:
    spans = [max(axis) - min(axis) for axis in zip(*places, strict=True)]
    return hypot(*spans)


def _corners(solid: Solid) -> tuple[Place, ...]:
    return tuple(c for ring in (solid.front[0], solid.back[0]) for c in ring)


def drawing_order(solids: Sequence[Solid], eye: Eye) -> tuple[int, ...]:
    """Return the order in which to draw solids so that nearer ones come after those they hide.

    For every pair whose pictures overlap, a plane between the two says which is nearer; the order follows from a
    topological sort. Where the pairs go round in a ring, or no plane lies between them, the farther middle comes first.
    """
    corners = [_corners(s) for s in solids]
    pictures = [_hull([eye.flat(c) for c in cs]) for cs in corners]
    boxes = [bounds(p) for p in pictures]
    depth = [sum(dot(eye.towards, c) for c in cs) / len(cs) for cs in corners]
    after: list[set[int]] = [set() for _ in solids]
    waits = [0] * len(solids)
    for i in range(len(solids)):
        for j in range(i + 1, len(solids)):
            a, b = boxes[i], boxes[j]
            if a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1] or apart(pictures[i], pictures[j]):
                continue
            nearer = _nearer(solids[i], solids[j], corners[i], corners[j], eye)
            if nearer == 0:
                nearer = 1 if depth[j] > depth[i] else -1
            first, second = (i, j) if nearer > 0 else (j, i)
            if second not in after[first]:
                after[first].add(second)
                waits[second] += 1
    return _sorted(after, waits, depth)


def _sorted(after: list[set[int]], waits: list[int], depth: list[float]) -> tuple[int, ...]:
    ready: list[tuple[float, int]] = []
    for k, count in enumerate(waits):
        if count == 0:
            heappush(ready, (depth[k], k))
    left = set(range(len(waits)))
    order: list[int] = []
    while left:
        if ready:
            _, k = heappop(ready)
            if k not in left:
                continue
        else:
            k = min(left, key=lambda m: (depth[m], m))
        left.remove(k)
        order.append(k)
        for m in after[k]:
            waits[m] -= 1
            if waits[m] == 0 and m in left:
                heappush(ready, (depth[m], m))
    return tuple(order)


def _nearer(a: Solid, b: Solid, ca: tuple[Place, ...], cb: tuple[Place, ...], eye: Eye) -> int:
    """Return 1 where b is nearer to the eye than a, -1 where a is, 0 where no plane between them tells."""
    best, verdict = -_TOUCH, 0
    for axis in (*_axes(a), *_axes(b)):
        facing = dot(axis, eye.towards)
        if abs(facing) < 1e-9:
            continue
        low_a, high_a = _span(axis, ca)
        low_b, high_b = _span(axis, cb)
        for gap, sign in ((low_b - high_a, 1), (low_a - high_b, -1)):
            if gap > best:
                best, verdict = gap, sign if facing > 0 else -sign
    return verdict


def _span(axis: Place, corners: tuple[Place, ...]) -> tuple[float, float]:
    values = [dot(axis, c) for c in corners]
    return min(values), max(values)


def _axes(solid: Solid) -> tuple[Place, ...]:
    """Return the directions square to a solid's caps and walls."""
    found = [solid.normal]
    ring = solid.front[0]
    for k, p in enumerate(ring):
        q, back = ring[(k + 1) % len(ring)], solid.back[0][k]
        wall = cross((q[0] - p[0], q[1] - p[1], q[2] - p[2]), (back[0] - p[0], back[1] - p[1], back[2] - p[2]))
        long = dot(wall, wall) ** 0.5
        if long > 1e-12:
            found.append((wall[0] / long, wall[1] / long, wall[2] / long))
    return tuple(found)


def _hull(points: Sequence[Point]) -> tuple[Point, ...]:
    """Return the convex hull, counter-clockwise (Andrew's monotone chain)."""
    ordered = sorted(set(points))
    if len(ordered) < 3:
        return tuple(ordered)

    def half(run: Sequence[Point]) -> list[Point]:
        kept: list[Point] = []
        for p in run:
            while len(kept) > 1 and _turn(kept[-2], kept[-1], p) <= 0:
                kept.pop()
            kept.append(p)
        return kept[:-1]

    return (*half(ordered), *half(ordered[::-1]))


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


OnPage = Callable[[Place], Point]


def _drawn(solid: Solid, eye: Eye, place: OnPage) -> Group:
    """Draw a solid: the walls that face the eye, far ones first, then the cap that does."""
    walls: list[tuple[float, Area]] = []
    for front, back in zip(solid.front, solid.back, strict=True):
        for k, p in enumerate(front):
            m = (k + 1) % len(front)
            quad = (p, front[m], back[m], back[k])
            out = cross(_less(front[m], p), _less(back[k], p))
            facing = -dot(out, eye.towards)
            if facing > 1e-12:
                steep = facing / (dot(out, out) ** 0.5)
                far = sum(dot(eye.towards, c) for c in quad) / 4
                walls.append((far, Area((tuple(map(place, quad)),), "board-edge" if steep > 0.45 else "board-side")))
    walls.sort(key=lambda w: w[0])
    seen_front = dot(solid.normal, eye.towards) > 0
    cap = solid.front if seen_front else solid.back
    look = ("board" if solid.piece.layer % 2 else "board-two") if seen_front else "board-edge"
    items = (*(area for _, area in walls), Area(tuple(tuple(map(place, ring)) for ring in cap), look))
    return Group(items, "piece", solid.piece.id, solid.piece.id)


def _less(a: Place, b: Place) -> Place:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def _way_in(seated: Solid, lifted: Solid, place: OnPage) -> Group:
    """Draw the way a piece goes in: from its back, drawn apart, to where its back will lie."""
    ring = seated.back[0]
    lines = []
    for k in range(0, len(ring), max(1, len(ring) // 4)):
        lines.append(Stroke((place(ring[k]), place(lifted.back[0][k])), "leader"))
    return Group(tuple(lines), "wayin", seated.piece.id)


def _labels(solids: Sequence[Solid], order: Sequence[int], eye: Eye, place: OnPage, space: Room) -> tuple[Group, ...]:
    """Letter each piece where it can be seen; with a leader where it is hidden or too crowded."""
    hidden: BaseGeometry = Polygon()
    found = []
    for k in reversed(order):
        solid = solids[k]
        cap = solid.front if dot(solid.normal, eye.towards) > 0 else solid.back
        rings = [tuple(map(place, ring)) for ring in cap]
        seen = polygons(polygon(rings).difference(hidden))
        spot, depth = spot_inside(rings_of(seen[0]) if seen and seen[0].area > 4 else rings, 0.4)
        size = 4.6 if depth > 4 else 3.8
        text, moved = space.put([Text(spot, solid.piece.id, size, "ink-halo", bold=True)], reach=60)
        leader: tuple[Item, ...] = (Stroke((spot, text.at), "leader"),) if moved else ()
        found.append(Group((*leader, text), "label", solid.piece.id))
        outline = polygon([tuple(map(place, ring)) for ring in solid.front])
        hidden = hidden.union(outline).union(polygon([tuple(map(place, ring)) for ring in solid.back]))
    return tuple(found)
