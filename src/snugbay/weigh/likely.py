"""What is likely of the plans: the chosen one in full, every other by the middle of the same draws."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from snugbay.base import Effort, Finding, Run
from snugbay.materials import Rate
from snugbay.weigh.calibrate import Calibration, calibrated, chosen_draws, has_evidence, told
from snugbay.weigh.evaluate import Plan
from snugbay.weigh.luck import Draws, draw
from snugbay.weigh.money import paybacks
from snugbay.weigh.points import plan_from
from snugbay.weigh.spread import Outcomes, Spreads, band, saved_kwh, season_before, simulate, tornado
from snugbay.weigh.values import Middle, PlanPoint, Spread

if TYPE_CHECKING:
    from snugbay.weigh.stage import Question

DRAWS = {Effort.QUICK: 2_000, Effort.NORMAL: 10_000, Effort.THOROUGH: 40_000}


def spreads_of(q: Question) -> Spreads:
    """Collect the figures of the spread."""
    p, rates = q.problem, q.base.rates
    items = {k.item for r in p.resources for k in r.packs} | {g for g, _ in p.gear} | {*p.starts}
    prices = {i: _three(q.shelf.items[i].price) for i in items}
    shared = {s: (h.low, h.typical, h.high) for f in p.faces for o in f.options for s, h in o.shared_hours}
    crews = {
        o.group: (o.minimum_low, o.minimum, o.minimum_high)
        for f in p.faces
        for o in f.options
        if o.minimum > 0 or o.charge > 0
    }
    return Spreads(
        prices,
        shared,
        crews,
        _three(rates["ways.found.heat"]),
        q.base.air.year_spread,
        rates["ways.energy_price.sigma"].typical,
        q.base.job.wishes.years,
    )


def _three(rate: Rate) -> tuple[float, float, float]:
    return rate.low, rate.typical, rate.high


class Likely:
    """All draws of a question, and what plans come to in them.

    Parameters
    ----------
    q : Question
        The question, its options pruned: the same question and seed make the same draws.
    n : int
        Number of draws.
    run : Run
        Seed.
    """

    def __init__(self, q: Question, n: int, run: Run) -> None:
        self.problem = q.problem
        self.spreads = spreads_of(q)
        self.prior: Draws = draw(q.problem, n, run.rng("weigh spread"))
        self._prior_before = season_before(q.problem, self.spreads, self.prior)
        self.calibration: Calibration | None = None
        self.draws, self._before = self.prior, self._prior_before
        if has_evidence(q.base):
            picks, self.calibration = calibrated(
                q.base, self.prior, self._prior_before, self.spreads.found, self.spreads.year, run.rng("weigh found")
            )
            self.draws, self._before = chosen_draws(self.prior, picks), self._prior_before[picks]

    def outcomes(self, plan: Plan | None) -> Outcomes:
        """Work out one plan for all draws; None leaves everything as found."""
        return simulate(self.problem, plan, self.spreads, self.draws, self._before)

    def shown(self, plan: Plan) -> tuple[Finding, ...]:
        """Say what the house's own readings have changed, if there are any."""
        if self.calibration is None:
            return ()
        p, s = self.problem, self.spreads
        was = saved_kwh(p, plan, s, self.prior, self._prior_before)
        now = saved_kwh(p, plan, s, self.draws, self._before)
        return (told(self.calibration, band(was), band(now)),)

    def middle(self, plan: Plan) -> Middle:
        """Return the medians of a plan over all draws: what the chosen plan's own figures are."""
        out = self.outcomes(plan)
        cash, hours, saving, whole = (band(x).p50 for x in (out.cash, out.hours, out.saving, out.whole))
        return Middle(cash, hours, saving, whole)

    def with_middle(self, point: PlanPoint) -> PlanPoint:
        """Return a point with its medians."""
        return replace(point, middle=self.middle(plan_from(self.problem, point)))


def likely(
    q: Question, plan: Plan, others: Sequence[tuple[str, Plan | None]], run: Run
) -> tuple[Spread, Callable[[PlanPoint], PlanPoint], tuple[Finding, ...]]:
    """Work out the spread of the chosen plan, and how often it beats others.

    Parameters
    ----------
    q : Question
        The question.
    plan : Plan
        The chosen one.
    others : sequence of (str, Plan or None)
        What it is held against, by name; None is everything as found.
    run : Run
        Seed and effort.

    Returns
    -------
    Spread
        Of the chosen plan.
    callable
        Gives any point of the question its medians over the same draws.
    tuple of Finding
        What readings and bills of the house as found have changed.
    """
    n = DRAWS[run.effort]
    drawn = Likely(q, n, run)
    own = drawn.outcomes(plan)
    beats = tuple((name, float(np.mean(own.whole < drawn.outcomes(other).whole))) for name, other in others)
    wishes, worth = q.base.job.wishes, q.problem.worth
    outlay = own.cash - np.minimum(wishes.incentive, own.cash)
    payback, with_hours = (
        band(paybacks(cost, own.saving, wishes.price_growth)) for cost in (outlay, outlay + worth * own.hours)
    )
    wins = tornado(drawn.problem, plan, drawn.spreads)
    known: dict[PlanPoint, PlanPoint] = {}

    def with_middle(point: PlanPoint) -> PlanPoint:
        if point not in known:
            known[point] = drawn.with_middle(point)
        return known[point]

    shown = Spread(n, band(own.hours), band(own.cash), band(own.saving), payback, beats, wins, with_hours)
    return shown, with_middle, drawn.shown(plan)
