"""Jobs and surveys built from corners in space, for the tests of pieces."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import atan2, pi

import numpy as np
from numpy.typing import NDArray

from snugbay.job import Access, Face, Fuel, Job, Join, Part, Place, Stock, Tool, Units, You, Zone, ZoneKind
from snugbay.survey import AdjustedFace, Frame, Survey, Vector3

Array = NDArray[np.float64]
Corners = Sequence[Sequence[float]]

WIDE_OPEN = Access(3.0, 3.0, 10.0, 10.0)


def vector(v: Array) -> Vector3:
    return (float(v[0]), float(v[1]), float(v[2]))


def adjusted(face_id: str, corners: Corners, sigma: float = 0.0, up: Sequence[float] = (0.0, 0.0, 1.0)) -> AdjustedFace:
    """A face from its corners in space, counter-clockwise as seen from the boards' side; x along the first edge."""
    p = np.asarray(corners, dtype=float)
    ex = (p[1] - p[0]) / np.linalg.norm(p[1] - p[0])
    normal = np.zeros(3)
    for k in range(len(p)):
        normal += np.cross(p[k] - p[0], p[(k + 1) % len(p)] - p[0])
    normal /= np.linalg.norm(normal)
    ey = np.cross(normal, ex)
    flat = [(float((q - p[0]) @ ex), float((q - p[0]) @ ey)) for q in p]
    n = len(p)
    covariance = tuple(tuple(sigma**2 if i == j else 0.0 for j in range(2 * n)) for i in range(2 * n))
    x, y = np.array(flat).T
    area = 0.5 * abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))))
    frame = Frame(vector(p[0]), vector(ex), vector(ey), vector(normal))
    return AdjustedFace(face_id, names(n), tuple(flat), covariance, (), area, frame)


def names(n: int) -> tuple[str, ...]:
    return tuple("ABCDEFGHJKLMNP"[k] for k in range(n))


def face(face_id: str, n: int, part: Part = Part.WALL, **more: object) -> Face:
    made = Face(face_id, face_id, part, "room", "out", "room", pi / 2, names(n), ())
    return replace(made, **more)  # type: ignore[arg-type]


def joins_of(faces: Mapping[str, Corners], sigma: float = 0.0) -> tuple[Join, ...]:
    """Joins wherever two faces share an edge, with the angle of the geometry."""
    edges: list[tuple[str, int, Array, Array]] = []
    for face_id, corners in faces.items():
        p = np.asarray(corners, dtype=float)
        edges += [(face_id, k, p[k], p[(k + 1) % len(p)]) for k in range(len(p))]
    found = []
    for i, (a, ka, pa, qa) in enumerate(edges):
        for b, kb, pb, qb in edges[i + 1 :]:
            if a != b and np.allclose(pa, qb, atol=1e-9) and np.allclose(qa, pb, atol=1e-9):
                na, nb = len(faces[a]), len(faces[b])
                edge_a = (names(na)[ka], names(na)[(ka + 1) % na])
                edge_b = (names(nb)[kb], names(nb)[(kb + 1) % nb])
                found.append(Join(a, edge_a, b, edge_b, dihedral(faces[a], ka, faces[b], kb), "", sigma))
    return tuple(found)


def dihedral(a: Corners, ka: int, b: Corners, kb: int) -> float:
    fa, fb = adjusted("a", a).frame, adjusted("b", b).frame
    assert fa is not None
    assert fb is not None
    ua, ub = _into(a, ka, fa), _into(b, kb, fb)
    return float(atan2(float(ub @ np.array(fa.normal)), float(ub @ ua)) % (2 * pi))


def _into(corners: Corners, k: int, frame: Frame) -> Array:
    p = np.asarray(corners, dtype=float)
    along = p[(k + 1) % len(p)] - p[k]
    side = np.cross(np.array(frame.normal), along)
    return np.asarray(side / np.linalg.norm(side))


def job_of(
    faces: Sequence[Face], joins: Sequence[Join] = (), access: Access = WIDE_OPEN, units: Units = Units.MM
) -> Job:
    zones = (Zone("room", "room", ZoneKind.INSIDE), Zone("out", "outside", ZoneKind.OUTSIDE))
    place = Place("anywhere", Fuel("gas", 0.1, 0.9, 0.2))
    you = You(20.0, tools=(Tool.KNIFE,))
    return Job("test", "Test", units, place, zones, access, tuple(faces), tuple(joins), Stock(), you)


def survey_of(faces: Sequence[AdjustedFace]) -> Survey:
    return Survey(tuple(faces), (), (), (), 0.0, 1.0, 1)


def room(
    corners: Mapping[str, Corners], parts: Mapping[str, Part] | None = None, sigma: float = 0.0
) -> tuple[Job, Survey]:
    """A job and its survey from the corners of faces in space."""
    parts = parts or {}
    faces = [face(k, len(v), parts.get(k, Part.WALL)) for k, v in corners.items()]
    survey = survey_of([adjusted(k, v, sigma) for k, v in corners.items()])
    return job_of(faces, joins_of(corners)), survey


def wall(width: float, height: float) -> Corners:
    return [(0, 0, 0), (width, 0, 0), (width, 0, height), (0, 0, height)]


def box_faces(w: float, d: float, h: float, outside: bool) -> dict[str, Corners]:
    """The six faces of a box, seen from inside or from outside."""
    p = {(i, j, k): (i * w, j * d, k * h) for i in (0, 1) for j in (0, 1) for k in (0, 1)}
    quads = {
        "bottom": [(0, 0, 0), (1, 0, 0), (1, 1, 0), (0, 1, 0)],
        "top": [(0, 0, 1), (0, 1, 1), (1, 1, 1), (1, 0, 1)],
        "front": [(0, 0, 0), (0, 0, 1), (1, 0, 1), (1, 0, 0)],
        "back": [(0, 1, 0), (1, 1, 0), (1, 1, 1), (0, 1, 1)],
        "left": [(0, 0, 0), (0, 1, 0), (0, 1, 1), (0, 0, 1)],
        "right": [(1, 0, 0), (1, 0, 1), (1, 1, 1), (1, 1, 0)],
    }
    found: dict[str, Corners] = {}
    for name, quad in quads.items():
        points = [p[q] for q in quad]
        found[name] = points[::-1] if outside else points
    return found
