"""Leaks, infiltration, readings: properties, limits, errors."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.physics.shared import near

from snugbay.base import OutOfRange, UnknownName
from snugbay.physics import air, insitu

N = st.floats(0.5, 1.0)


@given(st.floats(1e-4, 0.2), N, st.floats(1.0, 80.0))
def test_area_and_coefficient_go_round(area: float, n: float, p: float) -> None:
    c = air.flow_coefficient(area, n)
    near(air.leakage_area(air.flow(c, 4.0, n)), area, rel=1e-10)
    near(air.flow(c, -p, n), -air.flow(c, p, n), rel=1e-12)
    near(air.flow_at(air.flow(c, p, n), p, 50.0, n), air.q50_from_ela(area, n), rel=1e-10)


@given(st.floats(1e-4, 0.1), st.floats(1e-4, 0.1), N)
def test_two_leaks_in_series_share_the_pressure(c1: float, c2: float, n: float) -> None:
    both = air.in_series(c1, c2, n)
    assert both <= min(c1, c2) * (1 + 1e-12)
    p1 = air.zone_pressure(c1 / c2, total=50.0, exponent=n)
    near(air.flow(c1, p1, n), air.flow(both, 50.0, n), rel=1e-9)
    near(air.flow(c2, 50.0 - p1, n), air.flow(both, 50.0, n), rel=1e-9)


def test_a_shut_leak_lets_nothing_through() -> None:
    near(air.in_series(np.array([0.0, 0.01]), 0.02), [0.0, air.in_series(0.01, 0.02)], tol=1e-15)


def test_blower_door_fit_finds_the_leak() -> None:
    p = np.array([60.0, 50.0, 40.0, 30.0, 20.0])
    noise = np.array([0.01, -0.005, 0.004, -0.008, 0.006])
    fit = air.fit_blower_door(p, 0.05 * p**0.68 * (1 + noise))
    near(fit.exponent, 0.68, tol=0.03)
    near(fit.q50, 0.05 * 50**0.68, rel=0.01)
    assert 0 < fit.exponent_se < 0.03
    assert fit.findings == ()
    exact = air.fit_blower_door(-p, -0.05 * p**0.68)
    near([exact.coefficient, exact.exponent], [0.05, 0.68], rel=1e-9)
    odd = air.fit_blower_door(np.array([50.0, 25.0]), np.array([1.0, 0.9]))
    assert [f.code for f in odd.findings] == ["air.exponent-odd"]
    assert np.isnan(odd.exponent_se)
    with pytest.raises(OutOfRange):
        air.fit_blower_door(np.array([50.0, 50.0]), np.array([1.0, 1.1]))


@given(st.floats(0.0, 50.0), st.floats(0.0, 12.0), st.floats(1.0, 3.0), st.integers(1, 5))
def test_infiltration_grows_with_weather_and_height(dt: float, wind: float, storeys: float, shield: int) -> None:
    q = air.infiltration_basic(0.05, dt, wind, storeys=storeys, shielding=shield)
    assert air.infiltration_basic(0.05, dt + 5, wind + 1, storeys=storeys, shielding=shield) > q
    assert air.infiltration_basic(0.05, -dt, wind, storeys=storeys, shielding=shield) == q
    k = air.enhanced_coefficients(storeys, shielding=shield)
    near(air.infiltration_enhanced(0.05, dt, wind, k), air.infiltration_enhanced(0.05, -dt, wind, k), rel=1e-12)


def test_enhanced_model_by_hand() -> None:
    # c 0.051, one storey, no flue, moderate shielding, 39 K and 6.7 m/s: Qs = c Cs dT^n, Qw = c Cw (s G U)^2n
    qs = 0.051 * 0.054 * 39**0.67
    qw = 0.051 * 0.156 * (0.7 * 0.48 * 6.7) ** 1.34
    near(air.infiltration_enhanced(0.051, 39.0, 6.7), np.hypot(qs, qw), rel=1e-12)
    near(air.house_coefficient(0.05), 0.051, rel=0.002)


def test_the_general_law_gives_the_handbook_for_a_crawl_space() -> None:
    # handbook one storey, n 0.67: 0.128 (from memory)
    near(air.leak_distribution_coefficients(0.67, 2.5, foundation="crawl").cw, 0.128, tol=0.0015)
    high = air.leak_distribution_coefficients(0.67, 5.0)
    assert high.cs > air.leak_distribution_coefficients(0.67, 2.5).cs
    with pytest.raises(OutOfRange):
        air.leak_distribution_coefficients(0.67, 2.5, ceiling_floor_share=0.4, ceiling_less_floor_share=0.5)


def test_one_and_a_half_storeys_lie_between() -> None:
    cs = [float(air.basic_coefficients(s)[0]) for s in (1, 1.5, 2)]
    near(cs[1], (cs[0] + cs[2]) / 2, rel=1e-12)
    with pytest.raises(OutOfRange):
        air.basic_coefficients(4)
    with pytest.raises(OutOfRange):
        air.basic_coefficients(1, 6)


def test_leaks_are_looked_up_by_exact_name() -> None:
    with pytest.raises(UnknownName, match="attic_hatch"):
        air.leakage_of("attic hatch")
    with pytest.raises(OutOfRange, match="typical"):
        air.leakage_of("recessed_light", 1, "tight")
    for c in air.leakage_components().values():
        assert c.states.get("tight", 0) < c.states["typical"]
        assert c.source in {"N1", "N2", "A"}


def test_air_change_findings() -> None:
    assert [f.code for f in air.check_infiltration(0.05)] == ["air.tight"]
    assert [f.code for f in air.check_infiltration(4.0)] == ["air.very-leaky"]
    assert air.check_infiltration(0.5) == ()
    assert air.stack_pressure(5.0, 20.0, 20.0) == 0.0
    near(air.wind_pressure(5.0, 0.6), 9.0, rel=1e-12)


def test_nan_passes_through_leaks() -> None:
    assert np.isnan(air.flow(np.nan, 4.0))
    assert np.isnan(air.infiltration_basic(np.nan, 20.0, 3.0))
    assert np.isnan(air.zone_pressure(np.nan))


# readings


@given(st.floats(-20, 40), st.floats(-20, 40), st.floats(0.3, 1.0))
def test_infrared_goes_round(true: float, reflected: float, e: float) -> None:
    shown = insitu.apparent_temperature(true, reflected, e)
    near(insitu.true_temperature(shown, reflected, e), true, tol=1e-7)
    near(insitu.reread(shown, reflected, 1.0, e), true, tol=1e-7)


def test_a_wrongly_set_meter_can_be_read_again() -> None:
    # meter set to 0.95, surface 0.85: undo the one correction, do the other
    shown = insitu.true_temperature(insitu.apparent_temperature(10.0, 20.0, 0.85), 20.0, 0.95)
    near(insitu.reread(shown, 20.0, 0.95, 0.85), 10.0, tol=1e-9)


def test_infrared_uncertainty_is_the_slope() -> None:
    base = insitu.true_temperature(15.0, 20.0, 0.9)
    by = [
        insitu.true_temperature(15.001, 20.0, 0.9) - base,
        insitu.true_temperature(15.0, 20.001, 0.9) - base,
        insitu.true_temperature(15.0, 20.0, 0.90001) - base,
    ]
    want = np.sqrt((by[0] * 1000) ** 2 + (by[1] * 2000) ** 2 + (by[2] * 1e5 * 0.03) ** 2)
    near(insitu.infrared_uncertainty(15.0, 20.0, 0.9), want, rel=0.01)
    assert insitu.infrared_uncertainty(19.0, 20.0, 0.05) > 15.0
    assert np.isnan(insitu.infrared_uncertainty(15.0, 20.0, 0.05))  # no true temperature shows that
    assert [f.code for f in insitu.check_infrared(0.05)] == ["insitu.bright"]
    assert insitu.check_infrared(0.9) == ()
    assert np.isnan(insitu.true_temperature(-100.0, 60.0, 0.05))
    with pytest.raises(OutOfRange):
        insitu.true_temperature(15.0, 20.0, 0.0)


def test_a_surface_reading_gives_a_band() -> None:
    got = insitu.resistance_from_surface(20.0, 18.5, -10.0)
    assert got.low < got.total < got.high
    assert got.findings == ()
    near_room = insitu.resistance_from_surface(20.0, 19.6, -10.0)
    assert near_room.high == np.inf
    assert [f.code for f in near_room.findings] == ["insitu.small-drop"]
    mild = insitu.resistance_from_surface(20.0, 18.0, 15.0)
    assert [f.code for f in mild.findings] == ["insitu.mild"]
    odd = insitu.resistance_from_surface(20.0, 21.0, 0.0)
    assert np.isnan(odd.total)
    assert "insitu.impossible" in [f.code for f in odd.findings]
    summer = insitu.resistance_from_surface(22.0, 24.0, 37.0)
    assert summer.heat_flux < 0 < summer.total


def test_average_method_end_tests() -> None:
    hours = np.arange(96)
    ti = 20 + 0.3 * np.sin(hours / 24 * 2 * np.pi)
    te = 2 + 3 * np.sin(hours / 24 * 2 * np.pi)
    q = (ti - te) / 2.5
    good = insitu.average_method(ti, te, q)
    near(good.resistance, 2.5, rel=1e-12)
    assert good.passed
    assert good.findings == ()
    drifting = insitu.average_method(ti, te, q * np.linspace(0.7, 1.3, 96))
    assert not drifting.passed
    assert "insitu.drift" in [f.code for f in drifting.findings]
    assert [f.code for f in insitu.average_method(ti[:48], te[:48], q[:48]).findings] == ["insitu.short"]
    assert np.isnan(insitu.average_method(np.where(hours == 3, np.nan, ti), te, q).resistance)
    with pytest.raises(OutOfRange):
        insitu.average_method(ti, te[:-1], q)
    near(insitu.stored_heat_share(5e4, 10.0, 11.0, np.full(72, 10.0)), 5e4 / (720 * 3600), rel=1e-12)


def test_convergence_of_a_summed_resistance() -> None:
    # ASTM C1155 (from memory): under 0.10 over three periods
    running = np.repeat([2.0, 2.4, 2.5, 2.52, 2.53], 24)
    near(insitu.convergence_factors(running), np.array([0.4 / 2.4, 0.1 / 2.5, 0.02 / 2.52, 0.01 / 2.53]), rel=1e-12)


def test_room_air_into_the_eaves() -> None:
    # 5 m over the neutral level at 20 and -10 °C: 6.73 Pa; 100 cm² through to an open space
    open_ = air.leak_into_space(0.01, np.inf, 5.0, 20.0, -10.0)
    near(open_, air.flow(air.flow_coefficient(0.01), 6.73), rel=0.002)
    assert air.leak_into_space(0.01, 0.01, 5.0, 20.0, -10.0) < open_
    assert air.leak_into_space(0.01, np.inf, -5.0, 20.0, -10.0) < 0  # low in the house air comes in
    assert air.leak_into_space(0.01, np.inf, 5.0, 20.0, -10.0, wind_pa=2.0) > open_


def test_tightness_of_the_code() -> None:
    assert [air.code_tightness(z) for z in ("2A", "3C", "8")] == [5.0, 3.0, 3.0]
    with pytest.raises(OutOfRange):
        air.code_tightness("X")


def test_spot() -> None:
    near(insitu.spot_diameter(1.2, 12.0), 0.1, rel=1e-12)
