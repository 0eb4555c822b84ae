"""Resources and the units they are sold in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from snugbay.job import Job, SheetStock, Units
from snugbay.materials import Board, Item, Rate, Rates, board, board_price, item, item_ids, usual_boards
from snugbay.materials.rates import OWN
from snugbay.ways.crawl import crawl_items
from snugbay.ways.table import Way

STRAW_CAN = "straw-can"
"""Foam that needs no gun: for small jobs."""


@dataclass(frozen=True)
class Shelf:
    """All that can be bought for a job.

    Attributes
    ----------
    items : mapping of str to Item
        Item id to item, the board kinds among them.
    packs : mapping of str to tuple of Item
        Resource to the items that serve it: those with a limit first, then the largest first.
    boards : tuple of Board
        Boards to choose from, with the sheet sizes of the job's own stock.
    on_hand : mapping of str to float
        Item id to units in the shed.
    most : mapping of str to float
        Item id to units that a job uses at most, where that is limited.
    """

    items: Mapping[str, Item]
    packs: Mapping[str, tuple[Item, ...]]
    boards: tuple[Board, ...]
    on_hand: Mapping[str, float]
    most: Mapping[str, float] = field(default_factory=dict)

    def main(self, resource: str) -> Item:
        """Item by whose units the need for a resource is stated: the largest that no limit holds."""
        return next(i for i in self.packs[resource] if i.id not in self.most)


def rates_of(job: Job) -> Rates:
    """Rates with the job's own figures laid over the table's."""
    return Rates(tuple((p.item, p.low, p.typical, p.high) for p in job.stock.prices))


def _own_size(row: Board, stock: SheetStock) -> Board:
    return Board(
        row.key,
        row.name,
        row.material,
        stock.thickness,
        stock.width,
        stock.length,
        row.currency,
        row.price_low,
        row.price,
        row.price_high,
        row.weight,
        row.thickness_tolerance,
        row.size_tolerance,
        row.source,
        row.status,
    )


def job_boards(job: Job) -> tuple[Board, ...]:
    """Boards to choose from: the job's own kinds, or what shops usually have.

    Raises
    ------
    UnknownName
        If the stock names a board that the table has not.
    """
    if job.stock.sheets:
        return tuple(_own_size(board(s.material), s) for s in job.stock.sheets)
    return usual_boards(job.place.currency, metric=job.units is Units.MM)


def _sheet_item(job: Job, row: Board, rates: Rates) -> Item:
    price = board_price(row, job.place.currency, rates)
    for stock in job.stock.sheets:
        if stock.material == row.key and stock.price is not None:
            price = Rate(row.key, stock.price, stock.price, stock.price, "a sheet", "", OWN)
    return Item(row.key, row.name, row.key, "sheet", 1.0, "sheet", "use", price)


def shelf(job: Job, ways: tuple[Way, ...], rates: Rates) -> Shelf:
    """Return all that can be bought for a job, with its prices.

    Parameters
    ----------
    job : Job
        Currency, stock, own prices.
    ways : tuple of Way
        Own ways bring their own things.
    rates : Rates
        With the job's own figures.
    """
    items: dict[str, Item] = {i: item(i, job.place.currency, rates) for i in item_ids()}
    for way in ways:
        items.update({i.id: i for i in way.items})
    items.update({i.id: i for i in crawl_items(job, rates)})
    kinds = job_boards(job)
    items.update({b.key: _sheet_item(job, b, rates) for b in kinds})
    packs: dict[str, list[Item]] = {}
    for thing in items.values():
        packs.setdefault(thing.resource, []).append(thing)
    on_hand: dict[str, float] = {}
    for name, amount in job.stock.on_hand:
        on_hand[name] = on_hand.get(name, 0.0) + amount
    for stock in job.stock.sheets:
        if stock.on_hand:
            on_hand[stock.material] = on_hand.get(stock.material, 0.0) + stock.on_hand
    for cut in job.stock.offcuts:
        whole = next((b for b in kinds if b.key == cut.material), None)
        if whole is not None:
            damaged = sum(w * h for _, _, w, h in cut.damaged)
            share = max(cut.width * cut.length - damaged, 0.0) / (whole.width * whole.length)
            on_hand[cut.material] = on_hand.get(cut.material, 0.0) + share
    most = {STRAW_CAN: float(round(rates["ways.straw.most_cans"].typical))}
    ordered = {r: tuple(sorted(p, key=lambda i: (i.id not in most, -i.amount))) for r, p in packs.items()}
    return Shelf(items, ordered, kinds, on_hand, most)
