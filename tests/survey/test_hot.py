"""Hot things: the table entered a second time, labels, and what nobody said."""

from dataclasses import replace

import pytest
from tests.said import said

from snugbay.base import Weight
from snugbay.job import Hole, HotThing, Notch
from snugbay.survey.hot import clearances, hot_findings, hot_text, kept_clear, widest
from snugbay.survey.practice import bare_face

INCH = 0.0254
FLUE = Hole("flue", 1.0, 0.8, 0.2, 0.2, hot=True)


def codes(item: Hole | Notch) -> list[str]:
    one = bare_face("S", 4)
    given = replace(one, holes=(item,)) if isinstance(item, Hole) else replace(one, notches=(item,))
    return [f.code for f in hot_findings(given)]


@pytest.mark.parametrize(
    ("thing", "inches"),
    [
        (HotThing.FACTORY_FLUE, 2),
        (HotThing.TYPE_B_VENT, 1),
        (HotThing.SINGLE_WALL, 6),
        (HotThing.MASONRY, 2),
        (HotThing.LIGHT, 3),
        (HotThing.FAN_HEATER, 3),
        (HotThing.TRANSFORMER, 3),
        (HotThing.PIPE, 1),
    ],
)
def test_the_table_entered_a_second_time(thing: HotThing, inches: float) -> None:
    """Trade safety sheet, section 4, and for hot pipes the fitting practice, section 1."""
    assert kept_clear(replace(FLUE, hot_thing=thing)) == pytest.approx(inches * INCH)
    assert clearances()[thing].source
    assert clearances()[thing].status in ("from memory", "assumption")


def test_where_nobody_said_the_widest_is_kept_and_asked_for() -> None:
    assert kept_clear(FLUE) == widest() == pytest.approx(6 * INCH)
    assert codes(FLUE) == ["survey.hot-unknown"]
    assert codes(replace(FLUE, hot_thing=HotThing.SINGLE_WALL)) == []
    assert kept_clear(replace(FLUE, hot=False)) is None


def test_a_label_holds_and_is_never_below_the_table_in_silence() -> None:
    marked = replace(FLUE, hot_thing=HotThing.FACTORY_FLUE)
    assert kept_clear(replace(marked, on_label=3 * INCH)) == pytest.approx(3 * INCH)
    assert codes(replace(marked, on_label=3 * INCH)) == []
    assert kept_clear(replace(marked, on_label=1 * INCH)) == pytest.approx(1 * INCH)
    assert codes(replace(marked, on_label=1 * INCH)) == ["survey.hot-label"]
    assert codes(replace(FLUE, on_label=3 * INCH)) == ["survey.hot-unknown", "survey.hot-label"]
    (found,) = hot_findings(replace(bare_face("S", 4), holes=(replace(marked, on_label=INCH),)))
    assert found.weight is Weight.WARN
    assert "25 mm" in said(found)
    assert "51 mm" in said(found)


def test_what_is_called_a_flue_but_not_said_to_be_hot_is_told() -> None:
    assert codes(replace(FLUE, hot=False)) == ["survey.hot-unsaid"]
    assert codes(Notch("Chimney breast", ("A", "B"), 0.5, 0.4, 0.4)) == ["survey.hot-unsaid"]
    assert codes(Hole("waste pipe", 1.0, 1.0, 0.1, 0.1)) == []


def test_a_distance_is_told_with_its_unit_on_any_tape() -> None:
    item = replace(FLUE, hot_thing=HotThing.SINGLE_WALL)
    assert hot_text(item, lambda m: f"{m * 1000:.0f}") == "flue (single-wall flue pipe): keep 152 mm clear"
    assert hot_text(item, lambda m: f'{m / INCH:.0f}"') == 'flue (single-wall flue pipe): keep 6" clear'
