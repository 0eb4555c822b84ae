"""Materials, boards and fuels."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache

from snugbay.base import UnknownName
from snugbay.materials.tables import number, rows


@dataclass(frozen=True)
class Material:
    """A material of the thermal envelope.

    Attributes
    ----------
    key, name : str
        Key of the row and name for people.
    conductivity_low, conductivity, conductivity_high : float or None
        At use; None for air layers. [W/(m·K)]
    density : float
        [kg/m³]
    heat_capacity : float
        [J/(kg·K)]
    mu : float or None
        Vapour resistance factor; None for sheets that state ``sd``. [-]
    sd : float or None
        Vapour diffusion thickness of facer or sheet. [m]
    kind : str
        solid, board, fibre, foam, air, sheet.
    source, status : str
        Where the figures come from.
    """

    key: str
    name: str
    conductivity_low: float | None
    conductivity: float | None
    conductivity_high: float | None
    density: float
    heat_capacity: float
    mu: float | None
    sd: float | None
    kind: str
    source: str
    status: str

    def sd_of(self, thickness: float) -> float:
        """Vapour diffusion thickness of a layer: both facers, or mu times thickness. [m]"""
        if self.sd is not None:
            return self.sd
        return (self.mu or 1.0) * thickness


@dataclass(frozen=True)
class Board:
    """A board as sold.

    Attributes
    ----------
    key, name : str
        Key of the row and name for people.
    material : str
        Material key.
    thickness, width, length : float
        [m]
    currency : str
        Of the prices.
    price_low, price, price_high : float
        One sheet.
    weight : float
        [kg/m²]
    thickness_tolerance, size_tolerance : float
        Half-width of the tolerance. [m]
    source, status : str
        Where the figures come from.
    """

    key: str
    name: str
    material: str
    thickness: float
    width: float
    length: float
    currency: str
    price_low: float
    price: float
    price_high: float
    weight: float
    thickness_tolerance: float
    size_tolerance: float
    source: str
    status: str


@dataclass(frozen=True)
class FuelRow:
    """A fuel of the table: price per kWh delivered with spread, efficiency with spread, carbon [kg/kWh]."""

    key: str
    name: str
    currency: str
    price_low: float
    price: float
    price_high: float
    efficiency_low: float
    efficiency: float
    efficiency_high: float
    carbon: float
    source: str
    status: str


FEW = 12
"""So many names are all listed to somebody who wrote another one, of more the close ones. [-]"""


def _unknown(what: str, key: str, keys: Iterable[str]) -> UnknownName:
    names = sorted(set(keys))
    close = get_close_matches(key, names, n=3, cutoff=0.4)
    if len(names) <= FEW or not close:
        return UnknownName(f"There is no {what} {key!r}.", hint=f"Names: {', '.join(names)}.")
    return UnknownName(f"There is no {what} {key!r}.", hint="Did you mean: " + ", ".join(close) + "?")


@cache
def materials() -> tuple[Material, ...]:
    """Return all materials of the table."""
    return tuple(
        Material(
            r["key"],
            r["name"],
            number(r, "lambda_low"),
            number(r, "lambda_w_mk"),
            number(r, "lambda_high"),
            float(r["density_kg_m3"]),
            float(r["heat_capacity_j_kgk"]),
            number(r, "mu"),
            number(r, "sd_m"),
            r["kind"],
            r["source"],
            r["status"],
        )
        for r in rows("materials/materials.csv")
    )


def material(key: str) -> Material:
    """Return a material; raise `UnknownName` with close names otherwise."""
    for row in materials():
        if row.key == key:
            return row
    raise _unknown("material", key, (m.key for m in materials()))


@cache
def boards() -> tuple[Board, ...]:
    """Return all boards of the table."""
    return tuple(
        Board(
            r["key"],
            r["name"],
            r["material"],
            float(r["thickness_mm"]) / 1000,
            float(r["width_mm"]) / 1000,
            float(r["length_mm"]) / 1000,
            r["currency"],
            float(r["price_low"]),
            float(r["price"]),
            float(r["price_high"]),
            float(r["weight_kg_m2"]),
            float(r["thickness_tolerance_mm"]) / 1000,
            float(r["size_tolerance_mm"]) / 1000,
            r["source"],
            r["status"],
        )
        for r in rows("materials/boards.csv")
    )


def board(key: str) -> Board:
    """Return a board; raise `UnknownName` with close names otherwise."""
    for row in boards():
        if row.key == key:
            return row
    raise _unknown("board", key, (b.key for b in boards()))


@cache
def fuels() -> tuple[FuelRow, ...]:
    """Return all fuels of the table, one row for each currency."""
    return tuple(
        FuelRow(
            r["key"],
            r["name"],
            r["currency"],
            float(r["price_low"]),
            float(r["price"]),
            float(r["price_high"]),
            float(r["efficiency_low"]),
            float(r["efficiency"]),
            float(r["efficiency_high"]),
            float(r["carbon_kg_kwh"]),
            r["source"],
            r["status"],
        )
        for r in rows("materials/fuels.csv")
    )


def fuel_names(*currencies: str) -> tuple[tuple[str, str], ...]:
    """Return key and name of each fuel that is priced in all of some currencies: what a form may offer."""
    table = fuels()
    names = {f.key: f.name for f in table}
    return tuple((k, n) for k, n in names.items() if {f.currency for f in table if f.key == k} >= set(currencies))


def fuel(key: str, currency: str) -> FuelRow:
    """Return a fuel in a currency (``"heat pump"`` too); raise `UnknownName` with close names otherwise."""
    name = "-".join(key.lower().replace("_", " ").split())
    for row in fuels():
        if row.key == name and row.currency == currency:
            return row
    raise _unknown("fuel", key, (f.key for f in fuels() if f.currency == currency))
