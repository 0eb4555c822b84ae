"""Break-evens: solved on either side."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.weigh.small import best_by_trying, every_plan, question

from snugbay.base import Run
from snugbay.job import Job
from snugbay.materials import name_and_unit
from snugbay.weigh.asking import Aim, Answer
from snugbay.weigh.breakeven import break_evens
from snugbay.weigh.evaluate import worth
from snugbay.weigh.money import cash_flow, money, payback, present_value
from snugbay.weigh.points import describe
from snugbay.weigh.problem import Problem, Resource
from snugbay.weigh.search import Search
from snugbay.weigh.values import BreakEven, PlanPoint

TITLES = {"b0": "Eaves", "b1": "Loft"}


def _at(p: Problem, tip: BreakEven, value: float) -> Problem:
    """The job with one figure changed as its sentence says, by other code than the one under test."""
    match tip.what:
        case "worth of an hour":
            return replace(p, worth=value)
        case "energy price":
            return replace(p, kwh_worth=p.kwh_worth * value / p.kwh_price)
        case "kit price":
            foam = p.resource_by_id["foam"]
            named = [name_and_unit(k.item)[0] in tip.text for k in foam.packs]
            scale = value / next(k.price for k, said in zip(foam.packs, named, strict=True) if said)
            packs = tuple(
                replace(k, price=k.price * scale if said else k.price)
                for k, said in zip(foam.packs, named, strict=True)
            )
            others = tuple(r for r in p.resources if r.id != "foam")
            return replace(p, resources=(*others, Resource("foam", packs)))
        case _:
            raise AssertionError(tip.what)


def _renamed(p: Problem) -> Problem:
    """Kit foam under the name that the question about its price looks for."""
    foam = replace(p.resource_by_id["foam"], id="kit-foam")
    faces = tuple(
        replace(f, needs=tuple({("kit-foam" if r == "foam" else r): a for r, a in n.items()} for n in f.needs))
        for f in p.faces
    )
    return replace(p, faces=faces, resources=(*(r for r in p.resources if r.id != "foam"), foam))


def _is_best(q: Problem, words: str) -> bool:
    """Tell whether the least whole cost is that of a plan so described (two plans may cost the same)."""
    aim = Aim(1.0, q.worth, q.kwh_worth)
    tried = best_by_trying(q, aim)
    assert tried is not None
    said = [aim.value(worth(q, plan)) for plan in every_plan(q) if describe(q, plan, TITLES) == words]
    return min(said) <= tried[2] * (1 + 1e-9)


@pytest.mark.parametrize("seed", range(700, 718))
def test_either_side_of_a_break_even_has_the_plan_it_says(seed: int) -> None:
    """Brute force a little below and a little above: plans as named, and their costs cross there."""
    plain = question(seed, faces=4, options=3, buffers=seed % 2)
    p = _renamed(plain)
    for tip in break_evens(Search(p, Run()), Run(), TITLES, 0, "USD")[0]:
        for value, words in ((tip.value * (1 - 1e-4), tip.below), (tip.value * (1 + 1e-4), tip.above)):
            q = _at(plain, tip, value)
            assert _is_best(q, words), (tip, value)
        assert tip.text.endswith(".")
        assert tip.value > 0


def test_some_jobs_tip_at_each_figure() -> None:
    """The test above would pass with no break-evens at all."""
    seen = set()
    for seed in range(700, 718):
        p = _renamed(question(seed, faces=4, options=3, buffers=seed % 2))
        seen |= {tip.what for tip in break_evens(Search(p, Run()), Run(), TITLES, 0, "USD")[0]}
    assert seen == {"worth of an hour", "kit price", "energy price"}


def _notched(seed: int) -> Problem:
    """Two notches on every board option, half an hour each."""
    base = question(seed, faces=3, options=3, buffers=0)
    faces = []
    for f in base.faces:
        options = tuple(replace(o, notches=2, notch_hours=0.5) if o.group == "boards" else o for o in f.options)
        faces.append(replace(f, options=options))
    return replace(base, faces=tuple(faces))


def test_notches_tip_the_choice_where_they_cost_enough() -> None:
    checked = 0
    for seed in range(30, 50):
        p = _notched(seed)
        for tip in break_evens(Search(p, Run()), Run(), TITLES, 6, "USD")[0]:
            if tip.what != "number of notches":
                continue
            checked += 1
            for count, words in ((tip.value * 0.999, tip.below), (tip.value * 1.001, tip.above)):
                more = (count / 6 - 1) * 2 * 0.5
                faces = tuple(
                    replace(f, hours=f.hours + [more if o.group == "boards" else 0.0 for o in f.options])
                    for f in p.faces
                )
                assert _is_best(replace(p, faces=faces), words)
    assert checked >= 3


def test_payback_by_hand() -> None:
    assert payback(1000.0, 250.0, 0.0) == pytest.approx(4.0)
    assert payback(1100.0, 250.0, 0.0) == pytest.approx(4.4)
    # 250·1.1 + 250·1.21 = 577.5, third year 332.75
    assert payback(577.5 + 0.5 * 332.75, 250.0, 0.1) == pytest.approx(2.5)
    assert payback(100.0, 0.0, 0.0) is None
    assert payback(0.0, -5.0, 0.0) == 0.0
    assert payback(1e9, 1.0, 0.0) is None


def test_present_value_and_flow_by_hand() -> None:
    flow = cash_flow(500.0, 100.0, 0.02, 3)
    assert flow == pytest.approx((-500.0, 102.0, 104.04, 106.1208))
    assert present_value(flow, 0.03) == pytest.approx(-500 + 102 / 1.03 + 104.04 / 1.03**2 + 106.1208 / 1.03**3)
    assert len(cash_flow(1.0, 1.0, 0.0, 2.5)) == 4


def test_incentives_are_counted_once_and_never_pay_more_than_was_spent(plain_job: Job) -> None:
    plan = PlanPoint((), (), (), 800.0, 10.0, 120.0, 1500.0, 0.0)
    without = money(plain_job, plan)
    job = replace(plain_job, wishes=replace(plain_job.wishes, incentive=300.0))
    helped = money(job, plan)
    assert helped.net_present_value - without.net_present_value == pytest.approx(300.0)
    assert helped.net_present_value_with_hours == pytest.approx(helped.net_present_value - 200.0)
    too_much = money(replace(job, wishes=replace(job.wishes, incentive=5000.0)), plan)
    assert too_much.incentive == 800.0
    assert without.carbon == pytest.approx(1500 / 0.82 * 0.25)


@pytest.fixture
def plain_job() -> Job:
    from tests.ways.house import job

    return job()


def test_a_figure_that_takes_too_much_work_is_left_open_and_named(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is not proved tips nothing, and is not passed over in silence."""
    monkeypatch.setattr(Search, "best", lambda *_, **__: Answer(None, None, float("inf"), 0.0, 1, finished=False))
    tips, left_open = break_evens(
        Search(_renamed(question(700, faces=4, options=3, buffers=0)), Run()), Run(), TITLES, 0, "USD"
    )
    assert tips == ()
    assert set(left_open) == {"worth of an hour", "kit price", "energy price"}
