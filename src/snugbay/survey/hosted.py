"""Boxes that stand in openings of other faces are set in their place."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from snugbay.job import Face, Host, Job
from snugbay.survey.values import AdjustedFace, Frame, Survey

Floats = NDArray[np.float64]


def _matrix(frame: Frame) -> Floats:
    """Return the turn of a frame, columns ex, ey, normal, shape (3, 3)."""
    return np.stack([np.array(frame.ex), np.array(frame.ey), np.array(frame.normal)], axis=1)


def _frame(turn: Floats, place: Floats) -> Frame:
    ex, ey, normal = ((float(c[0]), float(c[1]), float(c[2])) for c in turn.T)
    return Frame((float(place[0]), float(place[1]), float(place[2])), ex, ey, normal)


def _along_first_edge(face: AdjustedFace) -> Floats:
    """Return the plane axes that openings are measured in: origin, along the first edge, square to it; shape (3, 2)."""
    a, b = np.array(face.points[0]), np.array(face.points[1])
    u = (b - a) / np.linalg.norm(b - a)
    return np.array([a, u, [-u[1], u[0]]])


def _target(host: Host, on: Face, adjusted: AdjustedFace, back: AdjustedFace) -> tuple[Floats, Floats]:
    """Return turn (3, 3) and place (3,) of the box's back. [m]"""
    frame = adjusted.frame
    if frame is None:  # pragma: no cover - every surveyed face has a frame
        raise ValueError(on.id)
    opening = next(o for o in on.openings if o.name == host.opening)
    origin, u, v = _along_first_edge(adjusted)
    turn = _matrix(frame)
    flat = origin + opening.x * u + opening.y * v
    corner = np.array(frame.origin) + turn @ np.array([flat[0], flat[1], host.standoff])
    along = turn[:, :2] @ np.array([u, v]).T
    own = _along_first_edge(back)
    stood = np.column_stack([along, turn[:, 2]])
    lying = np.column_stack([np.array([*own[1], 0.0]), np.array([*own[2], 0.0]), np.array([0.0, 0.0, 1.0])])
    new_turn = stood @ lying.T
    return new_turn, corner - new_turn @ np.array([*own[0], 0.0])


def stand_in_hosts(job: Job, survey: Survey) -> Survey:
    """Return the survey with every hosted box moved, as one body, to stand over its opening.

    Notes
    -----
    The back lies parallel to the host at the standoff, its first corner over the opening's lower left corner. Nothing
    in the plane of a face changes.
    """
    moved = {face.id: face for face in survey.faces}
    for host in job.hosts:
        back = moved[host.root]
        if back.frame is None:
            continue
        turn, place = _target(host, job.face(host.face), moved[host.face], back)
        rotation = turn @ _matrix(back.frame).T
        shift = place - rotation @ np.array(back.frame.origin)
        for face_id in host.faces:
            face = moved[face_id]
            if face.frame is not None:
                body = _frame(rotation @ _matrix(face.frame), rotation @ np.array(face.frame.origin) + shift)
                moved[face_id] = replace(face, frame=body)
    return replace(survey, faces=tuple(moved[f.id] for f in survey.faces))
