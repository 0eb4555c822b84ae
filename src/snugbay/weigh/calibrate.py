"""The state as found held against what the house has shown: fuel used, readings taken before the work.

What is believed is the same draws as before, each weighed by how well it tells what was read; nothing is fitted. Only
the common luck of the loss as found is learned: what a bill says of the rest of the house stays with the rest.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from snugbay.base import Finding, Weight
from snugbay.base.facts import Count, Energy, Share
from snugbay.job import FuelUsed, Temperature, TemperatureKind, ZoneKind
from snugbay.physics import season
from snugbay.physics.insitu import reread
from snugbay.ways.balance import zone_kinds
from snugbay.ways.buildup import films, resistance
from snugbay.ways.found import Ground, zone_temperatures
from snugbay.ways.surroundings import place_climate
from snugbay.weigh.luck import Draws, Floats, at_point
from snugbay.weigh.values import Band

BILL = 0.05
"""Relative error of a meter's year, apart from the winter's luck. [-] (assumption)"""
FILM_ALL, FILM_OWN = 0.10, 0.12
"""Relative error of the film at a surface: common to all readings, and of each. [-] (assumption)"""
SPACE_SHARE = 0.12
"""Error of a space's place between room and outdoors where nobody read its air. [-] (assumption)"""
PLATE = 0.10
"""Relative error of a heat-flux plate. [-] (assumption)"""
LEAST_DROP_K = 5.0
"""Difference of the airs under which a reading says nothing. [K]"""
LEAST_DRAWS = 0.03
"""Share of the draws that must go on counting; where what was read leaves fewer, it is believed less than in full."""

AIRS = {TemperatureKind.ROOM_AIR: ZoneKind.INSIDE, TemperatureKind.OUTDOOR_AIR: ZoneKind.OUTSIDE}
SURFACES = frozenset({TemperatureKind.SURFACE_INFRARED, TemperatureKind.SURFACE_CONTACT})


@dataclass(frozen=True)
class Calibration:
    """What the house has shown.

    Attributes
    ----------
    found_before, found : Band
        Loss as found over the reckoned one, before and with what was read. [-]
    rest_w_k : Band
        Rest of the house, with what was read. [W/K]
    bills, readings : int
        How many were used.
    belief : float
        Power to which they were believed: 1 in full, less where they contradict what was described.
    """

    found_before: Band
    found: Band
    rest_w_k: Band
    bills: int
    readings: int
    belief: float


def has_evidence(base: Ground) -> bool:
    """Tell whether the job holds anything read or used before the work."""
    return bool(base.job.fuel_used) or any(_says(t) for t in base.job.temperatures)


def _says(t: Temperature) -> bool:
    return t.when == "before" and not t.sun and (t.kind in SURFACES or t.kind is TemperatureKind.HEAT_FLUX)


def calibrated(
    base: Ground, draws: Draws, before: Floats, found: Sequence[float], year: float, rng: np.random.Generator
) -> tuple[NDArray[np.intp], Calibration]:
    """Choose draws again by how well they tell what was read.

    Parameters
    ----------
    base : Ground
        The job, with its fuel used and its readings.
    draws : Draws
        All luck, n draws.
    before : array, shape (n,)
        Loss of the part described, a year, as found. [kWh]
    found : sequence of three floats
        Stated spread of the loss as found. [-]
    year : float
        Relative standard deviation of a winter. [-]
    rng : Generator
        For the rest of the house, and for choosing.

    Returns
    -------
    array of int, shape (n,), Calibration
        Numbers of the draws that are believed, some more than once; and what had to be believed.

    Notes
    -----
    Delivered heat of a period: (part + rest of the house)·share of the period in the season's degree days over the
    efficiency, and hot water where the meter has it; log-normal error of `BILL` and the winter. Surfaces: the film's
    share of the drop between the airs either side; plates: the flux. Rows ``ways.house`` for what nobody described.
    """
    n = len(draws.found)
    factor = np.asarray(at_point(draws.found, found), float)
    luck = rng.standard_normal((3, n)).astype(np.float32)
    rest = np.asarray(at_point(luck[0], _row(base, "rest_w_m3k")), float) * base.job.place.house_volume
    log = np.zeros(n)
    for used in base.job.fuel_used:
        log += _bill(base, used, before, rest, luck[1], luck[2], year)
    film = 1.0 + FILM_ALL * rng.standard_normal(n)
    told = [t for t in base.job.temperatures if _says(t)]
    count = 0
    for t in told:
        one = _reading(base, t, factor, film)
        if one is not None:
            log += one
            count += 1
    belief = _belief(log)
    weight = np.exp(belief * (log - log.max()))
    edges = np.cumsum(weight / weight.sum())
    picks = np.minimum(np.searchsorted(edges, (np.arange(n) + rng.random()) / n), n - 1)
    return picks, Calibration(
        _band(factor), _band(factor[picks]), _band(rest[picks]), len(base.job.fuel_used), count, belief
    )


