"""The buying list: whole units, after the real pieces, sheets and joints are known."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import ceil

from snugbay.fit.fire import fire_needs
from snugbay.fit.values import FittingPlan, Sealing
from snugbay.job import Job
from snugbay.materials import Rates, boards
from snugbay.materials.items import item
from snugbay.sheets import SheetPlan
from snugbay.ways import Need
from snugbay.weigh import Purchase, Weighing

SLACK = 1e-9
"""A need within this of a whole number is that number."""


def _again(old: Purchase, need: float, on_hand: float) -> Purchase:
    units = max(0, ceil(need - on_hand - SLACK))
    return replace(old, need=need, on_hand=on_hand, units=units, total=units * old.price)


def _board(key: str, need: float, job: Job, planned: Purchase | None, had: float | None = None) -> Purchase:
    """Return the sheets of one board: those laid, less whole sheets in the shed, or less those had."""
    stated = [s for s in job.stock.sheets if s.material == key]
    on_hand = float(sum(s.on_hand for s in stated)) if had is None else had
    if planned is not None:
        return _again(planned, need, on_hand)
    row = next(b for b in boards() if b.key == key)
    own = stated[0].price if stated and stated[0].price is not None else None
    price = row.price if own is None else own
    status = "your own figure" if own is not None else row.status
    bare = Purchase(key, row.name, 0, "sheet", 0, 0, price, 0.0, False, "boards", row.source, status)
    return _again(bare, need, on_hand)


def _joint_item(line: Sealing, need: float, job: Job, rates: Rates, planned: Purchase | None) -> Purchase:
    on_hand = dict(job.stock.on_hand).get(line.item, 0.0)
    if planned is not None:
        return _again(planned, need, on_hand)
    thing = item(line.item, job.place.currency, rates)
    price = thing.price
    bare = Purchase(
        thing.id, thing.name, 0, thing.unit, 0, 0, price.typical, 0.0, False, "joints", price.source, price.status
    )
    return _again(bare, need, on_hand)


def _fire_item(need: Need, job: Job, rates: Rates) -> Purchase:
    thing = item(need.item, job.place.currency, rates)
    price = thing.price
    bare = Purchase(
        thing.id, thing.name, 0, thing.unit, 0, 0, price.typical, 0.0, False, need.why, price.source, price.status
    )
    return _again(bare, need.typical, dict(job.stock.on_hand).get(need.item, 0.0))


def buying(job: Job, weighing: Weighing, sheets: SheetPlan, fitting: FittingPlan, rates: Rates) -> tuple[Purchase, ...]:
    """Return what to buy: the plan's list with boards counted from the sheets, cans and tape from the joints.

    Parameters
    ----------
    job : Job
        What is on hand and prices stated.
    weighing : Weighing
        The plan's purchases, reckoned before the sheets were laid.
    sheets : SheetPlan
        Sheets as laid; offcuts on hand cost nothing.
    fitting : FittingPlan
        Joints as they are.
    rates : Rates
        Rates with the user's own figures.

    Returns
    -------
    tuple of Purchase
        Whole units; items of which nothing has to be bought stay on the list with 0 units.
    """
    planned = {p.item: p for p in weighing.purchases}
    laid = Counter(s.material for s in sheets.sheets if s.source in ("new", "on hand"))
    keys = {b.key for b in boards()}
    plugs = {key: _beside(key, weighing, sheets) for key in keys}
    wanted = {key: laid[key] + plugs[key] for key in sorted(keys) if laid[key] + plugs[key] > 0}
    out = [_board(key, need, job, planned.get(key)) for key, need in wanted.items()]
    joints: defaultdict[str, float] = defaultdict(float)
    lines: dict[str, Sealing] = {}
    for line in fitting.sealing:
        joints[line.item] += line.amount
        lines.setdefault(line.item, line)
    for item_id, amount in joints.items():
        need = amount + _without_boards(item_id, weighing)
        out.append(_joint_item(lines[item_id], need, job, rates, planned.get(item_id)))
    out += [_fire_item(need, job, rates) for need in fire_needs(job, weighing, rates)]
    done = {p.item for p in out}
    out += [p for p in weighing.purchases if p.item not in done and p.item not in keys]
    return tuple(out)


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


def _beside(key: str, weighing: Weighing, sheets: SheetPlan) -> float:
    """Sheets of a board that faces without boards need (a plug in a sprayed wall), unless kept offcuts give as much."""
    need = _without_boards(key, weighing)
    own = [s for s in sheets.sheets if s.material == key]
    kept = sum(w * h / (s.width * s.length) for s in own for _, _, w, h in s.keep)
    return 0.0 if kept >= need else need


def _without_boards(item_id: str, weighing: Weighing) -> float:
    """Amount that faces without boards need of an item that joints use too."""
    done = [weighing.option(face, way) for face, way in weighing.plan.ways if way != "as-found"]
    return sum(n.typical for o in done if o.boards is None for n in o.needs if n.item == item_id)
