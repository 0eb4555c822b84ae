"""The choice is made again where counting what was laid makes another plan better, and stays where it does not."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.weigh.test_shown_is_judged import QUICK, small_job

from snugbay.materials import Rates
from snugbay.ways import all_ways
from snugbay.ways.resources import shelf
from snugbay.weigh import AS_FOUND, Weighing, weigh_again, weigh_dry
from snugbay.weigh.counted import counted_again


@pytest.fixture(scope="module")
def offered() -> Weighing:
    return weigh_dry(*small_job(1), QUICK).value


def counted(w: Weighing, factor: float) -> Weighing:
    """The chosen ways take so many times their hours once they are laid."""
    chosen = set(w.plan.ways)
    options = tuple(
        replace(o, hours=tuple(replace(h, typical=factor * h.typical, high=factor * h.high) for h in o.hours))
        if (o.face, o.way) in chosen
        else o
        for o in w.options
    )
    return replace(w, options=options)


def test_the_choice_stays_where_the_count_says_what_was_offered(offered: Weighing) -> None:
    for count in (offered, counted(offered, 1.02)):
        again = weigh_again(*small_job(1), count, QUICK)
        assert again is not None
        assert again.value.plan.ways == offered.plan.ways
        assert again.value.plan.hours >= offered.plan.hours - 1e-9


def test_another_plan_is_chosen_where_the_chosen_one_takes_far_longer(offered: Weighing) -> None:
    slow = counted(offered, 20.0)
    again = weigh_again(*small_job(1), slow, QUICK)
    assert again is not None
    assert again.value.plan.ways != offered.plan.ways
    assert again.value.proof.judged
    # what was counted is kept for the ways that were laid
    for face, way in offered.plan.ways:
        assert again.value.option(face, way).hours == slow.option(face, way).hours


def test_the_chosen_plan_counted_is_counted_wherever_it_is_listed(offered: Weighing) -> None:
    """Else the plan stands beside itself with the figures of before, as one that comes out lower."""
    job, _ = small_job(1)
    laid = [
        replace(o, hours=tuple(replace(h, typical=1.1 * h.typical) for h in o.hours))
        for face, way in offered.plan.ways
        if way != AS_FOUND
        for o in (offered.option(face, way),)
    ]
    things = shelf(job, all_ways(job.own_ways, Rates()), Rates())
    after = counted_again(offered, laid, things, job.you.hour_worth)
    assert after.plan.hours > offered.plan.hours
    same = [c for c in (*after.candidates, *after.frontier) if c.ways == after.plan.ways]
    assert same
    assert all(c == after.plan for c in same)
