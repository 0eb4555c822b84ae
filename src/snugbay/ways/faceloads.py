"""Heat that each face lets through as found, air in it, and the ventilation of buffer spaces."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from snugbay.job import Job, Part, ZoneKind
from snugbay.materials import Rates
from snugbay.physics.air import ela_from_blower_door, in_series
from snugbay.physics.buffer import air_conductance
from snugbay.ways.balance import LEAST, Floats, Graph, graph, zone_kinds
from snugbay.ways.buildup import FaceR, resistance
from snugbay.ways.edges import Corner, edge_heat
from snugbay.ways.leaks import joist_bays, joist_leak, leak_as_found, opening_leak, tightness
from snugbay.ways.measure import Measured
from snugbay.ways.surroundings import Surroundings


@dataclass(frozen=True)
class Load:
    """One face as found.

    Attributes
    ----------
    r : FaceR
        Of the closed part. [m²·K/W]
    leak : float
        Effective leakage area, openings in it; for faces between a buffer space and outdoors the share of the space's
        ventilation that comes through it. [m²]
    opening_leak : float
        The openings' part of it. [m²]
    joints_leak, joist_leak : float
        Of joints and surface, and of open joist bays, before what they lead to is taken into account. [m²]
    opening_u : float
        Of doors and hatches. [W/(m²·K)]
    heat : float
        Conductance of all of it. [W/K]
    edges : float
        What the corners with its neighbours add, in ``heat``. [W/K]
    """

    r: FaceR
    leak: float
    opening_leak: float
    opening_u: float
    heat: float
    edges: float = 0.0
    joints_leak: float = 0.0
    joist_leak: float = 0.0


@dataclass(frozen=True)
class Loads:
    """All faces as found, and what no face holds.

    Attributes
    ----------
    net : Graph
        Zones and pairs.
    faces : mapping of str to Load
        By face id.
    base : array, shape (pairs,)
        Conductance of each pair that belongs to no face: ventilation of spaces of which no outer face was given. [W/K]
    """

    net: Graph
    faces: Mapping[str, Load]
    base: Floats

    def conductance(self, faces: Mapping[str, Measured], heat: Mapping[str, float]) -> Floats:
        """Conductance of each pair of zones for given conductances of the faces. [W/K], shape (pairs,)"""
        out = self.base.copy()
        for face_id, face in faces.items():
            if face.face.warm != face.face.cold:
                out[self.net.pair(face.face.warm, face.face.cold)] += heat[face_id]
        return out


def _outer(face: Measured, kinds: Mapping[str, ZoneKind]) -> str | None:
    """Return the buffer space whose outer skin the face is part of, if any."""
    sides = {face.face.warm, face.face.cold}
    buffers = [z for z in sides if kinds[z] is ZoneKind.BUFFER]
    outside = any(kinds[z] is ZoneKind.OUTSIDE for z in sides)
    return buffers[0] if len(buffers) == 1 and outside else None


def loads(
    job: Job,
    faces: tuple[Measured, ...],
    air: Surroundings,
    rates: Rates,
    corners: Mapping[str, tuple[Corner, ...]] = MappingProxyType({}),
) -> Loads:
    """Reckon all faces as found.

    Parameters
    ----------
    job : Job
        Zones and their ventilation.
    faces : tuple of Measured
        The faces.
    air : Surroundings
        Climate.
    rates : Rates
        Rates.
    corners : mapping of str to tuple of Corner
        Corners of each face, for their psi.

    Notes
    -----
    The air changes of a buffer space are shared out over its outer faces by area, so that a face made airtight takes
    its share away when the space comes inside. Leaks of other faces come from their joints, and from the joist bays
    under a knee wall; a blower-door figure makes all of them larger or smaller, and no more together than the house
    has. Those between rooms and a buffer space let no more air through than the space itself passes on: they lie in
    series with its ventilation.
    """
    net = graph(job)
    kinds = zone_kinds(job)
    base = np.zeros(len(net.pairs))
    share: dict[str, float] = {}
    for zone in job.zones:
        if zone.kind is not ZoneKind.BUFFER:
            continue
        vent = float(air_conductance(zone.volume, zone.air_changes))
        skin = [f for f in faces if _outer(f, kinds) == zone.id]
        total = sum(f.shape.area for f in skin)
        out = next(z.id for z in job.zones if z.kind is ZoneKind.OUTSIDE)
        base[net.pair(zone.id, out)] += LEAST if total > 0 else max(vent, LEAST)
        share.update({f.id: vent * f.shape.area / total / air.air_conductance for f in skin if total > 0})
    u_opening = rates["ways.opening.u_bare"].typical
    own = {f.id: _own_leak(job, faces, f, kinds, rates) for f in faces if f.id not in share}
    if job.place.blower_door is not None:
        most = float(ela_from_blower_door(job.place.blower_door))
        down = min(most / max(sum(sum(parts) for parts in own.values()), LEAST), 1.0)
        own = {i: (a * down, b * down, c * down) for i, (a, b, c) in own.items()}
    passed = _passed_on(job, faces, own, air)
    found = {}
    for face in faces:
        r = resistance(face, kinds, rates)
        joints, joists, doors = own.get(face.id, (0.0, 0.0, 0.0))
        part = passed.get(face.id, 1.0)
        leak = share.get(face.id, (joints + joists + doors) * part)
        edges = edge_heat(face, corners.get(face.id, ()), kinds)
        heat = face.area / r.total + edges + doors_heat(face, u_opening) + leak * air.air_conductance
        closed = share.get(face.id, joints)
        found[face.id] = Load(r, leak, doors * part, u_opening, heat, edges, closed, joists)
    return Loads(net, found, base)


Parts = tuple[float, float, float]
"""Leakage area of joints and surface, of open joist bays, of openings. [m²]"""


def _own_leak(
    job: Job, faces: tuple[Measured, ...], face: Measured, kinds: Mapping[str, ZoneKind], rates: Rates
) -> Parts:
    """Leaks of a face from its components, for a house as tight as this one."""
    doors = opening_leak(face, sealed=False)
    joints = leak_as_found(face, kinds) - doors
    through = face.face.part is Part.KNEE_WALL and joints > 0
    joists = joist_leak(joist_bays(faces, face), blocked=False) if through else 0.0
    factor = tightness(job.place, rates["ways.leak.usual_ach50"].typical)
    return factor * joints, factor * joists, factor * doors if joints > 0 else 0.0


def _passed_on(job: Job, faces: tuple[Measured, ...], own: Mapping[str, Parts], air: Surroundings) -> dict[str, float]:
    """Share of a leak between rooms and a buffer space that counts: both lie in series with its ventilation."""
    kinds = zone_kinds(job)
    out: dict[str, float] = {}
    for zone in job.zones:
        if zone.kind is not ZoneKind.BUFFER:
            continue
        inner = [
            f.id
            for f in faces
            if f.id in own and zone.id in (f.face.warm, f.face.cold) and ZoneKind.INSIDE in _sides(f, kinds)
        ]
        leak = sum(sum(own[i]) for i in inner)
        vent = float(air_conductance(zone.volume, zone.air_changes)) / air.air_conductance
        if leak > 0:
            out |= dict.fromkeys(inner, float(in_series(leak, vent)) / leak)
    return out


def _sides(face: Measured, kinds: Mapping[str, ZoneKind]) -> tuple[ZoneKind, ZoneKind]:
    return kinds[face.face.warm], kinds[face.face.cold]


def doors_heat(face: Measured, u: float) -> float:
    """Conductance of the doors and hatches of a face; openings without a plug are another face's place or windows.

    Notes
    -----
    An opening that no plug is wanted for may be a niche that has faces of its own: it is not counted here. [W/K]
    """
    return u * sum(o.width * o.height for o in face.face.openings if o.plug)
