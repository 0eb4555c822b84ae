"""The sheets' minutes are held against the hours that the decision counted, and a difference is said and explained."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.booklet.plan_fixture import PLAN

from snugbay.booklet.cutting import compared
from snugbay.flow import JobPlan
from snugbay.sheets import SheetPlan
from snugbay.ways import HourElement


def decided(marking: float, cutting: float) -> JobPlan:
    hours = tuple(
        HourElement(name, 0.5 * h, h, 2 * h)
        for name, h in (("marking", marking), ("cutting", cutting), ("fitting", 9.0))
    )
    return replace(PLAN, weighing=replace(PLAN.weighing, hours=hours))


CUT = sum(c.minutes for s in PLAN.sheets.sheets for c in s.cuts) / 60


def test_a_decision_that_counted_the_same_is_said_to_agree() -> None:
    said = compared(decided(0.4 * CUT, 0.62 * CUT))
    assert "That is what the decision counted" in said


@pytest.mark.parametrize("share", [0.3, 0.8, 1.2, 3.0])
def test_a_difference_is_said_with_both_figures_and_both_counts(share: float) -> None:
    """The two figures stood in one booklet, 4.6 h and 2.7 h, and nobody held one against the other."""
    said = compared(decided(0.4 * share * CUT, 0.6 * share * CUT))
    for figure in (share * CUT, 0.5 * share * CUT, 2 * share * CUT, CUT):
        assert f"{figure:.1f}".removesuffix(".0") in said
    assert f"{PLAN.sheets.set_ups} set-ups" in said
    assert "same rates" in said


def test_nothing_is_said_where_nothing_is_cut() -> None:
    assert compared(decided(0.0, 0.0)) == ""
    none = SheetPlan((), 0.0, 0, 0, 0.0, 0.0)
    assert compared(replace(decided(1.0, 1.0), sheets=none)) == ""
