"""A way that gets wet by the hour is not recommended while a dry one is left."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from tests.said import said

from snugbay.base import Effort, Run, Weight
from snugbay.cautions import cautions
from snugbay.document import read
from snugbay.job import Job
from snugbay.survey import Survey, survey
from snugbay.weigh import Weighing, lasting, look_ahead, weigh, weigh_dry
from snugbay.weigh.lasting import Case, Judged, judged

RUN = Run(seed=1, effort=Effort.QUICK)

RIM = """
version = 1
name = "rim"
title = "Rim joist, two bays"
units = "ft-in"
[place]
climate = "Minneapolis, MN"
[[zones]]
id = "base"
kind = "inside"
[[zones]]
id = "out"
kind = "outside"
[access]
width = "30"
height = "78"
clear_run = "120"
[[shapes]]
shape = "rim joist row"
id = "R"
between = ["base", "out"]
height = "9 3/8"
layers = [ {material = "softwood", thickness = "1 1/2"} ]
pockets = [ {width = "14 1/2", count = 2} ]
"""


@cache
def rim(must: str = "") -> tuple[Job, Survey]:
    job = read(RIM)
    job = replace(job, faces=tuple(replace(f, must=must) for f in job.faces))
    return job, survey(job, RUN).value


@cache
def dry(must: str = "") -> Weighing:
    return weigh_dry(*rim(must), RUN).value


def verdicts(job: Job, taped: Survey, weighing: Weighing) -> set[str]:
    return {b.verdict for b in look_ahead(job, taped, weighing, RUN).value.build_ups}


def test_what_gets_wet_is_left_out_and_the_choice_made_again(monkeypatch: pytest.MonkeyPatch) -> None:
    job, taped = rim()
    by_months = weigh(job, taped, RUN).value
    option = by_months.option(*by_months.plan.ways[0])
    thin = option.layers[0].thickness

    def but_thin_is_wet(case: Case) -> Judged:  # the build-ups that months let through are dry on a rim
        found = judged(case)
        wet = case.tightness == "sealed" and abs(case.layers[0][1] - thin) < 0.002
        return replace(found, verdict="wet", reasons=("It is made wet here.",)) if wet else found

    monkeypatch.setattr(lasting, "judged", but_thin_is_wet)
    assert "wet" in verdicts(job, taped, by_months)  # else the job shows nothing
    weighing = weigh_dry(job, taped, RUN).value
    assert verdicts(job, taped, weighing) & {"dry", "watch"}
    assert "wet" not in verdicts(job, taped, weighing)
    told = [said(f) for f in weighing.findings if f.code == "weigh.left-out-wet"]
    assert told
    for face, way in by_months.plan.ways:
        option = weighing.option(face, way)
        assert not option.fits
        assert "by the hour" in said(option.why_not[0])
        assert any(option.title in text for text in told)
    # not thrown out with it: the face is insulated all the same
    assert all(weighing.option(face, way).layers for face, way in weighing.plan.ways)


def test_a_wet_way_that_is_insisted_on_stays_stopped_and_a_dry_one_is_named() -> None:
    job, taped = rim("boards-loose")
    weighing = dry("boards-loose")
    assert all(way.startswith("boards-loose") for _, way in weighing.plan.ways)
    ahead = look_ahead(job, taped, weighing, RUN)
    stops = [f for f in ahead.findings if f.code == "transient.wet"]
    assert {f.weight for f in stops} == {Weight.STOP}
    told = [said(f) for f in weighing.findings if f.code == "weigh.must-is-wet"]
    assert len(told) == len(job.faces)
    free = dry()
    for (face, _), text in zip(weighing.plan.ways, told, strict=True):
        title = free.option(face, free.plan.way(face)).title
        assert f"Dry would be: {title}." in text
    # the caution is about both bays, not the first one
    (caution,) = (c for c in cautions(job, taped, weighing, ahead.findings) if c.code == "transient.wet")
    assert all(face.id in said(caution.trigger) for face in job.faces)
