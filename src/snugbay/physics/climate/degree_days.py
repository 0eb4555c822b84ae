"""Degree days at any base, in closed form from monthly means and their spread."""

from __future__ import annotations

from typing import Final

import numpy as np
from scipy.special import ndtr

from snugbay.physics._num import Array, Real, arr, need, out
from snugbay.physics.climate.values import DAYS, Normals

_ROOT_2PI: Final = float(np.sqrt(2.0 * np.pi))
_TIMES_ROOT_N: Final = 0.5116
"""Spread of daily means as a multiple of σ·√N: the normal law nearest the monthly-means law."""


def heating_degree_days(base: Real, mean: Real, sd: Real, days: Real = DAYS, *, sy: Real = 0.0) -> Array:
    """Heating degree days of a month (or any period) whose daily means follow a normal law.

    Parameters
    ----------
    base : float or array
        Base temperature. [°C]
    mean : float or array
        Mean temperature of the period. [°C]
    sd : float or array
        Standard deviation of daily means within the period. [K]
    days : float or array
        Length of the period; default the twelve months. [d]
    sy : float or array
        Standard deviation of the period's mean between years. [K]

    Returns
    -------
    array
        N·s·(z·Φ(z) + φ(z)) with s = hypot(sd, sy), z = (base − mean)/s; N·max(base − mean, 0) where s is 0. [K·d]

    Raises
    ------
    OutOfRange
        If a standard deviation is negative.

    Notes
    -----
    Against 1,006 hourly typical years the yearly sum has an RMSE of 0.6 % at 18.3 °C and 1.3 % at 10 °C.
    """
    return out(arr(days) * _mean_excess(arr(base) - arr(mean), sd, sy))


def cooling_degree_days(base: Real, mean: Real, sd: Real, days: Real = DAYS, *, sy: Real = 0.0) -> Array:
    """Cooling degree days, HDD − N·(base − mean).

    Parameters and errors as for `heating_degree_days`. [K·d]
    """
    return out(arr(days) * _mean_excess(arr(mean) - arr(base), sd, sy))


def _mean_excess(gap: Array, sd: Real, sy: Real) -> Array:
    a, b = arr(sd), arr(sy)
    need(~(a < 0) & ~(b < 0), "A standard deviation is negative.")
    s = np.hypot(a, b)
    even = s < 1e-9
    with np.errstate(divide="ignore", invalid="ignore"):
        z = gap / np.where(even, 1.0, s)
        law = s * (z * ndtr(z) + np.exp(-0.5 * z * z) / _ROOT_2PI)
    return np.asarray(np.where(even, np.where(np.isnan(gap), np.nan, np.maximum(gap, 0.0)), law))


def spread_between_means(mean: Array, *, months_axis: int = -1) -> Array:
    """Standard deviation of the twelve monthly means (n − 1). [K]"""
    return out(np.std(arr(mean), axis=months_axis, ddof=1))


def monthly_sigma(mean: Array) -> Array:
    """Spread σ of the law for places of which only twelve monthly means are known.

    Parameters
    ----------
    mean : array, shape (..., 12)
        Monthly mean temperatures. [°C]

    Returns
    -------
    array, shape (..., 12)
        σ = 1.45 − 0.0290·t + 0.0664·σ_year. [K/√d]

    References
    ----------
    Erbs, Klein and Beckman 1983, ASHRAE Journal, June, pp. 60-65.
    """
    t = arr(mean)
    return out(1.45 - 0.0290 * t + 0.0664 * arr(spread_between_means(t))[..., None])


def daily_spread_from_means(mean: Array, days: Real = DAYS) -> Array:
    """Standard deviation of daily means estimated from twelve monthly means alone, 0.5116·σ·√N. [K]

    See `monthly_sigma`; shape (..., 12) in and out.
    """
    return out(_TIMES_ROOT_N * arr(monthly_sigma(mean)) * np.sqrt(arr(days)))


def heating_degree_days_from_means(base: Real, mean: Array, days: Real = DAYS) -> Array:
    """Heating degree days where only the twelve monthly means are known.

    Parameters
    ----------
    base : float or array, shape (...) or (..., 12)
        Base temperature. [°C]
    mean : array, shape (..., 12)
        Monthly mean temperatures. [°C]
    days : float or array
        Days of the months. [d]

    Returns
    -------
    array, shape (..., 12)
        σ·N^1.5·(h/2 + ln cosh(1.698·h)/3.396 + 0.2041), h = (base − t)/(σ·√N). [K·d]

    Notes
    -----
    RMSE of the yearly sum against hourly years 3.5 % at 18.3 °C, 8.5 % at 10 °C.

    References
    ----------
    Erbs, Klein and Beckman 1983.
    """
    t, n = arr(mean), arr(days)
    sigma = arr(monthly_sigma(t))
    h = (_by_month(base) - t) / (sigma * np.sqrt(n))
    x = 1.698 * h
    log_cosh = np.abs(x) + np.log1p(np.exp(-2.0 * np.abs(x))) - np.log(2.0)
    return out(sigma * n**1.5 * (h / 2.0 + log_cosh / 3.396 + 0.2041))


def monthly_heating(normals: Normals, base: Real) -> Array:
    """Heating degree days of the twelve months of a place.

    Parameters
    ----------
    normals : Normals
        Monthly values.
    base : float or array, shape (...) or (..., 12)
        Base temperature; a last axis of 12 gives each month its own. [°C]

    Returns
    -------
    array, shape (..., 12)
        [K·d]
    """
    return heating_degree_days(_by_month(base), normals.t, normals.sd, DAYS, sy=normals.sy)


def monthly_cooling(normals: Normals, base: Real) -> Array:
    """Cooling degree days of the twelve months of a place; as `monthly_heating`. [K·d]"""
    return cooling_degree_days(_by_month(base), normals.t, normals.sd, DAYS, sy=normals.sy)


def _by_month(base: Real) -> Array:
    b = arr(base)
    return b if b.ndim and b.shape[-1] == 12 else b[..., None]


def degree_days_from_series(base: Real, temp_c: Array, *, step_hours: float = 24.0, cooling: bool = False) -> Array:
    """Degree days of a measured or hourly series.

    Parameters
    ----------
    base : float
        Base temperature. [°C]
    temp_c : array, shape (..., n)
        Temperatures at an even step. [°C]
    step_hours : float
        The step; 24 for daily means, 1 for hours (degree hours divided by 24). [h]
    cooling : bool
        Count above the base instead of below.

    Returns
    -------
    array, shape (...)
        [K·d]; NaN if any temperature is NaN.
    """
    gap = arr(base)[..., None] - arr(temp_c)
    gap = -gap if cooling else gap
    return out(np.maximum(gap, 0.0).sum(axis=-1) * step_hours / 24.0)
