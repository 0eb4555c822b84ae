"""Whatever is shown can be acted on: each tipping point and each plan of the frontier is what a new plan then says.

Small invented houses: a knee wall and a floor, or rafters and a gable over them, of random sizes, prices and hours. The
question is put again as a changed job puts it, and chosen again from the start: nothing of the first answer is handed
on.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from tests.ways.house import eaves_job, surveyed

from snugbay.base import Effort, Run
from snugbay.job import Job, SheetStock, Stock, Wishes, You
from snugbay.materials import name_and_unit
from snugbay.survey import Survey
from snugbay.weigh.dry import choose
from snugbay.weigh.evaluate import whole_cost, worth
from snugbay.weigh.points import describe
from snugbay.weigh.question import problem
from snugbay.weigh.stage import Question, looked_at, weighing
from snugbay.weigh.values import BreakEven, PlanPoint, Weighing

QUICK = Run(seed=2, effort=Effort.QUICK)
JOBS = range(20)
KEPT = ("boards-over", "boards-in-bays", "batts-cover", "batts", "kit", "seal-only")


@cache
def asked(number: int) -> Question:
    """The question of one of five measured houses, its options reckoned once, with hours and fuel of its own."""
    house = laid(number % 5)
    rng = np.random.default_rng(number)
    job = house.base.job
    you = replace(job.you, hour_worth=float(rng.uniform(4.0, 45.0)))
    fuel = replace(job.place.fuel, price_kwh=float(rng.uniform(0.05, 0.25)))
    return again(house, replace(job, you=you, place=replace(job.place, fuel=fuel)))


@cache
def laid(number: int) -> Question:
    job, taped = small_job(number)
    return looked_at(job, taped, QUICK)


def small_job(number: int) -> tuple[Job, Survey]:
    from snugbay.materials import Rates
    from snugbay.ways import all_ways

    rng = np.random.default_rng(100 + number)
    long, high, deep = (float(rng.uniform(a, b)) for a, b in ((2.0, 6.0), (0.9, 1.3), (0.8, 2.0)))
    sheets = Stock((SheetStock("polyiso-2in", 0.0508, 1.2192, 2.4384),))
    never = tuple(w.id for w in all_ways((), Rates()) if w.id not in KEPT)
    job, _ = eaves_job(stock=sheets, you=You(20.0), wishes=Wishes(ways_never=never))
    sizes = {"K": (long, high), "F": (long, deep), "S": (long, 1.1 * (high + deep)), "G": (deep, 0.7 * high)}
    return job, surveyed(**sizes)


def again(q: Question, job: Job) -> Question:
    """Put the question of a changed job; its options are the same where nothing that they are made of has changed."""
    base = replace(q.base, job=job)
    return replace(q, base=base, problem=problem(base, q.options, q.shelf)[0])


def answered(q: Question) -> Weighing:
    choice = choose(q, QUICK)
    return weighing(choice.question, choice.chooser, choice.answer, QUICK).value


@cache
def shown(number: int) -> Weighing:
    return answered(asked(number))


def with_figure(q: Question, tip: BreakEven, value: float) -> Question | None:
    """The question of a job with one figure changed; None where the change is not one of the job's own."""
    job = q.base.job
    match tip.what:
        case "worth of an hour":
            return again(q, replace(job, you=replace(job.you, hour_worth=value)))
        case "energy price":  # of a kWh of heat in the rooms
            fuel = replace(job.place.fuel, price_kwh=value * job.place.fuel.efficiency)
            return again(q, replace(job, place=replace(job.place, fuel=fuel)))
        case "kit price":
            foam = q.problem.resource_by_id["kit-foam"]
            told = {k.item for k in foam.packs if f"for a {name_and_unit(k.item)[0]}" in tip.text}
            first = next(k for k in foam.packs if tip.unit == f"for a {name_and_unit(k.item)[0]}")
            scale = value / first.price
            packs = tuple(replace(k, price=k.price * scale) if k.item in told else k for k in foam.packs)
            others = tuple(replace(foam, packs=packs) if r.id == foam.id else r for r in q.problem.resources)
            return replace(q, problem=replace(q.problem, resources=others))
        case _:
            return None


@pytest.mark.parametrize("number", JOBS)
def test_either_side_of_a_tipping_point_a_new_plan_is_the_one_that_was_named(number: int) -> None:
    q = asked(number)
    for tip in shown(number).break_evens:
        for value, words in ((tip.value * (1 - 1e-3), tip.below), (tip.value * (1 + 1e-3), tip.above)):
            changed = with_figure(q, tip, value)
            if changed is None:
                continue
            choice = choose(changed, QUICK)
            assert choice.answer.plan is not None
            found = describe(choice.question.problem, choice.answer.plan, q.titles)
            assert found == words, (tip.text, value, found)


def test_the_houses_tip_at_more_than_one_figure() -> None:
    """The test above would pass with no tipping points at all."""
    assert {t.what for n in JOBS for t in shown(n).break_evens} >= {"worth of an hour", "kit price"}


def held(q: Question, point: PlanPoint) -> Question:
    """The question of a job that insists on every way of a plan."""
    ways = dict(point.ways)
    zones = tuple(replace(z, may_come_inside=z.may_come_inside and z.id in point.inside) for z in q.base.job.zones)
    faces = tuple(replace(f, must=ways[f.id]) for f in q.base.job.faces)
    return again(q, replace(q.base.job, faces=faces, zones=zones))


@pytest.mark.parametrize("number", range(5))
def test_every_plan_that_is_shown_can_be_held_to(number: int) -> None:
    w = shown(number)
    points = [w.plan, *w.frontier, *w.candidates, *(c for _, c in w.single_way), *([w.second] if w.second else [])]
    for point in points:
        choice = choose(held(asked(number), point), QUICK)
        p = choice.question.problem
        assert choice.answer.plan is not None
        assert (
            tuple((f.id, f.options[i].way) for f, i in zip(p.faces, choice.answer.plan.picks, strict=True))
            == point.ways
        )
        assert whole_cost(p, worth(p, choice.answer.plan)) == pytest.approx(point.whole_cost)
        # judged with none spared: what is shown stays dry
        assert not choice.chooser.spared
