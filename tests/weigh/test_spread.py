"""The spread against a plain loop of the same model, and against its own promises."""

from __future__ import annotations

import math

import numpy as np
import pytest
from tests.weigh.loop import loop_of
from tests.weigh.small import question

from snugbay.base import Run
from snugbay.weigh.alternatives import best_plan, whole_cost_aim
from snugbay.weigh.evaluate import Plan, whole_cost, worth
from snugbay.weigh.luck import Z95, at_point, at_quantile, draw, steady_draws
from snugbay.weigh.problem import Problem
from snugbay.weigh.search import Search
from snugbay.weigh.spread import Spreads, band, simulate, tornado


def spreads(p: Problem) -> Spreads:
    items = {k.item: (0.8 * k.price, k.price, 1.3 * k.price) for r in p.resources for k in r.packs}
    items |= {g: (0.5 * v, v, 1.5 * v) for g, v in p.gear}
    shared = {s: (1.5, h, 4.0) for s, h in p.shared}
    return Spreads(items, shared, {c: (700.0, v, 1200.0) for c, v in p.crews}, (0.8, 1.0, 1.25), 0.05, 0.2, 20.0)


def best(p: Problem) -> Plan:
    plan = best_plan(Search(p, Run())).plan
    assert plan is not None
    return plan


@pytest.mark.parametrize("seed", range(12))
def test_all_draws_at_once_equal_a_plain_loop(seed: int) -> None:
    """The vectorised model and a loop over draws in plain Python, same draws, figure by figure."""
    p = question(seed, faces=6, options=3, buffers=seed % 3, ground=seed % 2 == 1 and seed % 3 > 0)
    plan, s = best(p), spreads(p)
    d = draw(p, 40, np.random.default_rng(seed))
    fast = simulate(p, plan, s, d)
    slow = loop_of(p, plan, s, d)
    for name in ("hours", "cash", "saving", "whole"):
        assert np.asarray(getattr(fast, name)) == pytest.approx(slow[name], rel=2e-4, abs=0.02), name


def test_medians_are_the_typical_figures() -> None:
    p = question(3, faces=6, options=3, buffers=1)
    plan = best(p)
    out = simulate(p, plan, spreads(p), steady_draws(p))
    w = worth(p, plan)
    assert float(out.hours[0]) == pytest.approx(w.hours, rel=1e-5)
    assert float(out.cash[0]) == pytest.approx(w.cash, rel=1e-5)
    assert float(out.whole[0]) == pytest.approx(whole_cost(p, w), rel=1e-5)


def test_low_and_high_are_the_5th_and_95th_percentile() -> None:
    z = np.random.default_rng(1).standard_normal(200_000)
    v = at_point(z, (2.0, 5.0, 20.0))
    low, mid, high = np.quantile(v, (0.05, 0.5, 0.95))
    assert (low, mid, high) == pytest.approx((2.0, 5.0, 20.0), rel=0.02)
    straight = at_point(z, (0.0, 2.0, 4.0))
    assert straight.min() == 0.0
    assert float(np.quantile(straight, 0.05)) == pytest.approx(0.0, abs=0.02)
    assert float(np.quantile(straight, 0.95)) == pytest.approx(4.0, rel=0.02)
    nothing = at_quantile(z, np.zeros(1), np.zeros(1), np.zeros(1))
    assert not nothing.any()


def test_quantile_by_hand() -> None:
    assert float(at_point(np.array([Z95]), (1.0, 3.0, 12.0))[0]) == pytest.approx(12.0, rel=1e-6)
    assert float(at_point(np.array([-Z95]), (1.0, 3.0, 12.0))[0]) == pytest.approx(1.0, rel=1e-6)
    half = float(at_point(np.array([Z95 / 2]), (1.0, 3.0, 12.0))[0])
    assert half == pytest.approx(math.sqrt(3.0 * 12.0), rel=1e-6)


def test_faces_go_together_as_stated() -> None:
    """Hours of two faces of one group correlate by 0.7² + 0.5² = 0.74 in the normal scores, of two groups by 0.49."""
    p = question(3, faces=6, options=3, buffers=0)
    d = draw(p, 100_000, np.random.default_rng(2))
    worker = 0.7 * d.worker
    a, b = (worker + 0.5 * d.methods["boards"] + 0.51 * d.face_hours[k] for k in (0, 1))
    c = worker + 0.5 * d.methods["kit"] + 0.51 * d.face_hours[2]
    assert float(np.corrcoef(a, b)[0, 1]) == pytest.approx(0.74, abs=0.01)
    assert float(np.corrcoef(a, c)[0, 1]) == pytest.approx(0.49, abs=0.01)
    assert float(np.std(a)) == pytest.approx(1.0, abs=0.01)


def test_the_same_draws_compare_plans_like_with_like() -> None:
    p = question(4, faces=5, options=3, buffers=1)
    s, plan = spreads(p), best(p)
    d = draw(p, 4000, np.random.default_rng(3))
    again = draw(p, 4000, np.random.default_rng(3))
    first, second = simulate(p, plan, s, d), simulate(p, plan, s, again)
    assert np.array_equal(first.whole, second.whole)
    assert not (first.whole < second.whole).any()


def test_tornado_is_sorted_and_brackets_the_middle() -> None:
    p = question(5, faces=6, options=3, buffers=1)
    plan = best(p)
    rows = tornado(p, plan, spreads(p))
    swings = [abs(high - low) for _, low, high in rows]
    assert swings == sorted(swings, reverse=True)
    middle = whole_cost(p, worth(p, plan))
    for name, low, high in rows:
        assert min(low, high) <= middle * (1 + 1e-4) + 1e-3, name
        assert max(low, high) >= middle * (1 - 1e-4) - 1e-3, name
    pace = {n: (a, b) for n, a, b in rows}["your pace"]
    assert pace[1] >= pace[0]


def test_bands_are_in_order_and_keep_infinity() -> None:
    b = band(np.array([3.0, 1.0, 2.0, np.inf, 5.0, 4.0, np.inf, 6.0, 7.0, 8.0]))
    assert b.p10 <= b.p50 <= b.p90
    assert b.p90 == np.inf


def test_leaving_all_as_found_costs_only_energy() -> None:
    p = question(6, faces=5, options=3, buffers=1)
    out = simulate(p, None, spreads(p), draw(p, 100, np.random.default_rng(1)))
    assert not out.hours.any()
    assert not out.cash.any()
    assert not out.saving.any()
    assert (out.whole > 0).all()
    assert whole_cost_aim(p).cash == 1.0
