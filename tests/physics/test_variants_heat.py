"""The kinds of shared cases on heat with other inputs; what is expected comes from a few lines of their own here."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.physics.shared import near

from snugbay.base import OutOfRange
from snugbay.physics import buffer, climate, heat, season, units

RNG = np.random.default_rng(20)
Floats = NDArray[np.float64]


def by_hand(layers: list[Any], rsi: float, rse: float) -> tuple[float, float]:
    """Upper and lower limit, paths enumerated by recursion and planes one by one."""

    def paths(k: int) -> list[tuple[float, float]]:
        if k == len(layers):
            return [(1.0, 0.0)]
        own = layers[k] if isinstance(layers[k], list) else [(1.0, layers[k])]
        return [(f * g, r + s) for f, r in own for g, s in paths(k + 1)]

    upper = 1 / sum(f / (rsi + r + rse) for f, r in paths(0))
    planes = sum(1 / sum(f / r for f, r in x) if isinstance(x, list) else x for x in layers)
    return upper, rsi + planes + rse


def bridged(rng: np.random.Generator, parts: int = 2) -> list[tuple[float, float]]:
    share = rng.dirichlet(np.full(parts, 3.0))
    return [(float(f), float(r)) for f, r in zip(share, rng.uniform(0.2, 4.0, parts), strict=True)]


@pytest.mark.parametrize("bridges", [0, 1, 2, 3])
@pytest.mark.parametrize("films", [(0.13, 0.04), (0.10, 0.10), (0.17, 0.17), (0.10, 0.04)])
def test_combined_method_with_any_number_of_bridged_layers(bridges: int, films: tuple[float, float]) -> None:
    # kinds 6946-timber-wall, 6946-knee-combined, hof-wall-r11, knee-ip
    layers: list[Any] = [float(r) for r in RNG.uniform(0.02, 2.5, 3)]
    layers += [bridged(RNG, 2 + k % 2) for k in range(bridges)]
    upper, lower = by_hand(layers, *films)
    wall = heat.combined(layers, *films)
    near([wall.upper, wall.lower, wall.total], [upper, lower, (upper + lower) / 2], rel=1e-12)
    near(wall.error_bound, (upper - lower) / (upper + lower), tol=1e-12)
    near(heat.parallel_path(layers, *films), upper, rel=1e-12)
    near(heat.isothermal_planes(layers, *films), lower, rel=1e-12)
    near([wall.total_ip, wall.u_ip * wall.total_ip], [(upper + lower) / 2 * 5.678263337, 1.0], rel=1e-8)
    assert bool(wall.findings) == (upper / lower > 1.5)
    near(heat.combined(layers[::-1], *films).total, wall.total, rel=1e-12)


def test_boards_of_many_thicknesses_at_once_in_inch_pound() -> None:
    ci = np.array([0.0, 3.6, 6.5, 13.0, 26.0])
    layers: list[Any] = [0.45, ci, [(0.78, 19.0), (0.22, 6.88)], 0.62]
    for k, r in enumerate(ci):
        upper, lower = by_hand([0.45, float(r), [(0.78, 19.0), (0.22, 6.88)], 0.62], 0.61, 0.17)
        near(heat.parallel_path(layers, 0.61, 0.17)[k], upper, rel=1e-12)
        near(heat.isothermal_planes(layers, 0.61, 0.17)[k], lower, rel=1e-12)


@pytest.mark.parametrize("slope", [0, 15, 30, 45, 59.9, 60, 75, 90])
def test_films_by_slope_and_side(slope: float) -> None:
    # kind 6946-surface-res: horizontal while the flow is within 30 degrees of it
    level = slope < 60
    assert heat.surface_resistance(heat.flow_through(slope)) == (0.10 if level else 0.13)
    assert heat.surface_resistance(heat.flow_through(slope, warm_side_below=False)) == (0.17 if level else 0.13)
    assert heat.surface_resistance(heat.flow_through(slope), sheltered=False) == 0.04


ROWS = {
    "up": [(0, 0.0), (5, 0.11), (7, 0.13), (10, 0.15), (15, 0.16), (25, 0.16), (50, 0.16), (100, 0.16), (300, 0.16)],
    "horizontal": [
        (0, 0),
        (5, 0.11),
        (7, 0.13),
        (10, 0.15),
        (15, 0.17),
        (25, 0.18),
        (50, 0.18),
        (100, 0.18),
        (300, 0.18),
    ],
    "down": [(0, 0), (5, 0.11), (7, 0.13), (10, 0.15), (15, 0.17), (25, 0.19), (50, 0.21), (100, 0.22), (300, 0.23)],
}


@pytest.mark.parametrize("flow", ROWS)
@pytest.mark.parametrize("mm", [2, 6, 8.5, 12, 18, 30, 37.5, 75, 89, 140, 200, 250])
def test_air_layers_of_any_thickness(flow: str, mm: float) -> None:
    # kinds 6946-airspace-table, -interp, -formula
    low, high = next((a, b) for a, b in zip(ROWS[flow], ROWS[flow][1:], strict=False) if a[0] <= mm <= b[0])
    want = low[1] + (high[1] - low[1]) * (mm - low[0]) / (high[0] - low[0])
    near(heat.airspace_table(mm / 1000, flow), want, tol=1e-12)
    d = mm / 1000
    still = {"up": 1.95, "horizontal": 1.25, "down": 0.12 * d**-0.44}[flow]
    for e1, e2 in ((0.9, 0.9), (0.2, 0.9), (0.05, 0.9), (0.05, 0.05), (0.5, 0.8), (1.0, 1.0)):
        radiant = 5.1 / (1 / e1 + 1 / e2 - 1)
        near(heat.airspace(d, flow, emissivities=(e1, e2)), 1 / (max(still, 0.025 / d) + radiant), rel=1e-12)
    cold = 4 * 5.67e-8 * 273.15**3
    got = heat.airspace(d, flow, emissivities=(0.1, 0.9), black_coefficient=heat.radiative_black(0.0))
    near(got, 1 / (max(still, 0.025 / d) + cold / (1 / 0.1 + 1 / 0.9 - 1)), rel=1e-4)


def test_an_air_layer_deeper_than_the_table_is_refused_not_guessed() -> None:
    with pytest.raises(OutOfRange, match="300 mm"):
        heat.airspace_table(0.31, "up")
    assert [f.code for f in heat.check_airspace(0.4)] == ["heat.airspace-deep"]


@pytest.mark.parametrize("av", [0, 400, 500, 501, 750, 1250, 1500, 2500])
def test_slightly_ventilated_layers(av: float) -> None:
    share = min(max((av - 500) / 1000, 0), 1)
    near(heat.slightly_ventilated(av, 2.4, 1.9), 2.4 + share * (1.9 - 2.4), tol=1e-12)


@pytest.mark.parametrize("level", [0, 1, 2])
def test_gaps_and_fasteners(level: int) -> None:
    # kinds 6946-gap-1, 6946-fastener
    r1, rt = RNG.uniform(0.5, 4.0, 5), RNG.uniform(4.0, 6.0, 5)
    near(heat.gap_correction(level, r1, rt), (0.0, 0.01, 0.04)[level] * (r1 / rt) ** 2, tol=1e-12)
    for dia, lam, count, d0 in ((0.004, 50, 5, 0.1), (0.006, 17, 2.5, 0.16), (0.0048, 50, 8, 0.05)):
        area = math.pi * dia**2 / 4
        got = heat.fastener_correction(heat.fastener_section(dia), lam, count, d0, r1, rt)
        near(got, 0.8 * lam * area * count / d0 * (r1 / rt) ** 2, rel=1e-12)
        deep = heat.fastener_correction(heat.fastener_section(dia), lam, count, d0, r1, rt, penetration=0.6 * d0)
        near(deep, 0.8 * 0.6 * lam * area * count / d0 * (r1 / rt) ** 2, rel=1e-12)


@pytest.mark.parametrize(("r0", "r1", "r2"), [(0.4, 2.0, 5.0), (1.0, 0.5, 4.0), (2.2, 1.0, 1.0), (0.3, 0.0, 3.0)])
def test_tapered_layers(r0: float, r1: float, r2: float) -> None:
    # kinds 6946-taper-rect, -tri, -tri3: Gauss quadrature over the shape
    x, w = np.polynomial.legendre.leggauss(60)
    x, w = (x + 1) / 2, w / 2
    near(heat.taper_rectangle(r0, r2), (w / (r0 + r2 * x)).sum(), rel=1e-9)
    near(heat.taper_triangle_thick_apex(r0, r2), (2 * w * (1 - x) / (r0 + r2 * x)).sum(), rel=1e-9)
    near(heat.taper_triangle_thin_apex(r0, r2), (2 * w * x / (r0 + r2 * x)).sum(), rel=1e-9)
    u, v = x[:, None], (1 - x)[:, None] * x[None, :]
    weight = 2 * w[:, None] * w[None, :] * (1 - x)[:, None]
    near(heat.taper_triangle(r0, r1, r2), (weight / (r0 + r1 * u + r2 * v)).sum(), rel=1e-6)


def test_conversions_go_round() -> None:
    # kind ip-si
    x = np.array([0.5, 1.0, 13.0, 49.0])
    near(units.r_si_from_ip(x), x / 5.678263337, rel=1e-8)
    near(units.u_si_from_ip(x), x * 5.678263337, rel=1e-8)
    near(units.r_ip_from_si(units.r_si_from_ip(x)), x, rel=1e-12)
    near(units.conductivity_from_r_per_inch(x), 0.0254 * 5.678263337 / x, rel=1e-8)
    near(units.celsius_from_f(np.array([-40.0, 14.0, 65.0])), [-40, -10, 18.3333333], tol=1e-6)
    near(units.cfm_from_m3_s(units.m3_s_from_cfm(x)), x, rel=1e-12)
    near(units.m3_s_from_cfm(1.0), 0.3048**3 / 60, rel=1e-12)


def network_y(layers: list[tuple[float, float, float, float]], rsi: float, rse: float, period: float) -> Floats:
    """Transfer matrix of thousands of small resistances and capacities in a row."""
    omega, m = 2j * math.pi / (period * 3600), np.eye(2, dtype=complex)
    m = np.array([[1, -rsi], [0, 1]]) @ m
    for d, lam, rho, c in layers:
        n = 1500
        r = d / lam / n if lam else d / n
        half, cap = np.array([[1, -r / 2], [0, 1]]), np.array([[1, 0], [-omega * rho * c * d / n, 1]])
        step = half @ cap @ half if lam else np.array([[1, -r], [0, 1]])
        m = np.linalg.matrix_power(step, n) @ m
    return np.array([[1, -rse], [0, 1]]) @ m


@pytest.mark.parametrize("period", [24.0, 12.0, 168.0])
@pytest.mark.parametrize(
    "layers",
    [
        [(0.1, 0.036, 30, 1450), (0.24, 0.77, 1700, 840)],
        [(0.0125, 0.21, 800, 1000), (0.18, 0.0, 0.0, 0.0), (0.02, 0.12, 500, 1600)],
        [(0.45, 2.0, 2300, 1000)],
    ],
)
def test_dynamic_characteristics(layers: list[tuple[float, float, float, float]], period: float) -> None:
    # kinds 13786-concrete, 13786-knee
    z = network_y(layers, 0.13, 0.04, period)
    d = heat.dynamic(layers, rsi=0.13, rse=0.04, period_h=period)
    u = 1 / (0.17 + sum(x[0] / x[1] if x[1] else x[0] for x in layers))
    near(d.u, u, rel=1e-12)
    near(d.y12, abs(1 / z[0, 1]), rel=2e-4)
    near(d.y11, abs(z[0, 0] / z[0, 1]), rel=2e-4)
    near(d.y22, abs(z[1, 1] / z[0, 1]), rel=2e-4)
    near(d.decrement, abs(1 / z[0, 1]) / u, rel=2e-4)
    late = (-np.angle(-1 / z[0, 1]) % (2 * np.pi)) * period / (2 * np.pi)
    near((d.time_shift_h - late + period / 2) % period, period / 2, tol=0.01)


@pytest.mark.parametrize("number", range(4))
def test_one_step_of_the_simple_hourly_room(number: int) -> None:
    # kind 5r1c: the three equations solved at once, Crank-Nicolson on the mass
    rng = np.random.default_rng(number)
    area, ve, window, opaque = (float(rng.uniform(a, b)) for a, b in ((10, 60), (2, 40), (1, 20), (5, 60)))
    mass_area, mass_cap = area * float(rng.uniform(2.5, 3.5)), area * float(rng.uniform(8e4, 3e5))
    te, supply, was, inner, sun = (
        float(rng.uniform(a, b)) for a, b in ((-15, 25), (-5, 20), (12, 24), (0, 200), (0, 300))
    )
    zone = heat.SimpleZone(area, ve, window, opaque, mass_cap, mass_area)
    step = heat.zone_step(zone, was, te, internal_w=inner, solar_w=sun, supply_c=supply)
    at = 4.5 * area
    h_is, h_ms = 3.45 * at, 9.1 * mass_area
    h_em = 1 / (1 / opaque - 1 / h_ms)
    gain = 0.5 * inner + sun
    to_mass, to_surface = mass_area / at * gain, (1 - mass_area / at - window / 9.1 / at) * gain
    c = mass_cap / 3600
    # unknown: air, surface, mass at the end of the hour; the mean mass stands in the balances
    m = np.array(
        [
            [ve + h_is, -h_is, 0.0],
            [-h_is, h_is + window + h_ms, -h_ms / 2],
            [0.0, -h_ms, c + (h_em + h_ms) / 2],
        ]
    )
    rhs = np.array(
        [
            ve * supply + 0.5 * inner,
            window * te + to_surface + h_ms / 2 * was,
            c * was + h_em * te + to_mass - (h_em + h_ms) / 2 * was,
        ]
    )
    air, surface, mass = np.linalg.solve(m, rhs)
    near([step.air_c, step.surface_c, step.mass_end_c], [air, surface, mass], tol=1e-8)


@pytest.mark.parametrize("number", range(3))
def test_unheated_spaces(number: int) -> None:
    # kinds 13789-eaves, -options
    rng = np.random.default_rng(number)
    h_iu, h_ue, ti, te, gain = (float(rng.uniform(a, b)) for a, b in ((1, 30), (1, 40), (18, 22), (-20, 5), (0, 100)))
    net = buffer.network([buffer.Link("inside", "loft", h_iu), buffer.Link("loft", "outside", h_ue / 3, h_ue * 2 / 3)])
    tu = (h_iu * ti + h_ue * te + gain) / (h_iu + h_ue)
    balance = buffer.steady(net, {"inside": ti, "outside": te}, {"loft": gain})
    near(balance.temperatures["loft"], tu, tol=1e-9)
    near(balance.loss["inside"], h_iu * (ti - tu), tol=1e-9)
    near(buffer.b_factor(h_iu, h_ue), h_ue / (h_iu + h_ue), tol=1e-12)
    near(buffer.unheated_temperature(h_ue / (h_iu + h_ue), ti, te), ti - h_ue / (h_iu + h_ue) * (ti - te), tol=1e-12)
    near(buffer.air_conductance(12.0, 2.5, rho_c_wh=0.33), 12 * 2.5 * 0.33, rel=1e-12)


@pytest.mark.parametrize("base", [5.0, 10.0, 12.7, 15.5, 18.3, 21.0])
def test_degree_days_at_any_base(base: float) -> None:
    # the law against the sum over a fine grid of daily means
    t, sd, sy, days = 4.0, 4.5, 1.8, 30.0
    s = math.hypot(sd, sy)
    x = t + s * np.linspace(-9, 9, 20001)
    weight = np.exp(-0.5 * ((x - t) / s) ** 2)
    want = days * (weight * np.maximum(base - x, 0)).sum() / weight.sum()
    near(climate.heating_degree_days(base, t, sd, days, sy=sy), want, rel=1e-4)
    near(climate.cooling_degree_days(base, t, sd, days, sy=sy), want - days * (base - t), tol=0.02)
    year = climate.bundled_year("boston")
    daily = year.t.reshape(365, 24).mean(axis=1)
    law = climate.monthly_heating(climate.normals_of(year), base).sum()
    near(law, np.maximum(base - daily, 0).sum(), tol=25.0)


@pytest.mark.parametrize(
    ("name", "per_unit_btu", "eff"),
    [("gas_condensing", 1e5, 0.92), ("propane", 91452, 0.9), ("heating_oil", 137381, 0.7), ("wood", 2e7, 0.65),
     ("pellets", 1.65e7, 0.8), ("heat_pump", 3412, 3.1), ("electric_resistance", 3412, 1.0)],
)  # fmt: skip
def test_season_heat_in_units_of_fuel(name: str, per_unit_btu: float, eff: float) -> None:
    # kinds hdd, hdd-si, hdd-save, fuels
    ua, hdd = 310.0, 7200.0
    kwh = season.season_heat(ua * units.W_K_PER_BTU_H_F, hdd * units.KELVIN_PER_F)
    near(kwh, ua * hdd * 24 / 3412.14163, rel=1e-6)
    near(season.units_bought(kwh, season.fuel(name), eff), ua * hdd * 24 / per_unit_btu / eff, rel=1e-6)


@pytest.mark.parametrize(
    ("cdd10", "hdd18", "zone"),
    [(6001, 0, 0), (6000, 100, 1), (5001, 0, 1), (5000, 400, 2), (3501, 900, 2), (3500, 2000, 3), (2500, 2001, 4),
     (2000, 3000, 4), (1500, 3001, 5), (1500, 4000, 5), (1200, 4001, 6), (1000, 5001, 7), (300, 7000, 7),
     (200, 7001, 8)],
)  # fmt: skip
def test_zones_on_both_sides_of_every_limit(cdd10: float, hdd18: float, zone: int) -> None:
    assert int(climate.zone_number(cdd10, hdd18)) == zone
    assert int(climate.zone_number_ip(cdd10 * 1.8, hdd18 * 1.8)) == zone


@pytest.mark.parametrize(
    ("lat", "lon", "height"), [(44.0, -70.5, 30.0), (47.0, 8.0, 1900.0), (60.2, 24.9, 50.0), (39.1, -108.3, 2600.0)]
)
def test_places_between_stations_are_warned_of(lat: float, lon: float, height: float) -> None:
    found = climate.at_position(lat, lon, height)
    rows = [(s, climate.distance_km(lat, lon, s.lat, s.lon)) for s, _, _ in found.stations]
    a, b = (np.radians((lat, lon)), np.radians((found.stations[0][0].lat, found.stations[0][0].lon)))
    arc = math.acos(math.sin(a[0]) * math.sin(b[0]) + math.cos(a[0]) * math.cos(b[0]) * math.cos(a[1] - b[1]))
    near(rows[0][1], 6371.0 * arc, rel=2e-3)
    near([km for _, _, km in found.stations], [km for _, km in rows], tol=0.5)
    nearest, km = rows[0]
    far = km > 50 or abs(nearest.elevation - height) > 150
    assert ("climate.far" in {f.code for f in found.findings}) == far
    weight = [1 / (math.hypot(d, 0.1 * (s.elevation - height)) + 8) ** 2 for s, d in rows]
    near([w for _, w, _ in found.stations], np.array(weight) / sum(weight), tol=0.02)


@pytest.mark.parametrize("area", [10.0, 300.0, 1234.5])
def test_vent_area(area: float) -> None:
    near(heat.vent_area(area, ratio=150), area / 150, rel=1e-12)
    near(heat.vent_area(area, ratio=300), area / 300, rel=1e-12)
    rooms = [("6A", "II", 0.45, 300), ("5A", "II", 0.45, 150), ("7", "III", 0.45, 150), ("8", "I", 0.2, 150)]
    assert [heat.vent_ratio(z, r, s) for z, r, s, _ in rooms] == [want for *_, want in rooms]
