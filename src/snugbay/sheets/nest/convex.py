"""Outlines as convex parts, and convex parts grown by half the kerf."""

from __future__ import annotations

import math
from functools import lru_cache
from itertools import pairwise

from snugbay.sheets.nest.instance import XY, Outline, area, sides

_FLAT = 1e-9
_MOST_EXACT = 5  # corners that turn in, up to which every way to split is tried
_WIDE_TURN = math.radians(91.0)


def cross(o: XY, a: XY, b: XY) -> float:
    """Twice the signed area of the triangle o, a, b."""
    return (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0])


def without_flat_corners(outline: Outline) -> Outline:
    """Leave out corners on a straight line and repeated points."""
    points = list(outline)
    size = max(1.0, *(abs(v) for p in points for v in p))
    i = 0
    while len(points) > 3 and i < len(points):
        a, b, c = points[i - 1], points[i], points[(i + 1) % len(points)]
        span = math.hypot(c[0] - a[0], c[1] - a[1]) + 1e-12
        if abs(cross(a, b, c)) <= _FLAT * size * span and _between(a, b, c):
            del points[i]
            i = max(0, i - 2)
        else:
            i += 1
    return tuple(points)


def _between(a: XY, b: XY, c: XY) -> bool:
    return (b[0] - a[0]) * (c[0] - b[0]) + (b[1] - a[1]) * (c[1] - b[1]) >= 0


def reflex_corners(outline: Outline) -> list[int]:
    """Numbers of the corners that turn inward."""
    n = len(outline)
    return [i for i in range(n) if cross(outline[i - 1], outline[i], outline[(i + 1) % n]) < -1e-9]


def convex_parts(outline: Outline) -> tuple[Outline, ...]:
    """Split an outline (counter-clockwise, simple) into convex parts, few rather than many.

    Every way to cut from an inward corner along one of its edges, or to another inward corner, is tried while there
    are few such corners; with many, the cut that leaves the fewest is taken at each step.
    """
    return _parts(without_flat_corners(outline))


@lru_cache(maxsize=4096)
def _parts(outline: Outline) -> tuple[Outline, ...]:
    inward = reflex_corners(outline)
    if not inward:
        return (outline,)
    best: tuple[Outline, ...] | None = None
    ways = [pair for i in inward[:1] for pair in _splits(outline, i, inward)]
    if len(inward) > _MOST_EXACT:
        ways = sorted(ways, key=_split_rank)[:1]
    for left, right in ways:
        parts = _parts(left) + _parts(right)
        if best is None or (len(parts), -_least(parts)) < (len(best), -_least(best)):
            best = parts
    if best is None:  # no straight split was found: cannot happen for a simple outline
        raise ValueError("outline cannot be split")
    return best


def _least(parts: tuple[Outline, ...]) -> float:
    return min(area(p) for p in parts)


def _split_rank(pair: tuple[Outline, Outline]) -> tuple[int, float]:
    return len(reflex_corners(pair[0])) + len(reflex_corners(pair[1])), -_least(pair)


def _splits(outline: Outline, i: int, inward: list[int]) -> list[tuple[Outline, Outline]]:
    """All splits of the outline by a straight cut that starts at inward corner i."""
    n = len(outline)
    here, before, after = outline[i], outline[i - 1], outline[(i + 1) % n]
    found = []
    for direction in (
        (here[0] - before[0], here[1] - before[1]),
        (here[0] - after[0], here[1] - after[1]),
    ):
        hit = _first_hit(outline, i, direction)
        if hit is not None:
            found.append(_cut(outline, i, *hit))
    for j in inward:
        if j != i and (j - i) % n not in (1, n - 1) and _sees(outline, i, j):
            found.append(_cut(outline, i, j, outline[j]))
    return [pair for pair in found if min(len(pair[0]), len(pair[1])) >= 3 and _least(pair) > 1e-9]


def _cut(outline: Outline, i: int, j: int, at: XY) -> tuple[Outline, Outline]:
    """Cut from corner i to the point `at` on the edge that starts at corner j."""
    n = len(outline)
    one, two = [outline[i]], [at]
    k = (i + 1) % n
    while True:
        one.append(outline[k])
        if k == j:
            break
        k = (k + 1) % n
    if at != outline[j]:
        one.append(at)
    k = (j + 1) % n
    while k != i:
        two.append(outline[k])
        k = (k + 1) % n
    two.append(outline[i])
    if len(two) > 2 and math.dist(two[0], two[1]) < 1e-12:
        del two[0]
    return without_flat_corners(tuple(one)), without_flat_corners(tuple(two))


