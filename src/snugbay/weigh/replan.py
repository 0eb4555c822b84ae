"""Re-plan: the same program for what is left, with what is in hand; sunk costs stay sunk."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from snugbay.base import Finding, Outcome, Run, Weight
from snugbay.job import Job
from snugbay.survey import Survey
from snugbay.ways import HourElement, Option
from snugbay.ways.limits import AS_FOUND
from snugbay.ways.resources import Shelf
from snugbay.weigh.alternatives import best_plan, refuse
from snugbay.weigh.asking import Among
from snugbay.weigh.evaluate import Plan
from snugbay.weigh.learned import Known, Learned, learned_hours
from snugbay.weigh.likely import DRAWS, spreads_of
from snugbay.weigh.luck import METHOD, WORKER, Draws, draw
from snugbay.weigh.points import describe, point
from snugbay.weigh.problem import FaceChoices, Limits, Problem, Resource
from snugbay.weigh.pruning import picked
from snugbay.weigh.question import needs_of
from snugbay.weigh.report import crew_purchases, plan_hours, purchases
from snugbay.weigh.search import Search
from snugbay.weigh.spread import Outcomes, Spreads, band, simulate
from snugbay.weigh.stage import Question
from snugbay.weigh.values import PlanPoint, Purchase, Replan, Weighing
from snugbay.weigh.whynot import question_again
from snugbay.weigh.worklog import Progress, progress

SURE = 0.8
"""Chance from which a switch is worth saying aloud."""


def _scaled_hours(h: HourElement, factor: float) -> HourElement:
    return replace(h, low=h.low * factor, typical=h.typical * factor, high=h.high * factor)


def _left(option: Option, share: float, pace: float) -> Option:
    """What is left to do of an option when a share of the face is done, at the pace so far."""
    left = 1.0 - share
    return replace(
        option,
        hours=tuple(_scaled_hours(h, left * pace) for h in option.hours),
        needs=tuple(replace(n, low=n.low * left, typical=n.typical * left, high=n.high * left) for n in option.needs),
        charge_low=option.charge_low * left,
        charge=option.charge * left,
        charge_high=option.charge_high * left,
    )


def _mixed_heat(option: Option, done: Option, share: float) -> Option:
    """Heat of a face with a share done one way and the rest another."""
    return replace(
        option,
        heat_low=share * done.heat_low + (1 - share) * option.heat_low,
        heat_after=share * done.heat_after + (1 - share) * option.heat_after,
        heat_high=share * done.heat_high + (1 - share) * option.heat_high,
    )


def _stopped(done: Option, found: Option, share: float) -> Option:
    """Stop here: the share that is done stays, the rest is left as found."""
    return replace(
        _mixed_heat(found, done, share),
        way=AS_FOUND,
        title="stop here, the rest as found",
        group=AS_FOUND,
    )


def _finished(done: Option) -> Option:
    return replace(
        done, hours=(), needs=(), gear=(), shared=(), shared_hours=(), charge_low=0.0, charge=0.0, charge_high=0.0,
        minimum_low=0.0, minimum=0.0, minimum_high=0.0, notches=0,
    )  # fmt: skip


def _with_options(f: FaceChoices, options: list[Option], shelf: Shelf, *, must: bool) -> FaceChoices:
    keep = picked(f, range(len(f.options)))
    return replace(
        keep,
        options=tuple(options),
        heat=np.array([o.heat_after for o in options]),
        hours=np.array([o.hours_typical for o in options]),
        charge=np.array([o.charge for o in options]),
        needs=tuple(needs_of(o, shelf) for o in options),
        airtight=np.array([o.air_barrier for o in options]),
        deep=np.array([o.thickness > 0 for o in options]) if not must else np.ones(len(options), dtype=np.bool_),
        must=must,
    )


def _pace_of(group: str, worked: frozenset[str], pace: float) -> float:
    """Pace expected of a group of ways: that of the log for groups worked in, its worker's part for all others.

    Notes
    -----
    Of what worker and method share in the spread of hours the worker has 0.7² of 0.7² + 0.5².
    """
    return float(pace if group in worked else pace ** (WORKER**2 / (WORKER**2 + METHOD**2)))


def _face_left(
    f: FaceChoices,
    old: Option,
    state: Progress,
    worked: frozenset[str],
    shelf: Shelf,
    found: Option,
    known: Known | None,
) -> FaceChoices:
    share = state.share.get(f.id, 0.0)
    if share >= 1.0 - 1e-9:
        return _with_options(f, [_finished(old)], shelf, must=True)
    if known is None:
        options = [_left(o, share, _pace_of(o.group, worked, state.pace)) for o in f.options]
    else:
        paced = [_left(o, share, known.pace(f.id, o.group, o.hours)) for o in f.options]
        options = [replace(o, shared_hours=known.once(o)) for o in paced]
    if share <= 0:
        return _with_options(f, options, shelf, must=f.must)
    mixed = [_mixed_heat(o, old, share) for o in options if o.group != AS_FOUND]
    return _with_options(f, [_stopped(old, found, share), *mixed], shelf, must=f.must)


def _in_hand(weighing: Weighing, state: Progress, days: float) -> tuple[dict[str, float], list[Finding]]:
    """Units in hand of what was bought and not used up, and what has gone off."""
    out: dict[str, float] = {}
    found: list[Finding] = []
    for buy in weighing.purchases:
        if buy.unit == "job":
            continue
        left = buy.units + buy.on_hand - (0.0 if buy.once else state.used.get(buy.item, 0.0))
        if left < 0:
            found.append(
                Finding(
                    "replan.used-more",
                    f"More {buy.name} was used ({state.used[buy.item]:.1f}) than was bought ({buy.units}).",
                    Weight.WARN,
                    ("log", "used"),
                )
            )
        whole, part = divmod(max(left, 0.0), 1.0)
        age = state.opened.get(buy.item)
        if age is not None and part > 0 and buy.item.startswith("kit-"):
            if age >= days:
                found.append(
                    Finding(
                        "replan.kit-gone",
                        f"The opened {buy.name} is {age:.0f} days old: it keeps about {days:.0f} days, so what is left "
                        "in it is not counted.",
                        Weight.WARN,
                        ("log", "opened"),
                    )
                )
                part = 0.0
            else:
                found.append(
                    Finding(
                        "replan.kit-days",
                        f"The opened {buy.name} has about {days - age:.0f} days left.",
                        Weight.WARN,
                        ("log", "opened"),
                        numbers={"days_left": days - age},
                    )
                )
        out[buy.item] = whole + part
    return out, found


def _problem_left(
    q: Question,
    weighing: Weighing,
    state: Progress,
    in_hand: Mapping[str, float],
    spent: float,
    known: Known | None,
) -> tuple[Problem, Shelf]:
    p = q.problem
    shelf = replace(q.shelf, on_hand={**q.shelf.on_hand, **in_hand})
    old = dict(weighing.plan.ways)
    found = {o.face: o for o in weighing.options if o.way == AS_FOUND}
    worked = _worked(weighing, state)
    faces = tuple(
        _face_left(f, weighing.option(f.id, old[f.id]), state, worked, shelf, found[f.id], known) for f in p.faces
    )
    resources = tuple(_resource_left(r, shelf) for r in p.resources)
    begun = {s for f in state.share for s in weighing.option(f, old[f]).shared if f in old}
    once = {s: 0.0 if s in begun else h for s, h in p.shared}
    if known is not None:
        once = {s: h.typical for f in faces for o in f.options for s, h in o.shared_hours}
    limits = Limits(
        max(p.limits.cash - spent, 0.0) if np.isfinite(p.limits.cash) else np.inf,
        max(p.limits.hours - state.hours, 0.0) if np.isfinite(p.limits.hours) else np.inf,
    )
    left = replace(
        p,
        faces=faces,
        resources=resources,
        gear=tuple((g, 0.0 if shelf.on_hand.get(g, 0.0) >= 1 else price) for g, price in p.gear),
        shared=tuple((s, once.get(s, 0.0)) for s, _ in p.shared),
        limits=limits,
        told_apart=tuple(old[f.id] for f in faces),
    )
    return left, shelf


def _resource_left(r: Resource, shelf: Shelf) -> Resource:
    """Return a resource with what is in hand; gear that is in hand costs nothing with the first unit."""
    packs = tuple(replace(k, start_price=0.0) if shelf.on_hand.get(k.start, 0.0) >= 1 else k for k in r.packs)
    return Resource(r.id, packs, sum(shelf.on_hand.get(k.item, 0.0) * k.amount for k in r.packs))


def _worked(weighing: Weighing, state: Progress) -> frozenset[str]:
    """Groups of ways that were worked in so far."""
    old = dict(weighing.plan.ways)
    return frozenset(weighing.option(f, old[f]).group for f in state.share if f in old)


def _known(weighing: Weighing, state: Progress, learned: Learned, run: Run) -> Known:
    """What is learned, as many draws of it as the plan's spread takes."""
    planned = {f: weighing.option(f, w).group for f, w in weighing.plan.ways}
    draws = learned.drawn(DRAWS[run.effort], run.rng("weigh replan learned"))
    return Known(draws, planned, _worked(weighing, state))


