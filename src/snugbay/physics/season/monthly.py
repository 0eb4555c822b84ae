"""A year's heating and cooling from monthly values in closed form."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.special import ndtr

from snugbay.base import Finding, Weight
from snugbay.base.facts import TemperatureDifference
from snugbay.physics._num import Array, Real, arr, largest, need, out
from snugbay.physics.climate.degree_days import cooling_degree_days, heating_degree_days
from snugbay.physics.climate.values import DAYS, Climate, Normals

FREE_HEAT_K: Final = 3.0
"""How far people, lamps and sun keep a lived-in house above what its heating holds. [K] (assumption, 1 to 5)"""

FREE_HEAT_SPREAD_K: Final = 1.5


@dataclass(frozen=True)
class SeasonHeat:
    """Heat of a year by month.

    Attributes
    ----------
    monthly_kwh : array, shape (..., 12)
        Useful heat. [kWh]
    base_c : array
        Outdoor temperature above which no heat is needed. [°C]
    findings : tuple of Finding
        Set where the reckoning is outside its range.
    """

    monthly_kwh: Array
    base_c: Array
    findings: tuple[Finding, ...] = ()

    @property
    def kwh(self) -> Array:
        """Sum of the year. [kWh]"""
        return out(arr(self.monthly_kwh).sum(axis=-1))


def base_temperature(set_point_c: Real, *, gains_w: Real | None = None, house_w_k: Real | None = None) -> Array:
    """Outdoor temperature at which a house needs no heat.

    Parameters
    ----------
    set_point_c : float or array
        Indoor temperature. [°C]
    gains_w : float or array, optional
        Mean gains of the whole house. [W]
    house_w_k : float or array, optional
        Loss of the whole house per kelvin. [W/K]

    Returns
    -------
    array
        Set-point less gains/loss, or less 3 K where they are not known. [°C]
    """
    if gains_w is None or house_w_k is None:
        return out(arr(set_point_c) - FREE_HEAT_K)
    return out(arr(set_point_c) - arr(gains_w) / arr(house_w_k))


def season_heat(h_w_k: Real, degree_days_k: Real) -> Array:
    """Heat of a season from degree days, 24·H·HDD/1000. [kWh]

    Parameters
    ----------
    h_w_k : float or array
        Loss per kelvin. [W/K]
    degree_days_k : float or array
        Degree days. [K·d]
    """
    return out(24.0 * arr(h_w_k) * arr(degree_days_k) / 1000.0)


def loss_degree_days(normals: Normals, set_point_c: Real, base_c: Real) -> Array:
    """Degree days by which one part of a house counts: indoor less outdoor temperature while the heating runs.

    Parameters
    ----------
    normals : Normals
        Monthly values.
    set_point_c : float or array, shape (...)
        Indoor temperature. [°C]
    base_c : float or array, shape (...)
        Outdoor temperature at which the house needs no heat. [°C]

    Returns
    -------
    array, shape (..., 12)
        HDD(base) + (set-point − base)·N·Φ((base − t)/s). [K·d]

    Notes
    -----
    The house's need is H·HDD(base), base = set-point − gains/H. Its derivative by H, what a small part adds or a small
    measure saves, is this figure, larger than HDD(base): gains are there either way, and the part loses heat against
    the room's temperature, not against the base.
    """
    ts, tb = arr(set_point_c)[..., None], arr(base_c)[..., None]
    need(~(tb > ts), "The base temperature is above the set-point.", hint="Gains cannot be negative here.")
    s = normals.spread
    with np.errstate(divide="ignore", invalid="ignore"):
        on = np.where(s == 0.0, np.where(np.isnan(tb), np.nan, (tb > normals.t) * 1.0), ndtr((tb - normals.t) / s))
    hdd = arr(heating_degree_days(tb, normals.t, normals.sd, DAYS, sy=normals.sy))
    return out(hdd + (ts - tb) * DAYS * on)


def heating(
    climate: Climate | Normals,
    h_w_k: Real,
    *,
    set_point_c: Real = 20.0,
    base_c: Real | None = None,
    relief_w: Real = 0.0,
) -> SeasonHeat:
    """Heat that parts of a house cost in a year.

    Parameters
    ----------
    climate : Climate or Normals
        Monthly values.
    h_w_k : float or array, shape (...) or (..., 12)
        Loss of the parts per kelvin between inside and outside, buffer spaces reduced by `buffer.effective`; a last
        axis of 12 gives each month its own. [W/K]
    set_point_c : float or array, shape (...)
        Indoor temperature. [°C]
    base_c : float or array, optional
        Outdoor temperature at which the house needs no heat; the set-point less 3 K if not given. [°C]
    relief_w : float or array, shape (...) or (..., 12)
        Heat that sun on the parts or in the buffer space brings back, monthly means. [W]

    Returns
    -------
    SeasonHeat
        Months of shape (..., 12); differences between two H are savings.

    References
    ----------
    Degree-day law of `heating_degree_days`; see `loss_degree_days` for why the set-point counts.
    """
    normals = climate.normals if isinstance(climate, Climate) else climate
    set_point = arr(set_point_c)
    base = arr(base_temperature(set_point) if base_c is None else base_c)
    dd = arr(loss_degree_days(normals, set_point, base))
    h = _months_last(h_w_k)
    on_days = DAYS * ndtr((base[..., None] - normals.t) / np.maximum(normals.spread, 1e-9))
    kwh = 0.024 * (h * dd - _months_last(relief_w) * on_days)
    return SeasonHeat(out(kwh), out(base), _heating_findings(base, set_point))


def _months_last(x: Real) -> Array:
    a = arr(x)
    return a if a.ndim and a.shape[-1] == 12 else a[..., None]


def _heating_findings(base: Array, set_point: Array) -> tuple[Finding, ...]:
    rise = largest(set_point - base)
    if rise > 8.0:
        return (Finding.of("season.much-free-heat", Weight.WARN, (), rise=TemperatureDifference(rise)),)
    return ()


def house_heating(
    climate: Climate | Normals, house_w_k: Real, gains_w: Real, *, set_point_c: Real = 20.0
) -> SeasonHeat:
    """Heat a whole house needs in a year, its gains the same whatever its loss.

    Parameters
    ----------
    climate : Climate or Normals
        Monthly values.
    house_w_k : float or array, shape (...)
        Loss of the whole house. [W/K]
    gains_w : float or array, shape (...)
        Mean gains of the whole house. [W]
    set_point_c : float or array
        Indoor temperature. [°C]

    Returns
    -------
    SeasonHeat
        24·H·HDD(set-point − gains/H). The saving of a large measure is the difference of two calls.
    """
    normals = climate.normals if isinstance(climate, Climate) else climate
    h = arr(house_w_k)
    base = arr(base_temperature(set_point_c, gains_w=gains_w, house_w_k=h))
    hdd = arr(heating_degree_days(base[..., None], normals.t, normals.sd, DAYS, sy=normals.sy))
    return SeasonHeat(out(0.024 * h[..., None] * hdd), out(base), _heating_findings(base, arr(set_point_c)))


def cooling(
    climate: Climate | Normals,
    h_w_k: Real,
    *,
    set_point_c: Real = 25.0,
    base_c: Real | None = None,
    gains_w: Real = 0.0,
) -> SeasonHeat:
    """Heat that parts of a house let in while it is cooled.

    Parameters
    ----------
    climate : Climate or Normals
        Monthly values.
    h_w_k : float or array, shape (...) or (..., 12)
        Gain of the parts per kelvin. [W/K]
    set_point_c : float or array
        Indoor temperature held. [°C]
    base_c : float or array, optional
        Outdoor temperature above which the house must be cooled; 4 K under the set-point if not given (assumption).
        [°C]
    gains_w : float or array, shape (...) or (..., 12)
        Sun on the parts that reaches the rooms, monthly means. [W]

    Returns
    -------
    SeasonHeat
        Months of heat to take out; negative entries count cooling by the parts (a mild month). [kWh]

    Notes
    -----
    H·(CDD(base) − (set-point − base)·days on) + sun·days on: the mirror of `loss_degree_days`.
    """
    normals = climate.normals if isinstance(climate, Climate) else climate
    set_point = arr(set_point_c)
    base = set_point - 4.0 if base_c is None else arr(base_c)
    need(~(base > set_point), "The base temperature of cooling is above the set-point.")
    cdd = arr(cooling_degree_days(base[..., None], normals.t, normals.sd, DAYS, sy=normals.sy))
    on = DAYS * ndtr((normals.t - base[..., None]) / np.maximum(normals.spread, 1e-9))
    through = _months_last(h_w_k) * (cdd - (set_point - base)[..., None] * on)
    return SeasonHeat(out(0.024 * (through + _months_last(gains_w) * on)), out(base))


def year_to_year_spread(climate: Climate | Normals, base_c: float) -> float:
    """Relative standard deviation of a year's degree days between years.

    Parameters
    ----------
    climate : Climate or Normals
        Monthly values; stations of one typical year know no spread between years (0).
    base_c : float
        Base temperature. [°C]

    Returns
    -------
    float
        √Σ(N·Φ(z)·sy)²/HDD, months taken as independent. [-]
    """
    normals = climate.normals if isinstance(climate, Climate) else climate
    on = DAYS * ndtr((base_c - normals.t) / np.maximum(normals.spread, 1e-9))
    total = float(np.sum(heating_degree_days(base_c, normals.t, normals.sd, DAYS, sy=normals.sy)))
    return float(np.sqrt(((on * normals.sy) ** 2).sum()) / total) if total > 0 else 0.0
