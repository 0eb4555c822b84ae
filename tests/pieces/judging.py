"""A judge of promises: boards are cut with errors, true rooms are drawn, and a linear program tries to place them all.

Written apart from the product, from the finished pieces alone: outlines, gaps and kinds of edges. Each board is a rigid
polygon with its own cut edges; the sides of the room, the boards that it stops against, its angles and the things in it
are drawn anew each time. All boards of a layer are placed at once, by shifts and small turns, so that no board passes a
side and no two boards pass their seam.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import hypot, pi, sin, tan

import numpy as np
from scipy.optimize import linprog
from tests.pieces.fitting import moved_sides, normals_of
from tests.pieces.rooms import Array

from snugbay.job import Face, Job
from snugbay.pieces import EdgeKind, Piece, PieceSet
from snugbay.pieces.rates import typical
from snugbay.survey import AdjustedFace, Survey

BOUND = 0.03
"""Boards are shifted by no more than this. [m]"""


@dataclass(frozen=True)
class Beside:
    """What stands at one join: the opening and how well it is known, and the thickness of boards that stand there."""

    opening: float
    sigma: float
    boards: tuple[float, ...] = ()


@dataclass(frozen=True)
class Room:
    """One true room: how the corners of the face moved, and how much nearer each thing stands."""

    corners: Array
    nearer: Mapping[str, float]
    moved: Mapping[str, Array]


def draw_room(
    face: Face, adjusted: AdjustedFace, pieces: Sequence[Piece], beside: Mapping[str, Beside], rng: np.random.Generator
) -> Room:
    """One true room, the same for all layers of a face but for the thickness of the boards beside."""
    covariance = np.array(adjusted.covariance)
    corners = rng.multivariate_normal(np.zeros(len(covariance)), covariance).reshape(-1, 2)
    moved: dict[str, Array] = {}
    for thing in [(t.name, t.sigma) for t in face.notches] + [(h.name, h.sigma) for h in face.holes]:
        moved[thing[0]] = rng.normal(0.0, thing[1], 2)
    for name in {e.neighbour for p in pieces for e in p.edges if e.neighbour.startswith("member")}:
        moved[name] = rng.normal(0.0, typical("frame_sigma"), 2)
    angles = {name: rng.normal(0.0, b.sigma) for name, b in beside.items()}
    return Room(corners, angles, moved)


def stands_nearer(
    layer: Sequence[Piece], room: Room, beside: Mapping[str, Beside], rng: np.random.Generator
) -> dict[str, float]:
    """How much nearer than drawn the boards or faces at each join stand to a board of this layer. [m]"""
    thick = typical("thickness_sigma")
    back, front = layer[0].depth, layer[0].depth + layer[0].thickness
    found = {}
    lifted = rng.normal(0.0, thick, round(back / layer[0].thickness)).sum() if back > 0 else 0.0
    own = rng.normal(0.0, thick)
    for name, b in beside.items():
        top = sum(b.boards)
        more = sum(rng.normal(0.0, thick, len(b.boards)))

        def reach(theta: float, t: float, low: float, high: float) -> float:
            return max(t / sin(theta) + z / tan(theta) for z in (low, high))

        true = reach(b.opening + room.nearer[name], top + more, back + lifted, front + lifted + own)
        found[name] = true - reach(b.opening, top, back, front)
    return found


class Placing:
    """The linear program that tries to place the boards of a layer: their moves and turns, and what limits them."""

    def __init__(self, layer: Sequence[Piece], cut: float, rng: np.random.Generator) -> None:
        self.layer = layer
        self.nominal = [np.array(p.outline) for p in layer]
        self.outs = [normals_of(n) for n in self.nominal]
        self.errors = [rng.normal(0.0, cut, len(n)) for n in self.nominal]
        self.boards = [moved_sides(n, o, e) for n, o, e in zip(self.nominal, self.outs, self.errors, strict=True)]
        self.middles = [b.mean(axis=0) for b in self.boards]
        self.rows: list[Array] = []
        self.limits: list[float] = []

    def add(self, terms: Sequence[tuple[int, Array, Array]], room_left: float) -> None:
        """Add that the boards' moves along a direction take up no more than the room left."""
        row = np.zeros(3 * len(self.layer) + 1)
        for board, at, along in terms:
            arm = at - self.middles[board]
            row[3 * board : 3 * board + 3] += (along[0], along[1], arm[0] * along[1] - arm[1] * along[0])
        row[-1] = -1.0
        self.rows.append(row)
        self.limits.append(room_left)

    def ends(self, board: int, k: int) -> tuple[Array, Array]:
        outline = self.nominal[board]
        return outline[k], outline[(k + 1) % len(outline)]

    def placed(self) -> bool:
        if not self.limits:
            return True
        n = 3 * len(self.layer)
        bounds: list[tuple[float, float]] = [(-BOUND, BOUND), (-BOUND, BOUND), (-0.1, 0.1)] * len(self.layer)
        bounds.append((-np.inf, np.inf))
        cost = np.append(np.zeros(n), 1.0)
        best = linprog(cost, A_ub=np.array(self.rows), b_ub=np.array(self.limits), bounds=bounds, method="highs")
        assert best.x is not None
        return bool(best.x[-1] <= 1e-6)


