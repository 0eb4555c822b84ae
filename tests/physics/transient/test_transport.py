"""The hour-by-hour march against closed forms, with the rates at which its errors fall."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from snugbay.base import Problems, Run, Stopped
from snugbay.physics.transient import (
    INSIDE,
    OUTSIDE,
    AirFace,
    AirLeak,
    BuildUp,
    Conditions,
    HygroLayer,
    HygroMaterial,
    MaterialTables,
    MouldClass,
    Sheet,
    Steps,
    cut,
    hygro_material,
    hygro_sheet,
    saturation_pressure,
    simulate,
    slab,
    slab_mean,
)
from snugbay.physics.transient.hygro import NODES
from snugbay.physics.transient.march import STILL_AIR

Floats = NDArray[np.float64]
NO_LIQUID = np.full(len(NODES), -np.inf)
MIXED = ["softwood", "gypsum", "cellulose-dense", "brick", "xps"]
FREE = {"temp": 1e9, "humidity": 1e9}


def _dry(conductivity: float, storage: float) -> MaterialTables:
    """A material that conducts heat and next to no vapour."""
    return MaterialTables(storage, conductivity, 0.0, 0.0, 1e-6 * NODES, np.full(len(NODES), 1e-12), NO_LIQUID)


def _sponge(water: float, resistance: float) -> MaterialTables:
    """A material with a straight sorption line that takes up no heat to speak of and conducts it perfectly."""
    return MaterialTables(1e3, 1e6, 0.0, 0.0, water * NODES, np.full(len(NODES), 1 / resistance), NO_LIQUID)


def _steady(
    hours: int, temp_in: float, humidity_in: float, temp_out: float, vapour_out: float, seconds: float = 3600.0
) -> Conditions:
    ones = np.ones(hours + 1)
    return Conditions(temp_in * ones, humidity_in * ones, temp_out * ones, vapour_out * ones, seconds)


def _cooled_leaf(fineness: float, seconds: float) -> tuple[Floats, Floats]:
    """Error of the temperatures of a 19 mm leaf cooled on both faces after 900 s, and the cells' places."""
    conductivity, storage, film = 0.12, 540 * 1210.0, 1 / 8
    build_up = BuildUp((HygroLayer(_dry(conductivity, storage), 0.019),), AirFace(film, 1.0), AirFace(film, 1.0))
    conditions = _steady(round(900 / seconds), -5, 0.5, -5, 200, seconds)
    result = simulate(build_up, conditions, start_temp_c=20.0, steps=Steps(**FREE, fineness=fineness))
    places = result.cells.middles - 0.0095
    exact = slab(
        places, 900.0, half_thickness=0.0095, conductivity=conductivity, alpha=conductivity / storage,
        film_coefficient=8.0, temp_start_c=20.0, temp_air_c=-5.0,
    )  # fmt: skip
    return result.temp_c[-1] - exact, result.cells.dx


def test_pure_conduction_agrees_with_the_series() -> None:
    error, _ = _cooled_leaf(4.0, 1.0)
    assert np.abs(error).max() < 0.02


def test_errors_fall_with_the_square_of_the_width_and_with_the_step() -> None:
    # Second order in space and first in time: half the width and a quarter of the step give a quarter of the error.
    errors = [np.sqrt((e**2 * dx).sum()) for e, dx in (_cooled_leaf(f, s) for f, s in ((1, 36.0), (2, 9.0), (4, 2.25)))]
    rates = np.log2(np.array(errors[:-1]) / np.array(errors[1:]))
    assert rates == pytest.approx([2.0, 2.0], abs=0.25)


def test_steps_fall_with_first_order() -> None:
    fine, _ = _cooled_leaf(1.0, 0.5)
    errors = [np.abs(_cooled_leaf(1.0, s)[0] - fine).max() for s in (60.0, 30.0, 15.0)]
    rates = np.log2(np.array(errors[:-1]) / np.array(errors[1:]))
    assert rates == pytest.approx([1.0, 1.0], abs=0.15)


