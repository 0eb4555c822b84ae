"""Junctions built from a job's facts: known corners, bounds, and what better parts must do."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from snugbay.base import InputError, OutOfRange
from snugbay.physics.field import (
    COLD,
    WARM,
    Accuracy,
    Films,
    Layer,
    board_seam,
    box_corner,
    corner,
    framed_part,
    junction_loss,
    mean_u,
    plain_u,
    plug_edge,
    still_air_conductivity,
)

PLY = Layer(0.018, 0.12, "plywood")
BOARD = Layer(0.05, 0.024, "foil board")
ROUGH = Accuracy(2e-3, 2e-3)


def test_framed_part_gives_the_own_case_of_stud_and_board() -> None:
    # Own case 2d-stud-ci: U 0.229045, from inside to outside here.
    layers = (
        Layer(0.0127, 0.16, "gypsum"), Layer(0.05, 0.024, "board"),
        Layer(0.0889, 0.04, "batt", framing_conductivity=0.12, framing_width=0.0381), Layer(0.0111, 0.13, "sheathing"),
    )  # fmt: skip
    loss = junction_loss(framed_part(layers, 0.4064, Films(0.13, 0.04)), warm_c=20, cold_c=-10)
    assert mean_u(loss, 0.4064) == pytest.approx(0.229045, abs=2e-5)
    assert loss.field.surface(WARM).lowest_c == pytest.approx(19.0187, abs=0.01)
    assert loss.psi_inner == pytest.approx(0.2032 * (mean_u(loss, 0.4064) - plain_u(layers, Films(0.13, 0.04))))


def test_framed_part_without_framing_is_plain() -> None:
    loss = junction_loss(framed_part([PLY, BOARD], 0.6))
    assert mean_u(loss, 0.6) == pytest.approx(1 / (0.26 + PLY.resistance + BOARD.resistance), rel=1e-9)
    assert loss.psi_inner == pytest.approx(0, abs=1e-9)
    assert loss.factor == pytest.approx(1 - 0.13 * plain_u([PLY, BOARD], Films()), abs=1e-6)


@pytest.mark.parametrize("conductivity", [0.024, 0.5])
def test_corner_of_one_material_with_thin_films_has_the_shape_factor_of_conformal_mapping(conductivity: float) -> None:
    # psi by inner lengths of an outside corner with held surfaces: lambda (1 - (2/pi) ln 2) = 0.559 lambda.
    tiny = 1e-6 * 0.1 / conductivity
    loss = junction_loss(corner([Layer(0.1, conductivity)], Films(tiny, tiny)))
    assert loss.psi_inner / conductivity == pytest.approx(1 - 2 / math.pi * math.log(2), abs=2e-3)
    plain = plain_u([Layer(0.1, conductivity)], Films(tiny, tiny))
    assert loss.psi_outer == pytest.approx(loss.psi_inner - 2 * plain * 0.1)


def test_corner_seen_from_the_other_side_swaps_inner_and_outer() -> None:
    # With equal films and one material, exchanging warm and cold changes no flow.
    wall, films = [Layer(0.2, 0.3)], Films(0.1, 0.1)
    one, other = junction_loss(corner(wall, films)), junction_loss(corner(wall, films, cold_outside=False))
    assert one.coupling == pytest.approx(other.coupling, rel=1e-9)
    assert one.psi_inner == pytest.approx(other.psi_outer, rel=1e-6)
    assert one.factor < other.factor


def test_box_corner_with_a_tight_joint_is_the_corner_of_its_layers() -> None:
    # Boards of one thickness meeting tightly are the same material whichever runs past.
    tight, whole = junction_loss(box_corner(PLY, BOARD)), junction_loss(corner([PLY, BOARD]))
    assert tight.psi_inner == pytest.approx(whole.psi_inner, abs=1e-4)
    assert tight.psi_outer == pytest.approx(whole.psi_outer, abs=1e-4)


def test_a_joint_costs_more_the_wider_and_emptier_it_is() -> None:
    air = still_air_conductivity(0.05, width=0.012)
    joints = ((0.0, 0.029), (0.012, 0.029), (0.012, air))
    psis = [junction_loss(box_corner(PLY, BOARD, joint_gap=g, joint_conductivity=c)).psi_inner for g, c in joints]
    assert psis[0] < psis[1] < psis[2]
    factors = [junction_loss(box_corner(PLY, BOARD, joint_gap=g, joint_conductivity=c)).factor for g, c in joints]
    assert factors[0] > factors[1] > factors[2]


def test_boards_of_two_thicknesses_at_a_box_corner_lie_between_those_of_one() -> None:
    thick, thin = Layer(0.1, 0.024), Layer(0.05, 0.024)
    mixed = junction_loss(box_corner(PLY, thick, second_board=thin)).coupling
    assert junction_loss(box_corner(PLY, thick)).coupling < mixed < junction_loss(box_corner(PLY, thin)).coupling


def test_a_seam_of_the_boards_own_material_costs_nothing() -> None:
    same = junction_loss(board_seam([PLY], BOARD, gap=0.006, gap_conductivity=0.024))
    assert same.psi_inner == pytest.approx(0, abs=1e-6)
    open_ = junction_loss(
        board_seam([PLY], BOARD, gap=0.006, gap_conductivity=still_air_conductivity(0.05, width=0.006))
    )
    assert open_.psi_inner > 0
    bound = 0.003 * plain_u([PLY, Layer(0.05, 10.0)], Films())
    assert open_.psi_inner < bound + 0.05


def _plug(taper: float = 0.1, gap_conductivity: float = 0.05, plug_depth: float = 0.1) -> float:
    junction = plug_edge(
        [Layer(0.0127, 0.16), Layer(0.1, 0.024)], [Layer(0.012, 0.12), Layer(plug_depth, 0.024)],
        jamb=Layer(0.018, 0.12), gap=0.006, gasket=Layer(0.01, 0.05), gap_conductivity=gap_conductivity, taper=taper,
    )  # fmt: skip
    return junction_loss(junction, accuracy=ROUGH).psi_inner


def test_plug_edge_with_a_square_edge_agrees_with_a_slightly_slanting_one() -> None:
    # The first is solved on a grid, the second on triangles.
    assert _plug(taper=0.0) == pytest.approx(_plug(taper=1e-3), abs=3e-4)


def test_plug_edge_costs_more_with_a_gap_that_conducts_more() -> None:
    assert _plug(gap_conductivity=0.03) < _plug(gap_conductivity=0.1) < _plug(gap_conductivity=0.4)


def test_plug_edge_of_the_surrounds_own_material_costs_nothing() -> None:
    one = [Layer(0.1, 0.05)]
    junction = plug_edge(
        one, one, jamb=Layer(0.02, 0.05), gap=0.005, gasket=Layer(0.02, 0.05), gap_conductivity=0.05, taper=0.2
    )
    assert junction_loss(junction).psi_inner == pytest.approx(0, abs=1e-5)


def test_a_plug_thinner_than_its_opening_faces_the_cold_with_the_jamb_too() -> None:
    assert _plug(plug_depth=0.05) > _plug(plug_depth=0.1)


@settings(max_examples=6, deadline=None)
@given(st.floats(0.01, 0.15), st.floats(0.02, 0.2), st.floats(1.05, 2.0))
def test_a_better_board_never_raises_the_loss_of_a_box_corner(thick: float, lam: float, worse: float) -> None:
    films = Films(0.13, 0.13)
    couplings = [
        junction_loss(box_corner(PLY, Layer(thick, v), joint_gap=0.005, films=films), accuracy=ROUGH).coupling
        for v in (lam, lam * worse)
    ]
    assert couplings[0] <= couplings[1] * (1 + 1e-4)


def test_equal_temperatures_do_not_spoil_psi_and_factor() -> None:
    one = junction_loss(box_corner(PLY, BOARD), warm_c=10, cold_c=10, accuracy=ROUGH)
    other = junction_loss(box_corner(PLY, BOARD), warm_c=20, cold_c=-10, accuracy=ROUGH)
    assert (one.psi_inner, one.factor) == pytest.approx((other.psi_inner, other.factor))
    assert one.field.flows[WARM] == pytest.approx(0, abs=1e-9)
    assert other.field.flows[COLD] == pytest.approx(-30 * other.coupling)


def test_parts_that_cannot_be_are_refused() -> None:
    with pytest.raises(OutOfRange, match="spacing"):
        framed_part([replace(PLY, framing_conductivity=0.1, framing_width=0.5)], 0.4)
    with pytest.raises(OutOfRange, match="thickness"):
        corner([Layer(0.0, 0.1)])
    with pytest.raises(OutOfRange, match="joint"):
        box_corner(PLY, BOARD, joint_gap=0.2)
    with pytest.raises(InputError, match="fit"):
        plug_edge([PLY], [BOARD], jamb=PLY, gap=0.005, gasket=Layer(0.01, 0.05), gap_conductivity=0.05)
