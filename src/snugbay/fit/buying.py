"""What has to be bought still, half-way through."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import ceil

from snugbay.job import Job
from snugbay.materials import boards
from snugbay.weigh import Purchase

SLACK = 1e-9
"""A need within this of a whole number is that number."""


def _again(old: Purchase, need: float, on_hand: float) -> Purchase:
    units = max(0, ceil(need - on_hand - SLACK))
    return replace(old, need=need, on_hand=on_hand, units=units, total=units * old.price)


def _board(key: str, need: float, job: Job, planned: Purchase | None, had: float) -> Purchase:
    """Return the sheets of one board: those needed, less those had."""
    if planned is not None:
        return _again(planned, need, had)
    stated = [s for s in job.stock.sheets if s.material == key]
    row = next(b for b in boards() if b.key == key)
    own = stated[0].price if stated and stated[0].price is not None else None
    price = row.price if own is None else own
    status = "your own figure" if own is not None else row.status
    bare = Purchase(key, row.name, 0, "sheet", 0, 0, price, 0.0, False, "boards", row.source, status)
    return _again(bare, need, had)


def sheets_still(
    job: Job, purchases: Sequence[Purchase], sheets: Mapping[str, tuple[int, int]]
) -> tuple[Purchase, ...]:
    """Return what has to be bought still, half-way: sheets as laid against those that are had, all else as weighed.

    Parameters
    ----------
    job : Job
        Prices stated.
    purchases : sequence of Purchase
        What the re-plan reckons for the rest.
    sheets : Mapping of str to (int, int)
        By board: whole sheets needed in all, whole sheets had.

    Returns
    -------
    tuple of Purchase
        Only what must be bought.
    """
    planned = {p.item: p for p in purchases}
    keys = {b.key for b in boards()}
    laid = [_board(key, need, job, planned.get(key), float(had)) for key, (need, had) in sheets.items()]
    return tuple(p for p in (*laid, *(p for p in purchases if p.item not in keys)) if p.units)
