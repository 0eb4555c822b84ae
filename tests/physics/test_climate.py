"""Climate: bundled tables, places, degree days, humidity, zones."""

from __future__ import annotations

import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.physics.shared import near

from snugbay.base import OutOfRange, UnknownName
from snugbay.base.facts import Name
from snugbay.physics import climate, moisture
from snugbay.physics._tables import rows_of
from snugbay.physics.climate import place_rows, places
from snugbay.physics.climate.stations import region_names

T12 = np.array([-6, -4, 2, 9, 15, 20, 23, 22, 18, 11, 5, -2.0])


def test_tables_belong_together() -> None:
    table = climate.station_table()
    assert len(table.stations) == 3193
    assert table.months.shape == (3193, 12, 9)
    assert len(climate.place_rows()) > 12_000
    assert {p.country for p in climate.place_rows()} <= {country for _, country in region_names()}
    t, tx, tn = (table.months[:, :, k] for k in range(3))
    assert np.all((tn <= t + 0.05) & (t <= tx + 0.05))
    assert np.all((t > -65) & (t < 45))


# Typed a second time from the source tables: station, month, t, tx, tn, sd, sy, e, r, ghi, ws.
ROWS = [
    ("72509", 1, [-0.9, 2.9, -4.7, 5.2, 2.5, 4.1, 75, 1.79, 5.8]),
    ("72509", 7, [23.7, 28.0, 19.3, 3.0, 1.2, 19.3, 103, 6.07, 5.0]),
    ("72745", 1, [-11.3, -6.8, -15.8, 6.8, 3.2, 2.5, 21, 1.64, 5.1]),
    ("10384", 7, [20.4, 25.6, 15.4, 3.1, 1.7, 15.0, 78, 5.28, 3.5]),
    ("01114", 3, [0.1, 3.8, -3.7, 3.3, 2.2, 4.7, 141, 1.41, 4.3]),
    ("T724837", 1, [8.3, 14.8, 2.5, 2.6, 0.0, 7.5, np.nan, 1.86, 1.7]),
]


@pytest.mark.parametrize(("station", "month", "row"), ROWS)
def test_rows_entered_a_second_time(station: str, month: int, row: list[float]) -> None:
    n = climate.at_station(station).normals
    got = [float(v[month - 1]) for v in (n.t, n.tx, n.tn, n.sd, n.sy, n.e, n.rain, n.ghi, n.wind)]
    np.testing.assert_array_equal(got, row)


def test_station_entered_a_second_time() -> None:
    berlin = climate.at_station("10384")
    assert (berlin.name, berlin.lat, berlin.lon, berlin.elevation) == ("Berlin-Tempelhof", 52.47, 13.40, 49)
    d = berlin.design
    assert (d.heating_996, d.heating_99, d.cooling_1, d.cooling_04) == (-8.8, -7.2, 29.0, 30.6)


def test_degree_days_reproduce_the_table() -> None:
    # the table sums year by year, so a tenth of a per cent is between them
    table, rows = climate.station_table(), rows_of("climate", "stations.csv.gz")
    for k in range(0, 3193, 97):
        n = table.normals(k)
        got = [float(np.sum(climate.monthly_heating(n, b))) for b in (18.3, 15.5, 10.0)]
        near(got, [float(rows[k][c]) for c in ("hdd18", "hdd15", "hdd10")], tol=25.0, rel=0.004)
        near(np.sum(climate.monthly_cooling(n, 10.0)), float(rows[k]["cdd10"]), tol=25.0, rel=0.004)


def test_degree_day_law_check_values() -> None:
    # stated with the method: t = b, s = 5, N = 30 -> 59.84; twelve means -> 3693
    near(climate.heating_degree_days(12.0, 12.0, 5.0, 30), 59.84, tol=0.005)
    near(climate.heating_degree_days(18.3, T12, 5.0).sum(), 3693, tol=0.6)


def test_monthly_means_law_check_values() -> None:
    # stated with the method: σ_yr 10.38, σ_Jan 2.313, January 753.5, year 3678
    near(climate.monthly_sigma(T12)[0], 2.313, tol=0.0005)
    months = climate.heating_degree_days_from_means(18.3, T12)
    near(months[0], 753.5, tol=0.05)
    near(months.sum(), 3678, tol=0.5)
    spread = climate.daily_spread_from_means(T12)
    near(climate.heating_degree_days(18.3, T12, spread).sum(), months.sum(), rel=0.01)


