"""The starting state of a network: every face built, edges handed on through joins, faces folded up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from snugbay.survey.fold import fold
from snugbay.survey.guess import Choice, Shape, choose, laid_down
from snugbay.survey.network import Network, State
from snugbay.survey.options import SurveyOptions
from snugbay.survey.start import Edge
from snugbay.survey.values import Survey


@dataclass(frozen=True)
class Start:
    """Where to start, and other shapes of single faces that their own readings allow as well."""

    state: State
    others: tuple[tuple[int, Shape], ...] = ()


def start_state(net: Network, options: SurveyOptions, rng: np.random.Generator) -> Start:
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
    choices = _build_all(net, options, rng)
    others = tuple((f, shape) for f, choice in enumerate(choices) for shape in choice.others)
    return Start(state_with(net, [choice.shape for choice in choices]), others)


def shapes_near(net: Network, near: Survey) -> State | None:
    """Return the state in which every face lies as it was surveyed before; None where one has no such corners."""
    before = {face.id: face for face in near.faces}
    shapes: list[Shape] = []
    for face in net.faces:
        known = before.get(face.id)
        if known is None or set(known.corners) != set(face.corners):
            return None
        shapes.append({c: complex(*p) for c, p in zip(known.corners, known.points, strict=True)})
    return state_with(net, shapes)


def state_with(net: Network, shapes: Sequence[Shape]) -> State:
    """Return the state of a network whose faces have these shapes."""
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


def _build_all(net: Network, options: SurveyOptions, rng: np.random.Generator) -> list[Choice]:
    known: list[dict[Edge, float]] = [{} for _ in net.faces]
    chosen: dict[int, Choice] = {}
    guess = False
    while len(chosen) < len(net.faces):
        progress = False
        for f, face in enumerate(net.faces):
            if f not in chosen:
                choice = choose(face, known[f], options, rng, guess=guess)
                if choice is not None:
                    chosen[f] = choice
                    _hand_on(net, f, choice.shape, known)
                    progress, guess = True, False
        guess = not progress
    return [chosen[f] for f in range(len(net.faces))]


def _hand_on(net: Network, f: int, shape: Shape, known: list[dict[Edge, float]]) -> None:
    face = net.faces[f]
    for join in net.joins:
        for own, edge, other, far in (
            (join.a, join.edge_a, join.b, join.edge_b),
            (join.b, join.edge_b, join.a, join.edge_a),
        ):
            if own == face.id:
                known[net.face_number(other)].setdefault(far, abs(shape[edge[1]] - shape[edge[0]]))
