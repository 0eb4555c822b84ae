"""Every plan that is shown beside the chosen one speaks its language: the middle of the same draws."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.prove.cases import RUN, mill

from snugbay.weigh import PlanPoint, Weighing
from snugbay.weigh.likely import DRAWS, Likely, spreads_of
from snugbay.weigh.luck import draw
from snugbay.weigh.points import as_shown, plan_from, second_costs_more
from snugbay.weigh.spread import simulate
from snugbay.weigh.whynot import question_again


def points(w: Weighing) -> list[PlanPoint]:
    second = [w.second] if w.second is not None else []
    return [w.plan, *second, *w.candidates, *(p for _, p in w.single_way), *w.frontier]


def test_every_plan_has_the_medians_of_the_headline_s_draws() -> None:
    """Worked out once more from nothing, plan by plan, with a sort for the median."""
    job, taped, w, _ = mill()
    q = question_again(job, taped, w)
    d = draw(q.problem, DRAWS[RUN.effort], RUN.rng("weigh spread"))
    assert len(set(points(w))) > 3
    for point in points(w):
        out = simulate(q.problem, plan_from(q.problem, point), spreads_of(q), d)
        middles = [float(np.sort(x)[(len(x) - 1) // 2]) for x in (out.cash, out.hours, out.saving, out.whole)]
        assert point.middle is not None
        assert list(vars(point.middle).values()) == pytest.approx(middles)


def test_the_chosen_plan_shows_its_headline() -> None:
    w = mill()[2]
    own = w.plan.shown
    assert (own.cash, own.hours, own.saving) == (w.spread.cash.p50, w.spread.hours.p50, w.spread.saving.p50)
    assert own.ways == w.plan.ways
    assert (w.plan.cash, w.plan.hours) != (own.cash, own.hours)  # what it was chosen by stays as it is


def test_a_weighing_as_shown_holds_the_same_plans() -> None:
    w = mill()[2]
    shown = as_shown(w)
    assert [p.ways for p in points(shown)] == [p.ways for p in points(w)]
    assert points(shown) == [p.shown for p in points(w)]
    assert second_costs_more(shown) == pytest.approx(second_costs_more(w))
    assert second_costs_more(replace(w, second=None)) == 0.0
    bare = replace(w.plan, middle=None)
    assert bare.shown is bare
    assert bare == w.plan


def test_the_same_question_and_seed_draw_the_same() -> None:
    """What the sliders find is drawn again from the plan's own question, seed and number of draws."""
    job, taped, w, _ = mill()
    again = Likely(question_again(job, taped, w), w.spread.draws, RUN)
    assert again.with_middle(replace(w.plan, middle=None)).middle == w.plan.middle
