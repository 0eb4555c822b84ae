"""Floors and cellar walls against the ground."""

from __future__ import annotations

from typing import Final

import numpy as np

from snugbay.physics._num import Array, Real, arr, need, not_negative, out, positive

GROUND: Final = {"clay or silt": (1.5, 2.2), "sand or gravel": (2.0, 3.2), "rock": (3.5, 4.2)}
"""Conductivity [W/(m·K)] and yearly penetration depth [m]. [ISO13370:2017] Table 7 and Annex H, from memory."""


WALL: Final = 0.3
"""Thickness of the walls round a floor where none is known. [m] (assumption)"""


def characteristic_dimension(area: Real, perimeter: Real) -> Array:
    """B′ = A/(½·P). [m] [ISO13370:2017] 6.1"""
    return out(positive("An area", area) / (0.5 * positive("A perimeter", perimeter)))


def equivalent_thickness(wall: Real, resistance: Real, conductivity: Real = 2.0) -> Array:
    """Thickness of ground that resists as the floor does, w + λ·R. [m]

    Parameters
    ----------
    wall : float or array
        Thickness of the walls around. [m] Zero for a cellar wall itself.
    resistance : float or array
        R_si + R_f + R_se. [m²·K/W]
    conductivity : float or array
        Of the ground. [W/(m·K)]
    """
    return out(not_negative("A thickness", wall) + arr(conductivity) * positive("A resistance", resistance))


def floor_u(dimension: Real, thickness: Real, conductivity: Real = 2.0, *, depth: Real = 0.0) -> Array:
    """Transmittance of a floor on the ground, or of a cellar floor.

    Parameters
    ----------
    dimension, thickness : float or array
        B′ and d_t. [m]
    conductivity : float or array
        Of the ground. [W/(m·K)]
    depth : float or array
        Depth of the floor below the ground, 0 for a slab on it. [m]

    Returns
    -------
    array
        [W/(m²·K)]

    References
    ----------
    [ISO13370:2017] equations for slab-on-ground and basement floors, from memory.
    """
    b, lam = positive("A dimension", dimension), positive("A conductivity", conductivity)
    d = positive("A thickness", thickness) + 0.5 * not_negative("A depth", depth)
    poor = 2.0 * lam / (np.pi * b + d) * np.log(np.pi * b / d + 1.0)
    good = lam / (0.457 * b + d)
    return out(np.where(d < b, poor, good))


def cellar_wall_u(
    depth: Real, resistance: Real, conductivity: Real = 2.0, *, floor_thickness: Real | None = None
) -> Array:
    """Transmittance of the part of a cellar wall below the ground.

    Parameters
    ----------
    depth : float or array
        Depth of the cellar floor below the ground. [m]
    resistance : float or array
        R_si + R_w + R_se of the wall. [m²·K/W]
    conductivity : float or array
        Of the ground. [W/(m·K)]
    floor_thickness : float or array, optional
        d_t of the floor; that of a bare slab (R 0.21, `WALL`) if not given. [m]

    Returns
    -------
    array
        Mean over the depth. [W/(m²·K)]

    References
    ----------
    [ISO13370:2017] basement walls, from memory: 2λ/(πz)·(1 + ½·d_t/(d_t + z))·ln(z/d_w + 1), with d_w in place of
    d_t where it is the smaller.
    """
    z, lam = positive("A depth", depth), positive("A conductivity", conductivity)
    d_w = lam * positive("A resistance", resistance)
    d_t = WALL + lam * 0.21 if floor_thickness is None else positive("A thickness", floor_thickness)
    d_t = np.where(d_w < d_t, d_w, d_t)
    return out(2.0 * lam / (np.pi * z) * (1.0 + 0.5 * d_t / (d_t + z)) * np.log(z / d_w + 1.0))


