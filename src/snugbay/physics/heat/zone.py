"""A room in five resistances and one capacity, hour by hour."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from snugbay.physics._num import Array, Real, arr, need, out

H_IS: Final = 3.45
"""Between air and surfaces. [W/(m²·K)] [ISO13790:2008] 7.2.2.2"""
H_MS: Final = 9.1
"""Between mass and surfaces. [W/(m²·K)] [ISO13790:2008] 12.2.2"""


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
