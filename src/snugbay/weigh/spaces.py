"""Buffer spaces by the hour, as found and after the work: cold, frost, damp on the roof's inner face."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from snugbay.base import Finding, Weight
from snugbay.base.facts import Name
from snugbay.job import Part, ZoneKind
from snugbay.physics import buffer
from snugbay.physics.climate import HourlyYear
from snugbay.ways.found import Ground
from snugbay.weigh.afterwards import SpaceByHour

SHADE_DEG = 0.0
"""Direction that roofs are taken to face, north: the job does not say, and the coldest is the safe one. [deg]"""

A_DAY = 24.0
"""Hours that count as a change. [h]"""

LEAST_AIR = 1e-6
"""Air that passes through any space at the least. [m³/s]"""


@dataclass(frozen=True)
class FaceState:
    """A face in one state.

    Attributes
    ----------
    heat : float
        Conductance, openings and air in it. [W/K]
    leak : float
        Effective leakage area. [m²]
    r : float
        Resistance with films. [m²·K/W]
    """

    heat: float
    leak: float
    r: float


def _node(base: Ground, zone: str, inside: tuple[str, ...]) -> str:
    kind = base.job.zone(zone).kind
    if kind is ZoneKind.BUFFER:
        return "inside" if zone in inside else zone
    return {ZoneKind.INSIDE: "inside", ZoneKind.OUTSIDE: "outside", ZoneKind.GROUND: "ground"}[kind]


def network_of(base: Ground, state: Mapping[str, FaceState], inside: tuple[str, ...]) -> buffer.Network:
    """Graph of the zones with the faces in one state; spaces inside the line are rooms. [W/K]"""
    net, by_id = base.loads.net, base.by_id
    c = base.loads.conductance(by_id, {i: s.heat for i, s in state.items()})
    links = []
    for (i, j), h in zip(net.pairs, c, strict=True):
        a, b = _node(base, net.zones[i], inside), _node(base, net.zones[j], inside)
        if a != b:
            links.append(buffer.Link(a, b, float(h)))
    return buffer.network(links)


def _roof(base: Ground, zone: str, state: Mapping[str, FaceState]) -> buffer.Roof | None:
    """Largest slope or ceiling between a space and outdoors."""
    over = [
        f
        for f in base.faces
        if {f.face.warm, f.face.cold} >= {zone}
        and f.face.part in (Part.SLOPE, Part.CEILING)
        and any(base.job.zone(z).kind is ZoneKind.OUTSIDE for z in (f.face.warm, f.face.cold))
    ]
    if not over:
        return None
    face = max(over, key=lambda f: f.area)
    slope = float(np.degrees(min(face.face.tilt, np.pi - face.face.tilt)))
    return buffer.Roof(face.area, 1.0 / state[face.id].r, slope, SHADE_DEG)


def air_flows(base: Ground, zone: str, state: Mapping[str, FaceState], inside: tuple[str, ...]) -> tuple[float, float]:
    """Air into a space from the rooms and from outdoors. [m³/s] Half of each leak lets air out of the rooms."""
    rooms = sum(
        state[f.id].leak
        for f in base.faces
        if zone in (f.face.warm, f.face.cold)
        and any(_node(base, z, inside) == "inside" for z in (f.face.warm, f.face.cold))
    )
    own = base.job.zone(zone)
    return 0.5 * rooms * base.air.leak_speed, own.volume * own.air_changes / 3600.0 + LEAST_AIR


def space_of(
    base: Ground, zone: str, year: HourlyYear, state: Mapping[str, FaceState], inside: tuple[str, ...]
) -> buffer.SpaceYear:
    """Run one space through the year in one state."""
    net = network_of(base, state, inside)
    roof = _roof(base, zone, state)
    room, out = air_flows(base, zone, state, inside)
    own = base.job.zone(zone)
    return buffer.space_year(
        net,
        zone,
        year,
        inside_c=base.air.setpoint_c,
        fixed={"ground": base.air.ground_c},
        roof=roof,
        from_room=room if roof is not None else None,
        from_outside=out if roof is not None else None,
        humidity_class=base.job.place.humidity_class,
        pipes=bool(own.pipes),
    )


def _worse(was: buffer.SpaceYear, will: buffer.SpaceYear, year: HourlyYear) -> list[Finding]:
    """Findings on the space after the work; dampness no worse than it was, or than outdoor air brings, is a note."""
    found = []
    for finding in will.findings:
        grown = True
        if will.deck is not None and was.deck is not None:
            open_air = buffer.deck_year(year.t, year.vapour_pa)
            grown = bool(
                will.deck.wet_hours > max(was.deck.wet_hours, open_air.wet_hours) + A_DAY
                or will.deck.damp_hours > max(was.deck.damp_hours, open_air.damp_hours) + A_DAY
            )
        stays = finding.code.startswith("buffer.deck") and not grown
        found.append(replace(finding, weight=Weight.NOTE) if stays else finding)
    return found


def spaces_by_hour(
    base: Ground,
    year: HourlyYear,
    before: Mapping[str, FaceState],
    after: Mapping[str, FaceState],
    inside: tuple[str, ...],
) -> tuple[tuple[SpaceByHour, ...], tuple[Finding, ...]]:
    """Run every buffer space that stays outside the line through a year, as found and after the work.

    Parameters
    ----------
    base : Ground
        The job, measured.
    year : HourlyYear
        Weather.
    before, after : mapping of str to FaceState
        Every face, by id.
    inside : tuple of str
        Spaces brought inside the line.

    Returns
    -------
    tuple of SpaceByHour, tuple of Finding
        Figures; what is notable, zone ids as place.

    Notes
    -----
    The roof faces north (the job does not say where it faces): the sun that would warm the space counts least so.
    """
    rows, found = [], []
    for zone in base.job.zones:
        if zone.kind is not ZoneKind.BUFFER or zone.id in inside:
            continue
        was = space_of(base, zone.id, year, before, ())
        will = space_of(base, zone.id, year, after, inside)
        title = zone.title or zone.id
        for finding in (*_worse(was, will, year), *buffer.compare_space(was, will)):
            found.append(replace(finding, where=("zones", zone.id)).having(zone=Name(title)))
        rows.append(
            SpaceByHour(
                zone.id,
                float(was.monthly_c.min()),
                float(will.monthly_c.min()),
                was.least_c,
                will.least_c,
                was.frost_hours,
                will.frost_hours,
                float(was.deck.wet_hours) if was.deck is not None else None,
                float(will.deck.wet_hours) if will.deck is not None else None,
                bool(zone.pipes),
            )
        )
    return tuple(rows), tuple(found)
