"""Re-plan: the same program for what is left, with what is in hand; sunk costs stay sunk."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from snugbay.base import Finding, Outcome, Run, Weight
from snugbay.base.facts import Count, Days, FaceRef, Listed, Money, Name, Number
from snugbay.job import Job
from snugbay.survey import Survey
from snugbay.ways import HourElement, Option
from snugbay.ways.limits import AS_FOUND
from snugbay.ways.resources import Shelf
from snugbay.weigh.alternatives import best_plan, refuse
from snugbay.weigh.asking import Among
from snugbay.weigh.evaluate import Plan, total_needs
from snugbay.weigh.learned import Known, Learned, learned_hours
from snugbay.weigh.likely import DRAWS, spreads_of
from snugbay.weigh.luck import Draws, draw
from snugbay.weigh.points import describe, point
from snugbay.weigh.problem import FaceChoices, Limits, Problem, Resource
from snugbay.weigh.pruning import picked
from snugbay.weigh.question import needs_of
from snugbay.weigh.report import crew_purchases, plan_hours, purchases
from snugbay.weigh.search import Search
from snugbay.weigh.spread import Outcomes, Spreads, band, simulate
from snugbay.weigh.stage import Question
from snugbay.weigh.values import SURE, PlanPoint, Purchase, Replan, Weighing
from snugbay.weigh.whynot import question_again


@dataclass(frozen=True)
class Progress:
    """Where the work stands, as the log was read.

    Attributes
    ----------
    share : Mapping of str to float
        Face to the share of its work that is done, only faces begun.
    hours : float
        Hours logged. [h]
    used : Mapping of str to float
        Item to units used.
    opened : Mapping of str to float
        Item to days since it was opened.
    paid : float
        Money spent by lists before that of the plan that is followed. [currency]
    """

    share: Mapping[str, float]
    hours: float
    used: Mapping[str, float]
    opened: Mapping[str, float]
    paid: float = 0.0


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


def rest_option(option: Option, done: Option, share: float) -> Option:
    """Return an option for the rest of a face of which a share was done another way."""
    return _mixed_heat(_left(option, share, 1.0), done, share)


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


def _face_left(f: FaceChoices, old: Option, state: Progress, shelf: Shelf, found: Option, known: Known) -> FaceChoices:
    share = state.share.get(f.id, 0.0)
    if share >= 1.0 - 1e-9:
        return _with_options(f, [_finished(old)], shelf, must=True)
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
                Finding.of(
                    "replan.used-more",
                    Weight.WARN,
                    ("log", "used"),
                    buy=Name(buy.name),
                    used=Number(state.used[buy.item]),
                    units=Count(buy.units),
                )
            )
        whole, part = divmod(max(left, 0.0), 1.0)
        age = state.opened.get(buy.item)
        if age is not None and part > 0 and buy.item.startswith("kit-"):
            if age >= days:
                found.append(
                    Finding.of(
                        "replan.kit-gone",
                        Weight.WARN,
                        ("log", "opened"),
                        buy=Name(buy.name),
                        age=Days(age),
                        days=Days(days),
                    )
                )
                part = 0.0
            else:
                found.append(
                    Finding.of(
                        "replan.kit-days", Weight.WARN, ("log", "opened"), buy=Name(buy.name), age=Days(days - age)
                    )
                )
        out[buy.item] = whole + part
    return out, found


def _problem_left(
    q: Question, weighing: Weighing, state: Progress, in_hand: Mapping[str, float], spent: float, known: Known
) -> tuple[Problem, Shelf]:
    p = q.problem
    shelf = replace(q.shelf, on_hand={**q.shelf.on_hand, **in_hand})
    old = dict(weighing.plan.ways)
    found = {o.face: o for o in weighing.options if o.way == AS_FOUND}
    faces = tuple(_face_left(f, weighing.option(f.id, old[f.id]), state, shelf, found[f.id], known) for f in p.faces)
    resources = tuple(_resource_left(r, shelf) for r in p.resources)
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
        told_apart=tuple(f"{old[f.id]} {state.share.get(f.id, 0.0):.6f}" for f in faces),
    )
    return left, shelf


def _resource_left(r: Resource, shelf: Shelf) -> Resource:
    """Return a resource with what is in hand; gear that is in hand costs nothing with the first unit."""
    packs = tuple(replace(k, start_price=0.0) if shelf.on_hand.get(k.start, 0.0) >= 1 else k for k in r.packs)
    return Resource(r.id, packs, sum(shelf.on_hand.get(k.item, 0.0) * k.amount for k in r.packs))


def _known(weighing: Weighing, state: Progress, learned: Learned, run: Run) -> Known:
    """What is learned, as many draws of it as the plan's spread takes."""
    planned = {f: weighing.option(f, w).group for f, w in weighing.plan.ways}
    draws = learned.drawn(DRAWS[run.effort], run.rng("weigh replan learned"))
    worked = frozenset(planned[f] for f in state.share if f in planned)
    return Known(draws, planned, worked)


