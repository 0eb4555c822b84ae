"""Pieces as patterns on a tape's grid: every corner on a mark, never outside the piece.

A piece is rounded once, before it is laid: its straight sides go inwards to the next mark, its other corners to a mark
inside it. What is laid, marked and cut is the pattern, so that no mark has to be rounded again.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from math import ceil, floor, hypot, isclose

from shapely import intersects_xy, maximum_inscribed_circle
from shapely.affinity import translate
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as ShapelyPoint
from shapely.geometry.base import BaseGeometry

from snugbay.pieces import EdgeKind, Piece
from snugbay.sheets.cutting.bevels import SQUARE, Slope, shadow
from snugbay.sheets.cutting.rounds import Round, finished, round_hole, without_bites
from snugbay.survey import Point

TINY = 1e-7
"""Lengths that differ by less are equal. [m]"""


@dataclass(frozen=True)
class Pattern:
    """A piece on the grid.

    Attributes
    ----------
    piece : Piece
        The piece.
    shape : Polygon
        On the grid, lower left corner of its box at (0, 0), holes included, but no round ones. [m]
    bare : Polygon
        The piece itself, front and back together, where the pattern lies in it, its round bites filled. [m]
    slits : tuple of (Point, Point)
        From a side to a hole, in the pattern's axes. [m]
    on_grid : bool
        False where no pattern on the grid lies inside the piece; the shape is then the piece itself.
    slopes : tuple of Slope
        Bevelled sides of the piece, in the pattern's axes.
    rounds : tuple of Round
        Round holes and bites, cut after all straight sides.
    origin : Point
        Where the origin of the piece's own axes lies in the pattern's. [m]
    """

    piece: Piece
    shape: Polygon
    bare: Polygon
    slits: tuple[tuple[Point, Point], ...]
    on_grid: bool
    slopes: tuple[Slope, ...] = ()
    rounds: tuple[Round, ...] = ()
    origin: Point = (0.0, 0.0)

    @property
    def outline(self) -> tuple[Point, ...]:
        """Outline, counter-clockwise. [m]"""
        return ring(self.shape)


def ring(shape: Polygon) -> tuple[Point, ...]:
    """Return a polygon's outline, counter-clockwise, not closed."""
    points = [(float(x), float(y)) for x, y in shape.exterior.coords[:-1]]
    return tuple(points if shape.exterior.is_ccw else reversed(points))


def pattern(piece: Piece, mark: float, full: tuple[float, ...] = ()) -> Pattern:
    """Return the pattern of a piece.

    Parameters
    ----------
    piece : Piece
        With its bevels: the pattern holds its front and its back.
    mark : float
        Distance between two marks of the tape. [m]
    full : tuple of float
        Sizes of the sheet: a piece that is meant to be as long as the sheet keeps its factory ends. [m]
    """
    outer, slopes = shadow(piece)
    points, bites = without_bites(ring(outer), mark)
    slacks = wedges(points, piece, mark)
    x0, y0 = _best_origin(points, bites, mark, full, slacks)
    bare = Polygon([(x - x0, y - y0) for x, y in points])
    inside = snapped(bare, mark, slacks)
    shape = bare if inside is None else _factory_ends(inside, bare, mark, full)
    rounds = list(_settled(bites, x0, y0, mark))
    holes = []
    for hole in ([(x - x0, y - y0) for x, y in h] for h in piece.holes):
        found = round_hole(hole, mark)
        if found is None:
            holes.append(_hole(hole, mark))
        else:
            rounds.append(found)
    holed = Polygon(ring(shape), holes) if holes else shape
    low_x, low_y, high_x, high_y = shape.bounds

    def on_board(p: Point) -> Point:
        """A slit's end on marks; where it starts at a side it must not start beyond it."""
        x, y = _at(p[0] - x0, mark) - low_x, _at(p[1] - y0, mark) - low_y
        return min(max(x, 0.0), high_x - low_x), min(max(y, 0.0), high_y - low_y)

    slits = tuple((on_board(a), on_board(b)) for a, b in piece.slits)
    on_grid = inside is not None
    moved = tuple(s.moved(-x0 - low_x, -y0 - low_y) for s in slopes)
    placed = tuple(r.moved(-low_x, -low_y) for r in rounds)
    body = translate(holed, -low_x, -low_y)
    origin = (-x0 - low_x, -y0 - low_y)
    return Pattern(piece, body, translate(bare, -low_x, -low_y), slits, on_grid, moved, placed, origin)


