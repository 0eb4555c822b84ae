"""The gap that lets a piece go in, and the probability that it does.

A rigid piece stands in an opening whose sides are uncertain, and so are its own edges. It goes in where some small
shift and turn brings every edge point inside its side. By Farkas' lemma this is so unless some balanced set of pushes
(forces on at most four edge points, in equilibrium) finds too little room; the balanced sets depend on the shape only,
so the probability follows from draws of the errors, and the gap from a quantile.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from math import hypot

import numpy as np
from numpy.typing import NDArray

from snugbay.base import Run
from snugbay.pieces.plane import Line, inward, unit
from snugbay.pieces.rates import typical
from snugbay.survey import AdjustedFace, Point

Array = NDArray[np.float64]

SAMPLES = 4000
MOST_POINTS = 14
SURE = 0.95
"""Probability that the gap is chosen for."""

SHEET_LENGTH = 2.4
"""Length of a sheet, for which the bow of an edge is stated. [m]"""

LONG_EDGE = 0.6
"""Edges longer than this may touch at their middle as well, for their bow. [m]"""


@dataclass(frozen=True)
class Wanted:
    """The gap that the boards of a region need as they stand in a row.

    Attributes
    ----------
    gap : float
        [m]
    everywhere : bool
        True at all captive edges, False at those that meet rough framing.
    """

    gap: float
    everywhere: bool


def edge_sigma(tool_sigma: float, thickness: float) -> float:
    """Return the standard deviation of one cut edge: tool, sheet and out-of-square over the thickness. [m]"""
    lean = typical("cut_out_of_square") * thickness / 2
    return hypot(hypot(tool_sigma, typical("sheet_sigma")), lean)


class Fit:
    """How a piece of one shape goes into an uncertain opening.

    Parameters
    ----------
    lines : sequence of Line
        The lines that the piece's edges lie on; those that are not captive let it move freely.
    spans : sequence of (Point, Point)
        The edge on each line. [m]
    cut : float
        Standard deviation of a cut edge. [m]
    adjusted : AdjustedFace
        Gives the covariance of the corners.
    normals : array of shape (draws, MOST_POINTS)
        Standard normal draws.

    Attributes
    ----------
    sets : array of shape (k, lines)
        Balanced pushes, summed for each line.
    loss : array of shape (draws, k)
        Room lost in each draw, weighed by each balanced set. [m]
    left_out : frozenset of int
        Captive lines that are not reckoned with, the shortest ones of a piece with many.
    """

    def __init__(
        self,
        lines: Sequence[Line],
        spans: Sequence[tuple[Point, Point]],
        cut: float,
        adjusted: AdjustedFace,
        normals: Array,
    ) -> None:
        number = len(lines)
        picked = _thinned([(i, lines[i], *spans[i]) for i in range(number) if lines[i].captive])
        self.left_out = frozenset(i for i in range(number) if lines[i].captive) - {p[0] for p in picked}
        self.sets = np.zeros((0, number))
        self.loss = np.zeros((len(normals), 0))
        if not picked:
            return
        points = _touching(picked)
        sets = balanced_sets(points.push)
        if not len(sets):
            return
        values, vectors = np.linalg.eigh(_covariance(picked, points, cut, adjusted))
        root = vectors * np.sqrt(np.maximum(values, 0.0))
        self.loss = normals[:, : len(root)] @ (root.T @ sets.T)
        of_line = np.zeros((len(points.owner), number))
        of_line[np.arange(len(points.owner)), [picked[k][0] for k in points.owner]] = 1.0
        self.sets = sets @ of_line

    def gap(self, fixed: Array, free: Array, sure: float = SURE) -> float:
        """Return the gap at the free lines with which the piece goes in with this probability; may be negative. [m]

        Parameters
        ----------
        fixed : array of shape (lines,)
            Gap at the lines that are not free. [m]
        free : array of shape (lines,)
            1 where the gap is to be chosen, else 0.

        Notes
        -----
        Sets that rest on fixed gaps alone do not depend on the gap; they lower the probability but not the gap.
        """
        counts = self.sets @ free
        use = counts > 1e-9
        if not use.any():
            return 0.0
        missing = self.loss[:, use] - self.sets[use] @ (fixed * (1.0 - free))
        return float(np.quantile((missing / counts[use]).max(axis=1), sure))

    def probability(self, gaps: Array) -> float:
        """Return the probability that the piece goes in with these gaps at its lines. [m]"""
        if not len(self.sets):
            return 1.0
        return float((self.loss <= self.sets @ gaps + 1e-12).all(axis=1).mean())


Picked = tuple[int, Line, Point, Point, bool]
"""Number of the line, the line, the edge's two ends, and whether its middle may touch as well."""


@dataclass(frozen=True)
class Touching:
    """Points at which a piece may touch.

    Attributes
    ----------
    at : array of shape (m, 2)
        [m]
    out : array of shape (m, 2)
        Outward normals.
    owner : array of shape (m,)
        Which of the picked edges each point is on.
    share : array of shape (m,)
        Place along the edge: 0, 1/2 or 1.
    push : array of shape (m, 3)
        Outward normal and its moment about the middle, over the size of the piece. [-]
    """

    at: Array
    out: Array
    owner: NDArray[np.int64]
    share: Array
    push: Array


