"""What the money and the hours buy: payback, present value, cash flow."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from snugbay.job import Job
from snugbay.weigh.values import Money, PlanPoint, Spread

Floats = NDArray[np.float64]

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


def paybacks(outlay: Floats, saving: Floats, growth: float) -> Floats:
    """Return `payback` of many draws at once; infinite where it is never paid back. Shapes are those of the draws."""
    out = np.where(outlay <= 0, 0.0, np.inf)
    got = np.zeros_like(out)
    for year in range(MOST_YEARS):
        yearly = saving * (1 + growth) ** (year + 1)
        now = np.isinf(out) & (yearly > 0) & (got + yearly >= outlay)
        out = np.where(now, year + (outlay - got) / np.where(yearly > 0, yearly, 1.0), out)
        got = got + yearly
    return out


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


def money(job: Job, plan: PlanPoint, spread: Spread | None = None) -> Money:
    """Reckon the return of a plan.

    Parameters
    ----------
    job : Job
        Wishes and fuel.
    plan : PlanPoint
        The plan.
    spread : Spread, optional
        Its draws: paybacks are then the middle of them, as they are shown beside their spread.
    """
    wishes = job.wishes
    incentive = min(wishes.incentive, plan.cash)
    outlay = plan.cash - incentive
    own = job.you.hour_worth * plan.hours
    flow = cash_flow(outlay, plan.saving, wishes.price_growth, wishes.years)
    npv = present_value(flow, wishes.discount)
    alone, both = (payback(cost, plan.saving, wishes.price_growth) for cost in (outlay, outlay + own))
    if spread is not None and spread.payback_with_hours is not None:
        middles = (spread.payback_years.p50, spread.payback_with_hours.p50)
        alone, both = (m if math.isfinite(m) else None for m in middles)
    return Money(
        alone,
        both,
        npv,
        npv - own,
        plan.saving_kwh / job.place.fuel.efficiency * job.place.fuel.carbon_kwh,
        flow,
        incentive,
    )
