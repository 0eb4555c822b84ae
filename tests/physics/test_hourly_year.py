"""Hours made from months, against hourly typical years; the sun; files of the user."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pvlib
import pytest
from tests.physics.shared import near
from tests.said import said

from snugbay.base import DataError, UnknownName
from snugbay.physics import climate


@cache
def pair(name: str) -> tuple[climate.HourlyYear, climate.HourlyYear]:
    """A typical year, and the year made from its own months."""
    year = climate.bundled_year(name)
    return year, climate.hourly_year(climate.climate_of(year), tz=year.tz)


def hdd(year: climate.HourlyYear, base: float) -> float:
    return float(np.maximum(base - year.t.reshape(365, 24).mean(axis=1), 0.0).sum())


@pytest.mark.parametrize("name", climate.BUNDLED)
def test_months_are_kept_to_the_letter(name: str) -> None:
    year, made = pair(name)
    want, got = climate.normals_of(year), climate.normals_of(made)
    near(got.t, want.t, tol=0.01)
    near(got.sd, want.sd, tol=0.01)
    near(got.e, want.e, tol=0.01)
    near(got.ghi, want.ghi, rel=0.002)
    near(got.wind, want.wind, rel=1e-9)
    near(got.tx - got.tn, want.tx - want.tn, rel=0.2)
    assert np.all(made.dew_point <= made.t + 1e-9)
    assert np.all((made.dhi >= 0) & (made.dhi <= made.ghi + 1e-9))


def test_made_years_against_typical_years() -> None:
    """Stated RMSE over 1,006 years: HDD 10, 9, 8 K·d at 10, 15, 18.3; hours under 9.3 °C 99; Td over 13 °C 161."""
    gaps = []
    for name in climate.BUNDLED:
        year, made = pair(name)
        gaps.append(
            [
                *(hdd(made, b) - hdd(year, b) for b in (10.0, 15.0, 18.3)),
                (made.t < 9.3).sum() - (year.t < 9.3).sum(),
                (made.dew_point > 13).sum() - (year.dew_point > 13).sum(),
                *(np.quantile(made.t, q) - np.quantile(year.t, q) for q in (0.01, 0.99)),
            ]
        )
    rmse = np.sqrt(np.mean(np.square(gaps), axis=0))
    assert np.all(rmse <= [10, 9, 10, 110, 240, 1.3, 0.8]), rmse


@pytest.mark.parametrize(
    ("file", "actual", "made"),
    [
        # other hourly years with the stated method: HDD 10, 15, 18.3, hours under 9.3 °C, hours of dew point over 13 °C
        ("723170TYA.CSV", (767, 1499, 2146, 2648, 3613), (773, 1492, 2148, 2604, 3456)),
        ("703165TY.csv", (2165, 3862, 5066, 7002, 0), (2163, 3861, 5066, 6826, 0)),
    ],
)
def test_two_other_years(file: str, actual: tuple[int, ...], made: tuple[int, ...]) -> None:
    path = Path(pvlib.__file__).parent / "data" / file
    if not path.exists():
        pytest.skip("pvlib ships without its sample years here")
    year = climate.read_weather(path.read_text(encoding="iso-8859-1"), "tmy3")
    ours = climate.hourly_year(climate.climate_of(year), tz=year.tz)
    for y, want in ((year, actual), (ours, made)):
        near([hdd(y, b) for b in (10.0, 15.0, 18.3)], want[:3], tol=5.0)
        near((y.t < 9.3).sum(), want[3], tol=60)
        near((y.dew_point > 13).sum(), want[4], tol=120)
    near([hdd(year, b) for b in (10.0, 15.0, 18.3)], actual[:3], tol=0.6)


def test_the_seed_moves_days_not_sums() -> None:
    place = climate.find_place("Duluth, MN")
    a, b, again = (climate.hourly_year(place, seed=s) for s in (1, 2, 1))
    assert np.array_equal(a.t, again.t)
    assert not np.array_equal(a.t, b.t)
    near(hdd(a, 18.3), hdd(b, 18.3), rel=0.002)


def test_a_place_without_sun_says_so() -> None:
    t = np.array([-6, -4, 2, 9, 15, 20, 23, 22, 18, 11, 5, -2.0])
    year = climate.hourly_year(climate.from_months(t))
    assert year.ghi.sum() == 0.0
    assert "climate.no-sun" in {f.code for f in year.findings}


# the sun


def test_extraterrestrial_radiation() -> None:
    # Duffie and Beckman, example 1.10.1: 43° N, 15 April, 33.8 MJ/m²
    near(climate.extraterrestrial_daily(43.0, 105.0) * 3.6, 33.8, rel=0.01)
    near(np.degrees(climate.declination(np.array([172.0, 355.0]))), [23.45, -23.45], tol=0.1)
    assert climate.extraterrestrial_daily(75.0, 355.0) == 0.0


def test_sun_path_against_an_ephemeris() -> None:
    import pandas as pd

    path = climate.sun_path(44.88, -93.23, -6.0)
    times = pd.date_range("2023-01-01 00:30", periods=8760, freq="h", tz="Etc/GMT+6")
    want = pvlib.solarposition.get_solarposition(times, 44.88, -93.23)
    up = want["elevation"].to_numpy() > 5
    got = np.degrees(np.arcsin(path.sin_height))
    assert np.max(np.abs(got - want["elevation"].to_numpy())[up]) < 0.6
    turn = np.degrees(path.azimuth)[up] - want["azimuth"].to_numpy()[up]
    assert np.max(np.abs((turn + 180) % 360 - 180)) < 1.5


def test_sun_on_planes() -> None:
    year, _ = pair("minneapolis")
    level = climate.on_plane(year.ghi, year.dhi, year.path, slope_deg=0, azimuth_deg=180)
    near(level, year.ghi, tol=35.0)  # the beam is left out while the sun is within half a degree of the horizon
    near(level.sum(), year.ghi.sum(), rel=1e-3)
    south, north = (climate.on_plane(year.ghi, year.dhi, year.path, slope_deg=45, azimuth_deg=a) for a in (180, 0))
    assert south.sum() > level.sum() > north.sum()
    east, west = (climate.on_plane(year.ghi, year.dhi, year.path, slope_deg=90, azimuth_deg=a) for a in (90, 270))
    morning = np.arange(8760) % 24 < 11
    assert east[morning].sum() > west[morning].sum()
    near(climate.sol_air_excess(800.0, absorptance=0.85), 27.2, rel=1e-9)


def test_sloping_sun_against_another_model() -> None:
    year, _ = pair("seattle")
    path = year.path
    zenith = np.degrees(np.arccos(np.clip(path.sin_height, -1, 1)))
    azimuth = np.degrees(path.azimuth)
    with np.errstate(divide="ignore", invalid="ignore"):
        dni = np.where(path.sin_height > 0.05, (year.ghi - year.dhi) / path.sin_height, 0.0)
        extra = np.where(path.sin_height > 0, path.extraterrestrial / path.sin_height, 1367.0)
        want = pvlib.irradiance.get_total_irradiance(
            45, 180, zenith, azimuth, dni, year.ghi, year.dhi, dni_extra=extra, albedo=0.2, model="haydavies"
        )["poa_global"]
    got = climate.on_plane(year.ghi, year.dhi, path, slope_deg=45, azimuth_deg=180)
    near(got.sum(), np.nansum(want), rel=0.015)


# files


def epw(hours: int = 8760, gap: range = range(0)) -> str:
    head = [
        "LOCATION,Invented Town,ST,XX,made,000000,45.0,-93.0,-6.0,250.0",
        "DESIGN CONDITIONS,0",
        "TYPICAL/EXTREME PERIODS,0",
        "GROUND TEMPERATURES,0",
        "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0",
        "COMMENTS 1,made for a test",
        "COMMENTS 2,",
        "DATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31",
    ]
    days = np.repeat([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31], 1)
    stamps = [(m + 1, d + 1, h + 1) for m in range(12) for d in range(days[m]) for h in range(24)][:hours]
    rows = []
    for k, (m, d, h) in enumerate(stamps):
        t = 99.9 if k in gap else round(10 - 15 * np.cos(2 * np.pi * k / 8760), 1)
        sun = 300 if 8 <= h <= 16 else 0
        rows.append(
            f"2001,{m},{d},{h},0,?9?9,{t},2.0,60,99000,0,0,300,{sun},0,{sun // 2},0,0,0,0,200,3.5,"
            "5,5,10,1000,0,0,10,0.1,0,0,0.2,0,0"
        )
    return "\n".join([*head, *rows]) + "\n"


def test_epw_file() -> None:
    year = climate.read_weather(epw(), "epw")
    assert (year.name, year.lat, year.lon, year.tz, year.elevation) == ("Invented Town", 45.0, -93.0, -6.0, 250.0)
    near(year.t[[0, 4380]], [-5.0, 25.0], tol=0.05)
    near([year.ghi[11], year.dhi[11], year.wind[0]], [300, 150, 3.5])
    place = climate.climate_of(year)
    assert place.method == "file"
    near(place.normals.t.mean(), 10.0, tol=0.3)


def test_gaps_in_a_file_are_closed_and_said() -> None:
    year = climate.read_weather(epw(gap=range(100, 110)), "epw")
    assert [f.code for f in year.findings] == ["climate.gaps"]
    assert np.all(np.isfinite(year.t))
    with pytest.raises(DataError, match="missing"):
        climate.read_weather(epw(gap=range(1000)), "epw")


def test_files_that_cannot_be_read() -> None:
    with pytest.raises(DataError, match="hours, not a year"):
        climate.read_weather(epw(100), "epw")
    with pytest.raises(DataError, match="cannot be read") as error:
        climate.read_weather("this is no weather", "epw")
    assert error.value.where == ("place", "weather")
    with pytest.raises(DataError, match="no reader"):
        climate.read_weather("", "csv")  # type: ignore[arg-type]
    with pytest.raises(UnknownName, match="boston"):
        climate.bundled_year("Springfield")


def test_too_much_sun_is_capped_and_said() -> None:
    t = np.array([-6, -4, 2, 9, 15, 20, 23, 22, 18, 11, 5, -2.0])
    place = climate.from_months(t, ghi=[2, 3, 4, 5, 6, 12.5, 6, 5, 4, 3, 2, 1.5], lat=45.0)
    year = climate.hourly_year(place)
    (finding,) = (f for f in year.findings if f.code == "climate.sun-capped")
    assert "Jun" in said(finding)
    near(climate.normals_of(year).ghi[0], 2.0, rel=0.002)
    assert climate.normals_of(year).ghi[5] < 12.5


def test_the_day_shape_is_that_of_the_bundled_years() -> None:
    from snugbay.physics.climate import design, hourly

    shapes, within = [], []
    for name in climate.BUNDLED:
        days = climate.bundled_year(name).t.reshape(365, 24)
        for m in range(12):
            here = days[np.equal(hourly.MONTH_OF_DAY, m)]
            reach = (here.max(axis=1) - here.min(axis=1)).mean()
            shapes.append((here.mean(axis=0) - here.mean()) / reach)
            within.append(np.sqrt((here.std(axis=1) ** 2).mean()) / reach)
    near(design.DAY_SHAPE, np.mean(shapes, axis=0), tol=0.0006)
    near(hourly.WITHIN_DAY, np.mean(within), tol=0.003)
