"""Other plans beside the best: other lines, one way throughout, the frontier."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from math import ceil
from typing import Protocol

import numpy as np

from snugbay.base import Effort, Finding, NoPlan, Run, Said, Where
from snugbay.base.facts import Hours, Money, told_all
from snugbay.job import Job, Objective
from snugbay.ways.limits import AS_FOUND
from snugbay.weigh.asking import Aim, Among, Answer
from snugbay.weigh.evaluate import Plan
from snugbay.weigh.points import point
from snugbay.weigh.problem import Limits, Problem
from snugbay.weigh.values import PlanPoint

LEVELS = {Effort.QUICK: (2, 2), Effort.NORMAL: (5, 3), Effort.THOROUGH: (12, 8)}
"""Levels of season heat and of hours at which the frontier is taken."""

HINT = 1e-4
"""Weight of the wishes that come second, against the first."""


class Solver(Protocol):
    """Whatever finds proved best plans of a question."""

    @property
    def problem(self) -> Problem:
        """The question."""

    def best(self, aim: Aim, limits: Limits | None = None, among: Among | None = None) -> Answer:
        """Find the plan of least value among some, within limits in the place of the job's."""


def whole_cost_aim(p: Problem) -> Aim:
    """Aim of the whole cost."""
    return Aim(1.0, p.worth, p.kwh_worth)


def first_aim(p: Problem) -> Aim:
    """Aim of the job's own objective."""
    match p.objective:
        case Objective.LEAST_CASH:
            return Aim(1.0, 0.0, 0.0)
        case Objective.FEWEST_HOURS:
            return Aim(0.0, 1.0, 0.0)
        case Objective.WARMEST:
            return Aim(0.0, 0.0, 1.0)
        case _:
            return whole_cost_aim(p)


def best_plan(search: Solver, among: Among | None = None) -> Answer:
    """Find the plan that the job's objective asks for; among equals the one of least whole cost.

    Parameters
    ----------
    search : Solver
        The question.
    among : Among, optional
        Which plans are looked at.

    Returns
    -------
    Answer
        Plan None where no plan keeps the limits. The gap is that of the objective itself.
    """
    p = search.problem
    aim = first_aim(p)
    first = search.best(aim, among=among)
    if first.plan is None or p.objective is Objective.WHOLE_COST or first.worth is None:
        return first
    slack = 1e-7
    keep = Limits(
        min(p.limits.cash, first.worth.cash * (1 + slack) + slack if aim.cash else np.inf),
        min(p.limits.hours, first.worth.hours * (1 + slack) + slack if aim.hours else np.inf),
        min(p.limits.season_kwh, first.worth.season_kwh * (1 + slack) + slack if aim.season else np.inf),
    )
    second = search.best(whole_cost_aim(p), keep, among)
    if second.plan is None or second.worth is None:
        return first
    value = aim.value(second.worth)
    return Answer(
        second.plan,
        second.worth,
        value,
        min(first.bound, value),
        first.rounds + second.rounds,
        first.finished and second.finished,
    )


def hours_limit(job: Job) -> Where:
    """Return the place of what limits the own hours: the wish, or the days there are."""
    days, wished = job.you.days, job.wishes.hours
    by_days = days is not None and (wished is None or days * job.you.hours_per_day < wished)
    return ("you", "days") if by_days else ("wishes", "hours")


def refuse(search: Solver, names: Sequence[Finding] = (), hours_at: Where = ("wishes", "hours")) -> NoPlan:
    """Build the error for a job without a plan: which limit to loosen, and how far.

    Parameters
    ----------
    search : Solver
        The question that has no plan.
    names : sequence of Finding
        What the job already knows to be wrong.
    hours_at : tuple
        Place of what limits the own hours.
    """
    p = search.problem
    said = [f.said for f in names]
    tight: list[Where] = []
    tries = (
        ("cash", Limits(np.inf, p.limits.hours, p.limits.season_kwh), Aim(1.0, 0.0, 0.0), "budget"),
        ("hours", Limits(p.limits.cash, np.inf, p.limits.season_kwh), Aim(0.0, 1.0, 0.0), "hours"),
    )
    for what, keep, aim, name in tries:
        if not np.isfinite(getattr(p.limits, what)):
            continue
        answer = search.best(aim, keep)
        if answer.worth is not None:
            tight.append(("wishes", name) if name == "budget" else hours_at)
            least = float(ceil(answer.value))
            if name == "budget":
                said.append(Said.of("weigh.said.raise-budget", least=Money(least)))
            else:
                said.append(Said.of("weigh.said.raise-hours", least=Hours(least)))
    if not said and search.best(Aim(1.0, 0.0, 0.0), Limits()).plan is not None:
        said.append(Said.of("weigh.said.raise-both"))
    if not said:
        said.append(Said.of("weigh.said.loosen"))
    cure = Said.of("weigh.said.one-after-the-other", what=told_all(said))
    return NoPlan.of(Said.of("weigh.none"), where=tight[0] if tight else ("wishes",), cure=cure)


