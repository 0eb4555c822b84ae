"""Hot things in the document: a word of the trade, a label, or the widest distance listed as a default."""

import pytest
from shapely.geometry import Point
from tests.said import said

from snugbay.base import InputError, Run
from snugbay.document import example, read
from snugbay.job import Hole, HotThing, Job
from snugbay.pieces.obstacles import obstacles
from snugbay.survey import survey


def cellar(field: str) -> Job:
    """Return the cellar with a pipe through its wall."""
    hole = f'holes = [{{ name = "stove pipe", x = 2000, y = 1500, width = 150{field} }}]'
    return read(example("mill-cellar") + f'\n[[changes]]\nface = "C1"\n{hole}\n')


def pipe(job: Job) -> Hole:
    (hole,) = (h for f in job.faces for h in f.holes if h.name == "stove pipe")
    return hole


@pytest.mark.parametrize("thing", HotThing)
def test_each_word_of_the_trade_is_read_and_makes_it_hot(thing: HotThing) -> None:
    hole = pipe(cellar(f', hot_thing = "{thing.value}"'))
    assert hole.hot
    assert hole.hot_thing is thing
    assert hole.on_label is None


def test_the_widest_distance_is_listed_where_nobody_said_what_it_is() -> None:
    listed = {d.where: d.value for d in cellar(", hot = true").defaults}
    assert said(listed["changes.C1.holes.stove pipe.hot_thing"], "ft-in") == '6" kept clear'
    assert not any("hot_thing" in d.where for d in cellar(', hot_thing = "type-B vent"').defaults)
    assert not any("hot_thing" in d.where for d in cellar("").defaults)


def test_a_label_is_a_length_as_the_user_writes_it() -> None:
    hole = pipe(cellar(', hot_thing = "factory-made metal flue", keep_clear = "2 in"'))
    assert hole.on_label == pytest.approx(0.0508)
    assert pipe(cellar(", keep_clear = 60")).hot


@pytest.mark.parametrize(
    ("field", "said"),
    [
        (', hot_thing = "warm thing"', "hot_thing"),
        (', hot = false, hot_thing = "type-B vent"', "hot = false when hot_thing"),
        (", keep_clear = 0", "keep_clear"),
    ],
)
def test_nonsense_about_hot_things_is_refused_where_it_stands(field: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        cellar(field)
    assert said in str(caught.value) or said in caught.value.where
    assert caught.value.line is not None


@pytest.mark.parametrize(
    ("field", "round_hole"),
    [
        ("", True),
        (", height = 250", False),  # two sizes: an oval would be cut into the corners of a chimney
        (", height = 150", False),
        (', hot_thing = "masonry chimney"', False),
        (', hot_thing = "type-B vent"', True),
        (", height = 250, round = true", True),
        (", round = false", False),
    ],
)
def test_two_sizes_or_bricks_make_a_rectangle_and_what_is_assumed_is_listed(field: str, round_hole: bool) -> None:
    job = cellar(field)
    assert pipe(job).round is round_hole
    listed = {d.where: d.value for d in job.defaults}
    assumed = listed.get("changes.C1.holes.stove pipe.round")
    assert assumed == (None if "round" in field else "round" if round_hole else "a rectangle")


def test_corners_of_a_chimney_keep_their_distance_from_the_boards() -> None:
    job = cellar(', height = 300, hot_thing = "masonry chimney"')
    wall = next(f for f in job.faces if f.holes)
    found = obstacles(wall, survey(job, Run()).value.face(wall.id), 0.0, 0.0)
    bricks = next(o for o in found if o.hot)
    assert bricks.bare.area == pytest.approx(0.15 * 0.30)
    for corner in bricks.bare.exterior.coords:
        assert bricks.shape.contains(Point(corner))
        assert bricks.shape.exterior.distance(Point(corner)) >= 0.0508 - 1e-9