STEPS = 4
"""Parts of a mark by which a piece is moved on the grid, to find where its corners lose least."""
FINE = 8
"""Parts of a mark that make a difference between two such places."""


def _best_origin(
    points: Sequence[Point], bites: Sequence[Round], mark: float, full: tuple[float, ...], slacks: Slacks
) -> Point:
    """Return what becomes (0, 0): of the places within a mark the one where the corner that loses most loses least.

    Between two straight sides, and where it is as long as the sheet, a piece has nothing to win: its lowest side keeps
    its mark. At the tip of a leaning side a mark's loss reaches further back the sharper it is, so there it pays.
    """
    x0, y0 = _origin(points, slacks, 0), _origin(points, slacks, 1)
    moves = [range(1 if _boxed(points, slacks, axis, full) else STEPS) for axis in (0, 1)]
    best, found = float("inf"), (x0, y0)
    for i, k in product(*moves):
        x, y = x0 + i * mark / STEPS, y0 + k * mark / STEPS
        lost = _lost(points, bites, x, y, mark, slacks)
        if lost < best - mark / FINE:
            best, found = lost, (x, y)
    return found


def _boxed(points: Sequence[Point], slacks: Slacks, axis: int, full: tuple[float, ...]) -> bool:
    """True where a piece lies between two straight sides along an axis, or is as long as the sheet."""
    low, high = min(p[axis] for p in points), max(p[axis] for p in points)
    sides = [s for s in _sides(points, slacks) if _straight(*s, axis)]
    between = all(any(abs(a[axis] - end) < slack for a, _, slack in sides) for end in (low, high))
    return between or any(abs(high - low - long) < 1e-4 for long in full)


def _lost(points: Sequence[Point], bites: Sequence[Round], x: float, y: float, mark: float, slacks: Slacks) -> float:
    """Return how far the corner that loses most lies from the pattern, with a place of the piece at (0, 0). [m]"""
    bare = Polygon([(px - x, py - y) for px, py in points])
    shape = snapped(bare, mark, slacks)
    if shape is None:
        return float("inf")
    rounds = tuple(_settled(bites, x, y, mark))
    return loss(finished(shape, rounds), bare, rounds)


def _settled(bites: Sequence[Round], x: float, y: float, mark: float) -> Iterator[Round]:
    return (bite.moved(-x, -y).settled(mark) for bite in bites)


def _at(value: float, mark: float) -> float:
    return round(value / mark) * mark


def _hole(points: Sequence[Point], mark: float) -> tuple[Point, ...]:
    """Return a hole with its corners on marks; never smaller, so the duct still passes."""
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    middle = ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
    corners = tuple((_away(x, middle[0], mark), _away(y, middle[1], mark)) for x, y in points)
    if Polygon(corners).is_valid and Polygon(corners).buffer(TINY).covers(Polygon(points)):
        return corners
    low, high = (_away(min(xs), middle[0], mark), _away(min(ys), middle[1], mark)), (max(xs), max(ys))
    right, top = _away(high[0], middle[0], mark), _away(high[1], middle[1], mark)
    return (low, (low[0], top), (right, top), (right, low[1]))


def _away(value: float, middle: float, mark: float) -> float:
    """Return the mark beyond a value, seen from the middle."""
    return mark * (ceil(value / mark - 1e-4) if value > middle else floor(value / mark + 1e-4))


SHRINKS = (0.0, 0.5, 1.0, 2.0)
"""Marks by which an outline is drawn in, one after the other, until its corners find marks inside the piece."""


def snapped(bare: Polygon, mark: float, slacks: Slacks = ()) -> Polygon | None:
    """Return a polygon's outline with its corners on marks and nowhere outside it; None where there is none.

    Parameters
    ----------
    bare : Polygon
        The outline. [m]
    mark : float
        Distance between two marks. [m]
    slacks : sequence of float
        How far each side may lean, end to end, and still be made straight; a mark each if not given. [m]
    """
    room = bare.buffer(TINY)
    for shrink in SHRINKS:
        start = bare.buffer(-shrink * mark, join_style="mitre") if shrink else bare
        if not isinstance(start, Polygon) or start.is_empty:
            return None
        points = ring(start)
        found = _snapped(points, mark, bare, slacks if slacks and not shrink else [mark] * len(points))
        if found is not None and room.covers(found) and found.area > 0.5 * bare.area:
            return found
    return None


