"""A space that may come inside must be enclosed by the faces that the document describes."""

from __future__ import annotations

import pytest
from tests.said import said

from snugbay.base import Finding, Run, Weight
from snugbay.document import EXAMPLES, example, read
from snugbay.survey import survey

HEAD = """version = 1
name = "crawl"
units = "mm"
[place]
climate = "Portland, ME"
[[zones]]
id = "house"
kind = "inside"
[[zones]]
id = "crawl"
kind = "buffer"
volume_m3 = 16
may_come_inside = true
HEIGHT
[[zones]]
id = "out"
kind = "outside"
[[zones]]
id = "ground"
kind = "ground"
[access]
width = 700
height = 500
clear_run = 1800
"""
FLOOR = """[[faces]]
id = "FL"
part = "floor"
overhead = true
between = ["house", "crawl"]
layers = [{ material = "board-sheathing", thickness = 22 }]
outline = { shape = "rectangle", width = 6000, height = 4000 }
"""


def wall(name: str, width: int) -> str:
    return (
        f'[[faces]]\nid = "{name}"\npart = "wall"\nbetween = ["crawl", "out"]\nfasten_to = "masonry"\n'
        'layers = [{ material = "concrete-block", thickness = 200 }]\n'
        f'outline = {{ shape = "rectangle", width = {width}, height = 660 }}\n'
    )


WALLS = tuple(wall(n, w) for n, w in (("WN", 6000), ("WE", 4000), ("WS", 6000), ("WW", 4000)))


def told(faces: str, height: str = "height = 660") -> tuple[Finding, ...]:
    job = read(HEAD.replace("HEIGHT", height) + faces)
    return tuple(f for f in survey(job, Run()).findings if f.code == "survey.not-enclosed")


@pytest.mark.parametrize("walls", [1, 2, 3])
def test_walls_that_are_missing_are_told(walls: int) -> None:
    (found,) = told(FLOOR + "".join(WALLS[:walls]))
    assert found.weight is Weight.WARN
    assert "about 13.2 m²" in said(found)  # 20 m round it, 0.66 m high
    assert "the ground under it" in said(found)
    assert found.where == ("zones", "crawl")


def test_four_walls_enclose_it() -> None:
    assert told(FLOOR + "".join(WALLS)) == ()


def test_without_a_floor_the_volume_says_how_long_the_walls_are() -> None:
    assert told(WALLS[0])
    assert told("".join(WALLS)) == ()
    assert told(WALLS[0], "") == (), "nobody said how high it is"


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_examples_are_enclosed(name: str) -> None:
    found = survey(read(example(name)), Run()).findings
    assert not [f for f in found if f.code == "survey.not-enclosed"]
