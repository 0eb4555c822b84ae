"""What nobody took gives way to readings, is never the suspect, and helps to tell which reading is wrong."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from tests.said import said

from snugbay.base import Effort, Finding, Run, Weight
from snugbay.document import example, read
from snugbay.flow import weighed
from snugbay.job.outlines import Taped, rectangle
from snugbay.survey import Survey, SurveyOptions, adjust
from snugbay.survey.practice import bare_face
from snugbay.survey.slips import slip_of
from snugbay.tape import FOOT_M, INCH_M
from snugbay.words import Writer

SIDES = {"A-B": 4.612, "B-C": 2.064, "D-A": 2.087}
DIAGONALS = {"A-C": 5.051, "B-D": 5.062}
TOP = float(np.hypot(4.612, 2.087 - 2.064))


def wall(slip: dict[str, float], **more: float) -> tuple[Survey, tuple[Finding, ...]]:
    """Return the survey of a cellar wall without its top, tapes out by ``slip``. [m]"""
    read_off = {k: v + slip.get(k, 0.0) for k, v in (SIDES | DIAGONALS | more).items()}
    extra = {k: v for k, v in read_off.items() if k not in ("A-B", "D-A")}
    shape = rectangle(read_off["A-B"], read_off["D-A"], more=extra)
    outcome = adjust([replace(bare_face("C", 4), readings=shape.readings)], (), SurveyOptions(), Run())
    return outcome.value, outcome.findings


@pytest.mark.parametrize("diagonals", [False, True])
def test_a_wall_lower_at_one_end_is_taken_as_read(diagonals: bool) -> None:
    """22 ft long, 4 ft at one end and 2 ft 4 in at the other, with or without both diagonals: no stop, no suspect."""
    long, high, low = 22 * FOOT_M, 4 * FOOT_M, 28 * INCH_M
    more = {"B-C": low} | ({"A-C": math.hypot(long, low), "B-D": math.hypot(long, high)} if diagonals else {})
    face = replace(bare_face("K1", 4), readings=rectangle(long, high, more=more).readings)
    outcome = adjust([face], (), SurveyOptions(units="ft-in"), Run())
    assert outcome.value.suspects == ()
    assert all(f.weight is not Weight.STOP for f in outcome.findings)
    shape = dict(zip("ABCD", outcome.value.faces[0].points, strict=True))
    assert shape["C"] == pytest.approx((long, low), abs=0.003)
    assert shape["D"] == pytest.approx((0.0, high), abs=0.003)
    (told,) = [f for f in outcome.findings if f.code == "survey.out-of-square"]
    assert "corner C comes out at 94.3°" in said(told, "ft-in")
    assert "square by eye" not in said(told, "ft-in")


def test_no_assumption_is_ever_a_suspect() -> None:
    rng = np.random.default_rng(3)
    for _ in range(40):
        which = str(rng.choice(list(SIDES | DIAGONALS)))
        found, _ = wall({which: float(rng.uniform(-0.6, 0.6))}, **{"C-D": TOP})
        assert not any("eye" in name for s in found.suspects for name in s.readings)


@pytest.mark.parametrize("size", [0.1, 0.2, -0.12])
def test_a_slip_that_only_the_eye_sees_is_told_before_anything_is_cut(size: float) -> None:
    found, findings = wall({"B-D": size})
    assert found.suspects == ()
    (told,) = [f for f in findings if f.code == "survey.out-of-square"]
    assert told.weight is Weight.WARN
    assert "B-D (reads" in said(told)


def test_sound_readings_say_nothing_of_corners_and_a_checked_slip_is_named() -> None:
    assert not any(f.code == "survey.out-of-square" for f in wall({})[1])
    found, findings = wall({"B-D": 0.1}, **{"C-D": TOP})
    assert [s.readings for s in found.suspects] == [("B-D",)]
    assert "a whole 100 mm" in said(found.suspects[0])
    assert not any(f.code == "survey.out-of-square" for f in findings), "with the slip out, the corners are square"


@pytest.mark.parametrize(("which", "read_as", "meant"), [("C-D", 4.162, "4612"), ("A-C", 5.501, "5051")])
def test_digits_changed_about_are_told(which: str, read_as: float, meant: str) -> None:
    slip = {which: read_as - (SIDES | DIAGONALS | {"C-D": 4.612})[which]}
    found, _ = wall(slip, **{"C-D": 4.612})
    assert [s.readings for s in found.suspects] == [(which,)]
    assert f"a transposed digit: {read_as * 1000:.0f} for {meant}" in said(found.suspects[0])


@pytest.mark.parametrize(
    ("written", "value_in", "out_in", "words"),
    [
        ("45", 45.0, -9.0, "a transposed digit: 45 for 54"),
        ("4' 5\"", 53.0, -1.0, 'a whole 1"'),
        ("6' 0\"", 72.0, 12.0, "a whole 1' 0\""),
        ("88", 88.0, 3.3, ""),
    ],
)
def test_slips_on_a_tape_in_inches(written: str, value_in: float, out_in: float, words: str) -> None:
    reading = rectangle(Taped(value_in * INCH_M, written=written), 1.0).readings[0]
    found = slip_of(reading, out_in * INCH_M, 0.001, "ft-in")
    assert (words in Writer("ft-in").said(found)) if found is not None else words == ""
    assert slip_of(reading, out_in * INCH_M, 0.2, "ft-in") is None, "known too loosely to tell"


def test_a_face_of_which_the_eye_doubts_a_tape_is_planned_with_a_warning() -> None:
    text = example("mill-cellar").replace('"B-D" = "11 022", "C-D" = "10 821"', '"B-D" = "11 142"')
    outcome = weighed(read(text), Run(effort=Effort.QUICK))
    assert outcome.value[0].suspects == ()
    assert [f.weight for f in outcome.findings if f.code == "survey.out-of-square"] == [Weight.WARN]
