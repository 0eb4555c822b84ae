"""The table of other plans shows the middle of the draws, as the cover does; sentences go by the same figures."""

from __future__ import annotations

from dataclasses import replace

from tests.booklet.plan_fixture import PLAN

from snugbay.booklet.choosing import choice
from snugbay.booklet.words import words_of
from snugbay.flow import JobPlan
from snugbay.weigh.values import Middle


def with_middles(own: float, other: float) -> JobPlan:
    w = PLAN.weighing
    first = replace(w.plan, middle=Middle(4321.0, 12.0, 210.0, own))
    second = replace(w.second or w.plan, middle=Middle(4444.0, 13.0, 220.0, other))
    return replace(PLAN, weighing=replace(w, plan=first, second=second))


def test_the_table_of_other_plans_shows_medians() -> None:
    plan = with_middles(9000.0, 9150.0)
    words = words_of(plan.job)
    made = choice(plan, words)
    rows = made["plans"]
    assert isinstance(rows, list)
    assert rows[0][1:] == [words.money(4321.0), rows[0][2], words.money(210.0), words.money(9000.0)]
    assert rows[1][1] == words.money(4444.0)
    assert words.money(150.0) in str(made["second"])


def test_a_second_best_that_shows_less_is_about_as_good() -> None:
    plan = with_middles(9000.0, 8950.0)
    said = str(choice(plan, words_of(plan.job))["second"])
    assert said.startswith("About as good")
    assert words_of(plan.job).money(50.0) in said