@given(st.floats(-20, 30), st.floats(-30, 35), st.floats(0, 8), st.floats(0, 3))
def test_heating_less_cooling_is_the_mean_gap(base: float, t: float, sd: float, sy: float) -> None:
    hdd = climate.heating_degree_days(base, t, sd, 30.0, sy=sy)
    cdd = climate.cooling_degree_days(base, t, sd, 30.0, sy=sy)
    near(hdd - cdd, 30.0 * (base - t), tol=1e-9)
    assert hdd >= max(30.0 * (base - t), 0.0) - 1e-9
    assert climate.heating_degree_days(base + 1, t, sd, 30.0, sy=sy) >= hdd


def test_degree_days_take_arrays_and_nan() -> None:
    n = climate.at_station("72509").normals
    both = climate.monthly_heating(n, np.array([18.3, 10.0]))
    assert both.shape == (2, 12)
    near(both[1], climate.monthly_heating(n, 10.0), rel=1e-14)
    assert np.isnan(climate.heating_degree_days(18.0, np.nan, 3.0, 30.0))
    assert np.isnan(climate.heating_degree_days(18.0, np.nan, 0.0, 30.0))
    with pytest.raises(OutOfRange):
        climate.heating_degree_days(18.0, 5.0, -1.0, 30.0)
    near(climate.degree_days_from_series(18.0, np.array([8.0, 20.0])), 10.0)
    near(climate.degree_days_from_series(18.0, np.array([8.0, 20.0]), cooling=True, step_hours=1.0), 2 / 24, rel=1e-12)


def test_humidity_check_values() -> None:
    near(climate.saturation_hpa(20.0), 23.326, tol=0.0005)
    near(climate.dew_point_from_hpa(10.0), 6.99, tol=0.005)
    rh = climate.mean_relative_humidity(climate.at_station("72509").normals)
    assert np.all((rh > 0.5) & (rh < 0.85))


def test_vapour_over_saturation_is_capped_and_said() -> None:
    table = climate.station_table()
    over = np.flatnonzero((table.months[:, :, 5] > climate.saturation_hpa(table.months[:, :, 0])).any(axis=1))
    assert over.size > 50
    n = table.normals(int(over[0]))
    pressure, found = climate.vapour_pressure_capped(n)
    assert np.all(pressure <= 100 * np.asarray(climate.saturation_hpa(n.t)) + 1e-9)
    cold = n.t < 0
    assert np.all(pressure[cold] <= 1.005 * np.asarray(moisture.saturation_pressure(n.t))[cold])
    assert [f.code for f in found] == ["climate.vapour-capped"]
    assert climate.vapour_pressure_capped(climate.at_station("72509").normals)[1] == ()


def test_places_by_name() -> None:
    assert climate.find_place("chicago").name == "Chicago, IL, US"
    assert climate.find_place("Zurich, CH").name == climate.find_place("Zürich").name
    assert climate.find_place("Kobenhavn").name == "København, DK"
    assert climate.find_place("Portland, OR").zone == "4C"
    with pytest.raises(UnknownName, match="Springfield, IL, US") as several:
        climate.find_place("Springfield")
    assert several.value.where == ("place", "climate")
    with pytest.raises(UnknownName, match="Boston, MA, US"):
        climate.find_place("Bostn")
    with pytest.raises(UnknownName):
        climate.find_place(" , ")
    assert climate.find_place("72745").method == "station"
    assert "Duluth, MN, US" in climate.search_places("dulu")


@pytest.mark.parametrize(
    "name",
    [
        "Glasgow",
        "Manchester",
        "Birmingham",
        "Plymouth",
        "Durham",
        "Newcastle",
        "London",
        "Boston",
        "Dublin",
        "Portland",
    ],
)
def test_a_name_of_several_places_is_asked_about_and_each_choice_can_be_written(name: str) -> None:
    with pytest.raises(UnknownName, match="places") as asked:
        climate.find_place(name)
    choices = re.findall(r'"([^"]+)" \(', asked.value.hint)
    assert len(choices) > 1
    found = [climate.find_place(c) for c in choices]
    assert len({(round(f.lat, 1), round(f.lon, 1)) for f in found}) == len(choices)


