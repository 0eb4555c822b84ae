"""A part cut into strips for the vapour sum: planes, temperatures, and the pressure under saturation."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from snugbay.base import OutOfRange
from snugbay.physics._num import Array, Real, arr
from snugbay.physics.moisture.air import saturation_pressure
from snugbay.physics.moisture.vapour import DELTA_AIR

STRIP_R: Final = 0.25
"""Greatest resistance of a strip into which a layer is cut. [m²·K/W] [ISO13788:2012] 6.3"""


@dataclass(frozen=True)
class Strips:
    """A part cut into strips for the vapour sum, inside first.

    Attributes
    ----------
    resistance : array, shape (s,)
        Of each strip, without films. [m²·K/W]
    sd : array, shape (s,)
        Equivalent air layer of each strip. [m]
    layer : int array, shape (s,)
        Layer that each strip belongs to.
    """

    resistance: Array
    sd: Array
    layer: Array


def strips(layers: Sequence[tuple[float, float]]) -> Strips:
    """Cut layers with over 0.25 m²·K/W into equal strips.

    Parameters
    ----------
    layers : sequence of (R, sd)
        Inside to outside. [m²·K/W], [m]; an sd of infinity is taken as 1e6 m.

    Raises
    ------
    OutOfRange
        If there are no layers, or a value is negative.

    References
    ----------
    [ISO13788:2012] 6.3.
    """
    if not len(layers):
        raise OutOfRange("A part without layers has no planes.")
    r, sd, which = [], [], []
    for k, (resistance, thickness) in enumerate(layers):
        if resistance < 0 or thickness < 0:
            raise OutOfRange(f"Layer {k + 1} has a negative resistance or equivalent air layer.")
        n = 1 if np.isnan(resistance) else max(1, int(np.ceil(resistance / STRIP_R - 1e-9)))
        r += [resistance / n] * n
        sd += [min(thickness, 1e6) / n] * n
        which += [k] * n
    return Strips(arr(r), arr(sd), np.asarray(which, dtype=np.float64))


@dataclass(frozen=True)
class Nodes:
    """Places between strips, those at one place in the vapour scale merged.

    Attributes
    ----------
    x : array, shape (n,)
        Place in the vapour scale. [m]
    share : tuple of tuple of int
        Faces of strips that lie there.
    """

    x: Array
    share: tuple[tuple[int, ...], ...]


def positions_of(cut: Strips) -> Nodes:
    """Planes of a cut part, those without vapour resistance between them as one."""
    x = np.concatenate([[0.0], np.cumsum(cut.sd)])
    groups: list[list[int]] = []
    for i, xi in enumerate(x):
        if groups and xi - x[groups[-1][0]] <= 1e-12:
            groups[-1].append(i)
        else:
            groups.append([i])
    return Nodes(arr([x[g[0]] for g in groups]), tuple(tuple(g) for g in groups))


def plane_temperatures(cut: Strips, inside_c: Real, outside_c: Real, rsi: Real = 0.13, rse: Real = 0.04) -> Array:
    """Temperatures of all strip faces from the inner surface to the outer, linear in R.

    Parameters
    ----------
    cut : Strips
        s strips.
    inside_c, outside_c : float or array, shape (...)
        Temperatures. [°C]
    rsi, rse : float
        Surface resistances. [m²·K/W]

    Returns
    -------
    array, shape (..., s + 1)
        [°C]

    References
    ----------
    [ISO13788:2012] 6.3, equation 8.
    """
    through = arr(rsi) + np.concatenate([[0.0], np.cumsum(cut.resistance)])
    total = through[-1] + arr(rse)
    ti, te = arr(inside_c)[..., None], arr(outside_c)[..., None]
    return np.asarray(ti - (ti - te) * through / total)


def lower_hull(x: Array, p: Array) -> list[int]:
    """Indices of the lower convex hull of points with rising x; first and last always belong to it."""
    hull: list[int] = []
    for i in range(len(x)):
        while len(hull) >= 2:
            a, b = hull[-2], hull[-1]
            if (p[b] - p[a]) * (x[i] - x[a]) >= (p[i] - p[a]) * (x[b] - x[a]):
                hull.pop()
            else:
                break
        hull.append(i)
    return hull


def pressure_profile(x: Array, limit: Array, ends: tuple[float, float], wet: NDArray[np.bool_]) -> tuple[Array, Array]:
    """Vapour pressure at nodes, and δ₀·(slope in − slope out) at each [kg/(m²·s)].

    Nodes that are wet are held at saturation; between them and the ends the pressure is the lower hull.
    """
    top = limit.copy()
    top[0], top[-1] = ends
    stops = [0, *(int(i) for i in np.flatnonzero(wet) if 0 < i < len(x) - 1), len(x) - 1]
    touched: list[int] = []
    for a, b in pairwise(stops):
        touched += [a + j for j in lower_hull(x[a : b + 1], top[a : b + 1])][:-1]
    touched.append(len(x) - 1)
    p = np.interp(x, x[touched], top[touched])
    flow = np.zeros(len(x))
    slope = -np.diff(p) / np.diff(x)
    for k in touched[1:-1]:
        flow[k] = DELTA_AIR * (slope[k - 1] - slope[k])
    return p, flow


def saturation_limits(nodes: Nodes, temps: Array) -> Array:
    """Saturation pressure at the planes, that of the coldest face where several lie together. [Pa]"""
    sat = arr(saturation_pressure(temps))
    return np.stack([sat[..., list(g)].min(axis=-1) for g in nodes.share], axis=-1)


def between_layers(nodes: Nodes, cut: Strips) -> tuple[tuple[int, int], ...]:
    """Layers on the inner and the outer side of each plane, -1 for a surface."""
    last = len(cut.layer)
    pairs = []
    for group in nodes.share:
        inner, outer = group[0] - 1, group[-1]
        pairs.append((int(cut.layer[inner]) if inner >= 0 else -1, int(cut.layer[outer]) if outer < last else -1))
    return tuple(pairs)