def replan(
    job: Job,
    survey: Survey,
    weighing: Weighing,
    run: Run,
    *,
    pace: float | None = None,
    learned: Learned | None = None,
) -> Outcome[Replan]:
    """Plan what is left, from the work log.

    Parameters
    ----------
    job : Job
        With its log: hours, shares or pieces done, materials used, what was opened when.
    survey : Survey
        Adjusted faces.
    weighing : Weighing
        The plan that was followed; its purchases are taken as made.
    run : Run
        Seed, effort, stop.
    pace : float, optional
        Hours as worked over hours as planned, as learned elsewhere; reckoned from the log if not given. It applies
        to the groups of ways worked in so far, and by the worker's part of it to all others.
    learned : Learned, optional
        Draws of what a log taught of the hours to come: they stand in the place of ``pace`` and of the plan's own
        spread of hours, in the choice and in its chance.

    Returns
    -------
    Outcome of Replan
        Best plan from here against carrying on. What is spent counts for neither; what is in hand costs nothing.

    Raises
    ------
    NoPlan
        If nothing that fits is left to do. Where only budget or days are used up, a finding says so instead.
    """
    q = question_again(job, survey, weighing)
    state = progress(job, weighing, pace)
    days = q.base.rates["ways.kit.days_open"].typical
    spent = sum(b.total for b in weighing.purchases if b.unit != "job")
    in_hand, findings = _in_hand(weighing, state, days)
    known = _known(weighing, state, learned, run) if learned is not None else None
    if known is not None:
        state = replace(state, pace=float(np.median(known.learned.pace)))
    left, shelf = _problem_left(q, weighing, state, in_hand, spent, known)
    search = Search(left, run)
    answer = best_plan(search)
    if answer.plan is None:
        left = replace(left, limits=Limits())
        findings.append(_over(job))
        search = Search(left, run)
        answer = best_plan(search)
    if answer.plan is None:
        raise refuse(search, [f.text for f in findings])
    same = best_plan(search, _same_ways(left, weighing.plan))
    q_left = replace(q, problem=left, shelf=shelf)
    value = _replan_value(q_left, state, answer.plan, same.plan, run, (spent, answer.gap, tuple(findings)), known)
    return Outcome(value, value.findings, finished=answer.finished and same.finished)


