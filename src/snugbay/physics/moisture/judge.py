"""Judging condensate against what it gathers on, and how much drying is in reserve."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from snugbay.base import Finding, Said, Weight
from snugbay.base.facts import MassPerArea, Number, Share
from snugbay.physics._num import Array, Real, arr, need, out
from snugbay.physics.moisture.air import saturation_pressure, vapour_concentration
from snugbay.physics.moisture.glaser import DAY_S, DAYS_365, MoistureYear
from snugbay.physics.moisture.strips import (
    plane_temperatures,
    positions_of,
    pressure_profile,
    saturation_limits,
    strips,
)

LIMIT_ABSORBING: Final = 1.0
LIMIT_RUNS_OFF: Final = 0.5
"""Greatest condensate where a side absorbs, and where neither does (it runs off). [kg/m²] DIN 4108-3, from memory."""

WOOD_RISE: Final = 0.05
WOOD_BASED_RISE: Final = 0.03
"""Greatest rise of moisture content by mass. [-] DIN 4108-3, from memory."""

RESERVE_WALL: Final = 0.10
RESERVE_ROOF: Final = 0.25
"""Drying reserve wanted in wooden parts for what air leaks bring. [kg/(m²·a)] DIN 68800-2, from memory."""


def judge_condensate(
    year: MoistureYear,
    *,
    absorbing: bool,
    wood_kg_m2: float | None = None,
    wood_based: bool = False,
) -> tuple[Finding, ...]:
    """Findings on the year's greatest condensate, beyond whether it dries.

    Parameters
    ----------
    year : MoistureYear
        The year.
    absorbing : bool
        Whether a material beside the wet plane takes up water (wood, masonry, gypsum); foil, foam and metal do not.
    wood_kg_m2 : float, optional
        Mass of the wood or panel that takes up the water. [kg/m²]
    wood_based : bool
        Whether it is a panel (plywood, OSB, chipboard) rather than solid wood.

    Returns
    -------
    tuple of Finding
        Empty where all limits hold. Limits from memory of DIN 4108-3.
    """
    if not year.condenses:
        return ()
    found = []
    limit = LIMIT_ABSORBING if absorbing else LIMIT_RUNS_OFF
    if year.peak > limit:
        found.append(
            Finding.of(
                "moisture.too-much",
                Weight.STOP,
                (),
                "DIN 4108-3, from memory",
                peak=MassPerArea(year.peak),
                limit=Number(limit),
                where=Said.of("moisture.said.beside-absorbing-material")
                if absorbing
                else Said.of("moisture.said.where-nothing-takes-it-up"),
            )
        )
    if wood_kg_m2:
        rise, most = year.peak / wood_kg_m2, WOOD_BASED_RISE if wood_based else WOOD_RISE
        if rise > most:
            found.append(
                Finding.of(
                    "moisture.wood-wet",
                    Weight.STOP,
                    (),
                    "DIN 4108-3, from memory",
                    what=Said.of("moisture.said.panel") if wood_based else Said.of("moisture.said.wood"),
                    rise=Share(rise),
                    most=Share(most),
                )
            )
    return tuple(found)


@dataclass(frozen=True)
class DryingReserve:
    """How much a wetted plane could dry in a year beyond what condenses there.

    Attributes
    ----------
    plane : int
        The plane.
    condenses, evaporates : float
        Sums over the months of each sign, the plane held wet all year. [kg/(m²·a)]
    findings : tuple of Finding
        Set where the reserve is under what is wanted.
    """

    plane: int
    condenses: float
    evaporates: float
    findings: tuple[Finding, ...] = ()

    @property
    def reserve(self) -> float:
        """Evaporates less condenses. [kg/(m²·a)]"""
        return self.evaporates - self.condenses


def drying_reserve(
    layers: Sequence[tuple[float, float]],
    outside_c: Array,
    outdoor_pa: Array,
    indoor_pa: Array,
    *,
    after_layer: int,
    inside_c: Real = 20.0,
    rsi: float = 0.13,
    rse: float = 0.04,
    wanted: float = RESERVE_WALL,
) -> DryingReserve:
    """Drying of a plane that is held wet through the year, as after a leak or from air that seeps in.

    Parameters
    ----------
    layers, outside_c, outdoor_pa, indoor_pa, inside_c, rsi, rse
        As for `condensation_year`.
    after_layer : int
        The plane is on the outer side of this layer, 0 the innermost.
    wanted : float
        Reserve wanted: 0.10 walls, 0.25 roofs. [kg/(m²·a)]

    Returns
    -------
    DryingReserve

    Raises
    ------
    OutOfRange
        If the layer is not one with another outside of it.
    """
    cut = strips(layers)
    nodes = positions_of(cut)
    need(0 <= after_layer < len(layers) - 1, f"Layer {after_layer} has no plane on its outer side.")
    edge = int(np.flatnonzero(cut.layer == after_layer)[-1]) + 1
    plane = next(i for i, g in enumerate(nodes.share) if edge in g)
    need(0 < plane < len(nodes.x) - 1, "There is no vapour resistance on one side of that plane; it dries at once.")
    te, pe, pi = (arr(v) for v in (outside_c, outdoor_pa, indoor_pa))
    limits = saturation_limits(nodes, plane_temperatures(cut, np.broadcast_to(arr(inside_c), (12,)), te, rsi, rse))
    wet = np.zeros(len(nodes.x), dtype=bool)
    wet[plane] = True
    flows = (
        arr([pressure_profile(nodes.x, limits[m], (pi[m], pe[m]), wet)[1][plane] for m in range(12)]) * DAYS_365 * DAY_S
    )
    gain, loss = float(flows[flows > 0].sum()), float(-flows[flows < 0].sum())
    found: tuple[Finding, ...] = ()
    if loss - gain < wanted:
        found = (
            Finding.of(
                "moisture.little-drying",
                Weight.WARN,
                (),
                "DIN 68800-2, from memory",
                dries=MassPerArea(max(loss - gain, 0.0)),
                wanted=Number(wanted),
            ),
        )
    return DryingReserve(plane, gain, loss, found)


def seepage_condensate(air_flow: Real, inside_c: Real, indoor_pa: Real, plane_c: Real, seconds: Real) -> Array:
    """Water left by room air that seeps through a part and cools to the temperature of a plane.

    Parameters
    ----------
    air_flow : float or array
        Air through the part. [m³/(m²·s)]
    inside_c, indoor_pa : float or array
        Room air. [°C], [Pa]
    plane_c : float or array
        Temperature of the coldest plane it passes. [°C]
    seconds : float or array
        Duration. [s]

    Returns
    -------
    array
        q·(v_i − v_sat(T))·t, zero where the plane is above the dew point. [kg/m²]
    """
    v_in = arr(vapour_concentration(inside_c, indoor_pa))
    v_out = arr(vapour_concentration(plane_c, saturation_pressure(plane_c)))
    return out(arr(air_flow) * np.maximum(v_in - v_out, 0.0) * arr(seconds))
