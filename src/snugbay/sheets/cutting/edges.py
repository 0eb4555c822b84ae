"""The cuts inside a blank that no edge-to-edge cut makes: leaning sides, notches, holes, slits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import ceil, floor, hypot

from shapely.geometry import LineString, Polygon, box

from snugbay.sheets.cutting.lines import (
    KINDS,
    ROUND,
    RUN_OUT,
    THREAD,
    Line,
    at_rim,
    band,
    swath,
    tail,
    taken,
    unit,
)
from snugbay.sheets.cutting.patterns import TINY, ring
from snugbay.sheets.cutting.tree import Leaf, Lying
from snugbay.survey import Point


def lines_of(leaf: Leaf, kerf: float, mark: float, inside: float | None = None) -> tuple[Line, ...]:
    """Return the cuts inside a leaf in order; a side that two pieces share is cut once.

    Of the cuts that are left, one with a run-out at both ends comes first; a piece that is parted already lies in no
    tool's way. Holes and slits come last.

    Parameters
    ----------
    leaf : Leaf
        The blank.
    kerf : float
        Of the tool. [m]
    mark : float
        Distance between two marks. [m]
    inside : float or None
        Kerf of the tool that makes the cuts that end within the board, if that is another one; such a cut then serves
        one piece only. [m]
    """
    inner = [line for piece in leaf.lying for line in _holes(piece)]
    apart: frozenset[frozenset[int]] = frozenset()
    while True:
        own = _sides(leaf, kerf, mark, apart)
        long = _once([extended(leaf, _clipped(leaf, line), kerf, mark) for line in own])
        lines = (*_in_order(leaf, long, kerf, kerf if inside is None else inside), *inner)
        other_tool = inside is not None and inside != kerf
        parted = {
            frozenset(line.numbers)
            for line in lines
            if line.shared and ((other_tool and line.kind != KINDS[0]) or not _on_marks(leaf, line, mark))
        }
        if not parted - apart:
            return lines
        apart |= parted


def _on_marks(leaf: Leaf, line: Line, mark: float) -> bool:
    """True where both ends of a line lie on marks or on the blank's far edges."""
    return all(
        abs(v - round(v / mark) * mark) < TINY or abs(v - size) < TINY
        for end in (line.start, line.end)
        for v, size in zip(end, (leaf.width, leaf.height), strict=True)
    )


def _sides(leaf: Leaf, kerf: float, mark: float, apart: frozenset[frozenset[int]]) -> list[Line]:
    """Return the sides to be cut, shared ones once, but for those of pieces that are to be cut apart."""
    own: list[Line] = []
    for piece in leaf.lying:
        for line in outer_lines(leaf, piece):
            twins = ((i, both) for i, o in enumerate(own) if (both := met(o, line, kerf, mark)) is not None)
            i, both = next(twins, (-1, line))
            if i < 0 or frozenset(both.numbers) in apart:
                own.append(line)
            else:
                own[i] = both
    return own


def _clipped(leaf: Leaf, line: Line) -> Line:
    """Return a line without what lies off the blank: a kerf moves the ends of a shared cut along it."""
    if all(-TINY <= x <= leaf.width + TINY and -TINY <= y <= leaf.height + TINY for x, y in (line.start, line.end)):
        return line
    inside = LineString([line.start, line.end]).intersection(box(0.0, 0.0, leaf.width, leaf.height))
    (x0, y0), (x1, y1) = inside.coords
    return replace(line, start=(x0, y0), end=(x1, y1), length=float(inside.length))


def _once(lines: list[Line]) -> list[Line]:
    """Return lines without twins: sides in one line, drawn out to the same marks, are one cut."""
    found: list[Line] = []
    for line in lines:
        ends = (*line.start, *line.end)
        twin = next((i for i, o in enumerate(found) if _same(ends, (*o.start, *o.end))), None)
        if twin is None:
            found.append(line)
        else:
            numbers = dict.fromkeys((*found[twin].numbers, *line.numbers))
            found[twin] = replace(found[twin], numbers=tuple(numbers), partners=found[twin].partners + line.partners)
    return found


