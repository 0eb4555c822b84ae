"""Moist air: saturation, dew point, humidity ratio, wet bulb, enthalpy."""

from __future__ import annotations

from typing import Final, Literal

import numpy as np

from snugbay.base import Finding, OutOfRange, Weight
from snugbay.physics._num import Array, Real, arr, need, out

ATMOSPHERE: Final = 101325.0
R_VAPOUR: Final = 461.5
"""Gas constant of water vapour. [J/(kg·K)]"""
RATIO: Final = 0.621945
ZERO_C: Final = 273.15
TRIPLE_C: Final = 0.01

Formula = Literal["iso", "ashrae"]
"""``iso``: ISO 13788 Annex E; ``ashrae``: Hyland and Wexler 1983. They differ by 0.1 % near 20 °C, 0.5 % at −20 °C."""

ISO_BASE: Final = 610.5
ISO_WATER: Final = (17.269, 237.3)
ISO_ICE: Final = (21.875, 265.5)
"""Constants of ISO 13788 Annex E, over water and over ice. [Pa], [-], [°C]"""

_ICE: Final = (-5.6745359e3, 6.3925247, -9.677843e-3, 6.2215701e-7, 2.0747825e-9, -9.484024e-13, 4.1635019)
_WATER: Final = (-5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 6.5459673)


def saturation_pressure(temp_c: Real, formula: Formula = "iso") -> Array:
    """Saturation vapour pressure, over ice below 0 °C. [Pa]

    Parameters
    ----------
    temp_c : float or array
        Temperature. [°C]
    formula : {"iso", "ashrae"}
        Which formula.

    Raises
    ------
    OutOfRange
        If the formula is not known.

    References
    ----------
    [ISO13788:2012] Annex E, equations E.7 and E.8; ASHRAE Handbook of Fundamentals ch. 1, equations 5 and 6.
    """
    t = arr(temp_c)
    if formula == "iso":
        rise, pole = (np.where(t < 0, ice, water) for ice, water in zip(ISO_ICE, ISO_WATER, strict=True))
        return out(ISO_BASE * np.exp(rise * t / (pole + t)))
    if formula != "ashrae":
        raise OutOfRange(f"There is no saturation formula {formula!r}.", hint="Use 'iso' or 'ashrae'.")
    k = t + ZERO_C
    a, w = _ICE, _WATER
    with np.errstate(divide="ignore", invalid="ignore"):
        ln_ice = a[0] / k + a[1] + k * (a[2] + k * (a[3] + k * (a[4] + k * a[5]))) + a[6] * np.log(k)
        ln_water = w[0] / k + w[1] + k * (w[2] + k * (w[3] + k * w[4])) + w[5] * np.log(k)
    return out(np.exp(np.where(t <= TRIPLE_C, ln_ice, ln_water)))


def dew_point(vapour_pa: Real, formula: Formula = "iso") -> Array:
    """Temperature at which a vapour pressure saturates; the frost point below 0 °C. [°C]

    Parameters
    ----------
    vapour_pa : float or array
        Vapour pressure, above zero. [Pa]
    formula : {"iso", "ashrae"}
        As for `saturation_pressure`; the ASHRAE formula is inverted by Newton steps.

    Raises
    ------
    OutOfRange
        If a pressure is not above zero.

    References
    ----------
    [ISO13788:2012] Annex E, equations E.9 and E.10.
    """
    p = arr(vapour_pa)
    need(~(p <= 0), "A vapour pressure is not above zero.")
    ln = np.log(p / 610.5)
    t = np.where(p < 610.5, 265.5 * ln / (21.875 - ln), 237.3 * ln / (17.269 - ln))
    if formula == "iso":
        return out(t)
    for _ in range(6):
        f = np.log(arr(saturation_pressure(t, formula)) / p)
        slope = (
            np.log(arr(saturation_pressure(t + 0.005, formula)) / arr(saturation_pressure(t - 0.005, formula))) / 0.01
        )
        t = np.asarray(t - f / slope)
    return out(t)


def vapour_pressure(temp_c: Real, relative_humidity: Real, formula: Formula = "iso") -> Array:
    """Vapour pressure of air at a temperature [°C] and relative humidity 0..1. [Pa]

    Raises ``OutOfRange`` where a relative humidity is outside 0..1.
    """
    rh = arr(relative_humidity)
    need(~((rh < 0) | (rh > 1)), "A relative humidity is outside 0 to 1.", hint="Write 50 % as 0.5.")
    return out(rh * arr(saturation_pressure(temp_c, formula)))


def relative_humidity(temp_c: Real, vapour_pa: Real, formula: Formula = "iso") -> Array:
    """Relative humidity of a vapour pressure [Pa] at a temperature [°C]; above 1 is fog, not an error. [-]"""
    return out(arr(vapour_pa) / arr(saturation_pressure(temp_c, formula)))


