"""The cuts inside a blank that no edge-to-edge cut makes: leaning sides, notches, holes, slits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import ceil, floor, hypot

from shapely.geometry import LineString, box

from snugbay.sheets.cutting.bevels import bevel_on
from snugbay.sheets.cutting.lines import (
    KINDS,
    ROUND,
    RUN_OUT,
    THREAD,
    Line,
    Saw,
    Swath,
    at_rim,
    band,
    swath,
    taken,
    unit,
)
from snugbay.sheets.cutting.order import in_order
from snugbay.sheets.cutting.patterns import TINY, polygons, ring
from snugbay.sheets.cutting.tree import Leaf, Lying
from snugbay.sheets.values import End
from snugbay.survey import Point


def lines_of(leaf: Leaf, saw: Saw, mark: float) -> tuple[Line, ...]:
    """Return the cuts inside a leaf in order; a side that two pieces share is cut once. Holes and slits come last.

    Parameters
    ----------
    leaf : Leaf
        The blank.
    saw : Saw
        What the tool takes. Where the cuts that stop are made with another one, such a cut serves one piece only.
    mark : float
        Distance between two marks. [m]
    """
    inner = [line for piece in leaf.lying for line in _holes(piece, saw)]
    apart: frozenset[frozenset[int]] = frozenset()
    while True:
        own = _sides(leaf, saw.kerf, mark, apart)
        long = _once([extended(leaf, _clipped(leaf, line), saw, mark) for line in own])
        lines = (*in_order(leaf, [_slanting(leaf, line, mark) for line in long], saw, mark), *inner)
        other_tool = saw.inside != saw.kerf
        parted = {
            frozenset(line.numbers)
            for line in lines
            if line.shared and ((other_tool and line.by_hand) or not _on_marks(leaf, line, mark))
        }
        if not parted - apart:
            return lines
        apart |= parted


def _slanting(leaf: Leaf, line: Line, mark: float) -> Line:
    """Return a cut that serves one piece alone at that piece's bevel."""
    if len(line.numbers) > 1:
        return line
    piece = next(p for p in leaf.lying if p.number == line.numbers[0])
    return replace(line, bevel=bevel_on(line.start, line.end, ring(piece.shape), piece.slopes, mark))


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
        lines.append(Line(a, b, "plunge", _long(a, b), (piece.number,), False, (ends[0], ends[1])))
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


def extended(leaf: Leaf, line: Line, saw: Saw, mark: float) -> Line:
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
    kerf = saw.kerf
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
    return replace(line, start=start, end=end, length=_long(start, end), drawn_out=True)


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


def after_cuts(leaf: Leaf, piece: Lying, lines: Sequence[Line], saw: Saw, mark: float) -> Lying:
    """Return a piece without what cuts take of it: less than a mark beside a shared side, or one that is drawn out."""
    for line in lines:
        if line.hole or (piece.number in line.numbers[:1] and not line.drawn_out):
            continue
        kerf = saw.inside if line.by_hand else saw.kerf
        shared = piece.number in line.numbers[1:] and line.shared
        gone = taken(leaf, line, kerf, mark) if shared else swath(leaf, line, kerf)
        if gone.intersects(piece.shape):
            left = max(polygons(piece.shape.difference(gone)), key=lambda part: part.area)
            piece = piece.shaped(left)
    return piece


def _holes(piece: Lying, saw: Saw) -> list[Line]:
    """Return the rims of holes and bites, the piece to the left, and the slits that lead to them."""
    lines = []
    for hole in piece.shape.interiors:
        points = [(float(x), float(y)) for x, y in hole.coords[:-1]]
        if hole.is_ccw:
            points.reverse()
        for a, b in zip(points, [*points[1:], points[0]], strict=True):
            stops = (End.UPRIGHT, End.UPRIGHT)
            lines.append(Line(a, b, KINDS[2], _long(a, b), (piece.number,), True, stops=stops, by_hand=True))
    for one in piece.rounds:
        at, long = one.centre, one.arc(piece.shape)
        lines.append(Line(at, at, ROUND, long, (piece.number,), True, radius=one.radius, by_hand=True))
    for a, b in piece.slits:
        took = Swath(a, b, saw.inside)
        past = took.beyond(THREAD, saw.overrun, last=True)
        stops = (End.RUN, End.UPRIGHT if past.intersects(piece.finished) else End.STOP)
        reach = (took.runs(piece.finished, last=False), 0.0)
        line = Line(a, b, KINDS[1], _long(a, b), (piece.number,), True, stops=stops, reach=reach, by_hand=True)
        lines.append(line)
    return lines


def _long(a: Point, b: Point) -> float:
    return hypot(b[0] - a[0], b[1] - a[1])
