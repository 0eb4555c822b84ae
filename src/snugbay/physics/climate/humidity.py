"""Humidity out of monthly vapour pressure: dew point and mean relative humidity."""

from __future__ import annotations

from typing import Final

import numpy as np

from snugbay.base import Finding, Weight
from snugbay.base.facts import Name, names
from snugbay.physics._num import Array, Real, arr, out
from snugbay.physics.climate.values import MONTHS, Normals

_A: Final = 17.62
_B: Final = 243.12
_E0: Final = 6.112


def saturation_hpa(temp_c: Real) -> Array:
    """Saturation vapour pressure over water, as the climate tables use it. [hPa]

    6.112·exp(17.62·t/(243.12 + t)), t in °C (Magnus form, WMO No. 8).
    """
    t = arr(temp_c)
    return out(_E0 * np.exp(_A * t / (_B + t)))


def dew_point_from_hpa(e: Real) -> Array:
    """Dew point over water in °C from vapour pressure in hPa, inverse of `saturation_hpa`."""
    g = np.log(arr(e) / _E0)
    return out(_B * g / (_A - g))


def mean_relative_humidity(normals: Normals) -> Array:
    """Mean relative humidity of the months.

    Parameters
    ----------
    normals : Normals
        Monthly values.

    Returns
    -------
    array, shape (12,)
        Share of saturation, 0..1. The mean is not e/es(t): the day swings. Capped at 1. [-]

    Notes
    -----
    2.7 + 100·e/(es(t)·exp(½·b²·s²)) percent, b = 17.62·243.12/(243.12 + t)², s² = sd² + (0.28·(tx − tn))². Against
    2,400 months of hourly years: RMSE 2.7 %.
    """
    n = normals
    b = _A * _B / (_B + n.t) ** 2
    s2 = n.sd**2 + (0.28 * (n.tx - n.tn)) ** 2
    rh = 0.027 + n.e / (arr(saturation_hpa(n.t)) * np.exp(0.5 * b * b * s2))
    return out(np.minimum(rh, 1.0))


def check_humidity(normals: Normals) -> tuple[Finding, ...]:
    """Finding where the mean relative humidity of a month came out over 100 % and was held there."""
    n = normals
    b = _A * _B / (_B + n.t) ** 2
    s2 = n.sd**2 + (0.28 * (n.tx - n.tn)) ** 2
    rh = 0.027 + n.e / (arr(saturation_hpa(n.t)) * np.exp(0.5 * b * b * s2))
    over = np.flatnonzero(rh > 1.0)
    if not over.size:
        return ()
    return (Finding.of("climate.humidity-capped", Weight.NOTE, (), over=names((MONTHS[i] for i in over), "comma")),)


def vapour_pressure_capped(normals: Normals) -> tuple[Array, tuple[Finding, ...]]:
    """Monthly vapour pressure for a condensation sum, no more than saturation (ice below 0 °C) at the mean temperature.

    Returns
    -------
    pressure : array, shape (12,)
        [Pa]
    findings : tuple of Finding
        Names the months that were capped (deep cold, rounding to 0.1 hPa).

    Notes
    -----
    Over ice by the Magnus form of WMO No. 8, 6.112·exp(22.46·t/(272.62 + t)). Reported humidity is over water; the
    condensation sum has ice below 0 °C, and air over that would seem to condense from outside.
    """
    t = normals.t
    over_ice = _E0 * np.exp(22.46 * t / (272.62 + t))
    limit = np.where(t < 0, over_ice, arr(saturation_hpa(t)))
    over = np.flatnonzero(normals.e > limit)
    capped = np.minimum(normals.e, limit) * 100.0
    if not over.size:
        return out(capped), ()
    names = ", ".join(MONTHS[i] for i in over)
    return out(capped), (Finding.of("climate.vapour-capped", Weight.NOTE, (), names=Name(names)),)