def all_go_in(
    layer: Sequence[Piece],
    adjusted: AdjustedFace,
    room: Room,
    nearer: Mapping[str, float],
    captive: Sequence[str],
    cut: float,
    rng: np.random.Generator,
) -> bool:
    """Cut all boards of a layer and try to place them together in a true room.

    ``captive`` names the neighbours that stand beyond an edge; framing and things always do.
    """
    placing = Placing(layer, cut, rng)
    for b, piece in enumerate(layer):
        for k, edge in enumerate(piece.edges):
            if edge.kind is EdgeKind.ROUGH or (edge.kind is EdgeKind.CORNER and edge.neighbour in captive):
                _against_side(placing, b, k, np.array(adjusted.points), room, nearer, rng)
            elif edge.kind is EdgeKind.SEAM:
                _against_boards(placing, b, k)
    return placing.placed()


def _against_side(
    placing: Placing,
    b: int,
    k: int,
    points: Array,
    room: Room,
    nearer: Mapping[str, float],
    rng: np.random.Generator,
) -> None:
    edge, out = placing.layer[b].edges[k], placing.outs[b][k]
    p, q = placing.ends(b, k)
    cut = placing.boards[b]
    long = float(np.linalg.norm(q - p))
    bow = rng.normal(0.0, typical("edge_bow_sigma") * (min(long, 2.4) / 2.4) ** 2) if long > 0.6 else 0.0
    start, per, a, u = _side(points, room.corners, p, q, out)
    for s in np.linspace(0.0, 1.0, 5 if long > 0.6 else 2):
        at = cut[k] + s * (cut[(k + 1) % len(cut)] - cut[k])
        wall = p + s * (q - p) + edge.gap * out
        shift = start + (wall - a) @ u * per + room.moved.get(edge.neighbour, np.zeros(2))
        off = float(shift @ out) - nearer.get(edge.neighbour, 0.0) - bow * (1 - abs(2 * s - 1))
        placing.add([(b, at, out)], float((wall - at) @ out) + off)


def _against_boards(placing: Placing, b: int, k: int) -> None:
    p, q = placing.ends(b, k)
    out = placing.outs[b][k]
    long = float(np.linalg.norm(q - p))
    along = (q - p) / long
    for d in range(b + 1, len(placing.layer)):
        for j, other in enumerate(placing.layer[d].edges):
            r, t = placing.ends(d, j)
            facing = other.kind is EdgeKind.SEAM and float(placing.outs[d][j] @ out) < -0.999
            if not facing or abs(float((r - p) @ out)) > 1e-4:
                continue
            ends = sorted(float((x - p) @ along) for x in (r, t))
            low, high = max(ends[0], 0.0), min(ends[1], long)
            if high - low < 0.005:
                continue
            left = float(-placing.errors[b][k] - placing.errors[d][j])
            for s in (low, high):
                placing.add([(b, p + s * along, out), (d, p + s * along, -out)], left)


