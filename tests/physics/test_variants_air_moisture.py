"""The kinds of shared cases on air, moisture and readings with other inputs, each expected by a route of its own."""

from __future__ import annotations

import math
from typing import Any, Literal

import numpy as np
import psychrolib
import pytest
from scipy.optimize import brentq
from tests.physics.shared import near

from snugbay.physics import air, heat, insitu, moisture, units

Foundation = Literal["basement", "crawl"]

psychrolib.SetUnitSystem(psychrolib.SI)


def psat(t: float) -> float:
    return 610.5 * math.exp(17.269 * t / (237.3 + t) if t >= 0 else 21.875 * t / (265.5 + t))


@pytest.mark.parametrize("t", [-35.0, -12.5, -0.1, 0.1, 3.0, 18.5, 33.0])
@pytest.mark.parametrize("rh", [0.15, 0.42, 0.77, 0.99])
def test_moist_air(t: float, rh: float) -> None:
    # kinds psat-iso, psat-ashrae, dewpoint, dewpoint-ip, humidity-ratio
    near(moisture.saturation_pressure(t), psat(t), rel=1e-9)
    near(moisture.saturation_pressure(t, "ashrae"), psychrolib.GetSatVapPres(t), rel=1e-4)
    p = rh * psat(t)
    want = brentq(lambda x: psat(x) - p, -80, 60)
    near(moisture.dew_point(p), want, tol=0.02)
    near(moisture.relative_humidity(t, p), rh, rel=1e-9)
    pv = rh * psychrolib.GetSatVapPres(t)
    near(moisture.dew_point(pv, "ashrae"), psychrolib.GetTDewPointFromRelHum(t, rh), tol=0.03)
    for height in (0.0, 1600.0):
        pressure = psychrolib.GetStandardAtmPressure(height)
        near(moisture.pressure_at_height(height), pressure, rel=1e-3)
        w = moisture.humidity_ratio(pv, pressure)
        near(w, psychrolib.GetHumRatioFromRelHum(t, rh, pressure), rel=1e-4)
        near(moisture.enthalpy(t, w), psychrolib.GetMoistAirEnthalpy(t, float(w)), rel=1e-3, tol=20.0)
    near(moisture.wet_bulb(t, rh), psychrolib.GetTWetBulbFromRelHum(t, rh, 101325), tol=0.05)


@pytest.mark.parametrize("k", [1, 2, 3, 4, 5])
@pytest.mark.parametrize("te", [-15.0, 0.0, 2.5, 10.0, 17.0, 20.0, 28.0])
def test_humidity_classes(k: int, te: float) -> None:
    full = {1: 270.0, 2: 540.0, 3: 810.0, 4: 1080.0, 5: 1360.0}[k]
    want = full * min(max((20 - te) / 20, 0), 1)
    near(moisture.vapour_excess(te, k), want, tol=1e-9)
    near(moisture.indoor_vapour_pressure(900.0, te, k), 900 + want, tol=1e-9)


CLIMATES = {
    "raw": ([-8, -6, -1, 6, 12, 17, 20, 19, 14, 8, 1, -5], [78, 76, 72, 66, 65, 68, 70, 73, 75, 75, 80, 81]),
    "mild": ([5, 5, 7, 9, 12, 15, 17, 17, 15, 11, 8, 5], [86, 83, 80, 76, 75, 76, 77, 78, 80, 84, 86, 87]),
}


@pytest.mark.parametrize("name", CLIMATES)
@pytest.mark.parametrize("k", [2, 3, 4])
def test_least_temperature_factor(name: str, k: int) -> None:
    te, rh = (np.array(x, float) for x in CLIMATES[name])
    pe = np.array([psat(t) for t in te]) * rh / 100
    need = moisture.least_temperature_factor(te, pe, 21.0, humidity_class=k)
    full = {2: 540.0, 3: 810.0, 4: 1080.0}[k]
    rows = []
    for t, p in zip(te, pe, strict=True):
        pi = p + full * min(max((20 - t) / 20, 0), 1)
        surface = brentq(lambda x, pi=pi: psat(x) - pi / 0.8, -60, 60)
        rows.append((surface - t) / (21.0 - t))
    near(need.design, max(rows), tol=0.002)
    u, rsi = np.array([0.2, 0.7, 1.2]), 0.25
    near(moisture.temperature_factor(u, rsi), 1 - u * rsi, tol=1e-12)
    near(moisture.plane_temperature(np.array([0.1, 0.33, 0.8]), 21, -7), -7 + np.array([0.1, 0.33, 0.8]) * 28, tol=1e-9)


