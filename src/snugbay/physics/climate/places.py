"""Finding a climate: by name, by position, by station, or from twelve values given."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from difflib import get_close_matches
from functools import cache
from itertools import islice
from typing import Final

import numpy as np
from numpy.typing import NDArray

from snugbay.base import Finding, OutOfRange, Said, UnknownName, Weight, Where
from snugbay.base.facts import Distance, LongLength, Name, Speed, Temperature, TemperatureDifference
from snugbay.physics._num import Array, arr, need
from snugbay.physics.climate.degree_days import daily_spread_from_means, monthly_cooling, monthly_heating
from snugbay.physics.climate.humidity import saturation_hpa
from snugbay.physics.climate.stations import (
    PlaceRow,
    StationTable,
    normals_from,
    place_rows,
    plain,
    region_names,
    station_table,
)
from snugbay.physics.climate.values import WIND_IF_UNKNOWN, Climate, Design, Normals, Station
from snugbay.physics.climate.zones import zone_name
from snugbay.physics.units import celsius_from_f

EARTH_KM: Final = 6371.0
LAPSE_K_PER_M: Final = -0.0055
NEAREST: Final = 5
WITHIN_KM: Final = 300.0
SOFTEN_KM: Final = 8.0
KM_PER_M_HEIGHT: Final = 0.1
SAME_KM: Final = 60.0
"""Towns of one name and country that lie nearer than this are one place."""
POSITION: Final = re.compile(r"\s*([-+]?\d+(?:\.\d+)?)\s*[,;]\s*([-+]?\d+(?:\.\d+)?)\s*")
"""Latitude and longitude as people write them."""
NEWER_K: Final = 0.75
"""Reports of 2003 to 2021 are warmer than typical years of 1991 to 2005 next door by this. [K] (`data/climate`)"""
WARN_KM: Final = 50.0
WARN_HEIGHT_M: Final = 150.0
"""Rules of interpolation; leave-one-out over Europe: mean temperature RMSE 0.6 K, degree days median 2.9 %."""


def distance_km(lat1: float, lon1: float, lat2: Array | float, lon2: Array | float) -> Array:
    """Great-circle distance. [km] Angles in degrees; the second point may be an array."""
    p1, p2 = np.radians(lat1), np.radians(arr(lat2))
    half_lat, half_lon = (p2 - p1) / 2.0, np.radians(arr(lon2) - lon1) / 2.0
    a = np.sin(half_lat) ** 2 + np.cos(p1) * np.cos(p2) * np.sin(half_lon) ** 2
    return np.asarray(2.0 * EARTH_KM * np.arcsin(np.minimum(np.sqrt(a), 1.0)))


def find_place(name: str, *, elevation: float | None = None, where: Where = ("place", "climate")) -> Climate:
    """Climate of a named city or station, or of a position.

    Parameters
    ----------
    name : str
        A city of the bundled list (``Boston, MA``, ``Wien``, ``Glasgow, Scotland``), a station's name or its number, or
        latitude and longitude in degrees (``48.8, -120.1``; west and south negative).
    elevation : float, optional
        Height of the house above the sea; None takes the nearest station's. [m]
    where : Where
        Place in the user's file for errors.

    Returns
    -------
    Climate
        With findings on the station, distance, height and estimated figures.

    Raises
    ------
    UnknownName
        If the name is not known, or stands for several places; the hint lists them as they are to be written.
    OutOfRange
        If no station lies within 300 km.

    Notes
    -----
    Accents and case do not matter. There is no nearest match in silence: a name that towns of several states or
    countries have is asked about, however large one of them may be.
    """
    found = _found(name, elevation, where)
    return replace(found, findings=(_place_finding(found), *found.findings))


def _place_finding(climate: Climate) -> Finding:
    """Say which weather is meant, so that a wrong Glasgow is seen."""
    station, _, km = min(climate.stations, key=lambda used: used[2])
    names = region_names()
    parts = (names.get((station.state, station.country), ("",))[0] if station.state else "", _country(station.country))
    return Finding.of(
        "climate.place" if len(climate.stations) > 1 else "climate.station",
        Weight.NOTE,
        ("place", "climate"),
        place=Name(climate.name),
        station=Name(station.name),
        region=Name(", ".join(x for x in parts if x)),
        distance=Distance(1000.0 * km),
        january=Temperature(float(climate.normals.t[0])),
    )


def _written(row: PlaceRow | Station) -> str:
    return ", ".join(x for x in (row.name, row.state, row.country) if x)


def _country(code: str) -> str:
    return region_names().get(("", code), (code,))[0]


def _found(name: str, elevation: float | None, where: Where) -> Climate:
    position = POSITION.fullmatch(name)
    if position is not None:
        return at_position(float(position[1]), float(position[2]), elevation, where=where)
    table = station_table()
    if name.strip() in table.index:
        return at_station(name.strip())
    words = [plain(w) for w in name.split(",") if w.strip()]
    if not words:
        raise UnknownName("No place is named.", where=where, hint="Give a city, or a latitude and longitude.")
    found = _named(words[0], words[1:])
    if not found:
        raise UnknownName(f"No place called {name!r} is known.", where=where, hint=_close_names(words[0]))
    if len(found) > 1:
        raise _ambiguous(name, found, where)
    one = found[0]
    if isinstance(one, Station):
        return at_station(one.id)
    return replace(at_position(one.lat, one.lon, elevation, where=where), name=one.full)


def _named(word: str, more: Sequence[str]) -> list[PlaceRow | Station]:
    """Cities and stations of a name, one for each place; a city before a station beside it."""
    found: list[PlaceRow | Station] = []
    for row in _by_name().get(word, ()):
        near = any(
            row.country == k.country and float(distance_km(row.lat, row.lon, k.lat, k.lon)) < SAME_KM for k in found
        )
        if _fits(more, row.state, row.country) and not near:
            found.append(row)
    return found


@cache
def _by_name() -> Mapping[str, list[PlaceRow | Station]]:
    rows: dict[str, list[PlaceRow | Station]] = {}
    every: tuple[PlaceRow | Station, ...] = (*place_rows(), *station_table().stations)
    for row in every:
        rows.setdefault(plain(row.name), []).append(row)
    return rows


def _fits(more: Sequence[str], state: str, country: str) -> bool:
    names = region_names()
    known = {plain(w) for w in (state, country, *names.get((state, country), ()), *names.get(("", country), ()))}
    return all(w in known for w in more)


def _ambiguous(name: str, found: Sequence[PlaceRow | Station], where: Where) -> UnknownName:
    """Error with what to write for each; where state and country do not tell them apart, the position does."""
    texts = [_written(k) for k in found]
    choices = []
    for text, k in zip(texts, found, strict=True):
        write = text if texts.count(text) == 1 else f"{k.lat:.2f}, {k.lon:.2f}"
        names = region_names()
        state = names.get((k.state, k.country), ("",))[0] if k.state else ""
        choices.append(f'"{write}" ({", ".join(x for x in (state, _country(k.country)) if x)})')
    return UnknownName(
        f"{name!r} stands for {len(found)} places.", where=where, hint="Write one of: " + "; ".join(choices) + "."
    )


def _close_names(word: str) -> str:
    near = get_close_matches(word, list(_by_name()), n=4, cutoff=0.7)
    close = [_written(k) for w in near for k in _by_name()[w][:2]]
    advice = 'Or give latitude and longitude: "48.8, -120.1" (west and south negative).'
    return f"Near it: {'; '.join(close)}. {advice}" if close else advice


def search_places(text: str, limit: int = 10) -> tuple[str, ...]:
    """Names that begin with, then names that contain, the text; for a search box: only places with a climate."""
    key = plain(text)
    rows = [(plain(p.full), p) for p in place_rows()]
    heads = [p for name, p in rows if name.startswith(key)]
    inside = [p for name, p in rows if key in name and not name.startswith(key)]
    return tuple(_tells(p) for p in islice((p for p in (*heads, *inside) if _bridged(p)), limit))


def _tells(place: PlaceRow) -> str:
    """Return what names a place and no other: its position where two of a name lie in one state."""
    first, *more = (plain(w) for w in place.full.split(","))
    return place.full if len(_named(first, more)) == 1 else f"{place.lat:.2f}, {place.lon:.2f}"


def _bridged(place: PlaceRow) -> bool:
    """Tell whether a station is near enough to a place to take its climate."""
    table = station_table()
    return bool(distance_km(place.lat, place.lon, table.lat, table.lon).min() <= WITHIN_KM)


def at_station(station_id: str) -> Climate:
    """Climate of one station as it stands.

    Raises
    ------
    UnknownName
        If there is no such station.
    """
    table = station_table()
    if station_id not in table.index:
        raise UnknownName(f"There is no station {station_id!r}.", hint="Search by name or position instead.")
    row = table.index[station_id]
    s, normals = table.stations[row], table.normals(row)
    found = [*_estimate_findings((s,)), *_wind_findings(normals)]
    return Climate(
        s.name,
        s.lat,
        s.lon,
        s.elevation,
        normals,
        table.design_of(row),
        zone_of(normals, s.lat, newer=float(s.source == "C")),
        "station",
        ((s, 1.0, 0.0),),
        tuple(found),
    )


def at_position(
    lat: float, lon: float, elevation: float | None = None, *, where: Where = ("place", "climate")
) -> Climate:
    """Climate between stations.

    Parameters
    ----------
    lat, lon : float
        Position, north and east positive. [deg]
    elevation : float, optional
        Height above the sea; None takes the nearest station's, with a finding. [m]
    where : Where
        Place in the user's file for errors.

    Returns
    -------
    Climate
        From the 5 nearest stations within 300 km by √(km² + (0.1·Δm)²), weights 1/(d + 8)²; temperatures moved by
        −5.5 K/km, relative humidity kept.

    Raises
    ------
    OutOfRange
        If the position is impossible, or no station lies within 300 km.
    """
    need(
        -90 <= lat <= 90 and -180 <= lon <= 360,
        f"There is no place at latitude {lat:g}, longitude {lon:g}.",
        where=where,
        hint="Latitude first, -90 to 90; then longitude, west negative.",
    )
    table = station_table()
    km = distance_km(lat, lon, table.lat, table.lon)
    nearest = int(km.argmin())
    height = float(table.elevation[nearest]) if elevation is None else float(elevation)
    apart = np.hypot(km, KM_PER_M_HEIGHT * (table.elevation - height))
    order = np.argsort(np.where(km <= WITHIN_KM, apart, np.inf))[:NEAREST]
    order = order[km[order] <= WITHIN_KM]
    if order.size == 0:
        raise OutOfRange(
            f"The nearest weather station to {lat:g}, {lon:g} is {km[nearest]:.0f} km away; {WITHIN_KM:.0f} km is the "
            "most that is bridged.",
            where=where,
            hint="Give twelve monthly values or a weather file.",
        )
    weights = 1.0 / (apart[order] + SOFTEN_KM) ** 2
    weights /= weights.sum()
    shift = LAPSE_K_PER_M * (height - table.elevation[order])
    normals = _mix(table, order, weights, shift)
    design = weights @ (table.design[order] + shift[:, None])
    used = tuple((table.stations[i], float(w), float(km[i])) for i, w in zip(order, weights, strict=True))
    found = (
        *_distance_findings(used, height, elevation is None),
        *_estimate_findings(tuple(s for s, _, _ in used)),
        *_wind_findings(normals),
    )
    return Climate(
        f"{lat:.2f}, {lon:.2f}",
        lat,
        lon,
        height,
        normals,
        Design(float(design[0]), float(design[1]), float(design[2]), float(design[3]), spread=1.5),
        zone_of(normals, lat, newer=sum(w for s, w, _ in used if s.source == "C")),
        "between stations",
        used,
        found,
    )


def _mix(table: StationTable, rows: NDArray[np.intp], weights: Array, shift: Array) -> Normals:
    """Weighted means; temperatures moved with height, humidity as e/es(t), gaps left to those who know."""
    block = table.months[rows].copy()
    es = arr(saturation_hpa(block[:, :, 0]))
    relative = block[:, :, 5] / es
    block[:, :, :3] += shift[:, None, None]
    block[:, :, 5] = relative
    known = ~np.isnan(block)
    share = known * weights[:, None, None]
    total = share.sum(axis=0)
    with np.errstate(invalid="ignore", divide="ignore"):
        mixed = (np.nan_to_num(block) * share).sum(axis=0) / np.where(total > 0, total, np.nan)
    t = mixed[:, 0]
    mixed[:, 5] *= arr(saturation_hpa(t))
    return normals_from(mixed)


def _distance_findings(
    used: tuple[tuple[Station, float, float], ...], height: float, height_assumed: bool
) -> tuple[Finding, ...]:
    station, _, km = min(used, key=lambda u: u[2])
    rise = height - station.elevation
    found = []
    if km > WARN_KM or abs(rise) > WARN_HEIGHT_M:
        found.append(
            Finding.of(
                "climate.far",
                Weight.WARN,
                ("place", "climate"),
                station=Name(station.name),
                away=Distance(1000.0 * km),
                rise=LongLength(abs(rise)),
                low=TemperatureDifference(2.0),
                high=TemperatureDifference(5.0),
                side=Said.of("climate.said.below") if rise > 0 else Said.of("climate.said.above"),
            )
        )
    if height_assumed:
        found.append(
            Finding.of(
                "climate.height-assumed",
                Weight.NOTE,
                ("place", "climate"),
                station=Name(station.name),
                elevation=LongLength(station.elevation),
                step=LongLength(100.0),
                colder=TemperatureDifference(0.5),
            )
        )
    return tuple(found)


def _estimate_findings(stations: tuple[Station, ...]) -> tuple[Finding, ...]:
    found = [
        Finding.of(
            "climate.design-estimated",
            Weight.NOTE,
            ("place", "climate"),
            low=TemperatureDifference(1.0),
            high=TemperatureDifference(2.0),
        )
    ]
    if any(s.flags.startswith("E") for s in stations):
        found.append(Finding.of("climate.spread-estimated", Weight.NOTE, ("place", "climate")))
    return tuple(found)


def _wind_findings(normals: Normals) -> tuple[Finding, ...]:
    if np.all(np.isfinite(normals.wind)):
        return ()
    return (Finding.of("climate.wind-assumed", Weight.NOTE, ("place", "climate"), wind=Speed(WIND_IF_UNKNOWN)),)


def wind_of(normals: Normals) -> Array:
    """Monthly wind speed, 3.5 m/s where unknown. [m/s]"""
    return np.where(np.isfinite(normals.wind), normals.wind, WIND_IF_UNKNOWN)


def zone_of(normals: Normals, lat: float, *, newer: float = 0.0) -> str:
    """Climate zone of monthly values, see `zone_name`; degree days to 50 °F and to 65 °F, as the code counts them.

    Parameters
    ----------
    normals : Normals
        Monthly values.
    lat : float
        [deg]
    newer : float
        Share of the values that come from 2003 to 2021: the code's tables rest on colder decades, by `NEWER_K`, and a
        zone too warm asks for too little foam. [-]
    """
    t = normals.t - NEWER_K * newer
    then = replace(normals, t=t)
    cdd10 = float(np.sum(monthly_cooling(then, 10.0)))
    hdd18 = float(np.sum(monthly_heating(then, float(celsius_from_f(65.0)))))
    return zone_name(cdd10, hdd18, normals.t, normals.rain, lat)


def from_months(
    t: Array | Sequence[float],
    *,
    relative_humidity: Array | Sequence[float] | None = None,
    vapour_hpa: Array | Sequence[float] | None = None,
    sd: Array | Sequence[float] | None = None,
    daily_range: Array | Sequence[float] | float = 9.0,
    ghi: Array | Sequence[float] | None = None,
    wind: Array | Sequence[float] | None = None,
    rain: Array | Sequence[float] | None = None,
    lat: float = 45.0,
    lon: float = 0.0,
    elevation: float = 0.0,
    name: str = "months given",
) -> Climate:
    """Climate from twelve monthly values that the user gives.

    Parameters
    ----------
    t : array, shape (12,)
        Mean temperatures. [°C]
    relative_humidity, vapour_hpa : array, shape (12,), optional
        Mean relative humidity, 0..1, or vapour pressure [hPa]; one of the two, else 0.75 is assumed with a finding.
    sd : array, shape (12,), optional
        Spread of daily means; estimated from the means if not given. [K]
    daily_range : float or array
        Mean daily range of temperature. [K]
    ghi, wind, rain : array, shape (12,), optional
        Irradiation [kWh/m² per day], wind [m/s], rain [mm]; NaN (no sun counted, wind 3.5) if not given.
    lat, lon, elevation : float
        Position. [deg], [deg], [m]
    name : str
        Name to show.

    Returns
    -------
    Climate
        Method ``months given``; design temperatures are estimated from the monthly law.

    Raises
    ------
    OutOfRange
        If there are not twelve values or a humidity is outside 0..1.
    """
    temps = arr(t)
    if temps.shape != (12,):
        raise OutOfRange(f"{temps.size} monthly temperatures were given, not twelve.", where=("place", "climate"))
    found = list(_estimate_findings(()))
    spread = arr(daily_spread_from_means(temps)) if sd is None else arr(sd)
    if sd is None:
        found += _estimate_findings((Station("", "", "", "", 0, 0, 0, "", 0, "E"),))[1:]
    es = arr(saturation_hpa(temps))
    if vapour_hpa is not None:
        e = arr(vapour_hpa)
    elif relative_humidity is not None:
        rh = arr(relative_humidity)
        need(~((rh <= 0) | (rh > 1)), "A relative humidity is outside 0 to 1.", where=("place", "climate"))
        e = rh * es
    else:
        e = 0.75 * es
        found.append(Finding.of("climate.humidity-assumed"))
    unknown = np.full(12, np.nan)
    half = np.broadcast_to(arr(daily_range), (12,)) / 2.0
    normals = Normals(
        temps,
        temps + half,
        temps - half,
        spread,
        np.zeros(12),
        e,
        unknown if rain is None else arr(rain),
        unknown if ghi is None else arr(ghi),
        unknown if wind is None else arr(wind),
    )
    from snugbay.physics.climate.design import design_from_normals

    return Climate(
        name,
        lat,
        lon,
        elevation,
        normals,
        design_from_normals(normals),
        zone_of(normals, lat),
        "months given",
        (),
        (*found, *_wind_findings(normals)),
        (),
    )


def with_design(climate: Climate, **temperatures: float) -> Climate:
    """Climate with design temperatures stated by the user (``heating_99=-14.0``), no longer estimates."""
    design = replace(climate.design, **temperatures, estimated=False)
    kept = tuple(f for f in climate.findings if f.code != "climate.design-estimated")
    return replace(climate, design=design, findings=kept)


def with_wind(climate: Climate, wind: Array | float) -> Climate:
    """Climate with the mean wind speed stated by the user, a number or twelve months. [m/s]"""
    stated = np.broadcast_to(arr(wind), (12,))
    need(~(stated < 0), "A wind speed is negative.", where=("place", "wind"))
    kept = tuple(f for f in climate.findings if f.code != "climate.wind-assumed")
    return replace(climate, normals=replace(climate.normals, wind=stated), findings=kept)


def with_zone(climate: Climate, zone: str) -> Climate:
    """Climate with the code's zone stated by the user."""
    return replace(climate, zone=zone.strip().upper())
