"""Twisted faces: how much, which gap, which seam; and slips that could be a twist."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from tests.said import said

from snugbay.base import Run, Weight
from snugbay.job import Face, Reading, ReadingKind
from snugbay.job.outlines import Taped, polygon, rectangle
from snugbay.survey import SurveyOptions, adjust
from snugbay.survey.practice import bare_face
from snugbay.survey.twist import FOAM, SEALANT, flatness

OPTIONS = SurveyOptions()


def wall(twist: float) -> Face:
    shape = rectangle(3.0, 2.0, by_eye=False, more={"B-C": 2.0, "C-D": 3.0, "A-C": math.hypot(3, 2)})
    twisted = Reading(ReadingKind.TWIST, ("D",), twist, 0.001, name="twist at D")
    return replace(bare_face("T", 4), readings=(*shape.readings, twisted))


@settings(max_examples=30, deadline=None)
@example(1e-7, 0.0, 0.0)
@given(st.floats(-0.2, 0.2), st.floats(-1.0, 1.0), st.floats(-1.0, 1.0))
def test_a_rectangle_leaves_half_its_twist_as_a_gap(t: float, a: float, b: float) -> None:
    """Best plane of a rectangle with one corner t out misses all four by t/4; a board that rests on three gapes t/2.

    Any plane added to the corners changes nothing.
    """
    xy = np.array([[0, 0], [3, 0], [3, 2], [0, 2]], dtype=float)
    points = np.column_stack([xy, np.array([0, 0, 0, t])])
    assert flatness(tuple("ABCD"), points).gap == pytest.approx(abs(t) / 2, abs=1e-9)
    points[:, 2] += a * xy[:, 0] + b * xy[:, 1]
    assert flatness(tuple("ABCD"), points).gap == pytest.approx(abs(t) / 2, abs=1e-8)


def test_the_seam_is_the_shorter_inner_diagonal_and_both_boards_lie_flat() -> None:
    points = np.array([[0, 0, 0], [3, 0, 0], [3.5, 2, 0], [0, 2, 0.08]], dtype=float)
    flat = flatness(tuple("ABCD"), points)
    assert flat.seam == ("B", "D")
    one = np.cross(points[0] - points[1], points[3] - points[1])
    two = np.cross(points[3] - points[1], points[2] - points[1])
    turn = math.acos(abs(one @ two) / float(np.linalg.norm(one) * np.linalg.norm(two)))
    assert flat.fold == pytest.approx(turn)


def test_a_dart_has_only_one_seam() -> None:
    points = np.array([[0, 0, 0], [2, -0.8, 0.05], [0.6, 0, 0], [2, 0.8, 0]], dtype=float)
    assert flatness(tuple("ABCD"), points).seam == ("A", "C")


@pytest.mark.parametrize(
    ("twist", "code", "weight", "words"),
    [
        (0.002, "survey.flat-enough", Weight.NOTE, "flat as far as"),
        (0.010, "survey.twist", Weight.NOTE, "sealant"),
        (0.050, "survey.twist", Weight.WARN, "gun foam fills it, or a seam along"),
        (0.120, "survey.twist", Weight.WARN, "too wide for gun foam, or a seam along"),
    ],
)
def test_a_measured_twist_says_what_it_asks_for(twist: float, code: str, weight: Weight, words: str) -> None:
    outcome = adjust([wall(twist)], (), OPTIONS, Run())
    finding = next(f for f in outcome.findings if f.code.startswith(("survey.flat-enough", "survey.twist")))
    assert (finding.code, finding.weight) == (code, weight)
    assert words in said(finding)
    assert outcome.value.faces[0].twist == pytest.approx(twist, abs=1e-4)
    assert finding.figure("gap") == pytest.approx(twist / 2, rel=0.02)
    assert SEALANT < FOAM


def test_a_twist_shortens_what_the_tape_reads_across() -> None:
    """Lengths run straight from corner to corner: with D out of the plane, its lengths lie aslant of it."""
    out = 0.3
    readings = polygon(
        {"A-B": 3.0, "B-C": 2.0, "A-C": math.hypot(3, 2), "C-D": math.hypot(3, out), "D-A": math.hypot(2, out)}
    ).readings
    twist = Reading(ReadingKind.TWIST, ("D",), out, 0.001)
    face = replace(bare_face("T", 4), readings=(*readings, twist))
    found = adjust([face], (), OPTIONS, Run()).value
    assert found.faces[0].point("D") == pytest.approx((0.0, 2.0), abs=1e-4)


def test_diagonals_that_only_a_twist_fits_say_so() -> None:
    """Six sharp lengths of a wall whose corner D stands 150 mm out: no flat shape fits them, a twisted one does."""
    corners = {"A": (0, 0, 0), "B": (3, 0, 0), "C": (3, 2, 0), "D": (0, 2, 0.15)}
    pairs = ("A-B", "B-C", "C-D", "D-A", "A-C", "B-D")
    readings = polygon({p: Taped(math.dist(corners[p[0]], corners[p[2]]), sigma=0.0004) for p in pairs}).readings
    outcome = adjust([replace(bare_face("T", 4), readings=readings)], (), OPTIONS, Run())
    finding = next(f for f in outcome.findings if f.code == "survey.twist-or-slip")
    assert finding.figure("out") == pytest.approx(0.15, abs=0.02)
    assert outcome.value.suspects


def test_diagonals_that_no_twist_fits_do_not() -> None:
    """A diagonal too long cannot come from a twist: a twisted wall has diagonals too short for its sides."""
    readings = polygon({"A-B": 3, "B-C": 2, "C-D": 3, "D-A": 2, "A-C": 3.6056, "B-D": 3.64}).readings
    outcome = adjust([replace(bare_face("T", 4), readings=readings)], (), OPTIONS, Run())
    assert outcome.value.suspects
    assert not any(f.code == "survey.twist-or-slip" for f in outcome.findings)
