"""Plane geometry of pieces: lines with a meaning, shifted outlines, edges recognised after cutting."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

import numpy as np
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from snugbay.pieces.values import Edge, EdgeKind
from snugbay.survey import Point

NEAR = 2e-6
"""Distance within which a cut edge is taken to lie on the line it came from. [m]"""


@dataclass(frozen=True)
class Line:
    """A line that edges of pieces lie on, with what it means.

    Attributes
    ----------
    start, end : Point
        Two points of the line, the board to its left. [m]
    edge : Edge
        What an edge on this line is.
    corners : tuple of int or None
        Numbers of the face's corners at its start and end, where it came from the outline.
    captive : bool
        True where something solid stands beyond the gap, so that the piece must fit.
    sigma : float
        Standard deviation of the solid's place, beyond what the survey's covariance says. [m]
    name : str
        Key of the solid, the same for every line of one solid.
    overhang : float
        Lean of what stands beyond the edge over the board, per height. [-]
    """

    start: Point
    end: Point
    edge: Edge
    corners: tuple[int, int] | None = None
    captive: bool = False
    sigma: float = 0.0
    name: str = ""
    overhang: float = 0.0


def unit(p: Point, q: Point) -> tuple[float, float, float]:
    """Return the direction from p to q and the distance: (ux, uy, length)."""
    length = hypot(q[0] - p[0], q[1] - p[1])
    return ((q[0] - p[0]) / length, (q[1] - p[1]) / length, length)


def inward(p: Point, q: Point) -> Point:
    """Return the unit normal to the left of p to q: into a counter-clockwise outline."""
    ux, uy, _ = unit(p, q)
    return (-uy, ux)


def shifted(p: Point, q: Point, by: float) -> tuple[Point, Point]:
    """Return the segment moved to its left by so much. [m]"""
    nx, ny = inward(p, q)
    return (p[0] + by * nx, p[1] + by * ny), (q[0] + by * nx, q[1] + by * ny)


def crossing(a: tuple[Point, Point], b: tuple[Point, Point]) -> Point | None:
    """Return where two lines cross, None where they are parallel within 0.3 mrad."""
    ax, ay, _ = unit(*a)
    bx, by, _ = unit(*b)
    turn = ax * by - ay * bx
    if abs(turn) < 3e-4:
        return None
    dx, dy = b[0][0] - a[0][0], b[0][1] - a[0][1]
    along = (dx * by - dy * bx) / turn
    return (a[0][0] + along * ax, a[0][1] + along * ay)


def offset_outline(points: Sequence[Point], insets: Sequence[float]) -> tuple[list[Point], list[int]]:
    """Move each edge of an outline inward by its own inset.

    Parameters
    ----------
    points : sequence of Point
        Outline, counter-clockwise. [m]
    insets : sequence of float
        For each edge i to i + 1; negative grows. [m]

    Returns
    -------
    (list of Point, list of int)
        New outline, and for each of its edges the number of the old edge; -1 for the step between two edges in one
        line that are moved by different insets.

    Notes
    -----
    Where neighbouring edges lie almost in one line (within 6 degrees) and their insets differ, their lines would
    cross far away; there the outline steps squarely from one to the other.
    """
    n = len(points)
    lines = [shifted(points[i], points[(i + 1) % n], insets[i]) for i in range(n)]
    out: list[Point] = []
    tags: list[int] = []
    for i in range(n):
        before, here = lines[i - 1], lines[i]
        differs = abs(insets[i] - insets[i - 1]) > 1e-9
        ux, uy, _ = unit(*before)
        vx, vy, _ = unit(*here)
        straight = abs(ux * vy - uy * vx) < 0.1 and ux * vx + uy * vy > 0
        cross = None if straight and differs else crossing(before, here)
        if cross is not None:
            out.append(cross)
            tags.append(i)
        elif differs:
            out += [before[1], here[0]]
            tags += [-1, i]
        else:
            out.append(here[0])
            tags.append(i)
    return out, tags


def polygons(shape: BaseGeometry, least: float = 1e-7) -> list[Polygon]:
    """Return the polygons of a shape that are larger than ``least``. [m²]"""
    if isinstance(shape, Polygon):
        return [shape] if shape.area > least else []
    if isinstance(shape, MultiPolygon):
        return [p for p in shape.geoms if p.area > least]
    return [p for g in getattr(shape, "geoms", ()) for p in polygons(g, least)]


def ring(polygon: Polygon) -> list[Point]:
    """Return the outer ring counter-clockwise, the last point left out, points in one line kept."""
    points = [(float(x), float(y)) for x, y in polygon.exterior.coords[:-1]]
    return points if polygon.exterior.is_ccw else points[::-1]


def holes_of(polygon: Polygon) -> list[list[Point]]:
    """Return the holes clockwise, the last point of each left out."""
    found = []
    for hole in polygon.interiors:
        points = [(float(x), float(y)) for x, y in hole.coords[:-1]]
        found.append(points[::-1] if hole.is_ccw else points)
    return found


class LineBook:
    """All lines of one layer, and which of them an edge lies on."""

    def __init__(self, lines: Sequence[Line]) -> None:
        self.lines = list(lines)
        a = np.array([ln.start for ln in lines], dtype=float).reshape(-1, 2)
        b = np.array([ln.end for ln in lines], dtype=float).reshape(-1, 2)
        d = b - a
        length = np.hypot(d[:, 0], d[:, 1])
        self._at, self._dir = a, d / length[:, None]
        self._mid, self._half = 0.5 * (a + b), 0.5 * length

    def find(self, p: Point, q: Point) -> int | None:
        """Return the number of the line that the edge p to q lies on, the nearest segment where several do."""
        if not self.lines:
            return None
        ux, uy, length = unit(p, q)
        along = self._dir @ np.array((ux, uy))
        for_p = np.array(p) - self._at
        for_q = np.array(q) - self._at
        dp = np.abs(self._dir[:, 0] * for_p[:, 1] - self._dir[:, 1] * for_p[:, 0])
        dq = np.abs(self._dir[:, 0] * for_q[:, 1] - self._dir[:, 1] * for_q[:, 0])
        good = (dp < NEAR) & (dq < NEAR) & (along > (0.99 if length > 1e-3 else 0.0))
        if not good.any():
            return None
        mid = np.array(((p[0] + q[0]) / 2, (p[1] + q[1]) / 2)) - self._mid
        beyond = np.abs((mid * self._dir).sum(axis=1)) - self._half
        return int(np.argmin(np.where(good, np.maximum(beyond, 0.0) + 1e-6 * np.abs(beyond), np.inf)))


FREE = Edge(EdgeKind.FREE)
"""An edge that meets nothing."""


def tidy(points: Sequence[Point], lines: Sequence[int | None]) -> tuple[list[Point], list[int | None]]:
    """Merge neighbouring edges that lie on the same line, and drop edges shorter than a hundredth of a millimetre."""
    pts, tags = list(points), list(lines)
    changed = True
    while changed and len(pts) > 3:
        changed = False
        for i in range(len(pts)):
            j = (i + 1) % len(pts)
            if hypot(pts[j][0] - pts[i][0], pts[j][1] - pts[i][1]) < 1e-5:
                del pts[i], tags[i]
                changed = True
                break
            h = i - 1
            same = tags[h] == tags[i] and tags[i] is not None
            if same:
                ux, uy, _ = unit(pts[h], pts[i])
                vx, vy, _ = unit(pts[i], pts[j])
                if abs(ux * vy - uy * vx) < 1e-5 and ux * vx + uy * vy > 0:
                    del pts[i], tags[i]
                    changed = True
                    break
    return pts, tags