def _wetted_board(fineness: float, seconds: float) -> tuple[Floats, float]:
    """Error of the humidities of a board whose faces are brought from 40 to 80 %, after 10 days, and of its water."""
    days, water, resistance, thickness = 10, 100.0, 50.0, 0.02
    build_up = BuildUp((HygroLayer(_sponge(water, resistance), thickness),), AirFace(0.0, 0.0), AirFace(0.0, 0.0))
    conditions = _steady(round(days * 86400 / seconds), 20, 0.8, 20, 0.8, seconds)
    result = simulate(
        build_up, conditions, start_humidity=0.4, start_temp_c=20.0, steps=Steps(**FREE, fineness=fineness)
    )
    diffusivity = STILL_AIR[0] / resistance * float(saturation_pressure(20.0)) / water
    law = {"half_thickness": thickness / 2, "conductivity": 1.0, "alpha": diffusivity}
    law |= {"temp_start_c": 0.4, "temp_air_c": 0.8}
    exact = slab(result.cells.middles - thickness / 2, days * 86400.0, **law)
    gained = float(result.total_water[-1]) / thickness / water
    return result.humidity[-1] - exact, gained - float(slab_mean(days * 86400.0, **law))


def test_pure_diffusion_agrees_with_the_series() -> None:
    error, water = _wetted_board(4.0, 3600.0)
    assert np.abs(error).max() < 1.5e-3
    assert abs(water) < 1e-3


def test_diffusion_converges_with_the_square_of_the_width() -> None:
    errors = [np.abs(_wetted_board(f, s)[0]).max() for f, s in ((1, 28800.0), (2, 7200.0), (4, 1800.0))]
    rates = np.log2(np.array(errors[:-1]) / np.array(errors[1:]))
    assert rates == pytest.approx([2.0, 2.0], abs=0.3)


def _plain(key: str, thickness: float, conductivity: float, mu: float) -> HygroLayer:
    sorption = ((0.5, 0.5), (1.0, 1.0))
    material = HygroMaterial(
        key, key, 100.0, 1000.0, conductivity, 0.0, 0.0, sorption, mu, mu, 0.0, MouldClass.MEDIUM, float("nan"), "test"
    )
    return HygroLayer(material, thickness)


def test_steady_state_is_that_of_resistances_in_series() -> None:
    layers = (_plain("a", 0.0125, 0.25, 10), _plain("b", 0.14, 0.04, 1), _plain("c", 0.015, 0.13, 5))
    build_up = BuildUp(
        (layers[0], Sheet("s", "s", 2.0, 2.0), layers[1], layers[2]), AirFace(0.13, 0.01), AirFace(0.04, 0.01)
    )
    flat = (2.0e-10, 0.0)
    result = simulate(build_up, _steady(3000, 20, 0.5, 5, 600), still_air=flat, start_humidity=0.6)
    total = 0.13 + 0.05 + 3.5 + 0.015 / 0.13 + 0.04
    sd = 0.01 + 0.125 + 2.0 + 0.14 + 0.075 + 0.01
    drop = 0.5 * float(saturation_pressure(20)) - 600
    last, first = result.cells.last(0), result.cells.first(1)
    temp = 20 - 15 * (0.13 + 0.05) / total
    assert result.temp_c[-1, [last, first]].mean() == pytest.approx(temp, abs=0.1)
    vapour = result.humidity[-1] * saturation_pressure(result.temp_c[-1])
    assert vapour[last] == pytest.approx(600 + drop * (sd - 0.135) / sd, abs=2)
    assert vapour[first] == pytest.approx(600 + drop * (0.14 + 0.075 + 0.01) / sd, abs=2)
    # The flow of water through the faces in the last hours is that of the series, and nothing stays behind.
    assert result.total_water[-1] == pytest.approx(result.total_water[-100], abs=1e-6)


def test_condensation_in_a_cold_spell_is_that_of_the_monthly_method() -> None:
    # Check case glaser-const: 4.23 kg/m2 in 90 days between wool and board, inputs of ISO 13788's clause 6.
    layers = (_plain("gypsum", 0.0125, 0.25, 10), _plain("wool", 0.14, 0.04, 1), _plain("board", 0.015, 0.13, 200))
    build_up = BuildUp(layers, AirFace(0.13, 1e-6), AirFace(0.04, 1e-6))
    vapour = 0.8 * float(saturation_pressure(-5))
    result = simulate(
        build_up, _steady(90 * 24, 20, 0.5, -5, vapour), still_air=(2.0e-10, 0.0), start_humidity=[0.5, 0.8, 0.9]
    )
    gathered = result.layer_water(1)[-1] + result.layer_water(2)[-1]
    # Latent heat warms the plane a little and the wet cell is not quite at it.
    assert gathered == pytest.approx(4.23, rel=0.04)
    assert {f.code for f in result.findings} == {"transient.run-off"}
    assert abs(result.balance_error) < 1e-6


