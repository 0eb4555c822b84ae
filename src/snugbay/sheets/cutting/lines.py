"""One cut inside a blank, and what it takes away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, tan

from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from snugbay.sheets.cutting.patterns import LEAST, TINY
from snugbay.sheets.cutting.tree import Leaf
from snugbay.sheets.values import RUNS, End
from snugbay.survey import Point

KINDS = ("through the blank", "stopped", "plunge")
ROUND = "round"
"""Kind of a cut along a rim, drawn from its centre."""
RUN_OUT = 0.03
"""A cut that ends on a blank's edge is drawn out of the board by so much. [m]"""
THREAD = 1e-6
"""Width of a knife's cut where shapes are parted. [m]"""
SLIT = 1e-5
"""No tool stops at a cut as narrow as this: it runs across. [m]"""
FAR = 20.0
"""Longer than any board. [m]"""


@dataclass(frozen=True)
class Saw:
    """What a tool takes of a board besides the line it follows.

    Attributes
    ----------
    kerf : float
        Of cuts that run on to an edge at both ends. [m]
    inside : float
        Of the tool that makes the cuts that stop. [m]
    overrun : float
        Past the mark of a cut that stops, unless the blade is set upright. [m]
    sweep : float
        How far a circular saw's blade reaches at the board's face beyond the edge where its cut ends; 0 for hand
        tools. [m]
    thickness : float
        Of the board. [m]
    """

    kerf: float = 0.0
    inside: float = 0.0
    overrun: float = 0.0
    sweep: float = 0.0
    thickness: float = 0.0

    def lean(self, bevel: float) -> float:
        """How far a bevelled cut comes out inside its line on the smaller face. [m]"""
        return self.thickness * tan(abs(bevel))


@dataclass(frozen=True)
class Line:
    """One cut inside a blank.

    Attributes
    ----------
    start, end : Point
        In the blank's axes; the piece lies to the left. [m]
    kind : str
        through the blank, stopped, plunge or round; a round one starts and ends at its centre.
    length : float
        [m]
    numbers : tuple of int
        Patterns whose side it makes.
    hole : bool
        True for the rim of a hole, a slit or a bite.
    partners : tuple of (Point, Point)
        Sides of other pieces that face its own and are made by it as well; they may reach over it by less than a mark.
    ends : tuple of frozenset of int
        Patterns whose own inside corner lies at the start and at the end: no run-out there, ever.
    radius : float
        Of a round cut; otherwise 0. [m]
    bevel : float
        From square; positive where the back is the larger face. [rad]
    stops : (End, End)
        What the tool does at the start and at the end.
    reach : (float, float)
        How far it runs on beyond start and end until it is out of the part in hand. [m]
    by_hand : bool
        True where a circular saw must not make it.
    drawn_out : bool
        True where it was drawn out to marks on the blank's edges, and its piece loses up to a mark.
    pinched : bool
        True where it stops because another piece lies in the way.
    """

    start: Point
    end: Point
    kind: str
    length: float
    numbers: tuple[int, ...]
    hole: bool = False
    ends: tuple[frozenset[int], frozenset[int]] = (frozenset(), frozenset())
    partners: tuple[tuple[Point, Point], ...] = ()
    radius: float = 0.0
    bevel: float = 0.0
    stops: tuple[End, End] = RUNS
    reach: tuple[float, float] = (0.0, 0.0)
    by_hand: bool = False
    drawn_out: bool = False
    pinched: bool = False

    @property
    def path(self) -> float:
        """Length that the tool cuts, its run to the edges with it. [m]"""
        return self.length + sum(self.reach)

    @property
    def shared(self) -> bool:
        """True where it makes sides of two pieces that face each other."""
        return bool(self.partners)


@dataclass(frozen=True)
class Swath:
    """A cut as wide as the tool makes it: which way it runs, and what it takes on either side.

    Attributes
    ----------
    start, end : Point
        The line. [m]
    right : float
        To the right of the line: the kerf. [m]
    left : float
        To the left, inside the piece, on the smaller face of a slanting cut. [m]
    """

    start: Point
    end: Point
    right: float
    left: float = 0.0

    def between(self, low: float, high: float) -> Polygon:
        """Return what it takes from so far beyond the start to so far beyond it. [m]"""
        ux, uy = unit(self.start, self.end)
        x, y = self.start
        corners = ((low, -self.left), (high, -self.left), (high, self._wide), (low, self._wide))
        return Polygon([(x + ux * along + uy * aside, y + uy * along - ux * aside) for along, aside in corners])

    @property
    def _wide(self) -> float:
        return max(self.right, THREAD)

    @property
    def length(self) -> float:
        """From mark to mark. [m]"""
        return hypot(self.end[0] - self.start[0], self.end[1] - self.start[1])

    def beyond(self, near: float, far: float, *, last: bool) -> Polygon:
        """Return what it takes between two distances past its end, or before its start. [m]"""
        return self.between(self.length + near, self.length + far) if last else self.between(-far, -near)

    def runs(self, part: BaseGeometry, *, last: bool) -> float:
        """Return how far past its end (before its start) it goes until its whole width is out of a part. [m]"""
        ux, uy = unit(self.start, self.end)
        (x, y), way = (self.end, (ux, uy)) if last else (self.start, (-ux, -uy))
        edge = min(THREAD, self._wide / 2)
        sides = {edge, self._wide / 2, self._wide - edge, *({edge - self.left} if self.left else ())}
        return max(_ahead(part, (x + uy * s, y - ux * s), way) for s in sides)


