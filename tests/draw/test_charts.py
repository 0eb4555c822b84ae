from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.booklet.plan_fixture import AS_FOUND, CHOSEN, WEIGHING
from tests.draw.looking import outside, overlapping, words

from snugbay.draw import Area, Scene, frontier_chart, heat_bars, hours_bars, spread_bars, tornado_bars
from snugbay.draw.charts import number_words, steps
from snugbay.draw.scene import Disc, groups
from snugbay.weigh import Band

ALL: list[Scene] = [
    heat_bars(AS_FOUND),
    heat_bars(AS_FOUND, titled=False),
    hours_bars(WEIGHING),
    frontier_chart(WEIGHING),
    spread_bars(WEIGHING),
    tornado_bars(WEIGHING),
]


@pytest.mark.parametrize("scene", ALL, ids=lambda s: s.title)
def test_charts_are_readable(scene: Scene) -> None:
    assert overlapping(scene) == []
    assert outside(scene) == []


def bar_length(scene: Scene, name: str) -> float:
    bar = next(g for g in groups(scene, "bar") if g.name == name)
    area = bar.items[0]
    assert isinstance(area, Area)
    xs = [x for x, _ in area.rings[0]]
    return max(xs) - min(xs)


def test_bars_are_as_long_as_their_figures() -> None:
    scene = heat_bars(AS_FOUND)
    first, *rest = AS_FOUND.faces
    unit = bar_length(scene, first.face) / first.season_kwh
    for face in rest:
        assert bar_length(scene, face.face) == pytest.approx(unit * face.season_kwh)
    scene = hours_bars(WEIGHING)
    unit = bar_length(scene, "fitting") / 3.1
    for hour in WEIGHING.hours:
        assert bar_length(scene, hour.element) == pytest.approx(unit * hour.typical)


def test_inside_hours_are_hatched() -> None:
    scene = hours_bars(WEIGHING)
    for hour in WEIGHING.hours:
        bar = next(g for g in groups(scene, "bar") if g.name == hour.element)
        hatched = any(getattr(i, "look", "") == "thin" for i in bar.items)
        assert hatched == hour.inside


def test_frontier_shows_every_plan_once_with_the_chosen_one_marked() -> None:
    scene = frontier_chart(WEIGHING)
    marks = groups(scene, "plan")
    others = [p for p in WEIGHING.frontier if p != CHOSEN]
    singles = [p for _, p in WEIGHING.single_way if p != CHOSEN]
    assert len(marks) == len(others) + len(singles) + 1
    solid = [g for g in marks if any(isinstance(i, Disc) and i.look == "dot-solid" for i in g.items)]
    assert len(solid) == 1
    assert "this plan" in solid[0].name


def test_spread_says_each_figure_and_survives_a_payback_that_never_comes() -> None:
    said = words(spread_bars(WEIGHING))
    assert {"6.1 h", "9 h", "14.2 h"} <= set(said)
    never = replace(WEIGHING, spread=replace(WEIGHING.spread, payback_years=Band(4.0, 20.0, float("inf"))))
    assert any("4 years / 20 years / -" in w for w in words(spread_bars(never)))
    loss = replace(WEIGHING, spread=replace(WEIGHING.spread, saving=Band(-40.0, 10.0, 60.0)))
    assert outside(spread_bars(loss)) == []


def test_charts_of_nothing_do_not_fail() -> None:
    empty = replace(
        WEIGHING, hours=(), frontier=(), single_way=(), spread=replace(WEIGHING.spread, tornado=()), options=()
    )
    for draw in (hours_bars, frontier_chart, tornado_bars):
        assert draw(empty).width > 0
    assert heat_bars(replace(AS_FOUND, faces=())).width > 0


@given(st.floats(-1e6, 1e6), st.floats(1e-3, 1e6), st.integers(2, 8))
def test_steps_enclose_the_range_in_round_numbers(low: float, span: float, count: int) -> None:
    ticks = steps(low, low + span, count)
    slack = 1e-6 * span
    assert ticks[0] <= low + slack
    assert ticks[-1] >= low + span - slack
    assert 2 <= len(ticks) <= count + 3


def test_number_words() -> None:
    assert [number_words(v) for v in (0.0, 1.04, 9.0, 19.94, 21.6, 1234.4)] == ["0", "1", "9", "19.9", "22", "1,234"]


def test_long_amounts_stay_on_the_page() -> None:
    def crowns(amount: float) -> str:
        return f"SEK {amount:,.0f}"

    for scene in (tornado_bars(WEIGHING, crowns), frontier_chart(WEIGHING, crowns), spread_bars(WEIGHING, crowns)):
        assert outside(scene) == []
        assert overlapping(scene) == []
