"""Weather files of the user: EPW and TMY3, through pvlib's readers."""

from __future__ import annotations

import io
from typing import Final, Literal

import numpy as np

from snugbay.base import DataError, Finding, Weight, Where
from snugbay.base.facts import Name, Span
from snugbay.physics._num import Array
from snugbay.physics.climate.design import design_from_normals
from snugbay.physics.climate.hourly import HourlyYear, normals_of
from snugbay.physics.climate.places import zone_of
from snugbay.physics.climate.values import Climate

FileKind = Literal["epw", "tmy3"]

_MISSING_ABOVE: Final = {"temp_air": 99.0, "temp_dew": 99.0, "ghi": 9998.0, "dhi": 9998.0, "wind_speed": 998.0}
_MOST_MISSING: Final = 240


def read_weather(text: str, kind: FileKind, *, name: str = "", where: Where = ("place", "weather")) -> HourlyYear:
    """Hourly year from the text of an EPW or TMY3 file.

    Parameters
    ----------
    text : str
        The whole file, already read.
    kind : {"epw", "tmy3"}
        Its format.
    name : str
        Name to show; the file's own if empty.
    where : Where
        Place in the user's file for errors.

    Returns
    -------
    HourlyYear
        Leap days dropped; gaps of single figures closed by straight lines, with a finding.

    Raises
    ------
    DataError
        If the text cannot be read, or lacks a column, or too many hours are missing.
    """
    from pvlib import iotools

    reader = {"epw": iotools.read_epw, "tmy3": iotools.read_tmy3}.get(kind)
    if reader is None:
        raise DataError(f"There is no reader for weather files of kind {kind!r}.", where=where, hint="epw or tmy3.")
    try:
        table, meta = reader(io.StringIO(text))
    except Exception as error:
        raise DataError(
            f"The weather file cannot be read as {kind.upper()}.", where=where, hint=f"The reader said: {error}"
        ) from error
    columns = {}
    for ours, theirs in {
        "t": "temp_air",
        "dew_point": "temp_dew",
        "ghi": "ghi",
        "dhi": "dhi",
        "wind": "wind_speed",
    }.items():
        if theirs not in table:
            raise DataError(f"The weather file has no column {theirs!r}.", where=where)
        columns[ours] = np.array(table[theirs], dtype=np.float64)
        columns[ours][columns[ours] > _MISSING_ABOVE[theirs]] = np.nan
    keep = _without_leap_day(table.index) if len(table) == 8784 else slice(None)
    columns = {k: v[keep] for k, v in columns.items()}
    if columns["t"].size != 8760:
        raise DataError(f"The weather file has {columns['t'].size} hours, not a year.", where=where)
    filled, found = _closed(columns, where)
    return HourlyYear(
        name or str(meta.get("city", meta.get("Name", "weather file"))),
        float(meta["latitude"]),
        float(meta["longitude"]),
        float(meta.get("TZ", 0.0)),
        float(meta.get("altitude", 0.0)),
        filled["t"],
        filled["dew_point"],
        filled["ghi"],
        filled["dhi"],
        filled["wind"],
        "file",
        found,
    )


def _without_leap_day(index: object) -> Array:
    month, day = np.asarray(index.month), np.asarray(index.day)  # type: ignore[attr-defined]
    return np.asarray(~((month == 2) & (day == 29)))


def _closed(columns: dict[str, Array], where: Where) -> tuple[dict[str, Array], tuple[Finding, ...]]:
    found, filled = [], {}
    for key, values in columns.items():
        gap = np.isnan(values)
        count = int(gap.sum())
        if count > _MOST_MISSING:
            raise DataError(f"{count} hours of {key!r} are missing in the weather file.", where=where)
        if count:
            hours = np.arange(values.size)
            values = values.copy()  # noqa: PLW2901 - the gaps are closed in a copy
            values[gap] = np.interp(hours[gap], hours[~gap], values[~gap])
            found.append(Finding.of("climate.gaps", Weight.WARN, where, gaps=Span(count), key=Name(key)))
        filled[key] = values
    return filled, tuple(found)


def climate_of(year: HourlyYear) -> Climate:
    """Monthly climate of an hourly year, so that monthly and hourly sums start from one source.

    Zone and moisture letter are a hint without rain; design temperatures are percentiles estimated from the months.
    """
    normals = normals_of(year)
    return Climate(
        year.name,
        year.lat,
        year.lon,
        year.elevation,
        normals,
        design_from_normals(normals),
        zone_of(normals, year.lat),
        "file",
        (),
        year.findings,
        (),
    )