def _over(job: Job) -> Finding:
    return Finding(
        "replan.limits",
        "What is left of the budget or of the days no longer suffices for any way to finish: the plan below goes over "
        "them.",
        Weight.WARN,
        ("wishes",) if job.wishes.budget is not None else ("you", "days"),
    )


def _same_ways(p: Problem, plan: PlanPoint) -> Among:
    """Every face on the way it was planned, and the line where it was."""
    old = dict(plan.ways)
    only = {n: tuple(i for i, o in enumerate(f.options) if o.way == old[f.id]) for n, f in enumerate(p.faces)}
    return Among(tuple(z for z in p.movable if p.net.zones[z] in plan.inside), only)


def _replan_value(
    q: Question,
    state: Progress,
    best: Plan,
    same: Plan | None,
    run: Run,
    more: tuple[float, float, tuple[Finding, ...]],
    known: Known | None,
) -> Replan:
    p = q.problem
    spent, gap, findings = more
    pt = point(p, best)
    s = spreads_of(q)
    begun = {k for k, hours in p.shared if hours <= 0.0}  # done already: no hours of it are to come
    s = replace(s, shared={k: (0.0, 0.0, 0.0) if k in begun else v for k, v in s.shared.items()})
    d = draw(p, DRAWS[run.effort], run.rng("weigh replan"))
    own = _simulated(p, best, s, d, known)
    on = point(p, same) if same is not None else None
    switch = on is None or pt.whole_cost < on.whole_cost - 1e-6 * abs(on.whole_cost)
    chance = 1.0
    if same is not None:
        chance = float(np.mean(own.whole < _simulated(p, same, s, d, known).whole)) if switch else 0.0
    buys: tuple[Purchase, ...] = (
        *(b for b in purchases(p, best, q.shelf) if b.units),
        *crew_purchases(p, best, {}),
    )
    return Replan(
        pt,
        on,
        switch,
        chance,
        tuple(state.share.items()),
        state.hours,
        spent,
        state.pace,
        buys,
        plan_hours(p, best),
        band(own.hours),
        gap,
        _text(q, state, pt, on, switch, chance, best, spent),
        findings,
    )


