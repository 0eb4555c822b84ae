"""Layers, airspaces, corrections, tapers: properties, limits, errors."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import dblquad, quad
from tests.physics.shared import near

from snugbay.base import OutOfRange
from snugbay.physics import heat

RESISTANCE = st.floats(0.01, 8.0)
SHARE = st.floats(0.02, 0.6)


@given(RESISTANCE, RESISTANCE, RESISTANCE, SHARE, SHARE)
def test_the_lower_limit_is_never_above_the_upper(a: float, b: float, c: float, f: float, g: float) -> None:
    wall = heat.combined([a, [(1 - f, b), (f, c)], [(1 - g, c), (g, a)]])
    assert wall.lower <= wall.total * (1 + 1e-12) <= wall.upper * (1 + 2e-12)
    assert len(wall.paths) == 4
    near(wall.shares.sum(), 1.0, tol=1e-12)


@given(RESISTANCE, RESISTANCE, SHARE, st.floats(0.0, 5.0))
def test_more_insulation_never_raises_the_loss(batt: float, board: float, f: float, more: float) -> None:
    def u(extra_batt: float, extra_board: float) -> float:
        return float(heat.combined([board + extra_board, [(1 - f, batt + extra_batt), (f, 1.0)]]).u)

    assert u(more, 0.0) <= u(0.0, 0.0) * (1 + 1e-12)
    assert u(0.0, more) <= u(0.0, 0.0) * (1 + 1e-12)


def test_arrays_give_what_numbers_give() -> None:
    boards = np.array([0.0, 1.0, 2.0])
    many = heat.combined([boards, [(0.8, 2.3), (0.2, boards + 0.7)]], rsi=np.array([0.1, 0.13, 0.17]))
    for k, (board, rsi) in enumerate(zip(boards, (0.1, 0.13, 0.17), strict=True)):
        one = heat.combined([board, [(0.8, 2.3), (0.2, board + 0.7)]], rsi=rsi)
        near(many.total[k], one.total, rel=1e-14)
        near(many.paths[k], one.paths, rel=1e-14)


def test_nan_passes_through() -> None:
    wall = heat.combined([float("nan"), [(0.8, 2.0), (0.2, 1.0)]])
    assert np.isnan(wall.total)
    assert np.isnan(wall.u)
    assert np.isnan(heat.airspace_table(np.array([0.01, np.nan]), "up")).tolist() == [False, True]
    assert np.isnan(heat.airspace(np.nan, "down"))
    assert np.isnan(heat.gap_correction(1, np.nan, 3.0))


def test_aligned_framing_counts_only_its_own_paths() -> None:
    # studs in both layers at the same place: two paths, not four
    cut = heat.Sections(np.array([0.85, 0.15]), np.array([[2.0, 3.0], [0.5, 0.8]]))
    near(heat.parallel_path(cut), 1 / (0.85 / 5.0 + 0.15 / 1.3), rel=1e-12)
    crossed = heat.parallel_path([[(0.85, 2.0), (0.15, 0.5)], [(0.85, 3.0), (0.15, 0.8)]])
    assert crossed > heat.parallel_path(cut)


def test_shares_must_make_one() -> None:
    with pytest.raises(OutOfRange, match="shares of layer 2 sum"):
        heat.combined([0.1, [(0.7, 2.0), (0.2, 1.0)]])
    with pytest.raises(OutOfRange, match="negative"):
        heat.combined([-0.1])
    with pytest.raises(OutOfRange, match="without layers"):
        heat.combined([])


def test_limits_far_apart_are_a_finding() -> None:
    # a metal stud, 0.2 % of the area, is a short circuit for planes but not for paths
    steel = heat.combined([0.08, [(0.995, 3.5), (0.005, 0.002)], 0.08])
    assert [f.code for f in steel.findings] == ["heat.limits-apart"]
    assert not heat.combined([[(0.8, 3.5), (0.2, 1.0)]]).findings


def test_temperatures_through_a_part() -> None:
    got = heat.interface_temperatures(np.array([0.13, 2.0, 0.5, 0.04]), 20.0, np.array([-10.0, 0.0]))
    near(got[:, 0], [20, 20])
    near(got[:, -1], [-10, 0])
    near(got[0, 1], 20 - 30 * 0.13 / 2.67, rel=1e-12)
    assert np.all(np.diff(got) <= 0)


def test_framing_share() -> None:
    near(heat.framing_share(0.4064, 0.0381), 0.09375, rel=1e-12)  # 2x stud at 16 in
    with pytest.raises(OutOfRange):
        heat.framing_share(0.1, 0.2)


@pytest.mark.parametrize(
    ("slope", "below", "flow"),
    [(0, True, "up"), (0, False, "down"), (45, True, "up"), (60, True, "horizontal"), (90, False, "horizontal")],
)
def test_direction_of_flow(slope: float, below: bool, flow: str) -> None:
    assert heat.flow_through(slope, warm_side_below=below) == flow


def test_films() -> None:
    # [ISO6946:2017] Annex C: the conventional values follow from ε 0.9 and 20 °C, to their rounding
    for flow in heat.HeatFlow:
        near(heat.surface_resistance_from(flow), heat.RSI[flow], tol=0.005)
    near(heat.external_surface_resistance(4.0), heat.RSE, tol=0.001)
    near(heat.radiative_black(10.0), 5.1, tol=0.05)
    assert heat.surface_resistance_from("up", emissivity=0.05) > heat.surface_resistance_from("up")


@given(st.floats(0.006, 0.3), st.floats(0.03, 0.9), st.sampled_from(["up", "horizontal", "down"]))
def test_a_brighter_face_never_lowers_an_airspace(d: float, e: float, flow: str) -> None:
    assert heat.airspace(d, flow, emissivities=(e, 0.9)) >= heat.airspace(d, flow) - 1e-12


def test_airspace_with_a_larger_drop_moves_more_heat() -> None:
    for flow in ("up", "horizontal"):
        assert heat.airspace(0.1, flow, temp_drop=15.0) < heat.airspace(0.1, flow, temp_drop=5.0)


def test_a_narrow_void_resists_more_than_a_layer() -> None:
    layer = heat.airspace(0.02, "horizontal")
    void = heat.airspace(0.02, "horizontal", width=np.array([0.02, 0.05, 20.0]))
    assert void[0] > void[1] > layer
    near(void[2], layer, rel=1e-3)


def test_ventilation_classes() -> None:
    assert [heat.ventilation_of_layer(a) for a in (0, 500, 501, 1500, 1501)] == [
        "still",
        "still",
        "slight",
        "slight",
        "well",
    ]
    near(heat.slightly_ventilated(np.array([0, 500, 1500, 4000]), 3.2, 2.9), [3.2, 3.2, 2.9, 2.9])


def test_findings_on_airspaces() -> None:
    assert [f.code for f in heat.check_airspace(0.4)] == ["heat.airspace-deep"]
    assert [f.code for f in heat.check_airspace(0.02, (0.05, 0.9))] == ["heat.foil-clean"]
    assert heat.check_airspace(0.02) == ()
    with pytest.raises(OutOfRange):
        heat.airspace_table(0.4, "up")


def test_recessed_fasteners_count_by_their_length() -> None:
    full = heat.fastener_correction(1.25664e-5, 50, 5, 0.1, 2.857, 3.2)
    recessed = heat.fastener_correction(1.25664e-5, 50, 5, 0.1, 2.857, 3.2, penetration=0.06)
    near(recessed, 0.6 * full, rel=1e-12)  # α falls with d₁; d₀ stands below the line, as in the check values
    assert heat.fastener_correction(1.25664e-5, 0.3, 5, 0.1, 2.857, 3.2) == 0.0  # plastic pin


def test_gap_levels() -> None:
    near([heat.gap_correction(k, 3.0, 4.0) for k in (0, 1, 2)], [0, 0.005625, 0.0225], tol=1e-12)
    with pytest.raises(OutOfRange, match="level 3"):
        heat.gap_correction(3, 1.0, 2.0)


def test_inverted_roof_and_sum() -> None:
    rain = heat.inverted_roof_correction(2.0, 2.0, 4.0)
    near(rain, 2 * 0.04 * 0.25, rel=1e-12)
    near(heat.corrected_u(0.25, rain, 0.01), 0.25 + 0.02 + 0.01, rel=1e-12)
    assert [f.code for f in heat.check_corrections(0.25, 0.005)] == ["heat.correction-small"]
    assert heat.check_corrections(0.25, 0.05) == ()


@given(st.floats(0.1, 3.0), st.floats(0.01, 10.0))
def test_tapers_are_the_means_of_one_over_r(r0: float, r1: float) -> None:
    near(heat.taper_rectangle(r0, r1), quad(lambda s: 1 / (r0 + r1 * s), 0, 1)[0], rel=1e-7)
    near(heat.taper_triangle_thick_apex(r0, r1), quad(lambda s: 2 * (1 - s) / (r0 + r1 * s), 0, 1)[0], rel=1e-7)
    near(heat.taper_triangle_thin_apex(r0, r1), quad(lambda s: 2 * s / (r0 + r1 * s), 0, 1)[0], rel=1e-7)


@pytest.mark.parametrize(("r1", "r2"), [(1.2, 3.0), (0.0, 3.0), (3.0, 3.0), (2.99999, 3.0), (5e-5, 3.0), (1e-6, 2e-6)])
def test_triangle_of_three_thicknesses(r1: float, r2: float) -> None:
    want = 2 * dblquad(lambda v, u: 1 / (1.0 + r1 * u + r2 * v), 0, 1, 0, lambda u: 1 - u, epsabs=1e-12)[0]
    near(heat.taper_triangle(1.0, r1, r2), want, rel=2e-8)
    near(heat.taper_triangle(1.0, r2, r1), want, rel=2e-8)


def test_no_taper_is_a_plain_part() -> None:
    for taper in (heat.taper_rectangle, heat.taper_triangle_thick_apex, heat.taper_triangle_thin_apex):
        near(taper(2.0, np.array([0.0, np.nan]))[0], 0.5, rel=1e-12)
        assert np.isnan(taper(2.0, np.nan))
    near(heat.taper_area(np.array([2.0, 1.0]), np.array([0.3, 0.6])), 0.4, rel=1e-12)


def test_sum_of_faces_edges_and_spots() -> None:
    got = heat.transmission([(6, 1.5), (4, np.array([1.2, 0.2]))], [(3.0, -0.05)], [0.02])
    near(got, [9 + 4.8 - 0.15 + 0.02, 9 + 0.8 - 0.15 + 0.02], rel=1e-12)


def test_inch_pound_output() -> None:
    # 1 m²·K/W is 5.678263 h·ft²·°F/Btu
    wall = heat.combined([1.0], 0.0, 0.0)
    near([wall.total_ip, wall.u_ip], [5.678263, 1 / 5.678263], rel=1e-6)
