"""What a climate is: twelve monthly values, design temperatures, and where they came from."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

import numpy as np

from snugbay.base import Finding, OutOfRange
from snugbay.physics._num import Array, arr, need

DAYS: Final = arr([31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
"""Days of the months, February in the mean over leap years."""

MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")

WIND_IF_UNKNOWN: Final = 3.5
"""Mean wind where none is known. [m/s] (assumption, said in a finding)"""

ATTRIBUTION: Final = (
    "Datenbasis: Deutscher Wetterdienst, Einzelwerte gemittelt und ergänzt (values averaged and supplemented). DWD "
    "Climate Data Center: Monthly CLIMAT reports from stations worldwide.",
    "TMY3 typical years: DOE/NREL/ALLIANCE. Wilcox and Marion 2008, NREL/TP-581-43156.",
    "Sun: MERRA-2, Gelaro et al. 2017, J. Climate 30, 5419; Pfenninger and Staffell 2016, Energy 114, 1251; PVCZ, "
    "Karin et al. 2019.",
    "Place names: GeoNames, CC BY 4.0.",
)
"""Lines that must be shown where bundled climate figures are shown."""


@dataclass(frozen=True)
class Normals:
    """Twelve monthly values, January first; every array has shape (12,).

    Attributes
    ----------
    t : array
        Mean temperature. [°C]
    tx, tn : array
        Mean daily maximum and minimum. [°C]
    sd : array
        Standard deviation of daily means within the month. [K]
    sy : array
        Standard deviation of the month's mean between years, 0 where unknown. [K]
    e : array
        Mean vapour pressure. [hPa]
    rain : array
        Precipitation, NaN where unknown. [mm/month]
    ghi : array
        Global horizontal irradiation. [kWh/m² per day]
    wind : array
        Mean wind speed at about 10 m, NaN where unknown. [m/s]
    """

    t: Array
    tx: Array
    tn: Array
    sd: Array
    sy: Array
    e: Array
    rain: Array
    ghi: Array
    wind: Array

    def __post_init__(self) -> None:
        for name in self.__dataclass_fields__:
            value = arr(getattr(self, name))
            if value.shape != (12,):
                raise OutOfRange(f"Monthly values of {name!r} have shape {value.shape}, not twelve.")
            value = value.copy()
            value.setflags(write=False)
            object.__setattr__(self, name, value)
        need(~(self.sd < 0) & ~(self.sy < 0), "A standard deviation is negative.")
        need(~(self.e <= 0), "A vapour pressure is not above zero.")

    @property
    def spread(self) -> Array:
        """Standard deviation of daily means over all years, hypot(sd, sy). [K]"""
        return np.hypot(self.sd, self.sy)


@dataclass(frozen=True)
class Design:
    """Design temperatures; estimates, to be overwritten by the code's own where there is one.

    Attributes
    ----------
    heating_996, heating_99 : float
        Exceeded 99.6 % and 99 % of the hours of a year. [°C]
    cooling_1, cooling_04 : float
        Exceeded 1 % and 0.4 % of the hours. [°C]
    estimated : bool
        True for reckoned figures, False once the user stated them.
    spread : float
        Standard deviation of the estimate of ``heating_99``. [K]
    """

    heating_996: float
    heating_99: float
    cooling_1: float
    cooling_04: float
    estimated: bool = True
    spread: float = 1.0


@dataclass(frozen=True)
class Station:
    """A weather station of the bundled tables.

    Attributes
    ----------
    id, name, state, country : str
        Number, name, state (US, CA, AU), ISO country.
    lat, lon : float
        Position, north and east positive. [deg]
    elevation : float
        Height above the sea. [m]
    source : str
        ``C`` monthly reports 2003-2021, ``T`` typical year.
    years : int
        Years behind the least well known month.
    flags : str
        Three letters: spread (M reported, E estimated), sun (T, S, G), wind (T, G).
    """

    id: str
    name: str
    state: str
    country: str
    lat: float
    lon: float
    elevation: float
    source: str
    years: int
    flags: str


@dataclass(frozen=True)
class Climate:
    """The climate of a place.

    Attributes
    ----------
    name : str
        Name to show.
    lat, lon : float
        Position. [deg]
    elevation : float
        Height above the sea that the temperatures stand for. [m]
    normals : Normals
        Twelve monthly values.
    design : Design
        Design temperatures.
    zone : str
        Climate zone reckoned from the normals, a hint only; a code's zone is a table by county.
    method : str
        ``station``, ``between stations``, ``months given``, ``file``.
    stations : tuple of (Station, float, float)
        Stations used, each with its weight and its distance in km.
    findings : tuple of Finding
        Distance, height and gap warnings.
    attribution : tuple of str
        Lines to show with the figures.
    """

    name: str
    lat: float
    lon: float
    elevation: float
    normals: Normals
    design: Design
    zone: str
    method: str
    stations: tuple[tuple[Station, float, float], ...] = ()
    findings: tuple[Finding, ...] = ()
    attribution: tuple[str, ...] = field(default=ATTRIBUTION)
