"""Exact derivatives beside finite differences, for every kind of equation."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from snugbay.job import Face, Join, Part, Reading, ReadingKind
from snugbay.job.outlines import letters
from snugbay.survey import SurveyOptions
from snugbay.survey.equations import misclosure, moved, rotation
from snugbay.survey.network import Network, RowKind, State, framed, lay_out
from snugbay.survey.rank import general_state
from snugbay.survey.solve import jacobian, pattern

OPTIONS = SurveyOptions()


def every_kind(face_id: str, tilt: float) -> Face:
    a, b, c, d = letters(4)
    readings = (
        Reading(ReadingKind.DISTANCE, (a, c), 1.0, 0.001),
        Reading(ReadingKind.DISTANCE, (d, b), 1.0, 0.001),
        Reading(ReadingKind.ANGLE, (a, b, c), 1.0, 0.01),
        Reading(ReadingKind.ANGLE, (c, d, a), 1.0, 0.01),
        Reading(ReadingKind.ALONG, (a, b, c), 1.0, 0.001),
        Reading(ReadingKind.OFFSET, (b, c, d), 1.0, 0.001),
        Reading(ReadingKind.LEAN, (a, d), 0.1, 0.01),
        Reading(ReadingKind.TWIST, (c,), 0.01, 0.001),
    )
    return Face(face_id, face_id, Part.WALL, "i", "e", "e", tilt, (a, b, c, d), readings)


def ring(count: int) -> Network:
    """A ring of faces: joins close a loop, two faces tell plumb, so that every kind of row is there."""
    faces = [every_kind(f"F{k}", 1.2) for k in range(count)]
    edges = (("B", "C"), ("D", "A"))
    joins = [Join(f"F{k}", edges[0], f"F{(k + 1) % count}", edges[1], 1.5 + 0.1 * k) for k in range(count)]
    return lay_out(faces, joins, OPTIONS)


def shaken(net: Network, seed: int) -> State:
    rng = np.random.default_rng(seed)
    state = general_state(net)
    points = state.points + np.concatenate(
        [0.1 * rng.normal(size=(len(state.points), 2)), 0.05 * rng.normal(size=(len(state.points), 1))], axis=1
    )
    count = len(net.faces)
    return State(points, rotation(rng.normal(size=(count, 3))), rng.normal(size=(count, 3)))


def by_differences(net: Network, state: State) -> np.ndarray:
    out = np.empty((len(net.rows), net.unknowns))
    for k in range(net.unknowns):
        step = np.zeros(net.unknowns)
        step[k] = 1e-6
        ahead, behind = (misclosure(net, moved(net, state, s * step))[0] for s in (1.0, -1.0))
        off = ahead - behind
        off[net.angular] = (off[net.angular] + np.pi) % (2 * np.pi) - np.pi
        out[:, k] = off / 2e-6
    return out


@pytest.mark.parametrize("seed", range(6))
def test_exact_derivatives_are_those_of_finite_differences(seed: int) -> None:
    net = ring(3)
    assert {row.kind for row in net.rows} == set(RowKind) - {RowKind.LENGTH}
    state = shaken(net, seed)
    net = framed(net, state)
    _, slopes = misclosure(net, state)
    exact = jacobian(net, pattern(net), slopes).toarray()
    assert np.abs(exact - by_differences(net, state)).max() < 2e-7 * max(1.0, np.abs(exact).max())


def test_lengths_of_a_tree_of_joins_have_exact_derivatives() -> None:
    faces = [replace(every_kind(f"F{k}", 0.0), readings=every_kind("", 0.0).readings[:4]) for k in range(2)]
    net = lay_out(faces, [Join("F0", ("B", "C"), "F1", ("D", "A"), 1.5)], OPTIONS)
    assert RowKind.LENGTH in {row.kind for row in net.rows}
    state = shaken(net, 3)
    _, slopes = misclosure(net, state)
    exact = jacobian(net, pattern(net), slopes).toarray()
    assert np.abs(exact - by_differences(net, state)).max() < 1e-7


@settings(max_examples=40, deadline=None)
@given(st.floats(0.2, 6.0), st.floats(0.3, 2.0), st.floats(0.3, 2.0))
def test_an_inside_angle_is_measured_through_the_inside(turn: float, near: float, far: float) -> None:
    """Corner B of a counter-clockwise outline: the inside lies from B-C counter-clockwise to B-A, hollow or not."""
    points = np.array([[far * math.cos(turn), far * math.sin(turn), 0.0], [0.0, 0.0, 0.0], [near, 0.0, 0.0]])
    for corners in (("A", "B", "C"), ("C", "B", "A")):
        reading = Reading(ReadingKind.ANGLE, corners, turn, 0.01)
        net = lay_out([Face("F", "F", Part.WALL, "i", "e", "e", 0.0, letters(3), (reading,))], (), OPTIONS)
        wrong, _ = misclosure(net, State(points, np.eye(3)[None], np.zeros((1, 3))))
        assert abs(wrong[0]) < 1e-9


def test_signs_of_offset_and_lean() -> None:
    """An offset is positive to the left of its line; a lean is clockwise from up."""
    points = np.array([[0.0, 0.0, 0.0], [2.0, 0.0, 0.0], [0.5, 1.5, 0.0]])
    readings = (
        Reading(ReadingKind.OFFSET, ("A", "B", "C"), 1.5, 0.001),
        Reading(ReadingKind.ALONG, ("A", "B", "C"), 0.5, 0.001),
        Reading(ReadingKind.LEAN, ("A", "B"), math.pi / 2, 0.01),
        Reading(ReadingKind.LEAN, ("A", "C"), math.atan2(0.5, 1.5), 0.01),
    )
    net = lay_out([Face("F", "F", Part.WALL, "i", "e", "e", 0.0, letters(3), readings)], (), OPTIONS)
    wrong, _ = misclosure(net, State(points, np.eye(3)[None], np.zeros((1, 3))))
    assert np.abs(wrong).max() < 1e-12
