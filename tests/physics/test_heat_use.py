"""Dynamics, foam in the cold, ground, code tables."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.physics.shared import near

from snugbay.base import OutOfRange, UnknownName
from snugbay.physics import heat

CONCRETE = (0.2, 1.8, 2400.0, 1000.0)


def test_a_slow_wave_is_the_steady_state() -> None:
    d = heat.dynamic([CONCRETE], period_h=24 * 3650)
    near(d.decrement, 1.0, rel=1e-4)
    near([d.y11, d.y22], [d.u, d.u], rel=1e-3)


def test_dynamics_take_arrays_and_air_layers() -> None:
    thick = np.array([0.1, 0.2, 0.3])
    many = heat.dynamic([(thick, 1.8, 2400, 1000), (0.18, 0, 0, 0)])
    for k, d in enumerate(thick):
        one = heat.dynamic([(d, 1.8, 2400, 1000), (0.18, 0, 0, 0)])
        near([many.y12[k], many.time_shift_h[k], many.kappa1[k]], [one.y12, one.time_shift_h, one.kappa1], rel=1e-12)
    near(many.u, 1 / (0.13 + thick / 1.8 + 0.18 + 0.04), rel=1e-12)
    assert np.all(np.diff(many.decrement) < 0)
    assert np.all(np.diff(many.time_shift_h) > 0)
    with pytest.raises(OutOfRange):
        heat.dynamic([(0.1, 1.8, 0.0, 1000)])


def test_heat_leads_its_own_temperature() -> None:
    # a thick solid behind no film leads by an eighth of the period
    thick = heat.dynamic([(3.0, 1.8, 2400.0, 1000.0)], rsi=0.0, rse=0.0)
    near([thick.lead11_h, thick.lead22_h], [3.0, 3.0], tol=1e-3)
    near(thick.y11, np.sqrt(2 * np.pi / 86400 * 1.8 * 2400 * 1000), rel=1e-4)  # √(ω·λ·ρ·c)


def test_halving_a_layer_changes_nothing() -> None:
    half = (0.1, 1.8, 2400.0, 1000.0)
    whole, twice = heat.dynamic([CONCRETE]), heat.dynamic([half, half])
    near([twice.y11, twice.y12, twice.time_shift_h], [whole.y11, whole.y12, whole.time_shift_h], rel=1e-10)


def test_zone_need_reaches_the_set_point() -> None:
    zone = heat.SimpleZone(20.0, 8.0, 4.0, 12.0, 3.3e6, 50.0)
    mass = np.array([15.0, 18.0, 21.0])
    need = heat.zone_need(zone, mass, -5.0, 20.0, internal_w=80.0)
    near(heat.zone_step(zone, mass, -5.0, internal_w=80.0, heating_w=need).air_c, [20.0] * 3, rel=1e-10)
    assert np.all(np.diff(need) < 0)


def test_a_zone_without_ventilation_keeps_its_heat() -> None:
    # steady state of the network by hand: all heat leaves through windows and opaque parts
    zone = heat.SimpleZone(20.0, 0.0, 4.0, 12.0, 1e5, 50.0)
    mass = 0.0
    for _ in range(3000):
        step = heat.zone_step(zone, mass, 0.0, heating_w=100.0)
        mass = float(step.mass_end_c)
    near(4.0 * step.surface_c + 12.325055 * step.mass_c, 100.0, rel=1e-5)


def test_polyiso_loses_in_the_cold_and_xps_gains() -> None:
    # association tests, from memory: 5.7 per inch at 75 F, 4.8 at 40 F
    near(1 / heat.temperature_ratio("polyiso", 4.444), 4.8 / 5.7, rel=1e-3)
    assert heat.temperature_ratio("xps", 0.0) < 1.0 < heat.temperature_ratio("polyiso", 0.0)
    near(heat.temperature_ratio("eps", 23.89), 1.0, tol=1e-6)
    near(heat.aged_conductivity(0.0288, "xps"), 0.0288 * 5.0 / 4.6, rel=0.001)
    with pytest.raises(UnknownName, match="Known"):
        heat.temperature_ratio("marble", 10.0)


def test_ratio_between_faces_is_the_mean_over_the_layer() -> None:
    t = np.linspace(-5.0, 20.0, 100001)
    near(heat.ratio_between("polyiso", 20.0, -5.0), heat.temperature_ratio("polyiso", t).mean(), rel=1e-4)
    near(heat.ratio_between("polyiso", 10.0, 10.0), heat.temperature_ratio("polyiso", 10.0), rel=1e-12)


def test_board_on_the_cold_side_gives_less_than_on_the_warm_side() -> None:
    warm = heat.resistances_in_use([(2.1, "polyiso"), (2.3, "glass_wool")], 21.0, -10.0)
    cold = heat.resistances_in_use([(2.3, "glass_wool"), (2.1, "polyiso")], 21.0, -10.0)
    assert warm.resistances[0] > cold.resistances[1]
    assert cold.resistances[1] < 2.1
    assert {f.code for f in cold.findings} >= {"heat.cold-foam"}
    # the temperatures belong to the resistances: one heat flow through all
    r = np.concatenate([[0.13], cold.resistances, [0.04]])
    near(-np.diff(cold.temperatures) / r, [31.0 / cold.total] * 4, rel=1e-8)


def test_foam_outside_its_range_is_a_finding() -> None:
    assert [f.code for f in heat.check_temperature("polyiso", -20.0)] == ["heat.foam-range"]
    assert heat.check_temperature("polyiso", 10.0) == ()
    assert np.isnan(heat.temperature_ratio("polyiso", np.nan))


@given(st.floats(0.2, 6.0), st.floats(0.0, 4.0))
def test_insulating_the_ground_never_raises_its_loss(r: float, more: float) -> None:
    def slab(x: float) -> float:
        return float(heat.floor_u(5.0, heat.equivalent_thickness(0.3, x)))

    assert slab(r + more) <= slab(r) + 1e-12
    assert heat.cellar_wall_u(2.0, r + more) <= heat.cellar_wall_u(2.0, r) + 1e-12


def test_ground_floor_meets_at_the_change_of_formula() -> None:
    near(heat.floor_u(5.0, 4.999999), heat.floor_u(5.0, 5.000001), rel=0.02)


def test_deep_ground_is_the_mean_of_the_year() -> None:
    te = np.array([-1, 0, 4, 9, 14, 18, 19, 19, 15, 10, 5, 1.0])
    near(heat.ground_temperature(te, 30.0), [te.mean()] * 12, tol=0.01)
    shallow = heat.ground_temperature(te, 1.0)
    assert int(shallow.argmin()) in {1, 2}  # later than the air's January
    assert np.ptp(shallow) < np.ptp(te)


def test_heat_to_the_ground_over_the_year_is_the_steady_part() -> None:
    te = np.array([-1, 0, 4, 9, 14, 18, 19, 19, 15, 10, 5, 1.0])
    months = heat.monthly_ground_heat(10.0, 4.0, 20.0, te)
    near(months.mean(), 10.0 * (20 - te.mean()), rel=1e-10)
    assert int(months.argmax()) == 1  # a month after the coldest
    near(heat.periodic_outside(20.0, 1.0), heat.periodic_outside(20.0, 1.0, depth=1e-9, wall_thickness=1.0), rel=1e-6)


def test_code_ways() -> None:
    ways = heat.prescriptive("6A", "wood_wall")
    assert [(w.cavity_r_ip, w.continuous_r_ip) for w in ways] == [(30, 0), (20, 5), (13, 10), (0, 20)]
    assert heat.meets_prescriptive("6A", "wood_wall", 13, 12)
    assert not heat.meets_prescriptive("6A", "wood_wall", 13, 5)
    with pytest.raises(OutOfRange):
        heat.prescriptive("9", "ceiling")
    assert heat.vent_ratio("6A", "II", 0.45) == 300.0
    assert heat.vent_ratio("5A", "II", 0.45) == 150.0
