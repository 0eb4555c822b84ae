"""The bundled stations and places."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

import numpy as np

from snugbay.base import DataError
from snugbay.physics._num import Array, arr
from snugbay.physics._tables import rows_of
from snugbay.physics.climate.values import Design, Normals, Station

_COLUMNS = ("t", "tx", "tn", "sd", "sy", "e", "r", "ghi", "ws")


@dataclass(frozen=True)
class StationTable:
    """All stations, with their positions and monthly values as arrays.

    Attributes
    ----------
    stations : tuple of Station
        n stations.
    lat, lon, elevation : array, shape (n,)
        [deg], [deg], [m]
    months : array, shape (n, 12, 9)
        t, tx, tn, sd, sy, e, rain, ghi, wind; NaN where unknown.
    design : array, shape (n, 4)
        h996, h99, c1, c04. [°C]
    index : dict of str to int
        Row of a station's id.
    """

    stations: tuple[Station, ...]
    lat: Array
    lon: Array
    elevation: Array
    months: Array
    design: Array
    index: dict[str, int]

    def normals(self, row: int) -> Normals:
        """Monthly values of one station."""
        return normals_from(self.months[row])

    def design_of(self, row: int) -> Design:
        """Design temperatures of one station."""
        h996, h99, c1, c04 = (float(x) for x in self.design[row])
        return Design(h996, h99, c1, c04)


def normals_from(months: Array) -> Normals:
    """Build `Normals` from the (12, 9) block of a station; unknown year-to-year spread counts as 0."""
    block = arr(months)
    t, tx, tn, sd, sy, e, rain, ghi, wind = block.T
    return Normals(t, tx, tn, sd, np.nan_to_num(sy), e, rain, ghi, wind)


@dataclass(frozen=True)
class PlaceRow:
    """A city of the bundled list."""

    name: str
    state: str
    country: str
    lat: float
    lon: float

    @property
    def full(self) -> str:
        """Name as it can be asked for: ``Boston, MA, US``."""
        return ", ".join(x for x in (self.name, self.state, self.country) if x)


def _number(text: str) -> float:
    return float(text) if text else float("nan")


@cache
def station_table() -> StationTable:
    """Read the bundled stations once.

    Raises
    ------
    DataError
        If the tables do not belong together.
    """
    rows = rows_of("climate", "stations.csv.gz")
    stations = tuple(
        Station(
            r["id"],
            r["name"],
            r["state"],
            r["cc"],
            float(r["lat"]),
            float(r["lon"]),
            float(r["elev"]),
            r["src"],
            int(r["yrs"]),
            r["fl"],
        )
        for r in rows
    )
    index = {s.id: i for i, s in enumerate(stations)}
    months = np.full((len(stations), 12, len(_COLUMNS)), np.nan)
    for r in rows_of("climate", "normals.csv.gz"):
        if r["id"] not in index:
            raise DataError(f"Monthly values of an unknown station {r['id']}.")
        months[index[r["id"]], int(r["m"]) - 1] = [_number(r[c]) for c in _COLUMNS]
    if np.isnan(months[:, :, [0, 1, 2, 3, 5]]).any():
        raise DataError("A station lacks monthly temperatures or vapour pressures.")
    design = arr([[_number(r[c]) for c in ("h996", "h99", "c1", "c04")] for r in rows])
    for a in (months, design):
        a.setflags(write=False)
    return StationTable(
        stations,
        arr([s.lat for s in stations]),
        arr([s.lon for s in stations]),
        arr([s.elevation for s in stations]),
        months,
        design,
        index,
    )


@cache
def place_rows() -> tuple[PlaceRow, ...]:
    """Read the bundled list of cities once."""
    return tuple(
        PlaceRow(r["name"], r["state"], r["cc"], float(r["lat"]), float(r["lon"]))
        for r in rows_of("climate", "places.csv.gz")
    )


@cache
def region_names() -> Mapping[tuple[str, str], tuple[str, ...]]:
    """Names of countries, and of their states, by codes: ``("", "GB")``, ``("SCT", "GB")``."""
    names: dict[tuple[str, str], tuple[str, ...]] = {}
    for r in rows_of("climate", "regions.csv.gz"):
        key = (r["state"], r["cc"])
        names[key] = (*names.get(key, ()), r["name"])
    return MappingProxyType(names)


_NO_MARK = str.maketrans({"ß": "ss", "ø": "o", "Ø": "O", "ł": "l", "Ł": "L", "æ": "ae", "Æ": "Ae", "đ": "d", "ı": "i"})
"""Letters that are no letter with a mark, as people without them on the keyboard write them."""


def plain(name: str) -> str:
    """Fold a name for comparison: no accents, no case, single spaces."""
    base = unicodedata.normalize("NFKD", name.translate(_NO_MARK))
    return " ".join("".join(c for c in base if not unicodedata.combining(c)).casefold().split())