def spent_so_far(weighing: Weighing, paid: float) -> float:
    """Money spent: on the list that the plan was bought by, and on the lists before it. [currency]"""
    return paid + sum(b.total for b in weighing.purchases if b.unit != "job")


@dataclass(frozen=True)
class _Found:
    """A plan for what is left, and what the shop gives back for what it does not need."""

    plan: Plan
    point: PlanPoint
    returned: tuple[tuple[str, int, float], ...]

    @property
    def whole_cost(self) -> float:
        """Cost from here, less what comes back. [currency]"""
        return self.point.whole_cost - sum(money for _, _, money in self.returned)


def replan(
    job: Job, survey: Survey, weighing: Weighing, run: Run, state: Progress, learned: Learned
) -> Outcome[Replan]:
    """Plan what is left.

    Parameters
    ----------
    job : Job
        The question as it stands now.
    survey : Survey
        Adjusted faces.
    weighing : Weighing
        The plan that was followed; its purchases are taken as made.
    run : Run
        Seed, effort, stop.
    state : Progress
        What is done, spent and used, as the log was read.
    learned : Learned
        Draws of what the log taught of the hours to come: they stand in the place of the plan's own spread of hours, in
        the choice and in its chance.

    Returns
    -------
    Outcome of Replan
        Best plan from here against carrying on. What is spent counts for neither; what is in hand costs nothing, and
        whole units that a plan does not need go back to the shop. A face that was begun goes on in its material and
        thickness unless the gain of another way beats the worth of a change half-way (rate ``ways.replan.half_way``).

    Raises
    ------
    NoPlan
        If nothing that fits is left to do. Where only budget or days are used up, a finding says so instead.
    """
    q = question_again(job, survey, weighing)
    days = q.base.rates["ways.kit.days_open"].typical
    spent = spent_so_far(weighing, state.paid)
    in_hand, findings = _in_hand(weighing, state, days)
    known = _known(weighing, state, learned, run)
    left, shelf = _problem_left(q, weighing, state, in_hand, spent, known)
    search = Search(left, run)
    answer = best_plan(search)
    if answer.plan is None:
        left = replace(left, limits=Limits())
        findings.append(_over(job))
        search = Search(left, run)
        answer = best_plan(search)
    if answer.plan is None:
        raise refuse(search, findings)
    back = q.base.rates["ways.replan.returned"].typical

    def found(plan: Plan | None) -> _Found | None:
        return None if plan is None else _Found(plan, point(left, plan), _returned(left, plan, weighing, shelf, back))

    free, kept, same = (
        found(plan)
        for plan in (
            answer.plan,
            best_plan(search, _begun(left, weighing, state)).plan,
            best_plan(search, _same_ways(left, weighing.plan)).plan,
        )
    )
    assert free is not None
    least = q.base.rates["ways.replan.half_way"].typical * left.worth
    best = free
    changes = [] if kept is None else _changed(free.point, kept.point, weighing, state)
    if changes and kept is not None:
        gain = kept.whole_cost - free.whole_cost
        if gain <= least:
            best = kept
        else:
            findings.append(_half_way(changes, gain, least))
    if same is not None and same.whole_cost <= best.whole_cost + 1e-6 * abs(best.whole_cost):
        best = same
    q_left = replace(q, problem=left, shelf=shelf)
    value = _replan_value(q_left, state, best, same, run, (spent, answer.gap, tuple(findings)), known)
    return Outcome(value, value.findings, finished=answer.finished)


