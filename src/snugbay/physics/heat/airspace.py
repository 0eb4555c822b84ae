"""Air layers: still, slightly ventilated and well ventilated."""

from __future__ import annotations

from typing import Final

import numpy as np

from snugbay.base import Finding, OutOfRange, Weight
from snugbay.base.facts import Length
from snugbay.physics._num import Array, Real, arr, largest, need, out, smallest
from snugbay.physics.heat.surfaces import RADIATIVE_BLACK_10C, HeatFlow

TABLE_THICKNESS: Final = (0.0, 0.005, 0.007, 0.010, 0.015, 0.025, 0.050, 0.100, 0.300)
"""Thicknesses of the table. [m]"""

TABLE: Final = {
    HeatFlow.UP: (0.0, 0.11, 0.13, 0.15, 0.16, 0.16, 0.16, 0.16, 0.16),
    HeatFlow.HORIZONTAL: (0.0, 0.11, 0.13, 0.15, 0.17, 0.18, 0.18, 0.18, 0.18),
    HeatFlow.DOWN: (0.0, 0.11, 0.13, 0.15, 0.17, 0.19, 0.21, 0.22, 0.23),
}
"""Resistance of an unventilated air layer between ordinary surfaces. [m²·K/W] [ISO6946:2017] Table 8."""

AIR_CONDUCTIVITY: Final = 0.025
UNVENTILATED_MM2_PER_M: Final = 500.0
WELL_VENTILATED_MM2_PER_M: Final = 1500.0


def airspace_table(thickness: Real, flow: HeatFlow | str) -> Array:
    """Resistance of an unventilated air layer with ordinary surfaces (ε ≥ 0.8), from the table.

    Parameters
    ----------
    thickness : float or array
        Thickness in the direction of heat flow, interpolated linearly. [m]
    flow : HeatFlow
        Direction of heat flow.

    Returns
    -------
    array
        Resistance; NaN where the thickness is NaN. [m²·K/W]

    Raises
    ------
    OutOfRange
        If a thickness is negative or above 0.3 m: beyond that it is a space, with its own heat balance.

    References
    ----------
    [ISO6946:2017] 6.9.2, Table 8.
    """
    d = arr(thickness)
    need(
        ~((d < 0) | (d > 0.3)),
        "An air layer of the table is 0 to 300 mm thick.",
        hint="Treat a deeper space as a buffer space.",
    )
    return out(np.where(np.isnan(d), np.nan, np.interp(d, TABLE_THICKNESS, TABLE[HeatFlow(flow)])))


def airspace_convection(thickness: Real, flow: HeatFlow | str, temp_drop: Real = 5.0) -> Array:
    """Conduction and convection coefficient of an air layer.

    Parameters
    ----------
    thickness : float or array
        Thickness. [m]
    flow : HeatFlow
        Direction of heat flow.
    temp_drop : float or array
        Temperature difference across the layer. [K]

    Returns
    -------
    array
        h_a. [W/(m²·K)]

    Notes
    -----
    Up to 5 K: 1.25 (horizontal), 1.95 (up), 0.12·d^−0.44 (down), never under 0.025/d. Above 5 K: 0.73·ΔT^⅓,
    1.14·ΔT^⅓, 0.09·ΔT^0.187·d^−0.44.

    References
    ----------
    [ISO6946:2017] Annex D, Tables D.1 and D.2 (coefficients above 5 K from memory).
    """
    d, dt = arr(thickness), np.abs(arr(temp_drop))
    need(~(d < 0), "A thickness is negative.")
    with np.errstate(divide="ignore"):
        still = AIR_CONDUCTIVITY / d
        match HeatFlow(flow):
            case HeatFlow.HORIZONTAL:
                moving = np.where(dt <= 5.0, 1.25, 0.73 * np.cbrt(dt))
            case HeatFlow.UP:
                moving = np.where(dt <= 5.0, 1.95, 1.14 * np.cbrt(dt))
            case HeatFlow.DOWN:
                moving = np.where(dt <= 5.0, 0.12, 0.09 * dt**0.187) * d**-0.44
    return out(np.maximum(np.where(np.isnan(dt), np.nan, moving), still))