WALLS: dict[str, list[tuple[float, float]]] = {
    "brick lined": [(0.05, 0.3), (2.6, 0.09), (0.14, 1.1)],
    "osb outside": [(0.06, 0.1), (0.0, 0.8), (4.0, 0.2), (0.1, 4.0)],
    "cold deck": [(0.06, 0.1), (5.7, 0.25), (0.16, 2.2)],
}


def one_plane(layers: list[tuple[float, float]], ti: float, te: float, pi: float, pe: float) -> float:
    """Rate of condensation where only the plane before the last layer can be wet. [kg/(m² s)]"""
    r = [0.13, *(x[0] for x in layers), 0.04]
    t = ti - (ti - te) * sum(r[:-2]) / sum(r)
    inner, outer = sum(x[1] for x in layers[:-1]), layers[-1][1]
    wet = psat(t)
    if pi - (pi - pe) * inner / (inner + outer) <= wet:
        return 0.0
    return 2e-10 * ((pi - wet) / inner - (wet - pe) / outer)


@pytest.mark.parametrize("wall", WALLS)
@pytest.mark.parametrize(("te", "rhi"), [(-10.0, 0.5), (-3.0, 0.6), (4.0, 0.4), (10.0, 0.8)])
def test_constant_period_with_one_plane(wall: str, te: float, rhi: float) -> None:
    layers = WALLS[wall]
    pi, pe = rhi * psat(20.0), 0.8 * psat(te)
    got = moisture.condensation(layers, 20.0, te, pi, pe)
    near(got.rate, max(one_plane(layers, 20.0, te, pi, pe), 0.0), rel=1e-6, tol=1e-15)


@pytest.mark.parametrize("wall", WALLS)
@pytest.mark.parametrize("name", CLIMATES)
def test_a_year_with_one_plane(wall: str, name: str) -> None:
    # kinds glaser-year-fail, glaser-year-pass: closed form of the one interface, month after month
    layers = WALLS[wall]
    te, rh = (np.array(x, float) for x in CLIMATES[name])
    pe = np.array([psat(t) for t in te]) * rh / 100
    pi = pe + 810 * np.clip((20 - te) / 20, 0, 1)
    year = moisture.condensation_year(layers, te, pe, pi, inside_c=20.0)
    days = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
    stock, most = 0.0, 0.0
    for month in year.order:
        m = int(month)
        r = [0.13, *(x[0] for x in layers), 0.04]
        wet = psat(20 - (20 - te[m]) * sum(r[:-2]) / sum(r))
        inner, outer = sum(x[1] for x in layers[:-1]), layers[-1][1]
        flow = 2e-10 * ((pi[m] - wet) / inner - (wet - pe[m]) / outer) * days[m] * 86400
        if stock > 0 or one_plane(layers, 20.0, te[m], pi[m], pe[m]) > 0:
            stock = max(stock + flow, 0.0)
        most = max(most, stock)
    near(year.peak, most, tol=2e-3)
    assert year.dries == (stock <= 1e-9)


