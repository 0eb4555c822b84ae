"""A piece as a solid in space: vertices and triangles."""

from __future__ import annotations

from collections.abc import Sequence

import manifold3d
import numpy as np
from numpy.typing import NDArray

from snugbay.pieces.cutting import back_of
from snugbay.pieces.values import Piece
from snugbay.survey import Frame, Point

Vertices = NDArray[np.float64]
Triangles = NDArray[np.int64]


def in_space(points: Sequence[Point], z: float, frame: Frame) -> Vertices:
    """Return points of the plane of a face at a height over it, in space, shape (n, 3). [m]"""
    xy = np.asarray(points, dtype=float).reshape(-1, 2)
    placed = np.asarray(frame.origin) + xy[:, :1] * np.asarray(frame.ex) + xy[:, 1:] * np.asarray(frame.ey)
    return np.asarray(placed + z * np.asarray(frame.normal))


def solid(piece: Piece, frame: Frame) -> tuple[Vertices, Triangles]:
    """Return a piece as a closed mesh, its triangles counter-clockwise as seen from outside.

    Parameters
    ----------
    piece : Piece
        Outline of the front, bevels, holes, thickness and depth.
    frame : Frame
        Where its face stands.

    Returns
    -------
    vertices : array of shape (n, 3)
        [m]
    triangles : array of shape (m, 3)
        Numbers of vertices.

    Raises
    ------
    ValueError
        If two neighbouring edges in one line have different bevels.

    Notes
    -----
    Slits have no width and are left out.
    """
    back = [back_of(piece.outline, piece.edges, piece.thickness), *[list(h) for h in piece.holes]]
    front = [list(piece.outline), *[list(h) for h in piece.holes]]
    flat, below = [p for r in front for p in r], [p for r in back for p in r]
    cap, floor = _cap(front), _cap(back)
    n = len(flat)
    top = in_space(flat, piece.depth + piece.thickness, frame)
    bottom = in_space(below, piece.depth, frame)
    sides = []
    start = 0
    for loop in front:
        k = np.arange(len(loop)) + start
        after = np.roll(k, -1)
        sides.append(np.column_stack([k + n, after + n, after]))
        sides.append(np.column_stack([k + n, after, k]))
        start += len(loop)
    triangles = np.vstack([cap, floor[:, ::-1] + n, *sides])
    return np.vstack([top, bottom]), triangles


def _cap(rings: Sequence[Sequence[Point]]) -> Triangles:
    """Triangulate an outline with holes, each triangle counter-clockwise in the plane, points in one line kept."""
    found = manifold3d.triangulate([np.asarray(r, dtype=float) for r in rings])
    return np.asarray(found, dtype=np.int64).reshape(-1, 3)


def convex_parts(rings: Sequence[Sequence[Point]]) -> list[list[int]]:
    """Part an outline with holes into convex shapes.

    Parameters
    ----------
    rings : sequence of sequence of Point
        The outline counter-clockwise, then its holes clockwise.

    Returns
    -------
    list of list of int
        For each part the numbers of its corners, counted through all rings, counter-clockwise.

    Notes
    -----
    Triangles are put together along shared edges for as long as the two stay convex (Hertel and Mehlhorn's way, at most
    four times as many parts as needed).
    """
    points = np.asarray([p for r in rings for p in r], dtype=float)
    parts = [[int(k) for k in triangle] for triangle in _cap(rings)]
    at = 0
    while at < len(parts):
        joined = next(
            ((m, j) for m in range(at + 1, len(parts)) if (j := _joined(parts[at], parts[m], points)) is not None), None
        )
        if joined is None:
            at += 1
            continue
        parts[at] = joined[1]
        del parts[joined[0]]
    return parts


def _joined(a: list[int], b: list[int], points: Vertices) -> list[int] | None:
    """Return two parts that share an edge as one, None where they share none or it would not be convex."""
    for i, p in enumerate(a):
        q = a[(i + 1) % len(a)]
        if p in b and q in b and b[(b.index(q) + 1) % len(b)] == p:
            m = b.index(p)
            whole = [*a[: i + 1], *[b[(m + k) % len(b)] for k in range(1, len(b) - 1)], *a[i + 1 :]]
            step = np.roll(points[whole], -1, axis=0) - points[whole]
            turn = step[:, 0] * np.roll(step[:, 1], -1) - step[:, 1] * np.roll(step[:, 0], -1)
            return whole if bool((turn > -1e-12).all()) else None
    return None


def middle_of(piece: Piece) -> list[Point]:
    """Return the outline of a piece half way through its thickness, point for point with its front. [m]"""
    back = back_of(piece.outline, piece.edges, piece.thickness)
    return [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in zip(piece.outline, back, strict=True)]
