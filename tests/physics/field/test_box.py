"""A niche box as a body against its sides, edges and corners taken apart."""

from __future__ import annotations

from dataclasses import replace

import pytest

from snugbay.base import OutOfRange
from snugbay.physics.field import Layer, NicheBox, box_loss, corner, junction_loss

PLY, BOARD = Layer(0.018, 0.12, "plywood"), Layer(0.05, 0.024, "foil board")
BOX = NicheBox(0.8, 0.6, 0.4, PLY, BOARD)


def test_sides_and_edges_make_up_the_box_but_for_its_corners() -> None:
    # Four edges along the depth, four round the back: psi from the plane corner; four corner points are what is left.
    loss = box_loss(BOX)
    psi = junction_loss(corner([PLY, BOARD])).psi_inner
    parts = BOX.plain_u * BOX.inner_area + psi * BOX.inner_edges
    assert loss.coupling == pytest.approx(parts, rel=0.01)
    assert loss.beyond_sides == pytest.approx(psi * BOX.inner_edges, abs=0.01)
    assert abs(loss.quarter.balance_error) < 1e-6


def test_the_corner_of_the_box_is_colder_than_its_edge_and_its_edge_than_its_sides() -> None:
    edge = junction_loss(corner([PLY, BOARD])).factor
    side = 1 - 0.13 * BOX.plain_u
    assert box_loss(BOX).factor < edge < side


def test_a_thicker_board_lowers_the_loss() -> None:
    assert box_loss(replace(BOX, board=Layer(0.1, 0.024))).coupling < box_loss(BOX).coupling


def test_a_box_without_a_size_is_refused() -> None:
    with pytest.raises(OutOfRange):
        box_loss(replace(BOX, depth=0.0))
