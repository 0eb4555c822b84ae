"""The starting state of a network: every face built, edges handed on through joins, faces folded up."""

from __future__ import annotations

import cmath
import math
from collections.abc import Mapping

import numpy as np

from snugbay.job import Corner, Face, ReadingKind
from snugbay.survey.fold import fold
from snugbay.survey.network import Network, State, lay_out
from snugbay.survey.options import SurveyOptions
from snugbay.survey.solve import solve, weights
from snugbay.survey.start import Builder, Built, Edge, crossings, signed_area

Shape = Mapping[Corner, complex]


def start_state(net: Network, options: SurveyOptions, rng: np.random.Generator) -> State:
    """Return a starting shape for every face of a network, and its fold where faces stand in space.

    Parameters
    ----------
    net : Network
        Determined by its readings (see `rank`).
    options : SurveyOptions
        Standard deviations.
    rng : Generator
        For the guesses of last resort.
    """
    shapes = _build_all(net, options, rng)
    points = np.zeros((net.first[-1], 3))
    for f, face in enumerate(net.faces):
        laid = laid_down(face, shapes[f])
        for c, name in enumerate(face.corners):
            points[net.first[f] + c, :2] = laid[name].real, laid[name].imag
    count = len(net.faces)
    turn, place = np.tile(np.eye(3), (count, 1, 1)), np.zeros((count, 3))
    if net.spatial:
        poses = fold(net.faces, net.joins, points, net.first, net.root)
        for f, pose in enumerate(poses):
            turn[f], place[f] = pose.turn, pose.place
    return State(points, turn, place)


def _build_all(net: Network, options: SurveyOptions, rng: np.random.Generator) -> list[Shape]:
    known: list[dict[Edge, float]] = [{} for _ in net.faces]
    built: list[Built | None] = [None] * len(net.faces)
    while any(b is None for b in built):
        progress = False
        for f, face in enumerate(net.faces):
            if built[f] is None:
                attempt = Builder(face, known[f]).build()
                if attempt.whole:
                    built[f] = attempt
                    _hand_on(net, f, attempt.points, known)
                    progress = True
        if not progress:
            f = next(i for i, b in enumerate(built) if b is None)
            guess = guessed(net.faces[f], known[f], options, rng)
            built[f] = Built(guess, math.inf, True)
            _hand_on(net, f, guess, known)
    return [b.points for b in built if b is not None]


def _hand_on(net: Network, f: int, shape: Shape, known: list[dict[Edge, float]]) -> None:
    face = net.faces[f]
    for join in net.joins:
        for own, edge, other, far in (
            (join.a, join.edge_a, join.b, join.edge_b),
            (join.b, join.edge_b, join.a, join.edge_a),
        ):
            if own == face.id:
                known[net.face_number(other)].setdefault(far, abs(shape[edge[1]] - shape[edge[0]]))


def laid_down(face: Face, shape: Shape) -> dict[Corner, complex]:
    """Return a shape moved so that its first corner is the origin and it leans as read, else its first edge is +x."""
    first, second = (shape[n] for n in face.corners[:2])
    edge = second - first
    turn = abs(edge) / edge if edge != 0 else 1.0
    pull = 0j
    for r in face.readings:
        if r.kind is ReadingKind.LEAN:
            d = shape[r.corners[1]] - shape[r.corners[0]]
            if d != 0:
                pull += 1j * cmath.exp(-1j * r.value) * abs(d) / d / r.sigma**2
    if pull != 0:
        turn = pull / abs(pull)
    return {name: (point - first) * turn for name, point in shape.items()}


def guessed(face: Face, edges: Mapping[Edge, float], options: SurveyOptions, rng: np.random.Generator) -> Shape:
    """Return the best of several guesses, each brought to rest by itself.

    For faces that no corner-by-corner construction reaches: a walk round the outline by the sides and angles that are
    known, a regular outline, and random ones.
    """
    extra = Builder(face, edges).readings
    alone = Face(
        id=face.id,
        title=face.title,
        part=face.part,
        warm=face.warm,
        cold=face.cold,
        board_side=face.board_side,
        tilt=face.tilt,
        corners=face.corners,
        readings=tuple(extra),
    )
    net = lay_out([alone], (), options)
    walk = _walk(alone)
    size = max((r.value for r in extra if r.kind is ReadingKind.DISTANCE), default=1.0)
    starts = [walk, _regular(len(face.corners), size)]
    for _ in range(10):
        base = starts[int(rng.integers(2))]
        starts.append(base + 0.25 * size * (rng.normal(size=len(base)) + 1j * rng.normal(size=len(base))))
    best, best_score = walk, math.inf
    for ring in starts:
        shape = laid_down(alone, dict(zip(face.corners, (complex(p) for p in ring), strict=True)))
        points = np.array([[shape[n].real, shape[n].imag, 0.0] for n in face.corners])
        solution = solve(net, State(points, np.eye(3)[None], np.zeros((1, 3))), weights(net), options.most_iterations)
        xy = solution.state.points
        found = [complex(x, y) for x, y in xy[:, :2]]
        score = solution.cost
        if signed_area(found) <= 0.0 or crossings(found):
            score = 1e6 * (1.0 + score)
        if score < best_score:
            best, best_score = np.array(found), score
    return dict(zip(face.corners, (complex(p) for p in best), strict=True))


def _regular(n: int, size: float) -> np.ndarray:
    return np.asarray(size * np.exp(2j * np.pi * np.arange(n) / n))


def _walk(face: Face) -> np.ndarray:
    """Return a walk round the outline by known sides and angles, the rest shared out, the gap spread evenly."""
    n = len(face.corners)
    sides: list[float | None] = [None] * n
    inside: list[float | None] = [None] * n
    for r in face.readings:
        at = [face.corners.index(c) for c in r.corners]
        if r.kind is ReadingKind.DISTANCE:
            for i, j in (at, at[::-1]):
                if (i + 1) % n == j:
                    sides[i] = r.value
        elif r.kind is ReadingKind.ANGLE and {(at[1] + 1) % n, (at[1] - 1) % n} == {at[0], at[2]}:
            inside[at[1]] = r.value
    have = [s for s in sides if s is not None]
    usual = sum(have) / len(have) if have else 1.0
    missing = sum(a is None for a in inside)
    left = (n - 2) * math.pi - sum(a for a in inside if a is not None)
    share = left / missing if missing else 0.0
    if not 0.1 < share < 6.0:
        share = (n - 2) * math.pi / n
    ring = [0j]
    heading = 0.0
    for i in range(n):
        side = sides[i]
        ring.append(ring[-1] + (side if side is not None else usual) * cmath.exp(1j * heading))
        corner = inside[(i + 1) % n]
        heading += math.pi - (corner if corner is not None else share)
    gap = ring[-1] - ring[0]
    return np.array([ring[i] - gap * i / n for i in range(n)])
