"""Boxes and their boards that stand in the way of the boards of the faces round them.

A box that pokes through a wall or stands on a floor carries boards of its own; they run to the surface of the wall or
floor, and that face's boards stop at them. Over a floor a bare box is as much in the way.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from shapely.geometry import MultiPoint, Polygon

from snugbay.job import Host, Job
from snugbay.pieces.fitgap import Array
from snugbay.pieces.obstacles import Obstacle, clearance
from snugbay.pieces.overlay import together
from snugbay.pieces.plane import offset_outline
from snugbay.pieces.stack import Slab
from snugbay.pieces.values import EdgeKind
from snugbay.survey import Frame, Survey

PLACE_SIGMA = 0.004
"""Standard deviation of where a box stands on another face (assumption). [m]"""

BARE = 0.001
"""A side of a box without boards is taken as thick as this. [m]"""

Stacks = Mapping[str, Sequence[Slab]]


def _space(frame: Frame, points: Array) -> Array:
    """Return points (n, 3) of a face in space. [m]"""
    axes = np.array([frame.ex, frame.ey, frame.normal])
    return np.asarray(np.array(frame.origin) + points @ axes)


def _own(frame: Frame, points: Array) -> Array:
    """Return points (n, 3) of space in the axes of a face. [m]"""
    axes = np.array([frame.ex, frame.ey, frame.normal])
    return np.asarray((points - np.array(frame.origin)) @ axes.T)


def _thickness(stack: Sequence[Slab]) -> float:
    return max((s.front for s in stack), default=0.0)


def _slab_in(frame: Frame, survey: Survey, box_face: str, thick: float) -> Array | None:
    """Return the 8 or so corners of a box face's boards in the axes of another face, shape (n, 3). [m]"""
    face = survey.face(box_face)
    if face.frame is None:
        return None
    flat = np.array(offset_outline(face.points, [-thick] * len(face.points))[0])
    back = np.column_stack([flat, np.zeros(len(flat))])
    front = np.column_stack([flat, np.full(len(flat), thick)])
    return _own(frame, _space(face.frame, np.vstack([back, front])))


def _clipped(corners: Array, top: float) -> Polygon | None:
    """Return the outline in the plane of what lies between the surface and ``top``, None where nothing does."""
    low, high = 1e-4, max(top, 2e-4)
    inside = []
    count = len(corners)
    for i in range(count):
        if low <= corners[i, 2] <= high:
            inside.append(corners[i, :2])
        for j in range(i + 1, count):
            za, zb = corners[i, 2], corners[j, 2]
            for z in (low, high):
                if (za - z) * (zb - z) < 0:
                    t = (z - za) / (zb - za)
                    inside.append(corners[i, :2] + t * (corners[j, :2] - corners[i, :2]))
    hull = MultiPoint(inside).convex_hull if len(inside) > 2 else None
    return hull if isinstance(hull, Polygon) and hull.area > 1e-6 else None


def _plain(shape: Polygon) -> Polygon:
    """Return a shape that a person would cut round: its rectangle where it nearly is one, else without small steps."""
    rectangle = shape.minimum_rotated_rectangle
    if isinstance(rectangle, Polygon) and shape.area > 0.95 * rectangle.area:
        return rectangle
    return shape.simplify(STEP).buffer(STEP, join_style="mitre").simplify(STEP / 10)


STEP = 0.004
"""Steps in the outline of a box smaller than this are cut straight. [m]"""


def _of_host(job: Job, survey: Survey, stacks: Stacks, host: Host, face_id: str, cut: float) -> list[Obstacle]:
    frame = survey.face(face_id).frame
    if frame is None:
        return []
    top = _thickness(stacks[face_id])
    shapes = []
    boarded = any(_thickness(stacks.get(f, ())) > 0 for f in host.faces)
    for box_face in host.faces:
        # the opening is left out of the face that the box stands in; for any other face the bare box is in the way too
        thick = max(_thickness(stacks.get(box_face, ())), 0.0 if face_id == host.face else BARE)
        if thick > 0:
            corners = _slab_in(frame, survey, box_face, thick)
            shape = None if corners is None else _clipped(corners, top)
            shapes += [shape] if shape is not None else []
    outline = Polygon(survey.face(face_id).points)
    bare = together(shapes)
    if face_id != host.face:
        bare = bare.convex_hull  # a box is full
    if bare.is_empty or not bare.intersects(outline.buffer(-1e-3)):
        return []
    solid = [_plain(Polygon(p.exterior)) for p in getattr(bare, "geoms", [bare])]
    room = clearance(PLACE_SIGMA, cut)
    name = job.face(host.root).title.rsplit(",", 1)[0] + (" boards" if boarded else "")
    return [
        Obstacle(
            name, p, p.buffer(room, join_style="mitre"), room, PLACE_SIGMA, EdgeKind.ROUGH, corners=(0, 1), proud=True
        )
        for p in solid
    ]


def intruders(job: Job, survey: Survey, stacks: Stacks, face_id: str, cut: float) -> tuple[Obstacle, ...]:
    """Return the boards of boxes that the boards of a face must stop at.

    Parameters
    ----------
    job, survey
        Boxes and the faces they stand in; only boxes whose document says what they fill stand in their place.
    stacks : Mapping of str to sequence of Slab
        Boards of every face that gets some.
    face_id : str
        The face round the box.
    cut : float
        Standard deviation of a cut edge. [m]
    """
    boxed = {f for host in job.hosts for f in host.faces}
    if face_id in boxed:
        return ()
    return tuple(o for host in job.hosts for o in _of_host(job, survey, stacks, host, face_id, cut))
