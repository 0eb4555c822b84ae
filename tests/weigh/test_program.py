"""The program against trying every plan."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.weigh.small import best_by_trying, every_plan, question

from snugbay.base import Effort, Run
from snugbay.job import Objective, ZoneKind
from snugbay.ways.balance import season_loss_of
from snugbay.weigh.alternatives import best_plan, first_aim, frontier, lines, one_way, second_best, whole_cost_aim
from snugbay.weigh.asking import Aim
from snugbay.weigh.cells import components, first_boxes, split
from snugbay.weigh.evaluate import Plan, allowed, cheapest_packs, whole_cost, within, worth
from snugbay.weigh.points import plan_from, point
from snugbay.weigh.problem import FaceChoices, Limits, Pack, Problem, Resource
from snugbay.weigh.pruning import without_dominated
from snugbay.weigh.question import present_factor
from snugbay.weigh.search import Search

QUICK = Run(effort=Effort.QUICK)


def shaped(seed: int) -> Problem:
    """Three to five faces, two to four ways, up to two spaces, now and then the ground under them."""
    buffers = seed % 3
    return question(
        seed, faces=3 + seed % 3, options=2 + seed % 3, buffers=buffers, ground=buffers > 0 and seed % 5 == 0
    )


@pytest.mark.parametrize("block", range(10))
def test_optimum_equals_brute_force_on_300_random_jobs(block: int) -> None:
    """Value and proof: the bound meets the answer, and no plan of all there are is cheaper."""
    for seed in range(30 * block, 30 * block + 30):
        p = shaped(seed)
        aim = whole_cost_aim(p)
        answer = Search(p, QUICK).best(aim)
        tried = best_by_trying(p, aim)
        assert tried is not None
        assert answer.plan is not None
        assert answer.worth is not None
        assert answer.value == pytest.approx(tried[2], rel=1e-7), seed
        assert answer.gap == 0.0
        assert answer.finished
        assert allowed(p, answer.plan)
        assert answer.value == pytest.approx(whole_cost(p, worth(p, answer.plan)))


@pytest.mark.parametrize("seed", range(350, 362))
def test_three_spaces_joined_with_each_other(seed: int) -> None:
    """Several conductances vary at once: narrowed boxes, branched on."""
    p = question(seed, faces=7, options=2, buffers=3, ground=seed % 3 == 0)
    answer = Search(p, QUICK).best(whole_cost_aim(p))
    tried = best_by_trying(p, whole_cost_aim(p))
    assert tried is not None
    assert answer.value == pytest.approx(tried[2], rel=1e-7)
    assert answer.gap == 0.0
    assert answer.finished


@pytest.mark.parametrize("seed", range(400, 430))
@pytest.mark.parametrize("objective", [Objective.LEAST_CASH, Objective.FEWEST_HOURS, Objective.WARMEST])
def test_other_objectives_under_limits(seed: int, objective: Objective) -> None:
    p = shaped(seed)
    whole = worth(p, Search(p, QUICK).best(whole_cost_aim(p)).plan or Plan((), ()))
    limits = Limits(whole.cash * 1.1 + 50, whole.hours * 1.2 + 1)
    p = replace(p, objective=objective, limits=limits, deal=objective is not Objective.WARMEST)
    answer = best_plan(Search(p, QUICK))
    tried = best_by_trying(p, first_aim(p))
    if tried is None:
        assert answer.plan is None
        return
    assert answer.plan is not None
    assert answer.worth is not None
    assert first_aim(p).value(answer.worth) == pytest.approx(tried[2], rel=1e-6, abs=1e-6)
    assert within(p, answer.worth)
    # among equals the cheapest in all
    equals = [
        whole_cost(p, w)
        for plan in every_plan(p)
        for w in (worth(p, plan),)
        if within(p, w) and first_aim(p).value(w) <= tried[2] * (1 + 1e-7) + 1e-6
    ]
    assert whole_cost(p, answer.worth) <= min(equals) * (1 + 1e-6) + 1e-6


@pytest.mark.parametrize("seed", range(500, 520))
def test_second_best_is_the_second_best(seed: int) -> None:
    p = shaped(seed)
    search = Search(p, QUICK)
    first = best_plan(search)
    assert first.plan is not None
    second = second_best(search, first.plan)
    others = [whole_cost(p, worth(p, plan)) for plan in every_plan(p) if plan.picks != first.plan.picks]
    if not others:
        assert second.plan is None
        return
    assert second.value == pytest.approx(min(others), rel=1e-7)


@pytest.mark.parametrize("seed", range(520, 535))
def test_never_worse_than_one_way_throughout_or_any_line(seed: int) -> None:
    p = shaped(seed)
    search = Search(p, QUICK)
    best = best_plan(search).value
    found = one_way(search, QUICK)
    for group, plan, pt in found:
        assert best <= pt.whole_cost + 1e-6
        used = {f.options[i].group for f, i in zip(p.faces, plan.picks, strict=True)}
        assert used <= {group, "as-found"}
    rivals = lines(search, QUICK)
    assert len(rivals) <= 2 ** len(p.movable)
    assert min(pt.whole_cost for _, pt in rivals) == pytest.approx(best)
    for plan, pt in rivals:
        same_line = [whole_cost(p, worth(p, q)) for q in every_plan(p) if q.inside == plan.inside]
        assert pt.whole_cost == pytest.approx(min(same_line), rel=1e-7)


@pytest.mark.parametrize("seed", range(540, 550))
def test_no_buildable_plan_beats_a_point_of_the_frontier(seed: int) -> None:
    p = shaped(seed)
    points, whole = frontier(Search(p, Run()), Run())
    assert whole
    all_plans = [worth(p, plan) for plan in every_plan(p)]
    table = np.array([[w.cash, w.hours, w.season_kwh] for w in all_plans])
    for pt in points:
        w = worth(p, plan_from(p, pt))
        own = np.array([w.cash, w.hours, w.season_kwh])
        slack = 1e-6 * np.maximum(np.abs(own), 1.0)
        beats = (table <= own + slack).all(axis=1) & (table < own - slack).any(axis=1)
        assert not beats.any()


@given(st.integers(0, 10_000), st.floats(0, 1), st.floats(0, 1), st.floats(0, 1))
@settings(max_examples=120, deadline=None)
def test_corners_of_a_box_never_promise_more_than_the_loss(seed: int, a: float, b: float, c: float) -> None:
    """The bound that proves the gap: inside every box, mixed as the program may mix, it lies under the true loss."""
    p = question(seed, faces=5, options=3, buffers=1 + seed % 2, ground=seed % 2 == 0)
    parts = components(p)
    for old in first_boxes(p, parts)[:6]:
        choice = parts[old.component].configs[old.config]
        if not choice.varies:
            continue
        share = np.resize(np.array([a, b, c]), len(choice.varies))
        inside = choice.low.copy()
        inside[list(choice.varies)] = old.low + share * (old.high - old.low)
        # corners are in the order of `product`: the first varying pair changes slowest
        weights = np.ones(1)
        for s in share:
            weights = np.concatenate([weights[:, None] * (1 - s), weights[:, None] * s], axis=1).ravel()
        true = float(season_loss_of(parts[old.component].net, inside, p.drop))
        assert weights @ old.corners == pytest.approx(inside)
        assert float(weights @ old.loss) <= true * (1 + 1e-9) + 1e-9
        for new in split(p, parts, old, inside):
            assert new.loss.min() >= old.loss.min() - 1e-6 * abs(true)


def test_conductance_along_one_pair_is_as_the_bound_takes_it() -> None:
    """A + B·s/(s + r): three values fix the curve, a fourth lies on it."""
    p = question(12, faces=6, options=3, buffers=2)
    part, choice = next((part, c) for part in components(p) for c in part.configs if c.varies)
    n = choice.varies[0]

    def loss(s: float) -> float:
        c = choice.low.copy()
        c[n] = s
        return float(season_loss_of(part.net, c, p.drop))

    s = np.array([1.0, 4.0, 20.0, 60.0])
    y = np.array([loss(v) for v in s])
    # y·(s + r) = A·r + (A + B)·s, linear in A·r, A + B and r
    ar, slope, r = np.linalg.solve(np.stack([np.ones(3), s[:3], -y[:3]], axis=1), y[:3] * s[:3])
    assert (ar + slope * s[3]) / (s[3] + r) == pytest.approx(y[3], rel=1e-9)


def test_several_sizes_of_pack() -> None:
    """Kits of 600 and 200 for 900 and 400: up to 200 one small, to 400 two small, to 600 one large, 700 one of each."""
    foam = Resource("foam", (Pack("k6", 600, 900.0), Pack("k2", 200, 400.0)))
    expected = {150: {"k2": 1}, 390: {"k2": 2}, 410: {"k6": 1}, 700: {"k6": 1, "k2": 1}, 900: {"k6": 1, "k2": 2}}
    expected[1100] = {"k6": 2}
    for need, units in expected.items():
        assert cheapest_packs(foam, need) == units, need
    assert cheapest_packs(replace(foam, on_hand=100.0), 690.0) == {"k6": 1}
    assert cheapest_packs(foam, 0.0) == {}


@given(st.floats(1.0, 5000.0), st.floats(50.0, 2000.0), st.floats(50.0, 2000.0))
@settings(max_examples=100, deadline=None)
def test_packs_cover_the_need_and_no_cheaper_mix_does(need: float, big: float, small: float) -> None:
    foam = Resource("foam", (Pack("k6", 600, big), Pack("k2", 200, small)))
    units = cheapest_packs(foam, need)
    n6, n2 = units.get("k6", 0), units.get("k2", 0)
    assert 600 * n6 + 200 * n2 >= need - 1e-3
    paid = n6 * big + n2 * small
    for a in range(12):
        for b in range(30):
            if 600 * a + 200 * b >= need:
                assert paid <= a * big + b * small + 1e-6


def test_present_factor_is_the_annuity() -> None:
    """20 years at 3 %: (1 - 1.03^-20)/0.03 = 14.8775 (closed form)."""
    assert present_factor(20, 0.03, 0.0) == pytest.approx((1 - 1.03**-20) / 0.03)
    assert present_factor(20, 0.0, 0.0) == 20
    assert present_factor(10, 0.02, 0.02) == pytest.approx(10)
    assert present_factor(2.5, 0.03, 0.0) == pytest.approx(1.03**-1 + 1.03**-2 + 0.5 * 1.03**-3)


def test_leaving_out_dominated_options_changes_nothing() -> None:
    for seed in range(600, 612):
        full = question(seed, faces=4, options=4, buffers=1)
        doubled = replace(full, faces=tuple(_with_worse_twins(f) for f in full.faces))
        pruned = replace(doubled, faces=tuple(without_dominated(f) for f in doubled.faces))
        assert sum(len(f.options) for f in pruned.faces) < sum(len(f.options) for f in doubled.faces)
        values = [Search(p, QUICK).best(whole_cost_aim(p)).value for p in (doubled, pruned)]
        assert values[0] == pytest.approx(values[1])


def _with_worse_twins(f: FaceChoices) -> FaceChoices:
    worse = tuple(replace(o, way=o.way + "-worse") for o in f.options[1:])
    return replace(
        f,
        options=(*f.options, *worse),
        heat=np.concatenate([f.heat, 1.1 * f.heat[1:]]),
        hours=np.concatenate([f.hours, f.hours[1:] + 0.5]),
        charge=np.concatenate([f.charge, f.charge[1:]]),
        needs=(*f.needs, *f.needs[1:]),
        airtight=np.concatenate([f.airtight, f.airtight[1:]]),
        deep=np.concatenate([f.deep, f.deep[1:]]),
    )


def test_the_same_seed_gives_the_same_plan() -> None:
    p = shaped(77)
    answers = [Search(p, Run(seed=5)).best(whole_cost_aim(p)) for _ in range(2)]
    assert answers[0].plan == answers[1].plan
    assert answers[0].rounds == answers[1].rounds


def test_a_limit_of_heat_is_kept_by_the_true_reckoning() -> None:
    for seed in range(620, 630):
        p = shaped(seed)
        warm = Search(p, QUICK).best(Aim(0.0, 0.0, 1.0))
        cheap = Search(p, QUICK).best(Aim(1.0, 0.0, 0.0))
        assert warm.worth is not None
        assert cheap.worth is not None
        most = 0.5 * (warm.worth.season_kwh + cheap.worth.season_kwh)
        answer = Search(p, QUICK).best(Aim(1.0, 0.0, 0.0), Limits(season_kwh=most))
        tried = best_by_trying(replace(p, limits=Limits(season_kwh=most)), Aim(1.0, 0.0, 0.0))
        assert tried is not None
        assert answer.value == pytest.approx(tried[2])
        assert answer.worth is not None
        assert answer.worth.season_kwh <= most * (1 + 1e-6)


def test_points_and_plans_are_two_ways_of_saying_it() -> None:
    p = shaped(5)
    for plan in list(every_plan(p))[:50]:
        assert plan_from(p, point(p, plan)) == plan


def test_ground_below_may_warm_a_space() -> None:
    """The case the bound allows for: a crawl space warmer than outdoors because of the ground."""
    found = False
    for seed in range(60):
        p = question(seed, faces=5, options=3, buffers=1, ground=True)
        found |= any(not all(b.exact) for b in first_boxes(p, components(p)))
    assert found
    assert ZoneKind.GROUND in p.net.kinds