def _factory_ends(shape: Polygon, bare: Polygon, mark: float, full: tuple[float, ...]) -> Polygon:
    """Return the pattern with sides drawn out to the sheet's ends where the piece is as long as the sheet."""
    points = list(ring(shape))
    for axis in (0, 1):
        size = bare.bounds[axis + 2] - bare.bounds[axis]
        low, high = shape.bounds[axis], shape.bounds[axis + 2]
        for length in full:
            if abs(size - length) < 1e-4 and TINY < length - (high - low) < 2 * mark:
                points = [_put(p, axis, low + length) if p[axis] > high - TINY else p for p in points]
    return Polygon(points)


def _put(point: Point, axis: int, value: float) -> Point:
    return (value, point[1]) if axis == 0 else (point[0], value)


def loss(shape: Polygon, bare: Polygon, rounds: Sequence[Round] = ()) -> float:
    """Return how far the piece's corner that lost most lies from a shape cut out of it. [m]

    Parameters
    ----------
    shape : Polygon
        As it is cut.
    bare : Polygon
        The piece, its bites filled.
    rounds : sequence of Round
        Its holes and bites: the corners along a bite count, those within it do not exist.
    """
    corners = [p for p in ring(bare) if not any(r.swallows(p) for r in rounds)]
    corners += [p for r in rounds for p in r.rim]
    return max(float(shape.exterior.distance(ShapelyPoint(p))) for p in corners)


def polygons(shape: BaseGeometry) -> list[Polygon]:
    """Return the parts of a shape that have an area."""
    return [p for p in getattr(shape, "geoms", [shape]) if isinstance(p, Polygon) and p.area > 0]


def thickest(shape: BaseGeometry) -> float:
    """Return the diameter of the largest disc in a shape: how wide a strip is that was lost all round. [m]"""
    parts = (p for p in polygons(shape) if p.area > 1e-9)
    return max((2 * float(maximum_inscribed_circle(p, 1e-5).length) for p in parts), default=0.0)


Slacks = Sequence[float]
"""How far each side of an outline may lean, end to end, and still be made straight. [m]"""
WEDGE_MARKS = 2
"""A side is given by two marks, each rounded by up to one: a lean below both together is no more than that rounding."""
LEAST = 0.125 * 0.0254
"""Nobody cuts less than this off a board: a knife follows the old edge, a saw has no wood to hold it, and the offcut is
dust (common practice, no source). [m]"""
BLUNT = 0.2
"""Cosine of the angle between two sides that meet nearly squarely, at most. [-]"""
WEDGE_LONG = 0.2
"""Shorter sides lean for a reason, as those of a notch round a rafter do. [m]"""


