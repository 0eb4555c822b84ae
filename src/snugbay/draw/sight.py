"""Seeing solids from a parallel view: where the eye stands, what hides what."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from math import cos, hypot, radians, sin

from snugbay.draw.geometry import Point, bounds
from snugbay.draw.placing import apart
from snugbay.draw.solid import Place, Solid

_ELEVATIONS = (25.0, -25.0)
_AZIMUTHS = tuple(22.5 + 45 * k for k in range(8))
_TOUCH = 1e-4
"""Solids this close count as touching, not as overlapping. [m]"""
LEAST_FACING = 0.25
"""Cosine between a front and the eye above which the front counts as seen."""
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


def eyes() -> tuple[Eye, ...]:
    """Return every view that is considered, those from above first."""
    return tuple(eye_at(azimuth, elevation) for elevation in _ELEVATIONS for azimuth in _AZIMUTHS)


def best_eye(fronts: Sequence[tuple[Place, float]]) -> Eye:
    """Return the view that shows the most of some fronts.

    Parameters
    ----------
    fronts : sequence of (Place, float)
        Direction in which a front faces (unit vector), and its area. [m²]
    """
    best, most = eye_at(_AZIMUTHS[0], _ELEVATIONS[0]), -1.0
    for eye in eyes():
        shown = sum(area * facing for normal, area in fronts if (facing := dot(normal, eye.towards)) > LEAST_FACING)
        shown *= 1.0 if eye.towards[2] > 0 else _LOOK_UP
        if shown > most + 1e-9:
            best, most = eye, shown
    return best


def spread_of(places: Sequence[Place]) -> float:
    """Return the diagonal of the box round places. [m]"""
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
