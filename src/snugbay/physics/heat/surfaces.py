"""Surface resistances by direction of heat flow, and unheated roof spaces taken as a layer."""

from __future__ import annotations

from enum import StrEnum
from typing import Final

import numpy as np

from snugbay.physics._num import Array, Real, arr, need, out, positive

RSE: Final = 0.04
"""External surface resistance. [m²·K/W] [ISO6946:2017] 6.8, Table 7."""

SURFACE_EMISSIVITY: Final = 0.9
RADIATIVE_BLACK_10C: Final = 5.1
"""Black-body radiative coefficient at 10 °C. [W/(m²·K)] [ISO6946:2017] Annex C."""
STEFAN_BOLTZMANN: Final = 5.670374419e-8
"""[W/(m²·K⁴)]"""


class HeatFlow(StrEnum):
    """Direction of heat flow through a part."""

    UP = "up"
    HORIZONTAL = "horizontal"
    DOWN = "down"


RSI: Final = {HeatFlow.UP: 0.10, HeatFlow.HORIZONTAL: 0.13, HeatFlow.DOWN: 0.17}
"""Internal surface resistance by direction. [m²·K/W] [ISO6946:2017] 6.8, Table 7."""

FRONT: Final = {"drawers": 1.0, "cupboard": 0.75}
"""Surface resistance behind closed built-in furniture, in place of the room's film. [m²·K/W] DIN 4108-8 practice, from
memory, not found by search: 1.0 behind built-in, 0.5 behind free-standing cupboards; doors between them (assumption).
With drawers a plywood box in a space at 35 °F and rooms at 68 °F comes to 42 °F; 41.5 was read (common practice, no
source)."""

HORIZONTAL_WITHIN_DEG: Final = 30.0
"""The value for horizontal flow holds while the flow is within 30° of the horizontal. [ISO6946:2017] Table 7."""

INTERNAL_CONVECTIVE: Final = {HeatFlow.UP: 5.0, HeatFlow.HORIZONTAL: 2.5, HeatFlow.DOWN: 0.7}
"""Internal convective coefficient. [W/(m²·K)] [ISO6946:2017] Annex C."""

UNHEATED_ROOF_SPACE: Final = {
    "tiled_no_lining": 0.06,
    "sheeted_or_tiled_with_felt_or_boards": 0.2,
    "as_2_with_low_emissivity_lining": 0.3,
    "lined_with_boards_and_felt": 0.3,
}
"""Resistance of a roof space and its roof, without the external surface. [m²·K/W] [ISO6946:2017] 6.10.2, table."""


def flow_through(slope_deg: float, *, warm_side_below: bool = True) -> HeatFlow:
    """Direction of heat flow through a plane of a given slope.

    Parameters
    ----------
    slope_deg : float
        Angle of the plane to the horizontal: 0 a floor or ceiling, 90 a wall. [deg]
    warm_side_below : bool
        Whether the warm side is the lower one (a ceiling or roof in winter); for a plane of 90° it does not matter.

    Returns
    -------
    HeatFlow
        Horizontal for slopes of 60° and more, since the flow is then within 30° of the horizontal.

    Raises
    ------
    OutOfRange
        If the slope is outside 0..90°.

    References
    ----------
    [ISO6946:2017] 6.8, Table 7.
    """
    need(0.0 <= slope_deg <= 90.0, f"A slope of {slope_deg:g}° is outside 0 to 90.", hint="Measure from the level.")
    if slope_deg >= 90.0 - HORIZONTAL_WITHIN_DEG:
        return HeatFlow.HORIZONTAL
    return HeatFlow.UP if warm_side_below else HeatFlow.DOWN


def surface_resistance(flow: HeatFlow | str, *, sheltered: bool = True) -> float:
    """Conventional surface resistance.

    Parameters
    ----------
    flow : HeatFlow
        Direction of heat flow.
    sheltered : bool
        True for a surface facing a room, an unheated space or a well ventilated layer (internal value of the
        direction); False for a surface facing the weather (0.04).

    Returns
    -------
    float
        Surface resistance. [m²·K/W]

    References
    ----------
    [ISO6946:2017] 6.8, Table 7; 6.9.4 for well ventilated layers.
    """
    return RSI[HeatFlow(flow)] if sheltered else RSE


def radiative_black(mean_temp_c: Real) -> Array:
    """Black-body radiative coefficient 4·σ·T³ at a mean temperature.

    Parameters
    ----------
    mean_temp_c : float or array
        Mean temperature of the surface and its surroundings. [°C]

    Returns
    -------
    array
        Coefficient, 5.1 at 10 °C. [W/(m²·K)]

    References
    ----------
    [ISO6946:2017] Annex C.
    """
    return out(4.0 * STEFAN_BOLTZMANN * (arr(mean_temp_c) + 273.15) ** 3)


def surface_resistance_from(
    flow: HeatFlow | str, *, emissivity: Real = SURFACE_EMISSIVITY, mean_temp_c: Real = 20.0
) -> Array:
    """Internal surface resistance from convection and radiation, for bright or unusual surfaces.

    Parameters
    ----------
    flow : HeatFlow
        Direction of heat flow.
    emissivity : float or array
        Hemispherical emissivity of the surface. [-]
    mean_temp_c : float or array
        Mean temperature of the surface and what it sees. [°C]

    Returns
    -------
    array
        Surface resistance 1/(h_c + ε·h_r0). [m²·K/W]

    Raises
    ------
    OutOfRange
        If an emissivity is outside 0..1.

    References
    ----------
    [ISO6946:2017] Annex C, equations C.1 to C.3.
    """
    e = arr(emissivity)
    need(~((e < 0) | (e > 1)), "An emissivity is outside 0 to 1.", hint="Plaster and wood 0.9, clean foil 0.05.")
    return out(1.0 / (INTERNAL_CONVECTIVE[HeatFlow(flow)] + e * radiative_black(mean_temp_c)))


def external_surface_resistance(
    wind: Real, *, emissivity: Real = SURFACE_EMISSIVITY, mean_temp_c: Real = 10.0
) -> Array:
    """External surface resistance at a wind speed; 0.04 is the convention for 4 m/s.

    Parameters
    ----------
    wind : float or array
        Wind speed next to the surface. [m/s]
    emissivity, mean_temp_c : float or array
        As for `surface_resistance_from`.

    Returns
    -------
    array
        1/(4 + 4·v + ε·h_r0). [m²·K/W]

    References
    ----------
    [ISO6946:2017] Annex C, equation C.4 (h_ce = 4 + 4v).
    """
    v = arr(wind)
    need(~(v < 0), "A wind speed is negative.")
    return out(1.0 / (4.0 + 4.0 * v + arr(emissivity) * radiative_black(mean_temp_c)))


def uniform_resistance(thickness: Real, conductivity: Real) -> Array:
    """Resistance d/λ of a uniform layer.

    Parameters
    ----------
    thickness : float or array
        Thickness. [m]
    conductivity : float or array
        Design conductivity. [W/(m·K)]

    Returns
    -------
    array
        Resistance. [m²·K/W]

    Raises
    ------
    OutOfRange
        If a thickness is negative or a conductivity not above zero.

    References
    ----------
    [ISO6946:2017] 6.7.1.1, equation 3.
    """
    d = arr(thickness)
    need(~(d < 0), "A thickness is negative.")
    return out(np.divide(d, positive("A conductivity", conductivity)))
