"""Leaks: power law, leakage areas, leaks in series and parallel, blower-door figures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from snugbay.base import Finding, OutOfRange, Weight
from snugbay.base.facts import Number
from snugbay.physics._num import Array, Real, arr, need, not_negative, out, positive
from snugbay.physics.buffer.network import RHO_C_WH

EXPONENT: Final = 0.65
"""Flow exponent where none was measured. [-] 0.5 an orifice, 1 a long crack."""

RHO: Final = 1.2
GRAVITY: Final = 9.80665
R_AIR: Final = 287.055
"""Gas constant of dry air. [J/(kg·K)]"""

RHO_C: Final = RHO_C_WH * 3600.0
"""Heat capacity of air by volume, 1.08 Btu/(h·cfm·°F) in inch-pound. [J/(m³·K)]"""


def flow(coefficient: Real, pressure: Real, exponent: Real = EXPONENT) -> Array:
    """Flow through a leak, Q = c·Δp^n, with the sign of the pressure. [m³/s]

    Parameters
    ----------
    coefficient : float or array
        c. [m³/(s·Paⁿ)]
    pressure : float or array
        Pressure difference; negative gives a negative flow. [Pa]
    exponent : float or array
        n, 0.5 to 1. [-]

    Raises
    ------
    OutOfRange
        If an exponent is outside 0.5..1.
    """
    dp, n = arr(pressure), _exponent(exponent)
    return out(not_negative("A flow coefficient", coefficient) * np.sign(dp) * np.abs(dp) ** n)


def _exponent(exponent: Real) -> Array:
    n = arr(exponent)
    need(~((n < 0.5) | (n > 1.0)), "A flow exponent is outside 0.5 to 1.", hint="Use 0.65 where it is not known.")
    return n


def flow_coefficient(
    leakage_area: Real, exponent: Real = EXPONENT, *, rho: Real = RHO, pressure: Real = 4.0, cd: Real = 1.0
) -> Array:
    """Flow coefficient c of a leakage area. [m³/(s·Paⁿ)]

    Parameters
    ----------
    leakage_area : float or array
        Area at the reference pressure. [m²]
    exponent, rho, pressure, cd : float or array
        n [-], air density [kg/m³], reference pressure [Pa], discharge coefficient [-].

    Returns
    -------
    array
        C_d·A·√(2·p/ρ)/pⁿ.
    """
    p, n = positive("A pressure", pressure), _exponent(exponent)
    area = not_negative("A leakage area", leakage_area)
    return out(arr(cd) * area * np.sqrt(2.0 * p / arr(rho)) / p**n)


def leakage_area(flow_m3_s: Real, pressure: Real = 4.0, *, rho: Real = RHO, cd: Real = 1.0) -> Array:
    """Leakage area that passes a flow at a pressure. [m²]

    Parameters
    ----------
    flow_m3_s : float or array
        Flow at ``pressure``. [m³/s]
    pressure : float or array
        Pressure difference. [Pa]
    rho, cd : float or array
        Air density [kg/m³]; discharge coefficient: 1 for the effective area at 4 Pa, 0.611 for the equivalent area at
        10 Pa.

    References
    ----------
    ASTM E779 (4 Pa, C_d 1); CGSB 149.10 (10 Pa, C_d 0.611).
    """
    q = not_negative("A flow", flow_m3_s)
    return out(q / (arr(cd) * np.sqrt(2.0 * positive("A pressure", pressure) / arr(rho))))


def flow_at(flow_m3_s: Real, measured_at: Real, wanted_at: Real, exponent: Real = EXPONENT) -> Array:
    """Flow of the same leak at another pressure, Q·(p₂/p₁)ⁿ.

    Parameters
    ----------
    flow_m3_s : float or array
        Flow at ``measured_at``. [m³/s] (or any unit: the answer has the same)
    measured_at, wanted_at : float or array
        Pressure differences. [Pa]
    exponent : float or array
        n. [-]
    """
    ratio = positive("A pressure", wanted_at) / positive("A pressure", measured_at)
    return out(arr(flow_m3_s) * ratio ** _exponent(exponent))


def ela_from_blower_door(q50: Real, exponent: Real = EXPONENT, *, rho: Real = RHO) -> Array:
    """Effective leakage area at 4 Pa from the flow at 50 Pa. [m²] (flow in m³/s)"""
    return leakage_area(flow_at(q50, 50.0, 4.0, exponent), 4.0, rho=rho)


def eqla_from_blower_door(q50: Real, exponent: Real = EXPONENT, *, rho: Real = RHO) -> Array:
    """Equivalent leakage area at 10 Pa, C_d 0.611, from the flow at 50 Pa. [m²] (flow in m³/s)"""
    return leakage_area(flow_at(q50, 50.0, 10.0, exponent), 10.0, rho=rho, cd=0.611)


def q50_from_ela(leakage_area_m2: Real, exponent: Real = EXPONENT, *, rho: Real = RHO) -> Array:
    """Flow at 50 Pa of an effective leakage area at 4 Pa. [m³/s]"""
    return flow(flow_coefficient(leakage_area_m2, exponent, rho=rho), 50.0, exponent)


def air_changes(flow_m3_s: Real, volume: Real) -> Array:
    """Air changes an hour. [1/h] of a flow in m³/s and a volume in m³."""
    return out(arr(flow_m3_s) * 3600.0 / positive("A volume", volume))


def code_tightness(zone: str) -> float:
    """Greatest air change at 50 Pa of the model code: 5 in zones 0 to 2, 3 in zones 3 to 8. [1/h]

    Raises ``OutOfRange`` if there is no such zone.

    References
    ----------
    IECC 2021 R402.4.1.2.
    """
    digit = zone.strip()[:1]
    if digit not in {*"012345678"} or not digit:
        raise OutOfRange(f"There is no climate zone {zone!r}.", hint="Write 5, 5A, 4C ...")
    return 5.0 if digit in {*"012"} else 3.0


def natural_air_changes(ach50: Real, divisor: Real = 20.0) -> Array:
    """Yearly mean air change by rule of thumb, ACH50/N, N 14 to 26. [1/h] Not for loads."""
    return out(not_negative("An air change rate", ach50) / positive("The divisor", divisor))


def stack_pressure(height: Real, inside_c: Real, outside_c: Real, *, pressure: Real = 101325.0) -> Array:
    """Stack pressure over a height, g/R·p·h·(1/T_e − 1/T_i). [Pa]

    Parameters
    ----------
    height : float or array
        Vertical distance between openings, or from the neutral level. [m]
    inside_c, outside_c : float or array
        Temperatures. [°C]
    pressure : float or array
        Air pressure. [Pa]
    """
    ti, te = arr(inside_c) + 273.15, arr(outside_c) + 273.15
    return out(GRAVITY / R_AIR * arr(pressure) * arr(height) * (1.0 / te - 1.0 / ti))


def wind_pressure(speed: Real, coefficient: Real = 1.0, *, rho: Real = RHO) -> Array:
    """Wind pressure on a surface, ½·C_p·ρ·v². [Pa] Speed in m/s at the height of the building."""
    return out(0.5 * arr(coefficient) * arr(rho) * arr(speed) ** 2)


def zone_pressure(area_ratio: Real, *, total: Real = 50.0, exponent: Real = EXPONENT) -> Array:
    """Pressure between house and a buffer space while a fan holds the house at ``total`` to the outside.

    Parameters
    ----------
    area_ratio : float or array
        Leakage area house-space over leakage area space-outside. [-]
    total : float or array
        Pressure between house and outside. [Pa]
    exponent : float or array
        Exponent of both leaks. [-]

    Returns
    -------
    array
        total/(1 + r^(1/n)): near ``total`` the space is nearly outdoors. [Pa]
    """
    r = not_negative("An area ratio", area_ratio)
    return out(arr(total) / (1.0 + r ** (1.0 / _exponent(exponent))))


def in_series(coefficient_1: Real, coefficient_2: Real, exponent: Real = EXPONENT) -> Array:
    """Flow coefficient of two leaks one behind the other with one exponent: (c₁^(−1/n) + c₂^(−1/n))^(−n).

    Parameters
    ----------
    coefficient_1, coefficient_2 : float or array
        Flow coefficients [m³/(s·Paⁿ)] or leakage areas [m²]; infinite for an open passage.
    exponent : float or array
        n of both. [-]

    Returns
    -------
    array
        In the unit of the input; zero where either is zero.
    """
    n = _exponent(exponent)
    c1, c2 = not_negative("A coefficient", coefficient_1), not_negative("A coefficient", coefficient_2)
    with np.errstate(divide="ignore"):
        return out((c1 ** (-1.0 / n) + c2 ** (-1.0 / n)) ** -n)


def leak_into_space(
    area: Real,
    outer_area: Real,
    height: Real,
    inside_c: Real,
    outside_c: Real,
    *,
    wind_pa: Real = 0.0,
    exponent: Real = EXPONENT,
) -> Array:
    """Room air that leaks into a buffer space and on to the outside, driven by the stack of the house.

    Parameters
    ----------
    area : float or array
        Leakage area at 4 Pa between rooms and space. [m²]
    outer_area : float or array
        Leakage area between space and outside; infinite for a ventilated one. [m²]
    height : float or array
        Height of the leak above the neutral level of the house; below it (negative) air comes in instead. [m]
    inside_c, outside_c : float or array
        Temperatures. [°C]
    wind_pa : float or array
        Further pressure by wind or fans, positive outwards. [Pa]
    exponent : float or array
        n of both leaks. [-]

    Returns
    -------
    array
        Flow out of the rooms, negative where air comes in. [m³/s]

    Notes
    -----
    The two leaks share the pressure as `zone_pressure` has it; the space's own small stack is left out.
    """
    dp = arr(stack_pressure(height, inside_c, outside_c)) + arr(wind_pa)
    return flow(flow_coefficient(in_series(area, outer_area, exponent), exponent), dp, exponent)


def air_heat(flow_m3_s: Real, *, rho_c: Real = RHO_C) -> Array:
    """Heat carried by a flow of air per kelvin, ρ·c·Q. [W/K] (flow in m³/s, ρ·c in J/(m³·K))"""
    return out(arr(rho_c) * arr(flow_m3_s))


@dataclass(frozen=True)
class LeakFit:
    """Power law fitted to blower-door readings.

    Attributes
    ----------
    coefficient : float
        c. [m³/(s·Paⁿ)]
    exponent : float
        n. [-]
    exponent_se : float
        Standard error of n. [-]
    q50 : float
        Flow at 50 Pa. [m³/s]
    q50_relative_se : float
        Relative standard error of it. [-]
    findings : tuple of Finding
        Readings that do not fit a leak.
    """

    coefficient: float
    exponent: float
    exponent_se: float
    q50: float
    q50_relative_se: float
    findings: tuple[Finding, ...] = ()


def fit_blower_door(pressures: Array, flows: Array) -> LeakFit:
    """Fit Q = c·Δpⁿ to readings by least squares of the logarithms.

    Parameters
    ----------
    pressures, flows : array, shape (n,)
        Pressure differences [Pa] and flows [m³/s], all of one sign; two readings or more.

    Returns
    -------
    LeakFit
        Standard errors are NaN with two readings.

    Raises
    ------
    OutOfRange
        If there are under two different pressures or a reading is not above zero.

    References
    ----------
    ASTM E779, annex on error estimates; ISO 9972 asks 0.5 ≤ n ≤ 1.
    """
    p, q = np.abs(arr(pressures)), np.abs(arr(flows))
    if p.ndim != 1 or p.shape != q.shape or np.unique(p).size < 2:
        raise OutOfRange("A fit needs readings at two pressures or more, one flow each.")
    need((p > 0) & (q > 0), "A blower-door reading is not above zero.")
    x, y = np.log(p), np.log(q)
    slope, level = np.polyfit(x, y, 1)
    rest = y - (slope * x + level)
    at50 = slope * np.log(50.0) + level
    sxx = float(((x - x.mean()) ** 2).sum())
    s2 = float((rest**2).sum()) / (x.size - 2) if x.size > 2 else float("nan")
    se50 = float(np.sqrt(s2 * (1.0 / x.size + (np.log(50.0) - x.mean()) ** 2 / sxx)))
    found: tuple[Finding, ...] = ()
    if not 0.5 <= slope <= 1.0:
        found = (Finding.of("air.exponent-odd", Weight.WARN, (), "ISO 9972", slope=Number(slope)),)
    return LeakFit(float(np.exp(level)), float(slope), float(np.sqrt(s2 / sxx)), float(np.exp(at50)), se50, found)
