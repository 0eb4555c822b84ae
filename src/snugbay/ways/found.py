"""The state as found: where the heat goes, weakest part first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from snugbay.base import Finding, Outcome, Run, Weight
from snugbay.base.facts import Name, Number, Temperature, faces
from snugbay.job import Job, ZoneKind
from snugbay.materials import Rates
from snugbay.physics.heat import FRONT
from snugbay.physics.moisture import RSI_CORNER, least_temperature_factor, surface_factor
from snugbay.survey import Survey
from snugbay.survey.clearance import Clearance, clearance
from snugbay.ways.balance import Floats, Graph, season_drop, season_loss, temperatures, zone_kinds
from snugbay.ways.buildup import films
from snugbay.ways.edges import Corner, corners
from snugbay.ways.faceloads import Loads, loads
from snugbay.ways.measure import Measured, measured
from snugbay.ways.resources import rates_of
from snugbay.ways.surroundings import Surroundings, surroundings
from snugbay.ways.values import AsFound, FaceAsFound


@dataclass(frozen=True)
class Ground:
    """What every stage of weighing up stands on.

    Attributes
    ----------
    job : Job
        The job.
    faces : tuple of Measured
        Measured faces.
    air : Surroundings
        Climate.
    rates : Rates
        Rates with the job's own figures.
    loads : Loads
        All faces as found.
    corners : mapping of str to tuple of Corner
        Corners of each face with its neighbours.
    clear : Clearance
        How high it is where each face is worked.
    """

    job: Job
    faces: tuple[Measured, ...]
    air: Surroundings
    rates: Rates
    loads: Loads
    corners: Mapping[str, tuple[Corner, ...]]
    clear: Clearance

    @property
    def by_id(self) -> dict[str, Measured]:
        """Faces by id."""
        return {f.id: f for f in self.faces}


def ground(job: Job, survey: Survey) -> Ground:
    """Measure, find the climate and reckon the faces as found.

    Raises
    ------
    InputError
        If the climate, a zone or a material is missing or unknown.
    """
    rates = rates_of(job)
    faces = measured(job, survey)
    air = surroundings(job.place)
    edges = corners(job, survey)
    return Ground(job, faces, air, rates, loads(job, faces, air, rates, edges), edges, clearance(job, survey))


def zone_temperatures(
    net: Graph, conductance: Floats, air: Surroundings, outdoor_c: float
) -> tuple[tuple[str, float], ...]:
    """Temperatures of all zones at one outdoor temperature. [°C]"""
    temps = temperatures(
        net,
        conductance,
        {ZoneKind.INSIDE: air.setpoint_c, ZoneKind.OUTSIDE: outdoor_c, ZoneKind.GROUND: air.ground_c},
    )
    return tuple((z, float(t)) for z, t in zip(net.zones, temps, strict=True))


def face_season(base: Ground, heat: Mapping[str, float], drop: Floats, face: Measured) -> float:
    """Heat that goes through a face in a year, seen from the rooms. [kWh]"""
    zones = base.loads.net.zones
    a, b = drop[zones.index(face.face.warm)], drop[zones.index(face.face.cold)]
    return float(heat[face.id] * (b - a) / 1000.0)


def _surface_factor(base: Ground, face: Measured) -> float:
    """Temperature factor of the inner surface, behind what is built in before it."""
    film, _ = films(face, zone_kinds(base.job))
    return float(surface_factor(base.loads.faces[face.id].r.total, film, max(film, RSI_CORNER)))


def _behind_fronts(base: Ground, rows: Sequence[FaceAsFound]) -> tuple[Finding, ...]:
    """Say how cold the box is behind drawers and doors, and whether mould may grow there."""
    closed = [r for r in rows if base.by_id[r.face].face.in_front in FRONT]
    if not closed:
        return ()
    air = base.air
    needed = least_temperature_factor(
        np.asarray(air.outdoor_c),
        np.asarray(air.outdoor_pa),
        air.setpoint_c,
        humidity_class=base.job.place.humidity_class,
    )
    worst = min(closed, key=lambda r: r.warm_surface_c)
    outdoors = (air.setpoint_c - worst.warm_surface_c) / (air.setpoint_c - air.coldest_c)
    mouldy = 1.0 - outdoors < float(needed.design)
    return (
        Finding.of(
            "weigh.behind-front-mould" if mouldy else "weigh.behind-front",
            Weight.WARN if mouldy else Weight.NOTE,
            ("faces", worst.face, "in_front"),
            faces=faces(r.face for r in closed),
            surface=Temperature(worst.warm_surface_c),
            factor=Number(1.0 - outdoors),
            needed=Number(float(needed.design)),
        ),
    )


def found_state(base: Ground) -> AsFound:
    """Reckon the state as found on ground already laid."""
    job, air = base.job, base.air
    heat = {i: load.heat for i, load in base.loads.faces.items()}
    c = base.loads.conductance(base.by_id, heat)
    drop = temperatures(base.loads.net, c, season_drop(air))
    cold = dict(zone_temperatures(base.loads.net, c, air, air.coldest_c))
    kwh = float(season_loss(base.loads.net, c, air))
    rows = []
    for face in base.faces:
        load = base.loads.faces[face.id]
        u = 1.0 / load.r.total
        warm_c, cold_c = cold[face.face.warm], cold[face.face.cold]
        rows.append(
            FaceAsFound(
                face.id,
                face.face.title,
                face.face.warm,
                face.face.cold,
                face.area,
                load.r.upper,
                load.r.lower,
                load.r.total,
                u,
                load.leak,
                warm_c,
                cold_c,
                load.heat * (warm_c - cold_c),
                face_season(base, heat, drop, face),
                _surface_factor(base, face),
                warm_c - (1.0 - _surface_factor(base, face)) * (warm_c - cold_c),
            )
        )
    rows.sort(key=lambda r: -r.season_kwh)
    fuel = job.place.fuel
    delivered = kwh / fuel.efficiency
    return AsFound(
        tuple(rows),
        tuple(cold.items()),
        zone_temperatures(base.loads.net, c, air, air.design_c),
        kwh,
        delivered * fuel.price_kwh,
        delivered * fuel.carbon_kwh,
        air.title,
        (*air.findings, *_findings(base, c), *_behind_fronts(base, rows)),
    )


def _findings(base: Ground, c: Floats) -> tuple[Finding, ...]:
    out: list[Finding] = []
    net = base.loads.net
    for i in net.free:
        own = [p for p, pair in enumerate(net.pairs) if i in pair]
        to_cold = sum(
            float(c[p]) for p in own if {net.kinds[k] for k in net.pairs[p]} & {ZoneKind.OUTSIDE, ZoneKind.GROUND}
        )
        if to_cold < 1e-6 and len(own) <= 2:
            out.append(Finding.of("weigh.no-skin", Weight.WARN, ("zones", net.zones[i]), i=Name(net.zones[i])))
    if not np.isfinite(c).all():
        out.append(Finding.of("weigh.no-heat", Weight.STOP))
    return tuple(out)


def as_found(job: Job, survey: Survey, run: Run) -> Outcome[AsFound]:
    """Reckon where the heat goes now.

    Parameters
    ----------
    job : Job
        The job.
    survey : Survey
        Adjusted faces.
    run : Run
        Progress.

    Returns
    -------
    Outcome of AsFound
        Faces with their resistance by the combined method, zone temperatures by a balance, a year's loss.

    Raises
    ------
    InputError
        If the climate, a zone or a material is missing or unknown.

    References
    ----------
    [ISO6946:2017] 6.7.2; [ISO13789:2017] 7.6; [ISO13370:2017] for faces in the ground.
    """
    base = ground(job, survey)
    run.progress("as found", 0.5)
    state = found_state(base)
    run.progress("as found", 1.0)
    return Outcome(state, state.findings, (f"Climate: {base.air.title}",))
