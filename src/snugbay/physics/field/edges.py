"""All edges of a section as stretches that meet only at their ends."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from snugbay.physics.field.section import Section

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

SNAP = 1e-8
"""Corners nearer to each other, or to an edge, than this share of the section's size are on it."""


def noded_edges(section: Section) -> tuple[Floats, Ints]:
    """Return all outlines and facings of a section, cut where they touch or cross.

    Parameters
    ----------
    section : Section

    Returns
    -------
    points : ndarray, shape (n, 2)
        [m]
    stretches : ndarray, shape (m, 2)
        Numbers of the points at their ends; each stretch once.
    """
    tiny = SNAP * section.size
    loops = [np.asarray(r.outline, float) for r in section.regions]
    ends = [np.hstack([loop, np.roll(loop, -1, axis=0)]) for loop in loops]
    ends.append(np.array([[*f.start, *f.end] for f in section.facings], float).reshape(-1, 4))
    edges = np.vstack(ends)
    a, b = edges[:, :2], edges[:, 2:]
    points = _merged(np.vstack([a, b, _crossings(a, b)]), tiny)
    pairs = [pair for k in range(len(edges)) for pair in _cut(a[k], b[k], points, tiny)]
    return points, np.unique(np.sort(np.array(pairs, np.intp), axis=1), axis=0)


def _crossings(a: Floats, b: Floats) -> Floats:
    """Return the points where two edges cross, both away from parallel."""
    along = b - a
    det = along[:, None, 0] * along[None, :, 1] - along[:, None, 1] * along[None, :, 0]
    lengths = np.hypot(*along.T)
    slant = np.abs(det) > 1e-9 * lengths[:, None] * lengths[None, :]
    gap = a[None] - a[:, None]
    safe = np.where(slant, det, 1.0)
    s = (gap[..., 0] * along[None, :, 1] - gap[..., 1] * along[None, :, 0]) / safe
    t = (gap[..., 0] * along[:, None, 1] - gap[..., 1] * along[:, None, 0]) / safe
    first, _ = np.nonzero(slant & (s > 0) & (s < 1) & (t > 0) & (t < 1))
    share = s[slant & (s > 0) & (s < 1) & (t > 0) & (t < 1)]
    return np.asarray(a[first] + share[:, None] * along[first])


def _merged(points: Floats, tiny: float) -> Floats:
    kept: list[Floats] = []
    for p in points:
        if not kept or float(np.hypot(*(np.array(kept) - p).T).min()) > tiny:
            kept.append(p)
    return np.array(kept)


def _cut(a: Floats, b: Floats, points: Floats, tiny: float) -> list[tuple[int, int]]:
    """Return the stretches of one edge between the points that lie on it."""
    length = float(np.hypot(*(b - a)))
    along = (b - a) / length
    run = (points - a) @ along
    off = np.abs((points - a) @ np.array([-along[1], along[0]]))
    on = np.nonzero((off <= tiny) & (run >= -tiny) & (run <= length + tiny))[0]
    order = on[np.argsort(run[on])]
    return [(int(p), int(q)) for p, q in pairwise(order)]
