"""Moist air against psychrolib; condensation against a second method; retarders, mould, code."""

from __future__ import annotations

import numpy as np
import psychrolib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.physics.shared import near
from tests.said import said

from snugbay.base import OutOfRange
from snugbay.physics import moisture, units
from snugbay.physics.moisture.strips import lower_hull

TE = np.array([-1, 0, 4, 9, 14, 18, 19, 19, 15, 10, 5, 1.0])
RHE = np.array([85, 84, 78, 72, 68, 69, 73, 75, 79, 83, 88, 88]) / 100
PE = moisture.vapour_pressure(TE, RHE)
PI = moisture.indoor_vapour_pressure(PE, TE, 3)
WALL = [(0.05, 0.125), (3.5, 0.14), (0.115, 3.0)]


@pytest.fixture(autouse=True)
def _si_units() -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)


@given(st.floats(-40, 60), st.floats(0.02, 1.0), st.floats(70000, 105000))
@settings(max_examples=60, deadline=None)
def test_moist_air_is_that_of_psychrolib(t: float, rh: float, p: float) -> None:
    pv = float(moisture.vapour_pressure(t, rh, "ashrae"))
    near(pv, psychrolib.GetVapPresFromRelHum(t, rh), rel=1e-9)
    w = float(moisture.humidity_ratio(pv, p))
    near(w, max(psychrolib.GetHumRatioFromRelHum(t, rh, p), 1e-7), rel=1e-6, tol=2e-7)
    near(moisture.enthalpy(t, w), psychrolib.GetMoistAirEnthalpy(t, w), rel=1e-9, tol=1e-6)
    near(moisture.dew_point(pv, "ashrae"), psychrolib.GetTDewPointFromVapPres(t, pv), tol=0.002)
    wet = psychrolib.GetTWetBulbFromRelHum(t, rh, p)
    near(moisture.wet_bulb(t, rh, p), wet, tol=0.005 if abs(wet) > 0.6 else 1.0)  # near 0 °C a wet and an icy bulb fit
    near(moisture.air_density(t, pv, p), psychrolib.GetMoistAirDensity(t, w, p), rel=1e-3)


def test_both_formulas_agree_within_what_they_state() -> None:
    t = np.linspace(-20, 35, 56)
    iso, ashrae = moisture.saturation_pressure(t), moisture.saturation_pressure(t, "ashrae")
    assert np.max(np.abs(iso / ashrae - 1)) < 0.0055
    near(moisture.dew_point(iso), t, tol=1e-9)
    near(moisture.dew_point(ashrae, "ashrae"), t, tol=1e-6)
    near(
        moisture.pressure_at_height(np.array([0.0, 1500.0])),
        [101325, psychrolib.GetStandardAtmPressure(1500)],
        rel=1e-6,
    )


def test_nan_and_arrays() -> None:
    for f in (
        moisture.saturation_pressure,
        moisture.dew_point,
        moisture.humidity_ratio,
        moisture.sd_from_perms,
        lambda x: moisture.vapour_excess(x, 3),
    ):
        got = np.asarray(f(np.array([10.0, np.nan])))
        assert np.isnan(got).tolist() == [False, True]
        near(got[0], f(10.0), rel=1e-14)
    assert np.isnan(moisture.wet_bulb(np.nan, 0.5))
    with pytest.raises(OutOfRange, match="Write 50 %"):
        moisture.vapour_pressure(20.0, 50.0)
    with pytest.raises(OutOfRange):
        moisture.saturation_pressure(20.0, "other")  # type: ignore[arg-type]


# condensation


def relaxed(x: np.ndarray, limit: np.ndarray, ends: tuple[float, float]) -> np.ndarray:
    """Largest harmonic-below-the-limit profile by projected Gauss-Seidel: a second way to the same answer."""
    p = np.minimum(np.interp(x, [x[0], x[-1]], ends), limit)
    p[0], p[-1] = ends
    for _ in range(20000):
        change = 0.0
        for i in range(1, len(x) - 1):
            left, right = 1 / (x[i] - x[i - 1]), 1 / (x[i + 1] - x[i])
            new = min((left * p[i - 1] + right * p[i + 1]) / (left + right), limit[i])
            change = max(change, abs(new - p[i]))
            p[i] = new
        if change < 1e-9:
            break
    return np.asarray(p)


