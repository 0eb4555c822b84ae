"""Edges that lie on each other in space although no join says so: their boards run into each other, or do not meet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from math import atan2, degrees, pi

import numpy as np

from snugbay.base import Fact, Finding, Said, Weight
from snugbay.base.facts import Angle, FaceRef, Name, ReadingRef
from snugbay.job import Face, Job
from snugbay.job.runs import edges_between, sides
from snugbay.survey.network import Floats
from snugbay.survey.values import AdjustedFace, Survey

TOUCHING = 0.1
"""Edges this near to each other all along are one corner of the house: boards are as thick. [m]"""
ALIKE = 0.6
"""Edges that meet have lengths alike, the shorter at least this share of the longer. [-]"""
INSIDE = (pi / 12, pi - pi / 9)
"""Openings at which boards of the two faces run into each other. [rad]"""
OUTSIDE = (pi + pi / 9, 2.0 * pi - pi / 12)
"""Openings at which boards of both faces stop short and leave the corner bare. [rad]"""
SAMPLES = 9


@dataclass(frozen=True)
class Unjoined:
    """Two edges that meet, unjoined, at a corner of the house.

    Attributes
    ----------
    a, b : str
        Face ids.
    edge_a, edge_b : (str, str)
        From first to last corner, counter-clockwise; a run of edges where stations break it.
    opening : float
        Angle of the open air between the two, as the faces stand. [rad]
    apart : float
        Greatest distance between the two edges. [m]
    """

    a: str
    b: str
    edge_a: tuple[str, str]
    edge_b: tuple[str, str]
    opening: float
    apart: float

    @property
    def outside(self) -> bool:
        """True where the corner juts out: boards do not meet there, and the corner stays bare."""
        return self.opening > pi


@dataclass(frozen=True)
class _Edge:
    """A free edge in space: its ends, shape (2, 3), and the unit normal into its face. [m]"""

    face: str
    name: tuple[str, str]
    ends: Floats
    into: Floats


def unjoined(job: Job, survey: Survey) -> tuple[Unjoined, ...]:
    """Return the edges that meet at a corner without a join.

    Notes
    -----
    Only faces that stand in one space, held by joins or boxes, and are boarded from the same side are looked at. An
    edge is a side of the outline, or the run of sides that stations make of one.
    """
    home = _together(job)
    free = {face.id: tuple(_free_edges(job, face, survey.face(face.id))) for face in job.faces}
    found = []
    for one, other in combinations(job.faces, 2):
        if home[one.id] != home[other.id] or one.board_side != other.board_side:
            continue
        for a in free[one.id]:
            found += [m for b in free[other.id] if (m := _met(a, b, survey)) is not None]
    return tuple(found)


def _together(job: Job) -> dict[str, str]:
    """Return for each face the first of those that stand in one space with it."""
    home = {face.id: face.id for face in job.faces}
    pairs = [(j.a, j.b) for j in job.joins]
    pairs += [(host.face, face) for host in job.hosts for face in host.faces]
    for a, b in pairs:
        old, new = home[b], home[a]
        home = {face: new if place == old else place for face, place in home.items()}
    return home


def _free_edges(job: Job, face: Face, adjusted: AdjustedFace) -> Iterator[_Edge]:
    if adjusted.frame is None:
        return
    frame = adjusted.frame
    axes = np.array([frame.ex, frame.ey, frame.normal])
    for side in free_sides(job, face):
        flat = np.array([adjusted.point(side[0]), adjusted.point(side[1])])
        along = (flat[1] - flat[0]) / max(float(np.linalg.norm(flat[1] - flat[0])), 1e-9)
        ends = np.array(frame.origin) + np.column_stack([flat, np.zeros(2)]) @ axes
        yield _Edge(face.id, side, ends, np.array([-along[1], along[0], 0.0]) @ axes)


def free_sides(job: Job, face: Face) -> tuple[tuple[str, str], ...]:
    """Return the sides of a face that no join reaches."""
    ends = [(j.a, j.edge_a) for j in job.joins] + [(j.b, j.edge_b) for j in job.joins]
    joined = {edge for own, side in ends if own == face.id for edge in edges_between(face, side)}
    return tuple(side for side in sides(face) if joined.isdisjoint(edges_between(face, side)))


def _met(a: _Edge, b: _Edge, survey: Survey) -> Unjoined | None:
    long = [float(np.linalg.norm(e.ends[1] - e.ends[0])) for e in (a, b)]
    if min(long) < ALIKE * max(long):
        return None
    share = np.linspace(0.0, 1.0, SAMPLES)[:, None]
    on_a = a.ends[0] + share * (a.ends[1] - a.ends[0])
    on_b = b.ends[1] + share * (b.ends[0] - b.ends[1])  # counter-clockwise edges run against each other
    apart = np.linalg.norm(on_a - on_b, axis=1)
    # the lengths may differ at one end: most of the edge counts
    if float(np.sort(apart)[int(ALIKE * SAMPLES)]) > TOUCHING:
        return None
    frame = survey.face(a.face).frame
    assert frame is not None
    opening = atan2(float(b.into @ np.array(frame.normal)), float(b.into @ a.into)) % (2.0 * pi)
    if not any(low < opening < high for low, high in (INSIDE, OUTSIDE)):
        return None
    return Unjoined(a.face, b.face, a.name, b.name, opening, float(apart.max()))


def unjoined_said(one: Unjoined) -> Said:
    """Return what is wrong and what to write."""
    edge_a, edge_b = "-".join(one.edge_a), "-".join(one.edge_b)
    line = f'[[joins]] a = ["{one.a}", "{edge_a}"] b = ["{one.b}", "{edge_b}"] angle = {degrees(one.opening):.0f}'
    facts: dict[str, Fact] = {
        "a": FaceRef(one.a),
        "edge_a": ReadingRef(edge_a),
        "b": FaceRef(one.b),
        "edge_b": ReadingRef(edge_b),
        "opening": Angle(one.opening),
        "line": Name(line),
    }
    if one.outside:
        return Said.of("survey.unjoined-outside", **facts)
    return Said.of("survey.unjoined", **facts)


def unjoined_findings(job: Job, survey: Survey) -> tuple[Finding, ...]:
    """Return a warning for each corner of the house that no join tells of."""
    return tuple(
        Finding(said.code, weight=Weight.WARN, where=("faces", one.a), facts=said.facts)
        for one in unjoined(job, survey)
        for said in (unjoined_said(one),)
    )