def test_states_and_countries_may_be_written_out() -> None:
    assert climate.find_place("Glasgow, Scotland").name == "Glasgow, SCT, GB"
    assert climate.find_place("Glasgow, Montana").stations[0][0].state == "MT"
    assert climate.find_place("Manchester, UK").name == "Manchester, ENG, GB"
    assert climate.find_place("London, Ontario").name == "London, ON, CA"


@pytest.mark.parametrize("name", ["New York", "Winnipeg", "Montreal", "Copenhagen", "Cardiff", "Calgary", "Wien"])
def test_large_cities_are_known_although_no_station_is_near(name: str) -> None:
    assert climate.find_place(name).stations


def test_a_position_is_a_place() -> None:
    found = climate.find_place("48.8, -120.1")
    assert (found.lat, found.lon) == (48.8, -120.1)
    # Washington State, in the lee of the Cascades: a January round freezing, no Sahara and no Siberia
    assert -8.0 < found.normals.t[0] < 4.0
    with pytest.raises(OutOfRange) as wrong:
        climate.find_place("95, 0")
    assert wrong.value.where == ("place", "climate")
    with pytest.raises(OutOfRange, match="twelve monthly values"):
        climate.find_place("-50, -120")


def test_every_city_of_the_table_is_found_or_told_why_not() -> None:
    table, rows = climate.station_table(), place_rows()
    lat, lon = np.radians([[p.lat, p.lon] for p in rows]).T
    here = np.stack([np.cos(lat) * np.cos(lon), np.cos(lat) * np.sin(lon), np.sin(lat)])
    a, b = np.radians(table.lat), np.radians(table.lon)
    there = np.stack([np.cos(a) * np.cos(b), np.cos(a) * np.sin(b), np.sin(a)])
    km = places.EARTH_KM * np.arccos(np.clip((here.T @ there).max(axis=1), -1, 1))
    # countries with a station of their own: most of their cities are near one
    own = {s.country for s in table.stations}
    within = np.array([k <= places.WITHIN_KM for k, p in zip(km, rows, strict=True) if p.country in own])
    assert within.mean() > 0.95
    for p, k in list(zip(rows, km, strict=True))[::400]:
        if k <= places.WITHIN_KM:
            assert climate.find_place(f"{p.lat}, {p.lon}").stations
        else:
            with pytest.raises(OutOfRange, match="km away"):
                climate.find_place(f"{p.lat}, {p.lon}")


def test_the_place_is_told_with_its_country_station_and_january() -> None:
    (told,) = (f for f in climate.find_place("Glasgow, MT").findings if f.code == "climate.station")
    assert told.fact("region") == Name("Montana, United States")
    assert told.figure("january") < -5.0  # the plains of Montana, not the Clyde
    (told,) = (f for f in climate.find_place("Glasgow, GB").findings if f.code == "climate.place")
    assert told.fact("region") == Name("United Kingdom")
    assert told.figure("distance") > 50e3
    assert told.figure("january") > 1.0


