"""A weighing once its boards are laid: hours, amounts and bill of the chosen ways as they are, not as offered."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from snugbay.job import Job
from snugbay.ways import Option
from snugbay.ways.resources import Shelf
from snugbay.weigh.question import needs_of, resource_of
from snugbay.weigh.report import bought, face_hours_of, hours_of
from snugbay.weigh.values import AS_FOUND, Band, Middle, PlanPoint, Purchase, Weighing


def as_counted_for(job: Job) -> Job:
    """Return the job without its offcuts: what lies on them is in no sheet that is counted."""
    return replace(job, stock=replace(job.stock, offcuts=()))


def done_of(weighing: Weighing) -> tuple[Option, ...]:
    """What the plan does, face by face."""
    return tuple(weighing.option(f, w) for f, w in weighing.plan.ways if w != AS_FOUND)


def bill_of(used: Sequence[Option], shelf: Shelf) -> tuple[Purchase, ...]:
    """Whole units to buy for what is done, hired crews left out."""
    names = dict.fromkeys(r for o in used for r in needs_of(o, shelf))
    return bought(used, {r: resource_of(r, shelf) for r in names}, shelf)


def counted_again(weighing: Weighing, laid: Sequence[Option], shelf: Shelf, worth: float) -> Weighing:
    """Put options as laid in the place of the offered ones, with the hours, the purchases and the figures that follow.

    Parameters
    ----------
    weighing : Weighing
        As chosen.
    laid : sequence of Option
        The chosen ways, counted from pieces, sheets and joints.
    shelf : Shelf
        What can be bought.
    worth : float
        Of an own hour. [currency/h]

    Notes
    -----
    What is paid to hired crews stays as it was. The spread keeps its shape: hours are stretched alike, money is moved.
    """
    new = {(o.face, o.way): o for o in laid}
    crews = tuple(p for p in weighing.purchases if p.unit == "job")
    bill, hours = (*bill_of(laid, shelf), *crews), hours_of(laid)
    before = weighing.plan
    cash, taken = sum(p.total for p in bill) - before.cash, sum(h.typical for h in hours)
    longer = taken / before.hours if before.hours > 0 else 1.0
    plan = _moved(before, cash, longer, worth)

    def counted(point: PlanPoint) -> PlanPoint:
        return plan if point.ways == before.ways and point.inside == before.inside else point

    spread = replace(
        weighing.spread,
        hours=Band(*(longer * h for h in _points(weighing.spread.hours))),
        cash=Band(*(max(cash + c, 0.0) for c in _points(weighing.spread.cash))),
    )
    return replace(
        weighing,
        plan=plan,
        candidates=tuple(counted(c) for c in weighing.candidates),
        single_way=tuple((g, counted(c)) for g, c in weighing.single_way),
        frontier=tuple(counted(c) for c in weighing.frontier),
        spread=spread,
        options=tuple(new.get((o.face, o.way), o) for o in weighing.options),
        purchases=bill,
        hours=hours,
        face_hours=face_hours_of(laid),
    )


def _points(band: Band) -> tuple[float, float, float]:
    return band.p10, band.p50, band.p90


def _moved(plan: PlanPoint, cash: float, longer: float, worth: float) -> PlanPoint:
    """Move a plan's money by an amount and its hours by a factor, and its whole cost with them."""

    def whole(cost: float, hours: float) -> float:
        return cost + cash + worth * hours * (longer - 1.0)

    m = plan.middle
    middle = m and Middle(m.cash + cash, m.hours * longer, m.saving, whole(m.whole_cost, m.hours))
    return replace(
        plan,
        cash=plan.cash + cash,
        hours=plan.hours * longer,
        whole_cost=whole(plan.whole_cost, plan.hours),
        middle=middle,
    )
