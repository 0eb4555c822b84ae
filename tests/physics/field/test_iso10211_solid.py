"""The solid validation cases of EN ISO 10211, and what must hold for every body."""

from __future__ import annotations

import math

import numpy as np
import pytest
from tests.physics.field.cases import case_2d_stud_ci

from snugbay.base import InputError, Problems, Run, Stopped, UnknownName
from snugbay.physics.field import Accuracy, AirBlock, Block, Solid, solve_section, solve_solid


def _mm(x: tuple[float, float], y: tuple[float, float], z: tuple[float, float], conductivity: float) -> Block:
    low, high = (x[0] / 1e3, y[0] / 1e3, z[0] / 1e3), (x[1] / 1e3, y[1] / 1e3, z[1] / 1e3)
    return Block(low, high, conductivity)


def case_10211_a3() -> Solid:
    """Corner of two outer walls with a floor slab that runs through one of them.

    Geometry: read in the test input of a general finite element library; results 46.09, 13.89, 59.98 W and 11.32,
    11.11 degrees from memory and in agreement with that input (EN ISO 10211:2017 Annex C case 3).
    """
    full = (0.0, 2150.0)
    walls = (
        _mm((-100, 1200), (-100, 0), full, 1.0), _mm((-100, 0), (-100, 1200), full, 1.0),
        _mm((0, 1200), (0, 50), full, 0.04), _mm((0, 50), (0, 1200), full, 0.04),
        _mm((50, 1200), (50, 200), full, 0.7), _mm((50, 200), (50, 1200), full, 0.7),
        _mm((200, 1200), (200, 1200), (1150, 1200), 1.0), _mm((50, 1200), (-700, 1200), (1000, 1150), 2.5),
    )  # fmt: skip
    airs = (
        AirBlock((-1, -1, 0), (1.2, -0.1, 2.15), "outside", 0.05),
        AirBlock((-1, -1, 0), (-0.1, 1.2, 2.15), "outside", 0.05),
        AirBlock((0.2, 0.2, 0), (1.2, 1.2, 1.0), "below", 0.20),
        AirBlock((0.2, 0.2, 1.2), (1.2, 1.2, 2.15), "above", 0.20),
    )
    return Solid(walls, airs)


def case_10211_a4() -> Solid:
    """An iron bar through an insulating layer, flush with the cold face (EN ISO 10211:2017 Annex C case 4)."""
    plate = Block((0, 0, 0), (1, 1, 0.2), 0.1)
    bar = Block((0.45, 0.475, 0), (0.55, 0.525, 0.6), 50.0)
    airs = (AirBlock((0, 0, 0.2), (1, 1, 1), "inside", 0.10), AirBlock((0, 0, -1), (1, 1, 0), "outside", 0.10))
    return Solid((plate, bar), airs)


def test_10211_A3() -> None:  # noqa: N802
    # Acceptance: flows within 1 %, temperatures within 0.1 K.
    result = solve_solid(case_10211_a3(), {"below": 20.0, "above": 15.0, "outside": 0.0})
    assert result.flows["below"] == pytest.approx(46.09, rel=0.01)
    assert result.flows["above"] == pytest.approx(13.89, rel=0.01)
    assert result.flows["outside"] == pytest.approx(-59.98, rel=0.01)
    assert result.surface_range("below")[0] == pytest.approx(11.32, abs=0.1)
    assert result.surface_range("above")[0] == pytest.approx(11.11, abs=0.1)
    assert abs(result.balance_error) < 1e-6
    assert result.criterion_met


def test_10211_A4() -> None:  # noqa: N802
    # Acceptance: flow within 1 % of 0.540 W, highest outside surface temperature within 0.005 of 0.805.
    result = solve_solid(case_10211_a4(), {"inside": 1.0, "outside": 0.0})
    assert result.total_flow == pytest.approx(0.540, rel=0.01)
    assert result.surface_range("outside")[1] == pytest.approx(0.805, abs=0.005)
    assert abs(result.balance_error) < 1e-6
    assert result.criterion_met
    assert result.flow_change < 0.01
    assert result.temperatures([(0.5, 0.5, 0.0)])[0] == pytest.approx(result.surface_range("outside")[1], abs=1e-3)


def test_a_quarter_of_the_bar_gives_a_quarter_of_the_flow() -> None:
    plate, bar = Block((0, 0, 0), (0.5, 0.5, 0.2), 0.1), Block((0, 0, 0), (0.05, 0.025, 0.6), 50.0)
    airs = (AirBlock((0, 0, 0.2), (0.5, 0.5, 1), "inside", 0.10), AirBlock((0, 0, -1), (0.5, 0.5, 0), "outside", 0.10))
    result = solve_solid(Solid((plate, bar), airs), {"inside": 1.0, "outside": 0.0})
    assert 4 * result.total_flow == pytest.approx(0.540, rel=0.005)


