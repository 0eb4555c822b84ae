"""Faces and joins laid out as unknowns and equations, ready for least squares.

Every corner has x and y in the plane of its face, and z where a twist was read. A face whose joins close a loop also
has a place and a turn in space. Rows are the readings, then what joins add.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from snugbay.job import Corner, Face, Join, ReadingKind
from snugbay.survey.options import SurveyOptions

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


class RowKind(StrEnum):
    """What an equation is about: a reading's kind, or what a join or the plumb adds."""

    DISTANCE = "distance"
    ANGLE = "angle"
    ALONG = "along"
    OFFSET = "offset"
    LEAN = "lean"
    TWIST = "twist"
    LENGTH = "length"  # edges of a join are equally long
    MEET = "meet"  # ends of a join's edges meet in space, six rows; the first compares the lengths
    OPEN = "open"  # angle of a join
    LEVEL = "level"  # x of a face that has plumb readings is level
    TILT = "tilt"  # tilt of the first face as stated


ANGULAR = frozenset({RowKind.ANGLE, RowKind.LEAN, RowKind.OPEN, RowKind.LEVEL, RowKind.TILT})
POINTS = {"distance": 2, "angle": 3, "along": 3, "offset": 3, "lean": 2, "twist": 1}


@dataclass(frozen=True)
class Row:
    """Where one equation comes from: a reading of a face, or a join."""

    kind: RowKind
    face: int
    reading: int = -1
    join: int = -1
    part: int = 0


@dataclass(frozen=True)
class Block:
    """Equations of one kind.

    Attributes
    ----------
    rows : shape (k,) or (k, 6) for MEET
        Row numbers.
    at : shape (k, p)
        Corner numbers; for MEET a0, b1, a1, b0.
    faces : shape (k, 2)
        Face numbers, for equations in space.
    sign : shape (k,)
        +1 or -1 where a kind needs it.
    cols : shape as the derivatives
        Column of each derivative, -1 where it is fixed.
    frames : shape (k, 3, 3)
        For MEET: rows are the directions along the join, into face a, and out of it. The directions are only a way of
        naming the parts of a gap; the solution does not depend on them.
    """

    kind: RowKind
    rows: Ints
    at: Ints
    faces: Ints
    sign: Floats
    cols: Ints
    frames: Floats


@dataclass(frozen=True)
class State:
    """Corners (n, 3) in their faces [m]; turn (f, 3, 3) and place (f, 3) of each face in space."""

    points: Floats
    turn: Floats
    place: Floats


@dataclass(frozen=True)
class Network:
    """One group of joined faces.

    Attributes
    ----------
    faces, joins : tuple
        Those of the group.
    first : tuple of int
        Number of each face's first corner, and the total.
    free : shape (n, 3)
        Column of each coordinate, -1 where it is fixed.
    free_pose : shape (f, 6)
        Columns of place and turn.
    unknowns : int
        Count of columns.
    rows : tuple of Row
        Where each equation comes from.
    observed, sigma : shape (m,)
        Right-hand sides and standard deviations. [m or rad]
    blocks : tuple of Block
        The equations.
    spatial : bool
        True where faces have a place in space as unknowns.
    root : int
        Face that fixes the others in space.
    """

    faces: tuple[Face, ...]
    joins: tuple[Join, ...]
    first: tuple[int, ...]
    free: Ints
    free_pose: Ints
    unknowns: int
    rows: tuple[Row, ...]
    observed: Floats
    sigma: Floats
    blocks: tuple[Block, ...]
    spatial: bool
    root: int
    angular: NDArray[np.bool_] = field(repr=False)

    def corner(self, face: int, name: Corner) -> int:
        """Return the number of a corner."""
        return self.first[face] + self.faces[face].corners.index(name)

    def corners_of(self, face: int) -> slice:
        """Return the numbers of a face's corners."""
        return slice(self.first[face], self.first[face + 1])

    def face_number(self, face_id: str) -> int:
        """Return the number of a face in this group."""
        return next(i for i, face in enumerate(self.faces) if face.id == face_id)


def arms(face: Face, corners: tuple[Corner, ...]) -> tuple[Corner, Corner, Corner]:
    """Return an angle's corners ordered so that it opens counter-clockwise from the first arm to the last.

    Around the vertex of a counter-clockwise outline the inside lies between the next corner and the one before.
    """
    p, q, r = corners
    n = len(face.corners)
    at = face.corners.index(q)
    after_p = (face.corners.index(p) - at) % n
    after_r = (face.corners.index(r) - at) % n
    return (p, q, r) if after_p < after_r else (r, q, p)