def test_heat_and_water_are_both_kept() -> None:
    build_up = BuildUp(
        (HygroLayer(hygro_material("gypsum"), 0.0125), HygroLayer(hygro_material("softwood"), 0.04)), INSIDE, OUTSIDE
    )
    hours = np.arange(1001.0)
    out = 2 - 8 * np.cos(2 * np.pi * hours / 24)
    conditions = Conditions(20 + 0 * hours, 0.4 + 0 * hours, out, 0.8 * saturation_pressure(out))
    result = simulate(build_up, conditions, start_humidity=0.6, start_temp_c=10.0)
    assert abs(result.balance_error) < 1e-6
    # Heat: what is stored in matter and water against what came in at the faces, latent heat of the vapour included.
    # The heat capacity of water that comes and goes is taken at the old water content, hence the tolerance.
    dry = np.array([build_up.layers[k].tables.heat_storage for k in result.cells.layer])
    capacity = dry + 4187 * (result.start_water + result.water[-1]) / 2
    stored = float((capacity * (result.temp_c[-1] - 10.0) * result.cells.dx).sum())
    assert sum(result.heat_in) == pytest.approx(stored, rel=0.02)


def test_a_finer_net_and_finer_steps_move_little() -> None:
    build_up = BuildUp(
        (
            HygroLayer(hygro_material("gypsum"), 0.0125), hygro_sheet("kraft"),
            HygroLayer(hygro_material("mineral-batt"), 0.14), HygroLayer(hygro_material("osb"), 0.012),
        ),
        INSIDE, OUTSIDE,
    )  # fmt: skip
    hours = np.arange(120 * 24 + 1.0)
    out = -5 - 5 * np.cos(2 * np.pi * hours / 24)
    conditions = Conditions(20 + 0 * hours, 0.45 + 0 * hours, out, 0.8 * saturation_pressure(out))
    usual = simulate(build_up, conditions)
    fine = simulate(build_up, conditions, steps=Steps(temp=0.1, humidity=0.004, fineness=2.0))
    assert fine.steps > 2 * usual.steps
    assert usual.layer_water(2) == pytest.approx(fine.layer_water(2), rel=0.01)
    assert usual.boundary(2)[0][-1] == pytest.approx(fine.boundary(2)[0][-1], abs=0.1)


@settings(max_examples=8, deadline=None)
@given(
    st.floats(0.2, 0.8), st.floats(-10, 20), st.sampled_from(["softwood", "gypsum", "cellulose-dense", "brick", "xps"])
)
def test_equal_air_on_both_sides_comes_to_its_own_humidity(humidity: float, temp: float, key: str) -> None:
    build_up = BuildUp((HygroLayer(hygro_material(key), 0.02),))
    vapour = humidity * float(saturation_pressure(temp))
    result = simulate(build_up, _steady(200 * 24, temp, humidity, temp, vapour, 4 * 3600.0), start_humidity=0.5)
    # Slow boards (XPS) are still on the way, but on it.
    near = np.abs(result.humidity[-1] - humidity)
    assert (near < np.abs(0.5 - humidity) + 1e-6).all()
    if key != "xps":
        assert near.max() < 0.01
    assert result.temp_c[-1] == pytest.approx(temp, abs=0.01)


def test_a_leak_of_indoor_air_wets_the_cold_side() -> None:
    parts = (
        HygroLayer(hygro_material("gypsum"), 0.0125), hygro_sheet("polyethylene"),
        HygroLayer(hygro_material("mineral-batt"), 0.14), HygroLayer(hygro_material("osb"), 0.012),
    )  # fmt: skip
    vapour = 0.8 * float(saturation_pressure(-5))
    cold = _steady(60 * 24, 20, 0.4, -5, vapour)
    tight = simulate(BuildUp(parts, outer=OUTSIDE), cold)
    leaky = simulate(BuildUp(parts, outer=OUTSIDE, leak=AirLeak(2, 0.1)), cold)
    assert leaky.layer_water(2)[-1] > tight.layer_water(2)[-1] + 0.1
    assert leaky.water_in[2] > 0.1
    assert abs(leaky.balance_error) < 1e-6
    # No more than the air could bring: its excess over saturation at -5 degrees.
    bring = (
        60 * 24 * 0.1 / (461.5 * 270) * (0.4 * float(saturation_pressure(20)) - 0.2 * float(saturation_pressure(-5)))
    )
    assert leaky.water_in[2] < bring * 1.1


def test_moist_and_warm_material_conducts_more() -> None:
    wool = HygroLayer(hygro_material("mineral-batt"), 0.1)
    warm, cold = (
        simulate(BuildUp((wool,)), _steady(200, t + 5, 0.3, t - 5, 0.3 * float(saturation_pressure(t - 5))))
        for t in (30, 0)
    )
    drops = [float(r.temp_c[-1, 0] - r.temp_c[-1, -1]) for r in (warm, cold)]
    # A worse insulator leaves a larger share of the drop to the films.
    assert drops[0] < drops[1]