def test_permeance() -> None:
    # kinds perm-units, perm-class, perm-series
    m = np.array([0.03, 0.1, 0.5, 1.0, 5.0, 10.0, 54.0])
    near(moisture.sd_from_perms(m), 2e-10 / (m * 57.2135e-12), rel=1e-5)
    near(moisture.perms_from_sd(moisture.sd_from_perms(m)), m, rel=1e-12)
    near(moisture.series_perms(m), 1 / (1 / m).sum(), rel=1e-12)
    near(moisture.perms_of_layer(1.2, 0.0508), 1.2 / 2.0, rel=1e-12)
    edges = np.array([0.0, 0.0999, 0.1001, 0.999, 1.001, 9.99, 10.01])
    assert moisture.retarder_class(edges) == ["I", "I", "II", "II", "III", "III", "none"]
    near(moisture.sd_from_mu(60, 0.05), 3.0, rel=1e-12)


@pytest.mark.parametrize("zone", ["1", "2A", "3B", "3C", "4A", "4B", "4C", "5A", "5", "6B", "7", "8"])
def test_code_tables_by_zone_with_or_without_letter(zone: str) -> None:
    number = int(zone[0])
    roof = {1: 5, 2: 5, 3: 5, 4: 10 if zone == "4C" else 15, 5: 20, 6: 25, 7: 30, 8: 35}[number]
    assert moisture.unvented_roof_r_ip(zone) == roof
    near(moisture.unvented_roof_share(zone), roof / (38 if number <= 3 else 49), tol=1e-9)
    asked = {4: (2.5, 3.75) if zone == "4C" else (None, None), 5: (5, 7.5), 6: (7.5, 11.25), 7: (10, 15), 8: (12.5, 20)}
    got = (moisture.class3_exterior_r_ip(zone, "2x4"), moisture.class3_exterior_r_ip(zone, "2x6"))
    assert got == asked.get(number, (None, None))
    ceiling = 30 if number == 1 else 49 if number in (2, 3) else 60
    assert max(w.cavity_r_ip for w in heat.prescriptive(zone, "ceiling")) == ceiling


@pytest.mark.parametrize(
    ("ela", "dt", "wind"), [(0.03, 25.0, 3.0), (0.0497, 38.9, 6.7), (0.012, 5.0, 0.0), (0.08, 0.0, 9.0)]
)
@pytest.mark.parametrize(("storeys", "shield"), [(1, 1), (1, 3), (2, 2), (3, 5)])
def test_basic_infiltration(ela: float, dt: float, wind: float, storeys: int, shield: int) -> None:
    cs = (0.000145, 0.000290, 0.000435)[storeys - 1]
    cw = (
        (0.000319, 0.000246, 0.000174, 0.000104, 0.000032),
        (0.000420, 0.000325, 0.000231, 0.000137, 0.000042),
        (0.000494, 0.000382, 0.000271, 0.000161, 0.000049),
    )[storeys - 1][shield - 1]
    q = air.infiltration_basic(ela, dt, wind, storeys=storeys, shielding=shield)
    near(1000 * q, ela * 1e4 * math.sqrt(cs * dt + cw * wind**2), rel=1e-9)
    near(air.air_changes(q, 310.0), q * 3600 / 310, rel=1e-12)


@pytest.mark.parametrize("flue", [False, True])
@pytest.mark.parametrize("foundation", ["basement", "crawl"])
@pytest.mark.parametrize("storeys", [1, 2, 3])
def test_enhanced_infiltration(flue: bool, foundation: Foundation, storeys: int) -> None:
    k = storeys - 1
    cs = ((0.054, 0.078, 0.098), (0.069, 0.089, 0.107))[flue][k]
    cw = {
        ("basement", False): (0.156, 0.170, 0.170),
        ("basement", True): (0.142, 0.156, 0.167),
        ("crawl", False): (0.128, 0.142, 0.151),
        ("crawl", True): (0.128, 0.142, 0.154),
    }[foundation, flue][k]
    shelter = ((1.0, 0.9, 0.7, 0.5, 0.3), (1.1, 1.02, 0.86, 0.7, 0.54))[flue][2]
    c, n, dt, u = 0.045, 0.67, 22.0, 4.5
    made = air.enhanced_coefficients(storeys, flue=flue, foundation=foundation, shielding=3)
    stack, wind = c * cs * dt**n, c * cw * (shelter * (0.48, 0.59, 0.67)[k] * u) ** (2 * n)
    near(air.infiltration_enhanced(c, dt, u, made), math.hypot(stack, wind), rel=2e-3)


