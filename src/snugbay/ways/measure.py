"""What a face measures: areas, edges, bays, what interrupts it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from snugbay.job import Face, Framing, Job
from snugbay.physics.heat import HeatFlow, flow_through
from snugbay.survey import AdjustedFace, Point, Survey

LEVEL = math.radians(30.0)
"""Faces flatter than this count as floors or ceilings for where a person stands."""


@dataclass(frozen=True)
class Measured:
    """A face of the job with its adjusted shape.

    Attributes
    ----------
    face : Face
        As in the job.
    shape : AdjustedFace
        As adjusted.
    area, opening_area : float
        Net of openings, and the openings. [m²]
    perimeter : float
        Of the outline. [m]
    opening_edge : float
        Perimeter of all openings. [m]
    plugged : bool
        True where every opening is to get a plug.
    flow : HeatFlow
        Direction of heat flow in winter.
    bays : int
        Number of framing bays, 0 without framing.
    framing_share : float
        Share of the area taken by framing. [-]
    """

    face: Face
    shape: AdjustedFace
    area: float
    opening_area: float
    perimeter: float
    opening_edge: float
    plugged: bool
    flow: HeatFlow
    bays: int
    framing_share: float

    @property
    def id(self) -> str:
        """Face id."""
        return self.face.id

    @property
    def from_inside(self) -> bool:
        """True where the board is fitted from the warm side."""
        return self.face.board_side == self.face.warm

    @property
    def level(self) -> bool:
        """True for floors and ceilings."""
        return self.face.tilt < LEVEL

    @property
    def span(self) -> tuple[float, float]:
        """Width and height of the box round the outline. [m]"""
        xs, ys = [p[0] for p in self.shape.points], [p[1] for p in self.shape.points]
        return max(xs) - min(xs), max(ys) - min(ys)


def _perimeter(points: tuple[Point, ...]) -> float:
    return sum(math.dist(a, b) for a, b in zip(points, (*points[1:], points[0]), strict=True))


def warm_below(face: Face) -> bool:
    """Tell whether the warm side of a face that is not plumb lies below it.

    A person who looks down at the face stands above it: what is on the boards' side is then above.
    """
    board_side_above = not face.overhead
    return (face.board_side == face.cold) == board_side_above


def bay_count(framing: Framing, width: float, height: float) -> int:
    """Count the bays that framing makes across a face of that box; parts of bays at the ends count."""
    across = width if framing.direction == "up" else height
    if framing.spacing <= 0:
        return 0
    first = framing.first % framing.spacing
    members = math.floor((across - first) / framing.spacing + 1e-9) + 1 if across >= first else 0
    ends = int(first - framing.width / 2 > 1e-3)
    last = first + (members - 1) * framing.spacing + framing.width / 2
    ends += int(across - last > 1e-3)
    return max(members - 1 + ends, 1)


def measured(job: Job, survey: Survey) -> tuple[Measured, ...]:
    """Measure every face of the job, in the job's order.

    Raises
    ------
    UnknownName
        If a face was not surveyed, or names a zone that the job has not.
    """
    for face in job.faces:
        for zone in (face.warm, face.cold):
            job.zone(zone)
    return tuple(measure(face, survey.face(face.id)) for face in job.faces)


def measure(face: Face, shape: AdjustedFace) -> Measured:
    """Measure one face."""
    holes = sum(o.width * o.height for o in face.openings)
    width, height = _box(shape.points)
    framing = face.framing
    return Measured(
        face=face,
        shape=shape,
        area=max(shape.area - holes, 0.0),
        opening_area=holes,
        perimeter=_perimeter(shape.points),
        opening_edge=sum(2 * (o.width + o.height) for o in face.openings),
        plugged=bool(face.openings) and all(o.plug for o in face.openings),
        flow=flow_through(math.degrees(min(face.tilt, math.pi - face.tilt)), warm_side_below=warm_below(face)),
        bays=bay_count(framing, width, height) if framing else 0,
        framing_share=min(framing.width / framing.spacing, 1.0) if framing and framing.spacing > 0 else 0.0,
    )


def _box(points: tuple[Point, ...]) -> tuple[float, float]:
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return max(xs) - min(xs), max(ys) - min(ys)
