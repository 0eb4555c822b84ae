"""Condensation inside a part and its drying over a year, month by month, any number of planes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from snugbay.base import Finding, OutOfRange, Weight
from snugbay.physics._num import Array, Real, arr, need
from snugbay.physics.climate.values import MONTHS
from snugbay.physics.moisture.air import saturation_pressure
from snugbay.physics.moisture.vapour import DELTA_AIR

STRIP_R: Final = 0.25
"""Greatest resistance of a strip into which a layer is cut. [m²·K/W] [ISO13788:2012] 6.3"""

DAY_S: Final = 86400.0
DAYS_365: Final = arr([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])


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
class _Nodes:
    """Places between strips, those at one place in the vapour scale merged: position, and which temperature."""

    x: Array
    share: tuple[tuple[int, ...], ...]


def _positions(cut: Strips) -> _Nodes:
    x = np.concatenate([[0.0], np.cumsum(cut.sd)])
    groups: list[list[int]] = []
    for i, xi in enumerate(x):
        if groups and xi - x[groups[-1][0]] <= 1e-12:
            groups[-1].append(i)
        else:
            groups.append([i])
    return _Nodes(arr([x[g[0]] for g in groups]), tuple(tuple(g) for g in groups))


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


def _lower_hull(x: Array, p: Array) -> list[int]:
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


def _profile(x: Array, limit: Array, ends: tuple[float, float], wet: NDArray[np.bool_]) -> tuple[Array, Array]:
    """Vapour pressure at nodes, and δ₀·(slope in − slope out) at each [kg/(m²·s)].

    Nodes that are wet are held at saturation; between them and the ends the pressure is the lower hull.
    """
    top = limit.copy()
    top[0], top[-1] = ends
    stops = [0, *(int(i) for i in np.flatnonzero(wet) if 0 < i < len(x) - 1), len(x) - 1]
    touched: list[int] = []
    for a, b in pairwise(stops):
        touched += [a + j for j in _lower_hull(x[a : b + 1], top[a : b + 1])][:-1]
    touched.append(len(x) - 1)
    p = np.interp(x, x[touched], top[touched])
    flow = np.zeros(len(x))
    slope = -np.diff(p) / np.diff(x)
    for k in touched[1:-1]:
        flow[k] = DELTA_AIR * (slope[k - 1] - slope[k])
    return p, flow


@dataclass(frozen=True)
class Condensation:
    """Steady condensation in one period.

    Attributes
    ----------
    temperatures : array, shape (s + 1,)
        At the faces of the strips. [°C]
    pressures, saturation : array, shape (n,)
        Vapour pressure and its limit at the nodes. [Pa]
    positions : array, shape (n,)
        Place of the nodes in the vapour scale. [m]
    flow : array, shape (n,)
        Rate of condensation at each node. [kg/(m²·s)]
    """

    temperatures: Array
    pressures: Array
    saturation: Array
    positions: Array
    flow: Array

    @property
    def rate(self) -> float:
        """Sum of condensation. [kg/(m²·s)]"""
        return float(self.flow.sum())


def condensation(
    layers: Sequence[tuple[float, float]],
    inside_c: float,
    outside_c: float,
    indoor_pa: float,
    outdoor_pa: float,
    *,
    rsi: float = 0.13,
    rse: float = 0.04,
) -> Condensation:
    """Condensation in a dry part under constant conditions.

    Parameters
    ----------
    layers : sequence of (R, sd)
        Inside to outside. [m²·K/W], [m]
    inside_c, outside_c : float
        Temperatures. [°C]
    indoor_pa, outdoor_pa : float
        Vapour pressures. [Pa]
    rsi, rse : float
        Surface resistances. [m²·K/W]

    Returns
    -------
    Condensation

    References
    ----------
    [ISO13788:2012] 6.4.
    """
    cut = strips(layers)
    nodes = _positions(cut)
    if len(nodes.x) < 2:
        raise OutOfRange("The part passes vapour without any resistance.", hint="Give each layer its sd.")
    temps = plane_temperatures(cut, inside_c, outside_c, rsi, rse)
    limit = _limits(nodes, temps)
    p, flow = _profile(nodes.x, limit, (indoor_pa, outdoor_pa), np.zeros(len(nodes.x), dtype=bool))
    return Condensation(temps, p, limit, nodes.x, flow)


def _limits(nodes: _Nodes, temps: Array) -> Array:
    sat = arr(saturation_pressure(temps))
    return np.stack([sat[..., list(g)].min(axis=-1) for g in nodes.share], axis=-1)


@dataclass(frozen=True)
class MoistureYear:
    """A year of condensation and drying.

    Attributes
    ----------
    order : tuple of int
        Months in the order reckoned, 0 January; begins with the first that condenses after a dry one.
    flow : array, shape (12, n)
        Condensation (evaporation negative) at each plane in each month of ``order``; for a plane that dries out within
        the month this is what could evaporate. [kg/m²]
    content : array, shape (12, n)
        Water at each plane at the end of each month. [kg/m²]
    positions : array, shape (n,)
        Place of the planes in the vapour scale from the inner surface. [m]
    between : tuple of (int, int)
        For each plane, the layers on its inner and outer side (the same number within a layer; -1 a surface).
    peak : float
        Greatest sum of water at any month's end. [kg/m²]
    peak_month : int
        Month of it, 0 January.
    left : float
        Water left after the twelve months. [kg/m²]
    surface_months : tuple of int
        Months with condensation on the inner surface.
    findings : tuple of Finding
        What it means.
    """

    order: tuple[int, ...]
    flow: Array
    content: Array
    positions: Array
    between: tuple[tuple[int, int], ...]
    peak: float
    peak_month: int
    left: float
    surface_months: tuple[int, ...]
    findings: tuple[Finding, ...] = ()

    @property
    def wet_planes(self) -> tuple[int, ...]:
        """Planes that hold water at some time."""
        return tuple(int(i) for i in np.flatnonzero(self.content.max(axis=0) > 0))

    @property
    def condenses(self) -> bool:
        """Whether any month leaves water."""
        return self.peak > 0

    @property
    def dries(self) -> bool:
        """Whether all water of a year dries within the year."""
        return not self.left > 1e-9

    @property
    def month_names(self) -> tuple[str, ...]:
        """Names of the months in their order."""
        return tuple(MONTHS[m] for m in self.order)


def condensation_year(
    layers: Sequence[tuple[float, float]],
    outside_c: Array,
    outdoor_pa: Array,
    indoor_pa: Array,
    *,
    inside_c: Real = 20.0,
    rsi: float = 0.13,
    rse: float = 0.04,
    days: Array = DAYS_365,
    start: int | None = None,
) -> MoistureYear:
    """Twelve months of condensation and drying in a part.

    Parameters
    ----------
    layers : sequence of (R, sd)
        Inside to outside. [m²·K/W], [m]
    outside_c, outdoor_pa : array, shape (12,)
        Monthly means outdoors (or of the space on the cold side). [°C], [Pa]
    indoor_pa : array, shape (12,)
        Indoor vapour pressure, see `indoor_vapour_pressure`. [Pa]
    inside_c : float or array, shape (12,)
        Indoor temperature. [°C]
    rsi, rse : float
        Surface resistances. [m²·K/W]
    days : array, shape (12,)
        Days of the months. [d]
    start : int, optional
        First month, 0 January; found by the standard's rule if not given.

    Returns
    -------
    MoistureYear
        Findings say whether it accumulates, and where the inner surface itself is wet.

    Raises
    ------
    OutOfRange
        If there are not twelve finite monthly values, or the layers are impossible.

    Notes
    -----
    Vapour pressure is the lower convex hull under saturation; a wet plane stays at saturation until it is dry; water
    that would fall below zero is set to zero. Air leakage, which carries far more, and capillarity are not in it.

    References
    ----------
    [ISO13788:2012] 6.4 and 6.5.
    """
    te, pe, pi = (arr(v) for v in (outside_c, outdoor_pa, indoor_pa))
    ti = np.broadcast_to(arr(inside_c), (12,))
    for name, v in (("temperatures", te), ("outdoor vapour pressures", pe), ("indoor vapour pressures", pi)):
        if v.shape != (12,) or not np.all(np.isfinite(v)):
            raise OutOfRange(f"Twelve monthly {name} are needed, all of them known.")
    need(~(pe < 0) & ~(pi < 0), "A vapour pressure is negative.")
    cut = strips(layers)
    if not np.all(np.isfinite(cut.resistance)) or not np.all(np.isfinite(cut.sd)):
        raise OutOfRange("A layer's resistance or equivalent air layer is not known.")
    nodes = _positions(cut)
    if len(nodes.x) < 2:
        raise OutOfRange("The part passes vapour without any resistance.", hint="Give each layer its sd.")
    limits = _limits(nodes, plane_temperatures(cut, ti, te, rsi, rse))
    n = len(nodes.x)
    dry = np.zeros(n, dtype=bool)
    wet_month = [bool((_profile(nodes.x, limits[m], (pi[m], pe[m]), dry)[1] > 0).any()) for m in range(12)]
    order = _order(wet_month, start)
    flow, content, water = np.zeros((12, n)), np.zeros((12, n)), np.zeros(n)
    for row, m in enumerate(order):
        _, rate = _profile(nodes.x, limits[m], (pi[m], pe[m]), water > 0)
        flow[row] = rate * days[m] * DAY_S
        water = np.maximum(water + flow[row], 0.0)
        content[row] = water
    sums = content.sum(axis=1)
    top = int(sums.argmax())
    surface = tuple(m for m in range(12) if pi[m] > limits[m, 0] * (1 + 1e-9))
    found = _year_findings(float(sums[top]), order[top], float(sums[-1]), surface)
    return MoistureYear(
        order,
        flow,
        content,
        nodes.x,
        _between(nodes, cut),
        float(sums[top]),
        order[top],
        float(sums[-1]),
        surface,
        found,
    )


def _order(wet: Sequence[bool], start: int | None) -> tuple[int, ...]:
    first = start
    if first is None:
        begins = [m for m in range(12) if wet[m] and not wet[m - 1]]

        def dry_before(m: int) -> int:
            run = 0
            while run < 12 and not wet[(m - 1 - run) % 12]:
                run += 1
            return run

        first = max(begins, key=dry_before) if begins else 0
    return tuple((first + k) % 12 for k in range(12))


def _between(nodes: _Nodes, cut: Strips) -> tuple[tuple[int, int], ...]:
    last = len(cut.layer)
    pairs = []
    for group in nodes.share:
        inner, outer = group[0] - 1, group[-1]
        pairs.append((int(cut.layer[inner]) if inner >= 0 else -1, int(cut.layer[outer]) if outer < last else -1))
    return tuple(pairs)


def _year_findings(peak: float, peak_month: int, left: float, surface: tuple[int, ...]) -> tuple[Finding, ...]:
    found = []
    if left > 1e-9:
        found.append(
            Finding(
                "moisture.accumulates",
                f"Water gathers in the part and does not dry: {left:.2f} kg/m² is left after a year.",
                Weight.STOP,
                source="ISO13788:2012 6.5",
                numbers={"left": left, "peak": peak},
            )
        )
    elif peak > 0:
        found.append(
            Finding(
                "moisture.condenses-and-dries",
                f"Up to {peak:.2f} kg/m² of water gathers in the part by {MONTHS[peak_month]} and dries again.",
                Weight.NOTE,
                source="ISO13788:2012 6.5",
                numbers={"peak": peak},
            )
        )
    if surface:
        found.append(
            Finding(
                "moisture.surface-wet",
                f"The inner surface itself is below the dew point in {', '.join(MONTHS[m] for m in surface)}.",
                Weight.WARN,
                source="ISO13788:2012 5.4",
            )
        )
    return tuple(found)