def _side(points: Array, moves: Array, p: Array, q: Array, out: Array) -> tuple[Array, Array, Array, Array]:
    """How the side of the face that an edge runs along moves: at its start, and per metre along; its start, its way."""
    best = 0.12
    nothing = np.zeros(2)
    found = (nothing, nothing, p, out)
    middle = (p + q) / 2
    for k in range(len(points)):
        a, b = points[k], points[(k + 1) % len(points)]
        long = float(np.linalg.norm(b - a))
        u = (b - a) / long
        normal = np.array([u[1], -u[0]])
        far = abs(float((middle - a) @ normal))
        if float(normal @ out) > 0.999 and far < best:
            best = far
            found = (moves[k], (moves[(k + 1) % len(points)] - moves[k]) / long, a, u)
    return found


THICK = 0.05
"""Thickness of the boards that the rooms of the studies are lined with. [m]"""


def besides_of(job: Job, survey: Survey, layer: Sequence[Piece]) -> dict[str, Beside]:
    """What stands at the inside corners of a face, read off the boards that end there.

    A board's end lies t / sin + z / tan in from the corner, so its place tells how many boards it stops against.
    """
    face = job.face(layer[0].face)
    points = np.array(survey.face(face.id).points)
    checks = {frozenset((c.a, c.b)): c.sigma for c in survey.joins}
    found = {}
    for join in job.joins:
        if face.id not in (join.a, join.b) or join.opening > pi:
            continue
        other, edge = (join.b, join.edge_a) if join.a == face.id else (join.a, join.edge_b)
        p, q = (points[face.corners.index(c)] for c in edge)
        u = (q - p) / np.linalg.norm(q - p)
        back, front = layer[0].depth, layer[0].depth + layer[0].thickness
        insets = [
            float(u[0] * (r[1] - p[1]) - u[1] * (r[0] - p[0])) - e.gap
            for piece in layer
            for k, e in enumerate(piece.edges)
            if e.neighbour == other
            for r in (np.array(piece.outline[k]),)
        ]
        if insets:
            ends = (back, front) if _cut_square(layer, other) else (front,)
            reach = max(z / tan(join.opening) for z in ends)
            count = round((min(insets) - reach) * sin(join.opening) / THICK)
            found[other] = Beside(join.opening, checks.get(frozenset((join.a, join.b)), 0.0), (THICK,) * max(count, 0))
    return found


def _cut_square(layer: Sequence[Piece], other: str) -> bool:
    return any(e.neighbour == other and e.bevel == 0.0 for p in layer for e in p.edges)


def shares(
    job: Job, survey: Survey, made: PieceSet, cut: float, draws: int, seed: int
) -> tuple[float, dict[str, float]]:
    """Draw rooms, cut and place all boards; return the share in which all go in, and the same for each face."""
    rng = np.random.default_rng(seed)
    good = np.ones(draws, dtype=bool)
    faces = {}
    for face_id in dict.fromkeys(p.face for p in made.pieces):
        face, adjusted = job.face(face_id), survey.face(face_id)
        mine = [p for p in made.pieces if p.face == face_id]
        layers = [[p for p in mine if p.layer == n] for n in sorted({p.layer for p in mine})]
        beside = [besides_of(job, survey, layer) for layer in layers]
        own = np.zeros(draws, dtype=bool)
        for k in range(draws):
            room = draw_room(face, adjusted, mine, beside[0], rng)
            own[k] = all(
                all_go_in(layer, adjusted, room, stands_nearer(layer, room, b, rng), tuple(b), cut, rng)
                for layer, b in zip(layers, beside, strict=True)
            )
        faces[face_id] = float(own.mean())
        good &= own
    return float(good.mean()), faces


def cut_sigma_of(tool: float, thickness: float) -> float:
    """Standard deviation of a cut edge: tool, sheet, and out of square over half the thickness (1 degree). [m]"""
    return hypot(hypot(tool, typical("sheet_sigma")), pi / 180 * thickness / 2)
