"""A year's energy: monthly against hourly, savings, leaks, comfort, fuel."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.physics.shared import near

from snugbay.base import OutOfRange, Run, UnknownName
from snugbay.physics import air, climate, heat, season

DULUTH = climate.find_place("Duluth, MN")


@cache
def both(name: str) -> tuple[climate.HourlyYear, climate.Climate]:
    year = climate.bundled_year(name)
    return year, climate.climate_of(year)


@pytest.mark.parametrize("name", climate.BUNDLED)
@pytest.mark.parametrize("base", [17.0, 14.0, 12.0, 10.0])
def test_monthly_and_hourly_heating_agree(name: str, base: float) -> None:
    """Limit: 1.5 % of a year's heating, or 50 K·d of it where the climate is warm."""
    year, months = both(name)
    m = season.heating(months, 10.0, base_c=base)
    h = season.heating_hourly(year, 10.0, base_c=base)
    assert abs(float(m.kwh) - float(h.kwh)) <= max(0.015 * float(h.kwh), 0.024 * 10 * 50)


@pytest.mark.parametrize("name", ["boston", "minneapolis", "seattle"])
def test_monthly_and_made_hours_agree(name: str) -> None:
    year, months = both(name)
    made = climate.hourly_year(months, tz=year.tz)
    m, h = season.heating(months, 10.0), season.heating_hourly(made, 10.0)
    assert season.check_agreement(m, h) == ()
    near(m.kwh, h.kwh, rel=0.015)


def test_disagreement_is_a_finding() -> None:
    year, months = both("boston")
    m, h = season.heating(months, 10.0, base_c=14.0), season.heating_hourly(year, 10.0, base_c=17.0)
    assert [f.code for f in season.check_agreement(m, h)] == ["season.monthly-hourly"]


@given(st.floats(1.0, 300.0), st.floats(0.0, 50.0))
def test_more_loss_costs_more(h: float, more: float) -> None:
    assert season.heating(DULUTH, h + more).kwh >= season.heating(DULUTH, h).kwh


def test_a_small_part_counts_by_its_derivative() -> None:
    # d/dH of the house's own need with its gains held: what a small measure saves
    house, gains, step = 200.0, 500.0, 0.5
    up, down = (float(season.house_heating(DULUTH, house + s, gains).kwh) for s in (step, -step))
    base = 20.0 - gains / house
    near((up - down) / (2 * step), season.heating(DULUTH, 1.0, base_c=base).kwh, rel=1e-3)
    # and it is more than degree days to the base would say
    hdd = float(np.sum(climate.monthly_heating(DULUTH.normals, base)))
    assert season.heating(DULUTH, 1.0, base_c=base).kwh > season.season_heat(1.0, hdd) * 1.02


def test_relief_and_monthly_loss() -> None:
    plain = season.heating(DULUTH, 10.0)
    near(season.heating(DULUTH, np.full(12, 10.0)).monthly_kwh, plain.monthly_kwh, rel=1e-12)
    sunny = season.heating(DULUTH, 10.0, relief_w=5.0)
    assert 0 < plain.kwh - sunny.kwh <= 5.0 * 8.766
    many = season.heating(DULUTH, np.array([10.0, 20.0]))
    assert many.monthly_kwh.shape == (2, 12)
    near(many.kwh[1], 2 * many.kwh[0], rel=1e-12)
    assert np.isnan(season.heating(DULUTH, np.nan).kwh)
    with pytest.raises(OutOfRange):
        season.heating(DULUTH, 10.0, set_point_c=20.0, base_c=25.0)


def test_much_free_heat_is_a_finding() -> None:
    found = season.house_heating(DULUTH, 50.0, 600.0).findings
    assert [f.code for f in found] == ["season.much-free-heat"]
    assert season.heating(DULUTH, 50.0).findings == ()


def test_cooling_mirrors_heating() -> None:
    year, months = both("phoenix")
    got = season.cooling(months, 10.0, set_point_c=25.0, base_c=21.0)
    on = season.running_mean(year.t, 24) > 21.0
    want = 0.01 * np.where(on, year.t - 25.0, 0.0).sum()
    near(got.kwh, want, rel=0.04)
    assert season.cooling(months, 10.0, gains_w=50.0).kwh > season.cooling(months, 10.0).kwh
    assert season.cooling(DULUTH, 10.0).kwh < got.kwh
    with pytest.raises(OutOfRange):
        season.cooling(months, 10.0, set_point_c=20.0, base_c=22.0)


def test_running_mean() -> None:
    x = np.arange(10.0)
    near(season.running_mean(x, 1), x)
    got = season.running_mean(x, 3)
    near(got[2:], x[2:] - 1.0)
    near(got[0], (8 + 9 + 0) / 3)
    assert season.running_mean(np.zeros((2, 10)), 4).shape == (2, 10)


