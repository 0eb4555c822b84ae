"""Where nobody writes how high it is to work, what else the document says of heights decides, and is listed."""

from __future__ import annotations

import pytest

from snugbay.document import read
from snugbay.job import Job

JOB = """version = 1
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
{height}
[[zones]]
id = "out"
kind = "outside"
[access]
width = 700
height = 500
clear_run = 1800
{clear}
[[shapes]]
shape = "niche box"
id = "N"
between = ["house", "crawl"]
width = 900
height = 1330
depth_of_box = 600
layers = [{{ material = "plywood", thickness = 18 }}]
[[faces]]
id = "W"
part = "wall"
between = ["house", "crawl"]
layers = [{{ material = "gypsum", thickness = 12 }}]
outline = {{ shape = "rectangle", width = 6000, height = 2400 }}
{own}
"""


def job(height: str = "", clear: str = "", own: str = "") -> Job:
    return read(JOB.format(height=height, clear=clear, own=own))


@pytest.mark.parametrize(
    ("height", "clear", "metres", "said"),
    [
        ("", "", 1.33, "as high as N"),
        ("height = 660", "", 0.66, "the height of crawl"),
        ("", "clear_height = 700", 0.7, "the clear height behind the way in"),
        ("height = 660", "clear_height = 700", 0.66, "the height of crawl"),
        ("height = 2600", "clear_height = 2400", 2.0, "standing height"),
    ],
)
def test_the_working_height_is_what_the_space_leaves(height: str, clear: str, metres: float, said: str) -> None:
    made = job(height, clear)
    assert made.face("N-back").headroom == pytest.approx(metres)
    assert made.face("W").headroom == pytest.approx(2.0), "boarded from the room, where a person stands"
    assert {d.where: d.why for d in made.defaults}["shapes.N.headroom"].startswith(said)


def test_a_low_space_of_which_nothing_is_said_is_low() -> None:
    """Nobody may be taken to stand in an eaves or a crawl space: standing is 1.0 there, lying down 1.5 (S01)."""
    made = read(
        JOB.format(height="", clear="", own='board_side = "crawl"').replace(
            """[[shapes]]
shape = "niche box"
id = "N"
between = ["house", "crawl"]
width = 900
height = 1330
depth_of_box = 600
layers = [{ material = "plywood", thickness = 18 }]
""",
            "",
        )
    )
    assert made.face("W").headroom == 1.0
    assert not made.face("W").headroom_told
    assert "a low space" in {d.where: d.why for d in made.defaults}["faces.W.headroom"]


def test_a_working_height_that_is_written_stands() -> None:
    made = job("height = 660", own='board_side = "crawl"\nheadroom = 640')
    assert made.face("W").headroom == pytest.approx(0.64)
    assert "faces.W.headroom" not in {d.where for d in made.defaults}


@pytest.mark.parametrize(
    ("clear", "metres", "why"),
    [
        ("clear_height = 700", 1.33, "as high as N"),
        ("clear_height = 1500", 1.5, "as high as the clear height behind the way in"),
    ],
)
def test_a_space_is_as_high_as_what_stands_in_it(clear: str, metres: float, why: str) -> None:
    made = job(clear=clear)
    assert made.zone("crawl").height == pytest.approx(metres)
    assert {d.where: d.why for d in made.defaults}["zones.crawl.height"] == why
