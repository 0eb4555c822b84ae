"""Tapered layers: transmittance averaged over a thickness that varies across the area."""

from __future__ import annotations

import numpy as np

from snugbay.physics._num import Array, Real, arr, not_negative, out, positive

_NEARLY = 1e-4


def taper_rectangle(r0: Real, r1: Real) -> Array:
    """Transmittance of a rectangle whose layer thickens evenly from nothing to r1.

    Parameters
    ----------
    r0 : float or array
        Resistance of the rest of the part, films included. [m²·K/W]
    r1 : float or array
        Greatest resistance of the tapered layer. [m²·K/W]

    Returns
    -------
    array
        ln(1 + R₁/R₀)/R₁; 1/R₀ for r1 = 0. [W/(m²·K)]

    References
    ----------
    [ISO6946:2017] Annex E.2, equation E.1.
    """
    a, x = _ratio(r0, r1)
    with np.errstate(divide="ignore", invalid="ignore"):
        exact = np.log1p(x) / x
    return out(np.where(x < _NEARLY, 1.0 - x / 2.0 + x**2 / 3.0, exact) / a)


def taper_triangle_thick_apex(r0: Real, r1: Real) -> Array:
    """Transmittance of a triangle whose tapered layer is thickest at the apex.

    Parameters
    ----------
    r0, r1 : float or array
        As for `taper_rectangle`; r1 at the apex, nothing along the base. [m²·K/W]

    Returns
    -------
    array
        2/R₁·[(1 + R₀/R₁)·ln(1 + R₁/R₀) − 1]. [W/(m²·K)]

    References
    ----------
    [ISO6946:2017] Annex E.2, equation E.2.
    """
    a, x = _ratio(r0, r1)
    with np.errstate(divide="ignore", invalid="ignore"):
        exact = 2.0 / x * ((1.0 + 1.0 / x) * np.log1p(x) - 1.0)
    return out(np.where(x < _NEARLY, 1.0 - x / 3.0 + x**2 / 6.0, exact) / a)


def taper_triangle_thin_apex(r0: Real, r1: Real) -> Array:
    """Transmittance of a triangle whose tapered layer is thinnest at the apex.

    Parameters
    ----------
    r0, r1 : float or array
        As for `taper_rectangle`; nothing at the apex, r1 along the base. [m²·K/W]

    Returns
    -------
    array
        2/R₁·[1 − (R₀/R₁)·ln(1 + R₁/R₀)]. [W/(m²·K)]

    References
    ----------
    [ISO6946:2017] Annex E.2, equation E.3.
    """
    a, x = _ratio(r0, r1)
    with np.errstate(divide="ignore", invalid="ignore"):
        exact = 2.0 / x * (1.0 - np.log1p(x) / x)
    return out(np.where(x < _NEARLY, 1.0 - 2.0 * x / 3.0 + x**2 / 2.0, exact) / a)


def taper_triangle(r0: Real, r_middle: Real, r_thick: Real) -> Array:
    """Transmittance of a triangle with a different thickness at each corner, thinnest nothing.

    Parameters
    ----------
    r0 : float or array
        Resistance of the rest at the thinnest corner, films included. [m²·K/W]
    r_middle, r_thick : float or array
        Resistance added by the taper at the middle and at the thickest corner; order does not matter. [m²·K/W]

    Returns
    -------
    array
        2·[R₀R₁·ln(1 + R₂/R₀) − R₀R₂·ln(1 + R₁/R₀) + R₁R₂·ln((R₀ + R₂)/(R₀ + R₁))]/(R₁R₂(R₂ − R₁)), with the limits
        where two corners are equal. [W/(m²·K)]

    References
    ----------
    [ISO6946:2017] Annex E.2, equation E.4.
    """
    a = positive("The resistance of the rest", r0)
    p, q = not_negative("A resistance", r_middle) / a, not_negative("A resistance", r_thick) / a
    p, q = np.minimum(p, q), np.maximum(p, q)
    return out(_mean_inverse(np.asarray(p), np.asarray(q)) / a)


def _ratio(r0: Real, r1: Real) -> tuple[Array, Array]:
    a, b = positive("The resistance of the rest", r0), not_negative("The tapered resistance", r1)
    return a, np.asarray(b / a)


def _mean_inverse(p: Array, q: Array) -> Array:
    """Mean of 1/(1 + p·u + q·v) over the unit triangle, p ≤ q: second divided difference of y·ln y, twice."""
    with np.errstate(divide="ignore", invalid="ignore"):
        exact = 2.0 * (p * np.log1p(q) - q * np.log1p(p) + p * q * np.log((1.0 + q) / (1.0 + p))) / (p * q * (q - p))
        at_middle = (p + q) / 2.0
        twins = 2.0 / at_middle * (1.0 - np.log1p(at_middle) / at_middle)
        flat = 2.0 / q * ((1.0 + 1.0 / q) * np.log1p(q) - 1.0)
    result = np.where((q - p) < _NEARLY * np.maximum(q, 1e-300), twins, exact)
    result = np.where(
        p < _NEARLY, np.where(q < 10 * _NEARLY, 1.0 - (p + q) / 3.0 + (p**2 + p * q + q**2) / 6.0, flat), result
    )
    near = (p < _NEARLY) & (q >= 10 * _NEARLY)
    # first order in p beside the flat edge, so that the step to the exact form is of second order
    slope = np.where(near, _slope_at_zero(q), 0.0)
    return np.asarray(np.where(np.isnan(p) | np.isnan(q), np.nan, result + np.where(near, slope * p, 0.0)))


def _slope_at_zero(q: Array) -> Array:
    """Derivative of the mean inverse by p at p = 0: −2·∫∫u/(1 + q·v)² over the unit triangle."""
    with np.errstate(divide="ignore", invalid="ignore"):
        # ∫₀¹ (1 − v)²/2 /(1 + q·v)² dv in closed form
        s = 1.0 + q
        integral = (s**2 * (1.0 - 1.0 / s) - 2.0 * s * np.log(s) + q) / q**3
    return np.asarray(-integral)


def taper_area(areas: Real, transmittances: Real) -> Array:
    """Area-weighted transmittance of an area divided into tapered pieces.

    Parameters
    ----------
    areas : array, shape (..., n)
        Area of each piece. [m²]
    transmittances : array, shape (..., n)
        Transmittance of each. [W/(m²·K)]

    Returns
    -------
    array, shape (...)
        Σ U·A/ΣA. [W/(m²·K)]

    References
    ----------
    [ISO6946:2017] Annex E.3, equation E.5.
    """
    a = not_negative("An area", areas)
    return out((a * arr(transmittances)).sum(axis=-1) / a.sum(axis=-1))
