"""Corrections added to a transmittance: air gaps, fasteners, inverted roofs."""

from __future__ import annotations

from typing import Final

import numpy as np

from snugbay.base import Finding, OutOfRange, Weight
from snugbay.base.facts import Share
from snugbay.physics._num import Array, Real, arr, not_negative, out, positive

GAP_LEVELS: Final = {0: 0.00, 1: 0.01, 2: 0.04}
"""ΔU″ by level of air gaps. [W/(m²·K)] [ISO6946:2017] Annex F, Table F.1."""

NEGLIGIBLE_SHARE: Final = 0.03
"""Corrections under 3 % of U need not be applied. [ISO6946:2017] 7."""


def gap_correction(level: int, r_layer: Real, r_total: Real) -> Array:
    """Correction for air gaps in or beside an insulating layer.

    Parameters
    ----------
    level : int
        0 none or only minor gaps; 1 gaps that bridge the layer, no circulation on the warm side; 2 gaps that bridge
        the layer with air circulating on the warm side (boards set loose).
    r_layer : float or array
        Resistance of the layer with the gaps. [m²·K/W]
    r_total : float or array
        Total resistance of the part without bridging. [m²·K/W]

    Returns
    -------
    array
        ΔU_g = ΔU″·(R₁/R_T)². [W/(m²·K)]

    Raises
    ------
    OutOfRange
        If the level is not 0, 1 or 2, or a resistance is out of range.

    References
    ----------
    [ISO6946:2017] Annex F.2, equation F.2.
    """
    if level not in GAP_LEVELS:
        raise OutOfRange(
            f"There is no air-gap level {level}.", hint="Use 0 (none), 1 (through gaps) or 2 (air behind)."
        )
    r1, rt = not_negative("The resistance of the layer", r_layer), positive("The total resistance", r_total)
    return out(GAP_LEVELS[level] * (r1 / rt) ** 2)


def fastener_section(diameter: Real) -> Array:
    """Cross-section of a round fastener. [m²] from its diameter [m]."""
    return out(np.pi / 4.0 * not_negative("A diameter", diameter) ** 2)


def fastener_correction(
    section: Real,
    conductivity: Real,
    per_m2: Real,
    layer_thickness: Real,
    r_layer: Real,
    r_total: Real,
    *,
    penetration: Real | None = None,
) -> Array:
    """Correction for metal fasteners through an insulating layer.

    Parameters
    ----------
    section : float or array
        Cross-section of one fastener. [m²]
    conductivity : float or array
        Conductivity of the fastener: steel 50, stainless 17. [W/(m·K)]
    per_m2 : float or array
        Number of fasteners. [1/m²]
    layer_thickness : float or array
        Thickness d₀ of the layer with the fasteners. [m]
    r_layer : float or array
        Resistance R₁ of the layer, or of the part of it that recessed fasteners penetrate. [m²·K/W]
    r_total : float or array
        Total resistance without bridging. [m²·K/W]
    penetration : float or array, optional
        Length d₁ of fastener within the layer where it is recessed; None where it penetrates fully. [m]

    Returns
    -------
    array
        ΔU_f = α·λ_f·A_f·n_f/d₀·(R₁/R_T)², α = 0.8, or 0.8·d₁/d₀ for a recessed one. [W/(m²·K)]

    Raises
    ------
    OutOfRange
        If a quantity is out of range, or the penetration longer than an eighth over the layer (set obliquely).

    Notes
    -----
    No correction where the fastener or a part of it conducts under 1 W/(m·K), or crosses an empty cavity.

    References
    ----------
    [ISO6946:2017] Annex F.3.2, equations F.3 and F.4 as the check values quote them, with d₀ below the line; from
    memory some copies have d₁ there, which differs for recessed fasteners only.
    """
    d0 = positive("The thickness of the layer", layer_thickness)
    d1 = d0 if penetration is None else positive("The penetration", penetration)
    alpha = 0.8 * np.minimum(d1 / d0, 1.0)
    lam = not_negative("A conductivity", conductivity)
    lam = np.where(lam < 1.0, 0.0, lam)
    r1, rt = not_negative("The resistance of the layer", r_layer), positive("The total resistance", r_total)
    count = not_negative("The number of fasteners", per_m2)
    area = not_negative("A section", section)
    return out(alpha * lam * area * count / d0 * (r1 / rt) ** 2)


def inverted_roof_correction(
    rain_mm_per_day: Real, r_layer: Real, r_total: Real, *, drainage_factor: Real = 0.04
) -> Array:
    """Correction for rain that runs between insulation and membrane of an inverted roof.

    Parameters
    ----------
    rain_mm_per_day : float or array
        Mean precipitation in the heating season. [mm/day]
    r_layer : float or array
        Resistance of the insulation above the membrane. [m²·K/W]
    r_total : float or array
        Total resistance without the correction. [m²·K/W]
    drainage_factor : float or array
        f·x, share of the rain that reaches the membrane times the loss factor; 0.04 for one layer of butted boards
        under open gravel. [W·day/(m²·K·mm)]

    Returns
    -------
    array
        ΔU_r = p·f·x·(R₁/R_T)². [W/(m²·K)]

    References
    ----------
    [ISO6946:2017] Annex F.4, equation F.5.
    """
    p = not_negative("The rain", rain_mm_per_day)
    r1, rt = not_negative("The resistance of the layer", r_layer), positive("The total resistance", r_total)
    return out(p * arr(drainage_factor) * (r1 / rt) ** 2)


def corrected_u(u: Real, *corrections: Real) -> Array:
    """Transmittance with corrections added. [W/(m²·K)]

    Corrections are always added here, also below the 3 % under which the standard lets them go: leaving them out can
    only flatter. [ISO6946:2017] 7, equation 12.
    """
    total = arr(u)
    for correction in corrections:
        total = np.asarray(total + not_negative("A correction", correction))
    return out(total)


def check_corrections(u: float, *corrections: float) -> tuple[Finding, ...]:
    """Note where the corrections are below the 3 % the standard lets go. [ISO6946:2017] 7."""
    share = sum(corrections) / u
    if 0.0 < share < NEGLIGIBLE_SHARE:
        return (Finding.of("heat.correction-small", Weight.NOTE, (), "ISO6946:2017 7", share=Share(share)),)
    return ()
