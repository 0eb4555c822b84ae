"""Boards set loosely: limits, trends, the whole field as a second reckoning, and what practice says."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from snugbay.base import OutOfRange
from snugbay.physics.field import (
    Accuracy,
    GapFlow,
    Layer,
    LooseBoard,
    loose_board,
    loose_field,
    still_air_conductance,
    still_air_conductivity,
)

R_IP = 5.678263
PLY = Layer(0.018, 0.12, "plywood")


def _box(**changes: Any) -> LooseBoard:
    """2 in of foil-faced board round a plywood box on a cold day."""
    facts: dict[str, Any] = {
        "gap_low": 0.005, "gap_high": 0.005, "channel_depth": 0.01, "height": 1.0, "board_resistance": 13 / R_IP,
        "back_resistance": 0.13 + 0.018 / 0.12, "temp_warm_c": 20.0, "temp_cold_c": -5.0, "emissivities": (0.83, 0.05),
    }  # fmt: skip
    return loose_board(**{**facts, **changes})


@pytest.mark.parametrize(
    ("flow", "values"),
    [
        (GapFlow.UP, (0.1633, 0.3392, 0.4538)),
        (GapFlow.HORIZONTAL, (0.1844, 0.4449, 0.6651)),
        (GapFlow.DOWN, (0.1933, 0.5005, 0.7977)),
    ],
)
def test_6946_airspace_formula(flow: GapFlow, values: tuple[float, ...]) -> None:
    # ISO 6946:2017 Annex D for 25 mm, emissivity pairs 0.9/0.9, 0.2/0.9, 0.05/0.9.
    for emissivity, value in zip((0.9, 0.2, 0.05), values, strict=True):
        conductance = sum(still_air_conductance(0.025, emissivities=(emissivity, 0.9), flow=flow))
        # The check rounds hr0 to 5.1, here it is 4σT³ = 5.149.
        assert 1 / conductance == pytest.approx(value, abs=0.003)


def test_a_narrow_gap_radiates_less_than_a_wide_layer() -> None:
    narrow, wide = still_air_conductivity(0.05, width=0.005), still_air_conductivity(0.05)
    assert 0.025 < narrow < wide


def test_two_inches_of_board_set_loosely_round_a_box_give_a_few_r_of_their_thirteen() -> None:
    # Common practice, no source: R-13 as sold gives only a few R; edges open by 5 to 10 mm, 6 to 20 mm behind.
    gaps, depths = np.meshgrid([0.005, 0.0075, 0.01], [0.006, 0.01, 0.02])
    worth = _box(gap_low=gaps, gap_high=gaps, channel_depth=depths, wind_pressure=0.25).resistance_set * R_IP
    assert (worth > 0.5).all()
    assert (worth < 4.0).all()
    assert float(_box().share) < 0.25


def test_sealed_edges_give_the_board_and_a_still_airspace() -> None:
    closed = _box(gap_low=0.0)
    convective, radiative = still_air_conductance(0.01, emissivities=(0.83, 0.05), mean_temp_c=7.5)
    assert float(closed.air_flow) == 0
    assert float(closed.resistance_set) == pytest.approx(float(closed.resistance_sealed))
    assert float(closed.resistance_sealed) == pytest.approx(13 / R_IP + 1 / float(convective + radiative))
    assert float(closed.resistance_fixed) == pytest.approx(13 / R_IP)


def test_nearly_closed_gaps_come_to_the_sealed_figure() -> None:
    tight = _box(gap_low=2e-4, gap_high=2e-4)
    assert float(tight.resistance_set) == pytest.approx(float(tight.resistance_sealed), rel=0.01)


def test_a_gale_through_wide_gaps_leaves_nothing_and_says_so() -> None:
    washed = _box(
        gap_low=0.05, gap_high=0.05, channel_depth=0.04, wind_pressure=50.0, emissivities=(0.9, 0.9), length=0.2
    )
    assert 0 <= float(washed.share) < 0.2
    assert float(washed.temp_channel_c) == pytest.approx(-5.0, abs=0.5)
    bare = _box(
        channel_depth=0.003, gap_low=0.05, gap_high=0.05, wind_pressure=3000.0, emissivities=(0.9, 0.9), length=0.05
    )
    assert float(bare.resistance_set) == 0
    assert "field.washed" in [f.code for f in bare.findings]


positive = st.floats(1e-4, 0.03)


@settings(max_examples=60, deadline=None)
@given(positive, positive, st.floats(0.002, 0.05), st.floats(0, 3), st.floats(0.1, 5), st.floats(-3, 3))
def test_worth_stays_between_nothing_and_sealed(
    low: float, high: float, depth: float, height: float, board: float, wind: float
) -> None:
    result = _box(
        gap_low=low, gap_high=high, channel_depth=depth, height=height, length=height + 0.1,
        board_resistance=board, wind_pressure=wind,
    )  # fmt: skip
    assert 0 <= float(result.resistance_set) <= float(result.resistance_sealed) * (1 + 1e-9)
    assert -5 - 1e-9 <= float(result.temp_channel_c) <= 20


@settings(max_examples=40, deadline=None)
@given(positive, st.floats(1.05, 4.0), st.floats(0.004, 0.03), st.floats(0.2, 3), st.floats(0, 2))
def test_wider_gaps_never_help(gap: float, wider: float, depth: float, height: float, wind: float) -> None:
    worth = _box(
        gap_low=[gap, gap * wider], gap_high=[gap, gap * wider], channel_depth=depth, height=height, wind_pressure=wind
    ).resistance_set
    assert worth[1] <= worth[0] * (1 + 1e-9)


@settings(max_examples=40, deadline=None)
@given(positive, st.floats(0.1, 3.0), st.floats(1.05, 3.0))
def test_a_better_board_never_raises_the_loss(gap: float, board: float, better: float) -> None:
    worth = _box(gap_low=gap, gap_high=gap, board_resistance=[board, board * better]).resistance_set
    assert worth[1] >= worth[0] - 1e-9


def test_flow_and_pressure_agree_with_the_losses_named() -> None:
    # Independent reckoning of the laminar parts and the velocity heads at the flow found.
    result = _box()
    q, mean = float(result.air_flow), 7.5 + 273.15
    rho, mu = 353.05 / mean, 1.458e-6 * mean**1.5 / (mean + 110.4)
    gaps = 2 * (12 * mu * 0.05 / 0.005**3 * q + 1.5 * rho / 2 * (q / 0.005) ** 2)
    assert gaps + 12 * mu * 1.0 / 0.01**3 * q == pytest.approx(float(result.pressure), rel=1e-6)
    warm = float(result.temp_channel_c) + 273.15
    assert float(result.pressure) == pytest.approx(353.05 * 9.81 * (1 / 268.15 - 1 / warm), rel=1e-6)


def test_wind_against_the_rise_can_turn_the_flow() -> None:
    assert float(_box(wind_pressure=0.0).air_flow) > 0
    assert float(_box(wind_pressure=-5.0).air_flow) < 0
    assert float(_box(wind_pressure=5.0).air_flow) > float(_box(wind_pressure=0.0).air_flow)


def test_air_falls_in_a_channel_that_is_colder_than_the_space() -> None:
    assert float(_box(temp_warm_c=18.0, temp_cold_c=40.0).air_flow) < 0


def test_without_difference_and_wind_nothing_moves() -> None:
    still = _box(temp_warm_c=10.0, temp_cold_c=10.0)
    assert float(still.air_flow) == pytest.approx(0, abs=1e-9)
    assert float(still.resistance_set) == pytest.approx(float(still.resistance_sealed), rel=1e-4)


def test_arrays_and_single_figures_agree_and_nan_stays_where_it_was() -> None:
    gaps = np.array([0.002, math.nan, 0.01])
    many = _box(gap_low=gaps, gap_high=0.006)
    single = [float(_box(gap_low=g, gap_high=0.006).resistance_set) for g in (0.002, 0.01)]
    assert many.resistance_set[[0, 2]] == pytest.approx(single)
    assert np.isnan(many.resistance_set).tolist() == [False, True, False]
    assert np.isnan(many.air_flow).tolist() == [False, True, False]


def test_the_whole_field_with_moving_air_agrees() -> None:
    # Two-dimensional elements and a heat balance in stretches against the one-dimensional model, no radiation.
    board = Layer(0.05, 0.022, "foil board")
    for gap, depth in ((0.004, 0.01), (0.005, 0.006)):
        plain = _box(
            gap_low=gap, gap_high=gap, channel_depth=depth, board_resistance=board.resistance,
            emissivities=(1e-6, 1e-6),
        )  # fmt: skip
        field = loose_field(
            [PLY], board, channel_depth=depth, height=1.0, air_flow=float(plain.air_flow), warm_c=20, cold_c=-5,
            stretches=6, accuracy=Accuracy(5e-3, 5e-3),
        )  # fmt: skip
        assert field.resistance_set == pytest.approx(float(plain.resistance_set), rel=0.015)
        assert np.mean(field.temps_channel_c) == pytest.approx(float(plain.temp_channel_c), abs=0.1)
        carried = sum(field.field.flows[a] for a in field.field.airs if a.startswith("channel"))
        assert -carried == pytest.approx(field.air_heat, rel=1e-6)
        assert abs(field.field.balance_error) < 1e-6


def test_the_field_with_still_air_lies_under_the_sealed_figure_by_the_ends_only() -> None:
    board = Layer(0.05, 0.022, "foil board")
    still = loose_field(
        [PLY], board, channel_depth=0.01, height=1.0, air_flow=0.0, warm_c=20, cold_c=-5, stretches=6,
        accuracy=Accuracy(5e-3, 5e-3),
    )  # fmt: skip
    sealed = float(_box(gap_low=0.0, board_resistance=board.resistance, emissivities=(1e-6, 1e-6)).resistance_sealed)
    assert 0.85 * sealed < still.resistance_set < sealed


def test_impossible_channels_are_refused_and_odd_ones_named() -> None:
    with pytest.raises(OutOfRange, match="gap low"):
        _box(gap_low=-0.001)
    with pytest.raises(OutOfRange, match="channel depth"):
        _box(channel_depth=0.0)
    with pytest.raises(OutOfRange, match="length"):
        _box(height=0.0)
    with pytest.raises(OutOfRange):
        loose_field([PLY], PLY, channel_depth=0.01, height=1, air_flow=-1.0, warm_c=20, cold_c=0)
    assert [f.code for f in _box(channel_depth=0.1).findings] == ["field.channel-range"]
    assert _box().findings == ()