def chosen_draws(draws: Draws, picks: NDArray[np.intp]) -> Draws:
    """Return the draws of these numbers."""
    d = draws
    return Draws(
        d.worker[picks],
        d.prices[picks],
        d.energy[picks],
        d.winter[picks],
        d.found[picks],
        d.resistance[picks],
        {k: z[picks] for k, z in d.methods.items()},
        {k: z[picks] for k, z in d.items.items()},
        d.face_hours[:, picks],
        d.face_r[:, picks],
    )


def told(c: Calibration, saving_before: Band, saving: Band) -> Finding:
    """Say what had to be believed, and how the saving's band moved. Savings in kWh a year."""
    far = c.belief < 1.0 or not c.found_before.p10 <= c.found.p50 <= c.found_before.p90
    return Finding.of(
        "weigh.calibrated-far" if far else "weigh.calibrated",
        Weight.WARN if far else Weight.NOTE,
        ("fuel_used",) if c.bills else ("temperatures",),
        bills=Count(c.bills),
        readings=Count(c.readings),
        found=Share(c.found.p50),
        low=Share(c.found.p10),
        high=Share(c.found.p90),
        was_low=Energy(saving_before.p10),
        was_high=Energy(saving_before.p90),
        now_low=Energy(saving.p10),
        now_high=Energy(saving.p90),
    )


def _row(base: Ground, name: str) -> tuple[float, float, float]:
    rate = base.rates[f"ways.house.{name}"]
    return rate.low, rate.typical, rate.high


def _band(values: Floats) -> Band:
    a, b, c = np.quantile(values, (0.1, 0.5, 0.9))
    return Band(float(a), float(b), float(c))


def _belief(log: Floats) -> float:
    """Largest power, 1 at most, that leaves enough draws counting."""

    def counting(power: float) -> float:
        w = np.exp(power * (log - log.max()))
        return float(w.sum() ** 2 / (w**2).sum() / len(log))

    if counting(1.0) >= LEAST_DRAWS:
        return 1.0
    low, high = 0.0, 1.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if counting(middle) >= LEAST_DRAWS else (low, middle)
    return low