ZONES = """
Miami FL 1A;Houston TX 2A;Phoenix AZ 2B;Tucson AZ 2B;Orlando FL 2A;New Orleans LA 2A;Austin TX 2A;San Antonio TX 2A;
Tampa FL 2A;Jacksonville FL 2A;Atlanta GA 3A;Dallas TX 3A;Memphis TN 3A;Las Vegas NV 3B;El Paso TX 3B;
Los Angeles CA 3B;San Diego CA 3B;San Francisco CA 3C;Birmingham AL 3A;Charlotte NC 3A;Oklahoma City OK 3A;
Little Rock AR 3A;Sacramento CA 3B;Fresno CA 3B;Columbia SC 3A;Baltimore MD 4A;Washington DC 4A;St. Louis MO 4A;
Louisville KY 4A;Richmond VA 4A;Philadelphia PA 4A;Kansas City MO 4A;New York NY 4A;Seattle WA 4C;Portland OR 4C;
Albuquerque NM 4B;Amarillo TX 4B;Boston MA 5A;Chicago IL 5A;Denver CO 5B;Salt Lake City UT 5B;Boise ID 5B;
Pittsburgh PA 5A;Detroit MI 5A;Cleveland OH 5A;Indianapolis IN 5A;Omaha NE 5A;Des Moines IA 5A;Buffalo NY 5A;
Albany NY 5A;Providence RI 5A;Spokane WA 5B;Reno NV 5B;Colorado Springs CO 5B;Minneapolis MN 6A;Milwaukee WI 6A;
Burlington VT 6A;Portland ME 6A;Helena MT 6B;Billings MT 6B;Great Falls MT 6B;Sioux Falls SD 6A;Concord NH 6A;
Duluth MN 7;Fargo ND 7;Bismarck ND 7;Fairbanks AK 8;Anchorage AK 7
"""
"""Zones of the model code's table by county (IECC 2018 figure R301.1 and table, ASHRAE 169), from memory."""


def test_zones_of_known_cities() -> None:
    rows = [row.split() for row in ZONES.replace("\n", "").split(";")]
    assert len(rows) >= 60
    found = {tuple(r): climate.find_place(f"{' '.join(r[:-2])}, {r[-2]}, US").zone for r in rows}
    apart = [int(found[tuple(r)][0]) - int(r[-1][0]) for r in rows]
    assert set(apart) <= {-1, 0, 1}
    assert sum(a == 0 for a in apart) >= 60  # 53 without the decades' difference; 50 °F and 65 °F in both
    assert sum(a < 0 for a in apart) <= 7  # too warm: the unsafe side


def test_far_places_are_warned_of() -> None:
    # several large Canadian cities are not among the stations
    montreal = climate.at_position(45.5, -73.6)
    codes = {f.code: f for f in montreal.findings}
    assert codes["climate.far"].figure("away") > 50_000
    high = climate.at_position(42.36, -71.01, 600.0)
    low = climate.at_position(42.36, -71.01, 9.0)
    assert "climate.far" in {f.code for f in high.findings}
    assert "climate.far" not in {f.code for f in low.findings}
    near(low.normals.t - high.normals.t, [0.0055 * 591] * 12, tol=1.5)  # other stations weigh in as well
    near(low.normals.t, climate.at_station("72509").normals.t, tol=0.4)
    with pytest.raises(OutOfRange, match="km away"):
        climate.at_position(-50.0, -120.0)
    with pytest.raises(OutOfRange):
        climate.at_position(95.0, 0.0)


def test_weights_sum_to_one_and_sources_are_shown() -> None:
    place = climate.at_position(52.5, 13.4)
    near(sum(w for _, w, _ in place.stations), 1.0, tol=1e-12)
    assert len(place.stations) == 5
    assert any("Deutscher Wetterdienst" in line for line in place.attribution)
    assert any("GeoNames" in line for line in place.attribution)