def groups(faces: Sequence[Face], joins: Sequence[Join]) -> tuple[tuple[int, ...], ...]:
    """Return the numbers of faces that joins hold together, each group in the job's order."""
    number = {face.id: i for i, face in enumerate(faces)}
    parent = list(range(len(faces)))

    def top(i: int) -> int:
        while parent[i] != i:
            parent[i] = parent[parent[i]]
            i = parent[i]
        return i

    for join in joins:
        a, b = top(number[join.a]), top(number[join.b])
        parent[max(a, b)] = min(a, b)
    out: dict[int, list[int]] = {}
    for i in range(len(faces)):
        out.setdefault(top(i), []).append(i)
    return tuple(tuple(v) for v in out.values())


def choose_root(faces: Sequence[Face]) -> int:
    """Return the face that fixes plumb: the first standing one with a plumb reading, else the first."""
    for i, face in enumerate(faces):
        if face.tilt > 0.17 and any(r.kind is ReadingKind.LEAN for r in face.readings):
            return i
    return 0


def lay_out(faces: Sequence[Face], joins: Sequence[Join], options: SurveyOptions) -> Network:
    """Return the unknowns and equations of one group of joined faces.

    Parameters
    ----------
    faces, joins : sequences
        Faces of one group and the joins between them, already looked over.
    options : SurveyOptions
        Standard deviations of what joins add.
    """
    builder = _Builder(tuple(faces), tuple(joins), options)
    return builder.network()