def wedges(points: Sequence[Point], piece: Piece, mark: float) -> tuple[float, ...]:
    """Return how far each side may lean and be cut straight: what nobody cuts off, beside foam at least two marks.

    The side is moved inwards instead, and the joint is wider by so much at one end. Short sides and bevelled
    ones keep any lean above a mark; those of a sharp corner above two beside foam, elsewhere one.

    Parameters
    ----------
    points : sequence of Point
        Outline that is rounded. [m]
    piece : Piece
        With its edges.
    mark : float
        Distance between two marks. [m]
    """
    count = len(piece.outline)
    square = [
        (LineString([piece.outline[i], piece.outline[(i + 1) % count]]), edge.kind is EdgeKind.ROUGH)
        for i, edge in enumerate(piece.edges)
        if abs(edge.bevel) < SQUARE
    ]
    found = []
    for i, (a, b) in enumerate(zip(points, (*points[1:], points[0]), strict=True)):
        middle = ShapelyPoint((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        long = hypot(b[0] - a[0], b[1] - a[1])
        blunt = _blunt(points[i - 1], a, b) and _blunt(a, b, points[(i + 2) % len(points)])
        own = [foam for line, foam in square if line.length > long / 2 and line.distance(middle) < TINY]
        slack = mark
        if long >= WEDGE_LONG and own:
            slack = mark * (WEDGE_MARKS if any(own) else 1)
            slack = max(slack, LEAST + TINY) if blunt else slack
        found.append(slack)
    return tuple(found)


def _blunt(a: Point, b: Point, c: Point) -> bool:
    """True where two sides meet nearly squarely: at a sharp tip the corner would lose much more than the side moves."""
    along = (b[0] - a[0]) * (c[0] - b[0]) + (b[1] - a[1]) * (c[1] - b[1])
    return abs(along) < BLUNT * hypot(b[0] - a[0], b[1] - a[1]) * hypot(c[0] - b[0], c[1] - b[1])


def _sides(points: Sequence[Point], slacks: Slacks) -> list[tuple[Point, Point, float]]:
    return list(zip(points, (*points[1:], points[0]), slacks, strict=True))


def _straight(a: Point, b: Point, slack: float, axis: int) -> bool:
    """True where a side hardly leans out of the grid's direction (axis 0: x hardly changes)."""
    return abs(a[axis] - b[axis]) < slack and abs(a[1 - axis] - b[1 - axis]) >= slack


def _origin(points: Sequence[Point], slacks: Slacks, axis: int) -> float:
    """Return the coordinate that becomes 0: the inner end of the lowest straight side, or the lowest corner."""
    lowest = min(p[axis] for p in points)
    ends = [
        max(a[axis], b[axis])
        for a, b, slack in _sides(points, slacks)
        if _straight(a, b, slack, axis) and min(a[axis], b[axis]) - lowest < slack
    ]
    return max(ends, default=lowest)


def _side(a: Point, b: Point, mark: float, slack: float) -> tuple[int, float] | None:
    """Return the grid line of a straight side (axis, place), moved inwards; None for a leaning side.

    The outline runs counter-clockwise, so the inside lies to the left of a-b.
    """
    for axis in (0, 1):
        if _straight(a, b, slack, axis):
            along = b[1 - axis] - a[1 - axis]
            inside_is_lower = (along > 0) if axis == 0 else (along < 0)
            low, high = sorted((a[axis], b[axis]))
            if inside_is_lower:
                return axis, mark * floor(low / mark + 1e-4)
            return axis, mark * ceil(high / mark - 1e-4)
    return None


def _snapped(points: Sequence[Point], mark: float, bare: Polygon, slacks: Slacks) -> Polygon | None:
    count = len(points)
    sides = [_side(a, b, mark, slack) for a, b, slack in _sides(points, slacks)]
    corners: list[Point] = []
    for i, point in enumerate(points):
        before, after = sides[i - 1], sides[i]
        found = _corner(point, before, after, points[i - 1], points[(i + 1) % count], mark, bare)
        if found is None:
            return None
        corners.append(found)
    clean = [c for i, c in enumerate(corners) if hypot(c[0] - corners[i - 1][0], c[1] - corners[i - 1][1]) > TINY]
    if len(clean) < 3:
        return None
    shape = Polygon(clean)
    return shape if shape.is_valid and shape.exterior.is_ccw else None


def _corner(
    point: Point,
    before: tuple[int, float] | None,
    after: tuple[int, float] | None,
    previous: Point,
    following: Point,
    mark: float,
    bare: Polygon,
) -> Point | None:
    """Return a corner on the grid, on the grid lines of its straight sides and inside the piece."""
    if before is not None and after is not None and before[0] != after[0]:
        found = (before[1], after[1]) if before[0] == 0 else (after[1], before[1])
        return found if bare.distance(ShapelyPoint(found)) < TINY else _near(point, mark, bare)
    fixed = before or after
    if fixed is None or (before is not None and after is not None):
        return _near(point, mark, bare) if fixed is None else _on_line(point, fixed, None, mark, bare)
    other = previous if before is None else following
    return _on_line(point, fixed, other, mark, bare)


def _on_line(point: Point, line: tuple[int, float], other: Point | None, mark: float, bare: Polygon) -> Point | None:
    """Return a mark on a grid line near a corner, inside the piece; the leaning side runs to ``other``."""
    axis, place = line
    along = point[1 - axis]
    if other is not None and not isclose(other[axis], point[axis], abs_tol=TINY):
        t = (place - point[axis]) / (other[axis] - point[axis])
        along += t * (other[1 - axis] - along)
    base = round(along / mark)
    tries = sorted(range(base - FAR, base + FAR + 1), key=lambda k: abs(k * mark - along))
    for k in tries:
        found = (place, k * mark) if axis == 0 else (k * mark, place)
        if bare.distance(ShapelyPoint(found)) < TINY:
            return found
    return None


FAR = 40
"""Marks within which a mark inside a sharp corner is looked for."""


def _near(point: Point, mark: float, bare: Polygon) -> Point | None:
    """Return the nearest mark inside the piece."""
    bx, by = round(point[0] / mark), round(point[1] / mark)
    for reach in (2, 8, FAR):
        steps = [(i, j) for i in range(-reach, reach + 1) for j in range(-reach, reach + 1)]
        around = [((bx + i) * mark, (by + j) * mark) for i, j in steps]
        inside = intersects_xy(bare.buffer(TINY), [x for x, _ in around], [y for _, y in around])
        good = [p for p, yes in zip(around, inside, strict=True) if yes]
        if good:
            return min(good, key=lambda p: (hypot(p[0] - point[0], p[1] - point[1]), p))
    return None