def lines(search: Solver, run: Run) -> list[tuple[Plan, PlanPoint]]:
    """Best plan for each place of the line, best first (by whole cost)."""
    p = search.problem
    found = []
    for flags in product((False, True), repeat=len(p.movable)):
        if run.stop():
            break
        inside = tuple(zone for zone, flag in zip(p.movable, flags, strict=True) if flag)
        answer = best_plan(search, Among(inside))
        if answer.plan is not None:
            found.append((answer.plan, point(p, answer.plan, answer.worth)))
    found.sort(key=lambda f: f[1].whole_cost)
    return found


def second_best(search: Solver, plan: Plan) -> Answer:
    """Next best plan that differs in at least one face; changing places among faces that are alike is no difference."""
    return best_plan(search, Among(but=(plan,)))


def one_way(search: Solver, run: Run) -> list[tuple[str, Plan, PlanPoint]]:
    """Best plan that uses one group of ways throughout, for each group that can do it.

    Notes
    -----
    A face on the line that the group has nothing for is left as found where the rules allow it; where the air barrier
    could then not close, there is no such plan.
    """
    p = search.problem
    groups = dict.fromkeys(o.group for f in p.faces for o in f.options if o.group != AS_FOUND)
    found = []
    for group in groups:
        if run.stop():
            break
        only = {
            n: tuple(
                k for k, o in enumerate(face.options) if o.group == group or (o.group == AS_FOUND and not face.must)
            )
            for n, face in enumerate(p.faces)
        }
        answer = best_plan(search, Among(only=only))
        if answer.plan is not None and any(
            f.options[i].group == group for f, i in zip(p.faces, answer.plan.picks, strict=True)
        ):
            found.append((group, answer.plan, point(p, answer.plan, answer.worth)))
    found.sort(key=lambda f: f[2].whole_cost)
    return found


def frontier(search: Solver, run: Run) -> tuple[list[PlanPoint], bool]:
    """Plans that no other plan beats in cash, hours and saving together.

    Parameters
    ----------
    search : Solver
        The question.
    run : Run
        Effort sets the number of levels; stop keeps what is there.

    Returns
    -------
    list of PlanPoint, bool
        By cash; and whether all levels were taken.

    Notes
    -----
    Epsilon constraint: at each level of hours and season heat the cheapest plan, hours and heat counted a little, is
    found to a gap of zero. Positive weights on all three make every such plan one that no other beats; between the
    levels there may be more such plans.
    """
    p = search.problem
    scale = max(p.kwh_worth, 1e-6)
    cheap = search.best(Aim(1.0, HINT * p.worth + 1e-6, HINT * scale))
    quick = search.best(Aim(HINT, max(p.worth, 1.0), HINT * scale))
    warm = search.best(Aim(HINT, HINT * max(p.worth, 1.0), scale))
    ends = [a for a in (cheap, quick, warm) if a.worth is not None]
    if len(ends) < 3:
        return [], True
    answers = list(ends)
    seasons = [a.worth.season_kwh for a in ends if a.worth is not None]
    spent = [a.worth.hours for a in ends if a.worth is not None]
    n_season, n_hours = LEVELS[run.effort]
    whole = True
    for e in np.linspace(max(seasons), min(seasons), n_season):
        for h in np.linspace(max(spent), min(spent), n_hours):
            if run.stop():
                whole = False
                break
            keep = Limits(p.limits.cash, min(float(h) + 1e-6, p.limits.hours), float(e) * (1 + 1e-6) + 1e-6)
            answer = search.best(Aim(1.0, HINT * p.worth + 1e-6, HINT * scale), keep)
            if answer.plan is not None:
                answers.append(answer)
    points = {}
    for answer in answers:
        if answer.plan is not None and answer.gap == 0.0:
            pt = point(p, answer.plan, answer.worth)
            points[pt.inside, pt.ways] = pt
    return unbeaten(list(points.values())), whole


def unbeaten(points: Sequence[PlanPoint]) -> list[PlanPoint]:
    """Leave out points that another point beats or equals in cash, hours and saving; sort by cash."""
    out: list[PlanPoint] = []
    for i, a in enumerate(points):
        beaten = False
        for j, b in enumerate(points):
            if i == j:
                continue
            no_worse = b.cash <= a.cash + 1e-6 and b.hours <= a.hours + 1e-6 and b.saving_kwh >= a.saving_kwh - 1e-6
            better = b.cash < a.cash - 1e-6 or b.hours < a.hours - 1e-6 or b.saving_kwh > a.saving_kwh + 1e-6
            if no_worse and (better or j < i):
                beaten = True
                break
        if not beaten:
            out.append(a)
    return sorted(out, key=lambda q: (q.cash, q.hours, -q.saving_kwh))
