"""What surrounds the job: climate, heating season, and what a square centimetre of leak costs."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy.special import ndtr

from snugbay.base import Finding, InputError, Weight
from snugbay.base.facts import Number
from snugbay.job import Place
from snugbay.physics import air, climate, season

COLDEST_SHARE = 1e-9


@dataclass(frozen=True)
class Surroundings:
    """Climate of the place, reduced to what the balance of zones needs.

    Attributes
    ----------
    title : str
        Place and source of the climate, with attribution where its licence asks.
    setpoint_c : float
        Room temperature. [°C]
    heating_hours : float
        Hours of a year with heating on, one at the least. [h]
    degree_hours_out, degree_hours_ground : float
        Sum over the hours with heating on of room minus outdoor (ground) temperature. [K·h]
    coldest : int
        Coldest month, 0 January.
    coldest_c, ground_c : float
        Mean outdoor temperature of the coldest month; deep ground. [°C]
    design_c : float
        Outdoor temperature on a design day. [°C]
    outdoor_c, outdoor_pa : tuple of float
        Twelve monthly means. [°C, Pa]
    leak_speed : float
        Air flow through a square metre of effective leakage area in a mean heating hour. [m/s]
    year_spread : float
        Relative standard deviation of a year's degree days. [-]
    zone : str
        Climate zone of the code, as stated or reckoned.
    findings : tuple of Finding
        What the user must know of the climate.
    """

    title: str
    setpoint_c: float
    heating_hours: float
    degree_hours_out: float
    degree_hours_ground: float
    coldest: int
    coldest_c: float
    ground_c: float
    design_c: float
    outdoor_c: tuple[float, ...]
    outdoor_pa: tuple[float, ...]
    leak_speed: float
    year_spread: float
    zone: str
    findings: tuple[Finding, ...]

    @property
    def air_conductance(self) -> float:
        """Heat carried by air through a square metre of leakage area. [W/(m²·K)]"""
        return air.RHO_C * self.leak_speed


def place_climate(place: Place) -> climate.Climate:
    """Return the climate of a place with the user's own figures; raise `InputError` where there is none."""
    if place.months:
        found = climate.from_months(
            [m.temp_c for m in place.months], relative_humidity=[m.humidity for m in place.months]
        )
    elif place.climate:
        found = climate.find_place(place.climate)
    else:
        raise InputError(
            "There is no climate to reckon with.",
            where=("place", "climate"),
            hint="Name a place or give twelve monthly values.",
        )
    if place.design_temp_c is not None:
        found = climate.with_design(found, heating_99=place.design_temp_c)
    if place.code_zone:
        found = climate.with_zone(found, place.code_zone)
    return found


def _title(found: climate.Climate) -> str:
    origin = "; ".join(f"{s.name} ({km:.0f} km)" for s, _, km in found.stations[:3])
    parts = [found.name or "twelve months given by you", found.method]
    if origin:
        parts.append(origin)
    return ", ".join(parts) + (". " + " ".join(found.attribution) if found.attribution else "")


@lru_cache(maxsize=64)
def surroundings(place: Place) -> Surroundings:
    """Return the climate of a place, reduced to what the balance needs.

    Parameters
    ----------
    place : Place
        Climate, set-point, storeys, shielding.

    Raises
    ------
    InputError
        If no climate is given, or its name is not known.

    Notes
    -----
    Heat counts while the outdoor temperature is under the base temperature (set-point less free heat), and then with
    the whole difference to the room, see `season.loss_degree_days`. The deep ground has the mean outdoor temperature
    of the year (ISO 13370, steady part). Leaks flow by the basic infiltration model at the season's mean difference.
    """
    found = place_climate(place)
    normals, setpoint = found.normals, place.setpoint_c
    base = float(season.base_temperature(setpoint))
    out = np.asarray(season.loss_degree_days(normals, setpoint, base))
    days = np.asarray(climate.DAYS) * ndtr((base - normals.t) / np.maximum(normals.spread, COLDEST_SHARE))
    hours = 24.0 * float(days.sum())
    ground = float(np.average(normals.t, weights=climate.DAYS))
    out_hours = 24.0 * float(out.sum())
    drop = out_hours / hours if hours > 0 else 0.0
    wind = float(np.average(climate.wind_of(normals), weights=np.maximum(days, COLDEST_SHARE)))
    storeys = min(max(place.storeys, 1.0), 3.0)
    speed = float(air.infiltration_basic(1.0, drop, wind, storeys=storeys, shielding=place.shielding))
    coldest = int(np.argmin(normals.t))
    findings = found.findings
    if storeys != place.storeys:
        findings = (
            *findings,
            Finding.of(
                "climate.storeys",
                Weight.NOTE,
                ("place", "storeys"),
                storeys=Number(storeys),
                storeys_2=Number(place.storeys),
            ),
        )
    return Surroundings(
        title=_title(found),
        setpoint_c=setpoint,
        heating_hours=max(hours, 1.0),
        degree_hours_out=out_hours,
        degree_hours_ground=24.0 * float((days * (setpoint - ground)).sum()),
        coldest=coldest,
        coldest_c=float(normals.t[coldest]),
        ground_c=ground,
        design_c=float(found.design.heating_99),
        outdoor_c=tuple(float(t) for t in normals.t),
        outdoor_pa=tuple(100.0 * float(e) for e in normals.e),
        leak_speed=speed,
        year_spread=float(season.year_to_year_spread(normals, base)),
        zone=found.zone,
        findings=findings,
    )
