"""Look ahead from the chosen plan: what it does to build-ups, spaces, people and carbon in the years to come."""

from __future__ import annotations

from snugbay.base import Finding, Outcome, Run, Said, SnugbayError, Stopped, Weight
from snugbay.base.facts import Fault
from snugbay.job import Job
from snugbay.physics import climate, season
from snugbay.survey import Survey
from snugbay.ways.found import Ground, ground
from snugbay.ways.surroundings import place_climate
from snugbay.weigh.afterwards import METHOD, MOULD_MODEL, Afterwards
from snugbay.weigh.by_hour import by_hour
from snugbay.weigh.comfort import comfort_of, corners_of
from snugbay.weigh.hourly import ByHour
from snugbay.weigh.sealed import sealing_worth
from snugbay.weigh.spaces import FaceState
from snugbay.weigh.values import AS_FOUND, Band, Weighing

COOLED_TO_C = 25.0
"""Rooms in the warm months. [°C]"""


def look_ahead(job: Job, survey: Survey, weighing: Weighing, run: Run) -> Outcome[Afterwards]:
    """Reckon by the hour what the chosen plan does afterwards.

    Parameters
    ----------
    job, survey, weighing
        The question, the adjusted faces, the chosen plan.
    run : Run
        Seed, progress, stop.

    Returns
    -------
    Outcome of Afterwards
        ``finished`` is False where it was stopped; what was not reached is left out.
    """
    base = ground(job, survey)
    options = tuple(weighing.option(face, way) for face, way in weighing.plan.ways)
    done = tuple(o for o in options if o.way != AS_FOUND)
    inside = weighing.plan.inside
    after = {o.face: FaceState(o.heat_after, o.leak_after, o.r_typical) for o in options}
    place = place_climate(job.place)
    design = {zone: (was, will) for zone, was, will in weighing.zone_design_c}
    corners, cold_corner = corners_of(base, options, after, inside)
    findings: list[Finding] = list(cold_corner)
    hours, finished = ByHour(), True
    try:
        hours = weighing.by_hour or by_hour(base, options, inside, run)
        findings += hours.findings
    except Stopped:
        finished = False
    except SnugbayError as error:
        findings.append(_not_by_hour(error))
    comfort, cold_faces = comfort_of(base, done, design)
    findings += cold_faces
    sealing, house_leak, claims = sealing_worth(base, options)
    findings += claims
    cooling = tuple(_warm_heat(base, place, h) for h in _conductances(base, weighing))
    value = Afterwards(
        hours.build_ups,
        hours.not_run,
        hours.spaces,
        comfort,
        corners,
        _carbon(base, place, weighing, run),
        cooling[0],
        cooling[1],
        tuple(findings),
        finished,
        sealing,
        house_leak,
    )
    return Outcome(
        value,
        value.findings,
        (f"Build-ups over three years: {METHOD}; mould by the {MOULD_MODEL}.", "Spaces by an hourly heat balance."),
        finished,
    )


def _not_by_hour(error: SnugbayError) -> Finding:
    return Finding.of(
        "weigh.not-by-hour", Weight.WARN, error.where, what=Said.of("weigh.said.the-plan"), why=Fault.of(error)
    )


def _conductances(base: Ground, weighing: Weighing) -> tuple[float, float]:
    """Mean conductance from the rooms to outdoors, as found and after the work. [W/K]"""
    if base.air.degree_hours_out <= 0:
        return 0.0, 0.0
    found = weighing.as_found.season_kwh
    return tuple(1000.0 * k / base.air.degree_hours_out for k in (found, found - weighing.plan.saving_kwh))  # type: ignore[return-value]


def _warm_heat(base: Ground, place: climate.Climate, h_w_k: float) -> float:
    """Heat that the warm hours of a year bring in. [kWh]"""
    set_point = max(COOLED_TO_C, base.air.setpoint_c)
    return max(float(season.cooling(place, max(h_w_k, 0.0), set_point_c=set_point).kwh), 0.0)


def _carbon(base: Ground, place: climate.Climate, weighing: Weighing, run: Run) -> Band:
    """Carbon dioxide saved in one coming year, with the weather's and the house's spread. [kg]"""
    before, after = _conductances(base, weighing)
    saved = before - after
    if saved <= 0:
        return Band(0.0, 0.0, 0.0)
    own = base.job.place.fuel
    fuel = season.Fuel(own.name, "kWh", 1.0, own.efficiency, own.efficiency, own.efficiency, own.carbon_kwh)
    band = season.heating_band(place, saved, fuel, own.price_kwh, run, set_point_c=base.air.setpoint_c).carbon_kg
    return Band(band.p10, band.p50, band.p90)
