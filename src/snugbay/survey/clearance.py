"""How high the space is where a person works: from the faces round it, as they stand."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from snugbay.job import Face, Job, ZoneKind
from snugbay.survey.values import AdjustedFace, Point, Survey

REACH = 0.3
"""Head and shoulders are where it is highest within this of a piece, measured level (assumption). [m]"""
SPOTS = 8
"""Directions that are looked into for a higher place. [-]"""
GRID = 5
"""Places along each side of a face's box at which its working height is looked at. [-]"""
PLUMB_OVER = math.cos(math.radians(80.0))
"""A face whose normal leans less than this from level is a wall: nothing lies on it or hangs from it. [-]"""
PLAY = 0.02
"""A face reaches this far past its own edges: those of its neighbours were measured by hand. [m]"""
OFF = 0.03
"""Places are looked at this far off the face, on the boards' side. [m]"""
NEAR = 1e-6
"""Steps that go behind a face by no more than this stay before it. [m]"""
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class _Sheet:
    """A face that lies or slopes: its outline seen from above, and z = c + a·x + b·y on it."""

    plan: Polygon
    a: float
    b: float
    c: float

    def heights(self, x: Floats, y: Floats) -> Floats:
        """Height of the face over each place, NaN beside it. [m]"""
        z = self.c + self.a * x + self.b * y
        return np.asarray(np.where(shapely.intersects_xy(self.plan, x, y), z, np.nan))


def _sheet(face: AdjustedFace) -> _Sheet | None:
    frame = face.frame
    if frame is None or abs(frame.normal[2]) < PLUMB_OVER:
        return None
    at = _in_space(face, face.points)
    plan = Polygon(at[:, :2]).buffer(PLAY, join_style="mitre")
    nx, ny, nz = frame.normal
    a, b = -nx / nz, -ny / nz
    return _Sheet(plan, a, b, float(at[0, 2] - a * at[0, 0] - b * at[0, 1]))


def _in_space(face: AdjustedFace, points: Sequence[Point]) -> Floats:
    frame = face.frame
    assert frame is not None
    flat = np.asarray(points, dtype=np.float64).reshape(-1, 2)
    made = np.asarray(frame.origin) + flat[:, :1] * np.asarray(frame.ex) + flat[:, 1:] * np.asarray(frame.ey)
    return np.asarray(made, dtype=np.float64)


def _clear(sheets: Sequence[_Sheet], spots: Floats) -> Floats:
    """Height between what lies under and what hangs over each spot; NaN where one of them is not known. [m]"""
    if len(sheets) < 2:
        return np.full(len(spots), np.nan)
    x, y, z = spots[:, 0], spots[:, 1], spots[:, 2]
    at = np.stack([s.heights(x, y) for s in sheets])
    with np.errstate(invalid="ignore"):
        under = np.where(at <= z, at, -np.inf).max(axis=0)
        over = np.where(at > z, at, np.inf).min(axis=0)
    height = over - under
    return np.where(np.isfinite(height), height, np.nan)


@dataclass(frozen=True)
class Clearance:
    """How high it is where the faces of a job are worked.

    Attributes
    ----------
    job, survey
        Faces and zones; the adjusted faces: where they stand in space tells how high it is between them.
    sheets : mapping of str to tuple
        Floors, ceilings and slopes of each buffer space.
    """

    job: Job
    survey: Survey
    sheets: Mapping[str, tuple[_Sheet, ...]]

    def heights(self, face: Face, places: Sequence[Point]) -> tuple[float, ...]:
        """Return the working height at places in the plane of a face, one for each. [m]

        Notes
        -----
        The height that was stated for the face, wherever it was. Else the clear height of a buffer space between its
        own floor and roof, at the highest spot near the place on the boards' side, no more than the space is said to
        be high. Where floor or roof is not among the faces, and in rooms, the height taken for the face.
        """
        usual = face.headroom
        zone = self.job.zone(face.board_side)
        adjusted = self.survey.face(face.id)
        if face.headroom_told or zone.id not in self.sheets or adjusted.frame is None or not places:
            return (usual,) * len(places)
        normal = np.asarray(adjusted.frame.normal)
        at = _in_space(adjusted, places) + OFF * normal
        best = np.full(len(places), np.nan)
        for away in (0.0, REACH / 2, REACH):
            for k in range(SPOTS if away else 1):
                turn = 2 * math.pi * k / SPOTS
                step = away * np.array([math.cos(turn), math.sin(turn), 0.0])
                if float(step @ normal) >= -NEAR:
                    best = np.fmax(best, _clear(self.sheets[zone.id], at + step))
        most = zone.height if zone.height_told else math.inf
        return tuple(usual if math.isnan(h) else float(min(h, most)) for h in best)

    def over(self, face: Face) -> tuple[float, ...]:
        """Return working heights spread evenly over a face. [m]"""
        return self.heights(face, _spread(self.survey.face(face.id)))

    def middle(self, face: Face) -> float:
        """Return the middle of the working heights over a face. [m]"""
        return float(np.median(self.over(face)))


def clearance(job: Job, survey: Survey) -> Clearance:
    """Gather what tells how high the spaces of a job are; boxes that stand in a space are no floor to kneel on."""
    found: dict[str, tuple[_Sheet, ...]] = {}
    for zone in job.zones:
        if zone.kind is ZoneKind.BUFFER:
            own = [f.id for f in job.faces if zone.id in (f.warm, f.cold) and not f.part.value.startswith("box")]
            sheets = (_sheet(survey.face(i)) for i in own)
            found[zone.id] = tuple(s for s in sheets if s is not None)
    return Clearance(job, survey, found)


def _spread(adjusted: AdjustedFace) -> tuple[Point, ...]:
    """Places spread evenly over a face. [m]"""
    xs, ys = [p[0] for p in adjusted.points], [p[1] for p in adjusted.points]
    steps = (np.arange(GRID) + 0.5) / GRID
    x, y = np.meshgrid(min(xs) + steps * (max(xs) - min(xs)), min(ys) + steps * (max(ys) - min(ys)))
    inside = shapely.intersects_xy(Polygon(adjusted.points), x.ravel(), y.ravel())
    found = tuple((float(a), float(b)) for a, b, ok in zip(x.ravel(), y.ravel(), inside, strict=True) if ok)
    return found or ((float(np.mean(xs)), float(np.mean(ys))),)
