"""Readings on the built part: infrared, one surface temperature, heat-flow plates."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from snugbay.base import Finding, OutOfRange, Weight
from snugbay.base.facts import Number, Span, TemperatureDifference
from snugbay.physics._num import Array, Real, arr, need, out, positive, smallest
from snugbay.physics._tables import rows_of

ZERO_C: Final = 273.15
LEAST_HOURS: Final = 72.0
AGREE: Final = 0.05
LEAST_DIFFERENCE_K: Final = 10.0

EMISSIVITY: Final = {r["surface"]: (float(r["low"]), float(r["high"])) for r in rows_of("physics", "emissivity.csv")}
"""Low and high emissivity by surface, total or 8 to 14 µm. [-] Published thermography tables, ±0.05."""


def _emissivity(e: Real) -> Array:
    a = arr(e)
    need(~((a <= 0) | (a > 1)), "An emissivity is outside 0 to 1.", hint="Painted wood 0.9, clean foil 0.05.")
    return a


def true_temperature(apparent_c: Real, reflected_c: Real, emissivity: Real) -> Array:
    """Temperature of a surface from what an infrared meter set to ε = 1 shows.

    Parameters
    ----------
    apparent_c : float or array
        Reading of the meter. [°C]
    reflected_c : float or array
        Temperature of what the surface mirrors. [°C]
    emissivity : float or array
        Emissivity of the surface. [-]

    Returns
    -------
    array
        ((T_app⁴ − (1 − ε)·T_refl⁴)/ε)^¼; NaN where the reading is impossible for that emissivity. [°C]

    Raises
    ------
    OutOfRange
        If an emissivity is not above 0 and at most 1.

    Notes
    -----
    Grey body, total radiation. Foil cannot be read: a kelvin shown is 20 K of the surface; see `check_infrared`.
    """
    e = _emissivity(emissivity)
    fourth = ((arr(apparent_c) + ZERO_C) ** 4 - (1.0 - e) * (arr(reflected_c) + ZERO_C) ** 4) / e
    with np.errstate(invalid="ignore"):
        return out(np.where(fourth > 0, np.sqrt(np.sqrt(np.where(fourth > 0, fourth, np.nan))), np.nan) - ZERO_C)


def apparent_temperature(true_c: Real, reflected_c: Real, emissivity: Real) -> Array:
    """What an infrared meter set to ε = 1 shows, (ε·T⁴ + (1 − ε)·T_refl⁴)^¼. [°C]

    Parameters as for `true_temperature`, its inverse.
    """
    e = _emissivity(emissivity)
    fourth = e * (arr(true_c) + ZERO_C) ** 4 + (1.0 - e) * (arr(reflected_c) + ZERO_C) ** 4
    return out(np.sqrt(np.sqrt(fourth)) - ZERO_C)


def reread(shown_c: Real, reflected_c: Real, meter_emissivity: Real, emissivity: Real) -> Array:
    """True temperature from a meter that was set to an emissivity other than the surface's. [°C]

    The meter's own correction is undone, assuming that it took the reflected temperature given, then done again.
    """
    return true_temperature(apparent_temperature(shown_c, reflected_c, meter_emissivity), reflected_c, emissivity)


def infrared_uncertainty(
    apparent_c: Real,
    reflected_c: Real,
    emissivity: Real,
    *,
    meter_k: Real = 1.0,
    emissivity_sd: Real = 0.03,
    reflected_k: Real = 2.0,
) -> Array:
    """Standard uncertainty of a corrected infrared reading. [K]

    Parameters
    ----------
    apparent_c, reflected_c, emissivity
        As for `true_temperature`.
    meter_k, emissivity_sd, reflected_k : float or array
        Standard uncertainties of the meter [K], the emissivity [-], the reflected temperature [K].

    Returns
    -------
    array
        First order, from the derivatives of the fourth-power law.
    """
    e = _emissivity(emissivity)
    ta, tr = arr(apparent_c) + ZERO_C, arr(reflected_c) + ZERO_C
    t = arr(true_temperature(apparent_c, reflected_c, e)) + ZERO_C
    by_meter = ta**3 / (e * t**3) * arr(meter_k)
    by_reflected = (1.0 - e) * tr**3 / (e * t**3) * arr(reflected_k)
    by_emissivity = (tr**4 - ta**4) / (4.0 * e**2 * t**3) * arr(emissivity_sd)
    return out(np.sqrt(by_meter**2 + by_reflected**2 + by_emissivity**2))


def spot_diameter(distance: Real, ratio: Real) -> Array:
    """Diameter of the spot that an infrared meter averages, distance over its optical ratio. [m]

    The surface looked at should be twice as wide (common practice, no source).
    """
    return out(arr(distance) / positive("An optical ratio", ratio))


def check_infrared(emissivity: float) -> tuple[Finding, ...]:
    """Finding where a surface is too bright for an infrared meter."""
    if emissivity >= 0.5 or np.isnan(emissivity):
        return ()
    return (Finding.of("insitu.bright", Weight.WARN, (), emissivity=Number(emissivity)),)


@dataclass(frozen=True)
class SurfaceResistanceReading:
    """Resistance from one surface temperature, as a band.

    Attributes
    ----------
    heat_flux : array
        Heat through the part. [W/m²]
    total, low, high : array
        Total resistance R_T, and its band for the stated errors. [m²·K/W] ``high`` is infinite where the error could
        bring the surface to room temperature.
    findings : tuple of Finding
        Conditions that make the reading worth little.
    """

    heat_flux: Array
    total: Array
    low: Array
    high: Array
    findings: tuple[Finding, ...] = ()


def resistance_from_surface(
    inside_c: Real,
    surface_c: Real,
    outside_c: Real,
    *,
    rsi: Real = 0.13,
    surface_error_k: Real = 0.5,
    rsi_band: tuple[Real, Real] = (0.12, 0.15),
) -> SurfaceResistanceReading:
    """Total resistance from room, surface and outdoor temperature.

    Parameters
    ----------
    inside_c, surface_c, outside_c : float or array
        Temperatures in steady weather. [°C]
    rsi : float or array
        Internal surface resistance, 0.25 in corners. [m²·K/W]
    surface_error_k : float or array
        Error of the surface temperature against the room's. [K]
    rsi_band : pair of float or array
        Low and high surface resistance. [m²·K/W]

    Returns
    -------
    SurfaceResistanceReading
        R_T = R_si·(T_i − T_e)/(T_i − T_s); NaN where the surface is not between room and outdoors.

    References
    ----------
    Steady one-dimensional flow; half a kelvin in the surface can move the answer by half.
    """
    ti, ts, te = arr(inside_c), arr(surface_c), arr(outside_c)
    r = positive("A surface resistance", rsi)
    drop, whole = ti - ts, ti - te
    sign = np.sign(whole)
    drop, whole = drop * sign, np.abs(whole)
    err = arr(surface_error_k)
    with np.errstate(divide="ignore", invalid="ignore"):
        good = np.where((drop > 0) & (drop < whole), drop, np.nan)
        total = r * whole / good
        low = arr(rsi_band[0]) * whole / (good + err)
        high = np.where(good > err, arr(rsi_band[1]) * whole / (good - err), np.where(np.isnan(good), np.nan, np.inf))
    return SurfaceResistanceReading(
        out(sign * good / r), out(total), out(low), out(high), _surface_findings(whole, drop, err)
    )


def _surface_findings(whole: Array, drop: Array, err: Array) -> tuple[Finding, ...]:
    found = []
    least = smallest(whole)
    if least < LEAST_DIFFERENCE_K:
        found.append(
            Finding.of(
                "insitu.mild", Weight.WARN, (), least=TemperatureDifference(least), wanted=TemperatureDifference(10.0)
            )
        )
    if bool(np.any(drop <= 2.0 * err)):
        found.append(Finding.of("insitu.small-drop", Weight.WARN))
    if bool(np.any((drop <= 0) | (drop >= whole))):
        found.append(Finding.of("insitu.impossible", Weight.WARN))
    return tuple(found)


@dataclass(frozen=True)
class AverageMethod:
    """Resistance by averaged readings, with the standard's end tests.

    Attributes
    ----------
    resistance : float
        R between the surfaces, Σ(T_si − T_se)/Σq. [m²·K/W]
    running : array, shape (n,)
        R after each reading. [m²·K/W]
    hours : float
        Length of the series. [h]
    long_enough, day_agrees, thirds_agree : bool
        At least 72 h; last value within 5 % of that 24 h before; first and last two thirds within 5 %.
    findings : tuple of Finding
        Which tests failed.
    """

    resistance: float
    running: Array
    hours: float
    long_enough: bool
    day_agrees: bool
    thirds_agree: bool
    findings: tuple[Finding, ...] = ()

    @property
    def passed(self) -> bool:
        """Whether every end test holds."""
        return self.long_enough and self.day_agrees and self.thirds_agree


def average_method(inner_c: Array, outer_c: Array, heat_flux: Array, *, step_hours: float = 1.0) -> AverageMethod:
    """Resistance of a part from series of surface temperatures and heat flux.

    Parameters
    ----------
    inner_c, outer_c : array, shape (n,)
        Surface temperatures inside and outside. [°C]
    heat_flux : array, shape (n,)
        Heat flux, positive outwards. [W/m²]
    step_hours : float
        Time between readings. [h]

    Returns
    -------
    AverageMethod
        NaN where a reading is NaN.

    Raises
    ------
    OutOfRange
        If the series differ in length or are empty, or their summed flux is zero.

    References
    ----------
    [ISO9869-1:2014] 7.1 and 7.2.
    """
    ti, te, q = arr(inner_c), arr(outer_c), arr(heat_flux)
    if not (ti.ndim == 1 and ti.shape == te.shape == q.shape and ti.size):
        raise OutOfRange("The three series differ in length, or are empty.")
    need(step_hours > 0, "The time between readings is not above zero.")
    need(~(q.sum() == 0), "The heat flux sums to zero: nothing can be said of the resistance.")
    with np.errstate(divide="ignore", invalid="ignore"):
        running = np.cumsum(ti - te) / np.cumsum(q)
    r = float(running[-1])
    n, day = ti.size, round(24.0 / step_hours)
    hours = n * step_hours
    part = int(np.floor(2.0 * hours / 72.0)) * day if hours >= 36.0 else int(np.ceil(2 * n / 3))
    part = max(min(part, n), 1)
    first = float((ti - te)[:part].sum() / q[:part].sum())
    last = float((ti - te)[-part:].sum() / q[-part:].sum())
    day_ok = n > day and abs(r - float(running[-1 - day])) <= AGREE * abs(r)
    thirds_ok = abs(first - last) <= AGREE * abs(r)
    long_ok = hours >= LEAST_HOURS
    return AverageMethod(
        r, out(running), hours, long_ok, day_ok, thirds_ok, _end_tests(hours, long_ok, day_ok, thirds_ok)
    )


def _end_tests(hours: float, long_ok: bool, day_ok: bool, thirds_ok: bool) -> tuple[Finding, ...]:
    source = "ISO9869-1:2014 7.2"
    found = []
    if not long_ok:
        found.append(Finding.of("insitu.short", Weight.WARN, (), source, hours=Span(hours), least=Span(72.0)))
    if not day_ok:
        found.append(Finding.of("insitu.not-settled", Weight.WARN, (), source))
    if not thirds_ok:
        found.append(Finding.of("insitu.drift", Weight.WARN, (), source))
    return tuple(found)


def convergence_factors(running: Array, *, step_hours: float = 1.0, period_hours: float = 24.0) -> Array:
    """Convergence of a summed resistance, |R(t) − R(t − n)|/R(t); three in a row under 0.10 are wanted.

    Parameters
    ----------
    running : array, shape (n,)
        Resistance after each reading, `AverageMethod.running`. [m²·K/W]
    step_hours, period_hours : float
        Time between readings, and the period n. [h]

    Returns
    -------
    array, shape (n // period,) less one
        At the end of each period. [-]

    References
    ----------
    ASTM C1155, summation technique, from memory.
    """
    r = arr(running)
    each = round(period_hours / step_hours)
    need(each >= 1, "The period is shorter than the time between readings.")
    ends = r[each - 1 :: each]
    return out(np.abs(np.diff(ends)) / np.abs(ends[1:]))


def stored_heat_share(
    heat_capacity: Real, mean_before_c: Real, mean_after_c: Real, heat_flux: Array, *, step_hours: float = 1.0
) -> Array:
    """Change of heat stored in the part over the heat that passed it; should stay under 0.05.

    Parameters
    ----------
    heat_capacity : float or array
        Heat capacity of the part. [J/(m²·K)]
    mean_before_c, mean_after_c : float or array
        Mean temperature of the part at the start and the end. [°C]
    heat_flux : array, shape (n,)
        Heat flux. [W/m²]
    step_hours : float
        Time between readings. [h]

    References
    ----------
    [ISO9869-1:2014] 7.2, condition c for light parts.
    """
    passed = np.abs(arr(heat_flux).sum(axis=-1)) * step_hours * 3600.0
    return out(np.abs(arr(heat_capacity) * (arr(mean_after_c) - arr(mean_before_c))) / passed)
