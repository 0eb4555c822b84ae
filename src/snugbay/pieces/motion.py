"""A motion search for one rigid board: small moves and turns, each the best that what stands round it allows.

Between the board and each convex thing near it lies a plane that parts them. For a small move v and turn w the board's
corners p must stay on their side of these planes, which is linear: n . (v + w x p) >= -room. A linear program finds the
small motion that gets the board furthest; it is made, the planes are found anew, and so on. Every pose on the way is
then tried with the solids themselves, so that a way out is never claimed on the strength of the planes alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from math import cos, pi

import manifold3d
import numpy as np
from numpy.typing import NDArray

from snugbay.pieces.linear import INF, Linear

Array = NDArray[np.float64]

STEP = 12.0
"""Furthest that a board moves in one step. [mm]"""

TURN = 2.5 * pi / 180
"""Furthest that a board turns in one step. [rad]"""

MOST_STEPS = 60
"""Most steps of one stage of a motion."""

BEND = 0.15
"""A corner strays at most this much from the straight line in one step's turn. [mm]"""

STALLED = 0.3
"""A step that gains less than this is the last. [mm]"""

NEAR = 5 * STEP
"""What is further away than this cannot be touched in one step. [mm]"""

NOT_CONVEX = -2.0
"""Two bodies whose hulls share more depth than this are left to the trial with solids. [mm]"""


@dataclass(frozen=True)
class Part:
    """A convex part of a solid: its corners, shape (n, 3) [mm], and the outward unit normals of its sides, (m, 3)."""

    points: Array
    normals: Array


@dataclass(frozen=True)
class Shape:
    """A solid and the convex parts that it is made of.

    Attributes
    ----------
    solid : manifold
        [mm]
    parts : tuple of Part
        Together the solid, or more where it was not parted.
    low, high : array of shape (3,)
        Its box. [mm]
    name : str
        What it is, for people.
    """

    solid: manifold3d.Manifold
    parts: tuple[Part, ...]
    low: Array
    high: Array
    name: str = ""

    @property
    def points(self) -> Array:
        """Corners of all parts, shape (n, 3). [mm]"""
        return np.vstack([p.points for p in self.parts])


def shape_of(solid: manifold3d.Manifold, name: str, parts: Sequence[Array] = ()) -> Shape:
    """Return a solid as a shape, its parts given by their corners; without any its hull is its one part."""
    whole = [manifold3d.Manifold.hull_points(p) for p in parts] or [solid.hull()]
    box = np.asarray(solid.bounding_box())
    return Shape(solid, tuple(_part_of(p) for p in whole), box[:3], box[3:], name)


def _part_of(hull: manifold3d.Manifold) -> Part:
    mesh = hull.to_mesh64()
    points = np.asarray(mesh.vert_properties)[:, :3]
    a, b, c = (points[np.asarray(mesh.tri_verts)[:, k]] for k in range(3))
    cross = np.cross(b - a, c - a)
    size = np.linalg.norm(cross, axis=1)
    normals = cross[size > 1e-6] / size[size > 1e-6, None]
    return Part(points, np.unique(normals.round(6), axis=0))


@dataclass(frozen=True)
class Pose:
    """Where a board is: the turn from its place (3 x 3), and where its middle has got to. [mm]"""

    turn: Array
    move: Array


Goal = Callable[[Array], Array]
"""What a stage wants: from the corners of the board, relative to its middle, weights of (v, w). [mm]"""


@dataclass(frozen=True)
class Stage:
    """One stage of a motion: what it makes the most of, and how far it goes.

    Attributes
    ----------
    goal : function
        From the corners relative to the middle, shape (n, 3), to the weights of move and turn, shape (6,).
    far_enough : function
        From the corners and the pose to whether the stage has got where it should.
    turns : bool
        False where the board is only slid.
    idle : array of shape (k, 6)
        Motions that gain nothing, and are made only where they must be.
    """

    goal: Goal
    far_enough: Callable[[Array, Pose], bool]
    turns: bool = True
    idle: Array = field(default_factory=lambda: np.zeros((0, 6)))