def vapour_concentration(temp_c: Real, vapour_pa: Real) -> Array:
    """Water vapour by volume, p/(R_v·T). [kg/m³]"""
    return out(arr(vapour_pa) / (R_VAPOUR * (arr(temp_c) + ZERO_C)))


def humidity_ratio(vapour_pa: Real, pressure: Real = ATMOSPHERE) -> Array:
    """Humidity ratio of ideal moist air, 0.621945·p_v/(p − p_v). [kg/kg]

    References
    ----------
    ASHRAE Handbook of Fundamentals ch. 1, equation 20 (no enhancement factor: 0.4 % under the printed table).
    """
    v = arr(vapour_pa)
    need(~(v < 0) & ~(v >= arr(pressure)), "A vapour pressure is not between zero and the air pressure.")
    return out(RATIO * v / (arr(pressure) - v))


def vapour_pressure_from_ratio(ratio: Real, pressure: Real = ATMOSPHERE) -> Array:
    """Vapour pressure of a humidity ratio [kg/kg]; inverse of `humidity_ratio`. [Pa]"""
    w = arr(ratio)
    return out(arr(pressure) * w / (RATIO + w))


def enthalpy(temp_c: Real, ratio: Real) -> Array:
    """Enthalpy of moist air, 1006·t + w·(2 501 000 + 1860·t). [J/kg of dry air]

    References
    ----------
    ASHRAE Handbook of Fundamentals ch. 1, equation 30.
    """
    t = arr(temp_c)
    return out(1006.0 * t + arr(ratio) * (2.501e6 + 1860.0 * t))


def wet_bulb(temp_c: Real, relative_humidity_: Real, pressure: Real = ATMOSPHERE, formula: Formula = "ashrae") -> Array:
    """Thermodynamic wet-bulb temperature. [°C]

    Parameters
    ----------
    temp_c, relative_humidity_ : float or array
        Temperature [°C], relative humidity 0..1.
    pressure : float or array
        Air pressure. [Pa]
    formula : {"iso", "ashrae"}
        Saturation formula.

    Notes
    -----
    Bisection between the dew point and the dry bulb, to 1e-7 K. Within half a kelvin of 0 °C a wet and an icy bulb both
    fit the same air; either may come back.

    References
    ----------
    ASHRAE Handbook of Fundamentals ch. 1, equations 33 and 35.
    """
    t, p = np.broadcast_arrays(arr(temp_c), arr(pressure))
    v = arr(vapour_pressure(t, relative_humidity_, formula))
    w = arr(humidity_ratio(v, p))
    t, p, w = np.broadcast_arrays(t, p, w)
    with np.errstate(divide="ignore"):
        low = np.where(v > 1e-3, arr(dew_point(np.maximum(v, 1e-3), formula)), t - 60.0) - 1.0
    low = np.minimum(np.broadcast_to(low, t.shape), t - 1e-9)
    high = t.copy()
    for _ in range(60):
        middle = 0.5 * (low + high)
        too_moist = _ratio_at_wet_bulb(t, middle, p, formula) > w
        high = np.where(too_moist, middle, high)
        low = np.where(too_moist, low, middle)
    return out(np.where(np.isnan(t + w + p), np.nan, 0.5 * (low + high)))


def _ratio_at_wet_bulb(t: Array, wet: Array, pressure: Array, formula: Formula) -> Array:
    saturated = np.minimum(arr(saturation_pressure(wet, formula)), 0.9 * pressure)
    ws = RATIO * saturated / (pressure - saturated)
    above = ((2501.0 - 2.326 * wet) * ws - 1.006 * (t - wet)) / (2501.0 + 1.86 * t - 4.186 * wet)
    below = ((2830.0 - 0.24 * wet) * ws - 1.006 * (t - wet)) / (2830.0 + 1.86 * t - 2.1 * wet)
    return np.asarray(np.where(wet >= 0, above, below))


def air_density(temp_c: Real, vapour_pa: Real = 0.0, pressure: Real = ATMOSPHERE) -> Array:
    """Density of moist air. [kg/m³] Temperature [°C], vapour pressure and air pressure [Pa]."""
    k = arr(temp_c) + ZERO_C
    v = arr(vapour_pa)
    return out((arr(pressure) - v) / (287.055 * k) + v / (R_VAPOUR * k))


def pressure_at_height(elevation: Real) -> Array:
    """Standard air pressure at a height above the sea [m], 101325·(1 − 2.25577e-5·z)^5.2559. [Pa]

    References
    ----------
    ASHRAE Handbook of Fundamentals ch. 1, equation 3.
    """
    return out(ATMOSPHERE * (1.0 - 2.25577e-5 * arr(elevation)) ** 5.2559)


def check_moist_air(temp_c: Real) -> tuple[Finding, ...]:
    """Finding where a temperature is outside −100 to 200 °C, the range of the saturation formulas."""
    t = arr(temp_c)
    if bool(np.any((t < -100) | (t > 200))):
        return (Finding.of("moisture.saturation-range", Weight.WARN, (), "ASHRAE Fundamentals ch. 1"),)
    return ()
