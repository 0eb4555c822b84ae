from __future__ import annotations

import io
import re
from dataclasses import replace

import pytest
from pypdf import PdfReader
from tests.booklet.plan_fixture import JOB, PLAN
from tests.booklet.proof_fixture import NOTHING, PROOF
from tests.draw.looking import outside, overlapping, words

from snugbay.booklet import booklet_pdf, proof_pdf
from snugbay.draw import Area, Stroke, forecast_bar, resistance_bars
from snugbay.draw.scene import groups
from snugbay.job import Units
from snugbay.words import Writer


def text(data: bytes) -> str:
    return " ".join(re.sub(r"\s+", " ", p.extract_text()) for p in PdfReader(io.BytesIO(data)).pages)


def test_page_says_verdict_seams_hours_and_saving() -> None:
    data = proof_pdf(JOB, PROOF)
    assert data == proof_pdf(JOB, PROOF)
    said = text(data)
    assert "saves $190 a year, 8 times in 10 between $152 and $228. The plan said $262." in said
    assert "R-5.9, R-4.1 to R-7.7" in said
    for line in (
        PROOF.faces[1].text,
        PROOF.seams[0].text,
        PROOF.forecast.text,
        Writer("ft-in").finding(PROOF.findings[0]),
    ):
        assert line in said
    assert "cutting: 1.40 times the plan's time" in said
    assert "a windy night below 40 °F" in said
    assert "the readings cannot tell" in said


def test_page_without_readings_says_what_to_read() -> None:
    said = text(proof_pdf(replace(JOB, units=Units.MM), NOTHING))
    assert "Nothing has been read yet." in said
    assert "tells air from resistance" in said
    assert "The plan said it saves $262 a year." in said


def test_booklet_takes_the_section_behind_the_log() -> None:
    said = text(booklet_pdf(PLAN, PROOF))
    assert said.index("Work log") < said.index("Before and after") < said.index("Defaults used")


@pytest.mark.parametrize("per_unit", [1.0, 5.678])
def test_bars_hold_the_interval_and_the_goal(per_unit: float) -> None:
    scene = resistance_bars(PROOF, per_unit)
    assert overlapping(scene) == []
    assert outside(scene) == []
    before, after = groups(scene, "bar")
    scales = []
    for group, face in ((before, PROOF.faces[0]), (after, PROOF.faces[1])):
        line, bar = group.items[0], group.items[3]
        assert isinstance(line, Stroke)
        assert isinstance(bar, Area)
        wide = max(x for x, _ in bar.rings[0]) - min(x for x, _ in bar.rings[0])
        scales.append(wide / (face.resistance.high80 - face.resistance.low80))
        scales.append((line.points[1][0] - line.points[0][0]) / (face.resistance.high95 - face.resistance.low95))
    assert scales == pytest.approx([scales[0]] * 4)
    assert sum(isinstance(i, Area) and i.look == "dot" for i in before.items) == 0
    assert sum(isinstance(i, Area) and i.look == "dot" for i in after.items) == 1


def test_forecast_says_spent_total_and_planned() -> None:
    for proof in (PROOF, NOTHING):
        scene = forecast_bar(proof.forecast)
        assert overlapping(scene) == []
        assert outside(scene) == []
    said = words(forecast_bar(PROOF.forecast))
    assert "4.5 h spent" in said
    assert "10.5 h in all, 9.2 to 11.8" in said
    assert "8.8 h planned" in said
