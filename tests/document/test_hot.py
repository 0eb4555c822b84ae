"""Hot things in the document: a word of the trade, a label, or the widest distance listed as a default."""

import pytest

from snugbay.base import InputError
from snugbay.document import example, read
from snugbay.job import Hole, HotThing, Job


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
    assert "6 in" in listed["changes.C1.holes.stove pipe.hot_thing"]
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
