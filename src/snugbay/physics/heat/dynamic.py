"""Heat that swings: matrix of a part under a daily wave, and the simple hourly zone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from snugbay.base import OutOfRange
from snugbay.physics._num import Array, Real, arr, need, out, positive

H_IS: Final = 3.45
"""Between air and surfaces. [W/(m²·K)] [ISO13790:2008] 7.2.2.2"""
H_MS: Final = 9.1
"""Between mass and surfaces. [W/(m²·K)] [ISO13790:2008] 12.2.2"""

SolidLayer = tuple[Real, Real, Real, Real]
"""Thickness [m], conductivity [W/(m·K)], density [kg/m³], specific heat [J/(kg·K)]; or (R, 0, 0, 0) with conductivity 0
for a layer of resistance R without mass."""


@dataclass(frozen=True)
class Dynamic:
    """A part under a sine wave of temperature.

    Attributes
    ----------
    u : array
        Steady transmittance. [W/(m²·K)]
    y11, y22 : array
        Size of the thermal admittance of the inner and outer side. [W/(m²·K)]
    y12 : array
        Size of the periodic transmittance. [W/(m²·K)]
    decrement : array
        y12/u. [-]
    time_shift_h : array
        Lag of the inner heat flow behind the outer temperature. [h]
    kappa1, kappa2 : array
        Areal heat capacity of the inner and outer side. [J/(m²·K)]
    """

    u: Array
    y11: Array
    y22: Array
    y12: Array
    decrement: Array
    time_shift_h: Array
    kappa1: Array
    kappa2: Array


def dynamic(
    layers_inside_to_outside: Sequence[SolidLayer], *, rsi: Real = 0.13, rse: Real = 0.04, period_h: Real = 24.0
) -> Dynamic:
    """Dynamic characteristics of layers in series.

    Parameters
    ----------
    layers_inside_to_outside : sequence
        (thickness, conductivity, density, specific heat) of each, numbers or arrays; (R, 0, 0, 0) for an air layer.
    rsi, rse : float or array
        Surface resistances. [m²·K/W]
    period_h : float or array
        Period of the wave. [h]

    Returns
    -------
    Dynamic

    Raises
    ------
    OutOfRange
        If there are no layers or a property is out of range.

    References
    ----------
    [ISO13786:2017] 7.2 to 7.5: Z = Z_se·Z_N…Z_1·Z_si; Y11 = −Z11/Z12, Y12 = −1/Z12, Y22 = −Z22/Z12; κ = T/(2π)·
    |(Z_mm − 1)/Z12|.
    """
    if not layers_inside_to_outside:
        raise OutOfRange("A part without layers has no dynamics.")
    period = positive("A period", period_h) * 3600.0
    z = _film(arr(rse))
    r_total = arr(rsi) + arr(rse)
    for layer in reversed(layers_inside_to_outside):
        matrix, r = _layer(layer, period)
        z = _times(z, matrix)
        r_total = r_total + r
    z11, z12, z21, z22 = _times(z, _film(arr(rsi)))
    del z21
    u = 1.0 / r_total
    y12 = -1.0 / z12
    shift = np.angle(y12) * period / (2.0 * np.pi) / 3600.0
    hours = period / 3600.0
    lag = np.mod(-shift, hours)
    return Dynamic(
        out(u),
        out(np.abs(z11 / z12)),
        out(np.abs(z22 / z12)),
        out(np.abs(y12)),
        out(np.abs(y12) / u),
        out(lag),
        out(period / (2.0 * np.pi) * np.abs((z11 - 1.0) / z12)),
        out(period / (2.0 * np.pi) * np.abs((z22 - 1.0) / z12)),
    )


Matrix = tuple["np.ndarray", "np.ndarray", "np.ndarray", "np.ndarray"]


def _film(r: Array) -> Matrix:
    one = np.ones_like(r, dtype=complex)
    return one, -r * one, 0.0 * one, one


def _layer(layer: SolidLayer, period: Array) -> tuple[Matrix, Array]:
    d, lam, rho, c = (arr(v) for v in layer)
    if not np.any(lam):
        need(~(d < 0), "A resistance is negative.")
        return _film(d), d
    for name, v in (("thickness", d), ("conductivity", lam), ("density", rho), ("specific heat", c)):
        need(~(v <= 0), f"A {name} is not above zero.")
    depth = np.sqrt(lam * period / (np.pi * rho * c))
    x = d / depth
    s = (1.0 + 1.0j) * x
    cosh, sinh = np.cosh(s), np.sinh(s)
    z12 = -depth / (lam * (1.0 + 1.0j)) * sinh
    z21 = -lam * (1.0 + 1.0j) / depth * sinh
    return (cosh, z12, z21, cosh), np.asarray(d / lam)


def _times(a: Matrix, b: Matrix) -> Matrix:
    return (
        a[0] * b[0] + a[1] * b[2],
        a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2],
        a[2] * b[1] + a[3] * b[3],
    )


@dataclass(frozen=True)
class SimpleZone:
    """A room in five resistances and one capacity.

    Attributes
    ----------
    floor_area : float or array
        Conditioned floor area A_f. [m²]
    h_ve, h_windows, h_opaque : float or array
        Ventilation, windows, opaque parts. [W/K]
    mass_capacity, mass_area : float or array
        C_m [J/K] and A_m [m²].
    surface_area : float or array, optional
        A_t, all surfaces facing the room; 4.5·A_f if None. [m²]
    """

    floor_area: Real
    h_ve: Real
    h_windows: Real
    h_opaque: Real
    mass_capacity: Real
    mass_area: Real
    surface_area: Real | None = None

    @property
    def a_t(self) -> Array:
        """All surfaces facing the room. [m²]"""
        return arr(4.5 * arr(self.floor_area) if self.surface_area is None else self.surface_area)

    @property
    def h_is(self) -> Array:
        """Air to surfaces. [W/K]"""
        return out(H_IS * self.a_t)

    @property
    def h_ms(self) -> Array:
        """Mass to surfaces. [W/K]"""
        return out(H_MS * arr(self.mass_area))

    @property
    def h_em(self) -> Array:
        """Outside to mass, 1/(1/H_op − 1/H_ms). [W/K]"""
        need(~(arr(self.h_opaque) >= arr(self.h_ms)), "The opaque loss is larger than the mass can take up.")
        with np.errstate(divide="ignore"):
            return out(1.0 / (1.0 / arr(self.h_opaque) - 1.0 / arr(self.h_ms)))

    @property
    def h_1(self) -> Array:
        """Ventilation and air-surface in series. [W/K]"""
        with np.errstate(divide="ignore"):
            return out(1.0 / (1.0 / arr(self.h_ve) + 1.0 / arr(self.h_is)))

    @property
    def h_2(self) -> Array:
        """H_1 with windows. [W/K]"""
        return out(arr(self.h_1) + arr(self.h_windows))

    @property
    def h_3(self) -> Array:
        """H_2 in series with mass-surface. [W/K]"""
        with np.errstate(divide="ignore"):
            return out(1.0 / (1.0 / arr(self.h_2) + 1.0 / arr(self.h_ms)))


@dataclass(frozen=True)
class ZoneStep:
    """One hour of a simple zone.

    Attributes
    ----------
    mass_end_c, mass_c, surface_c, air_c : array
        Mass at the end of the hour and in its mean; surfaces and air in its mean. [°C]
    phi_mass, phi_surface : array
        Gains to mass and to surfaces. [W]
    """

    mass_end_c: Array
    mass_c: Array
    surface_c: Array
    air_c: Array
    phi_mass: Array
    phi_surface: Array


def zone_step(
    zone: SimpleZone,
    mass_before_c: Real,
    outside_c: Real,
    *,
    internal_w: Real = 0.0,
    solar_w: Real = 0.0,
    supply_c: Real | None = None,
    heating_w: Real = 0.0,
    step_s: float = 3600.0,
) -> ZoneStep:
    """One time step of the simple hourly zone.

    Parameters
    ----------
    zone : SimpleZone
        The room.
    mass_before_c, outside_c : float or array
        Mass at the start, outdoor air. [°C]
    internal_w, solar_w : float or array
        Gains. [W]
    supply_c : float or array, optional
        Temperature of the supplied air; the outdoor air if None. [°C]
    heating_w : float or array
        Heating, negative cooling, to the air. [W]
    step_s : float
        Length of the step. [s]

    Returns
    -------
    ZoneStep

    References
    ----------
    [ISO13790:2008] Annex C, equations C.1 to C.11 (withdrawn in favour of ISO 52016-1; Crank-Nicolson step).
    """
    te = arr(outside_c)
    sup = te if supply_c is None else arr(supply_c)
    a_m, a_t = arr(zone.mass_area), zone.a_t
    phi_ia = 0.5 * arr(internal_w)
    rest = 0.5 * arr(internal_w) + arr(solar_w)
    phi_m = a_m / a_t * rest
    phi_st = (1.0 - a_m / a_t - arr(zone.h_windows) / (H_MS * a_t)) * rest
    to_air = phi_ia + arr(heating_w)
    h1, h2, h3 = arr(zone.h_1), arr(zone.h_2), arr(zone.h_3)
    h_ve, h_w, h_em = arr(zone.h_ve), arr(zone.h_windows), arr(zone.h_em)
    h_is = arr(zone.h_is)
    via_air = h_is / (h_is + h_ve) * (to_air + h_ve * sup)
    phi_mtot = phi_m + h_em * te + h3 * (phi_st + h_w * te + via_air) / h2
    c = arr(zone.mass_capacity) / step_s
    before = arr(mass_before_c)
    after = (before * (c - 0.5 * (h3 + h_em)) + phi_mtot) / (c + 0.5 * (h3 + h_em))
    mean = 0.5 * (before + after)
    h_ms = arr(zone.h_ms)
    surface = (h_ms * mean + phi_st + h_w * te + via_air) / (h_ms + h_w + h1)
    air = (h_is * surface + h_ve * sup + to_air) / (h_is + h_ve)
    return ZoneStep(out(after), out(mean), out(surface), out(air), out(phi_m), out(phi_st))


def zone_need(
    zone: SimpleZone,
    mass_before_c: Real,
    outside_c: Real,
    set_point_c: Real,
    *,
    internal_w: Real = 0.0,
    solar_w: Real = 0.0,
    supply_c: Real | None = None,
) -> Array:
    """Heating (positive) or cooling (negative) that brings the air to a set-point in this step. [W]

    Parameters as for `zone_step`; the air temperature is linear in the heating, so two steps give it.

    References
    ----------
    [ISO13790:2008] C.4.2, equation C.13.
    """
    trial = 10.0 * arr(zone.floor_area)
    kwargs = {"internal_w": internal_w, "solar_w": solar_w, "supply_c": supply_c}
    free = arr(zone_step(zone, mass_before_c, outside_c, **kwargs).air_c)  # type: ignore[arg-type]
    pushed = arr(zone_step(zone, mass_before_c, outside_c, heating_w=trial, **kwargs).air_c)  # type: ignore[arg-type]
    return out(trial * (arr(set_point_c) - free) / (pushed - free))


MASS_CLASSES: Final = {
    "very_light": (80e3, 2.5),
    "light": (110e3, 2.5),
    "medium": (165e3, 2.5),
    "heavy": (260e3, 3.0),
    "very_heavy": (370e3, 3.5),
}
"""C_m/A_f [J/(m²·K)] and A_m/A_f [-] by class of the building. [ISO13790:2008] Table 12."""
