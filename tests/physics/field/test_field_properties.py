"""What must hold for every section: balance, turning, more insulation, superposition, NaN, refusal of nonsense."""

from __future__ import annotations

import math
import pickle

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.physics.field.cases import Case, case_2d_corner, case_2d_stud_ci
from tests.said import said

from snugbay.base import InputError, Problems, Run, Stopped, UnknownName
from snugbay.physics.field import Accuracy, Facing, Region, Section, psi_value, rectangle, solve_section

ROUGH = Accuracy(flow=2e-3, temp=2e-3)
conductivities = st.floats(0.02, 3.0)
sizes = st.floats(0.01, 0.5)


def _wall(half: float, stud: float, depth: float, board: float, lam: tuple[float, float, float]) -> Section:
    """A bay of framing and filling with a board over it; lam of framing, filling, board."""
    regions = (
        rectangle(0, 0, half, depth, lam[1]),
        rectangle(0, 0, stud, depth, lam[0]),
        rectangle(0, depth, half, depth + board, lam[2]),
    )
    top = depth + board
    return Section(regions, (Facing((0, 0), (half, 0), "out", 0.04), Facing((0, top), (half, top), "in", 0.13)))


@settings(max_examples=15, deadline=None)
@given(st.floats(0.1, 0.4), st.floats(0.1, 0.9), sizes, sizes, st.tuples(*[conductivities] * 3))
def test_energy_balance_closes(
    half: float, part: float, depth: float, board: float, lam: tuple[float, float, float]
) -> None:
    result = solve_section(_wall(half, part * half, depth, board, lam), {"in": 20, "out": -5}, accuracy=ROUGH)
    assert abs(result.balance_error) < 1e-6
    assert result.flows["in"] == pytest.approx(-result.flows["out"], rel=1e-6)


@settings(max_examples=15, deadline=None)
@given(st.floats(0.1, 0.4), st.floats(0.1, 0.9), sizes, sizes, st.tuples(*[conductivities] * 3))
def test_flow_lies_between_the_bounds_of_parallel_paths_and_level_planes(
    half: float, part: float, depth: float, board: float, lam: tuple[float, float, float]
) -> None:
    # The upper and lower limits of resistance of ISO 6946 bracket the field (adiabatic and isothermal cuts).
    result = solve_section(_wall(half, part * half, depth, board, lam), {"in": 1, "out": 0}, accuracy=ROUGH)
    ends = 0.04 + 0.13 + board / lam[2]
    paths = half * (part / (ends + depth / lam[0]) + (1 - part) / (ends + depth / lam[1]))
    planes = half / (ends + depth / (part * lam[0] + (1 - part) * lam[1]))
    assert paths * (1 - 2e-3) <= result.total_flow <= planes * (1 + 2e-3)


@settings(max_examples=8, deadline=None)
@given(st.floats(-math.pi, math.pi), st.floats(-3, 3), st.floats(-3, 3))
def test_turning_and_shifting_a_section_changes_nothing(angle: float, dx: float, dy: float) -> None:
    case = case_2d_stud_ci()
    straight = solve_section(case.section, case.temps_c, points=case.points)
    c, s = math.cos(angle), math.sin(angle)
    points = [(c * x - s * y + dx, s * x + c * y + dy) for x, y in case.points]
    turned = solve_section(case.section.moved(angle, (dx, dy)), case.temps_c, points=points)
    assert turned.total_flow == pytest.approx(straight.total_flow, rel=4e-4)
    assert turned.temperatures(points) == pytest.approx(straight.temperatures(case.points), abs=0.01)


def test_quarter_turns_give_the_same_figures_to_rounding() -> None:
    case = case_2d_stud_ci()
    flows = [solve_section(case.section.moved(k * math.pi / 2), case.temps_c).total_flow for k in range(4)]
    assert flows == pytest.approx([flows[0]] * 4, rel=1e-9)


@settings(max_examples=12, deadline=None)
@given(st.floats(0.1, 0.9), sizes, sizes, st.tuples(*[conductivities] * 3), st.floats(0.3, 0.95), st.integers(0, 2))
def test_more_insulation_never_raises_the_loss(
    part: float, depth: float, board: float, lam: tuple[float, float, float], better: float, which: int
) -> None:
    improved = tuple(v * better if k == which else v for k, v in enumerate(lam))
    before = solve_section(_wall(0.3, part * 0.3, depth, board, lam), {"in": 20, "out": 0}, accuracy=ROUGH)
    after = solve_section(
        _wall(0.3, part * 0.3, depth, board, (improved[0], improved[1], improved[2])),
        {"in": 20, "out": 0},
        accuracy=ROUGH,
    )
    assert after.total_flow <= before.total_flow * (1 + 1e-3)


def test_a_section_far_from_the_origin_with_very_small_cells_is_solved_all_the_same() -> None:
    case = case_2d_corner()
    fine = Accuracy(1e-6, 1e-6)
    near = solve_section(case.section, case.temps_c, accuracy=fine).total_flow
    far = solve_section(case.section.moved(by=(123.4, -56.7)), case.temps_c, accuracy=fine).total_flow
    assert far == pytest.approx(near, rel=1e-6)


