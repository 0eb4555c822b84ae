"""Parts of an outline that may swing over: what hangs on two corners only can be mirrored across their line."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping

from snugbay.job import Corner, Face

Shape = Mapping[Corner, complex]


def hanging(face: Face) -> tuple[tuple[Corner, Corner, frozenset[Corner]], ...]:
    """Return pairs of corners and the part of the outline that readings tie to nothing but the two."""
    near: dict[Corner, set[Corner]] = {c: set() for c in face.corners}
    for r in face.readings:
        for a, b in itertools.permutations(r.corners, 2):
            near[a].add(b)
    out = []
    for i, j in itertools.combinations(face.corners, 2):
        for part in _parts(near, {i, j}):
            if len(part) <= (len(face.corners) - 2) // 2 or len(face.corners) == 3:
                out.append((i, j, part))
    return tuple(out)


def _parts(near: Mapping[Corner, set[Corner]], without: set[Corner]) -> list[frozenset[Corner]]:
    left = [c for c in near if c not in without]
    seen: set[Corner] = set()
    parts = []
    for c in left:
        if c in seen:
            continue
        part, waiting = {c}, [c]
        while waiting:
            for other in near[waiting.pop()]:
                if other not in without and other not in part:
                    part.add(other)
                    waiting.append(other)
        seen |= part
        parts.append(frozenset(part))
    return parts if len(parts) > 1 else []


def mirrored(point: complex, a: complex, b: complex) -> complex:
    """Return a point mirrored across the line a-b."""
    u = b - a
    return a + u * ((point - a) / u).conjugate()


def swung(face: Face, shape: Shape) -> Iterator[Shape]:
    """Yield the shapes in which one hanging part has swung over."""
    for i, j, part in hanging(face):
        a, b = shape[i], shape[j]
        if a != b:
            yield {c: mirrored(p, a, b) if c in part else p for c, p in shape.items()}


def pushed(face: Face, shape: Shape) -> Iterator[Shape]:
    """Yield the shapes in which one corner is pushed through the line between its neighbours."""
    n = len(face.corners)
    for k, c in enumerate(face.corners):
        a, b = shape[face.corners[k - 1]], shape[face.corners[(k + 1) % n]]
        if a != b:
            yield {**shape, c: mirrored(shape[c], a, b)}