@given(st.lists(st.tuples(st.floats(0.05, 0.9), st.floats(0.05, 3.0)), min_size=2, max_size=4), st.floats(-15, 5))
@settings(max_examples=25, deadline=None)
def test_hull_solves_the_obstacle_problem(layers: list[tuple[float, float]], te: float) -> None:
    pi, pe = float(moisture.vapour_pressure(20.0, 0.6)), float(moisture.vapour_pressure(te, 0.8))
    c = moisture.condensation(layers, 20.0, te, pi, pe)
    near(c.pressures, relaxed(c.positions, c.saturation, (pi, pe)), tol=0.01)
    assert np.all(c.flow >= -1e-20)
    # what condenses is what goes in less what comes out
    flux = -np.diff(c.pressures) / np.diff(c.positions) * moisture.DELTA_AIR
    near(c.rate, flux[0] - flux[-1], tol=1e-18)
    # complementarity: where the pressure is under the limit nothing condenses
    under = c.pressures < c.saturation * (1 - 1e-9)
    assert np.all(c.flow[under] == 0)


def test_hull_keeps_its_ends() -> None:
    x = np.array([0.0, 1.0, 2.0, 3.0])
    assert lower_hull(x, np.array([5.0, 1.0, 2.0, 0.5])) == [0, 1, 3]
    assert lower_hull(x, np.array([3.0, 3.0, 3.0, 3.0])) in ([0, 3], [0, 1, 2, 3])


def test_two_planes_wet_at_once_and_dry() -> None:
    # two vapour brakes in the cold part, an open room side: water at both, then it evaporates
    layers = [(0.05, 0.1), (0.8, 0.05), (0.02, 0.8), (0.8, 0.05), (0.02, 1.2), (0.5, 0.05), (0.02, 0.5)]
    te = np.array([-14, -12, -6, 3, 10, 15, 18, 17, 11, 4, -4, -11.0])
    pe = moisture.vapour_pressure(te, 0.8)
    year = moisture.condensation_year(layers, te, pe, moisture.indoor_vapour_pressure(pe, te, 4))
    assert len(year.wet_planes) >= 2
    assert (year.flow[:, list(year.wet_planes)] < 0).any()
    # water at the end of a month is water before plus the month's, or zero
    before = np.vstack([np.zeros(year.flow.shape[1]), year.content[:-1]])
    near(year.content, np.maximum(before + year.flow, 0.0), tol=1e-12)


@given(st.floats(0.0, 20.0), st.floats(0.0, 5.0))
@settings(max_examples=30, deadline=None)
def test_a_tighter_warm_side_never_adds_water(sd: float, more: float) -> None:
    def peak(x: float) -> float:
        return moisture.condensation_year([(0.05, 0.125), (0.0, x), (3.5, 0.14), (0.115, 3.0)], TE, PE, PI).peak

    assert peak(sd + more) <= peak(sd) + 1e-9


def test_a_dry_wall_stays_dry() -> None:
    year = moisture.condensation_year([(0.05, 0.125), (0.0, 100.0), (3.5, 0.14), (0.115, 0.1)], TE, PE, PI)
    assert not year.condenses
    assert year.dries
    assert year.findings == ()


def test_start_is_found_and_may_be_given() -> None:
    found = moisture.condensation_year(WALL, TE, PE, PI)
    given_ = moisture.condensation_year(WALL, TE, PE, PI, start=9)
    near(found.content, given_.content, tol=1e-12)
    assert moisture.condensation_year(WALL, TE, PE, PI, start=0).order[0] == 0


def test_thick_layers_are_cut() -> None:
    cut = moisture.strips([(0.25, 1.0), (0.26, 1.0), (1.0, 2.0)])
    assert [int((cut.layer == k).sum()) for k in range(3)] == [1, 2, 4]
    near([cut.resistance.sum(), cut.sd.sum()], [1.51, 4.0], rel=1e-12)
    # a foil: water forms within the insulation's strips only where it must
    foil = moisture.condensation_year([(0.05, 0.1), (2.1, float("inf")), (0.1, 3.0)], TE, PE, PI)
    assert not foil.condenses


def test_layers_without_vapour_resistance_share_a_plane() -> None:
    year = moisture.condensation_year([(0.05, 0.125), (3.5, 0.14), (0.18, 0.0), (0.115, 3.0)], TE, PE, PI)
    assert (1, 3) in [year.between[k] for k in year.wet_planes]
    with pytest.raises(OutOfRange, match="without any resistance"):
        moisture.condensation_year([(0.05, 0.0), (1.0, 0.0)], TE, PE, PI)