def _same(one: tuple[float, ...], two: tuple[float, ...]) -> bool:
    return all(abs(a - b) < TINY for a, b in zip(one, two, strict=True))


def outer_lines(leaf: Leaf, piece: Lying) -> list[Line]:
    """Return the sides of a piece that have to be cut, not yet in order."""
    points = ring(piece.shape)
    count = len(points)
    lines = []
    for i in range(count):
        a, b = points[i], points[(i + 1) % count]
        if _on_rim(leaf, a, b):
            continue
        before, after = points[i - 1], points[(i + 2) % count]
        stuck = [_reflex(before, a, b), _reflex(a, b, after)]
        ends = tuple(frozenset((piece.number,)) if s else frozenset[int]() for s in stuck)
        lines.append(Line(a, b, "plunge", hypot(b[0] - a[0], b[1] - a[1]), (piece.number,), False, (ends[0], ends[1])))
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


def _in_order(leaf: Leaf, lines: list[Line], kerf: float, inside: float) -> list[Line]:
    """Return the lines in cutting order, each with its kind."""
    blocks = [(_blocked(leaf, line.end, line.start), _blocked(leaf, line.start, line.end)) for line in lines]
    board = Board(leaf)
    left = list(range(len(lines)))
    done: list[Line] = []
    while left:
        kinds = {i: _kind(lines[i], blocks[i], board.beside(lines[i].numbers[0])) for i in left}
        best = min(left, key=lambda i: (KINDS.index(kinds[i]), -lines[i].length if kinds[i] == KINDS[0] else 0.0, i))
        left.remove(best)
        done.append(replace(lines[best], kind=kinds[best]))
        board.cut(lines[best], kerf if kinds[best] == KINDS[0] else inside)
    return done


def _kind(line: Line, blocks: tuple[frozenset[int], frozenset[int]], beside: frozenset[int]) -> str:
    """Return how a tool gets along a line: it runs out at an end where no piece lies beyond."""
    free = [not (line.ends[k] | (blocks[k] & beside)) for k in (0, 1)]
    return KINDS[2 - sum(free)]


def alone(piece: Lying, start: Point, end: Point) -> Line:
    """Return a cut along the side of a piece that lies free already; only the piece itself can be in the way."""
    held = [tail(a, b).intersection(piece.shape).length > 1e-6 for a, b in ((end, start), (start, end))]
    return Line(start, end, KINDS[sum(held)], hypot(end[0] - start[0], end[1] - start[1]), (piece.number,))


def _blocked(leaf: Leaf, a: Point, b: Point) -> frozenset[int]:
    """Return the pieces that lie in the tool's way beyond b."""
    inside = tail(a, b).intersection(box(0.0, 0.0, leaf.width, leaf.height))
    return frozenset(p.number for p in leaf.lying if inside.intersection(p.shape).length > 1e-6)


class Board:
    """A blank while it is being cut: which pieces still hang together."""

    def __init__(self, leaf: Leaf) -> None:
        self.leaf = leaf
        self.spots = {p.number: p.shape.representative_point() for p in leaf.lying}
        self.parts: list[tuple[Polygon, frozenset[int]]] = [
            (box(0.0, 0.0, leaf.width, leaf.height), frozenset(self.spots))
        ]

    def beside(self, number: int) -> frozenset[int]:
        """Return the pieces that hang together with one."""
        return next((held for _, held in self.parts if number in held), frozenset((number,)))

    def cut(self, line: Line, kerf: float) -> None:
        """Take a cut out of the part that it belongs to."""
        gone = swath(self.leaf, line, kerf)
        parts = []
        for shape, held in self.parts:
            if not held & set(line.numbers):
                parts.append((shape, held))
                continue
            rest = shape.difference(gone)
            for one in getattr(rest, "geoms", [rest]):
                inside = frozenset(n for n in held if one.intersects(self.spots[n]))
                if inside:
                    parts.append((one, inside))
        self.parts = parts


