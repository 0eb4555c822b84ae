"""What is left in a blank when no edge-to-edge cut parts it is brought onto the tape's marks and into the blank."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from math import ceil, floor

from shapely.geometry import Polygon, box

from snugbay.sheets.cutting.edges import met, outer_lines
from snugbay.sheets.cutting.lines import taken
from snugbay.sheets.cutting.patterns import LEAST, TINY, ring, snapped
from snugbay.sheets.cutting.tree import GRAIN, Leaf, Lying
from snugbay.survey import Point

REACH = 2
"""Marks that a piece is shifted at most in either direction."""


def aligned(leaf: Leaf, kerf: float, mark: float) -> Leaf:
    """Return the leaf with every piece's corners on marks from the blank's datum corner.

    A piece is shifted to the place near by that leaves the kerf free to its neighbours and asks for the fewest cuts;
    where there is none, it is cut down to the marks where it lies.
    """
    placed = sorted(leaf.lying, key=lambda p: (p.bounds[0] + p.bounds[1], p.number))
    for settle in (True, False):  # onto marks first; only then can it be seen which sides meet
        for k, piece in enumerate(placed):
            others = [*placed[:k], *placed[k + 1 :]]
            if (settle and _on_marks(piece, mark)) or not (settle or others):
                continue
            placed[k] = _shifted(leaf, piece, others, kerf, mark) or piece
    return replace(leaf, lying=tuple(sorted(placed, key=lambda p: p.number)))


def into_blank(leaf: Leaf, mark: float) -> Leaf:
    """Return the leaf with every corner on a mark or on the blank's far edges, and no trim that nobody can make.

    Rounds get their centre on a mark of the blank.

    A side nearer to the blank's edge than anybody cuts is drawn out to it where the piece has room for it, so that
    nothing is cut there; elsewhere it is moved in until the trim can be made.
    """
    placed = (_into_blank(leaf, piece, mark) for piece in leaf.lying)
    return replace(leaf, lying=tuple(replace(p, rounds=tuple(r.settled(mark) for r in p.rounds)) for p in placed))


def _into_blank(leaf: Leaf, piece: Lying, mark: float) -> Lying:
    board = box(0.0, 0.0, leaf.width, leaf.height)
    if not (_on_marks(piece, mark, leaf) and board.buffer(TINY).covers(piece.shape)):
        piece = _cut_down(piece, board, mark)
    for axis, size in ((0, leaf.width), (1, leaf.height)):
        low, high = piece.bounds[axis], piece.bounds[axis + 2]
        if TINY < size - high < (least(mark) if _flat(piece, axis, high) else mark) - TINY:
            piece = _drawn_out(piece, axis, size) or _moved_in(piece, leaf, axis, mark)
        if TINY < low < least(mark) - TINY and _flat(piece, axis, low):
            piece = _drawn_out(piece, axis, 0.0) or _moved_in(piece, leaf, axis, mark, low=True)
    return piece


def _flat(piece: Lying, axis: int, place: float) -> bool:
    """True where a side of a piece without bevels lies along an edge of its blank: a tip there takes no trim."""
    points = ring(piece.shape)
    sides = zip(points, (*points[1:], points[0]), strict=True)
    return not piece.slopes and any(abs(a[axis] - place) + abs(b[axis] - place) < TINY for a, b in sides)


def least(mark: float) -> float:
    """Return the least that is ever cut off a blank's edge, in whole marks. [m]"""
    return mark * ceil(LEAST / mark - GRAIN)


def _cut_down(piece: Lying, room: Polygon, mark: float) -> Lying:
    """Return a piece cut down to the marks where it lies; as it is where there is no such pattern."""
    inside = Polygon(ring(piece.shape)).intersection(room)
    found = snapped(inside, mark) if isinstance(inside, Polygon) and not inside.is_empty else None
    return piece if found is None else piece.shaped(Polygon(ring(found), [h.coords for h in piece.shape.interiors]))


def _drawn_out(piece: Lying, axis: int, end: float) -> Lying | None:
    """Return a piece drawn out to one of the blank's edges; None where it has no room for that."""
    side = piece.bounds[axis + 2] if end else piece.bounds[axis]
    points = [_put(p, axis, end) if abs(p[axis] - side) < TINY else p for p in ring(piece.shape)]
    found = Polygon(points, [h.coords for h in piece.shape.interiors])
    return piece.shaped(found) if piece.bare.buffer(TINY).covers(Polygon(points)) and found.is_valid else None


