"""The survey part by part and from where a shape lay before: the same answer as the survey of the whole."""

from __future__ import annotations

import pytest

from snugbay.base import Run
from snugbay.document import EXAMPLES, example, read
from snugbay.survey import Survey, adjust
from snugbay.web.opened import narrowed, open_text
from snugbay.web.surveying import joined_parts, put_together, quick_options, survey_of, survey_options

COTTAGE = example("ferry-cottage")


def points(survey: Survey) -> dict[tuple[str, str], tuple[float, float]]:
    return {(f.id, c): p for f in survey.faces for c, p in zip(f.corners, f.points, strict=True)}


@pytest.mark.parametrize("name", EXAMPLES)
def test_parts_are_surveyed_as_the_whole_is(name: str) -> None:
    job = read(example(name))
    parts = joined_parts(job)
    assert sorted(f.id for part in parts for f in part.faces) == sorted(f.id for f in job.faces)
    assert sum(len(part.joins) for part in parts) == len(job.joins)
    whole = adjust(job.faces, job.joins, survey_options(job.units.value), Run()).value
    told = put_together(job, [survey_of(part) for part in parts]).survey
    assert told is not None
    assert [f.id for f in told.faces] == [f.id for f in whole.faces]
    here, there = points(told), points(whole)
    assert all(here[k] == pytest.approx(there[k], abs=1e-9) for k in there)
    assert {s.text for s in told.suspects} == {s.text for s in whole.suspects}
    assert {u.text for u in told.unchecked} == {u.text for u in whole.unchecked}
    assert told.chi2 == pytest.approx(whole.chi2)
    assert told.freedom == whole.freedom


@pytest.mark.parametrize(("was", "now"), [("14' 2\"", "14' 2-1/8\""), ('"46"', '"45 15/16"')])
def test_a_sketch_starts_where_the_face_lay(was: str, now: str) -> None:
    assert was in COTTAGE or was.rstrip('"') in COTTAGE
    before = survey_of(read(COTTAGE)).survey
    assert before is not None
    job = read(COTTAGE.replace(was.rstrip('"') if was not in COTTAGE else was, now, 1))
    quick = adjust(job.faces, job.joins, quick_options(job.units.value), Run(), before).value
    slow = adjust(job.faces, job.joins, survey_options(job.units.value), Run()).value
    here, there = points(quick), points(slow)
    assert all(here[k] == pytest.approx(there[k], abs=2e-4) for k in there)  # a fifth of a millimetre
    strange = survey_of(read(example("mill-cellar"))).survey
    found = adjust(job.faces, job.joins, survey_options(job.units.value), Run(), strange).value
    seen = points(found)
    assert all(
        seen[k] == pytest.approx(there[k]) for k in there
    )  # faces that it does not know are searched for as ever


def test_a_space_without_its_volume_takes_no_sketch_away() -> None:
    text = "\n".join(line for line in COTTAGE.splitlines() if not line.startswith("volume_m3"))
    opened = open_text(text)
    assert opened.job is not None
    assert len(opened.job.faces) == len(read(COTTAGE).faces)
    assert any(f.where[-1] == "volume_m3" for f in opened.faults)  # told, and never planned with
    assert not opened.whole
    alone = narrowed(opened.data, ("faces", "K1"))
    assert alone.job is not None
    assert survey_of(alone.job).survey is not None
