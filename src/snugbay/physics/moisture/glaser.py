"""Condensation inside a part and its drying over a year, month by month, any number of planes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from snugbay.base import Finding, OutOfRange, Weight
from snugbay.base.facts import Count, MassPerArea, Name, names
from snugbay.physics._num import Array, Real, arr, need
from snugbay.physics.climate.values import MONTHS
from snugbay.physics.moisture.air import saturation_pressure
from snugbay.physics.moisture.strips import (
    between_layers,
    plane_temperatures,
    positions_of,
    pressure_profile,
    saturation_limits,
    strips,
)

DAY_S: Final = 86400.0
DAYS_365: Final = arr([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])


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
    findings : tuple of Finding
        Where the outdoor air was over saturation.
    """

    temperatures: Array
    pressures: Array
    saturation: Array
    positions: Array
    flow: Array
    findings: tuple[Finding, ...] = ()

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
    nodes = positions_of(cut)
    if len(nodes.x) < 2:
        raise OutOfRange("The part passes vapour without any resistance.", hint="Give each layer its sd.")
    temps = plane_temperatures(cut, inside_c, outside_c, rsi, rse)
    limit = saturation_limits(nodes, temps)
    outer, found = _outdoor_under_saturation(arr([outside_c]), arr([outdoor_pa]))
    p, flow = pressure_profile(nodes.x, limit, (indoor_pa, float(outer[0])), np.zeros(len(nodes.x), dtype=bool))
    return Condensation(temps, p, limit, nodes.x, flow, found)


def _outdoor_under_saturation(outside_c: Array, outdoor_pa: Array) -> tuple[Array, tuple[Finding, ...]]:
    """Outdoor vapour pressure no more than saturation, which is over ice below 0 °C, and a finding where it was."""
    limit = arr(saturation_pressure(outside_c))
    if not bool(np.any(outdoor_pa > limit * 1.001)):
        return np.minimum(outdoor_pa, limit), ()
    count = int((outdoor_pa > limit).sum())
    return np.minimum(outdoor_pa, limit), (
        Finding.of(
            "moisture.outdoor-capped",
            Weight.NOTE,
            (),
            "ISO13788:2012 6.4",
            count=Count(count),
            size=Count(outdoor_pa.size),
        ),
    )


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
    pe, capped = _outdoor_under_saturation(te, pe)
    cut = strips(layers)
    if not np.all(np.isfinite(cut.resistance)) or not np.all(np.isfinite(cut.sd)):
        raise OutOfRange("A layer's resistance or equivalent air layer is not known.")
    nodes = positions_of(cut)
    if len(nodes.x) < 2:
        raise OutOfRange("The part passes vapour without any resistance.", hint="Give each layer its sd.")
    limits = saturation_limits(nodes, plane_temperatures(cut, ti, te, rsi, rse))
    n = len(nodes.x)
    dry = np.zeros(n, dtype=bool)
    wet_month = [bool((pressure_profile(nodes.x, limits[m], (pi[m], pe[m]), dry)[1] > 0).any()) for m in range(12)]
    order = _order(wet_month, start)
    flow, content, water = np.zeros((12, n)), np.zeros((12, n)), np.zeros(n)
    for row, m in enumerate(order):
        _, rate = pressure_profile(nodes.x, limits[m], (pi[m], pe[m]), water > 0)
        flow[row] = rate * days[m] * DAY_S
        water = np.maximum(water + flow[row], 0.0)
        content[row] = water
    sums = content.sum(axis=1)
    top = int(sums.argmax())
    surface = tuple(m for m in range(12) if pi[m] > limits[m, 0] * (1 + 1e-9))
    found = capped + _year_findings(float(sums[top]), order[top], float(sums[-1]), surface)
    return MoistureYear(
        order,
        flow,
        content,
        nodes.x,
        between_layers(nodes, cut),
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


def _year_findings(peak: float, peak_month: int, left: float, surface: tuple[int, ...]) -> tuple[Finding, ...]:
    found = []
    if left > 1e-9:
        found.append(Finding.of("moisture.accumulates", Weight.STOP, (), "ISO13788:2012 6.5", left=MassPerArea(left)))
    elif peak > 0:
        found.append(
            Finding.of(
                "moisture.condenses-and-dries",
                Weight.NOTE,
                (),
                "ISO13788:2012 6.5",
                peak=MassPerArea(peak),
                peak_month=Name(MONTHS[peak_month]),
            )
        )
    if surface:
        found.append(
            Finding.of(
                "moisture.surface-wet",
                Weight.WARN,
                (),
                "ISO13788:2012 5.4",
                surface=names((MONTHS[m] for m in surface), "comma"),
            )
        )
    return tuple(found)
