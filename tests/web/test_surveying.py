"""The page surveys by the one way that the command line has: the same limit, the same findings."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.told_by_faces import COTTAGE_BY_FACES

from snugbay.base import Run
from snugbay.document import EXAMPLES, example, read
from snugbay.flow import measured, measured_so_far, only
from snugbay.survey import Survey
from snugbay.web.opened import narrowed, open_text

COTTAGE = COTTAGE_BY_FACES


def points(survey: Survey) -> dict[tuple[str, str], tuple[float, float]]:
    return {(f.id, c): p for f in survey.faces for c, p in zip(f.corners, f.points, strict=True)}


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_page_says_what_the_command_line_says(name: str) -> None:
    opened = open_text(example(name))
    assert opened.job is not None
    told, whole = measured_so_far(opened.job, Run()), measured(read(example(name)), Run())
    assert told.survey == whole.value
    assert told.findings == whole.findings
    assert told.faults == ()


def test_a_face_that_cannot_be_surveyed_takes_no_other_with_it() -> None:
    job = read(COTTAGE)
    slope = job.face("S1")
    bad = replace(slope, readings=(replace(slope.readings[0], value=-1.0), *slope.readings[1:]))
    found = measured_so_far(replace(job, faces=tuple(bad if f.id == "S1" else f for f in job.faces)), Run())
    assert found.survey is not None
    assert {f.id for f in job.faces} - {f.id for f in found.survey.faces} == {"S1"}
    assert any(bad.id in map(str, fault.where) for fault in found.faults)


def test_edges_that_cannot_meet_take_the_join_alone() -> None:
    job = read(COTTAGE)
    wrong = replace(job.joins[0], opening=-1.0)
    found = measured_so_far(replace(job, joins=(wrong, *job.joins[1:])), Run())
    assert found.survey is not None
    assert {"K1", "F1", "S1"} <= {f.id for f in found.survey.faces}
    assert found.faults


@pytest.mark.parametrize(("was", "now"), [("14' 2\"", "14' 2-1/8\""), ('"46"', '"45 15/16"')])
def test_a_sketch_starts_where_the_face_lay(was: str, now: str) -> None:
    assert was in COTTAGE or was.rstrip('"') in COTTAGE
    before = measured(read(COTTAGE), Run()).value
    job = read(COTTAGE.replace(was.rstrip('"') if was not in COTTAGE else was, now, 1))
    quick, slow = measured_so_far(job, Run(), before).survey, measured(job, Run()).value
    assert quick is not None
    here, there = points(quick), points(slow)
    assert all(here[k] == pytest.approx(there[k], abs=2e-4) for k in there)  # a fifth of a millimetre
    strange = measured(read(example("mill-cellar")), Run()).value
    found = measured_so_far(job, Run(), strange).survey
    assert found is not None
    seen = points(found)
    # faces that it does not know are searched for as ever
    assert all(seen[k] == pytest.approx(there[k], abs=2e-4) for k in there)


def test_a_space_without_its_volume_takes_no_sketch_away() -> None:
    text = "\n".join(line for line in COTTAGE.splitlines() if not line.startswith("volume_m3"))
    opened = open_text(text)
    assert opened.job is not None
    assert len(opened.job.faces) == len(read(COTTAGE).faces)
    assert any(f.where[-1] == "volume_m3" for f in opened.faults)  # told, and never planned with
    assert not opened.whole
    alone = narrowed(opened.data, ("faces", "K1"))
    assert alone.job is not None
    assert measured_so_far(only(alone.job, {"K1"}), Run()).survey is not None
