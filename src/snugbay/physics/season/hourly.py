"""A year's heating hour by hour, and how far the monthly sum may be from it."""

from __future__ import annotations

from typing import Final

import numpy as np

from snugbay.base import Finding, Weight
from snugbay.base.facts import Share
from snugbay.physics._num import Array, Real, arr, largest, need, out
from snugbay.physics.climate.hourly import MONTH_OF_HOUR, HourlyYear
from snugbay.physics.season.monthly import SeasonHeat, base_temperature

AGREE: Final = 0.02
"""Limit between monthly and hourly sums of a year's heating from one and the same climate. [-]

Seen on the six bundled hourly years at bases of 10 to 17 °C: 1.1 % at most where the sum is over 1,000 K·d; in warm
climates (Miami, Phoenix) up to 18 % of a sum that is itself small, 40 K·d at most.
"""


def heating_hourly(
    year: HourlyYear,
    h_w_k: Real,
    *,
    set_point_c: float = 20.0,
    base_c: float | None = None,
    relief_w: Real = 0.0,
    memory_h: int = 24,
) -> SeasonHeat:
    """Heat that parts of a house cost in a year, summed over hours.

    Parameters
    ----------
    year : HourlyYear
        The weather.
    h_w_k : float or array, shape (...) or (..., 8760)
        Loss of the parts per kelvin; a last axis of 8,760 lets it follow wind or the space behind. [W/K]
    set_point_c : float
        Indoor temperature. [°C]
    base_c : float, optional
        Outdoor temperature, averaged over ``memory_h``, above which the heating is off; set-point less 3 K if None.
    relief_w : float or array, shape (...) or (..., 8760)
        Heat that sun brings back through the parts. [W]
    memory_h : int
        Hours over which the house averages. [h]

    Returns
    -------
    SeasonHeat
        Months of shape (..., 12); the hourly mirror of `heating`.
    """
    base = float(base_temperature(set_point_c)) if base_c is None else base_c
    need(base <= set_point_c, "The base temperature is above the set-point.")
    on = running_mean(year.t, memory_h) < base
    power = _hours_last(h_w_k) * (set_point_c - arr(year.t)) - _hours_last(relief_w)
    kept = np.where(on, power, 0.0) / 1000.0
    months = np.stack([kept[..., np.equal(MONTH_OF_HOUR, m)].sum(axis=-1) for m in range(12)], axis=-1)
    return SeasonHeat(out(months), out(base))


def _hours_last(x: Real) -> Array:
    a = arr(x)
    return a if a.ndim and a.shape[-1] == 8760 else a[..., None]


def running_mean(series: Array, hours: int) -> Array:
    """Mean of the last ``hours`` of a series closed on itself, over the last axis."""
    need(hours >= 1, "A mean needs one hour or more.")
    x = arr(series)
    wrapped = np.concatenate([x[..., x.shape[-1] - hours + 1 :], x], axis=-1) if hours > 1 else x
    sums = np.cumsum(np.concatenate([np.zeros((*x.shape[:-1], 1)), wrapped], axis=-1), axis=-1)
    return np.asarray((sums[..., hours:] - sums[..., :-hours]) / hours)


def check_agreement(
    monthly: SeasonHeat, hourly: SeasonHeat, *, limit: float = AGREE, small_kwh: float = 10.0
) -> tuple[Finding, ...]:
    """Finding where the monthly and the hourly sum of a year differ by over the limit.

    Parameters
    ----------
    monthly, hourly : SeasonHeat
        Of the same parts.
    limit : float
        Relative to the hourly sum. [-]
    small_kwh : float
        A difference under this is let go. [kWh]
    """
    a, b = arr(monthly.kwh), arr(hourly.kwh)
    with np.errstate(divide="ignore", invalid="ignore"):
        apart = np.abs(a - b) / np.abs(b)
    worst = largest(np.where(np.abs(a - b) > small_kwh, apart, 0.0))
    if worst <= limit:
        return ()
    return (Finding.of("season.monthly-hourly", Weight.WARN, (), worst=Share(worst)),)