def periodic_outside(
    perimeter: Real,
    thickness: Real,
    conductivity: Real = 2.0,
    *,
    penetration: Real = 3.2,
    depth: Real = 0.0,
    wall_thickness: Real | None = None,
) -> Array:
    """Heat that a yearly swing of the outdoor temperature moves through the ground, per kelvin of swing.

    Parameters
    ----------
    perimeter : float or array
        Exposed perimeter. [m]
    thickness : float or array
        d_t of the floor. [m]
    conductivity, penetration : float or array
        Of the ground [W/(m·K)], yearly penetration depth δ [m].
    depth : float or array
        Depth of a cellar floor, 0 for a slab. [m]
    wall_thickness : float or array, optional
        d_w of the cellar wall, needed where depth is above 0. [m]

    Returns
    -------
    array
        H_pe. [W/K]

    References
    ----------
    [ISO13370:2017] Annex H, from memory.
    """
    p, lam, delta = positive("A perimeter", perimeter), positive("A conductivity", conductivity), arr(penetration)
    z = not_negative("A depth", depth)
    floor = np.log(delta / positive("A thickness", thickness) + 1.0)
    if wall_thickness is None:
        need(~(z > 0), "A cellar needs the equivalent thickness of its wall.")
        return out(0.37 * p * lam * floor)
    wall = np.log(delta / positive("A thickness", wall_thickness) + 1.0)
    fade = np.exp(-z / delta)
    return out(0.37 * p * lam * (fade * floor + 2.0 * (1.0 - fade) * wall))


def monthly_ground_heat(
    steady_w_k: Real, periodic_w_k: Real, inside_c: Real, outside_monthly_c: Array, *, lag_months: float = 1.0
) -> Array:
    """Heat lost to the ground by month.

    Parameters
    ----------
    steady_w_k : float or array, shape (...)
        H_g = U·A (+ z·P·U_w). [W/K]
    periodic_w_k : float or array, shape (...)
        H_pe. [W/K]
    inside_c : float or array, shape (...)
        Indoor temperature, even through the year. [°C]
    outside_monthly_c : array, shape (12,)
        Monthly means. [°C]
    lag_months : float
        Lag of the heat behind the outdoor swing: 1 slab or cellar, 0 crawl space.

    Returns
    -------
    array, shape (..., 12)
        H_g·(T_i − T̄_e) + H_pe·T̂_e·cos(2π·(m − τ − β)/12), τ the coldest month by its first harmonic. [W]

    References
    ----------
    [ISO13370:2017] Annex C.
    """
    te = arr(outside_monthly_c)
    wave = (te * np.exp(-2j * np.pi * np.arange(12) / 12.0)).sum() / 6.0
    months = np.arange(12)
    swing = -np.abs(wave) * np.cos(2.0 * np.pi * (months - lag_months) / 12.0 + np.angle(wave))
    steady = arr(steady_w_k) * (arr(inside_c) - te.mean())
    return out(steady[..., None] + arr(periodic_w_k)[..., None] * swing)


def ground_temperature(outside_monthly_c: Array, depth: float, *, diffusivity: float = 0.7e-6) -> Array:
    """Temperature of undisturbed ground by month.

    Parameters
    ----------
    outside_monthly_c : array, shape (12,)
        Monthly mean air temperature. [°C]
    depth : float
        [m]
    diffusivity : float
        [m²/s]

    Returns
    -------
    array, shape (12,)
        Mean with the first harmonic damped by e^(−z/δ) and late by z/δ. [°C]

    References
    ----------
    Semi-infinite solid under a yearly wave (Kusuda and Achenbach 1965); the surface is taken as the air.
    """
    need(depth >= 0 and diffusivity > 0, "Depth or diffusivity is out of range.")
    te = arr(outside_monthly_c)
    wave = (te * np.exp(-2j * np.pi * np.arange(12) / 12.0)).sum() / 6.0
    delta = np.sqrt(2.0 * diffusivity * 365.25 * 86400.0 / (2.0 * np.pi))
    late = wave * np.exp(-(1.0 + 1.0j) * depth / delta)
    return out(te.mean() + (late * np.exp(2j * np.pi * np.arange(12) / 12.0)).real)