def test_unknown_input_is_refused_not_guessed() -> None:
    with pytest.raises(OutOfRange, match="Twelve monthly"):
        moisture.condensation_year(WALL, TE[:11], PE, PI)
    with pytest.raises(OutOfRange, match="not known"):
        moisture.condensation_year([(float("nan"), 1.0)], TE, PE, PI)


def test_judging_the_condensate() -> None:
    year = moisture.condensation_year(WALL, TE, PE, PI)
    assert [f.code for f in moisture.judge_condensate(year, absorbing=True)] == ["moisture.too-much"]
    passing = moisture.condensation_year([WALL[0], (0.0, 2.0), *WALL[1:]], TE, PE, PI)
    assert moisture.judge_condensate(passing, absorbing=True, wood_kg_m2=30.0) == ()
    assert [f.code for f in moisture.judge_condensate(passing, absorbing=False)] == ["moisture.too-much"]
    wet = moisture.judge_condensate(passing, absorbing=True, wood_kg_m2=8.0, wood_based=True)
    assert [f.code for f in wet] == ["moisture.wood-wet"]


def test_drying_reserve_falls_with_the_outer_retarder() -> None:
    def reserve(sd: float) -> moisture.DryingReserve:
        layers = [(0.05, 0.125), (0.0, 5.0), (3.5, 0.14), (0.115, sd)]
        return moisture.drying_reserve(layers, TE, PE, PI, after_layer=2)

    open_, shut = reserve(0.2), reserve(30.0)
    assert open_.reserve > shut.reserve
    assert open_.findings == ()
    assert [f.code for f in shut.findings] == ["moisture.little-drying"]
    with pytest.raises(OutOfRange, match="no plane"):
        moisture.drying_reserve(WALL, TE, PE, PI, after_layer=2)


def test_seeping_air_carries_far_more_than_diffusion() -> None:
    # 1 m³/(m² h) of 20 °C, 50 % air through a plane at -4 °C for 90 days
    water = float(
        moisture.seepage_condensate(1 / 3600, 20.0, float(moisture.vapour_pressure(20.0, 0.5)), -4.0, 90 * 86400)
    )
    near(water, 90 * 24 * (8.64e-3 - 3.52e-3), rel=0.01)
    assert water > 2 * 4.23
    assert moisture.seepage_condensate(1e-4, 20.0, 500.0, 5.0, 1e6) == 0.0


# surfaces and mould


@given(st.floats(0.05, 3.0), st.floats(0.0, 2.0))
def test_more_insulation_warms_the_surface(u: float, more: float) -> None:
    better = 1 / (1 / u + more)
    assert moisture.temperature_factor(better) >= moisture.temperature_factor(u) - 1e-12


def test_surface_figures_hang_together() -> None:
    f = moisture.factor_from_temperatures(17.0, 20.0, -10.0)
    near(f, 0.9, rel=1e-12)
    near(moisture.surface_temperature(f, 20.0, -10.0), 17.0, rel=1e-12)
    assert np.isnan(moisture.factor_from_temperatures(20.0, 20.0, 20.0))
    need = moisture.least_temperature_factor(TE, PE, 20.0, humidity_class=3)
    assert moisture.check_mould(0.75, need) == ()
    (finding,) = moisture.check_mould(0.70, need)
    assert finding.code == "moisture.mould"
    assert "Feb" in said(finding)
    # a surface just at the limit has just 80 % humidity in the critical month
    ts = moisture.surface_temperature(need.design, 20.0, TE)
    near(np.max(moisture.surface_humidity(ts, need.indoor_pa)), 0.8, tol=1e-6)
    assert moisture.mould_risk_months(ts, np.asarray(need.indoor_pa) * 1.001) >= 1


def test_factor_for_many_places_at_once() -> None:
    shift = np.array([[0.0], [-8.0]])
    te = TE + shift
    pe = moisture.vapour_pressure(te, RHE)
    both = moisture.least_temperature_factor(te, pe, np.array([20.0, 21.0]), humidity_class=2)
    one = moisture.least_temperature_factor(te[1], pe[1], 21.0, humidity_class=2)
    near(both.design[1], one.design, rel=1e-12)
    hopeless = moisture.least_temperature_factor(TE, PE, 20.0, indoor_pa=3000.0)
    assert [f.code for f in moisture.check_mould(0.99, hopeless)] == ["moisture.surface-hopeless"]