def _three() -> Case:
    """A T of two walls between three spaces, one edge held."""
    regions = (rectangle(0, 0, 1, 0.2, 0.5), rectangle(0.4, 0.2, 0.5, 0.8, 0.2))
    facings = (
        Facing((0, 0), (1, 0), "out", 0.04),
        Facing((0, 0.2), (0.4, 0.2), "loft", 0.13),
        Facing((0.4, 0.2), (0.4, 0.8), "loft", 0.13),
        Facing((0.5, 0.2), (1, 0.2), "room", 0.13),
        Facing((0.5, 0.2), (0.5, 0.8), "room", 0.13),
        Facing((0.4, 0.8), (0.5, 0.8), "floor", 0.0),
    )
    return Case(Section(regions, facings), {"out": -5.0, "loft": 3.0, "room": 20.0, "floor": 15.0})


def test_exchange_between_several_spaces_is_mutual_and_balanced() -> None:
    result = solve_section(_three().section, _three().temps_c)
    exchange = result.fields.exchange
    assert exchange == pytest.approx(exchange.T, abs=1e-9)
    assert exchange.sum(0) == pytest.approx(0, abs=1e-9)
    assert exchange.sum(1) == pytest.approx(0, abs=1e-9)
    assert abs(result.balance_error) < 1e-6
    airs = result.airs
    pairs = [(a, b) for a in airs for b in airs if a < b]
    flow = sum(result.coupling("room", b) * (20 - _three().temps_c[b]) for a, b in pairs if a == "room")
    flow += sum(result.coupling(a, "room") * (20 - _three().temps_c[a]) for a, b in pairs if b == "room")
    assert result.flows["room"] == pytest.approx(flow, rel=1e-9)


def test_other_temperatures_need_no_new_solution() -> None:
    first = solve_section(_three().section, _three().temps_c)
    other = {"out": 30.0, "loft": 45.0, "room": 24.0, "floor": 24.0}
    again = solve_section(_three().section, other)
    assert dict(first.at(other).flows) == pytest.approx(dict(again.flows), rel=1e-9)


@settings(max_examples=10, deadline=None)
@given(st.lists(st.tuples(st.floats(0.01, 0.99), st.floats(0.01, 0.19)), min_size=1, max_size=5))
def test_temperatures_stay_between_those_of_the_spaces(points: list[tuple[float, float]]) -> None:
    result = solve_section(_three().section, _three().temps_c, accuracy=ROUGH)
    shares = result.shares(points)
    assert shares.sum(1) == pytest.approx(1)
    assert (shares > -1e-6).all()
    temps = result.temperatures(points)
    assert ((temps >= -5) & (temps <= 20)).all()


def test_nan_in_gives_nan_out() -> None:
    result = solve_section(_three().section, {**_three().temps_c, "out": math.nan})
    assert math.isnan(result.flows["room"])
    assert math.isnan(result.total_flow)
    assert np.isnan(result.temperatures([(0.5, 0.1)])).all()
    assert math.isfinite(result.coupling("room", "out"))


def test_equal_temperatures_make_no_flow() -> None:
    result = solve_section(_three().section, dict.fromkeys(_three().temps_c, 12.0))
    assert result.total_flow == pytest.approx(0, abs=1e-8)
    assert result.temperatures([(0.45, 0.7), (0.1, 0.1)]) == pytest.approx([12, 12])
    assert math.isnan(result.factor("room", "out"))


def test_regions_that_overlap_count_by_the_later_one() -> None:
    over = (rectangle(0, 0, 1, 1, 0.04), rectangle(0, 0.5, 1, 1, 0.5))
    apart = (rectangle(0, 0, 1, 0.5, 0.04), rectangle(0, 0.5, 1, 1, 0.5))
    faces = (Facing((0, 0), (1, 0), "a", 0.1), Facing((0, 1), (1, 1), "b", 0.1))
    flows = [solve_section(Section(r, faces), {"a": 1, "b": 0}).total_flow for r in (over, apart)]
    assert flows[0] == pytest.approx(flows[1], rel=1e-12)
    assert flows[0] == pytest.approx(1 / (0.1 + 0.5 / 0.04 + 0.5 / 0.5 + 0.1), rel=1e-9)


def test_slanting_layers_give_the_flow_of_a_parallelogram() -> None:
    # A sheared plate with adiabatic slanting ends, of one material, against a fine net by even halving.
    plate = Region(((0, 0), (1, 0), (1.3, 0.4), (0.3, 0.4)), 0.1)
    faces = (Facing((0, 0), (1, 0), "a", 0.0), Facing((0.3, 0.4), (1.3, 0.4), "b", 0.0))
    result = solve_section(Section((plate,), faces), {"a": 1, "b": 0})
    fine = solve_section(Section((plate,), faces), {"a": 1, "b": 0}, accuracy=Accuracy(1e-5, 1e-5))
    # Bounds: adiabatic cuts square to the faces give a lower, linear temperature an upper bound of the flow.
    assert 0.7 * 0.1 / 0.4 < result.total_flow < 1.0 * 0.1 / 0.4
    assert result.total_flow == pytest.approx(fine.total_flow, rel=3e-4)