def _returned(
    p: Problem, plan: Plan, weighing: Weighing, shelf: Shelf, back: float
) -> tuple[tuple[str, int, float], ...]:
    """Return whole units that were bought and that a plan for the rest does not need, and what comes back for them."""
    bought = {b.item: b for b in weighing.purchases if b.units and not b.once and b.unit in GIVEN_BACK}
    out = []
    needs = total_needs(p, plan)
    for r in p.resources:
        need = needs.get(r.id, 0.0)
        packs = sorted((k for k in r.packs if k.item in bought), key=lambda k: k.amount)
        over = sum(shelf.on_hand.get(k.item, 0.0) * k.amount for k in r.packs) - need
        for pack in packs:
            had = min(int(shelf.on_hand.get(pack.item, 0.0) + 1e-9), bought[pack.item].units)
            units = max(0, min(had, int(over / pack.amount + 1e-9)))
            if units and back > 0:
                out.append((pack.item, units, units * bought[pack.item].price * back))
                over -= units * pack.amount
    return tuple(out)


GIVEN_BACK = ("sheet", "kit", "can", "roll", "box", "bag")
"""Selling units that a shop takes back whole."""


def _keeps(option: Option, old: Option) -> bool:
    """Tell whether an option goes on in the material and thickness of another."""
    if option.way == old.way:
        return True
    if option.boards is None or old.boards is None:
        return False
    return (option.boards.material, option.boards.layers) == (old.boards.material, old.boards.layers)


def _begun(p: Problem, weighing: Weighing, state: Progress) -> Among:
    """Every face begun goes on in its material and thickness."""
    only: dict[int, tuple[int, ...]] = {}
    for n, face in enumerate(p.faces):
        if 0.0 < state.share.get(face.id, 0.0) < 1.0 - 1e-9:
            old = weighing.option(face.id, weighing.plan.way(face.id))
            only[n] = tuple(i for i, o in enumerate(face.options) if _keeps(o, old))
    return Among(only=only)


def _changed(free: PlanPoint, kept: PlanPoint, weighing: Weighing, state: Progress) -> list[tuple[str, Option, Option]]:
    """Return the faces begun that one plan goes on with otherwise than another: face, its way so far, the new one."""
    old, there = dict(free.ways), dict(kept.ways)
    return [
        (f, weighing.option(f, weighing.plan.way(f)), weighing.option(f, old[f]))
        for f, share in state.share.items()
        if 0.0 < share < 1.0 - 1e-9 and f in old and old[f] != there[f]
    ]


def _half_way(changes: list[tuple[str, Option, Option]], gain: float, least: float) -> Finding:
    return Finding.of(
        "replan.half-way",
        Weight.WARN,
        ("faces", changes[0][0]),
        faces=Listed(tuple(FaceRef(f) for f, _, _ in changes)),
        was=Listed(tuple(Name(t) for t in dict.fromkeys(o.title for _, o, _ in changes))),
        now=Listed(tuple(Name(t) for t in dict.fromkeys(o.title for _, _, o in changes))),
        gain=Money(gain),
        least=Money(least),
    )


def _over(job: Job) -> Finding:
    return Finding.of("replan.limits", Weight.WARN, ("wishes",) if job.wishes.budget is not None else ("you", "days"))


