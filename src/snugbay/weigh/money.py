"""What the money and the hours buy: payback, present value, cash flow."""

from __future__ import annotations

import math

from snugbay.job import Job
from snugbay.weigh.values import Money, PlanPoint

MOST_YEARS = 200


def payback(outlay: float, saving: float, growth: float) -> float | None:
    """Years until savings have paid an outlay back, undiscounted.

    Parameters
    ----------
    outlay : float
        Money (and worth of hours) at the start; nothing or less is paid back at once.
    saving : float
        In the first year.
    growth : float
        Of the energy price. [1/a]

    Returns
    -------
    float or None
        None where it is never paid back (or not in 200 years).
    """
    if outlay <= 0:
        return 0.0
    if saving <= 0:
        return None
    got, yearly = 0.0, saving
    for year in range(MOST_YEARS):
        yearly = saving * (1 + growth) ** (year + 1)
        if got + yearly >= outlay:
            return year + (outlay - got) / yearly
        got += yearly
    return None


def cash_flow(outlay: float, saving: float, growth: float, years: float) -> tuple[float, ...]:
    """Cash flow by year, year 0 first; a part of a last year counts by its share."""
    whole = math.floor(years)
    out = [-outlay, *(saving * (1 + growth) ** t for t in range(1, whole + 1))]
    if years > whole:
        out.append((years - whole) * saving * (1 + growth) ** (whole + 1))
    return tuple(out)


def present_value(flow: tuple[float, ...], discount: float) -> float:
    """Net present value of a cash flow, year 0 undiscounted."""
    return sum(v / (1 + discount) ** t for t, v in enumerate(flow))


def money(job: Job, plan: PlanPoint) -> Money:
    """Reckon the return of a plan.

    Parameters
    ----------
    job : Job
        Wishes and fuel.
    plan : PlanPoint
        The plan.
    """
    wishes = job.wishes
    incentive = min(wishes.incentive, plan.cash)
    outlay = plan.cash - incentive
    own = job.you.hour_worth * plan.hours
    flow = cash_flow(outlay, plan.saving, wishes.price_growth, wishes.years)
    npv = present_value(flow, wishes.discount)
    return Money(
        payback(outlay, plan.saving, wishes.price_growth),
        payback(outlay + own, plan.saving, wishes.price_growth),
        npv,
        npv - own,
        plan.saving_kwh / job.place.fuel.efficiency * job.place.fuel.carbon_kwh,
        flow,
        incentive,
    )