@pytest.mark.parametrize("n", [0.5, 0.6, 0.65, 0.72, 1.0])
@pytest.mark.parametrize("rho", [1.2, 1.204, 1.29])
def test_leaks_by_power_law(n: float, rho: float) -> None:
    # kinds ela-cfm50, c-from-ela, leak-sum, zone-pressure, n-factor
    q50 = 0.4
    q4 = q50 * (4 / 50) ** n
    ela = q4 * math.sqrt(rho / 8)
    near(air.ela_from_blower_door(q50, n, rho=rho), ela, rel=1e-9)
    near(air.eqla_from_blower_door(q50, n, rho=rho), q50 * (10 / 50) ** n * math.sqrt(rho / 20) / 0.611, rel=1e-9)
    near(air.q50_from_ela(ela, n, rho=rho), q50, rel=1e-9)
    c = air.flow_coefficient(ela, n, rho=rho)
    near(c, q4 / 4**n, rel=1e-9)
    near(air.flow(c, 17.0, n), c * 17.0**n, rel=1e-9)
    r = 1.7
    p = brentq(lambda x: r * x**n - (50 - x) ** n, 0, 50)
    near(air.zone_pressure(r, total=50.0, exponent=n), p, tol=1e-6)
    near(air.natural_air_changes(9.0, 17.5), 9 / 17.5, rel=1e-12)


@pytest.mark.parametrize(
    ("h", "ti", "te", "p"), [(2.4, 21, -5, 101325), (7.5, 20, 12, 84000), (0.0, 20, -20, 101325), (3, 20, 30, 101325)]
)
def test_stack(h: float, ti: float, te: float, p: float) -> None:
    want = 9.80665 / 287.05 * p * h * (1 / (te + 273.15) - 1 / (ti + 273.15))
    near(air.stack_pressure(h, ti, te, pressure=p), want, rel=2e-3, tol=1e-9)
    near(air.air_heat(units.m3_s_from_cfm(250.0)), 250 * 0.3048**3 / 60 * air.RHO_C, rel=1e-12)


@pytest.mark.parametrize("e", [0.05, 0.3, 0.6, 0.83, 0.95, 1.0])
@pytest.mark.parametrize(("shown", "around"), [(12.0, 21.0), (-4.0, 8.0), (30.0, 5.0)])
def test_infrared(e: float, shown: float, around: float) -> None:
    a, b = shown + 273.15, around + 273.15
    inside = (a**4 - (1 - e) * b**4) / e
    if inside > 0:
        near(insitu.true_temperature(shown, around, e), inside**0.25 - 273.15, tol=1e-6)
    near(insitu.apparent_temperature(shown, around, e), (e * a**4 + (1 - e) * b**4) ** 0.25 - 273.15, tol=1e-6)


@pytest.mark.parametrize(("ti", "ts", "te", "rsi"), [(21, 18.2, -7, 0.13), (20, 19.4, 5, 0.10), (19, 15.5, 2, 0.17)])
def test_resistance_from_a_surface(ti: float, ts: float, te: float, rsi: float) -> None:
    got = insitu.resistance_from_surface(ti, ts, te, rsi=rsi)
    near([got.total, got.heat_flux], [rsi * (ti - te) / (ti - ts), (ti - ts) / rsi], rel=1e-12)
    assert got.low < got.total < got.high


def test_average_method_over_three_days() -> None:
    rng = np.random.default_rng(3)
    hours = np.arange(96)
    inner, outer = 20 + 0.3 * rng.standard_normal(96), 2 + 4 * np.sin(2 * np.pi * hours / 24)
    flux = (inner - outer) / 2.4 * (1 + 0.02 * rng.standard_normal(96))
    got: Any = insitu.average_method(inner, outer, flux)
    near(got.resistance, (inner - outer).sum() / flux.sum(), rel=1e-12)
    assert got.passed
