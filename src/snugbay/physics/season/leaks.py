"""A year's heat in leaking air, and what sealing each item is worth."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.special import ndtri

from snugbay.base import Finding, OutOfRange, Said, Weight
from snugbay.base.facts import Area
from snugbay.physics._num import Array, Real, arr
from snugbay.physics.air.infiltration import infiltration_basic
from snugbay.physics.air.leaks import EXPONENT, RHO_C, in_series
from snugbay.physics.climate.places import wind_of
from snugbay.physics.climate.values import DAYS, Climate
from snugbay.physics.season.monthly import SeasonHeat, base_temperature

_X, _W = np.polynomial.laguerre.laggauss(12)
_Z: Final = ndtri((np.arange(1, 201) - 0.5) / 200)

FlowOf = Callable[[Array, Array], Array]
"""Infiltration [m³/s] of a house at a temperature difference [K] and a wind at the station [m/s]."""

TABLE_SPREAD: Final = 2.0
"""Component leakage areas of tables scatter by a factor of about two either way. (assumption)"""


def leak_heating(
    climate: Climate, flow: FlowOf, *, set_point_c: float = 20.0, base_c: float | None = None
) -> SeasonHeat:
    """Heat that leaking air costs in a year.

    Parameters
    ----------
    climate : Climate
        Place.
    flow : callable
        Flow of the house at arrays of temperature difference [K] and wind [m/s]; see `basic_flow`.
    set_point_c, base_c : float
        As for `heating`.

    Returns
    -------
    SeasonHeat
        Σ ρ·c·Q(ΔT, v)·ΔT while the heating runs, over the law of daily means (200 plotting positions) and a Rayleigh
        law of wind (12 Gauss-Laguerre points), since flow and difference rise together and the mean of a root is no
        root of a mean.
    """
    n = climate.normals
    base = float(base_temperature(set_point_c)) if base_c is None else base_c
    days = n.t[:, None] + n.spread[:, None] * _Z
    gap = set_point_c - days
    wind = wind_of(n)[:, None] * np.sqrt(4.0 / np.pi * _X)
    q = (arr(flow(gap[:, :, None], wind[:, None, :])) * _W).sum(axis=-1)
    power = RHO_C * q * gap * (days < base)
    kwh = 0.024 * DAYS * power.mean(axis=-1)
    return SeasonHeat(np.asarray(kwh), arr(base))


def basic_flow(leakage_area: float, *, storeys: float = 1.0, shielding: int = 3) -> FlowOf:
    """Flow of a house by the basic model, for `leak_heating`. Leakage area at 4 Pa. [m²]"""

    def flow(gap: Array, wind: Array) -> Array:
        return infiltration_basic(leakage_area, gap, wind, storeys=storeys, shielding=shielding)

    return flow


@dataclass(frozen=True)
class SealItem:
    """Something that can be sealed.

    Attributes
    ----------
    name : str
        What it is.
    before, after : float
        Effective leakage area at 4 Pa before and after. [m²]
    outer : float, optional
        Leakage area between the space behind it and the outside; infinite (None) where it leads straight out. [m²]
    """

    name: str
    before: float
    after: float
    outer: float | None = None


@dataclass(frozen=True)
class SealValue:
    """What sealing one item brings.

    Attributes
    ----------
    item : SealItem
        The item.
    area : float
        Leakage area taken away, the space behind counted. [m²]
    share : float
        Of the house's leakage area. [-]
    kwh, kwh_low, kwh_high : float
        Heat saved in a year, and with table figures half and double. [kWh]
    """

    item: SealItem
    area: float
    share: float
    kwh: float
    kwh_low: float
    kwh_high: float


@dataclass(frozen=True)
class Sealing:
    """What sealing brings, item by item.

    Attributes
    ----------
    values : tuple of SealValue
        In the order given.
    house_kwh : float
        Heat that leaks of the whole house cost in a year. [kWh]
    findings : tuple of Finding
        Where items claim more than the house has.
    """

    values: tuple[SealValue, ...]
    house_kwh: float
    findings: tuple[Finding, ...] = ()


def sealing_value(
    climate: Climate,
    items: Sequence[SealItem],
    house_area: float,
    *,
    measured: bool = False,
    storeys: float = 1.0,
    shielding: int = 3,
    set_point_c: float = 20.0,
    base_c: float | None = None,
    exponent: Real = EXPONENT,
) -> Sealing:
    """Worth of sealing each item of a house.

    Parameters
    ----------
    climate : Climate
        Place.
    items : sequence of SealItem
        What can be sealed.
    house_area : float
        Effective leakage area of the whole house at 4 Pa, from a blower door or summed from components. [m²]
    measured : bool
        Whether it was measured; then items may not claim more than it.
    storeys, shielding, set_point_c, base_c
        As for `infiltration_basic` and `heating`.
    exponent : float
        Flow exponent of leaks in series. [-]

    Returns
    -------
    Sealing
        The basic model is linear in the area, so items add up; low and high halve and double the table's areas, held to
        the house's own where it was measured.

    Raises
    ------
    OutOfRange
        If an area is negative, grows, or the house has none.
    """
    if not house_area > 0:
        raise OutOfRange("The house has no leakage area.", hint="Sum its components or give a blower-door figure.")
    per_m2 = float(
        leak_heating(
            climate, basic_flow(1.0, storeys=storeys, shielding=shielding), set_point_c=set_point_c, base_c=base_c
        ).kwh
    )
    areas = [_taken_away(item, exponent) for item in items]
    claimed = sum(areas)
    found: tuple[Finding, ...] = ()
    scale = 1.0
    if claimed > house_area:
        if measured:
            scale = house_area / claimed
        found = (
            Finding.of(
                "season.seals-exceed-house",
                Weight.NOTE,
                (),
                claimed=Area(claimed),
                house=Area(house_area),
                then=Said.of("season.said.scaled-down") if measured else Said.of("season.said.house-too-low"),
            ),
        )
    values = []
    for item, raw in zip(items, areas, strict=True):
        area = raw * scale
        most = min(area * TABLE_SPREAD, house_area) if measured else area * TABLE_SPREAD
        values.append(
            SealValue(
                item, area, area / house_area, area * per_m2, area / TABLE_SPREAD * per_m2, max(most, area) * per_m2
            )
        )
    return Sealing(tuple(values), house_area * per_m2, found)


def _taken_away(item: SealItem, exponent: Real) -> float:
    if not 0 <= item.after <= item.before:
        raise OutOfRange(f"Sealing {item.name!r} would not lessen its leakage.", hint="Give before and after in m².")
    if item.outer is None:
        return item.before - item.after
    return float(in_series(item.before, item.outer, exponent)) - float(in_series(item.after, item.outer, exponent))