def _ahead(part: BaseGeometry, at: Point, way: Point) -> float:
    """Return how far a part reaches from a place in one direction without a gap that stops a tool. [m]"""
    ray = LineString([at, (at[0] + FAR * way[0], at[1] + FAR * way[1])])
    spans = []
    for one in getattr(found := part.intersection(ray), "geoms", [found]):
        along = [(x - at[0]) * way[0] + (y - at[1]) * way[1] for x, y in one.coords]
        if len(along) > 1:
            spans.append((min(along), max(along)))
    reached = 0.0
    for low, high in sorted(spans):
        if low > reached + SLIT:
            break
        reached = max(reached, high)
    return reached


def unit(a: Point, b: Point) -> Point:
    """Return the direction from a to b."""
    length = hypot(b[0] - a[0], b[1] - a[1])
    return (b[0] - a[0]) / length, (b[1] - a[1]) / length


def band(start: Point, end: Point, kerf: float, before: float = THREAD, after: float = THREAD) -> Polygon:
    """Return what a cut takes away: to the right of start - end, from so far before its marks to so far after them."""
    ux, uy = unit(start, end)
    wide = max(kerf, THREAD)
    a = (start[0] - ux * before, start[1] - uy * before)
    b = (end[0] + ux * after, end[1] + uy * after)
    return Polygon([a, b, (b[0] + uy * wide, b[1] - ux * wide), (a[0] + uy * wide, a[1] - ux * wide)])


def swath(leaf: Leaf, line: Line, kerf: float) -> Polygon:
    """Return what a cut takes away of a blank: where a mark lies on the blank's edge the tool runs out of the board."""
    return band(line.start, line.end, kerf, *_runs(leaf, line))


def _runs(leaf: Leaf, line: Line) -> tuple[float, float]:
    """Return how far a cut goes beyond its marks. [m]"""
    before, after = (
        max(reach, RUN_OUT if at_rim(leaf, p) else THREAD)
        for p, reach in zip((line.start, line.end), line.reach, strict=True)
    )
    return before, after


def taken(leaf: Leaf, line: Line, kerf: float, mark: float) -> Polygon:
    """Return what a shared cut leaves no second piece: its kerf, and the mark's width before it."""
    (x0, y0), (x1, y1) = line.start, line.end
    ux, uy = unit(line.start, line.end)
    before, after = _runs(leaf, line)
    return band((x0 - mark * uy, y0 + mark * ux), (x1 - mark * uy, y1 + mark * ux), mark + kerf, before, after)


def at_rim(leaf: Leaf, p: Point) -> bool:
    """True for a place on the blank's edges."""
    return min(abs(p[0]), abs(p[1]), abs(p[0] - leaf.width), abs(p[1] - leaf.height)) < TINY


def pared(leaf: Leaf, line: Line, others: Sequence[Line], kerf: float) -> float:
    """Return how thin a strip a cut takes off where, with its kerf, that is less than anybody cuts; else 0. [m]

    Thin is the whole of what lies beyond the cut, to the blank's edge or to the cut of another piece beside it.
    """
    if line.hole or line.radius:
        return 0.0
    ux, uy = unit(line.start, line.end)

    def beyond(points: Sequence[Point]) -> list[float]:
        return [(x - line.start[0]) * uy - (y - line.start[1]) * ux - kerf for x, y in points]

    corners = ((0.0, 0.0), (leaf.width, 0.0), (leaf.width, leaf.height), (0.0, leaf.height))
    found = [max(0.0, *beyond(corners))]
    for other in (o for o in others if o is not line and not o.hole):
        vx, vy = unit(other.start, other.end)
        along = sorted((x - line.start[0]) * ux + (y - line.start[1]) * uy for x, y in (other.start, other.end))
        beside = min(along[1], line.length) - max(along[0], 0.0) > 0.5 * min(line.length, other.length)
        gaps = beyond((other.start, other.end))
        if ux * vx + uy * vy < -0.99 and beside and min(gaps) > -TINY:
            found.append(max(gaps))
    return min((thin for thin in found if TINY < thin < LEAST - kerf - TINY), default=0.0)