def share_of_season(base: Ground, first: date, last: date) -> float:
    """Degree days of a period over those of a mean year. [-]"""
    place = place_climate(base.job.place)
    setpoint = base.air.setpoint_c
    months = np.asarray(season.loss_degree_days(place.normals, setpoint, float(season.base_temperature(setpoint))))
    days = np.array([31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    each = [months[date.fromordinal(d).month - 1] / days[date.fromordinal(d).month - 1]
            for d in range(first.toordinal(), last.toordinal())]  # fmt: skip
    return float(np.sum(each) / months.sum())


def _bill(
    base: Ground, used: FuelUsed, before: Floats, rest: Floats, water: Floats, plant: Floats, year: float
) -> Floats:
    first, last = date.fromisoformat(used.first), date.fromisoformat(used.last)
    days = last.toordinal() - first.toordinal()
    share = share_of_season(base, first, last)
    heat = (before + rest * base.air.degree_hours_out / 1000.0) * share
    if used.hot_water:
        heat = heat + np.asarray(at_point(water, _row(base, "hot_water_kwh")), float) * days / 365.25
    efficiency = base.job.place.fuel.efficiency * np.asarray(at_point(plant, _row(base, "efficiency")), float)
    sigma = np.hypot(BILL, year / np.sqrt(max(days / 365.25, 1.0 / 12.0)))
    error = np.log(used.kwh * efficiency / np.maximum(heat, 1e-9)) / sigma
    return np.asarray(-0.5 * error**2)


def _airs(base: Ground, t: Temperature) -> tuple[float, float, float] | None:
    """Air on the warm and on the cold side of the face of a reading, and the error of their difference. [°C, K]"""
    kinds = zone_kinds(base.job)
    face = base.by_id[t.face].face
    near = [k for k in base.job.temperatures if (k.when, k.set) == (t.when, t.set) and not k.sun]
    by_zone = {k.zone: k.value for k in near if k.kind is TemperatureKind.BUFFER_AIR and k.zone}
    by_kind = {AIRS[k.kind]: k.value for k in near if k.kind in AIRS}
    room, out = by_kind.get(ZoneKind.INSIDE), by_kind.get(ZoneKind.OUTSIDE)
    found: list[float] = []
    error = 0.0
    for zone in (face.warm, face.cold):
        if zone in by_zone:
            found.append(by_zone[zone])
        elif kinds[zone] in by_kind:
            found.append(by_kind[kinds[zone]])
        elif kinds[zone] is ZoneKind.BUFFER and room is not None and out is not None:
            heat = base.loads.conductance(base.by_id, {i: k.heat for i, k in base.loads.faces.items()})
            at = dict(zone_temperatures(base.loads.net, heat, base.air, base.air.coldest_c))[zone]
            place = (at - base.air.coldest_c) / (base.air.setpoint_c - base.air.coldest_c)
            found.append(out + place * (room - out))
            error = SPACE_SHARE * abs(room - out)
        else:
            return None
    return found[0], found[1], error


def _reading(base: Ground, t: Temperature, factor: Floats, film: Floats) -> Floats | None:
    """Log-likelihood of one reading in each draw; None where the airs were not read or hardly differ."""
    if t.face not in base.by_id:
        return None
    airs = _airs(base, t)
    if airs is None or abs(airs[0] - airs[1]) < LEAST_DROP_K:
        return None
    warm, cold, error = airs
    face, kinds = base.by_id[t.face], zone_kinds(base.job)
    middle = resistance(replace(face, framing_share=0.0), kinds, base.rates)
    drop = warm - cold
    if t.kind is TemperatureKind.HEAT_FLUX:
        flux = factor * drop / middle.total
        sigma = np.sqrt(t.sigma**2 + (PLATE * flux) ** 2 + (flux * error / drop) ** 2)
        return np.asarray(-0.5 * ((t.value - flux) / sigma) ** 2 - np.log(sigma))
    own = films(face, kinds)[0 if t.side == "warm" else 1]
    near = warm if t.side == "warm" else cold
    shown = t.value
    if t.kind is TemperatureKind.SURFACE_INFRARED:
        mirrored = near if t.reflected_c is None else t.reflected_c
        shown = float(reread(t.value, mirrored, t.meter_emissivity, t.emissivity))
    bare = np.maximum(middle.total / factor - own, 0.02)
    share = own * film / (bare + own * film)
    fall = share * drop
    sigma = np.sqrt(2.0 * t.sigma**2 + (FILM_OWN * fall * (1.0 - share)) ** 2 + (share * error) ** 2)
    seen = warm - shown if t.side == "warm" else shown - cold
    return np.asarray(-0.5 * ((seen - fall) / sigma) ** 2 - np.log(sigma))