def airspace(
    thickness: Real,
    flow: HeatFlow | str,
    *,
    emissivities: tuple[Real, Real] = (0.9, 0.9),
    temp_drop: Real = 5.0,
    black_coefficient: Real = RADIATIVE_BLACK_10C,
    width: Real | None = None,
) -> Array:
    """Resistance of an unventilated air layer by the general formula, any emissivities.

    Parameters
    ----------
    thickness : float or array
        Thickness in the direction of heat flow. [m]
    flow : HeatFlow
        Direction of heat flow.
    emissivities : pair of float or array
        Hemispherical emissivities of the two surfaces; ordinary 0.9, clean foil 0.05. [-]
    temp_drop : float or array
        Temperature difference across the layer; the usual coefficients hold to 5 K. [K]
    black_coefficient : float or array
        Radiative coefficient of black surfaces, 5.1 at 10 °C; see `radiative_black`. [W/(m²·K)]
    width : float or array, optional
        Width of the space for spaces narrower than ten times their thickness (small voids); None for a layer. [m]

    Returns
    -------
    array
        Resistance, 0 for thickness 0. [m²·K/W]

    Raises
    ------
    OutOfRange
        If a thickness is negative or an emissivity outside 0..1.

    References
    ----------
    [ISO6946:2017] Annex D: D.2 for layers, D.4 (equation D.6) for small voids.
    """
    e1, e2 = (arr(e) for e in emissivities)
    for e in (e1, e2):
        need(~((e < 0) | (e > 1)), "An emissivity is outside 0 to 1.", hint="Ordinary 0.9, clean foil 0.05.")
    d = arr(thickness)
    with np.errstate(divide="ignore", invalid="ignore"):
        exchange = 1.0 / e1 + 1.0 / e2 - 1.0
        if width is None:
            radiative = arr(black_coefficient) / exchange
        else:
            ratio = d / arr(width)
            shape = 2.0 / (1.0 + np.sqrt(1.0 + ratio**2) - ratio)
            radiative = arr(black_coefficient) / (exchange - 1.0 + shape)
        r = 1.0 / (airspace_convection(d, flow, temp_drop) + radiative)
    return out(np.where(d == 0.0, 0.0, r))


def slightly_ventilated(opening_mm2_per_m: Real, r_unventilated: Real, r_ventilated: Real) -> Array:
    """Total resistance of a part with an air layer open to the outside through small openings.

    Parameters
    ----------
    opening_mm2_per_m : float or array
        Area of openings, per metre of length for vertical layers or per m² for others. [mm²/m]
    r_unventilated : float or array
        Total resistance with the layer taken as still. [m²·K/W]
    r_ventilated : float or array
        Total resistance with the layer taken as well ventilated: nothing counted beyond it, film of still air. [m²·K/W]

    Returns
    -------
    array
        Still below 500, interpolated to 1500, well ventilated above. [m²·K/W]

    References
    ----------
    [ISO6946:2017] 6.9.3, equation 11 (the 1996 edition halved the resistance instead).
    """
    a = arr(opening_mm2_per_m)
    need(~(a < 0), "An area of openings is negative.")
    share = (a - UNVENTILATED_MM2_PER_M) / (WELL_VENTILATED_MM2_PER_M - UNVENTILATED_MM2_PER_M)
    share = np.minimum(np.maximum(share, 0.0), 1.0)
    return out((1.0 - share) * arr(r_unventilated) + share * arr(r_ventilated))


def ventilation_of_layer(opening_mm2_per_m: float) -> str:
    """Name the class of an air layer by its openings: ``still``, ``slight`` or ``well``.

    References
    ----------
    [ISO6946:2017] 6.9.2 to 6.9.4 (500 and 1500 mm² a metre).
    """
    if opening_mm2_per_m < 0 or np.isnan(opening_mm2_per_m):
        raise OutOfRange("The area of openings must be zero or more.")
    if opening_mm2_per_m <= UNVENTILATED_MM2_PER_M:
        return "still"
    return "slight" if opening_mm2_per_m <= WELL_VENTILATED_MM2_PER_M else "well"


def check_airspace(thickness: Real, emissivities: tuple[Real, Real] = (0.9, 0.9)) -> tuple[Finding, ...]:
    """Findings on an air layer that lies outside what the formula or the surface allows.

    Parameters
    ----------
    thickness : float or array
        Thickness. [m]
    emissivities : pair of float or array
        Emissivities of the two surfaces. [-]

    Returns
    -------
    tuple of Finding
        Layers above 300 mm (a space); bright surfaces, which only count while they stay clean and dry.
    """
    found = []
    thick = largest(thickness)
    if thick > 0.3:
        found.append(Finding.of("heat.airspace-deep", Weight.WARN, (), "ISO6946:2017 6.9.1", thick=Length(thick)))
    low = min(smallest(e, 1.0) for e in emissivities)
    if low < 0.2:
        found.append(Finding.of("heat.foil-clean", Weight.NOTE, (), "ISO6946:2017 Annex D"))
    return tuple(found)
