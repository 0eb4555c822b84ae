"""Fuels: heat content, efficiency, carbon; heat into units bought, money and carbon."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from snugbay.base import UnknownName, Where
from snugbay.materials import fuel as fuel_row
from snugbay.physics._num import Array, Real, arr, out, positive
from snugbay.physics._tables import rows_of
from snugbay.physics.units import BTU_J, KWH_J


@dataclass(frozen=True)
class Fuel:
    """A fuel and the plant that burns it.

    Attributes
    ----------
    name, unit : str
        Name of the row and the unit it is sold by.
    kwh_per_unit : float
        Gross heat content of one unit. [kWh]
    efficiency_low, efficiency, efficiency_high : float
        Seasonal efficiency (heat pump: performance factor). [-]
    carbon_kg_per_kwh : float
        Carbon dioxide for one kWh of heat content. [kg/kWh]
    """

    name: str
    unit: str
    kwh_per_unit: float
    efficiency_low: float
    efficiency: float
    efficiency_high: float
    carbon_kg_per_kwh: float


COUNTRY = "USD"
"""Rows of the fuels table that give efficiency and carbon; electricity's carbon is that country's mean mix."""


@cache
def fuels() -> MappingProxyType[str, Fuel]:
    """All fuels by name: heat contents of the room's own table, efficiency and carbon of the materials' fuels table."""
    return MappingProxyType({r["fuel"]: _fuel(r) for r in rows_of("physics", "fuels.csv")})


def _fuel(r: Mapping[str, str]) -> Fuel:
    per_unit = float(r["btu_per_unit"]) * BTU_J / KWH_J
    row = fuel_row(r["like"], COUNTRY)
    return Fuel(r["fuel"], r["unit"], per_unit, row.efficiency_low, row.efficiency, row.efficiency_high, row.carbon)


def fuel(name: str, *, where: Where = ("place", "fuel")) -> Fuel:
    """One fuel by name.

    Raises
    ------
    UnknownName
        If the table has no such fuel.
    """
    table = fuels()
    if name not in table:
        raise UnknownName(f"There is no fuel {name!r}.", where=where, hint=f"Fuels: {', '.join(sorted(table))}.")
    return table[name]


def delivered_kwh(heat_kwh: Real, efficiency: Real) -> Array:
    """Energy bought for an amount of useful heat, heat/efficiency. [kWh]

    Raises ``OutOfRange`` if an efficiency is not above zero.
    """
    return out(arr(heat_kwh) / positive("An efficiency", efficiency))


def units_bought(heat_kwh: Real, of: Fuel, efficiency: Real | None = None) -> Array:
    """Units of a fuel (therm, gal, kWh) for an amount of useful heat [kWh]; typical efficiency if None is given."""
    eff = of.efficiency if efficiency is None else efficiency
    return out(arr(delivered_kwh(heat_kwh, eff)) / of.kwh_per_unit)


def cost(heat_kwh: Real, price_per_unit: Real, of: Fuel, efficiency: Real | None = None) -> Array:
    """Money for an amount of useful heat. [currency of the price] ``price_per_unit`` is for one of the fuel's units."""
    return out(arr(units_bought(heat_kwh, of, efficiency)) * arr(price_per_unit))


def carbon_kg(heat_kwh: Real, of: Fuel, efficiency: Real | None = None) -> Array:
    """Carbon dioxide for an amount of useful heat. [kg]"""
    eff = of.efficiency if efficiency is None else efficiency
    return out(arr(delivered_kwh(heat_kwh, eff)) * of.carbon_kg_per_kwh)
