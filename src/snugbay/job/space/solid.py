"""The one general form: a polygon of named corners drawn out to a prism, and its faces as the fitter sees them.

A *profile* is drawn out level along x from the left end to the right end; a *plan* is drawn up along z from floor to
ceiling. World: x to the right and y forward of somebody who faces the far side, z up.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

Vector = tuple[float, float, float]
Corner3 = tuple[str, str]
"""A corner of the body: name of the polygon's corner, name of the end."""

SAME = 1e-3
"""Corners nearer than this are one: an edge of no length is not there. [m]"""


@dataclass(frozen=True)
class SolidFace:
    """One face of the body.

    Attributes
    ----------
    name : str
        ``"knee wall"``, ``"left end"``.
    loop : tuple of Corner3
        Counter-clockwise as the fitter sees it; the first edge is the lower (or nearer) one.
    normal : Vector
        Unit vector towards the fitter.
    """

    name: str
    loop: tuple[Corner3, ...]
    normal: Vector

    @property
    def tilt(self) -> float:
        """Angle of the surface from level, 0 to pi/2. [rad]"""
        return math.atan2(math.hypot(self.normal[0], self.normal[1]), abs(self.normal[2]))

    @property
    def overhead(self) -> bool:
        """Whether the fitter looks up at it."""
        return self.normal[2] < -1e-6


@dataclass(frozen=True)
class Solid:
    """A body with named corners and faces.

    Attributes
    ----------
    at : dict of Corner3 to Vector
        Places of the corners. [m]
    faces : tuple of SolidFace
        Profile's edges first, in their order, then the two ends.
    outside : bool
        True where the fitter stands outside the body (a dormer seen from the loft).
    """

    at: dict[Corner3, Vector]
    faces: tuple[SolidFace, ...]
    outside: bool = False

    def face(self, name: str) -> SolidFace:
        """Return a face by its name; raise `KeyError` otherwise."""
        for face in self.faces:
            if face.name == name:
                return face
        raise KeyError(name)

    @property
    def volume(self) -> float:
        """Volume inside, by the divergence theorem over fans of triangles. [m³]"""
        total = 0.0
        for face in self.faces:
            first, *rest = (self.at[c] for c in face.loop)
            for p, q in itertools.pairwise(rest):
                total += dot(first, cross(p, q)) / 6.0
        return abs(total)

    def length(self, one: Corner3, other: Corner3) -> float:
        """Return the distance of two corners. [m]"""
        return math.dist(self.at[one], self.at[other])

    def opening(self, a: SolidFace, b: SolidFace, first: Corner3, second: Corner3) -> float:
        """Return the angle of the open air between two faces that share the edge first-second of ``a``. [rad]"""
        along = unit(sub(self.at[second], self.at[first]))
        into_a, into_b = cross(a.normal, along), cross(b.normal, scaled(along, -1.0))
        return math.atan2(dot(into_b, a.normal), dot(into_b, into_a)) % (2.0 * math.pi)


def prism(
    corners: Sequence[tuple[str, float, float]],
    edges: Sequence[str],
    ends: tuple[str, str],
    length: float,
    *,
    up: bool = False,
    skews: tuple[float, float] = (0.0, 0.0),
    outside: bool = False,
) -> Solid:
    """Return a polygon drawn out.

    Parameters
    ----------
    corners : sequence of (name, across, up)
        Counter-clockwise. A profile lies in y (forward) and z (up) and is seen from the right end; a plan lies in x and
        y and is seen from above. [m]
    edges : sequence of str
        Name of the edge from each corner to the next; corners that fall together lose the edge between them.
    ends : (str, str)
        Names of the near and the far end: left and right, or floor and ceiling.
    length : float
        How far it is drawn. [m]
    up : bool
        True for a plan.
    skews : (float, float)
        Angle of each end from square in plan, positive where it runs to the right going forward. [rad]
    outside : bool
        True where the fitter stands outside.

    Returns
    -------
    Solid
        Faces of edges, then the near and the far end.
    """
    kept, names = _without_nothings(corners, edges)
    low, high = ends
    at: dict[Corner3, Vector] = {}
    for name, u, v in kept:
        for end, far, skew in ((low, 0.0, skews[0]), (high, length, skews[1])):
            at[name, end] = (u, v, far) if up else (far + math.tan(skew) * u, u, v)
    ring = [name for name, _, _ in kept]
    loops: list[tuple[str, list[Corner3]]] = []
    for k, edge in enumerate(names):
        p, q = ring[k], ring[(k + 1) % len(ring)]
        side = [(p, low), (p, high), (q, high), (q, low)]
        loops.append((edge, side))
    loops.append((low, [(n, low) for n in ring]))
    loops.append((high, [(n, high) for n in reversed(ring)]))
    faces = tuple(_seen(name, loop, at, outside) for name, loop in loops)
    return Solid(at, faces, outside)


def _without_nothings(
    corners: Sequence[tuple[str, float, float]], edges: Sequence[str]
) -> tuple[list[tuple[str, float, float]], list[str]]:
    """Leave out edges of no length; corners that fall together go by the name that stands first."""
    there = [
        k for k, corner in enumerate(corners) if math.dist(corner[1:], corners[(k + 1) % len(corners)][1:]) >= SAME
    ]
    kept, names = [], []
    for k in there:
        _, x, y = corners[k]
        first = next(name for name, u, v in corners if math.dist((u, v), (x, y)) < SAME)
        kept.append((first, x, y))
        names.append(edges[k])
    return kept, names


def _seen(name: str, loop: list[Corner3], at: dict[Corner3, Vector], outside: bool) -> SolidFace:
    """Turn a loop that is counter-clockwise from inside to how the fitter sees it, its lowest edge first."""
    ring = loop[::-1] if outside else loop
    normal = _newell([at[c] for c in ring])
    up: Vector = (0.0, 0.0, 1.0) if abs(normal[2]) < 1.0 - 1e-9 else (0.0, 1.0, 0.0)
    heights = [dot(at[c], up) for c in ring]
    first = min(range(len(ring)), key=lambda k: (round(heights[k] + heights[(k + 1) % len(ring)], 6), k))
    return SolidFace(name, tuple(ring[first:] + ring[:first]), normal)


def _newell(points: Sequence[Vector]) -> Vector:
    total = (0.0, 0.0, 0.0)
    for p, q in zip(points, (*points[1:], points[0]), strict=True):
        total = add(total, cross(p, q))
    return unit(total)


def add(a: Vector, b: Vector) -> Vector:
    """Return a + b."""
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def sub(a: Vector, b: Vector) -> Vector:
    """Return a - b."""
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def scaled(a: Vector, by: float) -> Vector:
    """Return a times a number."""
    return (a[0] * by, a[1] * by, a[2] * by)


def dot(a: Vector, b: Vector) -> float:
    """Return the inner product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vector, b: Vector) -> Vector:
    """Return the outer product."""
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def unit(a: Vector) -> Vector:
    """Return the vector of length one."""
    size = math.sqrt(dot(a, a))
    return scaled(a, 1.0 / size) if size else a