def extended(leaf: Leaf, line: Line, kerf: float, mark: float) -> Line:
    """Return a line drawn out to the blank's edges, so that two marks on edges give it, where nothing is in the way.

    The marks on the edges are taken towards the piece; it loses at most a mark.
    """
    if any(line.ends) or (at_rim(leaf, line.start) and at_rim(leaf, line.end)):
        return line
    hits = (_hit(leaf, line.end, line.start), _hit(leaf, line.start, line.end))
    ends = [_rim_mark(leaf, line, hit, mark) for hit in hits]
    if ends[0] is None or ends[1] is None or hypot(ends[1][0] - ends[0][0], ends[1][1] - ends[0][1]) < line.length / 2:
        return line
    start, end = ends[0], ends[1]
    ux, uy = unit(start, end)
    for corner in (line.start, line.end):
        if not -TINY <= ux * (start[1] - corner[1]) - uy * (start[0] - corner[0]) <= mark + TINY:
            return line
    drawn = replace(line, start=start, end=end)
    if any(d > kerf + 1e-6 for partner in line.partners for d in _aside(drawn, partner)):
        return line
    gone = band(start, end, kerf, RUN_OUT, RUN_OUT)
    beside = LineString([line.start, line.end]).buffer(1.5 * mark + kerf)
    for piece in leaf.lying:
        lost = gone.intersection(piece.shape.buffer(-5 * THREAD) if kerf else piece.shape.buffer(-THREAD / 2))
        if piece.number in line.numbers:
            lost = lost.difference(beside)
        if lost.area > THREAD * THREAD:
            return line
    return replace(line, start=start, end=end, length=hypot(end[0] - start[0], end[1] - start[1]))


def _hit(leaf: Leaf, a: Point, b: Point) -> Point:
    """Return where the line from a through b leaves the blank."""
    ux, uy = unit(a, b)
    far = min(
        ((size if u > 0 else 0.0) - p) / u
        for u, p, size in ((ux, b[0], leaf.width), (uy, b[1], leaf.height))
        if abs(u) > 1e-12
    )
    x, y = b[0] + ux * max(far, 0.0), b[1] + uy * max(far, 0.0)
    return min(max(x, 0.0), leaf.width), min(max(y, 0.0), leaf.height)


def _rim_mark(leaf: Leaf, line: Line, hit: Point, mark: float) -> Point | None:
    """Return the mark on the blank's edge next to a point, on the piece's side of the line."""
    axis = 0 if min(abs(hit[1]), abs(hit[1] - leaf.height)) < TINY else 1
    size = leaf.width if axis == 0 else leaf.height
    ux, uy = unit(line.start, line.end)
    for k in sorted((floor(hit[axis] / mark), ceil(hit[axis] / mark)), key=lambda k: abs(k * mark - hit[axis])):
        found = (k * mark, hit[1]) if axis == 0 else (hit[0], k * mark)
        left = ux * (found[1] - line.start[1]) - uy * (found[0] - line.start[0])
        if left >= -TINY and -TINY <= k * mark <= size + TINY:
            return found
    return None


def shared(one: Line, two: Line, kerf: float, mark: float) -> bool:
    """True where one cut makes both sides: opposite directions, a kerf apart, mostly side by side.

    Rounded to marks, two sides are seldom quite parallel, and a saw's kerf is no whole number of marks: the second
    piece may reach over the cut by less than a mark, which it loses. It never gains.
    """
    ax, ay = one.end[0] - one.start[0], one.end[1] - one.start[1]
    bx, by = two.end[0] - two.start[0], two.end[1] - two.start[1]
    if one.hole or two.hole or ax * bx + ay * by > -0.99 * one.length * two.length:
        return False
    ux, uy = ax / one.length, ay / one.length
    if any(not kerf - mark + 1e-6 <= d <= kerf + 1e-6 for d in _aside(one, (two.start, two.end))):
        return False
    along = sorted((p[0] - one.start[0]) * ux + (p[1] - one.start[1]) * uy for p in (two.start, two.end))
    overlap = min(along[1], one.length) - max(along[0], 0.0)
    return overlap > 0.5 * min(one.length, two.length)


