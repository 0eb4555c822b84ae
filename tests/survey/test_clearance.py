"""How high it is to work: by the floor and the roof of a space, at each place, where nobody said."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from snugbay.base import Effort, Run
from snugbay.document import example, read
from snugbay.job import Job
from snugbay.survey import Survey, survey
from snugbay.survey.clearance import clearance

INCH = 0.0254
RUN = Run(effort=Effort.QUICK)


@cache
def eaves(*, told: bool) -> tuple[Job, Survey]:
    """Eaves 58 in deep and 46 in high at the knee wall, under a pitch of 9.5 in 12."""
    job = read(example("ferry-cottage"))
    faces = tuple(replace(f, headroom_told=told) for f in job.faces)
    job = replace(job, faces=faces)
    return job, survey(job, RUN).value


def test_a_place_is_as_high_as_the_slope_over_it() -> None:
    """By hand: under a pitch of 9.5/12 a foot from the eaves it is 9.5 in high; a body lies up to 0.3 m nearer in."""
    job, taped = eaves(told=False)
    rooms = clearance(job, taped)
    floor = job.face("F1")
    for inches in (12.0, 24.0, 36.0):
        (found,) = rooms.heights(floor, [(1.0, inches * INCH)])
        assert found == pytest.approx((inches * INCH + 0.3) * 9.5 / 12, rel=0.03)


def test_in_front_of_a_knee_wall_it_is_as_high_as_the_wall_and_no_higher_than_the_space() -> None:
    job, taped = eaves(told=False)
    assert clearance(job, taped).middle(job.face("K1")) == pytest.approx(46 * INCH, abs=0.05)
    low = replace(job, zones=tuple(replace(z, height=0.5, height_told=True) for z in job.zones))
    assert clearance(low, taped).middle(job.face("K1")) == 0.5


def test_nobody_works_inside_a_box() -> None:
    """Before the back of a box a person lies on the eaves' side of it, where the slope is lower than at the wall."""
    job, taped = eaves(told=False)
    rooms = clearance(job, taped)
    assert rooms.middle(job.face("B2-back")) < rooms.middle(job.face("B1-back")) < rooms.middle(job.face("K1")) - 0.1


def test_what_is_stated_stands() -> None:
    job, taped = eaves(told=True)
    rooms = clearance(job, taped)
    assert {rooms.middle(f) for f in job.faces} == {f.headroom for f in job.faces}


def test_without_floor_or_roof_the_height_taken_for_the_face_holds() -> None:
    job, taped = eaves(told=False)
    wall = replace(job, faces=(job.face("K1"),))
    assert clearance(wall, taped).middle(job.face("K1")) == job.face("K1").headroom


def test_a_low_place_takes_longer_than_a_high_one() -> None:
    job, taped = eaves(told=False)
    over = clearance(job, taped).over(job.face("S1"))
    assert min(over) < 0.5
    assert max(over) > 1.0