def _moved_in(piece: Lying, leaf: Leaf, axis: int, mark: float, *, low: bool = False) -> Lying:
    """Return a piece cut down so far from one of the blank's edges that the trim can be made."""
    size = leaf.width if axis == 0 else leaf.height
    thin = least(mark) if _flat(piece, axis, piece.bounds[axis if low else axis + 2]) else mark
    start, end = (thin, size) if low else (0.0, mark * floor((size - thin) / mark + GRAIN))
    room = box(start, 0, end, leaf.height) if axis == 0 else box(0, start, leaf.width, end)
    return _cut_down(piece, room, mark)


def _put(point: Point, axis: int, value: float) -> Point:
    return (value, point[1]) if axis == 0 else (point[0], value)


def _on_marks(piece: Lying, mark: float, leaf: Leaf | None = None) -> bool:
    """True where every corner lies on marks, or on the far edges of the leaf if one is given."""
    ends = (None, None) if leaf is None else (leaf.width, leaf.height)
    return all(
        abs(v - round(v / mark) * mark) < TINY or (end is not None and abs(v - end) < TINY)
        for p in ring(piece.shape)
        for v, end in zip(p, ends, strict=True)
    )


def _shifted(leaf: Leaf, piece: Lying, others: list[Lying], kerf: float, mark: float) -> Lying | None:
    x, y = piece.bounds[:2]
    steps = [range(floor(v / mark) - REACH + 1, ceil(v / mark) + REACH) for v in (x, y)]
    tries = sorted(product(*steps), key=lambda g: (abs(g[0] * mark - x) + abs(g[1] * mark - y), g))
    moves = [piece.moved(i * mark - x, j * mark - y) for i, j in tries]
    good = [m for m in moves if _on_marks(m, mark, leaf) and _fits(leaf, m, others, kerf, mark)]
    return min(good, key=lambda m: _cuts(leaf, m, others, kerf, mark), default=None)


def _cuts(leaf: Leaf, piece: Lying, others: list[Lying], kerf: float, mark: float) -> tuple[int, float, int]:
    """Return how many cuts a piece asks for, and how long: sides less those on datum edges and those of a neighbour.

    The far edges of a blank count only between places that are as good: it is drawn together round its pieces.
    """
    room = replace(leaf, width=leaf.width + 1.0, height=leaf.height + 1.0)
    own = outer_lines(room, piece)
    theirs = [line for other in others for line in outer_lines(room, other)]
    alone = [line for line in own if not any(met(line, other, kerf, mark) for other in theirs)]
    return len(alone), round(sum(line.length for line in alone), 4), len(outer_lines(leaf, piece))


def _fits(leaf: Leaf, piece: Lying, others: list[Lying], kerf: float, mark: float) -> bool:
    low_x, low_y, high_x, high_y = piece.bounds
    if min(low_x, low_y) < -TINY or high_x > leaf.width + TINY or high_y > leaf.height + TINY:
        return False
    if any(piece.shape.intersection(box(x, y, x + w, y + h)).area > TINY for x, y, w, h in leaf.zones):
        return False
    return all(_clear(leaf, piece, other, kerf, mark) for other in others)


def _clear(leaf: Leaf, piece: Lying, other: Lying, kerf: float, mark: float) -> bool:
    """True where two pieces are a kerf apart, but for what the second one loses along a shared cut."""
    if _apart(piece, other, kerf):
        return True
    pair = {p.number: p for p in sorted((piece, other), key=lambda p: p.number)}
    first, second = pair.values()
    for line in outer_lines(leaf, first):
        for side in outer_lines(leaf, second):
            both = met(line, side, kerf, mark)
            if both is not None:
                one, two = (pair[n] for n in both.numbers)
                rest = two.shape.difference(taken(leaf, both, kerf, mark))
                return isinstance(rest, Polygon) and _apart(one, two.shaped(rest), kerf)
    return False


def _apart(one: Lying, two: Lying, kerf: float) -> bool:
    if kerf == 0:
        return bool(one.shape.intersection(two.shape).area <= 1e-9)
    return bool(one.shape.distance(two.shape) >= kerf - 1e-6)
