"""Climate: bundled tables, places, degree days, humidity, zones."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.physics.shared import near

from snugbay.base import OutOfRange, UnknownName
from snugbay.physics import climate, moisture
from snugbay.physics._tables import rows_of

T12 = np.array([-6, -4, 2, 9, 15, 20, 23, 22, 18, 11, 5, -2.0])


def test_tables_belong_together() -> None:
    table = climate.station_table()
    assert len(table.stations) == 3193
    assert table.months.shape == (3193, 12, 9)
    assert len(climate.place_rows()) == 2334
    assert all(p.station in table.index for p in climate.place_rows())
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
    assert climate.find_place("boston").name == "Boston, MA, US"
    assert climate.find_place("Zurich").name == climate.find_place("Zürich").name
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


def test_far_places_are_warned_of() -> None:
    # several large Canadian cities are not among the stations
    montreal = climate.at_position(45.5, -73.6)
    codes = {f.code: f for f in montreal.findings}
    assert codes["climate.far"].numbers["km"] > 50
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


def test_zones_reproduce_the_table() -> None:
    table, rows = climate.station_table(), rows_of("climate", "stations.csv.gz")
    picked = range(0, 3193, 31)
    same = sum(climate.zone_of(table.normals(k), table.stations[k].lat) == rows[k]["zone"] for k in picked)
    assert same / len(picked) > 0.95  # the rest stand within a few degree days of a limit
    assert np.isnan(climate.zone_number(np.nan, 3000.0))
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
