"""A large slip in a face with few readings: no single one can be named, so no boards may be cut to the face."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from snugbay.base import Effort, Run, Weight
from snugbay.document import example, read
from snugbay.flow import weighed
from snugbay.job.outlines import BY_EYE, rectangle
from snugbay.survey import Survey, SurveyOptions, adjust
from snugbay.survey.practice import bare_face

SIDES = {"A-B": 4.612, "B-C": 2.064, "D-A": 2.087}
DIAGONALS = {"A-C": 5.051, "B-D": 5.062}


def wall(slip: dict[str, float], **more: float) -> Survey:
    """Return the survey of a cellar wall without its top, tapes out by ``slip``. [m]"""
    read_off = {k: v + slip.get(k, 0.0) for k, v in (SIDES | DIAGONALS | more).items()}
    extra = {k: v for k, v in read_off.items() if k not in ("A-B", "D-A")}
    shape = rectangle(read_off["A-B"], read_off["D-A"], more=extra)
    return adjust([replace(bare_face("C", 4), readings=shape.readings)], (), SurveyOptions(), Run()).value


@pytest.mark.parametrize("size", [0.1, 0.2, -0.12])
def test_a_slip_that_only_the_eye_sees_is_told_with_the_reading_that_tells(size: float) -> None:
    found = wall({"B-D": size})
    (doubt,) = found.doubts
    assert doubt.readings[0] == "B-D"
    assert doubt.pull == "side C-D"


def test_sound_readings_and_named_slips_leave_no_doubt() -> None:
    assert wall({}).doubts == ()
    top = float(np.hypot(4.612, 2.087 - 2.064))
    named = wall({"B-D": 0.1}, **{"C-D": top})
    assert named.doubts == ()
    assert named.suspects, "with the top read, the slip is the blunder test's to name"


def test_corners_a_little_off_square_raise_no_doubt() -> None:
    """Eyes are out by a degree; a false alarm is as rare as the whole-set test's 5 %."""
    rng = np.random.default_rng(7)
    alarms = 0
    for _ in range(60):
        lean, width, height = np.radians(rng.normal(0.0, 0.7)), 3.0 + rng.random(), 2.0
        across = np.array([height * np.sin(lean), height * np.cos(lean)])
        long, short = (float(np.hypot(width + s * across[0], across[1])) for s in (1, -1))
        ends = {"A-C": long, "B-D": short}
        shape = rectangle(width, height, more={"B-C": height, **ends})
        assert any(r.instrument == BY_EYE for r in shape.readings)
        face = replace(bare_face("C", 4), readings=shape.readings)
        alarms += bool(adjust([face], (), SurveyOptions(), Run()).value.doubts)
    assert alarms <= 3


def test_no_boards_are_cut_to_a_face_in_doubt() -> None:
    text = example("mill-cellar").replace('"B-D" = "11 022", "C-D" = "10 821"', '"B-D" = "11 142"')
    outcome = weighed(read(text), Run(effort=Effort.QUICK))
    taped, weighing = outcome.value
    assert [d.face for d in taped.doubts] == ["C1"]
    assert "C1" not in {b.face for b in weighing.boards}
    assert [f.weight for f in outcome.findings if f.code == "survey.doubt"] == [Weight.STOP]