def _thinned(edges: list[tuple[int, Line, Point, Point]]) -> list[Picked]:
    """Keep the longest edges, and their middles while there are not too many points."""
    by_length = sorted(edges, key=lambda e: -unit(e[2], e[3])[2])[: MOST_POINTS // 2]
    spare = MOST_POINTS - 2 * len(by_length)
    picked: list[Picked] = []
    for number, line, p, q in by_length:
        middle = spare > 0 and unit(p, q)[2] > LONG_EDGE
        spare -= int(middle)
        picked.append((number, line, p, q, middle))
    return picked


def _touching(picked: list[Picked]) -> Touching:
    """Gather the points at which a piece may touch."""
    points: list[Point] = []
    normals: list[Point] = []
    owner: list[int] = []
    share: list[float] = []
    for i, (_, _, p, q, middle) in enumerate(picked):
        nx, ny = inward(p, q)
        for s in (0.0, 0.5, 1.0) if middle else (0.0, 1.0):
            points.append((p[0] + s * (q[0] - p[0]), p[1] + s * (q[1] - p[1])))
            normals.append((-nx, -ny))
            owner.append(i)
            share.append(s)
    at, out = np.array(points), np.array(normals)
    size = float(np.hypot(*np.ptp(at, axis=0))) / 2 or 1.0
    arm = (at - 0.5 * (at.min(axis=0) + at.max(axis=0))) / size
    push = np.column_stack([out, arm[:, 0] * out[:, 1] - arm[:, 1] * out[:, 0]])
    return Touching(at, out, np.array(owner), np.array(share), push)


def _covariance(picked: list[Picked], points: Touching, cut: float, face: AdjustedFace) -> Array:
    """Covariance of the room lost: survey, place of the solid, cut of the piece, bow of the edge. [m²]"""
    m = len(points.at)
    corners = np.asarray(face.covariance, dtype=float)
    jacobian = np.zeros((m, len(corners)))
    extra = np.zeros((m, m))
    for i, (_, line, p, q, middle) in enumerate(picked):
        mine = np.flatnonzero(points.owner == i)
        if line.corners is not None and len(corners):
            a, b = line.corners
            pa, pb = np.array(face.points[a]), np.array(face.points[b])
            along = ((points.at[mine] - pa) @ (pb - pa)) / float((pb - pa) @ (pb - pa))
            for row, s in zip(mine, along, strict=True):
                jacobian[row, 2 * a : 2 * a + 2] = -(1 - s) * points.out[row]
                jacobian[row, 2 * b : 2 * b + 2] = -s * points.out[row]
        extra[np.ix_(mine, mine)] += cut**2 + line.sigma**2
        if middle:
            length = min(unit(p, q)[2], SHEET_LENGTH)  # a longer side is made of several pieces
            bow = typical("edge_bow_sigma") * (length / SHEET_LENGTH) ** 2
            at_middle = int(mine[points.share[mine] == 0.5][0])
            extra[at_middle, at_middle] += bow**2
    return np.asarray(jacobian @ corners @ jacobian.T + extra) if len(corners) else extra


def balanced_sets(push: Array) -> Array:
    """Return the balanced sets of pushes, shape (k, m): non-negative, sum 1, forces and moments in equilibrium."""
    rounded = np.ascontiguousarray(np.round(push, 6))
    return _balanced(rounded.tobytes(), len(rounded))


@lru_cache(maxsize=4096)
def _balanced(shape: bytes, m: int) -> Array:
    return _find_balanced(np.frombuffer(shape).reshape(m, 3))


def _find_balanced(push: Array) -> Array:
    m = len(push)
    system = np.column_stack([push, np.ones(m)]).T  # (4, m)
    if m < 4:
        return _balanced_few(system)
    pick = np.array(list(combinations(range(m), 4)))
    blocks = system[:, pick].transpose(1, 0, 2)  # (k, 4, 4)
    sound = np.abs(np.linalg.det(blocks)) > 1e-9
    if not sound.any():
        return _balanced_few(system)
    pick, blocks = pick[sound], blocks[sound]
    target = np.broadcast_to(np.array([0.0, 0.0, 0.0, 1.0])[:, None], (len(blocks), 4, 1))
    weights = np.linalg.solve(blocks, target)[:, :, 0]
    good = (weights > -1e-9).all(axis=1)
    found = np.zeros((int(good.sum()), m))
    np.put_along_axis(found, pick[good], np.maximum(weights[good], 0.0), axis=1)
    return np.unique(np.round(found, 9), axis=0)


def _balanced_few(system: Array) -> Array:
    """Balanced pairs and triples, for shapes whose pushes do not span all motions."""
    m = system.shape[1]
    found = []
    for size in (2, 3):
        for pick in combinations(range(m), size):
            block = system[:, pick]
            weights, *_ = np.linalg.lstsq(block, np.array([0.0, 0.0, 0.0, 1.0]), rcond=None)
            if np.abs(block @ weights - (0, 0, 0, 1)).max() < 1e-9 and (weights > -1e-9).all():
                row = np.zeros(m)
                row[list(pick)] = np.maximum(weights, 0.0)
                found.append(row)
    return np.array(found).reshape(-1, m)


@lru_cache(maxsize=8)
def _normals(seed: int) -> Array:
    half = np.random.default_rng(seed).standard_normal((SAMPLES // 2, MOST_POINTS))
    return np.vstack([half, -half])


def draws(run: Run) -> Array:
    """Return the run's standard normal draws, the same for every piece, shape (SAMPLES, MOST_POINTS)."""
    return _normals(int(run.rng("pieces fit").integers(2**62)))