class _Builder:
    """Collects rows while a network is laid out."""

    def __init__(self, faces: tuple[Face, ...], joins: tuple[Join, ...], options: SurveyOptions) -> None:
        self.faces, self.joins, self.options = faces, joins, options
        self.number = {face.id: i for i, face in enumerate(faces)}
        counts = [len(face.corners) for face in faces]
        self.first = tuple(int(v) for v in np.concatenate([[0], np.cumsum(counts)]))
        self.leaning = [any(r.kind is ReadingKind.LEAN for r in face.readings) for face in faces]
        standing = sum(lean and face.tilt > 0.17 for lean, face in zip(self.leaning, faces, strict=True))
        self.plumbed = standing > 1
        self.spatial = len(joins) > len(faces) - 1 or (bool(joins) and self.plumbed)
        self.root = choose_root(faces)
        self.rows: list[Row] = []
        self.observed: list[float] = []
        self.sigma: list[float] = []

    def corner(self, face: int, name: Corner) -> int:
        return self.first[face] + self.faces[face].corners.index(name)

    def add(self, row: Row, observed: float, sigma: float) -> int:
        self.rows.append(row)
        self.observed.append(observed)
        self.sigma.append(sigma)
        return len(self.rows) - 1

    def columns(self) -> tuple[Ints, Ints, int]:
        free = np.full((self.first[-1], 3), -1, dtype=np.int64)
        free_pose = np.full((len(self.faces), 6), -1, dtype=np.int64)
        count = 0
        for f, face in enumerate(self.faces):
            twisted = {r.corners[0] for r in face.readings if r.kind is ReadingKind.TWIST}
            for c, name in enumerate(face.corners):
                x_free = c > 0
                y_free = c > 1 or (c == 1 and self.leaning[f])
                for axis, is_free in ((0, x_free), (1, y_free), (2, name in twisted)):
                    if is_free:
                        free[self.first[f] + c, axis] = count
                        count += 1
            if self.spatial:
                axes = range(6) if f != self.root else ([3] if self.plumbed else [])
                for axis in axes:
                    free_pose[f, axis] = count
                    count += 1
        return free, free_pose, count

    def network(self) -> Network:
        free, free_pose, unknowns = self.columns()
        blocks = [*self.reading_blocks(free), *self.join_blocks(free, free_pose)]
        return Network(
            faces=self.faces,
            joins=self.joins,
            first=self.first,
            free=free,
            free_pose=free_pose,
            unknowns=unknowns,
            rows=tuple(self.rows),
            observed=np.array(self.observed),
            sigma=np.array(self.sigma),
            blocks=tuple(blocks),
            spatial=self.spatial,
            root=self.root,
            angular=np.array([row.kind in ANGULAR for row in self.rows], dtype=bool),
        )

    def reading_blocks(self, free: Ints) -> list[Block]:
        found: dict[RowKind, list[tuple[int, list[int]]]] = {}
        for f, face in enumerate(self.faces):
            for k, reading in enumerate(face.readings):
                kind = RowKind(reading.kind.value)
                names = arms(face, reading.corners) if kind is RowKind.ANGLE else reading.corners
                row = self.add(Row(kind, f, k), reading.value, reading.sigma)
                found.setdefault(kind, []).append((row, [self.corner(f, n) for n in names]))
        blocks = []
        for kind, items in found.items():
            at = np.array([corners for _, corners in items], dtype=np.int64)
            axes = {RowKind.DISTANCE: [0, 1, 2], RowKind.TWIST: [2]}.get(kind, [0, 1])
            cols = free[at][:, :, axes].reshape(len(items), -1)
            blocks.append(_block(kind, np.array([row for row, _ in items], dtype=np.int64), at, cols))
        return blocks

    def ends(self, join: Join) -> tuple[int, int, list[int]]:
        """Return the faces of a join and the corners a0, a1, b0, b1 with a0 meeting b1."""
        a, b = self.number[join.a], self.number[join.b]
        corners = [self.corner(a, n) for n in join.edge_a] + [self.corner(b, n) for n in join.edge_b]
        return a, b, corners

    def join_blocks(self, free: Ints, free_pose: Ints) -> list[Block]:
        if not self.joins:
            return []
        ends = [self.ends(join) for join in self.joins]
        sigma = self.options.join_sigma
        if not self.spatial:
            rows = [self.add(Row(RowKind.LENGTH, e[0], -1, j), 0.0, sigma * 2**0.5) for j, e in enumerate(ends)]
            at = np.array([corners for _, _, corners in ends], dtype=np.int64)
            cols = free[at].reshape(len(ends), -1)
            return [_block(RowKind.LENGTH, np.array(rows, dtype=np.int64), at, cols)]
        blocks = [self._meeting(ends, free, free_pose, sigma), self._opening(ends, free, free_pose)]
        if self.plumbed:
            level = [f for f, lean in enumerate(self.leaning) if lean and self.faces[f].tilt > 0.17 and f != self.root]
            rows = [self.add(Row(RowKind.LEVEL, f), 0.0, self.options.level_sigma) for f in level]
            pairs = np.array([[f, f] for f in level], dtype=np.int64)
            blocks.append(
                _block(RowKind.LEVEL, np.array(rows, dtype=np.int64), pairs[:, :0], free_pose[level, 3:], faces=pairs)
            )
            face = self.faces[self.root]
            row = self.add(Row(RowKind.TILT, self.root), face.tilt, self.options.tilt_sigma)
            pair = np.array([[self.root, self.root]], dtype=np.int64)
            sign = np.array([-1.0 if face.overhead else 1.0])
            tilt = _block(RowKind.TILT, np.array([row]), pair[:, :0], free_pose[[self.root], 3:], faces=pair)
            blocks.append(replace(tilt, sign=sign))
        return blocks

    def _meeting(self, ends: list[tuple[int, int, list[int]]], free: Ints, free_pose: Ints, sigma: float) -> Block:
        rows = [
            [self.add(Row(RowKind.MEET, e[0], -1, j, part), 0.0, sigma) for part in range(6)]
            for j, e in enumerate(ends)
        ]
        at = np.array([[a0, b1, a1, b0] for _, _, (a0, a1, b0, b1) in ends], dtype=np.int64)
        pairs = np.array([[a, b] for a, b, _ in ends], dtype=np.int64)
        pose_a, pose_b = free_pose[pairs[:, 0]], free_pose[pairs[:, 1]]
        one = np.concatenate(
            [free[at[:, 0]], pose_a, free[at[:, 1]], pose_b, free[at[:, 2]], pose_a, free[at[:, 3]], pose_b], axis=1
        )
        cols = np.repeat(one[:, None, :], 6, axis=1)
        return _block(RowKind.MEET, np.array(rows, dtype=np.int64), at, cols, faces=pairs)

    def _opening(self, ends: list[tuple[int, int, list[int]]], free: Ints, free_pose: Ints) -> Block:
        rows = [
            self.add(Row(RowKind.OPEN, e[0], -1, j), self.joins[j].opening, self.joins[j].sigma)
            for j, e in enumerate(ends)
        ]
        at = np.array([corners[:2] for _, _, corners in ends], dtype=np.int64)
        pairs = np.array([[a, b] for a, b, _ in ends], dtype=np.int64)
        cols = np.concatenate(
            [free[at][:, :, :2].reshape(len(ends), -1), free_pose[pairs[:, 0], 3:], free_pose[pairs[:, 1], 3:]], axis=1
        )
        return _block(RowKind.OPEN, np.array(rows, dtype=np.int64), at, cols, faces=pairs)


def _block(kind: RowKind, rows: Ints, at: Ints, cols: Ints, faces: Ints | None = None) -> Block:
    none = np.zeros((len(rows), 2), dtype=np.int64)
    frames = np.tile(np.eye(3), (len(rows), 1, 1))
    return Block(kind, rows, at, none if faces is None else faces, np.ones(len(rows)), cols, frames)


def framed(net: Network, state: State) -> Network:
    """Return the network with the parts of its joins' gaps named along, into and out of the face, as it now stands."""
    blocks = []
    for block in net.blocks:
        if block.kind is RowKind.MEET:
            turn = state.turn[block.faces[:, 0]]
            own = state.points[block.at[:, 2]] - state.points[block.at[:, 0]]
            own[:, 2] = 0.0
            size = np.maximum(np.linalg.norm(own, axis=1), 1e-12)[:, None]
            along = np.einsum("kij,kj->ki", turn, own / size)
            out = turn[:, :, 2]
            block = replace(block, frames=np.stack([along, np.cross(out, along), out], axis=1))  # noqa: PLW2901
        blocks.append(block)
    return replace(net, blocks=tuple(blocks))
