"""Heat that each face lets through as found, air in it, and the ventilation of buffer spaces."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from snugbay.job import Job, ZoneKind
from snugbay.materials import Rates
from snugbay.physics.buffer import air_conductance
from snugbay.ways.balance import LEAST, Floats, Graph, graph, zone_kinds
from snugbay.ways.buildup import FaceR, resistance
from snugbay.ways.edges import Corner, edge_heat
from snugbay.ways.leaks import leak_as_found, opening_leak
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
    its share away when the space comes inside. Leaks of other faces come from their joints.
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
    found = {}
    for face in faces:
        r = resistance(face, kinds, rates)
        leak = share.get(face.id)
        doors = opening_leak(face, sealed=False) if leak is None else 0.0
        if leak is None:
            leak = leak_as_found(face, kinds)
        edges = edge_heat(face, corners.get(face.id, ()), kinds)
        heat = face.area / r.total + edges + doors_heat(face, u_opening) + leak * air.air_conductance
        found[face.id] = Load(r, leak, doors, u_opening, heat, edges)
    return Loads(net, found, base)


def doors_heat(face: Measured, u: float) -> float:
    """Conductance of the doors and hatches of a face; openings without a plug are another face's place or windows.

    Notes
    -----
    An opening that no plug is wanted for may be a niche that has faces of its own: it is not counted here. [W/K]
    """
    return u * sum(o.width * o.height for o in face.face.openings if o.plug)
