"""Sun: position, extraterrestrial radiation, radiation on a sloping plane."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from snugbay.physics._num import Array, Real, arr, need, out

SOLAR_CONSTANT: Final = 1367.0
"""[W/m²]"""

MEAN_DAY: Final = (17, 47, 75, 105, 135, 162, 198, 228, 258, 288, 318, 344)
"""Day of the year whose declination is the month's mean. Klein 1977."""


def declination(day: Real) -> Array:
    """Declination of the sun by the day of the year, Spencer 1971. [rad]"""
    b = 2.0 * np.pi * (arr(day) - 1.0) / 365.0
    return out(
        0.006918
        - 0.399912 * np.cos(b)
        + 0.070257 * np.sin(b)
        - 0.006758 * np.cos(2 * b)
        + 0.000907 * np.sin(2 * b)
        - 0.002697 * np.cos(3 * b)
        + 0.00148 * np.sin(3 * b)
    )


def equation_of_time(day: Real) -> Array:
    """Solar less mean time by the day of the year, Spencer 1971. [min]"""
    b = 2.0 * np.pi * (arr(day) - 1.0) / 365.0
    return out(
        229.18
        * (0.000075 + 0.001868 * np.cos(b) - 0.032077 * np.sin(b) - 0.014615 * np.cos(2 * b) - 0.04089 * np.sin(2 * b))
    )


def distance_factor(day: Real) -> Array:
    """Extraterrestrial radiation over the solar constant, 1 + 0.033·cos(2π·n/365). [-]"""
    return out(1.0 + 0.033 * np.cos(2.0 * np.pi * arr(day) / 365.0))


def sunset_angle(lat: float, day: Real) -> Array:
    """Hour angle of sunset on the level; 0 in polar night, π in polar day. [rad] Latitude in degrees."""
    x = -np.tan(np.radians(lat)) * np.tan(arr(declination(day)))
    return out(np.arccos(np.minimum(np.maximum(x, -1.0), 1.0)))


def extraterrestrial_daily(lat: float, day: Real) -> Array:
    """Extraterrestrial irradiation on the level in a day. [kWh/m²]

    References
    ----------
    Duffie and Beckman, Solar Engineering of Thermal Processes, equation 1.10.3.
    """
    phi, d, ws = np.radians(lat), arr(declination(day)), arr(sunset_angle(lat, day))
    level = np.cos(phi) * np.cos(d) * np.sin(ws) + ws * np.sin(phi) * np.sin(d)
    return out(24.0 / np.pi * SOLAR_CONSTANT / 1000.0 * arr(distance_factor(day)) * np.maximum(level, 0.0))


@dataclass(frozen=True)
class SunPath:
    """The sun at the middle of each hour of a year.

    Attributes
    ----------
    day : array, shape (8760,)
        Day of the year.
    hour_angle : array, shape (8760,)
        [rad], noon 0.
    sin_height : array, shape (8760,)
        Sine of the height above the horizon.
    azimuth : array, shape (8760,)
        Clockwise from north. [rad]
    extraterrestrial : array, shape (8760,)
        On the level, zero at night. [W/m²]
    """

    day: Array
    hour_angle: Array
    sin_height: Array
    azimuth: Array
    extraterrestrial: Array


def sun_path(lat: float, lon: float, tz: float) -> SunPath:
    """Sun of a place for every hour, hours ending 1:00 to 24:00 local standard time.

    Parameters
    ----------
    lat, lon : float
        Position, north and east positive. [deg]
    tz : float
        Local standard time ahead of universal time. [h]
    """
    hours = np.arange(8760)
    day = arr(hours // 24 + 1)
    clock = arr(hours % 24) + 0.5
    solar = clock + (4.0 * (lon - 15.0 * tz) + arr(equation_of_time(day))) / 60.0
    w = np.radians(15.0 * (solar - 12.0))
    phi, d = np.radians(lat), arr(declination(day))
    sin_h = np.sin(phi) * np.sin(d) + np.cos(phi) * np.cos(d) * np.cos(w)
    east = -np.cos(d) * np.sin(w)
    north = np.cos(phi) * np.sin(d) - np.sin(phi) * np.cos(d) * np.cos(w)
    azimuth = np.mod(np.arctan2(east, north), 2.0 * np.pi)
    level = SOLAR_CONSTANT * arr(distance_factor(day)) * np.maximum(sin_h, 0.0)
    return SunPath(day, w, sin_h, azimuth, level)


def on_plane(
    ghi: Array, dhi: Array, path: SunPath, *, slope_deg: float, azimuth_deg: float, ground_reflectance: float = 0.2
) -> Array:
    """Radiation on a sloping plane.

    Parameters
    ----------
    ghi, dhi : array, shape (8760,)
        Global and diffuse on the level. [W/m²]
    path : SunPath
        The sun.
    slope_deg : float
        Slope of the plane, 0 level, 90 upright. [deg]
    azimuth_deg : float
        Direction the plane faces, clockwise from north: 180 south. [deg]
    ground_reflectance : float
        [-]

    Returns
    -------
    array, shape (8760,)
        [W/m²] Diffuse by Hay's model (circumsolar part with the beam), beam no more than 10 times that on the level
        where the sun is low.

    References
    ----------
    Duffie and Beckman, equation 2.16.4 without the horizon term.
    """
    need(0 <= slope_deg <= 180, "A slope is outside 0 to 180°.")
    g, dif = arr(ghi), arr(dhi)
    beta, gamma = np.radians(slope_deg), np.radians(azimuth_deg)
    sin_h = path.sin_height
    cos_h = np.sqrt(np.maximum(1.0 - sin_h**2, 0.0))
    cos_i = sin_h * np.cos(beta) + cos_h * np.sin(beta) * np.cos(path.azimuth - gamma)
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = np.where(sin_h > 0.01, np.maximum(cos_i, 0.0) / np.maximum(sin_h, 0.01), 0.0)
        beam = np.maximum(g - dif, 0.0)
        clear = np.where(path.extraterrestrial > 0, beam / np.maximum(path.extraterrestrial, 1e-9), 0.0)
    ratio, clear = np.minimum(ratio, 10.0), np.minimum(clear, 1.0)
    sky = dif * (clear * ratio + (1.0 - clear) * (1.0 + np.cos(beta)) / 2.0)
    ground = g * ground_reflectance * (1.0 - np.cos(beta)) / 2.0
    return out(beam * ratio + sky + ground)


def sol_air_excess(
    irradiance: Real, *, absorptance: Real = 0.7, outer_resistance: Real = 0.04, sky_loss: Real = 0.0
) -> Array:
    """Temperature by which sun makes a surface act warmer than the air, (α·I − ΔR)·R_se. [K]

    Parameters
    ----------
    irradiance : float or array
        On the surface. [W/m²]
    absorptance : float or array
        Dark roof 0.9, weathered shingle 0.85, light 0.5. [-]
    outer_resistance : float or array
        External surface resistance. [m²·K/W]
    sky_loss : float or array
        Long-wave loss to the clear sky, about 60 for a level surface at a clear night. [W/m²]
    """
    return out((arr(absorptance) * arr(irradiance) - arr(sky_loss)) * arr(outer_resistance))
