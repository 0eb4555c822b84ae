"""Round holes and round bites: marked by centre and radius, cut by hand, never laid with a straightedge.

A pipe through a board reaches the sheets as a polygon of many sides. Where a seam runs through it, each of the two
boards has a round bite in its outline. Both are taken out of the outline here: what is laid and cut straight is the
outline with the bites filled, and the rounds are cut after all straight sides.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from math import atan2, ceil, cos, hypot, isclose, pi, sin

from shapely.geometry import LineString, MultiPolygon, Polygon
from shapely.geometry import Point as ShapelyPoint
from shapely.geometry.base import BaseGeometry

from snugbay.survey import Point

ROUND_SIDES = 9
"""A hole with so many sides or more, all corners equally far from its middle, is drawn with a compass."""
ALIKE = 0.02
"""Part by which sides and angles of a round one may differ."""
LEAST_TURN = pi / 60
"""A rim turns by so much at each corner at least; a flatter line is a wavy edge. [rad]"""
LEAST_CORNERS = 3
"""Corners of a rim in an outline from which it is taken for a bite."""
SIDES = 64
"""Sides of the polygon that stands for a disc; it holds the disc."""
_TINY = 1e-7
Step = Callable[[Point], Point]
"""Moves or turns a point."""


@dataclass(frozen=True)
class Round:
    """A round hole, or a bite in an outline.

    Attributes
    ----------
    centre : Point
        On marks. [m]
    radius : float
        A whole number of marks, never smaller than the hole asks. [m]
    true_centre, true_radius
        Before rounding; the radius reaches the corners of the polygon. [m]
    rim : tuple of Point
        Corners of the piece's outline along a bite; empty for a hole. [m]
    """

    centre: Point
    radius: float
    true_centre: Point
    true_radius: float
    rim: tuple[Point, ...] = ()

    @cached_property
    def disc(self) -> Polygon:
        """What is taken away. [m]"""
        return ShapelyPoint(self.centre).buffer(self.radius / cos(pi / SIDES), quad_segs=SIDES // 4)

    def moved(self, dx: float, dy: float) -> Round:
        """Return it moved. [m]"""
        return self._carried(lambda p: (p[0] + dx, p[1] + dy))

    def turned(self, cosine: int, sine: int) -> Round:
        """Return it turned about (0, 0) by quarter turns."""
        return self._carried(lambda p: (cosine * p[0] - sine * p[1], sine * p[0] + cosine * p[1]))

    def _carried(self, step: Step) -> Round:
        return replace(
            self,
            centre=step(self.centre),
            true_centre=step(self.true_centre),
            rim=tuple(step(p) for p in self.rim),
        )

    def settled(self, mark: float) -> Round:
        """Return it with its centre on the nearest mark and a radius on a mark that still holds the whole hole."""
        x, y = (round(v / mark) * mark for v in self.true_centre)
        aside = hypot(self.true_centre[0] - x, self.true_centre[1] - y)
        return replace(self, centre=(x, y), radius=mark * ceil((self.true_radius + aside) / mark - 1e-4))

    def swallows(self, corner: Point) -> bool:
        """True for a corner of the filled outline that the piece itself has not, since it lies in the bite."""
        x, y = self.true_centre
        sides = (hypot((a[0] + b[0]) / 2 - x, (a[1] + b[1]) / 2 - y) for a, b in pairwise(self.rim))
        return hypot(corner[0] - x, corner[1] - y) < min(sides, default=0.0) - _TINY

    def arc(self, shape: BaseGeometry) -> float:
        """Length of the rim that lies in a shape. [m]"""
        return float(self.disc.exterior.intersection(shape).length)


def finished(shape: Polygon, rounds: Sequence[Round]) -> Polygon:
    """Return a shape without its rounds; where a bite leaves crumbs, the largest part. [m]"""
    left: Polygon | MultiPolygon = shape
    for one in rounds:
        left = left.difference(one.disc)
    return left if isinstance(left, Polygon) else max(left.geoms, key=lambda part: part.area)


def compass(hole: Sequence[Point]) -> tuple[Point, float] | None:
    """Return middle and radius of a round hole, None for any other. [m]"""
    middle = (sum(p[0] for p in hole) / len(hole), sum(p[1] for p in hole) / len(hole))
    far = [hypot(p[0] - middle[0], p[1] - middle[1]) for p in hole]
    return (middle, max(far)) if len(hole) >= ROUND_SIDES and max(far) - min(far) < ALIKE * max(far) else None


def round_hole(hole: Sequence[Point], mark: float) -> Round | None:
    """Return a round hole with its centre and radius on marks; None for any other hole."""
    found = compass(hole)
    return None if found is None else Round(*found, *found).settled(mark)


def without_bites(outline: Sequence[Point], mark: float) -> tuple[tuple[Point, ...], tuple[Round, ...]]:
    """Return an outline with its round bites filled, and the bites.

    Parameters
    ----------
    outline : sequence of Point
        Counter-clockwise. [m]
    mark : float
        Distance between two marks. [m]
    """
    points, found = list(outline), list[Round]()
    while (bite := next(_bites(points), None)) is not None:
        round_, points = bite
        found.append(round_.settled(mark))
    return tuple(points), tuple(found)


def arcs(outline: Sequence[Point]) -> tuple[tuple[Point, float, tuple[Point, ...]], ...]:
    """Return centre, radius and rim of every round bite of an outline, counter-clockwise. [m]"""
    return tuple((r.true_centre, r.true_radius, r.rim) for r in without_bites(outline, 1e-3)[1])


def _bites(points: list[Point]) -> Iterator[tuple[Round, list[Point]]]:
    """Yield bites, each with the outline without it."""
    count = len(points)
    turns = [_turn(points[i - 1], points[i], points[(i + 1) % count]) for i in range(count)]
    rounded = [-2 * pi / ROUND_SIDES - 1e-6 <= t <= -LEAST_TURN for t in turns]
    if all(rounded):
        return
    for first in range(count):
        if not rounded[first]:
            continue
        if rounded[first - 1] and _goes_on(points, turns, first - 1, first - 1):
            continue
        last = first
        while rounded[(last + 1) % count] and last - first < count and _goes_on(points, turns, first, last):
            last += 1
        if last - first + 1 >= LEAST_CORNERS:
            bite = _bite(points, turns, first, last)
            if bite is not None:
                yield bite


def _goes_on(points: Sequence[Point], turns: Sequence[float], first: int, last: int) -> bool:
    """True where the corner after ``last`` belongs to the rim that began at ``first``."""
    count = len(points)
    here, following = points[last % count], points[(last + 1) % count]
    side = hypot(following[0] - here[0], following[1] - here[1])
    one = hypot(points[(first + 1) % count][0] - points[first][0], points[(first + 1) % count][1] - points[first][1])
    alike = isclose(turns[(last + 1) % count], turns[first], rel_tol=2 * ALIKE)
    return alike and isclose(side, one, rel_tol=ALIKE)


def _bite(points: list[Point], turns: Sequence[float], first: int, last: int) -> tuple[Round, list[Point]] | None:
    count = len(points)
    run = [points[k % count] for k in range(first, last + 1)]
    turn = -turns[first]
    side = hypot(run[1][0] - run[0][0], run[1][1] - run[0][1])
    radius = side / (2 * sin(turn / 2))
    centre = _middle_of(run, radius * cos(turn / 2))
    if any(not isclose(hypot(p[0] - centre[0], p[1] - centre[1]), radius, rel_tol=ALIKE) for p in run):
        return None
    before, after = points[(first - 1) % count], points[(last + 1) % count]
    if any(hypot(a[0] - b[0], a[1] - b[1]) > side * (1 + ALIKE) for a, b in ((before, run[0]), (after, run[-1]))):
        return None
    if last - first + 5 > count:
        return None
    outer, beyond = points[(first - 2) % count], points[(last + 2) % count]
    rest = [points[k % count] for k in range(last + 2, first - 1 + count)]  # from beyond round to outer
    corner = _meeting(outer, before, beyond, after)
    inside = radius * cos(turn / 2)
    if corner is not None and hypot(corner[0] - centre[0], corner[1] - centre[1]) < inside:
        filled = [*rest, corner]
    elif _off_line(before, outer, beyond) < _TINY and _off_line(after, outer, beyond) < _TINY:
        filled = rest
    else:
        filled = [*rest, before, after]
    if not Polygon(filled).is_valid or not Polygon(filled).exterior.is_ccw:
        return None
    rim = (before, *run, after)
    far = max(hypot(p[0] - centre[0], p[1] - centre[1]) for p in rim)
    return Round(centre, far, centre, far, rim), filled


def _middle_of(run: Sequence[Point], inside: float) -> Point:
    """Return the centre of a rim: to the right of each of its sides, so far from the side's middle; the mean. [m]"""
    xs, ys = [], []
    for a, b in pairwise(run):
        long = hypot(b[0] - a[0], b[1] - a[1])
        xs.append((a[0] + b[0]) / 2 + inside * (b[1] - a[1]) / long)
        ys.append((a[1] + b[1]) / 2 - inside * (b[0] - a[0]) / long)
    return sum(xs) / len(xs), sum(ys) / len(ys)


def _turn(a: Point, b: Point, c: Point) -> float:
    """Return the turn at b, to the left positive. [rad]"""
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], c[0] - b[0], c[1] - b[1]
    return atan2(ux * vy - uy * vx, ux * vx + uy * vy)


def _meeting(a: Point, b: Point, c: Point, d: Point) -> Point | None:
    """Return where the sides a-b and c-d, drawn out beyond b and d, meet; None where they do not."""
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
    cross = ux * vy - uy * vx
    if abs(cross) < 1e-3 * hypot(ux, uy) * hypot(vx, vy):
        return None
    s = ((c[0] - a[0]) * vy - (c[1] - a[1]) * vx) / cross
    t = ((c[0] - a[0]) * uy - (c[1] - a[1]) * ux) / cross
    return (a[0] + s * ux, a[1] + s * uy) if s >= 1 - 1e-9 and t >= 1 - 1e-9 else None


def _off_line(p: Point, a: Point, b: Point) -> float:
    return float(LineString([a, b]).distance(ShapelyPoint(p)))
