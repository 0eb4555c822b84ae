"""Notches, holes and openings on the adjusted face, and skewed notches from readings a person can take."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from snugbay.base import Run, SurveyError
from snugbay.job import Hole, Notch, Opening
from snugbay.job.outlines import Taped, polygon, rectangle
from snugbay.survey import AdjustedFace, SurveyOptions, adjust
from snugbay.survey.interruptions import place, place_hole, place_notch, place_opening, skewed_notch
from snugbay.survey.practice import bare_face
from snugbay.survey.start import signed_area

OPTIONS = SurveyOptions()
EDGE = ("A", "B")


def wall(*, by_eye: bool = False) -> AdjustedFace:
    more = {} if by_eye else {"B-C": 2.0, "C-D": 3.0, "A-C": math.hypot(3, 2), "B-D": math.hypot(3, 2)}
    shape = rectangle(3.0, 2.0, by_eye=by_eye, more=more)
    return adjust([replace(bare_face("N1", 4), readings=shape.readings)], (), OPTIONS, Run()).value.faces[0]


@settings(max_examples=40, deadline=None)
@given(st.floats(-1.0, 1.0), st.floats(0.03, 0.2), st.floats(0.1, 1.5))
def test_a_rafter_that_crosses_askew_is_got_back_from_its_readings(lean: float, width: float, near: float) -> None:
    """Draw a rafter of known width and lean over an edge, read what a person reads, and get the notch."""
    covered = width / math.cos(lean)
    length = 3.0
    notch, findings = skewed_notch(
        "rafter", EDGE, near=near, far=length - near - covered, depth=0.14, width=width, bevel=lean, edge_length=length
    )
    assert not findings
    assert notch.width == pytest.approx(covered)
    assert notch.skew == pytest.approx(lean)
    placed = place_notch(wall(), notch)
    p = [complex(*v) for v in placed.outline]
    # square to its own sides the notch is as wide as the rafter
    side = (p[1] - p[0]) / abs(p[1] - p[0])
    assert abs(((p[3] - p[0]) * side.conjugate()).imag) == pytest.approx(width, rel=1e-6)
    assert abs((p[1] - p[0]).imag) == pytest.approx(0.14, abs=1e-6)


def test_width_and_bevel_check_each_other() -> None:
    _, findings = skewed_notch("rafter", EDGE, near=1.0, far=1.9, depth=0.1, width=0.05, bevel=0.3, edge_length=3.0)
    assert [f.code for f in findings] == ["survey.notch"]


def test_a_lean_from_the_width_alone_has_no_hand() -> None:
    notch, findings = skewed_notch("rafter", EDGE, near=1.0, far=1.8, depth=0.1, width=0.12, edge_length=3.0)
    assert notch.skew == pytest.approx(math.acos(0.6))
    assert [f.code for f in findings] == ["survey.notch-hand"]
    notch, findings = skewed_notch("rafter", EDGE, near=1.0, far=1.95, depth=0.1, width=0.049, edge_length=3.0)
    assert notch.skew == 0.0
    assert [f.code for f in findings] == ["survey.notch-square"]


@pytest.mark.parametrize(
    ("near", "far", "width", "bevel", "said"),
    [
        (2.0, 1.5, 0.05, 0.0, "leave no width"),
        (1.0, 1.9, None, None, "Nothing says how"),
        (1.0, 1.9, 0.2, None, "notch-wide"),
        (1.0, 1.9, None, 1.5, "leans 86"),
    ],
)
def test_impossible_notches_are_refused(
    near: float, far: float, width: float | None, bevel: float | None, said: str
) -> None:
    with pytest.raises(SurveyError, match=said):
        skewed_notch("rafter", EDGE, near=near, far=far, depth=0.1, width=width, bevel=bevel, edge_length=3.0)


def test_a_notch_carries_the_tolerance_of_both_tapes() -> None:
    near, far = Taped(1.0, sigma=0.003), Taped(1.95, sigma=0.004)
    notch, _ = skewed_notch("pipe", EDGE, near=near, far=far, depth=0.1, bevel=0.0, edge_length=3.0)
    assert notch.sigma == pytest.approx(0.005)


def test_interruptions_lie_where_they_were_read() -> None:
    face = wall()
    hole = place_hole(face, Hole("pipe", 1.0, 0.5, 0.1, 0.1))
    middle = np.mean(hole.outline, axis=0)
    assert middle == pytest.approx((1.0, 0.5), abs=1e-6)
    # the polygon stands outside the circle: its edges touch it
    ring = [complex(*p) - complex(*middle) for p in hole.outline]
    mids = [abs(a + b) / 2 for a, b in zip(ring, ring[1:] + ring[:1], strict=True)]
    assert min(mids) == pytest.approx(0.05, rel=1e-9)
    opening = place_opening(face, Opening("hatch", 0.5, 0.3, 0.6, 0.9))
    assert opening.outline[0] == pytest.approx((0.5, 0.3), abs=1e-6)
    assert opening.outline[2] == pytest.approx((1.1, 1.2), abs=1e-6)
    for item in (hole, opening, place_hole(face, Hole("duct", 1.5, 1.0, 0.2, 0.3, round=False))):
        assert signed_area([complex(*p) for p in item.outline]) > 0.0


def test_a_notch_on_the_third_edge_runs_from_its_own_first_corner() -> None:
    placed = place_notch(wall(), Notch("tie", ("C", "D"), 0.5, 0.1, 0.2))
    assert placed.outline[0] == pytest.approx((2.5, 2.0), abs=1e-6)
    assert placed.outline[1] == pytest.approx((2.5, 1.8), abs=1e-6)


def test_the_tolerance_grows_with_that_of_the_outline() -> None:
    notch = Notch("tie", ("C", "D"), 1.5, 0.1, 0.2, sigma=0.001)
    sharp, loose = place_notch(wall(), notch), place_notch(wall(by_eye=True), notch)
    assert 0.001 < sharp.sigma_square < 0.003
    assert loose.sigma_square > 0.004


def test_interruptions_that_miss_the_face_are_found() -> None:
    face = wall()
    things: tuple[Notch | Hole | Opening, ...] = (
        Notch("rafter", EDGE, 2.9, 0.3, 0.1),
        Hole("pipe", 4.0, 0.5, 0.1, 0.1),
        Opening("hatch", 2.9, 1.9, 0.6, 0.9),
    )
    for thing in things:
        with pytest.raises(SurveyError) as caught:
            place(face, thing)
        assert caught.value.where[:2] == ("faces", "N1")
    readings = polygon({"A-B": 3.0, "B-C": 2.0, "C-D": 3.0, "D-A": 2.0, "A-C": math.hypot(3, 2)}).readings
    job_face = replace(bare_face("N1", 4), readings=readings, notches=(Notch("rafter", EDGE, 2.9, 0.3, 0.1),))
    outcome = adjust([job_face], (), OPTIONS, Run())
    assert any(f.code == "survey.interruption" for f in outcome.findings)