def test_humidity_classes_between_whole_numbers() -> None:
    near(moisture.vapour_excess(0.0, 2.5), 675.0, rel=1e-12)
    with pytest.raises(OutOfRange):
        moisture.vapour_excess(0.0, 6)


# retarders and code


def test_units_of_vapour_go_round() -> None:
    sd = np.array([0.02, 0.3, 35.0])
    near(moisture.sd_from_perms(moisture.perms_from_sd(sd)), sd, rel=1e-12)
    # 1 perm-inch over 1 inch is 1 perm
    near(moisture.perms_of_layer(1.2, 0.0254), 1.2, rel=1e-12)
    near(moisture.sd_from_mu(moisture.mu_from_perm_inch(1.2), 0.0254), moisture.sd_from_perms(1.2), rel=1e-9)
    assert moisture.sd_from_perms(0.0) == np.inf
    assert moisture.retarder_class(float("nan")) == "unknown"
    assert moisture.retarder_class(moisture.perms_from_sd(moisture.sd_from_perms(1.0))) == "II"
    near(moisture.vapour_flow(2.0, 1000.0, 500.0), 5e-8, rel=1e-12)
    near(units.PERM_SI * 1e12, 57.21, tol=0.01)


def test_code_findings() -> None:
    assert moisture.check_unvented_roof("5A", 20.0, 49.0, "III") == ()
    assert [f.code for f in moisture.check_unvented_roof("5A", 15.0, 49.0, "III")] == ["moisture.roof-foam-thin"]
    assert [f.code for f in moisture.check_unvented_roof("5A", 20.0, 60.0, "III")] == ["moisture.roof-share-low"]
    assert [f.code for f in moisture.check_unvented_roof("5A", 25.0, 49.0, "I")] == ["moisture.roof-class-1-inside"]
    assert [f.code for f in moisture.check_retarder("2A", "II", 0.0)] == ["moisture.retarder-barred"]
    assert [f.code for f in moisture.check_retarder("6A", "III", 5.0)] == ["moisture.retarder-missing"]
    assert moisture.check_retarder("6A", "III", 7.5) == ()
    assert moisture.check_retarder("6A", "II", 0.0) == ()
    assert moisture.class3_exterior_r_ip("3A") is None
    assert moisture.unvented_roof_r_ip("4B") == 15
    for bad in ("9", "5D", "", "zone 5"):
        with pytest.raises(OutOfRange):
            moisture.unvented_roof_r_ip(bad)


def test_excess_by_volume_and_by_source() -> None:
    # [ISO13788:2012] Annex A: 0.006 kg/m³ goes with 810 Pa
    near(moisture.excess_from_concentration(moisture.CLASS_EXCESS_KG_M3[3], 20.0, -5.0), 810, rel=0.005)
    near(moisture.excess_from_concentration(0.006, 20.0, np.array([10.0, 25.0])), [405.9, 0.0], tol=1.0)
    # 10 kg a day into 0.05 m³/s
    near(moisture.excess_of_source(10 / 86400, 0.05, 20.0), 10 / 86400 / 0.05 * 461.5 * 293.15, rel=1e-12)


def test_humid_frost_outside_is_capped_and_said() -> None:
    # 90 % over water at -20 °C is over saturation over ice: no water may seem to come from outside
    te = TE - 25.0
    pe = 0.98 * 611.2 * np.exp(17.62 * te / (243.12 + te))
    year = moisture.condensation_year([(0.05, 50.0), (3.5, 0.14), (0.115, 0.5)], te, pe, np.full(12, 600.0))
    assert "moisture.outdoor-capped" in {f.code for f in year.findings}
    dry = moisture.condensation_year([(0.05, 50.0), (3.5, 0.14), (0.115, 0.5)], te, 0.8 * pe, np.full(12, 600.0))
    assert dry.peak <= year.peak < 0.2
    one = moisture.condensation(WALL, 20.0, -20.0, 800.0, 130.0)
    assert [f.code for f in one.findings] == ["moisture.outdoor-capped"]
    near(one.pressures[-1], moisture.saturation_pressure(-20.0), rel=1e-12)
