"""Every public function of the room that takes numbers: NaN in, NaN out; arrays broadcast; units in the docstring."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from types import ModuleType
from typing import Any

import numpy as np
import pytest

from snugbay.physics import air, buffer, climate, field, heat, insitu, moisture, season, transient, units

FOLDERS = (air, buffer, climate, heat, insitu, moisture, season, units, field, transient)

SAMPLE: dict[str, Any] = {
    "ach50": 6.0, "absorptance": 0.7, "air_c": 21.0, "air_flow": 2e-4, "alpha": 1.6e-7, "apparent_c": 12.0,
    "area": 2.0, "area_ratio": 1.5, "areas": 3.0, "asymmetry_k": 6.0, "attic_area": 30.0, "b": 0.6, "base": 15.0,
    "base_c": 15.0, "black_coefficient": 5.1, "cd": 1.0, "cfm": 100.0, "cdd10": 1000.0, "cdd50": 2000.0,
    "changes_per_hour": 2.0, "coefficient": 0.05, "coefficient_1": 0.05, "coefficient_2": 0.02,
    "concentration": 0.004, "conductance": 12.0, "conductivity": 1.5, "count": 3.0, "day": 40.0, "days": 30.0,
    "degree_days_f": 5000.0, "degree_days_k": 3000.0, "depth": 1.5, "diameter": 0.004, "dimension": 4.0, "film": 0.13,
    "distance": 1.2, "divisor": 18.0, "drainage_factor": 0.04, "e": 9.0, "efficiency": 0.8, "elevation": 300.0,
    "emissivity": 0.9, "emissivity_sd": 0.03, "exponent": 0.65, "extra": 0.05, "factor": 0.7, "family": "polyiso",
    "floor_thickness": 1.0, "flow": 0.05, "flow_from_outside": 0.01, "flow_from_room": 0.002, "flow_m3_s": 0.05,
    "fresh": 0.022, "gains_w": 100.0, "h_iu": 10.0, "h_total": 30.0, "h_ue": 20.0, "h_w_k": 100.0, "hdd18": 3000.0,
    "hdd65": 6000.0, "heat_capacity": 1000.0, "heat_kwh": 5000.0, "heating_w": 100.0, "height": 2.5,
    "house_w_k": 200.0, "humidity_class": 3, "indoor_pa": 1200.0, "inside_c": 20.0, "inside_pa": 1200.0,
    "internal_w": 50.0, "irradiance": 300.0, "item": "ceiling", "lat": 43.0, "layer_thickness": 0.1,
    "leakage_area": 0.04, "leakage_area_m2": 0.04, "level": 1, "mass_before_c": 19.0, "mean": 3.0,
    "mean_temp_c": 10.0, "measured_at": 50.0, "member_width": 0.04, "meter_emissivity": 0.95, "meter_k": 1.0,
    "mu": 60.0, "opening_mm2_per_m": 900.0, "outdoor_pa": 500.0, "outer_area": 0.08, "outer_c": -3.0,
    "outer_resistance": 0.04, "outside_c": -5.0, "outside_pa": 400.0, "penetration": 0.08, "per_m2": 5.0,
    "perimeter": 8.0, "perm_inch": 1.2, "perms": 3.0, "plane_c": 2.0, "pressure": 100000.0,
    "price_per_unit": 1.1, "q50": 0.5, "r0": 0.5, "r1": 2.0, "r_ip": 13.0, "r_ip_per_inch": 5.7, "r_layer": 2.0,
    "r_middle": 1.0, "r_si": 2.0, "r_thick": 3.0, "r_total": 3.5, "r_unventilated": 3.0, "r_ventilated": 2.5,
    "radiant_c": 18.0, "rain_mm_per_day": 2.0, "ratio": 0.006, "reflected_c": 20.0, "reflected_k": 2.0,
    "relative_humidity": 0.5, "relative_humidity_": 0.5, "resistance": 1.0, "rest_c": 20.0, "rho": 1.2,
    "rho_c": 1224.0, "rse": 0.04, "rsi": 0.13, "sd": 4.0, "seconds": 3600.0, "section": 1.2e-5,
    "set_point_c": 20.0, "shown_c": 12.0, "side": "cool wall", "sky_loss": 1.0, "slope_deg": 45.0, "solar_w": 50.0,
    "source_kg_s": 1e-6, "space_c": 3.0, "spacing": 0.4, "speed": 4.0, "storeys": 1.0,
    "warm_c": 18.0, "cold_c": -3.0, "supply_c": 10.0, "surface_c": 16.0,
    "surfaces_c": 17.0, "sy": 1.5, "temp_c": 12.0, "temp_difference": 20.0, "temp_drop": 6.0, "temp_f": 50.0,
    "thickness": 0.03, "total": 50.0, "transmittances": 0.4, "true_c": 12.0, "u": 0.5, "u_ip": 0.05,
    "u_roof": 2.0, "u_si": 0.3, "vapour_pa": 900.0, "view": 0.3, "volume": 200.0, "wall": 0.3,
    "wall_thickness": 0.3, "wanted_at": 4.0, "width": 1.0, "wind": 3.0, "wind_pa": 1.0,
}  # fmt: skip

OTHERS: dict[str, dict[str, Any]] = {
    "air.flow": {"pressure": 12.0}, "air.flow_coefficient": {"pressure": 4.0}, "air.leakage_area": {"pressure": 10.0},
    "air.natural_air_changes": {}, "heat.airspace": {"flow": "up", "width": 0.2}, "heat.airspace_table": {"flow": "up"},
    "heat.airspace_convection": {"flow": "down"}, "heat.surface_resistance_from": {"flow": "up"},
    "heat.zone_need": {"zone": heat.SimpleZone(20.0, 8.0, 4.0, 12.0, 3.3e6, 50.0)},
    "insitu.spot_diameter": {"ratio": 12.0}, "moisture.plane_temperature": {"factor": 0.3},
    "season.carbon_kg": {"of": season.fuel("propane")}, "season.cost": {"of": season.fuel("propane")},
    "season.units_bought": {"of": season.fuel("propane")}, "units.cfm_from_m3_s": {"flow": 0.05},
    "moisture.sd_from_mu": {"thickness": 0.05}, "heat.floor_u": {"thickness": 0.5},
    "heat.periodic_outside": {"thickness": 0.5, "penetration": 3.2, "conductivity": 2.0},
    "heat.fastener_correction": {"conductivity": 50.0}, "moisture.enthalpy": {"ratio": 0.006},
}  # fmt: skip
"""What a name means elsewhere."""

OVER_AN_AXIS = {"heat.taper_area", "season.mean_radiant", "moisture.series_perms"}
"""Reduce their last axis."""

NO_FLOAT = {"moisture.retarder_class"}
"""Answer in words; NaN is ``unknown``."""

LAST_AXIS_MONTHS = {
    "climate.heating_degree_days_from_means", "climate.monthly_heating", "climate.monthly_cooling",
    "season.loss_degree_days", "heat.monthly_ground_heat",
}  # fmt: skip
"""Add an axis of months: checked below."""


ELSEWHERE = {
    "heat.corrected_u", "heat.interface_temperatures", "heat.isothermal_planes", "heat.parallel_path",
    "climate.daily_spread_from_means", "insitu.stored_heat_share", "transient.mould_index",
    "moisture.plane_temperatures",
}  # fmt: skip
"""Take layers or series: checked below."""

TWO_AXES = {"x", "t"}
"""Places and times of the closed forms span a table of their own instead of broadcasting."""


def public(folder: ModuleType) -> list[tuple[str, Callable[..., Any]]]:
    names = getattr(folder, "__all__", None) or [n for n in vars(folder) if not n.startswith("_")]
    short = folder.__name__.rsplit(".", 1)[-1]
    things = [(f"{short}.{n}", getattr(folder, n)) for n in names]
    return [(n, f) for n, f in things if inspect.isfunction(f) and f.__module__.startswith(folder.__name__)]


ALL = dict(pair for folder in FOLDERS for pair in public(folder))


INSTEAD = {"cs", "cw"}
"""Own coefficients of the basic model, which take the place of storeys and shielding."""


def numbers_of(function: Callable[..., Any]) -> list[str]:
    signature = inspect.signature(function)
    kinds = {"Real", "Real | None", "ArrayLike"}
    return [k for k, p in signature.parameters.items() if str(p.annotation) in kinds and k not in INSTEAD]


PLAIN = [
    n
    for n, f in ALL.items()
    if str(inspect.signature(f).return_annotation) in {"Array", "Floats"}
    and numbers_of(f)
    and n not in OVER_AN_AXIS | NO_FLOAT | LAST_AXIS_MONTHS
    and n not in ELSEWHERE
]

TRANSIENT = {
    "x": 0.02, "t": 3600.0, "alpha": 1.6e-7, "conductivity": 0.13, "film_coefficient": 8.0, "temp_start_c": 20.0,
    "temp_surface_c": -5.0, "temp_air_c": -5.0, "flux": 10.0, "half_thickness": 0.02, "temp_mean_c": 5.0,
    "swing": 8.0, "period": 86400.0, "density": 500.0, "heat_capacity": 1600.0, "temp_c": 12.0,
}  # fmt: skip


def sample(name: str) -> dict[str, Any]:
    known = {**SAMPLE, **(TRANSIENT if name.startswith("transient.") else {}), **OTHERS.get(name, {})}
    given = {}
    for key, p in inspect.signature(ALL[name]).parameters.items():
        if key in numbers_of(ALL[name]) or p.default is inspect.Parameter.empty:
            given[key] = known[key]
    return given


@pytest.mark.parametrize("name", PLAIN)
def test_nan_in_nan_out_and_arrays_broadcast(name: str) -> None:
    function, given = ALL[name], sample(name)
    plain = np.asarray(function(**given))
    assert plain.shape == ()
    assert np.isfinite(plain)
    for key in numbers_of(function):
        value = given[key]
        assert np.isnan(function(**{**given, key: float("nan")})), key
        row = np.asarray(function(**{**given, key: np.array([value, np.nan, value])}))
        assert row.shape == (3,), key
        assert row[[0, 2]] == pytest.approx([float(plain)] * 2, rel=1e-12), key
        assert np.isnan(row[1]), key
    several_keys = [k for k in numbers_of(function) if not (name.startswith("transient.") and k in TWO_AXES)]
    if not several_keys:
        return
    grown = {k: np.full((2, 1) if n % 2 else (1, 3), given[k]) for n, k in enumerate(several_keys)}
    several = np.asarray(function(**{**given, **grown}))
    want = np.broadcast_shapes(*(v.shape for v in grown.values()))
    assert several.shape == want
    assert several == pytest.approx(np.full(want, float(plain)), rel=1e-12)


@pytest.mark.parametrize("name", sorted(OVER_AN_AXIS))
def test_sums_over_the_last_axis_keep_nan(name: str) -> None:
    function, given = ALL[name], sample(name)
    rows = {k: np.full((4, 3), v) for k, v in given.items()}
    first = next(iter(rows))
    assert np.asarray(function(**rows)).shape == (4,)
    rows[first][1, 2] = np.nan
    assert list(np.isnan(function(**rows))) == [False, True, False, False]


MONTHS = np.array([-4.0, -3, 1, 7, 13, 18, 21, 20, 16, 10, 4, -2])
NORMALS = climate.find_place("Boston, MA").normals
NAN = float("nan")
WALL: list[Any] = [0.06, [(0.8, 2.5), (0.2, 1.1)], 0.1]
MAIN: dict[str, Callable[[Any], Any]] = {
    "heat.combined": lambda x: heat.combined([0.06, [(0.8, x), (0.2, 1.1)]], 0.13, 0.04).total,
    "heat.combined ": lambda x: heat.combined(WALL, x, 0.04).u,
    "heat.parallel_path": lambda x: heat.parallel_path([x, [(0.8, 2.5), (0.2, 1.1)]]),
    "heat.isothermal_planes": lambda x: heat.isothermal_planes([0.06, [(0.8, 2.5), (0.2, x)]]),
    "heat.dynamic": lambda x: heat.dynamic([(x, 0.5, 1500.0, 900.0)]).y12,
    "heat.zone_step": lambda x: heat.zone_step(heat.SimpleZone(20.0, 8.0, 4.0, 12.0, 3.3e6, 50.0), x, 0.0).air_c,
    "heat.transmission": lambda x: heat.transmission([(4.0, x)], [(2.0, 0.05)]),
    "heat.corrected_u": lambda x: heat.corrected_u(0.3, x),
    "heat.interface_temperatures": lambda x: heat.interface_temperatures(np.array([0.13, 2.0, 0.04]), x, -5.0)[1],
    "air.basic_coefficients": lambda x: air.basic_coefficients(x, 3)[0],
    "air.enhanced_coefficients": lambda x: air.enhanced_coefficients(x).cs,
    "air.total_leakage": lambda x: air.total_leakage({"ceiling": x}),
    "buffer.steady": lambda x: buffer.steady(
        buffer.network([buffer.Link("in", "loft", 3.0), buffer.Link("loft", "out", x)]), {"in": 20.0, "out": 0.0}
    ).temperatures["loft"],
    "buffer.wind_stack_factor": lambda x: buffer.wind_stack_factor(np.asarray(x), np.asarray(3.0)),
    "insitu.resistance_from_surface": lambda x: insitu.resistance_from_surface(20.0, x, 0.0).total,
    "season.heating": lambda x: season.heating(NORMALS, x).kwh,
    "season.cooling": lambda x: season.cooling(NORMALS, x).kwh,
    "season.house_heating": lambda x: season.house_heating(NORMALS, 150.0, x).kwh,
    "field.loose_board": lambda x: field.loose_board(
        gap_low=x, gap_high=0.003, channel_depth=0.006, height=1.0, board_resistance=2.0, back_resistance=0.5,
        temp_warm_c=20.0, temp_cold_c=0.0,
    ).resistance_set,
    "field.still_air_conductance": lambda x: field.still_air_conductance(x)[0],
    "moisture.least_temperature_factor": lambda x: moisture.least_temperature_factor(
        MONTHS, 0.8 * moisture.saturation_pressure(MONTHS), x
    ).monthly[..., 0],
    "climate.monthly_heating": lambda x: climate.monthly_heating(NORMALS, np.asarray(x))[..., 0],
    "climate.monthly_cooling": lambda x: climate.monthly_cooling(NORMALS, np.asarray(x))[..., 6],
    "climate.heating_degree_days_from_means": lambda x: climate.heating_degree_days_from_means(
        np.asarray(x), MONTHS
    )[..., 0],
    "season.loss_degree_days": lambda x: season.loss_degree_days(NORMALS, 20.0, np.asarray(x))[..., 0],
}  # fmt: skip
VALUES = {
    "heat.combined ": 0.13, "heat.combined": 2.0, "heat.dynamic": 0.2, "heat.zone_step": 18.0,
    "insitu.resistance_from_surface": 18.0,
    "field.loose_board": 0.003, "field.still_air_conductance": 0.02, "moisture.least_temperature_factor": 20.0,
    "climate.monthly_heating": 15.0, "climate.monthly_cooling": 18.0, "season.house_heating": 300.0,
    "climate.heating_degree_days_from_means": 15.0, "season.loss_degree_days": 15.0,
    "heat.interface_temperatures": 20.0,
}  # fmt: skip


@pytest.mark.parametrize("name", MAIN)
def test_the_figure_of_a_result_keeps_nan(name: str) -> None:
    value = VALUES.get(name, 2.0)
    plain = np.asarray(MAIN[name](value))
    assert np.isfinite(plain).all()
    assert np.isnan(np.asarray(MAIN[name](NAN))).all()


@pytest.mark.parametrize("name", sorted(set(MAIN) - {"heat.interface_temperatures"}))
def test_the_figure_of_a_result_takes_arrays(name: str) -> None:
    value = VALUES.get(name, 2.0)
    row = np.asarray(MAIN[name](np.array([value, np.nan, value])))
    assert row.shape[-1] == 3 or row.shape[0] == 3
    assert np.isnan(row).sum() == 1
    assert row[~np.isnan(row)] == pytest.approx([float(MAIN[name](value))] * 2, rel=1e-9)


SERIES: dict[str, Callable[[Any], Any]] = {
    "climate.degree_days_from_series": lambda s: climate.degree_days_from_series(15.0, s),
    "climate.diffuse_share": lambda s: climate.diffuse_share(np.clip(s / 40, 0.0, 1.0)),
    "season.running_mean": lambda s: season.running_mean(s, 2),
    "climate.monthly_sigma": climate.monthly_sigma,
    "climate.daily_spread_from_means": climate.daily_spread_from_means,
    "heat.ground_temperature": lambda s: heat.ground_temperature(s, 1.0),
    "heat.monthly_ground_heat": lambda s: heat.monthly_ground_heat(10.0, 3.0, 20.0, s),
    "insitu.average_method": lambda s: insitu.average_method(s + 30, s, np.full(12, 9.0)).resistance,
    "insitu.stored_heat_share": lambda s: insitu.stored_heat_share(1e5, 20.0, 19.0, s),
    "moisture.plane_temperatures": lambda s: moisture.plane_temperatures(moisture.strips([(1.0, 0.5)]), 20.0, s[3]),
    "transient.mould_index": lambda s: transient.mould_index(s, np.full(12, 0.9)),
    "buffer.deck_temperature": lambda s: buffer.deck_temperature(s, s - 2, 2.0),
}


@pytest.mark.parametrize("name", SERIES)
def test_a_gap_in_a_series_is_not_passed_over(name: str) -> None:
    assert np.isfinite(np.asarray(SERIES[name](MONTHS))).all()
    holed = MONTHS.copy()
    holed[3] = np.nan
    assert np.isnan(np.asarray(SERIES[name](holed))).any()


def test_own_coefficients_keep_nan_too() -> None:
    assert np.isnan(air.infiltration_basic(0.04, 20.0, 3.0, cs=NAN, cw=0.0002))
    assert np.isnan(air.infiltration_basic(0.04, 20.0, 3.0, cs=0.00015, cw=NAN))


def test_words_for_what_is_not_known() -> None:
    assert moisture.retarder_class(NAN) == "unknown"
    assert moisture.retarder_class(np.array([0.05, NAN])) == ["I", "unknown"]


@pytest.mark.parametrize("name", PLAIN + sorted(OVER_AN_AXIS))
def test_units_stand_in_the_docstring(name: str) -> None:
    text = ALL[name].__doc__ or ""
    told = ("[", "SI", "perm", "°C", "m³/s", "any shape", "share", "factor", "W/", "kg")
    assert any(t in text for t in told), name
