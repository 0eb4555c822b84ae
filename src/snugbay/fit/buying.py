"""The buying list: whole units, after the real pieces, sheets and joints are known."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import replace
from math import ceil

from snugbay.fit.values import FittingPlan
from snugbay.job import Job
from snugbay.materials import boards
from snugbay.sheets import SheetPlan
from snugbay.weigh import Purchase, Weighing

SLACK = 1e-9


def _sheets_needed(sheets: SheetPlan) -> Counter[str]:
    return Counter(s.material for s in sheets.sheets if s.source in ("new", "on hand"))


def _again(old: Purchase, need: float, on_hand: float) -> Purchase:
    units = max(0, ceil(need - on_hand - SLACK))
    return replace(old, need=need, on_hand=on_hand, units=units, total=units * old.price)


def _board_purchase(key: str, need: int, job: Job) -> Purchase:
    row = next(b for b in boards() if b.key == key)
    stated = [s for s in job.stock.sheets if s.material == key]
    own = stated[0].price if stated and stated[0].price is not None else None
    on_hand = sum(s.on_hand for s in stated)
    price = row.price if own is None else own
    units = max(0, need - on_hand)
    status = "your own figure" if own is not None else row.status
    return Purchase(
        key, row.name, units, "sheet", need, on_hand, price, units * price, False, "boards", row.source, status
    )


def buying(job: Job, weighing: Weighing, sheets: SheetPlan, fitting: FittingPlan) -> tuple[Purchase, ...]:
    """Return what to buy: the plan's list with boards counted from the sheets and cans and tape from the joints.

    Parameters
    ----------
    job : Job
        What is on hand and prices stated.
    weighing : Weighing
        The plan's purchases, reckoned before the sheets were laid.
    sheets : SheetPlan
        Sheets as laid.
    fitting : FittingPlan
        Joints as they are.

    Returns
    -------
    tuple of Purchase
        Whole units; items of which nothing has to be bought stay on the list with 0 units.
    """
    need = _sheets_needed(sheets)
    keys = {b.key for b in boards()}
    joints: defaultdict[str, float] = defaultdict(float)
    for line in fitting.sealing:
        joints[line.item] += line.amount
    out = []
    for purchase in weighing.purchases:
        if purchase.item in keys:
            if need[purchase.item]:
                out.append(_again(purchase, need.pop(purchase.item), purchase.on_hand))
        elif purchase.item in joints:
            amount: float = max(joints[purchase.item], _from_sprayed(purchase, weighing))
            out.append(_again(purchase, amount, purchase.on_hand))
        else:
            out.append(purchase)
    out.extend(_board_purchase(key, count, job) for key, count in need.items() if count)
    return tuple(out)


def _from_sprayed(purchase: Purchase, weighing: Weighing) -> float:
    """Amount that faces without boards need of an item that joints use too."""
    done = [weighing.option(face, way) for face, way in weighing.plan.ways if way != "as-found"]
    return sum(n.typical for o in done if o.boards is None for n in o.needs if n.item == purchase.item)