def test_years_differ_by_what_the_station_knows() -> None:
    assert 0.02 < season.year_to_year_spread(DULUTH, 17.0) < 0.12
    assert season.year_to_year_spread(both("boston")[1], 17.0) == 0.0


# leaks


@pytest.mark.parametrize("name", ["boston", "fairbanks", "minneapolis", "seattle"])
def test_heat_of_leaks_against_hours(name: str) -> None:
    year, months = both(name)
    q = air.infiltration_basic(0.05, 20.0 - year.t, year.wind)
    on = season.running_mean(year.t, 24) < 17.0
    want = float((air.RHO_C * q * (20.0 - year.t) * on).sum() / 1000)
    near(season.leak_heating(months, season.basic_flow(0.05)).kwh, want, rel=0.03)


def test_leaks_by_the_enhanced_model() -> None:
    c = float(air.house_coefficient(0.05))
    k = air.enhanced_coefficients(1, shielding=3)
    enhanced = season.leak_heating(DULUTH, lambda dt, v: air.infiltration_enhanced(c, dt, v, k))
    basic = season.leak_heating(DULUTH, season.basic_flow(0.05))
    assert 0.5 < float(enhanced.kwh) / float(basic.kwh) < 1.5


def test_sealing_item_by_item() -> None:
    items = [
        season.SealItem("hatch", 30e-4, 18e-4),
        season.SealItem("loose boards, 10 m", 40e-4, 8e-4),
        season.SealItem("loose boards before tight eaves", 40e-4, 8e-4, outer=10e-4),
    ]
    got = season.sealing_value(DULUTH, items, 600e-4)
    hatch, open_, sheltered = got.values
    near(hatch.area, 12e-4, rel=1e-9)
    near(open_.kwh / hatch.kwh, 32 / 12, rel=1e-9)
    assert sheltered.kwh < 0.3 * open_.kwh  # the tight space behind already holds the air
    near(hatch.share, 0.02, rel=1e-9)
    assert hatch.kwh_low < hatch.kwh < hatch.kwh_high
    near(got.house_kwh * hatch.share, hatch.kwh, rel=1e-9)
    assert got.findings == ()


def test_seals_cannot_bring_more_than_the_measured_house_has() -> None:
    items = [season.SealItem("joint", 400e-4, 0.0), season.SealItem("hatch", 400e-4, 0.0)]
    measured = season.sealing_value(DULUTH, items, 500e-4, measured=True)
    near(sum(v.area for v in measured.values), 500e-4, rel=1e-9)
    assert [f.code for f in measured.findings] == ["season.seals-exceed-house"]
    assert measured.values[0].kwh_high <= measured.house_kwh + 1e-9
    with pytest.raises(OutOfRange, match="not lessen"):
        season.sealing_value(DULUTH, [season.SealItem("joint", 1e-4, 2e-4)], 500e-4)
    with pytest.raises(OutOfRange):
        season.sealing_value(DULUTH, items, 0.0)


# comfort


@given(st.floats(0.05, 3.0), st.floats(0.0, 3.0))
def test_insulating_warms_the_inner_face(u: float, more: float) -> None:
    assert season.inner_surface(1 / (1 / u + more), 20.0, -10.0) >= season.inner_surface(u, 20.0, -10.0) - 1e-12


def test_view_factors() -> None:
    # a wall that fills half the world is seen with 1; a square of side 2 at distance 1, centred: 0.5541 (catalogue)
    near(season.view_factor_centred(1e6, 1e6, 1.0), 1.0, tol=1e-5)
    near(season.view_factor_centred(2.0, 2.0, 1.0), 4 * (1 / np.sqrt(2) * np.arctan(1 / np.sqrt(2))) / np.pi, rel=1e-12)
    quad = 0.0  # by summing cosθ₁·cosθ₂/(π·r²) over the square
    s = (np.arange(400) + 0.5) / 400 * 2 - 1
    x, y = np.meshgrid(s, s)
    quad = float((1 / (np.pi * (1 + x**2 + y**2) ** 2)).sum() * (2 / 400) ** 2)
    near(season.view_factor_centred(2.0, 2.0, 1.0), quad, rel=1e-4)
    with pytest.raises(OutOfRange):
        season.view_factor_centred(1.0, 1.0, 0.0)


