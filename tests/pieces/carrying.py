"""Plates carried through an opening, step by step, written apart from the product.

World: x sideways, y up from the floor behind the opening, z straight ahead through the wall from z = -deep to z = 0. In
front of the wall nothing is in the way; behind it the space runs 0..run ahead and 0..height up, open sideways. The
opening reaches from the sill up by its height.
"""

from __future__ import annotations

from itertools import combinations, product

import numpy as np
from scipy.spatial.transform import Rotation, Slerp
from tests.pieces.rooms import Array

CORNERS = np.array(list(product((-0.5, 0.5), repeat=3)))
EDGES = np.array([(a, b) for a, b in combinations(range(8), 2) if np.abs(CORNERS[a] - CORNERS[b]).sum() == 1.0])


def corners_at(size: tuple[float, float, float], turns: Array, middles: Array) -> Array:
    """Corners of a plate in many places, shape (n, 8, 3); ``turns`` are matrices whose columns are the plate's axes."""
    return np.asarray(middles[:, None, :] + np.einsum("nij,kj->nki", turns, CORNERS * np.array(size)))


def within_wall(points: Array, deep: float) -> tuple[Array, Array]:
    """Corners of what lies within the wall, shape (n, k, 3), and which of them count, shape (n, k).

    They are the plate's own corners there, and where its edges cross the wall's two faces.
    """
    tiny = 1e-9
    z = points[:, :, 2]
    found, counts = [points], [(z >= -deep) & (z <= 0.0)]
    a, b = points[:, EDGES[:, 0]], points[:, EDGES[:, 1]]
    za, zb = a[:, :, 2], b[:, :, 2]
    for face in (-deep, 0.0):
        crosses = (za > face + tiny) != (zb > face + tiny)
        share = np.where(crosses, (face + tiny - za) / np.where(crosses, zb - za, 1.0), 0.0)
        found.append(a + share[:, :, None] * (b - a))
        counts.append(crosses)
    return np.concatenate(found, axis=1), np.concatenate(counts, axis=1)


def free(
    points: Array, opening: tuple[float, float], space: tuple[float, float], sill: float = 0.0, deep: float = 0.0
) -> Array:
    """Return for each place whether the plate touches nothing (to 1e-9 m)."""
    tiny = 1e-9
    z = points[:, :, 2]
    behind = z > tiny
    y = points[:, :, 1]
    good = ~(behind & ((z > space[0] + tiny) | (y < -tiny) | (y > space[1] + tiny))).any(axis=1)
    at, counts = within_wall(points, deep)
    up = at[:, :, 1] - sill
    outside = (np.abs(at[:, :, 0]) > opening[0] / 2 + tiny) | (up < -tiny) | (up > opening[1] + tiny)
    return np.asarray(good & ~np.logical_and(counts, outside).any(axis=1))


def straight_push(
    size: tuple[float, float, float],
    axis: Array,
    turn: Array,
    height: float,
    opening: tuple[float, float],
    space: tuple[float, float],
    steps: int = 300,
    sill: float = 0.0,
    deep: float = 0.0,
) -> bool:
    """Push a plate along an axis from wholly in front to wholly behind, and look at every step.

    The axis leaves the wall at the height given; half way through the wall it is at the middle of the width.
    """
    corners = np.einsum("ij,kj->ki", turn, CORNERS * np.array(size))
    reach = -corners[:, 2].min() / axis[2]
    leaves = np.array([axis[0] / axis[2] * deep / 2, height, 0.0])
    where = np.linspace(-reach - deep / axis[2] - 0.01, reach, steps)[:, None] * axis + leaves
    points = corners_at(size, np.repeat(turn[None], steps, axis=0), where)
    ends_behind = bool((points[-1, :, 2] > -1e-9).all())
    return ends_behind and bool(free(points, opening, space, sill, deep).all())


def rooms_for(
    size: tuple[float, float, float],
    turns: Array,
    depths: Array,
    opening: tuple[float, float],
    space: tuple[float, float],
    sill: float = 0.0,
    deep: float = 0.0,
) -> tuple[Array, Array]:
    """For turned plates with their middles at given depths: lowest and highest middle (x interval and y interval).

    Returns arrays of shape (n, 2) with the feasible x and y intervals; empty where low > high.
    """
    middles = np.zeros((len(turns), 3))
    middles[:, 2] = depths
    p = corners_at(size, turns, middles)
    z = p[:, :, 2]
    at, counts = within_wall(p, deep)
    big = 1e3
    x_low = np.where(counts, at[:, :, 0], big).min(axis=1)
    x_high = np.where(counts, at[:, :, 0], -big).max(axis=1)
    y_low = np.where(counts, at[:, :, 1], big).min(axis=1)
    y_high = np.where(counts, at[:, :, 1], -big).max(axis=1)
    behind = z > 0
    b_low = np.where(behind, p[:, :, 1], big).min(axis=1)
    b_high = np.where(behind, p[:, :, 1], -big).max(axis=1)
    x = np.column_stack([-opening[0] / 2 - x_low, opening[0] / 2 - x_high])
    y = np.column_stack([np.maximum(sill - y_low, -b_low), np.minimum(sill + opening[1] - y_high, space[1] - b_high)])
    y[(z > space[0]).any(axis=1)] = (1.0, -1.0)
    return x, y


def sampled_pass(
    size: tuple[float, float, float],
    opening: tuple[float, float],
    space: tuple[float, float],
    motions: int,
    rng: np.random.Generator,
    steps: int = 48,
    sill: float = 0.0,
    deep: float = 0.0,
) -> bool:
    """Try random motions: from one random turn to another (often the same), pushed in as it turns; any path in x, y."""
    first = Rotation.random(motions, random_state=rng)
    swing = rng.random(motions) < 0.7
    last = Rotation.from_rotvec(np.where(swing[:, None], rng.normal(0, 0.5, (motions, 3)), 0.0)) * first
    bend = np.exp(rng.normal(0, 0.7, motions))
    s = np.linspace(0, 1, steps)
    half = np.array(size) / 2
    for m in range(motions):
        turns = Slerp([0, 1], Rotation.concatenate([first[m], last[m]]))(s ** bend[m]).as_matrix()
        reach = np.abs(turns[:, 2, :]) @ half
        depths = -reach[0] - deep + s * (reach[0] + deep + reach[-1])
        x, y = rooms_for(size, turns, depths, opening, space, sill, deep)
        inside = (x[:, 0] <= x[:, 1]) & (y[:, 0] <= y[:, 1])
        if inside.all() and reach[-1] * 2 <= space[0]:
            return True
    return False
