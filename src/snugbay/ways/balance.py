"""Balance of zones: temperatures of buffer spaces and what the rooms lose, for many plans at once.

Everything here is linear in temperatures, so the sum over a season is the balance of the summed differences.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from snugbay.base import InputError
from snugbay.job import Job, Zone, ZoneKind
from snugbay.physics import buffer
from snugbay.ways.surroundings import Surroundings

Floats = NDArray[np.float64]
WAY_POINTS = 24
"""Points along the way from one state to another."""

LEAST = 1e-9
"""Conductance that ties a space to the outside where nothing else does. [W/K]"""


@dataclass(frozen=True)
class Graph:
    """Zones in order, and the pairs of them that faces divide.

    Attributes
    ----------
    zones : tuple of str
        Ids.
    kinds : tuple of ZoneKind
        Kind of each.
    pairs : tuple of (int, int)
        Pairs of zones with at least one face or ventilation between them, first of each pair the lower number.
    """

    zones: tuple[str, ...]
    kinds: tuple[ZoneKind, ...]
    pairs: tuple[tuple[int, int], ...]

    def pair(self, a: str, b: str) -> int:
        """Return the number of the pair of two zones."""
        i, j = self.zones.index(a), self.zones.index(b)
        return self.pairs.index((min(i, j), max(i, j)))

    @property
    def free(self) -> tuple[int, ...]:
        """Numbers of the buffer spaces."""
        return tuple(i for i, k in enumerate(self.kinds) if k is ZoneKind.BUFFER)

    @property
    def held(self) -> tuple[int, ...]:
        """Numbers of zones with a known temperature."""
        return tuple(i for i, k in enumerate(self.kinds) if k is not ZoneKind.BUFFER)


def zone_kinds(job: Job) -> dict[str, ZoneKind]:
    """Return the kind of each zone by id."""
    return {z.id: z.kind for z in job.zones}


def outside_of(job: Job) -> Zone:
    """Return the outside zone; raise `InputError` where the job has none."""
    for zone in job.zones:
        if zone.kind is ZoneKind.OUTSIDE:
            return zone
    raise InputError("The job has no outside zone.", where=("zones",), hint="Add a zone of the kind 'outside'.")


def graph(job: Job) -> Graph:
    """Build the graph of zones of a job.

    Raises
    ------
    InputError
        If the job has no inside or no outside zone.
    """
    kinds = tuple(z.kind for z in job.zones)
    if ZoneKind.INSIDE not in kinds:
        raise InputError("The job has no inside zone.", where=("zones",), hint="Add a zone of the kind 'inside'.")
    out = outside_of(job)
    names = [z.id for z in job.zones]
    found: set[tuple[int, int]] = set()
    for face in job.faces:
        i, j = names.index(face.warm), names.index(face.cold)
        if i != j:
            found.add((min(i, j), max(i, j)))
    o = names.index(out.id)
    for i, zone in enumerate(job.zones):
        if zone.kind is ZoneKind.BUFFER:
            found.add((min(i, o), max(i, o)))
    return Graph(tuple(names), kinds, tuple(sorted(found)))


def temperatures(net: Graph, conductance: Floats, held: Mapping[ZoneKind, float]) -> Floats:
    """Temperatures of all zones by a steady balance.

    Parameters
    ----------
    net : Graph
        Zones and pairs.
    conductance : array, shape (..., pairs)
        Conductance of each pair. [W/K]
    held : mapping of ZoneKind to float
        Temperature (or summed difference) of inside, outside, ground.

    Returns
    -------
    array, shape (..., zones)
        In the unit of ``held``.

    References
    ----------
    [ISO13789:2017] 7.6 and Annex A: balance of each space, solved together.
    """
    k = _between(net, conductance)
    temps = np.zeros(k.shape[:-1])
    for i in net.held:
        temps[..., i] = held[net.kinds[i]]
    if net.free:
        temps[..., list(net.free)] = buffer.free_temperatures(k, temps, net.held, net.free)
    return temps


def _between(net: Graph, conductance: Floats) -> Floats:
    """Conductances between every two zones, shape (..., zones, zones). [W/K]"""
    c = np.asarray(conductance, dtype=np.float64)
    k = np.zeros((*c.shape[:-1], len(net.zones), len(net.zones)))
    for p, (i, j) in enumerate(net.pairs):
        k[..., i, j] += c[..., p]
        k[..., j, i] += c[..., p]
    return k


def free_matrix(net: Graph, conductance: Floats) -> Floats:
    """Matrix of the balance of the buffer spaces, shape (..., free, free); see `buffer.free_matrix`. [W/K]"""
    return buffer.free_matrix(_between(net, conductance), net.free)


def season_drop(air: Surroundings) -> dict[ZoneKind, float]:
    """Summed differences to the room over the season, by kind of zone. [K·h]"""
    return {
        ZoneKind.INSIDE: 0.0,
        ZoneKind.OUTSIDE: air.degree_hours_out,
        ZoneKind.GROUND: air.degree_hours_ground,
    }


def season_loss_of(net: Graph, conductance: Floats, drop: Mapping[ZoneKind, float]) -> Floats:
    """Heat that the rooms lose in a year, from the summed differences of each kind of zone.

    Parameters
    ----------
    net : Graph
        Zones and pairs.
    conductance : array, shape (..., pairs)
        [W/K]
    drop : mapping of ZoneKind to float
        [K·h]

    Returns
    -------
    array, shape (...)
        [kWh/a]
    """
    c = np.asarray(conductance, dtype=np.float64)
    at = temperatures(net, c, drop)
    total = np.zeros(c.shape[:-1])
    for p, (i, j) in enumerate(net.pairs):
        rooms = (net.kinds[i] is ZoneKind.INSIDE, net.kinds[j] is ZoneKind.INSIDE)
        if rooms[0] and not rooms[1]:
            total += c[..., p] * at[..., j]
        elif rooms[1] and not rooms[0]:
            total += c[..., p] * at[..., i]
    return np.asarray(total / 1000.0)


ONE_DEGREE = {ZoneKind.INSIDE: 1.0, ZoneKind.OUTSIDE: 0.0, ZoneKind.GROUND: 0.0}
"""Rooms one degree over all else."""


def loss_slope(net: Graph, conductance: Floats, drop: Mapping[ZoneKind, float]) -> Floats:
    """Derivative of the rooms' loss by the conductance of each pair. [kWh/a per W/K], shape (..., pairs)

    Notes
    -----
    The product of the potential differences of the season and of one degree in the rooms.
    """
    at, unit = (temperatures(net, conductance, held) for held in (drop, ONE_DEGREE))
    ends = np.array(net.pairs)
    i, j = ends[:, 0], ends[:, 1]
    return np.asarray((at[..., j] - at[..., i]) * (unit[..., i] - unit[..., j]) / 1000.0)


def mean_slope(net: Graph, before: Floats, after: Floats, drop: Mapping[ZoneKind, float]) -> Floats:
    """Mean of `loss_slope` along the straight way from one state to another. [kWh/a per W/K], shape (pairs,)

    Parameters
    ----------
    net : Graph
        Zones and pairs.
    before, after : array, shape (pairs,)
        [W/K]
    drop : mapping of ZoneKind to float
        [K·h]

    Notes
    -----
    What a cause takes off a pair's conductance, times this, is its part of the saving: all causes grow together from
    nothing to the whole, so that none comes first, and their parts add up to the whole (Aumann and Shapley's value,
    Shapley's for causes that can be had in part; from memory). Gauss-Legendre points.
    """
    x, w = np.polynomial.legendre.leggauss(WAY_POINTS)
    t = 0.5 * (x + 1.0)[:, None]
    return np.asarray(0.5 * w @ loss_slope(net, before + t * (after - before), drop))


def season_loss(net: Graph, conductance: Floats, air: Surroundings) -> Floats:
    """Heat that the rooms lose in a year through all of it; see `season_loss_of`. [kWh/a]"""
    return season_loss_of(net, conductance, season_drop(air))
