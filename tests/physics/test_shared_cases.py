"""Every collected check case of these rooms by its name; those of fields and slabs stand beside their code."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from tests.physics.shared import cases, near

from snugbay.physics import air, buffer, climate, heat, insitu, moisture, season, units

Case = dict[str, Any]
CHECKS: dict[str, Callable[[Case, Case, Case], None]] = {}

ELSEWHERE = {
    "10211-A1",
    "10211-A2",
    "10211-A4",
    "2d-corner",
    "2d-stud-ci",
    "semi-inf-fixed",
    "semi-inf-film",
    "slab",
}
"""Tested in tests/physics/field and tests/physics/transient."""


def case(name: str) -> Callable[[Callable[[Case, Case, Case], None]], Callable[[Case, Case, Case], None]]:
    def keep(check: Callable[[Case, Case, Case], None]) -> Callable[[Case, Case, Case], None]:
        CHECKS[name] = check
        return check

    return keep


def test_every_case_is_checked_somewhere() -> None:
    assert set(CHECKS) | ELSEWHERE == set(cases())
    assert len(cases()) == 73


@pytest.mark.parametrize("name", sorted(set(cases()) - ELSEWHERE))
def test_case(name: str) -> None:
    c = cases()[name]
    CHECKS[name](c["inputs"], c["expected"], c["tolerance"])


# 1 ISO 6946


def bridged(parts: list[Case]) -> list[tuple[float, float]]:
    return [(p["f"], p["d"] / p["lam"]) for p in parts]


@case("6946-timber-wall")
def _(i: Case, e: Case, t: Case) -> None:
    parts = [(p["fraction"], p["R"]) for p in i["bridged_layer"]]
    layers = [parts if name == "bridged" else r for name, r in i["layers_R_outside_to_inside"][1:-1]]
    films = [i["layers_R_outside_to_inside"][-1][1], i["layers_R_outside_to_inside"][0][1]]
    wall = heat.combined(layers[::-1], *films)
    near(wall.paths, [e["R_path_insulation"], e["R_path_stud"]], tol=t["R"])
    near([wall.upper, wall.lower, wall.total], [e["R_upper"], e["R_lower"], e["R_T"]], tol=t["R"])
    near(wall.u, e["U"], tol=t["U"])
    assert round(float(wall.u), 2) == e["U_rounded"]
    near(100 * wall.error_bound, e["error_bound_percent"], tol=t["error_bound_percent"])


@case("6946-knee-combined")
def _(i: Case, e: Case, t: Case) -> None:
    layers: list[heat.LayerR] = []
    for layer in i["layers_inside_to_outside"]:
        if "parts" in layer:
            layers.append([(p["f"], float(heat.uniform_resistance(layer["d"], p["lam"]))) for p in layer["parts"]])
        else:
            layers.append(float(heat.uniform_resistance(layer["d"], layer["lam"])))
    wall = heat.combined(layers, i["Rsi"], i["Rse"])
    near([wall.upper, wall.lower, wall.total], [e["R_upper"], e["R_lower"], e["R_T"]], tol=t["R"])
    near(wall.u, e["U"], tol=t["U"])
    near(100 * wall.error_bound, e["error_bound_percent"], tol=t["error_bound_percent"])


@case("6946-surface-res")
def _(i: Case, e: Case, t: Case) -> None:
    assert heat.surface_resistance("up") == e["Rsi_up"]
    assert heat.surface_resistance("horizontal") == e["Rsi_horizontal"]
    assert heat.surface_resistance("down") == e["Rsi_down"]
    assert heat.surface_resistance("up", sheltered=False) == e["Rse"]
    within = e["horizontal_applies_within_deg_of_horizontal"]
    assert heat.flow_through(90 - within) is heat.HeatFlow.HORIZONTAL
    assert heat.flow_through(90 - within - 1) is heat.HeatFlow.UP
    assert heat.flow_through(90 - within - 1, warm_side_below=False) is heat.HeatFlow.DOWN


@case("6946-airspace-table")
def _(i: Case, e: Case, t: Case) -> None:
    d = np.array(i["thickness_mm"]) / 1000
    for direction in ("up", "horizontal", "down"):
        near(heat.airspace_table(d, direction), e[direction], tol=t["abs"])
        near(heat.airspace(d, direction), e[direction], tol=0.0055)  # the formula, to the table's rounding


@case("6946-airspace-interp")
def _(i: Case, e: Case, t: Case) -> None:
    near(heat.airspace_table(i["thickness_mm"] / 1000, i["direction"]), e["R"], tol=t["abs"])


@case("6946-airspace-formula")
def _(i: Case, e: Case, t: Case) -> None:
    e1, e2 = np.array(i["e_pairs"]).T
    for direction in ("up", "horizontal", "down"):
        got = heat.airspace(i["d_mm"] / 1000, direction, emissivities=(e1, e2))
        near(got, e[direction], tol=t["abs"])


@case("6946-slightly-vent")
def _(i: Case, e: Case, t: Case) -> None:
    near(heat.slightly_ventilated(i["Av"], i["R_T_unvent"], i["R_T_vent"]), e["R_T"], tol=t["abs"])


@case("6946-gap-1")
def _(i: Case, e: Case, t: Case) -> None:
    near(heat.gap_correction(i["level"], i["R1"], i["R_T"]), e["dUg"], tol=t["abs"])


@case("6946-fastener")
def _(i: Case, e: Case, t: Case) -> None:
    section = heat.fastener_section(i["dia_mm"] / 1000)
    near(section, e["Af"], rel=t["rel"])
    got = heat.fastener_correction(section, i["lam_f"], i["n_per_m2"], i["d0"], i["R1"], i["R_T"])
    near(got, e["dUf"], rel=t["rel"])


@case("6946-taper-rect")
def _(i: Case, e: Case, t: Case) -> None:
    near(heat.taper_rectangle(i["R0"], i["R1"]), e["U"], tol=t["abs"])


@case("6946-taper-tri")
def _(i: Case, e: Case, t: Case) -> None:
    near(heat.taper_triangle_thick_apex(i["R0"], i["R1"]), e["U_thickest_at_apex"], tol=t["abs"])
    near(heat.taper_triangle_thin_apex(i["R0"], i["R1"]), e["U_thinnest_at_apex"], tol=t["abs"])


@case("6946-taper-tri3")
def _(i: Case, e: Case, t: Case) -> None:
    near(heat.taper_triangle(i["R0"], i["R1"], i["R2"]), e["U"], tol=t["abs"])


@case("6946-unheated-roof")
def _(i: Case, e: Case, t: Case) -> None:
    assert e == heat.UNHEATED_ROOF_SPACE


# 2 wood frame, conversions


@case("ip-si")
def _(i: Case, e: Case, t: Case) -> None:
    got = {
        "R_ip_per_R_si": units.R_IP_PER_R_SI,
        "U_si_per_U_ip": units.U_SI_PER_U_IP,
        "R_si_per_R_ip": units.R_SI_PER_R_IP,
        "k_si_W_mK_per_Btu_in": units.K_SI_PER_K_BTU_IN,
        "Btu_h_per_W": units.BTU_H_PER_W,
        "q_W_m2_per_Btu_h_ft2": units.W_M2_PER_BTU_H_FT2,
    }
    assert set(got) == set(e)
    for key, value in got.items():
        near(value, e[key], rel=t["rel"])


@case("hof-wall-r11")
def _(i: Case, e: Case, t: Case) -> None:
    r, f = i["R"], i["framing_fraction"]
    layers = [
        r["inside_film"],
        r["half_in_gypsum"],
        [(1 - f, r["batt"]), (f, r["stud"])],
        r["half_in_fibreboard_sheathing"],
        r["bevel_siding"],
        r["outside_film"],
    ]
    wall = heat.combined(layers, 0.0, 0.0)
    near(wall.paths, [e["R_insulated"], e["R_framing"]], tol=t["R"])
    near(1 / wall.paths, [e["U_insulated"], e["U_framing"]], tol=t["U"])
    near(heat.parallel_path(layers), e["R_parallel"], tol=t["R"])
    near(1 / heat.parallel_path(layers), e["U_parallel"], tol=t["U"])
    near(heat.isothermal_planes(layers), e["R_isothermal"], tol=t["R"])


@case("knee-ip")
def _(i: Case, e: Case, t: Case) -> None:
    f = i["framing_fraction"]
    layers = [i["gypsum"], np.array(i["ci"]), [(1 - f, i["batt"]), (f, i["stud"])]]
    near(heat.parallel_path(layers, *i["films"]), e["R_parallel"], tol=t["R"])
    near(heat.isothermal_planes(layers, *i["films"]), e["R_isothermal"], tol=t["R"])


# 4 moisture


@case("psat-iso")
def _(i: Case, e: Case, t: Case) -> None:
    near(moisture.saturation_pressure(np.array(i["T"])), e["p_Pa"], rel=t["rel"])


@case("psat-ashrae")
def _(i: Case, e: Case, t: Case) -> None:
    near(moisture.saturation_pressure(np.array(i["T"]), "ashrae"), e["p_Pa"], rel=t["rel"])


@case("dewpoint")
def _(i: Case, e: Case, t: Case) -> None:
    temp, rh = np.array(i["T_RH"]).T
    for formula in ("iso", "ashrae"):
        p = moisture.vapour_pressure(temp, rh, formula)
        near(moisture.dew_point(p, formula), e["Tdp"], tol=t["abs"])


@case("dewpoint-ip")
def _(i: Case, e: Case, t: Case) -> None:
    temp_f, rh = np.array(i["T_RH_F"]).T
    p = moisture.vapour_pressure(units.celsius_from_f(temp_f), rh, "ashrae")
    near(units.f_from_celsius(moisture.dew_point(p, "ashrae")), e["Tdp_F"], tol=t["abs_F"])
    near(moisture.humidity_ratio(p, 14.696 * units.PSI_PA), e["W_lb_lb"], rel=t["W_rel"])


@case("humidity-ratio")
def _(i: Case, e: Case, t: Case) -> None:
    w = moisture.humidity_ratio(moisture.vapour_pressure(i["T"], i["RH"], "ashrae"))
    near(1000 * w, e["W_g_kg"], tol=t["W"])
    near(moisture.wet_bulb(i["T"], i["RH"]), e["Twb"], tol=t["Twb"])
    near(moisture.enthalpy(i["T"], w) / 1000, e["h_kJ_kg"], tol=t["h"])


@case("moisture-classes")
def _(i: Case, e: Case, t: Case) -> None:
    assert [float(moisture.vapour_excess(-3.0, k)) for k in i["classes"]] == e["dp_Pa"]
    assert [moisture.CLASS_EXCESS_KG_M3[k] for k in i["classes"]] == e["dv_kg_m3"]
    near(moisture.vapour_excess(np.array([0.0, 10.0, 20.0, 25.0]), 3), [810, 405, 0, 0])


@case("frsi-uniform")
def _(i: Case, e: Case, t: Case) -> None:
    near(moisture.temperature_factor(np.array(i["U"]), i["Rsi"]), e["fRsi"], tol=t["abs"])


def monthly(i: Case) -> tuple[Any, Any]:
    te = np.array(i["Te_Jan_Dec"], float)
    return te, moisture.vapour_pressure(te, np.array(i["RHe_Jan_Dec"]) / 100)


@case("frsi-min-class3")
def _(i: Case, e: Case, t: Case) -> None:
    te, pe = monthly(i)
    need = moisture.least_temperature_factor(te, pe, i["Ti"], humidity_class=i["humidity_class"])
    want = np.array([np.nan if x is None else x for x in e["fRsi_Jan_Dec"]])
    np.testing.assert_allclose(need.monthly, want, atol=t["abs"], equal_nan=True)
    near(need.design, e["design"], tol=t["abs"])
    assert " and ".join(need.critical_months) == e["critical_month"]


def vapour_layers(i: Case) -> list[tuple[float, float]]:
    return [
        (x["R"] if "R" in x else float(heat.uniform_resistance(x["d"], x["lam"])), x["sd"])
        for x in i["layers_inside_to_outside"]
    ]


@case("glaser-const")
def _(i: Case, e: Case, t: Case) -> None:
    layers, films = vapour_layers(i), {"rsi": i["Rsi"], "rse": i["Rse"]}
    pi = float(moisture.vapour_pressure(i["Ti"], i["RHi"]))

    def period(te: float, days: float) -> tuple[Any, float]:
        pe = float(moisture.vapour_pressure(te, i["RHe"]))
        c = moisture.condensation(layers, i["Ti"], te, pi, pe, **films)
        return c, c.rate * days * 86400

    c, amount = period(i["Te"], i["days"])
    near(sum(r for r, _ in layers) + i["Rsi"] + i["Rse"], e["R_T"], tol=0.0001)
    near(pi, e["p_i"], tol=t["p"])
    near(c.pressures[-1], e["p_e"], tol=t["p"])
    at = int(np.flatnonzero(c.flow > 0)[0])
    assert np.count_nonzero(c.flow) == 1
    near(c.temperatures[at], e["T_interface"], tol=t["T"])
    near(c.saturation[at], e["psat_interface"], tol=t["p"])
    near(amount, e["condensate_kg_m2"], tol=t["condensate"])
    near(period(-10.0, 60)[1], e["with_Te_minus10_60_days"], tol=t["condensate"])


def year_of(i: Case) -> moisture.MoistureYear:
    te, pe = monthly(i)
    pi = moisture.indoor_vapour_pressure(pe, te, i.get("humidity_class", 3))
    return moisture.condensation_year(vapour_layers(i), te, pe, pi, inside_c=i["Ti"], rsi=i["Rsi"], rse=i["Rse"])


@case("glaser-year-fail")
def _(i: Case, e: Case, t: Case) -> None:
    year = year_of(i)
    assert year.month_names[0] == "Oct"
    near(year.flow.sum(axis=1), e["gc_Oct_Sep"], tol=t["g"])
    near(year.content.sum(axis=1), e["Ma_Oct_Sep"], tol=t["Ma"])
    assert not year.dries
    assert f"{year.left:.3f}" == "1.289"
    assert [f.code for f in year.findings] == ["moisture.accumulates"]
    assert [year.between[k] for k in year.wet_planes] == [(1, 2)]


@case("glaser-year-pass")
def _(i: Case, e: Case, t: Case) -> None:
    year = year_of(i)
    assert year.month_names[0] == "Nov"
    near(year.flow.sum(axis=1)[:9], e["gc_Nov_Jul"], tol=t["g"])
    near(year.content.sum(axis=1)[:9], e["Ma_Nov_Jul"], tol=t["Ma"])
    near(year.peak, e["peak"], tol=t["Ma"])
    assert climate.MONTHS[year.peak_month] == "Mar"
    assert year.dries


@case("irc-ratio")
def _(i: Case, e: Case, t: Case) -> None:
    zone = {"z123": "2", "z4C": "4C", "z4AB": "4A", "z5": "5", "z6": "6", "z7": "7", "z8": "8"}
    for key, name in zone.items():
        assert moisture.unvented_roof_r_ip(name) == i["table"][key]
        near(moisture.unvented_roof_share(name), e["ratio"][key], tol=t["abs"])


@case("ratio-plane")
def _(i: Case, e: Case, t: Case) -> None:
    near(moisture.plane_temperature(np.array(i["share_outside_plane"]), i["Ti"], i["Te"]), e["T"], tol=t["abs"])


# 5 dynamics, unheated spaces


def check_dynamic(i: Case, e: Case, t: Case) -> None:
    layers = [(x["d"], x["lam"], x["rho"], x["c"]) for x in i["layers_inside_to_outside"]]
    d = heat.dynamic(layers, rsi=i["Rsi"], rse=i["Rse"], period_h=i["period_h"])
    near([d.u, d.y11, d.y12, d.decrement], [e["U"], e["Y11"], e["Y12"], e["f"]], rel=t["rel"])
    near(d.time_shift_h, e["time_shift_h"], tol=t["time_h"])
    near([d.kappa1 / 1000, d.kappa2 / 1000], [e["kappa1_kJ_m2K"], e["kappa2"]], rel=t["rel"])
    if "Y22" in e:
        near(d.y22, e["Y22"], rel=t["rel"])


CHECKS["13786-concrete"] = check_dynamic
CHECKS["13786-knee"] = check_dynamic


@case("5r1c")
def _(i: Case, e: Case, t: Case) -> None:
    zone = heat.SimpleZone(i["Af"], i["H_ve"], i["H_tr_w"], i["H_tr_op"], i["C_m"], i["A_m"])
    near(zone.h_is, e["H_tr_is"], tol=t["T"])
    near(zone.h_ms, e["H_tr_ms"], tol=t["T"])
    near([zone.h_em, zone.h_1, zone.h_2, zone.h_3], [e["H_tr_em"], e["H1"], e["H2"], e["H3"]], tol=1e-4)
    kwargs = {"internal_w": i["phi_int"], "solar_w": i["phi_sol"], "supply_c": i["theta_sup"]}
    s = heat.zone_step(zone, i["theta_m_prev"], i["theta_e"], **kwargs)
    near([s.phi_mass, s.phi_surface], [e["phi_m"], e["phi_st"]], tol=t["W"])
    near(
        [s.mass_end_c, s.mass_c, s.surface_c, s.air_c],
        [e["theta_m_t"], e["theta_m"], e["theta_s"], e["theta_air_free"]],
        tol=t["T"],
    )
    need = heat.zone_need(zone, i["theta_m_prev"], i["theta_e"], 20.0, **kwargs)
    near(need, e["phi_need_for_20C"], tol=t["W"])
    mass = 18.0
    for _ in range(5000):  # "with 500 W for ever"
        last = heat.zone_step(zone, mass, i["theta_e"], heating_w=500.0, **kwargs)
        mass = float(last.mass_end_c)
    near([last.air_c, last.surface_c, last.mass_c], [30.891, 29.948, 29.384], tol=t["T"])


def eaves(i: Case, knee: float, floor: float, slope: float, gable: float, ach: float) -> buffer.Network:
    (knee_a, floor_a), (slope_a, gable_a) = ([x["A"] for x in i[side]] for side in ("house_side", "outside"))
    air_w_k = buffer.air_conductance(i["volume"], ach, rho_c_wh=i["rho_c_Wh_m3K"])
    return buffer.network(
        [
            buffer.Link("inside", "eaves", knee * knee_a + floor * floor_a),
            buffer.Link("eaves", "outside", slope * slope_a + gable * gable_a, air_w_k),
        ]
    )


def check_eaves(net: buffer.Network, ti: float, te: float, e: Case, t: Case) -> None:
    h_iu, h_ue = net.between("eaves", "inside"), net.between("eaves", "outside")
    for key, value in (("H_iu", h_iu), ("H_ue", h_ue)):
        if key in e:
            near(value, e[key], tol=0.001)
    near(buffer.b_factor(h_iu, h_ue), e["b"], tol=t["b"])
    near(buffer.effective(net, "inside", "outside").b["eaves"], e["b"], tol=t["b"])
    balance = buffer.steady(net, {"inside": ti, "outside": te})
    near(balance.temperatures["eaves"], e["Tu"], tol=t["T"])
    near(balance.loss["inside"], e["house_loss_W"], tol=t["W"])


@case("13789-eaves")
def _(i: Case, e: Case, t: Case) -> None:
    u = [x["U"] for x in (*i["house_side"], *i["outside"])]
    check_eaves(eaves(i, u[0], u[1], u[2], u[3], i["ach"]), i["Ti"], i["Te"], e, t)


@case("13789-eaves-options")
def _(i: Case, e: Case, t: Case) -> None:
    base = cases()["13789-eaves"]["inputs"]
    check_eaves(eaves(base, 0.25, 0.25, 2.0, 1.8, 3), base["Ti"], base["Te"], e["m1"], t)
    check_eaves(eaves(base, 1.5, 1.2, 0.2, 0.2, 0.3), base["Ti"], base["Te"], e["m2"], t)


@case("12831-b")
def _(i: Case, e: Case, t: Case) -> None:
    assert e == buffer.DEFAULT_B


# 6 air leakage

IN2 = units.CM2_PER_IN2 * 1e-4


@case("sg-design")
def _(i: Case, e: Case, t: Case) -> None:
    q = air.infiltration_basic(
        i["ELA_in2"] * IN2,
        i["dT_F"] * units.KELVIN_PER_F,
        i["wind_mph"] * units.M_S_PER_MPH,
        storeys=1,
        shielding=3,
    )
    near(units.cfm_from_m3_s(q), e["Q_cfm"], tol=3 * t["Q"])  # the IP table rounds Cs and Cw by up to 0.6 %
    # the handbook's own IP coefficients, carried over to the units of the SI ones
    to_cs = units.M3_S_PER_CFM**2 * 1e6 / units.CM2_PER_IN2**2 / units.KELVIN_PER_F
    to_cw = units.M3_S_PER_CFM**2 * 1e6 / units.CM2_PER_IN2**2 / units.M_S_PER_MPH**2
    q = air.infiltration_basic(
        i["ELA_in2"] * IN2,
        i["dT_F"] * units.KELVIN_PER_F,
        i["wind_mph"] * units.M_S_PER_MPH,
        cs=i["Cs"] * to_cs,
        cw=i["Cw"] * to_cw,
    )
    near(units.cfm_from_m3_s(q), e["Q_cfm"], tol=t["Q"])
    near(air.air_changes(q, i["volume_ft3"] * units.FOOT**3), e["ach"], tol=t["ach"])


@case("sg-design-si")
def _(i: Case, e: Case, t: Case) -> None:
    q = air.infiltration_basic(i["ELA_cm2"] * 1e-4, i["dT"], i["wind"], storeys=1, shielding=3)
    near(1000 * q, e["Q_L_s"], tol=t["Q"])
    near(air.air_changes(q, i["volume"]), e["ach"], tol=t["ach"])


@case("sg-coeff")
def _(i: Case, e: Case, t: Case) -> None:
    to_cs = units.M3_S_PER_CFM**2 * 1e6 / units.CM2_PER_IN2**2 / units.KELVIN_PER_F
    to_cw = units.M3_S_PER_CFM**2 * 1e6 / units.CM2_PER_IN2**2 / units.M_S_PER_MPH**2
    for k, storeys in enumerate(i["storeys"]):
        for j, shielding in enumerate(i["shielding_classes"]):
            cs, cw = air.basic_coefficients(storeys, shielding)
            near(cs, e["Cs_SI"][k], rel=t["rel"])
            near(cw, e["Cw_SI"][k][j], rel=t["rel"])
            near(cs / to_cs, e["Cs_IP"][k], rel=t["rel"])
            near(cw / to_cw, e["Cw_IP"][k][j], tol=0.00006)  # half a unit of the last printed place


@case("ela-cfm50")
def _(i: Case, e: Case, t: Case) -> None:
    q50 = units.m3_s_from_cfm(i["CFM50"])
    ela = air.ela_from_blower_door(q50, i["n"], rho=i["rho"])
    near(units.cfm_from_m3_s(air.flow_at(q50, 50, 4, i["n"])), e["Q4_cfm"], rel=t["rel"])
    near(ela * 1e4, e["ELA4_cm2"], rel=t["rel"])
    near(ela / IN2, e["ELA4_in2"], rel=t["rel"])
    near(ela / IN2 / i["CFM50"], e["ELA_in2_per_CFM50"], rel=t["rel"])
    eqla = air.eqla_from_blower_door(q50, i["n"], rho=i["rho"])
    near(eqla / IN2, e["EqLA10_in2"], rel=t["rel"])
    near(eqla / IN2 / i["CFM50"], e["EqLA10_in2_per_CFM50"], rel=t["rel"])


@case("c-from-ela")
def _(i: Case, e: Case, t: Case) -> None:
    near(air.flow_coefficient(i["ELA_cm2"] * 1e-4, np.array(i["n"]), rho=i["rho"]), e["c"], rel=t["rel"])


@case("aim2-coeff")
def _(i: Case, e: Case, t: Case) -> None:
    storeys = np.array(i["storeys"], float)
    for flue in (False, True):
        kind = "flue" if flue else "no_flue"
        for foundation in ("basement", "crawl"):
            k = air.enhanced_coefficients(storeys, flue=flue, foundation=foundation)
            near(k.cs, e[f"Cs_{kind}"], tol=t["abs"])
            near(k.cw, e[f"Cw_{foundation}_{kind}"], tol=t["abs"])
            near(k.wind_multiplier, e["speed_multiplier_G"], tol=t["abs"])
        shelters = [air.enhanced_coefficients(1, flue=flue, shielding=s).shelter for s in range(1, 6)]
        near(shelters, e[f"shelter_{kind}"], tol=t["abs"])
    formula = air.leak_distribution_coefficients(0.67, 2.5)
    near([formula.cs, formula.cw], [0.0538, 0.157], tol=0.0005)


@case("n-factor")
def _(i: Case, e: Case, t: Case) -> None:
    ach50 = air.air_changes(units.m3_s_from_cfm(i["CFM50"]), i["volume_ft3"] * units.FOOT**3)
    near(ach50, e["ACH50"], tol=t["abs"])
    near(air.natural_air_changes(ach50, i["N"]), e["ACH_nat"], tol=t["abs"])


@case("stack")
def _(i: Case, e: Case, t: Case) -> None:
    h, ti, te = (np.array(i[k], float) for k in ("h", "Ti", "Te"))
    near(air.stack_pressure(h, ti, te, pressure=i["p"]), e["dp_Pa"], tol=t["abs"])


@case("zone-pressure")
def _(i: Case, e: Case, t: Case) -> None:
    r = np.array(i["A_house_zone_over_A_zone_out"], float)
    p = air.zone_pressure(r, total=50.0, exponent=0.65)
    near(p, e["P_house_zone"], tol=t["P"])
    near((p / 50) ** 0.65, e["combined_as_fraction_of_house_zone"], tol=t["frac"])
    near(air.in_series(r, 1.0, 0.65) / r, e["combined_as_fraction_of_house_zone"], tol=t["frac"])


def cm2(item: str, state: str = "typical") -> float:
    return round(float(air.leakage_of(item, 1.0, state)) * 1e4, 10)


@case("leak-components")
def _(i: Case, e: Case, t: Case) -> None:
    names = {
        "attic_door_or_hatch_cm2": "attic_hatch",
        "general_ceiling_cm2_m2": "ceiling",
        "ceiling_wall_joint_cm2_m": "ceiling_wall_joint",
        "floor_wall_joint_cm2_m": "floor_wall_joint",
        "exterior_single_door_cm2": "exterior_door",
        "closet_door_frame_cm2": "closet_door_frame",
    }
    for key, want in e.items():
        assert {state: cm2(names[key], state) for state in want} == want


@case("leak-components-mem")
def _(i: Case, e: Case, t: Case) -> None:
    stair = e["attic_fold_down_stair_cm2"]
    assert cm2("fold_down_stair") == stair["bare"]
    assert cm2("fold_down_stair", "tight") == stair["weatherstripped"]
    assert cm2("fold_down_stair", "insulated_box") == stair["insulated_box"]
    assert cm2("recessed_light") == e["recessed_light_cm2"]
    assert [cm2("outlet"), cm2("outlet", "tight")] == list(e["outlet_cm2"].values())
    assert [cm2("pipe_or_wire"), cm2("pipe_or_wire", "tight")] == list(e["pipe_wire_penetration_cm2"].values())
    assert cm2("top_plate") == e["top_plate_band_joist_cm2_m"]
    assert cm2("crawl_space") == e["crawl_space_general_cm2_m2"]


@case("leak-sum")
def _(i: Case, e: Case, t: Case) -> None:
    ela = air.total_leakage({"attic_hatch": 1, "floor_wall_joint": i["joint_m"]})
    near(ela * 1e4, e["ELA"], rel=t["rel"])
    near(ela * 1e4, i["hatch_cm2"] + i["joint_m"] * i["joint_cm2_m"], rel=t["rel"])
    c = air.flow_coefficient(ela, i["n"], rho=i["rho"])
    near(air.flow(c, 4.0, i["n"]) * 3600, e["Q4_m3_h"], rel=t["rel"])
    near(air.q50_from_ela(ela, i["n"], rho=i["rho"]) * 3600, e["Q50_m3_h"], rel=t["rel"])


@case("air-heat")
def _(i: Case, e: Case, t: Case) -> None:
    w_k = air.air_heat(units.m3_s_from_cfm(i["cfm"]))
    near(w_k * i["dT_F"] * units.KELVIN_PER_F / units.W_PER_BTU_H, e["Btu_h"], rel=3 * t["rel"])  # 0.34 is 1.2 % over
    standard = air.air_heat(units.m3_s_from_cfm(i["cfm"]), rho_c=1.204 * 1005)
    near(standard * i["dT_F"] * units.KELVIN_PER_F / units.W_PER_BTU_H, e["Btu_h"], rel=t["rel"])
    low, high = e["SI_Wh_m3K_range"]
    assert low <= air.RHO_C / 3600 <= high


# 7 vapour


@case("perm-units")
def _(i: Case, e: Case, t: Case) -> None:
    near(units.PERM_SI * 1e12, e["perm_in_ng_s_m2_Pa"], rel=t["rel"])
    near(units.PERM_INCH_SI * 1e12, e["perm_inch_in_ng_s_m_Pa"], rel=t["rel"])
    near(
        moisture.sd_from_perms(np.array([1.0, 0.1, 10.0])),
        [e["sd_m_of_1_perm"], e["sd_m_of_0_1_perm"], e["sd_m_of_10_perm"]],
        rel=t["rel"],
    )
    assert e["delta0"] == moisture.DELTA_AIR


@case("perm-class")
def _(i: Case, e: Case, t: Case) -> None:
    assert moisture.retarder_class(np.array(i["perms"])) == e["cls"]
    assert [moisture.retarder_class(p) for p in i["perms"]] == e["cls"]


@case("perm-series")
def _(i: Case, e: Case, t: Case) -> None:
    near(moisture.series_perms(np.array(i["perms"], float)), e["total"], rel=t["rel"])
    near(moisture.series_perms(np.array(i["with_foil"])), e["total_foil"], rel=t["rel"])


@case("irc-class3")
def _(i: Case, e: Case, t: Case) -> None:
    assert [moisture.class3_exterior_r_ip(z, "2x4") for z in i["zone"]] == e["R_2x4"]
    assert [moisture.class3_exterior_r_ip(z, "2x6") for z in i["zone"]] == e["R_2x6"]


@case("irc-r8065")
def _(i: Case, e: Case, t: Case) -> None:
    assert [moisture.unvented_roof_r_ip(z) for z in i["zone"]] == e["R"]


# 8 degree days and code


@case("hdd")
def _(i: Case, e: Case, t: Case) -> None:
    kwh = season.season_heat(i["UA_Btu_hF"] * units.W_K_PER_BTU_H_F, i["HDD65"] * units.KELVIN_PER_F)
    near(kwh / units.KWH_PER_MMBTU, e["MMBtu"], rel=t["rel"])
    got = {
        "gas_therms_80": season.units_bought(kwh, season.fuel("gas_old"), 0.80),
        "propane_gal_80": season.units_bought(kwh, season.fuel("propane"), 0.80),
        "oil_gal_80": season.units_bought(kwh, season.fuel("heating_oil"), 0.80),
        "kWh_resistance": season.units_bought(kwh, season.fuel("electric_resistance"), 1.0),
        "kWh_heat_pump_2_5": season.units_bought(kwh, season.fuel("heat_pump"), 2.5),
        "pellet_ton_78": season.units_bought(kwh, season.fuel("pellets"), 0.78),
    }
    for key, value in got.items():
        near(value, e[key], rel=t["rel"])


@case("hdd-si")
def _(i: Case, e: Case, t: Case) -> None:
    near(season.season_heat(i["H_W_K"], i["HDD_K_d"]), e["kWh"], tol=t["abs"])


@case("hdd-save")
def _(i: Case, e: Case, t: Case) -> None:
    area = i["area_ft2"] * units.FOOT**2
    saved = (i["U_before"] - i["U_after"]) * units.U_SI_PER_U_IP * area
    kwh = season.season_heat(saved, i["HDD65"] * units.KELVIN_PER_F)
    near(kwh / units.KWH_PER_MMBTU, e["MMBtu"], rel=t["rel"])
    near(season.units_bought(kwh, season.fuel("gas_old"), i["eff"]), e["therms"], rel=t["rel"])


@case("fuels")
def _(i: Case, e: Case, t: Case) -> None:
    names = {
        "kWh_Btu": "electric_resistance",
        "gas_ft3_Btu": "gas_ft3",
        "therm_Btu": "gas_old",
        "heating_oil_gal_Btu": "heating_oil",
        "propane_gal_Btu": "propane",
        "wood_cord_Btu": "wood",
        "pellet_ton_Btu": "pellets",
    }
    for key, name in names.items():
        btu = season.fuel(name).kwh_per_unit * units.KWH_J / units.BTU_J
        near(btu, e[key], rel=t["rel"])


@case("zones")
def _(i: Case, e: Case, t: Case) -> None:
    cdd50, hdd65 = np.array(i["CDD50_HDD65"], float).T
    assert [int(z) for z in climate.zone_number_ip(cdd50, hdd65)] == e["zone"]
    assert [int(climate.zone_number_ip(c, h)) for c, h in i["CDD50_HDD65"]] == e["zone"]


@case("iecc-2021")
def _(i: Case, e: Case, t: Case) -> None:
    for part in ("ceiling", "wood_wall", "floor", "crawl_wall"):
        last = ""
        for zones, want in zip(i["zones"], e[part], strict=True):
            last = last if want == "same" else str(want)
            for zone in zones.replace(" and ", "-").split("-"):
                assert heat.prescriptive_text(zone, part) == last


@case("attic-vent")
def _(i: Case, e: Case, t: Case) -> None:
    in2 = i["attic_ft2"] * 144.0
    near(heat.vent_area(in2, ratio=150), e["in2_1_150"], tol=t["abs"])
    near(heat.vent_area(in2, ratio=300), e["in2_1_300"], tol=t["abs"])


# 9 in situ


@case("ir-correct")
def _(i: Case, e: Case, t: Case) -> None:
    near(insitu.true_temperature(*np.array(i["apparent_reflected_e"]).T), e["T"], tol=t["abs"])


@case("ir-apparent")
def _(i: Case, e: Case, t: Case) -> None:
    near(insitu.apparent_temperature(*np.array(i["true_reflected_e"]).T), e["T"], tol=t["abs"])


@case("r-from-ts")
def _(i: Case, e: Case, t: Case) -> None:
    ti, ts, te = np.array(i["Ti_Ts_Te"], float).T
    got = insitu.resistance_from_surface(ti, ts, te, rsi=i["Rsi"])
    near(got.heat_flux, e["q"], rel=t["rel"])
    near(got.total, e["R_T"], rel=t["rel"])
    warmer = insitu.resistance_from_surface(ti, ts + 0.5, te, rsi=i["Rsi"])
    near(warmer.total, e["R_T_if_Ts_half_K_warmer"], rel=t["rel"])
    assert np.all(got.high >= warmer.total)


@case("9869-average")
def _(i: Case, e: Case, t: Case) -> None:
    got = insitu.average_method(*(np.array(i[k]) for k in ("Tsi", "Tse", "q")))
    near(got.resistance, e["R"], tol=t["abs"])
    assert not got.passed  # six readings are no measurement by the standard
    assert {f.code for f in got.findings} >= {"insitu.short", "insitu.not-settled"}


@case("emissivity")
def _(i: Case, e: Case, t: Case) -> None:
    assert set(insitu.EMISSIVITY) == set(e)
    for name, want in e.items():
        low, high = want if isinstance(want, list) else (want, want)
        near(insitu.EMISSIVITY[name], (low, high), tol=t["abs"])
