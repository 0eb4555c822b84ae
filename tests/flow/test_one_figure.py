"""A quantity has one value, wherever it stands."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.flow.mill import RUN, cellar

from snugbay.fit import bill
from snugbay.flow import replanned
from snugbay.job import LogEntry
from snugbay.weigh.points import as_shown


def test_the_payback_is_the_middle_of_its_spread() -> None:
    w = cellar().weighing
    assert w.money.payback_cash == w.spread.payback_years.p50
    assert w.spread.payback_with_hours is not None
    assert w.money.payback_with_hours == w.spread.payback_with_hours.p50


def test_the_carbon_is_the_middle_of_its_spread() -> None:
    plan = cellar()
    assert plan.afterwards is not None
    assert plan.weighing.money.carbon == plan.afterwards.carbon_kg.p50


def test_hours_of_elements_faces_and_steps_add_up_to_the_hours_that_are_shown() -> None:
    plan = cellar()
    shown = as_shown(plan.weighing)
    assert sum(h.typical for h in shown.hours) == pytest.approx(shown.plan.hours)
    assert sum(s.hours for s in plan.fitting.steps) == pytest.approx(shown.plan.hours)


def test_what_a_re_plan_counts_as_spent_is_the_bill() -> None:
    plan = cellar()
    face = next(f for f, w in plan.weighing.plan.ways if w != "as-found")
    entry = LogEntry(1.0, "all", face, share_done=0.3)
    begun = replace(plan.job, log=replace(plan.job.log, entries=(entry,)))
    left = replanned(plan, begun, RUN).value.onward
    assert left is not None
    assert left.choice.sunk_cash == pytest.approx(bill(plan.weighing, plan.buying).bought)
