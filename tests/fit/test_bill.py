"""The buying list's money beside what the plan was chosen at."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.booklet.plan_fixture import PLAN

from snugbay.fit import bill, over_budget
from snugbay.job import Job
from snugbay.weigh import Purchase, Weighing


def thing(item: str, units: int, price: float) -> Purchase:
    return Purchase(item, f"the {item}", units, "piece", float(units), 0.0, price, units * price, False, "")


@pytest.fixture(scope="module")
def weighing() -> Weighing:
    return replace(PLAN.weighing, purchases=(thing("board", 4, 50.0), thing("can", 2, 10.0), thing("gun", 1, 30.0)))


@pytest.fixture(scope="module")
def job() -> Job:
    return PLAN.job


def test_the_same_list_differs_by_nothing(weighing: Weighing) -> None:
    same = bill(weighing, weighing.purchases)
    assert (same.bought, same.reckoned, same.reasons, same.differs) == (250.0, 250.0, (), False)


def test_the_difference_is_the_sum_of_its_reasons(weighing: Weighing) -> None:
    found = bill(
        weighing, (thing("board", 3, 50.0), thing("can", 5, 10.0), thing("gun", 1, 30.0), thing("tape", 1, 8.0))
    )
    assert found.bought == 3 * 50 + 5 * 10 + 30 + 8
    assert found.reckoned == 250.0
    assert found.reasons == ("the board: 3 instead of 4", "the can: 5 instead of 2", "the tape: 1 instead of 0")


def test_what_was_reckoned_and_is_not_needed_is_named(weighing: Weighing) -> None:
    assert bill(weighing, (thing("board", 4, 50.0), thing("gun", 1, 30.0))).reasons == ("the can: 0 instead of 2",)


def test_many_small_reasons_are_told_together(weighing: Weighing) -> None:
    many = (*weighing.purchases, *(thing(f"x{n}", 1, 1.0 + n) for n in range(9)))
    assert bill(weighing, many).reasons[-1] == "5 smaller ones"


@pytest.mark.parametrize(("budget", "warned"), [(None, False), (400.0, False), (300.0, True), (200.0, False)])
def test_a_list_over_the_budget_is_said(job: Job, weighing: Weighing, budget: float | None, warned: bool) -> None:
    """A budget that the plan itself passes is the weighing's to say, not the list's."""
    dear = bill(weighing, (*weighing.purchases, thing("board", 7, 50.0), thing("can", 2, 10.0), thing("gun", 1, 30.0)))
    found = over_budget(replace(job, wishes=replace(job.wishes, budget=budget)), replace(dear, bought=380.0))
    assert bool(found) is warned
    if found:
        assert found[0].figure("over") == pytest.approx(80.0)
        assert found[0].where == ("wishes", "budget")
