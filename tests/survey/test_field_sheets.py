"""A filled field sheet leaves little unchecked: a slip of an inch in any length of it is noticed."""

import math
from dataclasses import replace
from typing import Any

import pytest

from snugbay.base import Run
from snugbay.job import Face, ReadingKind
from snugbay.job.outlines import BY_EYE, Length
from snugbay.job.shorthands import cellar_wall, field_readings, gable_triangle, niche_box, rafter_slope
from snugbay.survey import SurveyOptions, adjust

OPTIONS = SurveyOptions()
ZONES: dict[str, Any] = {"warm": "inside", "cold": "eaves"}
INCH = 0.0254


def braced(width: float, height: float) -> dict[str, float]:
    across = math.hypot(width, height)
    return {"B-C": height, "C-D": width, "A-C": across, "B-D": across}


def test_a_slip_of_an_inch_in_any_reading_of_a_box_sheet_is_noticed() -> None:
    """The readings that the sheet of a niche box asks for; each one out by an inch in turn."""
    w, h, d = 0.9, 1.2, 0.6
    sizes = {"back": (w, h), "left": (d, h), "right": (d, h), "top": (w, d), "bottom": (w, d)}
    more: dict[str, Length] = {}
    for ask in field_readings("niche-box").readings:
        if not ask.field:
            width, height = sizes[ask.face]
            pair = frozenset(ask.corners)
            level, upright = pair in ({"A", "B"}, {"C", "D"}), pair in ({"B", "C"}, {"D", "A"})
            more[ask.key] = width if level else height if upright else math.hypot(width, height)
    box = niche_box(id="N", width=w, height=h, depth=d, more=more, **ZONES)
    assert not adjust(box.faces, box.joins, OPTIONS, Run()).value.suspects
    missed = []
    for f, face in enumerate(box.faces):
        for k, reading in enumerate(face.readings):
            if reading.kind is not ReadingKind.DISTANCE:
                continue
            wrong = replace(reading, value=reading.value + INCH)
            changed = replace(face, readings=(*face.readings[:k], wrong, *face.readings[k + 1 :]))
            found = adjust((*box.faces[:f], changed, *box.faces[f + 1 :]), box.joins, OPTIONS, Run()).value
            if not any(reading.name in s.readings for s in found.suspects):
                missed.append(f"{face.id} {reading.name}")
    assert missed == []


@pytest.mark.parametrize(
    "face",
    [
        rafter_slope(id="S", width=3.6, rafter=2.4, pitch=0.7, more=braced(3.6, 2.4), **ZONES).faces[0],
        cellar_wall(id="C", length=6.0, height=2.2, more=braced(6.0, 2.2), **ZONES).faces[0],
        gable_triangle(id="G", base=3.0, left=2.0, right=2.0, height=math.sqrt(1.75), peak=1.5, **ZONES).faces[0],
    ],
    ids=lambda f: f.id,
)
def test_every_reading_of_a_sheet_is_checked_to_a_few_centimetres(face: Face) -> None:
    found = adjust([face], (), OPTIONS, Run()).value
    assert not found.suspects
    worst = max(r.least_blunder for r in found.faces[0].readings if r.reading.instrument != BY_EYE)
    assert worst < 0.06