@dataclass(frozen=True)
class Out:
    """A way out that was found: how far it turned, and how far its middle moved. [rad], [mm]"""

    turned: float
    moved: Array


def carried_out(
    body: Shape,
    around: Sequence[Shape],
    stages: Sequence[Stage],
    free: Callable[[manifold3d.Manifold], bool],
    press: float,
) -> Out | None:
    """Carry a board through the stages of a motion.

    Parameters
    ----------
    body : Shape
        The board in its place.
    around : sequence of Shape
        What stands round it.
    stages : sequence of Stage
        The last one must get far enough; the others go as far as they can.
    free : function
        Whether the solid, moved, touches nothing.
    press : float
        How much of a touch is allowed. [mm]

    Returns
    -------
    Out or None
        None where it does not get there, or a pose on the way is not free.
    """
    middle = (body.low + body.high) / 2
    pose = Pose(np.eye(3), np.zeros(3))
    for number, stage in enumerate(stages):
        reached = False
        for _ in range(MOST_STEPS):
            arms = [Part((p.points - middle) @ pose.turn.T, p.normals @ pose.turn.T) for p in body.parts]
            centre = middle + pose.move
            reached = stage.far_enough(np.vstack([a.points for a in arms]) + centre, pose)
            if reached:
                break
            step = _best_step(arms, centre, around, stage, press)
            if step is None:
                break
            pose = Pose(_turn_of(step[3:]) @ pose.turn, pose.move + step[:3])
            placing = np.column_stack([pose.turn, middle + pose.move - pose.turn @ middle])
            if not free(body.solid.transform(placing)):
                return None
        if not reached and number == len(stages) - 1:
            return None
    return Out(float(np.arccos(np.clip((np.trace(pose.turn) - 1) / 2, -1, 1))), pose.move)


IDLE = 0.05
"""What an idle motion costs, per what a wanted one gains. [-]"""


def _best_step(
    arms: Sequence[Part], centre: Array, around: Sequence[Shape], stage: Stage, press: float
) -> Array | None:
    """Return the small move and turn that gain most for a stage, None where they gain next to nothing."""
    corners = np.vstack([a.points for a in arms])
    weights = stage.goal(corners)
    rows, room = _limits(arms, centre, around)
    reach = float(np.linalg.norm(corners, axis=1).max())
    turn = min(TURN, 4 * STEP / reach, (2 * BEND / reach) ** 0.5) if stage.turns else 0.0
    idle = stage.idle
    k = len(idle)
    above = np.hstack([np.vstack([-rows, idle, -idle]), np.vstack([np.zeros((len(rows), k)), -np.eye(k), -np.eye(k)])])
    below = np.concatenate([np.maximum(room + press, 0.0), np.zeros(2 * k)])
    most = np.array([STEP] * 3 + [turn] * 3)
    cost = np.concatenate([-weights, np.full(k, IDLE)])
    program = Linear(cost, above, np.append(-most, np.zeros(k)), np.append(most, np.full(k, INF)))
    best = program.least(below)
    if best is None:
        return None
    step = best[1][:6]
    return step if float(weights @ step) > STALLED else None


def _limits(arms: Sequence[Part], centre: Array, around: Sequence[Shape]) -> tuple[Array, Array]:
    """Return the rows n . (v + w x p) of all corners near what stands round, and the room at each. [mm]"""
    rows, rooms = [np.zeros((0, 6))], [np.zeros(0)]
    for arm in arms:
        placed = arm.points + centre
        low, high = placed.min(axis=0) - 3 * STEP, placed.max(axis=0) + 3 * STEP
        for thing in around:
            if (thing.low > high).any() or (thing.high < low).any():
                continue
            for part in thing.parts:
                n, apart = _parting(placed, arm.normals, part)
                if not NOT_CONVEX <= apart <= NEAR:
                    continue
                room = placed @ n - float((part.points @ n).max())
                near = room < NEAR
                rows.append(np.hstack([np.repeat(n[None], int(near.sum()), axis=0), np.cross(arm.points[near], n)]))
                rooms.append(room[near])
    return np.vstack(rows), np.concatenate(rooms)


