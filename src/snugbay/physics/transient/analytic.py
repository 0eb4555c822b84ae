"""Transient conduction in closed form: semi-infinite bodies and slabs."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import erf, erfc, erfcx

from snugbay.base import OutOfRange

Floats = NDArray[np.float64]

SERIES_TERMS = 2000
"""Most terms of a series."""


def diffusivity(conductivity: ArrayLike, density: ArrayLike, heat_capacity: ArrayLike) -> Floats:
    """Thermal diffusivity.

    Parameters
    ----------
    conductivity : array_like
        [W/(m·K)]
    density : array_like
        [kg/m³]
    heat_capacity : array_like
        Specific heat capacity. [J/(kg·K)]

    Returns
    -------
    ndarray
        [m²/s]

    Raises
    ------
    OutOfRange
        If a value is zero or negative.
    """
    arrays = [np.asarray(v, float) for v in (conductivity, density, heat_capacity)]
    for name, values in zip(("conductivity", "density", "heat_capacity"), arrays, strict=True):
        if (values <= 0).any():
            raise OutOfRange(f"The {name.replace('_', ' ')} is not positive.", where=(name,))
    return np.asarray(arrays[0] / (arrays[1] * arrays[2]))


def _grid(x: ArrayLike, t: ArrayLike) -> tuple[Floats, Floats]:
    xs, ts = np.asarray(x, float), np.asarray(t, float)
    if (xs < 0).any() or (ts < 0).any():
        raise OutOfRange("Depth and time must be zero or more.", where=("x", "t"))
    return ts.reshape(ts.shape + (1,) * xs.ndim), xs


def semi_infinite_fixed(
    x: ArrayLike, t: ArrayLike, *, alpha: float, temp_start_c: float, temp_surface_c: float
) -> Floats:
    """Temperature of a semi-infinite body after a step of its surface temperature.

    Parameters
    ----------
    x : array_like, shape s
        Depth. [m]
    t : array_like, shape r
        Time since the step. [s]
    alpha : float
        Thermal diffusivity. [m²/s]
    temp_start_c, temp_surface_c : float
        [°C]

    Returns
    -------
    ndarray, shape r + s
        [°C]

    Raises
    ------
    OutOfRange
        If depth or time is negative.

    References
    ----------
    Carslaw and Jaeger (1959) 2.4: T = Ts + (T0 - Ts) erf(x / (2 √(α t))).
    """
    ts, xs = _grid(x, t)
    with np.errstate(divide="ignore", invalid="ignore"):
        reach = np.where((xs == 0) & (ts == 0), 0.0, xs / (2 * np.sqrt(alpha * ts)))
    return np.asarray(temp_surface_c + (temp_start_c - temp_surface_c) * erf(reach) + 0 * ts * xs)


def semi_infinite_fixed_flux(
    t: ArrayLike, *, conductivity: float, alpha: float, temp_start_c: float, temp_surface_c: float
) -> Floats:
    """Heat flux into a semi-infinite body at its surface after a step of the surface temperature.

    Parameters
    ----------
    t : array_like
        Time since the step, more than 0. [s]
    conductivity : float
        [W/(m·K)]
    alpha : float
        [m²/s]
    temp_start_c, temp_surface_c : float
        [°C]

    Returns
    -------
    ndarray
        Positive into the body. [W/m²]

    References
    ----------
    Carslaw and Jaeger (1959) 2.4: q = λ (Ts - T0) / √(π α t).
    """
    ts = np.asarray(t, float)
    with np.errstate(divide="ignore"):
        return np.asarray(conductivity * (temp_surface_c - temp_start_c) / np.sqrt(np.pi * alpha * ts))


def semi_infinite_film(
    x: ArrayLike,
    t: ArrayLike,
    *,
    conductivity: float,
    alpha: float,
    film_coefficient: float,
    temp_start_c: float,
    temp_air_c: float,
) -> Floats:
    """Temperature of a semi-infinite body after a step of the air temperature before a film.

    Parameters
    ----------
    x : array_like, shape s
        Depth. [m]
    t : array_like, shape r
        Time since the step. [s]
    conductivity : float
        [W/(m·K)]
    alpha : float
        [m²/s]
    film_coefficient : float
        [W/(m²·K)]
    temp_start_c, temp_air_c : float
        [°C]

    Returns
    -------
    ndarray, shape r + s
        [°C]

    References
    ----------
    Carslaw and Jaeger (1959) 2.7: (T - T0)/(Ta - T0) = erfc(ξ) - exp(h x/λ + h² α t/λ²) erfc(ξ + h √(α t)/λ), with
    ξ = x/(2 √(α t)); evaluated through the scaled function erfcx so that it does not overflow.
    """
    ts, xs = _grid(x, t)
    root = np.sqrt(alpha * ts)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        xi = np.where(ts == 0, np.inf, xs / (2 * np.where(ts == 0, 1.0, root)))
        reach = film_coefficient * root / conductivity
        rise = erfc(xi) - np.exp(-(xi**2)) * erfcx(xi + reach)
    rise = np.where(ts == 0, 0.0, rise)
    return np.asarray(temp_start_c + (temp_air_c - temp_start_c) * rise + 0 * ts * xs)


def semi_infinite_constant_flux(
    x: ArrayLike, t: ArrayLike, *, conductivity: float, alpha: float, temp_start_c: float, flux: float
) -> Floats:
    """Temperature of a semi-infinite body after a constant heat flux sets in at its surface.

    Parameters
    ----------
    x : array_like, shape s
        Depth. [m]
    t : array_like, shape r
        Time since. [s]
    conductivity : float
        [W/(m·K)]
    alpha : float
        [m²/s]
    temp_start_c : float
        [°C]
    flux : float
        Into the body. [W/m²]

    Returns
    -------
    ndarray, shape r + s
        [°C]

    References
    ----------
    Carslaw and Jaeger (1959) 2.9: T - T0 = (2 q √(α t)/λ) ierfc(x/(2 √(α t))).
    """
    ts, xs = _grid(x, t)
    root = np.sqrt(alpha * ts)
    with np.errstate(divide="ignore", invalid="ignore"):
        xi = np.where(ts == 0, np.inf, xs / (2 * np.where(ts == 0, 1.0, root)))
        inner = np.where(np.isinf(xi), 0.0, np.exp(-(xi**2)) / np.sqrt(np.pi) - np.nan_to_num(xi) * erfc(xi))
    return np.asarray(temp_start_c + 2 * flux * root / conductivity * inner + 0 * ts * xs)


def semi_infinite_periodic(
    x: ArrayLike, t: ArrayLike, *, alpha: float, temp_mean_c: float, swing: float, period: float
) -> Floats:
    """Temperature of a semi-infinite body under a lasting cosine of its surface temperature.

    Parameters
    ----------
    x : array_like, shape s
        Depth. [m]
    t : array_like, shape r
        Time; the surface peaks at 0. [s]
    alpha : float
        [m²/s]
    temp_mean_c : float
        [°C]
    swing : float
        Amplitude at the surface. [K]
    period : float
        [s]

    Returns
    -------
    ndarray, shape r + s
        [°C]

    References
    ----------
    Carslaw and Jaeger (1959) 2.6; penetration depth as in ISO 13786:2017: δ = √(α·period/π).
    """
    ts, xs = np.asarray(t, float), np.asarray(x, float)
    ts = ts.reshape(ts.shape + (1,) * xs.ndim)
    depth = penetration_depth(alpha, period)
    return np.asarray(temp_mean_c + swing * np.exp(-xs / depth) * np.cos(2 * np.pi * ts / period - xs / depth))


def penetration_depth(alpha: ArrayLike, period: ArrayLike) -> Floats:
    """Depth at which a lasting swing of the surface temperature has fallen to 1/e.

    Parameters
    ----------
    alpha : array_like
        [m²/s]
    period : array_like
        [s]

    Returns
    -------
    ndarray
        √(α·period/π). [m]

    References
    ----------
    ISO 13786:2017, periodic penetration depth.
    """
    return np.asarray(np.sqrt(np.asarray(alpha, float) * np.asarray(period, float) / np.pi))


def contact_temperature(temps_c: tuple[float, float], effusivities: tuple[float, float]) -> float:
    """Temperature at the face where two semi-infinite bodies are brought together.

    Parameters
    ----------
    temps_c : tuple of two floats
        [°C]
    effusivities : tuple of two floats
        √(λ ρ c). [J/(m²·K·√s)]

    Returns
    -------
    float
        [°C]

    References
    ----------
    Carslaw and Jaeger (1959) 2.15.
    """
    (t1, t2), (b1, b2) = temps_c, effusivities
    return (b1 * t1 + b2 * t2) / (b1 + b2)


def slab(
    x: ArrayLike,
    t: ArrayLike,
    *,
    half_thickness: float,
    conductivity: float,
    alpha: float,
    film_coefficient: float = np.inf,
    temp_start_c: float,
    temp_air_c: float,
) -> Floats:
    """Temperature of a slab after a step of the air on both its faces (or on one, the middle plane being adiabatic).

    Parameters
    ----------
    x : array_like, shape s
        Distance from the middle plane, up to ``half_thickness``. [m]
    t : array_like, shape r
        Time since the step. [s]
    half_thickness : float
        [m]
    conductivity : float
        [W/(m·K)]
    alpha : float
        [m²/s]
    film_coefficient : float
        The same on both faces; infinite where the surface takes the new temperature at once. [W/(m²·K)]
    temp_start_c, temp_air_c : float
        [°C]

    Returns
    -------
    ndarray, shape r + s
        [°C]

    Raises
    ------
    OutOfRange
        If a point lies outside the slab, or times are negative.

    Notes
    -----
    All terms: as many as it takes for the last to be nothing, at most `SERIES_TERMS`; at t = 0 the start is given back.

    References
    ----------
    Carslaw and Jaeger (1959) 3.11: roots of z tan z = Bi, coefficients 4 sin z / (2 z + sin 2z).
    """
    ts, xs = _grid(np.abs(np.asarray(x, float)), t)
    if (xs > half_thickness * (1 + 1e-12)).any():
        raise OutOfRange("A point lies outside the slab.", where=("x",), hint="Measure from the middle plane.")
    roots = slab_roots(film_coefficient * half_thickness / conductivity, _terms(alpha, ts, half_thickness))
    weights = 4 * np.sin(roots) / (2 * roots + np.sin(2 * roots))
    fourier = alpha * ts / half_thickness**2
    place = np.cos(roots * xs[..., None] / half_thickness)
    left = (weights * np.exp(-(roots**2) * fourier[..., None]) * place).sum(-1)
    return np.asarray(temp_air_c + (temp_start_c - temp_air_c) * np.where(ts == 0, 1.0, left) + 0 * ts * xs)


def slab_mean(
    t: ArrayLike,
    *,
    half_thickness: float,
    conductivity: float,
    alpha: float,
    film_coefficient: float = np.inf,
    temp_start_c: float,
    temp_air_c: float,
) -> Floats:
    """Mean temperature of the slab of `slab`, and so the heat that it still holds.

    Parameters are those of `slab`.

    Returns
    -------
    ndarray, shape of t
        [°C]

    References
    ----------
    Carslaw and Jaeger (1959) 3.11, integrated over the slab.
    """
    ts = np.asarray(t, float)
    roots = slab_roots(film_coefficient * half_thickness / conductivity, _terms(alpha, ts, half_thickness))
    weights = 4 * np.sin(roots) ** 2 / (roots * (2 * roots + np.sin(2 * roots)))
    left = (weights * np.exp(-(roots**2) * (alpha * ts / half_thickness**2)[..., None])).sum(-1)
    return np.asarray(temp_air_c + (temp_start_c - temp_air_c) * np.where(ts == 0, 1.0, left) + 0 * ts)


def _terms(alpha: float, ts: Floats, half_thickness: float) -> int:
    positive = ts[ts > 0]
    if len(positive) == 0:
        return 1
    fourier = alpha * float(positive.min()) / half_thickness**2
    return int(min(SERIES_TERMS, 3 + np.sqrt(40 / fourier) / np.pi))


def slab_roots(biot: float, count: int) -> Floats:
    """Return the first positive roots of z tan z = Bi.

    Parameters
    ----------
    biot : float
        h·half thickness/λ; infinite allowed. [-]
    count : int
        How many.

    Returns
    -------
    ndarray, shape (count,)

    Notes
    -----
    The n-th root lies between n π and n π + π/2; halving, which cannot miss it.
    """
    start = np.arange(count) * np.pi
    if np.isinf(biot):
        return np.asarray(start + np.pi / 2)
    low, high = start.copy(), start + np.pi / 2
    for _ in range(60):
        z = (low + high) / 2
        beyond = z * np.sin(z) * np.where(np.cos(z) < 0, -1, 1) > biot * np.abs(np.cos(z))
        low, high = np.where(beyond, low, z), np.where(beyond, z, high)
    return np.asarray((low + high) / 2)