def test_sheets_stop_liquid_and_open_when_moist() -> None:
    brick = HygroLayer(hygro_material("brick"), 0.05)
    cells = cut(BuildUp((brick, hygro_sheet("smart-retarder"), brick)))
    seam = cells.first(1)
    assert not cells.contact[seam]
    assert cells.contact[seam - 1]
    assert cells.sheet[seam].tolist() == [6.0, 0.4]
    flow = []
    for humidity in (0.3, 0.8):
        vapour = 0.5 * humidity * float(saturation_pressure(20))
        build_up = BuildUp((_plain("a", 0.01, 1.0, 1), hygro_sheet("smart-retarder"), _plain("b", 0.01, 1.0, 1)))
        result = simulate(build_up, _steady(400, 20, humidity, 20, vapour), start_humidity=humidity)
        before = simulate(build_up, _steady(300, 20, humidity, 20, vapour), start_humidity=humidity)
        passed = (result.water_in[0] - before.water_in[0]) / (humidity * 0.5 * float(saturation_pressure(20)))
        flow.append(passed)
    assert flow[1] > 3 * flow[0]


def test_a_board_that_does_not_touch_takes_no_liquid() -> None:
    brick = hygro_material("brick")
    cells = cut(BuildUp((HygroLayer(brick, 0.05), HygroLayer(brick, 0.05, touching=False))))
    assert not cells.contact[cells.first(1)]


def test_stopping_keeps_the_course_so_far() -> None:
    build_up = BuildUp((HygroLayer(hygro_material("gypsum"), 0.0125),))
    conditions = _steady(3000, 20, 0.5, 0, 500)
    answers = iter([False, True])
    reports: list[float] = []
    run = Run(stop=lambda: next(answers), progress=lambda _, share: reports.append(share))
    result = simulate(build_up, conditions, run=run)
    assert not result.finished
    assert len(result.temp_c) == 730
    assert reports == [pytest.approx(730 / 3000)]
    with pytest.raises(Stopped):
        simulate(build_up, conditions, run=Run(stop=lambda: True))
    whole = simulate(build_up, conditions)
    assert whole.finished
    assert whole.temp_c[:730] == pytest.approx(result.temp_c)


def test_impossible_build_ups_and_conditions_are_refused() -> None:
    gypsum = hygro_material("gypsum")
    bad = BuildUp((HygroLayer(gypsum, 0.0), Sheet("x", "hole", 0.0, 0.0)), AirFace(-1.0, 0.1), leak=AirLeak(5, 0.1))
    with pytest.raises(Problems) as caught:
        simulate(bad, _steady(10, 20, 0.5, 0, 500))
    assert len(caught.value.errors) == 4
    good = BuildUp((HygroLayer(gypsum, 0.01),))
    for conditions in (
        _steady(10, 20, 1.5, 0, 500), _steady(10, float("nan"), 0.5, 0, 500), _steady(0, 20, 0.5, 0, 500),
    ):  # fmt: skip
        with pytest.raises(ValueError, match=r"humidity|gaps|length"):
            simulate(good, conditions)
    with pytest.raises(ValueError, match="start"):
        simulate(good, _steady(10, 20, 0.5, 0, 500), start_humidity=1.2)
    with pytest.raises(ValueError, match="start"):
        simulate(good, _steady(10, 20, 0.5, 0, 500), start_humidity=[0.5, 0.5])
    with pytest.raises(Problems):
        simulate(BuildUp(()), _steady(10, 20, 0.5, 0, 500))


def test_free_water_in_thick_cells_does_not_stop_the_march() -> None:
    # batts open to a warm room before stone in hard frost: water stands at the stone, and steps get short
    layers = (HygroLayer(hygro_material("mineral-batt"), 0.09), HygroLayer(hygro_material("stone"), 0.45))
    hours = np.arange(2001.0)
    out = -15.0 - 10.0 * np.sin(2 * np.pi * hours / 24)
    conditions = Conditions(20 + 0 * hours, 0.5 + 0 * hours, out, 0.8 * saturation_pressure(out))
    result = simulate(
        BuildUp(layers, INSIDE, OUTSIDE, AirLeak(1, 0.5)), conditions, start_humidity=0.8, start_temp_c=5.0
    )
    assert result.finished
    assert result.total_water[-1] > result.total_water[0] + 3.0
    assert abs(result.balance_error) < 1e-6