def test_radiant_asymmetry_and_people() -> None:
    near(season.radiant_asymmetry(0.5, 10.0, 20.0), 5.0)
    # ISO 7730 (from memory): at the limits of category A/B about one in twenty is displeased
    for side, limit in season.LIMITS_K.items():
        share = float(season.displeased(limit, side))  # type: ignore[arg-type]
        assert 0.03 < share < 0.07, side
    grid = np.linspace(0, 14, 50)
    assert np.all(np.diff(season.displeased(grid, "cool wall")) >= 0)
    assert [f.code for f in season.check_comfort(14.0, 20.0, 12.0, "cool wall")] == [
        "comfort.asymmetry",
        "comfort.cold-surface",
    ]
    assert season.check_comfort(18.0, 20.0, 2.0, "cool wall") == ()
    near(season.operative_temperature(20.0, season.mean_radiant(np.array([3.0, 1.0]), np.array([20.0, 12.0]))), 19.0)
    with pytest.raises(OutOfRange):
        season.displeased(5.0, "window")  # type: ignore[arg-type]


# fuel


def test_money_and_carbon() -> None:
    oil = season.fuel("heating_oil")
    near(season.units_bought(1000.0, oil), 1000 / oil.efficiency / oil.kwh_per_unit, rel=1e-12)
    near(season.cost(1000.0, 3.7, oil), 3.7 * season.units_bought(1000.0, oil), rel=1e-12)
    near(season.carbon_kg(1000.0, oil, 1.0), 250.0, rel=1e-9)  # the fuels table of the materials
    assert season.units_bought(1000.0, season.fuel("heat_pump")) < season.units_bought(
        1000.0, season.fuel("electric_resistance")
    )
    with pytest.raises(UnknownName, match="heating_oil"):
        season.fuel("oil")
    with pytest.raises(OutOfRange):
        season.delivered_kwh(100.0, 0.0)
    for f in season.fuels().values():
        assert f.efficiency_low <= f.efficiency <= f.efficiency_high


# spread


def test_band_of_a_year() -> None:
    gas = season.fuel("gas_old")
    band = season.heating_band(DULUTH, 10.0, gas, 1.45, Run(seed=7))
    assert band == season.heating_band(DULUTH, 10.0, gas, 1.45, Run(seed=7))
    assert band != season.heating_band(DULUTH, 10.0, gas, 1.45, Run(seed=8))
    for b in (band.kwh, band.money, band.carbon_kg):
        assert b.p10 < b.p50 < b.p90
    plain = season.heating(DULUTH, 10.0)
    near(band.kwh.p50, plain.kwh, rel=0.03)
    near(band.money.p50, season.cost(plain.kwh, 1.45, gas), rel=0.05)
    sure = season.heating_band(
        climate.climate_of(both("boston")[0]),
        10.0,
        season.fuel("electric_resistance"),
        0.17,
        Run(),
        set_point_sd_k=0.0,
        free_heat_sd_k=0.0,
        loss_sd=0.0,
        price_sd=0.0,
        draws=50,
    )
    near([sure.kwh.p10, sure.kwh.p90], [season.heating(both("boston")[1], 10.0).kwh] * 2, rel=1e-9)
    with pytest.raises(OutOfRange):
        season.heating_band(DULUTH, 10.0, gas, 1.45, Run(), loss_sd=-0.1)


def test_asymmetry_beyond_the_law_is_said() -> None:
    assert "comfort.beyond-law" in {f.code for f in season.check_comfort(0.0, 20.0, 18.0, "cool wall")}


@pytest.mark.parametrize("place", ["Duluth, MN", "Boston, MA", "Seattle, WA", "Berlin, DE", "Oslo, NO"])
def test_many_years_and_one_middle_year(place: str) -> None:
    """Stations of many years: the monthly law holds their spread between years, made hours are one middle year."""
    here = climate.find_place(place)
    near(season.heating(here, 10.0).kwh, season.heating_hourly(climate.hourly_year(here), 10.0).kwh, rel=0.015)


def test_months_against_a_room_hour_by_hour() -> None:
    """A house of one room with mass, stepped 8,760 times, against degree days: 0.5 % is the limit."""
    year, months = both("minneapolis")
    room = heat.SimpleZone(100.0, 40.0, 30.0, 110.0, 165e3 * 100, 250.0)

    def run(temps: np.ndarray, gains: float) -> float:
        mass, total = 20.0, 0.0
        for te in temps:
            q = max(float(heat.zone_need(room, mass, float(te), 20.0, internal_w=gains)), 0.0)
            mass = float(heat.zone_step(room, mass, float(te), internal_w=gains, heating_w=q).mass_end_c)
            total += q / 1000
        return total

    still = np.zeros(2000)
    loss = (run(still, 0.0) - run(still[:1000], 0.0)) / 20.0  # W/K, settled
    gain = loss * 20.0 - (run(still, 400.0) - run(still[:1000], 400.0))  # what of the gains reaches the need
    hourly = run(np.concatenate([year.t[-240:], year.t]), 400.0) - run(year.t[-240:], 400.0)
    near(season.house_heating(months, loss, gain).kwh, hourly, rel=0.005)