def _first_hit(outline: Outline, i: int, direction: XY) -> tuple[int, XY] | None:
    """First point of the boundary that a ray from corner i meets: number of the edge and the point."""
    n = len(outline)
    o, (dx, dy) = outline[i], direction
    best: tuple[float, int, XY] | None = None
    for j in range(n):
        if j == i or (j + 1) % n == i:
            continue
        a, b = outline[j], outline[(j + 1) % n]
        ex, ey = b[0] - a[0], b[1] - a[1]
        det = dx * ey - dy * ex
        if abs(det) < 1e-12 * (abs(dx) + abs(dy)) * (abs(ex) + abs(ey)):
            continue
        t = ((a[0] - o[0]) * ey - (a[1] - o[1]) * ex) / det
        u = ((a[0] - o[0]) * dy - (a[1] - o[1]) * dx) / det
        if t > 1e-9 and -1e-9 <= u <= 1 + 1e-9 and (best is None or t < best[0] - 1e-12):
            at = a if u < 1e-9 else b if u > 1 - 1e-9 else (o[0] + t * dx, o[1] + t * dy)
            best = (t, j if at != b else (j + 1) % n, at)
    return None if best is None else (best[1], best[2])


def _sees(outline: Outline, i: int, j: int) -> bool:
    """Whether the straight line between two corners runs inside, touching nothing."""
    a, b = outline[i], outline[j]
    n = len(outline)
    for corner, other in ((i, b), (j, a)):
        p, before, after = outline[corner], outline[corner - 1], outline[(corner + 1) % n]
        # at an inward corner the inside is all but the wedge between the edges
        if cross(p, after, other) <= 1e-9 and cross(p, other, before) <= 1e-9:
            return False
    for k in range(n):
        c, d = outline[k], outline[(k + 1) % n]
        if {k, (k + 1) % n} & {i, j}:
            continue
        if cross(a, b, c) * cross(a, b, d) <= 0 and cross(c, d, a) * cross(c, d, b) <= 0:
            return False
    return not any(
        k not in (i, j) and abs(cross(a, b, outline[k])) < 1e-9 and _between(a, outline[k], b) for k in range(n)
    )


def grown(part: Outline, by: float) -> Outline:
    """Grow a convex outline: an outline outside all points within `by` of it, close to that.

    Corners are mitred up to a right angle; sharper ones get a flat that touches the circle about the corner, square to
    an axis where the corner points along one.
    """
    if by == 0.0:
        return part
    normals = [_normal(a, b) for a, b in sides(part)]
    lines: list[tuple[float, float, float]] = []
    n = len(part)
    for i in range(n):
        before, here, corner = normals[i - 1], normals[i], part[i]
        for nx, ny in _between_normals(before, here):
            lines.append((nx, ny, nx * corner[0] + ny * corner[1] + by))
        lines.append((here[0], here[1], here[0] * corner[0] + here[1] * corner[1] + by))
    return tuple(_meet(lines[i - 1], lines[i]) for i in range(len(lines)))


def _normal(a: XY, b: XY) -> XY:
    length = math.hypot(b[0] - a[0], b[1] - a[1])
    return (b[1] - a[1]) / length, (a[0] - b[0]) / length


def _between_normals(before: XY, after: XY) -> list[XY]:
    start = math.atan2(before[1], before[0])
    turn = (math.atan2(after[1], after[0]) - start) % (2 * math.pi)
    if turn <= _WIDE_TURN:
        return []
    quarter = math.pi / 2
    k = math.floor(start / quarter) + 1
    axes = [k * quarter + m * quarter for m in range(3)]
    stops = [start] + [a for a in axes if start + 0.1 < a < start + turn - 0.1] + [start + turn]
    angles: list[float] = []
    for a, b in pairwise(stops):
        if b - a > _WIDE_TURN:
            angles.append((a + b) / 2)
        if b != stops[-1]:
            angles.append(b)
    return [_unit(a) for a in sorted(angles)]


def _unit(angle: float) -> XY:
    x, y = math.cos(angle), math.sin(angle)
    return (0.0 if abs(x) < 1e-12 else x), (0.0 if abs(y) < 1e-12 else y)


def _meet(one: tuple[float, float, float], two: tuple[float, float, float]) -> XY:
    det = one[0] * two[1] - one[1] * two[0]
    return (one[2] * two[1] - two[2] * one[1]) / det, (one[0] * two[2] - two[0] * one[2]) / det


def without_notches(outline: Outline, most: float) -> Outline:
    """Fill notches of at most so much area that were cut into a straight edge: nothing useful goes into them.

    The answer covers the outline and lies within its convex hull, so that a layout of filled pieces is one of the
    pieces themselves.
    """
    points = list(without_flat_corners(outline))
    found = True
    while found and len(points) > 4:
        found = False
        n = len(points)
        for i in range(n):
            for span in range(2, min(7, n - 1)):
                chain = [points[(i + k) % n] for k in range(span + 1)]
                if _is_notch(points[i - 1], chain, points[(i + span + 1) % n], most):
                    gone = {(i + k) % n for k in range(span + 1)}
                    points = [p for k, p in enumerate(points) if k not in gone]
                    found = True
                    break
            if found:
                break
    return tuple(points)


def _is_notch(before: XY, chain: list[XY], after: XY, most: float) -> bool:
    first, last = chain[0], chain[-1]
    length = math.dist(before, after)
    if abs(cross(before, after, first)) > 1e-9 * length or abs(cross(before, after, last)) > 1e-9 * length:
        return False
    if not (_between(before, first, last) and _between(first, last, after) and _between(before, first, after)):
        return False
    inside = [cross(before, after, p) > 0 for p in chain[1:-1]]
    return all(inside) and 0 < -area(tuple(chain)) <= most