def _same_ways(p: Problem, plan: PlanPoint) -> Among:
    """Every face on the way it was planned, and the line where it was."""
    old = dict(plan.ways)
    only = {n: tuple(i for i, o in enumerate(f.options) if o.way == old[f.id]) for n, f in enumerate(p.faces)}
    return Among(tuple(z for z in p.movable if p.net.zones[z] in plan.inside), only)


def _replan_value(
    q: Question,
    state: Progress,
    best: _Found,
    same: _Found | None,
    run: Run,
    more: tuple[float, float, tuple[Finding, ...]],
    known: Known,
) -> Replan:
    p = q.problem
    spent, gap, findings = more
    s = spreads_of(q)
    begun = {k for k, hours in p.shared if hours <= 0.0}  # done already: no hours of it are to come
    s = replace(s, shared={k: (0.0, 0.0, 0.0) if k in begun else v for k, v in s.shared.items()})
    d = draw(p, DRAWS[run.effort], run.rng("weigh replan"))
    own = _simulated(p, best, s, d, known)
    switch = same is None or best.point.ways != same.point.ways or best.point.inside != same.point.inside
    chance = 1.0
    if same is not None:
        chance = float(np.mean(own.whole < _simulated(p, same, s, d, known).whole)) if switch else 0.0
    buys: tuple[Purchase, ...] = (
        *(b for b in purchases(p, best.plan, q.shelf) if b.units),
        *crew_purchases(p, best.plan, {}),
    )
    pace = float(np.median(known.learned.pace))
    return Replan(
        best.point,
        None if same is None else same.point,
        switch,
        chance,
        tuple(state.share.items()),
        state.hours,
        spent,
        pace,
        buys,
        plan_hours(p, best.plan),
        band(own.hours),
        gap,
        _text(q, state, best, same, (switch, chance, pace, spent)),
        findings,
        best.returned,
    )


def _simulated(p: Problem, found: _Found, s: Spreads, d: Draws, known: Known) -> Outcomes:
    """All draws of a plan for what is left, its hours by what the log taught, less what the shop gives back."""
    out = simulate(p, found.plan, s, d)
    hours = learned_hours(p, found.plan, s, d, known)
    back = sum(money for _, _, money in found.returned)
    return replace(out, hours=hours, whole=out.whole + p.worth * (hours - out.hours) - back)


def _text(
    q: Question, state: Progress, best: _Found, same: _Found | None, more: tuple[bool, float, float, float]
) -> str:
    switch, chance, pace, spent = more
    currency = q.base.job.place.currency
    pt, on = best.point, None if same is None else same.point
    sunk = (
        f"{state.hours:.1f} h and {spent:.0f} {currency} are spent and count for neither side; what is left of the "
        "material costs nothing more."
    )
    at_pace = f"At your pace so far ({pace:.2f} x the planned hours)"
    if on is None:
        return f"{sunk} Carrying on as planned no longer keeps your limits. Best now: {_what(q, best.plan)}."
    if not switch:
        return f"{sunk} {at_pace} carrying on is still best: {on.hours:.1f} h left."
    head = "Plan the rest anew: " if chance >= SURE else "Carry on for now: "
    sure = f"{chance:.0%} sure" if chance >= SURE else f"only {chance:.0%} sure: near enough to please yourself"
    back = sum(money for _, _, money in best.returned)
    given = f", of which {back:.0f} come back for what is not needed" if back > 0.5 else ""
    return (
        f"{head}{sunk} {at_pace} carrying on takes {on.hours:.1f} h and {on.cash:.0f} {currency} more; switching the "
        f"rest to {_what(q, best.plan)} takes {pt.hours:.1f} h and {pt.cash:.0f} {currency} more{given} ({sure})."
    )


def _what(q: Question, best: Plan) -> str:
    p = q.problem
    left = [n for n, f in enumerate(p.faces) if len(f.options) > 1]
    rest = replace(p, faces=tuple(p.faces[n] for n in left))
    return describe(rest, Plan(best.inside, tuple(best.picks[n] for n in left)), q.titles)
