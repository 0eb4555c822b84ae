"""Things that are bought besides boards: cans, kits, bags, tape, screws, gear, hire."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache

from snugbay.base import UnknownName
from snugbay.materials.catalogue import Board, boards
from snugbay.materials.rates import OWN, Rate, Rates
from snugbay.materials.tables import Row, rows

HOME = "USD"
"""Currency that every item has a price in; others are reckoned from it where they have no row of their own."""


@dataclass(frozen=True)
class Item:
    """Something bought in whole units.

    Attributes
    ----------
    id, name : str
        Item id and name for people.
    resource : str
        What it serves; several items may serve the same resource (kits of two sizes).
    unit : str
        Selling unit: can, roll, box of 50, kit, bag, sheet, each, set, day.
    amount : float
        How much of the resource one unit holds, in ``measure``.
    measure : str
        Unit of the resource.
    kind : str
        ``use`` (used up), ``gear`` (bought once) or ``hire`` (hired once).
    price : Rate
        One unit, in the currency asked for.
    used_with : str
        Item id of the gear that it is used with; empty where it needs none.
    """

    id: str
    name: str
    resource: str
    unit: str
    amount: float
    measure: str
    kind: str
    price: Rate
    used_with: str = ""


@cache
def _rows() -> tuple[Row, ...]:
    return rows("ways/items.csv")


def item_ids() -> tuple[str, ...]:
    """Return the ids of all items of the table."""
    return tuple(dict.fromkeys(r["id"] for r in _rows()))


def currency_factor(currency: str, rates: Rates) -> float:
    """What one US dollar of material price is taken as in a currency.

    Raises
    ------
    UnknownName
        If the table knows no factor; the hint lists the currencies it knows.
    """
    if currency == HOME:
        return 1.0
    known = sorted(i.removeprefix("ways.currency.") for i in rates.ids() if i.startswith("ways.currency."))
    if currency not in known:
        raise UnknownName(
            f"There are no prices in {currency!r}.",
            where=("place", "currency"),
            hint="Use one of: " + ", ".join([HOME, *known]) + ".",
        )
    return rates[f"ways.currency.{currency}"].typical


def item(item_id: str, currency: str, rates: Rates) -> Item:
    """Return an item with its price in a currency, the user's own price first.

    Parameters
    ----------
    item_id : str
        Item id.
    currency : str
        ISO 4217 code.
    rates : Rates
        Rates with the user's own figures; an own figure under the item's id is the price of one unit.

    Raises
    ------
    UnknownName
        If there is no such item, or no way to a price in the currency.
    """
    own = [r for r in _rows() if r["id"] == item_id]
    if not own:
        close = get_close_matches(item_id, item_ids(), n=3, cutoff=0.4)
        raise UnknownName(f"There is no item {item_id!r}.", hint="Close names: " + (", ".join(close) or "none") + ".")
    row = next((r for r in own if r["currency"] == currency), None)
    factor = 1.0
    if row is None:
        row = next(r for r in own if r["currency"] == HOME)
        factor = currency_factor(currency, rates)
    stated = stated_price(item_id, rates)
    price = stated if stated is not None else _scaled(_price(row, rates), factor, currency)
    return Item(
        item_id,
        row["name"],
        row["resource"],
        row["unit"],
        float(row["amount"]),
        row["measure"],
        row["kind"],
        price,
        row["with"],
    )


def name_and_unit(item_id: str) -> tuple[str, str]:
    """Return name and selling unit of an item or a board; the id itself and no unit where it is neither."""
    own = next((r for r in _rows() if r["id"] == item_id), None)
    if own is not None:
        return own["name"], own["unit"]
    sheet = next((b for b in boards() if b.key == item_id), None)
    return (sheet.name, "sheet") if sheet is not None else (item_id, "")


def stated_price(item_id: str, rates: Rates) -> Rate | None:
    """Price of one unit that the user stated under the item's own id, or None."""
    for own_id, low, typical, high in rates.own:
        if own_id == item_id:
            return Rate(item_id, low, typical, high, "one unit", "", OWN)
    return None


def _price(row: Row, rates: Rates) -> Rate:
    if row["rate"]:
        parts = [rates[rate_id] for rate_id in row["rate"].split(" + ")]
        times = float(row["times"] or 1)
        if len(parts) == 1 and times == 1:
            return parts[0]
        own = all(r.status == OWN for r in parts)
        return Rate(
            row["rate"],
            times * sum(r.low for r in parts),
            times * sum(r.typical for r in parts),
            times * sum(r.high for r in parts),
            f"{row['currency']} a {row['unit']}",
            ",".join(dict.fromkeys(r.source for r in parts if r.source)),
            OWN if own else f"derived: {times:g} x {row['rate']}",
        )
    return Rate(
        row["id"],
        float(row["price_low"]),
        float(row["price"]),
        float(row["price_high"]),
        f"{row['currency']} a {row['unit']}",
        row["source"],
        row["status"],
    )


def _scaled(rate: Rate, factor: float, currency: str) -> Rate:
    if factor == 1.0 or rate.status == OWN:
        return rate
    return Rate(
        rate.id,
        rate.low * factor,
        rate.typical * factor,
        rate.high * factor,
        f"{currency} a unit",
        rate.source,
        f"assumption: {HOME} price x {factor:g}",
    )


def money_rate(rate_id: str, currency: str, rates: Rates) -> Rate:
    """Return a rate of the trade tables that is in US dollars, in a currency; the user's own figure as it stands.

    Raises
    ------
    UnknownName
        If there is no such rate, or no way to the currency.
    """
    rate = rates[rate_id]
    return rate if rate.status == OWN else _scaled(rate, currency_factor(currency, rates), currency)


def board_price(board: Board, currency: str, rates: Rates) -> Rate:
    """Price of one sheet in a currency, the user's own price first.

    Raises
    ------
    UnknownName
        If there is no way to a price in the currency.
    """
    stated = stated_price(board.key, rates)
    if stated is not None:
        return stated
    base = Rate(board.key, board.price_low, board.price, board.price_high, "a sheet", board.source, board.status)
    if board.currency == currency:
        return base
    factor = currency_factor(currency, rates) / currency_factor(board.currency, rates)
    return Rate(
        base.id,
        base.low * factor,
        base.typical * factor,
        base.high * factor,
        base.unit,
        base.source,
        f"assumption: {board.currency} price x {factor:.3g}",
    )


def unit_price(item_id: str, currency: str, rates: Rates) -> float:
    """Typical price of one selling unit of a board or an item, in a currency; raises `UnknownName` as they do."""
    for row in boards():
        if row.key == item_id:
            return board_price(row, currency, rates).typical
    return item(item_id, currency, rates).price.typical


def usual_boards(currency: str, *, metric: bool) -> tuple[Board, ...]:
    """Boards that a shop of the place usually has.

    Parameters
    ----------
    currency : str
        ISO 4217 code of the job.
    metric : bool
        True where the job is measured in millimetres.

    Returns
    -------
    tuple of Board
        Boards priced in the currency; where there are none, metric boards (EUR rows) or inch boards (USD rows).
    """
    here = tuple(b for b in boards() if b.currency == currency)
    return here or tuple(b for b in boards() if b.currency == ("EUR" if metric else HOME))