def test_surface_extremes_are_found_where_they_are() -> None:
    case = case_2d_stud_ci()
    surface = solve_section(case.section, case.temps_c).surface("inside")
    assert surface.lowest_c == pytest.approx(19.0187, abs=0.01)
    assert surface.highest_c == pytest.approx(19.1511, abs=0.01)
    assert surface.lowest_at == pytest.approx((0.0, 0.1627))


def test_psi_value_subtracts_the_plane_parts() -> None:
    assert psi_value(1.0, [(0.3, 1.0), (0.2, 2.0)]) == pytest.approx(0.3)
    assert psi_value(1.0, []) == 1.0


def test_picture_gives_corners_elements_and_temperatures() -> None:
    for angle in (0.0, 0.3):
        case = case_2d_corner()
        points, cells, temps = solve_section(case.section.moved(angle), case.temps_c, accuracy=ROUGH).picture()
        assert points.shape == (len(temps), 2)
        assert cells.shape[1] == (4 if angle == 0 else 3)
        assert cells.max() == len(points) - 1
        assert temps.min() == pytest.approx(0)
        assert temps.max() == pytest.approx(1)


def test_all_faults_of_a_section_are_told_together() -> None:
    bad = Section(
        (Region(((0, 0), (1, 0), (1, 1)), -1.0, "foil"), Region(((0, 0), (1, 1), (2, 2)), 1.0, "line")),
        (Facing((0, 0), (0, 0), "in", 0.13), Facing((0, 0), (1, 0), "in", math.nan)),
    )
    with pytest.raises(Problems) as caught:
        solve_section(bad, {"in": 20})
    assert [e.where for e in caught.value.errors] == [
        ("regions", 0, "conductivity"), ("regions", 1, "outline"), ("facings", 0), ("facings", 1, "resistance"),
    ]  # fmt: skip
    with pytest.raises(Problems):
        solve_section(Section((), ()), {})


def test_facings_off_the_edge_or_twice_on_it_are_refused() -> None:
    block = rectangle(0, 0, 1, 1, 1.0)
    low, high = Facing((0, 0), (1, 0), "a", 0.1), Facing((0, 1), (1, 1), "b", 0.1)
    with pytest.raises(InputError, match="lie on the edge"):
        solve_section(Section((block,), (low, Facing((0, 0.5), (1, 0.5), "b", 0.1))), {"a": 0, "b": 1})
    with pytest.raises(InputError, match="claim the same"):
        solve_section(Section((block,), (low, high, Facing((0, 0), (0.5, 0), "b", 0.2))), {"a": 0, "b": 1})
    with pytest.raises(UnknownName, match="b"):
        solve_section(Section((block,), (low, high)), {"a": 0})
    with pytest.raises(InputError, match="outside the section"):
        solve_section(Section((block,), (low, high)), {"a": 0, "b": 1}, points=[(2, 2)])
    with pytest.raises(UnknownName, match="attic"):
        solve_section(Section((block,), (low, high)), {"a": 0, "b": 1}).surface("attic")


def test_a_part_that_touches_nothing_is_refused() -> None:
    section = Section((rectangle(0, 0, 1, 1, 1.0), rectangle(2, 0, 3, 1, 1.0)), (Facing((0, 0), (1, 0), "a", 0.1),))
    with pytest.raises(InputError, match="touches nothing"):
        solve_section(section, {"a": 0})


def test_a_net_that_may_not_grow_says_what_is_left() -> None:
    case = case_2d_corner()
    result = solve_section(case.section, case.temps_c, accuracy=Accuracy(1e-9, 1e-9, max_unknowns=2000))
    assert not result.criterion_met
    assert result.unknowns <= 2000 * 1.1
    assert [f.code for f in result.findings] == ["field.coarse"]
    assert result.findings[0].figure("flow") == result.flow_change > 1e-9


def test_stopping_keeps_the_best_so_far() -> None:
    case = case_2d_corner()
    with pytest.raises(Stopped):
        solve_section(case.section, case.temps_c, run=Run(stop=lambda: True))
    answers = iter([False, True, True])
    reports: list[float] = []
    run = Run(stop=lambda: next(answers), progress=lambda _, share: reports.append(share))
    result = solve_section(case.section, case.temps_c, accuracy=Accuracy(1e-8, 1e-8), run=run)
    assert not result.criterion_met
    assert "stopped" in said(result.findings[0])
    assert reports


def test_frozen_values_survive_pickling() -> None:
    section = case_2d_corner().section
    assert pickle.loads(pickle.dumps(section)) == section