def test_interpolation_without_the_station_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave-one-out on Europe: stated mean temperature RMSE 0.6 K, degree days median 2.9 %."""
    from snugbay.physics.climate import places

    table = climate.station_table()
    europe = [
        k
        for k, s in enumerate(table.stations)
        if s.source == "C" and 40 < s.lat < 60 and -8 < s.lon < 22 and s.elevation < 800
    ][::6]
    errors, shares = [], []
    whole = places.distance_km
    for k in europe:
        s = table.stations[k]

        def without(lat: float, lon: float, lats: np.ndarray, lons: np.ndarray, k: int = k) -> np.ndarray:
            d = whole(lat, lon, lats, lons)
            d[k] = 1e6
            return np.asarray(d)

        monkeypatch.setattr(places, "distance_km", without)
        got = climate.at_position(s.lat, s.lon, s.elevation).normals
        own = table.normals(k)
        errors.append(float((got.t - own.t).mean()))
        hdd = [float(np.sum(climate.monthly_heating(n, 18.3))) for n in (got, own)]
        shares.append(abs(hdd[0] / hdd[1] - 1))
    assert len(errors) > 50
    assert np.sqrt(np.mean(np.square(errors))) < 0.9
    assert np.median(shares) < 0.04


def test_zones_are_those_of_the_degree_days_of_the_table() -> None:
    # columns cdd10 and hdd18 of the table, to 10.0 and 18.3 °C, reckoned by its maker from daily values
    table, rows = climate.station_table(), rows_of("climate", "stations.csv.gz")
    picked = range(0, 3193, 31)
    same = sum(
        climate.zone_of(table.normals(k), table.stations[k].lat)[0]
        == str(int(climate.zone_number(float(rows[k]["cdd10"]), float(rows[k]["hdd18"]))))
        for k in picked
    )
    assert same / len(picked) > 0.95  # the rest stand within a few degree days of a limit
    assert np.isnan(climate.zone_number(np.nan, 3000.0))


def test_moisture_letters() -> None:
    # marine, dry, moist
    mild = np.array([5, 6, 7, 10, 12, 15, 17, 17, 15, 11, 7, 5.0])
    wet_winter = np.array([150, 120, 100, 60, 50, 40, 20, 25, 40, 90, 150, 160.0])
    assert climate.moisture_letter(mild, wet_winter, 47.0) == "C"
    assert climate.moisture_letter(T12, np.full(12, 15.0), 40.0) == "B"
    assert climate.moisture_letter(T12, np.full(12, 90.0), 40.0) == "A"
    assert climate.moisture_letter(T12, np.full(12, np.nan), 40.0) == "A"


def test_design_temperatures_are_near_the_tables() -> None:
    table = climate.station_table()
    picked = [k for k, s in enumerate(table.stations) if s.source == "C"][::60]
    gaps = []
    for k in picked:
        d = climate.design_from_normals(table.normals(k))
        gaps.append(np.array([d.heating_996, d.heating_99, d.cooling_1, d.cooling_04]) - table.design[k])
    assert np.max(np.abs(gaps)) < 0.6
    assert climate.at_station("72509").design.estimated


def test_the_user_overwrites_estimates() -> None:
    place = climate.find_place("Duluth, MN")
    mine = climate.with_zone(climate.with_design(place, heating_99=-26.0), "7")
    assert mine.design.heating_99 == -26.0
    assert not mine.design.estimated
    assert mine.zone == "7"
    assert "climate.design-estimated" in {f.code for f in place.findings}
    assert "climate.design-estimated" not in {f.code for f in mine.findings}


def test_twelve_values_of_the_user() -> None:
    place = climate.from_months(T12, relative_humidity=np.full(12, 0.8))
    assert place.method == "months given"
    assert {"climate.spread-estimated", "climate.wind-assumed"} <= {f.code for f in place.findings}
    near(np.sum(climate.monthly_heating(place.normals, 18.3)), 3678, rel=0.01)
    assert "climate.humidity-assumed" in {f.code for f in climate.from_months(T12).findings}
    with pytest.raises(OutOfRange, match="not twelve"):
        climate.from_months(T12[:11])
    with pytest.raises(OutOfRange):
        climate.from_months(T12, relative_humidity=np.full(12, 80.0))
    assert place.design.heating_996 < place.design.heating_99 < place.design.cooling_1 < place.design.cooling_04


def test_monthly_values_cannot_be_changed() -> None:
    n = climate.at_station("72509").normals
    with pytest.raises(ValueError, match="read-only"):
        n.t[0] = 5.0


def test_wind_and_humidity_findings() -> None:
    place = climate.from_months(T12, relative_humidity=np.full(12, 0.8))
    windy = climate.with_wind(place, 5.0)
    near(climate.wind_of(windy.normals), np.full(12, 5.0))
    near(climate.wind_of(place.normals), np.full(12, 3.5))
    assert "climate.wind-assumed" not in {f.code for f in windy.findings}
    with pytest.raises(OutOfRange):
        climate.with_wind(place, -1.0)
    foggy = climate.from_months(T12, vapour_hpa=np.asarray(climate.saturation_hpa(T12)) * 1.1)
    assert [f.code for f in climate.check_humidity(foggy.normals)] == ["climate.humidity-capped"]
    assert np.all(climate.mean_relative_humidity(foggy.normals) <= 1.0)
    assert climate.check_humidity(place.normals) == ()
