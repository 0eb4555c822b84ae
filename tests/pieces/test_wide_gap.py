"""A face measured too loosely gets no boards with a gap that no foam fills, but is told what to measure."""

import re
from dataclasses import replace

import pytest
from tests.pieces.rooms import Corners, adjusted, face, job_of, room, survey_of
from tests.said import said

from snugbay.base import Finding, Run, Weight
from snugbay.job import Part, Reading
from snugbay.job.outlines import rectangle
from snugbay.pieces import WIDE_GAP, BoardChoice, Fitting, make_pieces
from snugbay.pieces.rates import typical
from snugbay.pieces.wide_gap import to_measure
from snugbay.survey import adjust
from snugbay.survey.options import USUAL

DEEP = 1.8
LONG = 3.4
ROUGH = (("A", "B"), ("B", "C"), ("C", "D"), ("D", "A"))


def told(readings: tuple[Reading, ...]) -> list[Finding]:
    floor = face("F", 4, readings=readings, rough_edges=ROUGH)
    survey = adjust((floor,), (), USUAL, Run()).value
    choice = BoardChoice("F", "polyiso-2in", ((0.05, Fitting.ON_FACE),), 1.2, 2.4)
    return [f for f in make_pieces(job_of([floor]), survey, (choice,), Run()).findings if f.code == WIDE_GAP]


def test_foam_fills_an_inch_and_a_half() -> None:
    """Fitting practice, section 8: a quarter inch to an inch and a half gun foam, over that board, then foam."""
    assert typical("foam_max_gap") == pytest.approx(1.5 * 0.0254)


def test_width_and_height_alone_are_no_outline_to_cut_to() -> None:
    (found,) = told(rectangle(LONG, DEEP).readings)
    assert found.weight is Weight.STOP
    assert found.figure("gap") > 0.05
    assert said(found).startswith("F: ")
    assert "the sides B-C, C-D and the diagonal A-C" in said(found)
    assert " :" not in said(found)


def test_what_it_says_to_measure_is_enough() -> None:
    (found,) = told(rectangle(LONG, DEEP).readings)
    pulled = re.findall(r"[A-D]-[A-D]", said(found))
    lengths = {"B-C": DEEP, "C-D": LONG, "A-C": (LONG**2 + DEEP**2) ** 0.5}
    assert told(rectangle(LONG, DEEP, more={name: lengths[name] for name in pulled}).readings) == []


def test_what_was_pulled_already_is_not_asked_for() -> None:
    one = face("F", 4, readings=rectangle(LONG, DEEP, more={"B-C": DEEP}).readings)
    assert said(to_measure(one)) == "Pull the side C-D and the diagonal A-C"
    every = {"B-C": DEEP, "C-D": LONG, "A-C": 3.85}
    assert said(to_measure(replace(one, readings=rectangle(LONG, DEEP, more=every).readings))).endswith("again")


@pytest.mark.parametrize("rise", [0.002, 0.05])
def test_no_side_is_given_an_absurd_gap_where_a_little_at_every_edge_will_do(rise: float) -> None:
    """Between floor and a ceiling that rises a little, a foam gap at the ends alone would have to be metres wide."""
    corners: Corners = [(0, 0, 0), (3, 0, 0), (3, 0, 1 + rise), (0, 0, 1)]
    below: Corners = [(0, -1, 0), (3, -1, 0), (3, 0, 0), (0, 0, 0)]
    above: Corners = [(0, 0, 1), (3, 0, 1 + rise), (3, -1, 1 + rise), (0, -1, 1)]
    job, _ = room({"W": corners, "F": below, "C": above}, {"F": Part.FLOOR, "C": Part.CEILING})
    wall = replace(job.faces[0], rough_edges=(("B", "C"), ("D", "A")))
    loose = survey_of([adjusted("W", corners, 0.004), adjusted("F", below), adjusted("C", above)])
    job = replace(job, faces=(wall, *job.faces[1:]))
    choice = BoardChoice("W", "polyiso-2in", ((0.05, Fitting.ON_FACE),), 1.2, 2.4)
    made = make_pieces(job, loose, (choice,), Run()).value
    assert [f for f in made.findings if f.code == WIDE_GAP] == []
    assert sum(p.area for p in made.pieces) > 0.95 * 3.0
    assert max(e.gap for p in made.pieces for e in p.edges) < 0.01
