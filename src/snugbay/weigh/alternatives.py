"""Other plans beside the best: other lines, one way throughout, the frontier."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import product
from math import ceil

import numpy as np

from snugbay.base import Effort, NoPlan, Run, Where
from snugbay.job import Job, Objective
from snugbay.weigh.asking import Aim, Answer
from snugbay.weigh.evaluate import Plan
from snugbay.weigh.points import point
from snugbay.weigh.problem import Limits, Problem
from snugbay.weigh.program import Columns, Fewer, Row, fewer, fewer_row
from snugbay.weigh.search import Search
from snugbay.weigh.solver import INF
from snugbay.weigh.values import PlanPoint

LEVELS = {Effort.QUICK: (2, 2), Effort.NORMAL: (5, 3), Effort.THOROUGH: (12, 8)}
"""Levels of season heat and of hours at which the frontier is taken."""

HINT = 1e-4
"""Weight of the wishes that come second, against the first."""


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


def best_plan(search: Search, rows: Callable[[Columns], Sequence[Row]] | None = None) -> Answer:
    """Find the plan that the job's objective asks for; among equals the one of least whole cost.

    Parameters
    ----------
    search : Search
        The question.
    rows : callable, optional
        Further rows.

    Returns
    -------
    Answer
        Plan None where no plan keeps the limits. The gap is that of the objective itself.
    """
    p = search.problem
    aim = first_aim(p)
    first = search.best(aim, rows=rows)
    if first.plan is None or p.objective is Objective.WHOLE_COST or first.worth is None:
        return first
    slack = 1e-7
    keep = Limits(
        min(p.limits.cash, first.worth.cash * (1 + slack) + slack if aim.cash else np.inf),
        min(p.limits.hours, first.worth.hours * (1 + slack) + slack if aim.hours else np.inf),
        min(p.limits.season_kwh, first.worth.season_kwh * (1 + slack) + slack if aim.season else np.inf),
    )
    second = search.best(whole_cost_aim(p), keep, rows=rows)
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


def refuse(search: Search, names: Sequence[str] = (), hours_at: Where = ("wishes", "hours")) -> NoPlan:
    """Build the error for a job without a plan: which limit to loosen, and how far.

    Parameters
    ----------
    search : Search
        The question that has no plan.
    names : sequence of str
        What the job already knows to be wrong.
    hours_at : tuple
        Place of what limits the own hours.
    """
    p = search.problem
    said = list(names)
    tight: list[Where] = []
    tries = (
        ("cash", Limits(np.inf, p.limits.hours, p.limits.season_kwh), Aim(1.0, 0.0, 0.0), "budget", "{:,}"),
        ("hours", Limits(p.limits.cash, np.inf, p.limits.season_kwh), Aim(0.0, 1.0, 0.0), "hours", "{:,} h"),
    )
    for what, keep, aim, name, words in tries:
        if not np.isfinite(getattr(p.limits, what)):
            continue
        answer = search.best(aim, keep)
        if answer.worth is not None:
            tight.append(("wishes", name) if name == "budget" else hours_at)
            said.append(f"With the {name} raised to at least {words.format(ceil(answer.value))} there is a plan.")
    if not said and search.best(Aim(1.0, 0.0, 0.0), Limits()).plan is not None:
        said.append("Budget and hours must both be raised.")
    if not said:
        said.append("Loosen what is ruled out or insisted on, or let the air barrier stay open.")
    return NoPlan("No plan keeps all the limits.", where=tight[0] if tight else ("wishes",), hint=" ".join(said))


def lines(search: Search, run: Run) -> list[tuple[Plan, PlanPoint]]:
    """Best plan for each place of the line, best first (by whole cost)."""
    p = search.problem
    found = []
    for flags in product((0.0, 1.0), repeat=len(p.movable)):
        if run.stop():
            break

        def rows(c: Columns, flags: tuple[float, ...] = flags) -> list[Row]:
            return [({c.z[zone]: 1.0}, f, f) for zone, f in zip(p.movable, flags, strict=True)]

        answer = best_plan(search, rows)
        if answer.plan is not None:
            found.append((answer.plan, point(p, answer.plan, answer.worth)))
    found.sort(key=lambda f: f[1].whole_cost)
    return found


def second_best(search: Search, plan: Plan) -> Answer:
    """Next best plan that differs in at least one face; changing places among faces that are alike is no difference."""
    aim = whole_cost_aim(search.problem)

    def order(answer: Answer) -> tuple[float, float]:
        return answer.value, aim.value(answer.worth) if answer.worth is not None else np.inf

    def rows(condition: Fewer) -> Callable[[Columns], Sequence[Row]]:
        return lambda c: [fewer_row(c, condition)]

    return min((best_plan(search, rows(condition)) for condition in fewer(search.problem, plan)), key=order)


def one_way(search: Search, run: Run) -> list[tuple[str, Plan, PlanPoint]]:
    """Best plan that uses one group of ways throughout, for each group that can do it.

    Notes
    -----
    A face on the line that the group has nothing for is left as found where the rules allow it; where the air barrier
    could then not close, there is no such plan.
    """
    p = search.problem
    groups = dict.fromkeys(o.group for f in p.faces for o in f.options if o.group != "as-found")
    found = []
    for group in groups:
        if run.stop():
            break

        def rows(c: Columns, group: str = group) -> list[Row]:
            out: list[Row] = []
            for number in (alike[0] for alike in p.groups):
                face = p.faces[number]
                own = [o.group == group for o in face.options]
                if face.must and not any(own):
                    return [({}, 1.0, INF)]
                others = {
                    c.x[number] + i: 1.0
                    for i, o in enumerate(face.options)
                    if o.group != group and (o.group != "as-found" or face.must)
                }
                if others:
                    out.append((others, 0.0, 0.0))
            return out

        answer = best_plan(search, rows)
        if answer.plan is not None and any(
            f.options[i].group == group for f, i in zip(p.faces, answer.plan.picks, strict=True)
        ):
            found.append((group, answer.plan, point(p, answer.plan, answer.worth)))
    found.sort(key=lambda f: f[2].whole_cost)
    return found


def frontier(search: Search, run: Run) -> tuple[list[PlanPoint], bool]:
    """Plans that no other plan beats in cash, hours and saving together.

    Parameters
    ----------
    search : Search
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
