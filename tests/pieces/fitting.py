"""Trial fits: true openings and true pieces are drawn, and a piece goes in where some shift and turn makes it.

Written apart from the product: openings and pieces are polygons with many points, and the best shift and turn is found
by linear programming over the exact side lines, turned exactly afterwards.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import cos, sin

import numpy as np
from scipy.optimize import linprog
from tests.pieces.rooms import Array

from snugbay.pieces import Edge, Piece

Points = Sequence[tuple[float, float]]


def normals_of(points: Array) -> Array:
    """Outward normals of a counter-clockwise outline."""
    d = np.roll(points, -1, axis=0) - points
    return np.asarray(np.column_stack([d[:, 1], -d[:, 0]]) / np.linalg.norm(d, axis=1)[:, None])


def moved_sides(points: Array, out: Array, by: Array) -> Array:
    """Outline with each side moved outward, corners where the sides cross."""
    found = []
    for k in range(len(points)):
        m = np.array([out[k - 1], out[k]])
        rhs = np.array([out[k - 1] @ points[k] + by[k - 1], out[k] @ points[k] + by[k]])
        found.append(np.linalg.solve(m, rhs))
    return np.array(found)


def goes_in(hole: Array, hole_bow: Array, piece: Array, captive: Sequence[bool]) -> bool:
    """Return whether a piece goes into a hole: every point of its captive sides inside, by a shift of at most 3 cm.

    ``hole_bow`` is how far the middle of each side of the hole bows inward; a side is then two straight halves.
    """
    out = normals_of(hole)
    middle = piece.mean(axis=0)
    rows, limits = [], []
    for k in range(len(hole)):
        if not captive[k]:
            continue
        a, b = hole[k], hole[(k + 1) % len(hole)]
        p, q = piece[k], piece[(k + 1) % len(piece)]
        for s in np.linspace(0.0, 1.0, 11):
            r = p + s * (q - p)
            side = a + s * (b - a) - out[k] * hole_bow[k] * (1 - abs(2 * s - 1))
            arm = r - middle
            rows.append([out[k][0], out[k][1], arm[0] * out[k][1] - arm[1] * out[k][0], -1.0])
            limits.append(out[k] @ (side - r))
    best = linprog([0, 0, 0, 1], A_ub=rows, b_ub=limits, bounds=[(-0.03, 0.03)] * 2 + [(-0.1, 0.1), (None, None)])
    assert best.x is not None
    if best.x[3] > 0:
        return False
    x, y, turn = best.x[:3]
    spin = np.array([[cos(turn), -sin(turn)], [sin(turn), cos(turn)]])
    placed = (piece - middle) @ spin.T + middle + (x, y)
    inside = [
        (out[k] @ (placed[j] - hole[k])) < 2e-4
        for k in range(len(hole))
        if captive[k]
        for j in (k, (k + 1) % len(hole))
    ]
    return all(inside)


def share_that_goes_in(
    draw_hole: Callable[[np.random.Generator], tuple[Array, Array]],
    piece: Array,
    captive: Sequence[bool],
    cut: float,
    trials: int,
    seed: int,
) -> float:
    """Cut and try a piece many times, each time in a new true hole; return the share that goes in."""
    rng = np.random.default_rng(seed)
    good = 0
    out = normals_of(piece)
    for _ in range(trials):
        hole, bow = draw_hole(rng)
        cut_piece = moved_sides(piece, out, rng.normal(0.0, cut, len(piece)))
        good += goes_in(hole, bow, cut_piece, captive)
    return good / trials


def captive_of(piece: Piece, kinds: Sequence[str]) -> list[bool]:
    return [e.kind.value in kinds for e in piece.edges]


def gaps_of(edges: Sequence[Edge]) -> list[float]:
    return [e.gap for e in edges]