def test_a_section_drawn_out_to_a_body_gives_the_flow_of_the_section() -> None:
    case = case_2d_stud_ci()
    blocks = tuple(Block((*r.outline[0], 0.0), (*r.outline[2], 0.3), r.conductivity) for r in case.section.regions)
    airs = (
        AirBlock((0, -1, 0), (0.2032, 0, 0.3), "outside", 0.04),
        AirBlock((0, 0.1627, 0), (0.2032, 1, 0.3), "inside", 0.13),
    )
    body = solve_solid(Solid(blocks, airs), case.temps_c, points=[(0, 0.1627, 0.1)])
    plane = solve_section(case.section, case.temps_c)
    assert body.total_flow == pytest.approx(0.3 * plane.total_flow, rel=1e-3)
    assert body.temperatures([(0, 0.1627, 0.1), (0.2032, 0.1627, 0.3)]) == pytest.approx([19.0187, 19.1511], abs=0.01)
    assert body.factor("inside", "outside") == pytest.approx(plane.factor("inside", "outside"), abs=5e-4)


def test_turning_a_body_about_an_axis_changes_nothing() -> None:
    body = case_10211_a4()

    def turned(v: tuple[float, float, float]) -> tuple[float, float, float]:
        return (v[2], v[0], v[1])

    blocks = tuple(Block(turned(b.low), turned(b.high), b.conductivity) for b in body.blocks)
    airs = tuple(AirBlock(turned(a.low), turned(a.high), a.air, a.resistance) for a in body.airs)
    rough = Accuracy(0.02, 0.02)
    flows = [
        solve_solid(s, {"inside": 1, "outside": 0}, accuracy=rough).total_flow for s in (body, Solid(blocks, airs))
    ]
    assert flows[0] == pytest.approx(flows[1], rel=1e-7)


def test_layers_in_a_box_give_the_sum_of_resistances_with_the_films_of_floor_and_ceiling() -> None:
    blocks = (Block((0, 0, 0), (1, 2, 0.1), 0.04), Block((0, 0, 0.1), (1, 2, 0.3), 0.5))
    airs = (
        AirBlock((0, 0, 0.3), (1, 2, 1), "loft", 0.13, floor_resistance=0.10, ceiling_resistance=9.0),
        AirBlock((0, 0, -1), (1, 2, 0), "room", 0.13, floor_resistance=9.0, ceiling_resistance=0.17),
    )
    result = solve_solid(Solid(blocks, airs), {"loft": 0.0, "room": 20.0})
    assert result.total_flow == pytest.approx(2 * 20 / (0.10 + 0.1 / 0.04 + 0.2 / 0.5 + 0.17), rel=1e-8)


def test_fixed_surfaces_and_nan_in_a_body() -> None:
    block = Block((0, 0, 0), (1, 1, 1), 2.0)
    airs = (AirBlock((-1, 0, 0), (0, 1, 1), "a", 0.0), AirBlock((1, 0, 0), (2, 1, 1), "b", 0.0))
    result = solve_solid(Solid((block,), airs), {"a": 3.0, "b": 1.0})
    assert result.total_flow == pytest.approx(4.0)
    assert result.temperatures([(0.25, 0.5, 0.5)]) == pytest.approx([2.5])
    assert math.isnan(result.at({"a": math.nan, "b": 0.0}).total_flow)
    assert np.isnan(result.at({"a": math.nan, "b": 0.0}).temperatures([(0.5, 0.5, 0.5)])).all()


def test_nonsense_bodies_are_refused() -> None:
    block, air = Block((0, 0, 0), (1, 1, 1), 1.0), AirBlock((0, 0, 1), (1, 1, 2), "room", 0.13)
    with pytest.raises(Problems) as caught:
        solve_solid(Solid((Block((0, 0, 0), (1, -1, 1), math.nan),), (AirBlock((0, 0, 0), (1, 1, 1), "a", -1.0),)), {})
    assert len(caught.value.errors) == 3
    with pytest.raises(Problems):
        solve_solid(Solid((), ()), {})
    far = AirBlock((5, 5, 5), (6, 6, 6), "loft", 0.13)
    with pytest.raises(InputError, match="touches no material"):
        solve_solid(Solid((block,), (air, far)), {"room": 0, "loft": 1})
    with pytest.raises(InputError, match="touches nothing"):
        solve_solid(Solid((block, Block((3, 0, 0), (4, 1, 1), 1.0)), (air,)), {"room": 0})
    with pytest.raises(UnknownName):
        solve_solid(Solid((block,), (air,)), {})
    with pytest.raises(Stopped):
        solve_solid(Solid((block,), (air,)), {"room": 1}, run=Run(stop=lambda: True))
    with pytest.raises(InputError, match="outside the body"):
        solve_solid(Solid((block,), (air,)), {"room": 1}, points=[(2, 2, 2)])


def test_a_body_that_may_not_grow_says_what_is_left() -> None:
    result = solve_solid(case_10211_a4(), {"inside": 1, "outside": 0}, accuracy=Accuracy(1e-7, 1e-7, 15_000))
    assert not result.criterion_met
    assert [f.code for f in result.findings] == ["field.coarse"]