def _simulated(p: Problem, plan: Plan, s: Spreads, d: Draws, known: Known | None) -> Outcomes:
    """All draws of a plan for what is left, its hours by what the log taught where it taught something."""
    out = simulate(p, plan, s, d)
    if known is None:
        return out
    hours = learned_hours(p, plan, s, d, known)
    return replace(out, hours=hours, whole=out.whole + p.worth * (hours - out.hours))


def _text(
    q: Question,
    state: Progress,
    pt: PlanPoint,
    on: PlanPoint | None,
    switch: bool,
    chance: float,
    best: Plan,
    spent: float,
) -> str:
    currency = q.base.job.place.currency
    sunk = (
        f"{state.hours:.1f} h and {spent:.0f} {currency} are spent and count for neither side; what is left of the "
        "material costs nothing more."
    )
    at_pace = f"At your pace so far ({state.pace:.2f} x the planned hours)"
    if on is None:
        return f"{sunk} Carrying on as planned no longer keeps your limits. Best now: {_what(q, best)}."
    if not switch:
        return f"{sunk} {at_pace} carrying on is still best: {on.hours:.1f} h left."
    sure = f"{chance:.0%} sure" if chance >= SURE else f"only {chance:.0%} sure: near enough to please yourself"
    return (
        f"{sunk} {at_pace} carrying on takes {on.hours:.1f} h and {on.cash:.0f} {currency} more; switching the rest to "
        f"{_what(q, best)} takes {pt.hours:.1f} h and {pt.cash:.0f} {currency} more ({sure})."
    )


def _what(q: Question, best: Plan) -> str:
    p = q.problem
    left = [n for n, f in enumerate(p.faces) if len(f.options) > 1]
    rest = replace(p, faces=tuple(p.faces[n] for n in left))
    return describe(rest, Plan(best.inside, tuple(best.picks[n] for n in left)), q.titles)