def _aside(line: Line, points: Sequence[Point]) -> list[float]:
    """Return how far points lie to the right of a line. [m]"""
    ux, uy = unit(line.start, line.end)
    return [(p[0] - line.start[0]) * uy - (p[1] - line.start[1]) * ux for p in points]


def met(one: Line, two: Line, kerf: float, mark: float) -> Line | None:
    """Return the one cut that makes both sides, the piece of either giving way; None where none does.

    Where either could, the cut whose ends lie on marks.
    """
    found = [merged(one, two)] if shared(one, two, kerf, mark) else []
    found += [merged(two, one)] if not one.partners and shared(two, one, kerf, mark) else []
    on_marks = (
        line
        for line in found
        if all(abs(v - round(v / mark) * mark) < TINY for end in (line.start, line.end) for v in end)
    )
    return next(on_marks, found[0] if found else None)


def merged(one: Line, two: Line) -> Line:
    """Return the one cut that makes both sides, as long as both."""
    ux, uy = (one.end[0] - one.start[0]) / one.length, (one.end[1] - one.start[1]) / one.length
    along = [(p[0] - one.start[0]) * ux + (p[1] - one.start[1]) * uy for p in (two.start, two.end)]
    low, high = min(0.0, *along), max(one.length, *along)
    start = (one.start[0] + low * ux, one.start[1] + low * uy)
    end = (one.start[0] + high * ux, one.start[1] + high * uy)
    first = (along[1] < -TINY, one.ends[0], two.ends[1])
    last = (along[0] > one.length + TINY, one.ends[1], two.ends[0])
    ends = tuple(theirs if beyond else ours for beyond, ours, theirs in (first, last))
    numbers = (*one.numbers, *two.numbers)
    partners = (*one.partners, (two.start, two.end))
    return Line(start, end, one.kind, high - low, numbers, False, (ends[0], ends[1]), partners)


def after_cuts(leaf: Leaf, piece: Lying, lines: Sequence[Line], kerf: float, mark: float) -> Lying:
    """Return a piece without what the cuts of other pieces take of it: less than a mark beside a shared side."""
    for line in lines:
        if line.hole or piece.number in line.numbers[:1]:
            continue
        gone = taken(leaf, line, kerf, mark) if piece.number in line.numbers else swath(leaf, line, kerf)
        if gone.intersects(piece.shape):
            left = piece.shape.difference(gone)
            if isinstance(left, Polygon):
                piece = piece.shaped(left)
    return piece


def _holes(piece: Lying) -> list[Line]:
    """Return the rims of holes and bites, the piece to the left, and the slits that lead to them."""
    lines = []
    for hole in piece.shape.interiors:
        points = [(float(x), float(y)) for x, y in hole.coords[:-1]]
        if hole.is_ccw:
            points.reverse()
        for a, b in zip(points, [*points[1:], points[0]], strict=True):
            lines.append(Line(a, b, KINDS[2], hypot(b[0] - a[0], b[1] - a[1]), (piece.number,), True))
    for one in piece.rounds:
        at, long = one.centre, one.arc(piece.shape)
        lines.append(Line(at, at, ROUND, long, (piece.number,), True, radius=one.radius))
    for a, b in piece.slits:
        lines.append(Line(a, b, KINDS[1], hypot(b[0] - a[0], b[1] - a[1]), (piece.number,), True))
    return lines
