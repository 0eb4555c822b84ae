"""Folding faces up along their joins, and how well the joins of a loop meet.

Along the edge e of face a the inside of a lies at t = n x e. Going from t towards the boards' side by the opening leads
into face b: t_b = cos(o) t + sin(o) n, its edge runs the other way, e_b = -e, and n_b = e_b x t_b.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from snugbay.job import Face, Join
from snugbay.survey.network import Floats


@dataclass(frozen=True)
class Pose:
    """Where a face stands: turn (3, 3) with columns ex, ey, normal; place (3,) of its origin. [m]"""

    turn: Floats
    place: Floats

    def at(self, point: Floats) -> Floats:
        """Return a point of the face, shape (3,), in space. [m]"""
        return np.asarray(self.place + self.turn @ point)


def standing(face: Face) -> Floats:
    """Return the turn of a face that stands by itself: x level, y up the face by its tilt, shape (3, 3)."""
    c, s = math.cos(face.tilt), math.sin(face.tilt)
    ey = np.array([0.0, -c if face.overhead else c, s])
    ex = np.array([1.0, 0.0, 0.0])
    return np.stack([ex, ey, np.cross(ex, ey)], axis=1)


def hinged(pose: Pose, a0: Floats, a1: Floats, b0: Floats, b1: Floats, opening: float) -> Pose:
    """Return the pose of the face behind a join.

    Parameters
    ----------
    pose : Pose
        Of face a.
    a0, a1 : shape (3,)
        Ends of the join's edge on face a, in the plane of a. [m]
    b0, b1 : shape (3,)
        Ends on face b, in the plane of b; a0 meets b1. [m]
    opening : float
        Angle of the open air on the boards' side. [rad]
    """
    start, end = pose.at(a0), pose.at(a1)
    e = _unit(end - start)
    n = pose.turn[:, 2]
    n = _unit(n - (n @ e) * e)
    t = np.cross(n, e)
    t_b = math.cos(opening) * t + math.sin(opening) * n
    n_b = np.cross(-e, t_b)
    own_e = _unit(np.array([b1[0] - b0[0], b1[1] - b0[1], 0.0]))
    own = np.stack([own_e, np.cross([0.0, 0.0, 1.0], own_e), [0.0, 0.0, 1.0]], axis=1)
    world = np.stack([-e, t_b, n_b], axis=1)
    turn = world @ own.T
    place = (start + end) / 2.0 - turn @ ((b0 + b1) / 2.0)
    return Pose(turn, place)


def _unit(v: Floats) -> Floats:
    return np.asarray(v / max(float(np.linalg.norm(v)), 1e-12))


def fold(
    faces: Sequence[Face], joins: Sequence[Join], points: Floats, first: Sequence[int], root: int
) -> tuple[Pose, ...]:
    """Return the pose of every face of a joined group, nearest to the root first.

    Parameters
    ----------
    faces, joins : sequences
        One group.
    points : shape (n, 3)
        Corners in their faces. [m]
    first : sequence of int
        Number of each face's first corner.
    root : int
        Face that stands by itself.
    """
    number = {face.id: i for i, face in enumerate(faces)}
    poses: dict[int, Pose] = {root: Pose(standing(faces[root]), np.zeros(3))}
    waiting = [root]
    while waiting:
        f = waiting.pop(0)
        for join in joins:
            for one, edge, two, far in (
                (number[join.a], join.edge_a, number[join.b], join.edge_b),
                (number[join.b], join.edge_b, number[join.a], join.edge_a),
            ):
                if one == f and two not in poses:
                    a0, a1 = (points[first[one] + faces[one].corners.index(n)] for n in edge)
                    b0, b1 = (points[first[two] + faces[two].corners.index(n)] for n in far)
                    poses[two] = hinged(poses[one], a0, a1, b0, b1, join.opening)
                    waiting.append(two)
    return tuple(poses[i] for i in range(len(faces)))


def tree_joins(faces: Sequence[Face], joins: Sequence[Join], root: int) -> tuple[bool, ...]:
    """Return for each join whether `fold` hung a face on it (False: it closes a loop)."""
    number = {face.id: i for i, face in enumerate(faces)}
    seen = {root}
    used = [False] * len(joins)
    waiting = [root]
    while waiting:
        f = waiting.pop(0)
        for k, join in enumerate(joins):
            for one, two in ((number[join.a], number[join.b]), (number[join.b], number[join.a])):
                if one == f and two not in seen:
                    seen.add(two)
                    used[k] = True
                    waiting.append(two)
    return tuple(used)