def _parting(placed: Array, normals: Array, part: Part) -> tuple[Array, float]:
    """Return the normal, from the other part, of the plane that best keeps two parts apart, and how far."""
    ways = np.vstack([part.normals, -normals])
    apart = (placed @ ways.T).min(axis=0) - (part.points @ ways.T).max(axis=0)
    best = int(np.argmax(apart))
    return ways[best], float(apart[best])


def _turn_of(w: Array) -> Array:
    """Return the rotation matrix of a small turn (Rodrigues)."""
    angle = float(np.linalg.norm(w))
    if angle < 1e-12:
        return np.eye(3)
    x, y, z = w / angle
    cross = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    return np.asarray(np.eye(3) + np.sin(angle) * cross + (1 - cos(angle)) * cross @ cross)


class Kind(StrEnum):
    """What sort of motion it is."""

    SLIDE = "slid aside as it lifts"
    LIFT = "turned as it lifts"
    TURN = "turned up about an edge, then lifted"
    DRAW = "drawn out in its plane"


@dataclass(frozen=True)
class Motion:
    """A motion to try: its kind, the number of the edge it turns about or is drawn from, and its stages."""

    kind: Kind
    edge: int
    stages: tuple[Stage, ...]


def motions(
    body: Shape, normal: Array, edges: Sequence[tuple[Array, Array]], lift: float, far: float
) -> Iterator[Motion]:
    """Yield the motions to try: slid, turned while lifted, turned up about each edge, drawn out from each edge.

    Parameters
    ----------
    body : Shape
        The board in its place.
    normal : array of shape (3,)
        Out of the face.
    edges : sequence of (array, array)
        For each edge a point on it [mm] and the unit normal into the board.
    lift : float
        A board lifted this far has left its place. [mm]
    far : float
        A board drawn out this far in its plane has left its place. [mm]
    """
    points = body.points
    start = float((points @ normal).min())
    out = Stage(
        _moved(normal), lambda corners, _: float((corners @ normal).min()) >= start + lift, True, _aside(normal)
    )
    yield Motion(Kind.SLIDE, -1, (replace(out, turns=False),))
    yield Motion(Kind.LIFT, -1, (out,))
    for k, (at, into) in enumerate(edges):
        depth = np.maximum((points - at) @ into, 0.0)
        yield Motion(Kind.TURN, k, (Stage(_lifted(normal, depth), _turned_up(normal)), out))
    for k, (_, into) in enumerate(edges):
        yield Motion(Kind.DRAW, k, (Stage(_moved(into), _drawn(into, far)),))


def _moved(way: Array) -> Goal:
    """Want the middle moved along a direction."""
    weights = np.concatenate([way, np.zeros(3)])
    return lambda _: weights


def _aside(normal: Array) -> Array:
    """Return two moves square to a direction, and the three turns by a metre's arc, as idle motions."""
    across = np.cross(normal, np.eye(3)[int(np.argmin(np.abs(normal)))])
    across /= np.linalg.norm(across)
    moves = np.vstack([across, np.cross(normal, across)])
    return np.vstack([np.hstack([moves, np.zeros((2, 3))]), np.hstack([np.zeros((3, 3)), 1000.0 * np.eye(3)])])


def _lifted(normal: Array, weight: Array) -> Goal:
    """Want the corners lifted, each by its own weight."""
    share = weight / max(float(weight.sum()), 1e-9)
    return lambda corners: np.concatenate([normal, share @ np.cross(corners, normal)])


def _turned_up(normal: Array) -> Callable[[Array, Pose], bool]:
    return lambda _, pose: float(pose.turn @ normal @ normal) < cos(TURNED_UP)


def _drawn(way: Array, far: float) -> Callable[[Array, Pose], bool]:
    return lambda _, pose: float(pose.move @ way) >= far


TURNED_UP = 20.0 * pi / 180
"""A board is turned up at most this far before it is lifted. [rad]"""
