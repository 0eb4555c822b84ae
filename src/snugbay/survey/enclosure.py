"""Spaces that may come inside the line although the faces described cannot enclose them."""

from __future__ import annotations

import math

from snugbay.base import Finding, Said, Weight
from snugbay.base.facts import Area, Length, Name, names
from snugbay.job import Face, Job, Zone, ZoneKind
from snugbay.survey.values import Point, Survey

LEVEL = math.radians(20.0)
"""Faces flatter than this are floors and ceilings, steeper ones are walls and slopes. [rad]"""
PLUMB = math.radians(70.0)
"""Faces steeper than this are walls. [rad]"""
FLAT_SHARE, SLOPED_SHARE = 0.85, 0.5
"""Least described share of the walls that are reckoned for a space with upright walls, and for one under a slope, where
they run out to nothing; below it they are plainly incomplete (assumption). [-]"""


def enclosure_findings(job: Job, survey: Survey) -> tuple[Finding, ...]:
    """Return a warning for each space that may come inside and whose walls are plainly not all described.

    Notes
    -----
    The walls of a space come to the length round its floor or ceiling times its height. The length is that of the one
    described floor or ceiling, or at least that of a circle of as much area where there are several; without any, the
    area is the volume by the height, where both were given.
    """
    found = [_open(job, survey, z) for z in job.zones if z.kind is ZoneKind.BUFFER and z.may_come_inside]
    return tuple(f for f in found if f is not None)


def _round(points: tuple[Point, ...]) -> float:
    return sum(math.dist(p, q) for p, q in zip(points, (*points[1:], points[0]), strict=True))


def _level(face: Face) -> bool:
    return not LEVEL <= face.tilt <= math.pi - LEVEL


def _open(job: Job, survey: Survey, zone: Zone) -> Finding | None:
    faces = [f for f in job.faces if zone.id in (f.warm, f.cold)]
    flat = [f for f in faces if _level(f)]
    walls = [f for f in faces if not _level(f)]
    areas = {f.id: survey.face(f.id).area for f in faces}
    assumed = f"zones.{zone.id}.height" in {d.where for d in job.defaults}
    if assumed and not flat:
        return None
    over = max(flat, key=lambda f: areas[f.id]) if flat else None
    if over is None:
        ground = zone.volume / zone.height
    else:
        ground = sum(areas[f.id] for f in flat if f.overhead == over.overhead)
    alone = over is not None and ground <= areas[over.id] * 1.001
    length = _round(survey.face(over.id).points) if over is not None and alone else math.sqrt(4.0 * math.pi * ground)
    need, there = length * zone.height, sum(areas[f.id] for f in walls)
    sloped = any(not PLUMB <= f.tilt <= math.pi - PLUMB for f in walls)
    if there >= (SLOPED_SHARE if sloped or not flat else FLAT_SHARE) * need:
        return None
    both = len({f.overhead for f in flat}) > 1
    return Finding.of(
        "survey.not-enclosed",
        Weight.WARN,
        ("zones", zone.id),
        space=Name(zone.title),
        zone=Name(zone.id),
        length=Length(length),
        height=Length(zone.height),
        walls=Area(need),
        described=Area(there),
        which=names(f.id for f in walls) if walls else Said.of("survey.said.none"),
        floor=None if both else Said.of("survey.said.and-the-floor"),
    )
