"""The angle that boards are cut to: measured faces rule over guesses, a gauge against them stops the work."""

import re
from math import degrees, radians
from typing import Any

import pytest
from tests.pieces.rooms import adjusted, face, job_of, survey_of
from tests.told_by_faces import COTTAGE_BY_FACES

from snugbay.base import Run, Weight
from snugbay.document import EXAMPLES, example, read
from snugbay.job import Job, Join, Part
from snugbay.pieces import BoardChoice, Fitting, make_pieces
from snugbay.pieces.corners import BAD_GAUGE, GUESSED, opening_of
from snugbay.survey import JoinCheck, Survey, survey

COTTAGE = COTTAGE_BY_FACES
TRUE = {"eaves floor to slope": 38.4, "knee wall to slope": 51.6}


def surveyed(text: str) -> tuple[Job, Survey]:
    job = read(text)
    return job, survey(job, Run()).value


def angles(job: Job, taped: Survey) -> dict[str, tuple[float, tuple[str, ...]]]:
    found = {}
    for join in job.joins:
        if join.name in TRUE:
            made = opening_of(join, taped)
            found[join.name] = (degrees(made.angle), tuple(f.code for f in made.findings))
    return found


def test_eaves_without_gauged_angles_are_cut_to_the_fold_not_to_square() -> None:
    """The sides and diagonals of floor, wall, slope and gable hold the angles; a default of 90 has no vote."""
    with_gauge = angles(*surveyed(COTTAGE))
    without = angles(*surveyed(re.sub(r'angle = "(38.4|51.6)"\n', "", COTTAGE)))
    for name, true in TRUE.items():
        assert with_gauge[name][0] == pytest.approx(true, abs=0.3)
        assert without[name][0] == pytest.approx(with_gauge[name][0], abs=0.1)
        assert not with_gauge[name][1]
        assert not without[name][1]


def test_a_gauge_that_the_faces_contradict_stops_the_work_and_is_named() -> None:
    job, taped = surveyed(COTTAGE.replace('angle = "38.4"', 'angle = "48.4"'))
    join = next(j for j in job.joins if j.name == "eaves floor to slope")
    made = opening_of(join, taped)
    assert degrees(made.angle) == pytest.approx(38.4, abs=0.3)
    (finding,) = made.findings
    assert (finding.code, finding.weight) == (BAD_GAUGE, Weight.STOP)
    assert finding.where == ("joins", "eaves floor to slope")
    assert degrees(finding.figure("gauge")) == pytest.approx(48.4)


def hinged(**check: Any) -> tuple[Job, Survey]:
    """A floor before a rough joist, and a wall that nothing but the join holds to it."""
    corners = {
        "F": [(0, 0, 0), (1, 0, 0), (1, 1, 0), (0, 1, 0)],
        "W": [(1, 0, 0), (0, 0, 0), (0, 0, 1), (1, 0, 1)],
    }
    join = Join("F", ("A", "B"), "W", ("A", "B"), radians(90), gauged=False)
    faces = [face("F", 4, Part.FLOOR, rough_edges=(("C", "D"),)), face("W", 4)]
    taped = survey_of([adjusted(k, v, 0.001) for k, v in corners.items()])
    known = JoinCheck("F", "W", "", 0.0, 0.0, None, radians(90), **check)
    return job_of(faces, [join]), Survey(taped.faces, (), (), (known,), 0.0, 1.0, 1)


def test_a_guess_is_asked_for_and_widens_the_gap() -> None:
    made = {}
    for sigma, guessed in ((0.1, False), (5.0, True)):
        job, taped = hinged(sigma=radians(sigma), guessed=guessed)
        boards = tuple(BoardChoice(f, "polyiso-2in", ((0.05, Fitting.ON_FACE),), 2.0, 2.0) for f in "FW")
        made[guessed] = make_pieces(job, taped, boards, Run()).value
    assert [f.code for f in made[True].findings] == [GUESSED]
    assert not made[False].findings
    least = [min(p.fits for p in made[g].pieces) for g in (False, True)]
    wide = [max(e.gap for p in made[g].pieces for e in p.edges) for g in (False, True)]
    assert least[1] < least[0] or wide[1] > wide[0]


def test_every_example_says_of_its_guesses_only_what_nothing_holds() -> None:
    for name in EXAMPLES:
        job, taped = surveyed(example(name))
        gauged = {j.name for j in job.joins if j.gauged}
        assert not [c.name for c in taped.joins if c.guessed and c.name in gauged]
        assert not any(c.gauge_off for c in taped.joins)
