"""One cut inside a blank, and what it takes away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from shapely.geometry import LineString, Polygon

from snugbay.sheets.cutting.patterns import LEAST, TINY
from snugbay.sheets.cutting.tree import Leaf
from snugbay.survey import Point

KINDS = ("through the blank", "stopped", "plunge")
ROUND = "round"
"""Kind of a cut along a rim, drawn from its centre."""
RUN_OUT = 0.03
"""Room that a tool needs beyond the end of a cut (assumption). [m]"""
THREAD = 1e-6
"""Width of a knife's cut where shapes are parted. [m]"""


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

    @property
    def shared(self) -> bool:
        """True where it makes sides of two pieces that face each other."""
        return bool(self.partners)


def tail(a: Point, b: Point) -> LineString:
    """Return where a tool runs out beyond b on the line from a."""
    ux, uy = unit(a, b)
    return LineString([(b[0] + ux * 1e-5, b[1] + uy * 1e-5), (b[0] + ux * RUN_OUT, b[1] + uy * RUN_OUT)])


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
    before, after = (RUN_OUT if at_rim(leaf, p) else THREAD for p in (line.start, line.end))
    return band(line.start, line.end, kerf, before, after)


def taken(leaf: Leaf, line: Line, kerf: float, mark: float) -> Polygon:
    """Return what a shared cut leaves no second piece: its kerf, and the mark's width before it."""
    (x0, y0), (x1, y1) = line.start, line.end
    ux, uy = unit(line.start, line.end)
    before, after = (RUN_OUT if at_rim(leaf, p) else THREAD for p in (line.start, line.end))
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
