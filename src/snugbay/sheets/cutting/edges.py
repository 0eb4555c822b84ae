"""The cuts inside a blank that no edge-to-edge cut makes: leaning sides, notches, holes, slits."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, hypot, pi

from shapely.geometry import LineString, Polygon

from snugbay.sheets.cutting.patterns import TINY, ring
from snugbay.sheets.cutting.tree import Leaf, Lying
from snugbay.survey import Point


@dataclass(frozen=True)
class Line:
    """One cut inside a blank.

    Attributes
    ----------
    start, end : Point
        In the blank's axes; the piece lies to the left. [m]
    kind : str
        through the blank, stopped or plunge.
    length : float
        [m]
    numbers : tuple of int
        Patterns whose side it makes.
    hole : bool
        True for the rim of a hole.
    """

    start: Point
    end: Point
    kind: str
    length: float
    numbers: tuple[int, ...]
    hole: bool = False


def lines_of(leaf: Leaf, kerf: float) -> tuple[Line, ...]:
    """Return the cuts inside a leaf, sides before notches before holes; a side that two pieces share is cut once."""
    own: list[Line] = []
    inner: list[Line] = []
    for piece in leaf.lying:
        others = [p.shape for p in leaf.lying if p is not piece]
        for line in _outer_lines(leaf, piece, others):
            twin = next((i for i, o in enumerate(own) if _shared(o, line, kerf)), None)
            if twin is None:
                own.append(line)
            else:
                own[twin] = _merged(own[twin], line)
        inner += _holes(piece)
    order = {"through the blank": 0, "stopped": 1, "plunge": 2}
    own.sort(key=lambda line: order[line.kind])
    return (*own, *inner)


def _outer_lines(leaf: Leaf, piece: Lying, others: list[Polygon]) -> list[Line]:
    points = ring(piece.shape)
    count = len(points)
    lines = []
    for i in range(count):
        a, b = points[i], points[(i + 1) % count]
        if _on_rim(leaf, a, b):
            continue
        before, after = points[i - 1], points[(i + 2) % count]
        kind = _kind(leaf, (before, a, b, after), others)
        lines.append(Line(a, b, kind, hypot(b[0] - a[0], b[1] - a[1]), (piece.number,)))
    return lines


def _on_rim(leaf: Leaf, a: Point, b: Point) -> bool:
    """True for a side that lies on the blank's own edge: nothing to cut."""
    return any(
        abs(a[axis] - place) < TINY and abs(b[axis] - place) < TINY
        for axis, place in ((0, 0.0), (0, leaf.width), (1, 0.0), (1, leaf.height))
    )


def _reflex(a: Point, b: Point, c: Point) -> bool:
    """True where the outline turns to the right at b: an inside corner."""
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0]) < -1e-12


def _kind(leaf: Leaf, four: tuple[Point, Point, Point, Point], others: list[Polygon]) -> str:
    """Return how a tool gets along a side: it may run out at an outside corner if no other piece lies there."""
    before, a, b, after = four
    free_start = not _reflex(before, a, b) and _run_out(leaf, b, a, others)
    free_end = not _reflex(a, b, after) and _run_out(leaf, a, b, others)
    if free_start and free_end:
        return "through the blank"
    return "stopped" if free_start or free_end else "plunge"


RUN_OUT = 0.03
"""Room that a tool needs beyond the end of a cut (assumption). [m]"""


def _run_out(leaf: Leaf, a: Point, b: Point, others: list[Polygon]) -> bool:
    length = hypot(b[0] - a[0], b[1] - a[1])
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    tail = LineString([(b[0] + ux * 1e-5, b[1] + uy * 1e-5), (b[0] + ux * RUN_OUT, b[1] + uy * RUN_OUT)])
    board = Polygon([(0, 0), (leaf.width, 0), (leaf.width, leaf.height), (0, leaf.height)])
    inside = tail.intersection(board)
    return all(inside.intersection(o).length < 1e-6 for o in others)


def _shared(one: Line, two: Line, kerf: float) -> bool:
    """True where one cut makes both sides: opposite directions, a kerf apart, mostly side by side."""
    ax, ay = one.end[0] - one.start[0], one.end[1] - one.start[1]
    bx, by = two.end[0] - two.start[0], two.end[1] - two.start[1]
    turn = abs(atan2(ax * by - ay * bx, ax * bx + ay * by))
    if pi - turn > 1e-6 or one.hole or two.hole:
        return False
    ux, uy = ax / one.length, ay / one.length
    off = [(p[0] - one.start[0]) * uy - (p[1] - one.start[1]) * ux for p in (two.start, two.end)]
    if any(abs(d - kerf) > 1e-6 for d in off):
        return False
    along = sorted((p[0] - one.start[0]) * ux + (p[1] - one.start[1]) * uy for p in (two.start, two.end))
    overlap = min(along[1], one.length) - max(along[0], 0.0)
    return overlap > 0.5 * min(one.length, two.length)


def _merged(one: Line, two: Line) -> Line:
    ux, uy = (one.end[0] - one.start[0]) / one.length, (one.end[1] - one.start[1]) / one.length
    along = [(p[0] - one.start[0]) * ux + (p[1] - one.start[1]) * uy for p in (two.start, two.end)]
    low, high = min(0.0, *along), max(one.length, *along)
    start = (one.start[0] + low * ux, one.start[1] + low * uy)
    end = (one.start[0] + high * ux, one.start[1] + high * uy)
    worst = max((one, two), key=lambda line: ("through the blank", "stopped", "plunge").index(line.kind))
    return Line(start, end, worst.kind, high - low, (*one.numbers, *two.numbers))


def _holes(piece: Lying) -> list[Line]:
    lines = []
    for hole in piece.shape.interiors:
        points = [(float(x), float(y)) for x, y in hole.coords[:-1]]
        if len(points) > 8:
            xs, ys = [p[0] for p in points], [p[1] for p in points]
            middle = (min(ys) + max(ys)) / 2
            lines.append(
                Line((min(xs), middle), (max(xs), middle), "plunge", float(hole.length), (piece.number,), True)
            )
            continue
        for a, b in zip(points, [*points[1:], points[0]], strict=True):
            lines.append(Line(a, b, "plunge", hypot(b[0] - a[0], b[1] - a[1]), (piece.number,), True))
    return lines
