"""Corners of the house that no join tells of are found, named, and told how to write."""

import re
from dataclasses import replace
from functools import cache

import pytest
from tests.said import said
from tests.told_by_faces import COTTAGE_BY_FACES

from snugbay.base import InputError, Run
from snugbay.document import example, read
from snugbay.job import Face, Job, Reading, ReadingKind
from snugbay.job.runs import edges_between, inner_stations, sides
from snugbay.survey import survey
from snugbay.survey.practice import bare_face
from snugbay.survey.unjoined import unjoined, unjoined_findings

EAVES = """
version = 1
name = "eaves"
units = "mm"
zones = [
  { id = "in", title = "in", kind = "inside" },
  { id = "out", title = "out", kind = "outside" },
  { id = "eaves", title = "eaves", kind = "buffer", volume_m3 = 5 },
]
[place]
climate = "Munich"
indoor = 20
fuel = "gas"
[access]
width = 600
height = 600
clear_run = 2000
[[shapes]]
shape = "knee wall"
id = "K"
between = ["in", "eaves"]
length = 3000
height = 900
height_right = 904
heights = [{ at = 1000, height = 908 }, { at = 2000, height = MIDDLE }]
floor = 1200
[[faces]]
id = "S"
part = "rafter slope"
between = ["eaves", "out"]
board_side = "eaves"
tilt = 36.87
outline = { shape = "rectangle", width = 3000, height = 1500, right = 1502, top = 3000, diagonal = 3355 }
[[joins]]
a = ["K-floor", "A-B"]
b = ["S", "A-B"]
angle = 36.87
"""


@cache
def cottage() -> Job:
    return read(COTTAGE_BY_FACES)


WRITTEN = [n for n, j in enumerate(cottage().joins) if not cottage().face(j.a).from_shorthand]
"""Joins of the walls, the floor and the slope; the sides of boxes hold each other's shape."""


@pytest.mark.parametrize("number", WRITTEN)
def test_any_join_of_the_cottage_left_out_is_found(number: int) -> None:
    """Its joins go in rings, so that the faces stand together with one of them missing."""
    job = cottage()
    left = job.joins[number]
    less = replace(job, joins=tuple(j for j in job.joins if j is not left))
    found = unjoined(less, survey(less, Run()).value)
    ends = {(left.a, left.edge_a), (left.b, left.edge_b)}
    held = [m for m in found if {(m.a, m.edge_a), (m.b, m.edge_b)} == ends]
    assert len(found) == len(held)
    if left.opening < 2.7 and job.face(left.a).board_side == job.face(left.b).board_side:
        assert len(held) == 1
        assert held[0].opening == pytest.approx(left.opening, abs=0.06)


def test_nothing_is_missed_in_the_examples() -> None:
    for name in ("ferry-cottage", "chapel-dormers"):
        job = read(example(name))
        assert unjoined(job, survey(job, Run()).value) == ()


def eaves(middle: int = 892, more: str = "") -> Job:
    return read(EAVES.replace("MIDDLE", str(middle)) + more)


def test_a_slope_that_lands_on_a_wavy_wall_is_told_with_the_lines_to_add() -> None:
    job = eaves()
    (found,) = unjoined_findings(job, survey(job, Run()).value)
    lines = re.search(r"(a = \[.*?\]) (b = \[.*?\]) (angle = \d+)", said(found))
    assert lines is not None
    assert lines.group(1) == 'a = ["K-wall", "C-F"]'
    joined = eaves(more="[[joins]]\n" + "\n".join(lines.groups()))
    assert unjoined_findings(joined, survey(joined, Run()).value) == ()
    wall = next(f for f in joined.faces if f.id == "K-wall")
    assert not set(wall.rough_edges) & {("C", "D"), ("D", "E"), ("E", "F")}


def test_a_bent_top_is_no_one_side() -> None:
    with pytest.raises(InputError, match="C-F is no edge"):
        eaves(700, '[[joins]]\na = ["K-wall", "C-F"]\nb = ["S", "C-D"]\nangle = 53')


def test_a_side_and_an_edge_of_it_cannot_both_be_joined() -> None:
    twice = '[[joins]]\na = ["K-wall", "C-F"]\nb = ["S", "C-D"]\n[[joins]]\na = ["K-wall", "D-E"]\nb = ["S", "B-C"]\n'
    with pytest.raises(InputError, match="joined twice"):
        eaves(more=twice)


def stationed(heights: tuple[float, ...]) -> Face:
    one = bare_face("W", 2 + len(heights))
    readings = []
    for k, (corner, height) in enumerate(zip(reversed(one.corners[2:]), heights, strict=True)):
        at = ("A", "B", corner)
        readings += [Reading(ReadingKind.ALONG, at, float(k), 0.002), Reading(ReadingKind.OFFSET, at, height, 0.002)]
    return replace(one, readings=tuple(readings))


def test_sides_and_edges_agree() -> None:
    wavy, bent = stationed((1.0, 1.02, 1.0)), stationed((1.0, 1.4, 1.0))
    assert sides(wavy) == (("A", "B"), ("B", "C"), ("C", "E"), ("E", "A"))
    assert inner_stations(bent) == frozenset()
    for one in (wavy, bent, stationed((1.0, 1.0))):
        edges = [e for side in sides(one) for e in edges_between(one, side)]
        assert edges == list(zip(one.corners, (*one.corners[1:], one.corners[0]), strict=True))
