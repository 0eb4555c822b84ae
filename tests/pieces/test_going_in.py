"""Boards are cut anew until each goes in; what is said of each agrees with the proof."""

from __future__ import annotations

import numpy as np
import pytest
from tests.pieces.rooms import Array, room
from tests.pieces.test_boxes import boards_of, random_box

from snugbay.base import Run
from snugbay.pieces import pieces_that_go_in, prove_in_solids
from snugbay.pieces.going_in import NO_WAY
from snugbay.pieces.solids import convex_parts

SQUARE = [(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0)]


@pytest.mark.parametrize("number", [0])
def test_every_board_of_a_skew_room_goes_in_and_its_note_says_how(number: int) -> None:
    rng = np.random.default_rng(1)
    for _ in range(number + 1):
        faces, layers, _ = random_box(rng, True)
    job, survey = room(faces)
    made = pieces_that_go_in(job, survey, boards_of(layers), Run()).value
    proof = prove_in_solids(job, survey, made, Run())
    assert proof.overlaps == 0
    assert proof.all_reach_place
    assert sorted(proof.order) == sorted(p.id for p in made.pieces)
    assert NO_WAY not in {p.note for p in made.pieces}
    assert any("under" in p.note for p in made.pieces)


@pytest.mark.parametrize(
    ("rings", "most"),
    [
        ([SQUARE], 1),
        ([[*SQUARE[:2], (4.0, 1.0), (1.0, 1.0), (1.0, 3.0), (0.0, 3.0)]], 2),
        ([SQUARE, [(1.0, 1.0), (1.0, 2.0), (2.0, 2.0), (2.0, 1.0)]], 8),
    ],
)
def test_convex_parts_cover_the_shape_once(rings: list[list[tuple[float, float]]], most: int) -> None:
    points = np.array([p for r in rings for p in r])

    def area(ring: Array) -> float:
        x, y = ring.T
        return 0.5 * float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))

    parts = convex_parts(rings)
    assert len(parts) <= most
    assert sum(area(points[p]) for p in parts) == pytest.approx(sum(area(np.array(r)) for r in rings))
    for part in parts:
        step = np.roll(points[part], -1, axis=0) - points[part]
        turn = step[:, 0] * np.roll(step[:, 1], -1) - step[:, 1] * np.roll(step[:, 0], -1)
        assert (turn > -1e-9).all()
