"""Sides of a face that stations break into several edges: one side all the same, as long as it is about straight."""

from __future__ import annotations

from itertools import pairwise

from snugbay.job.surfaces import Corner, Face, ReadingKind

STRAIGHT = 0.05
"""Stations within this of the line between the outer ones make one side; beyond it each edge is a side. [m]"""


def inner_stations(face: Face) -> frozenset[Corner]:
    """Return the stations inside a nearly straight side, which is one edge for a join; none where it is bent."""
    places: dict[Corner, dict[ReadingKind, float]] = {}
    for r in face.readings:
        if r.kind in (ReadingKind.ALONG, ReadingKind.OFFSET) and r.corners[:2] == face.corners[:2]:
            places.setdefault(r.corners[2], {})[r.kind] = r.value
    at = {c: (p[ReadingKind.ALONG], p[ReadingKind.OFFSET]) for c, p in places.items() if len(p) == 2}
    corners = face.corners
    inner = [c for k, c in enumerate(corners) if {corners[k - 1], c, corners[(k + 1) % len(corners)]} <= set(at)]
    if not inner:
        return frozenset()
    first, last = corners[corners.index(inner[0]) - 1], corners[(corners.index(inner[-1]) + 1) % len(corners)]
    (x0, y0), (x1, y1) = at[first], at[last]
    if x0 == x1:
        return frozenset()
    bent = max(abs(at[c][1] - y0 - (y1 - y0) * (at[c][0] - x0) / (x1 - x0)) for c in inner)
    return frozenset(inner) if bent <= STRAIGHT else frozenset()


def sides(face: Face) -> tuple[tuple[Corner, Corner], ...]:
    """Return the sides of a face, counter-clockwise, each from its first to its last corner."""
    ends = [c for c in face.corners if c not in inner_stations(face)]
    return tuple(zip(ends, (*ends[1:], ends[0]), strict=True))


def edges_between(face: Face, side: tuple[Corner, Corner]) -> tuple[tuple[Corner, Corner], ...]:
    """Return the edges of the outline from one corner to another, counter-clockwise."""
    n = len(face.corners)
    first, last = face.corners.index(side[0]), face.corners.index(side[1])
    ring = [face.corners[(first + k) % n] for k in range((last - first) % n + 1)]
    return tuple(pairwise(ring))
