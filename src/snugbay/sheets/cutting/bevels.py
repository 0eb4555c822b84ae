"""Bevelled sides: what the blank must hold of a piece, and which sides are cut at an angle."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, tan

from shapely import MultiPoint, union_all
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as ShapelyPoint

from snugbay.base import NoFit
from snugbay.pieces import Piece
from snugbay.pieces.plane import offset_outline
from snugbay.survey import Point

SQUARE = 1e-6
"""A side whose bevel is smaller is square. [rad]"""
MARKS = 4
"""A side of the pattern lies within so many marks of the side of the piece that it stands for."""
_ALIKE = 0.99
"""Cosine of the angle within which two sides run the same way."""
_JOINED = 1e-8
_GRID = 1e-10
"""Corners are joined on a grid so fine: sides that nearly coincide made the union fail. [m]"""


@dataclass(frozen=True)
class Slope:
    """A bevelled side of a piece, where it sticks out furthest.

    Attributes
    ----------
    start, end : Point
        The back's edge where the back is larger, otherwise the front's; the piece lies to the left. [m]
    bevel : float
        From square; positive where the back is the larger face. [rad]
    """

    start: Point
    end: Point
    bevel: float

    def moved(self, dx: float, dy: float) -> Slope:
        """Return it moved. [m]"""
        return Slope((self.start[0] + dx, self.start[1] + dy), (self.end[0] + dx, self.end[1] + dy), self.bevel)


def shadow(piece: Piece) -> tuple[Polygon, tuple[Slope, ...]]:
    """Return all that a piece covers, front, back and between, and its bevelled sides.

    Notches and inside corners stay; a bevelled side moves straight from its place on the front to that on the back.

    Raises
    ------
    NoFit
        If front and back do not make one outline.
    """
    front = Polygon(piece.outline)
    if all(abs(e.bevel) < SQUARE for e in piece.edges):
        return front, ()
    points, tags = offset_outline(piece.outline, [-piece.thickness * tan(e.bevel) for e in piece.edges])
    parts, slopes = [front, Polygon(points).buffer(0)], []
    for k, number in enumerate(tags):
        bevel = piece.edges[number].bevel if number >= 0 else 0.0
        if abs(bevel) < SQUARE:
            continue
        back = (points[k], points[(k + 1) % len(points)])
        ahead = (piece.outline[number], piece.outline[(number + 1) % len(piece.outline)])
        slopes.append(Slope(*(back if bevel > 0 else ahead), bevel))
        parts.append(MultiPoint([*back, *ahead]).convex_hull)
    whole = union_all(parts, grid_size=_GRID).buffer(_JOINED, join_style="mitre").buffer(-_JOINED, join_style="mitre")
    if not isinstance(whole, Polygon):
        raise NoFit(
            f"Front and back of piece {piece.id} do not make one outline.",
            where=("pieces", piece.id),
            hint="Give the face's join an angle nearer to square, or say who runs past.",
        )
    return Polygon(whole.simplify(_JOINED).exterior), tuple(slopes)


def bevelled_sides(
    outline: Sequence[Point], slopes: Sequence[Slope], mark: float, done: Sequence[Slope] = ()
) -> tuple[Slope, ...]:
    """Return the sides of a pattern that are still to be bevelled; those in one line with one bevel as one side.

    Parameters
    ----------
    outline : sequence of Point
        The pattern's, counter-clockwise. [m]
    slopes : sequence of Slope
        Of the piece, in the same axes.
    mark : float
        Distance between two marks. [m]
    done : sequence of Slope
        Bevelled cuts that were made.
    """
    found: list[Slope] = []
    for a, b in zip(outline, (*outline[1:], outline[0]), strict=True):
        bevel = _bevel_of(a, b, slopes, mark)
        if bevel == 0.0:
            continue
        side = Slope(a, b, bevel)
        if any(runs_along(side, cut, mark) for cut in done):
            continue
        twin = next((i for i, other in enumerate(found) if _in_line(other, side)), None)
        if twin is None:
            found.append(side)
        else:
            found[twin] = _together(found[twin], side)
    return tuple(found)


def _bevel_of(a: Point, b: Point, slopes: Sequence[Slope], mark: float) -> float:
    """Return the bevel of the nearest slope that runs along a side; 0 where there is none."""
    spot = ShapelyPoint((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    near = [
        (LineString([s.start, s.end]).distance(spot), s.bevel)
        for s in slopes
        if _cosine((a, b), (s.start, s.end)) > _ALIKE
    ]
    far, bevel = min(near, default=(float("inf"), 0.0))
    return bevel if far < MARKS * mark else 0.0


def _cosine(one: tuple[Point, Point], two: tuple[Point, Point]) -> float:
    (ax, ay), (bx, by) = ((q[0] - p[0], q[1] - p[1]) for p, q in (one, two))
    long = hypot(ax, ay) * hypot(bx, by)
    return (ax * bx + ay * by) / long if long > 0 else 0.0


def bevel_on(start: Point, end: Point, outline: Sequence[Point], slopes: Sequence[Slope], mark: float) -> float:
    """Return the bevel that all sides of a pattern along a line have in common; 0 where they have none. [rad]"""
    line = Slope(start, end, 0.0)
    sides = zip(outline, (*outline[1:], outline[0]), strict=True)
    found = {round(_bevel_of(a, b, slopes, mark), 6) for a, b in sides if runs_along(Slope(a, b, 0.0), line, mark)}
    return found.pop() if len(found) == 1 else 0.0


def runs_along(side: Slope, line: Slope, mark: float) -> bool:
    """True where a side lies on a line, both ways alike, but for the rounding of a mark."""
    if _cosine((side.start, side.end), (line.start, line.end)) < _ALIKE:
        return False
    long = hypot(line.end[0] - line.start[0], line.end[1] - line.start[1])
    ux, uy = (line.end[0] - line.start[0]) / long, (line.end[1] - line.start[1]) / long
    for x, y in (side.start, side.end):
        along = ux * (x - line.start[0]) + uy * (y - line.start[1])
        aside = ux * (y - line.start[1]) - uy * (x - line.start[0])
        if abs(aside) > 1.5 * mark or not -1.5 * mark <= along <= long + 1.5 * mark:
            return False
    return True


def _in_line(one: Slope, two: Slope) -> bool:
    """True where two sides lie on one straight line with one bevel."""
    if abs(one.bevel - two.bevel) > 1e-4 or _cosine((one.start, one.end), (two.start, two.end)) < 1 - 1e-9:
        return False
    long = hypot(one.end[0] - one.start[0], one.end[1] - one.start[1])
    ux, uy = (one.end[0] - one.start[0]) / long, (one.end[1] - one.start[1]) / long
    return all(abs(ux * (p[1] - one.start[1]) - uy * (p[0] - one.start[0])) < 1e-7 for p in (two.start, two.end))


def _together(one: Slope, two: Slope) -> Slope:
    def along(p: Point) -> float:
        return (p[0] - one.start[0]) * (one.end[0] - one.start[0]) + (p[1] - one.start[1]) * (one.end[1] - one.start[1])

    ends = sorted((one.start, one.end, two.start, two.end), key=along)
    return Slope(ends[0], ends[-1], one.bevel)
