"""Corners: psi by the surface that was measured, fed to the heat of faces."""

from __future__ import annotations

import math

import pytest

from snugbay.base import Run
from snugbay.document import example, read
from snugbay.physics import field
from snugbay.survey import survey
from snugbay.ways.edges import corner_loss, corners, measured_behind
from snugbay.ways.found import ground

PANEL, BOARD = (0.019, 0.158), (0.05, 2.083)
ROWS = (PANEL, BOARD)


def coupling(rows: tuple[tuple[float, float], ...], cold_outside: bool) -> tuple[float, float, float]:
    """Coupling of the whole corner, U, and the length of each leg along the surface in the corner."""
    layers = [field.Layer(d, d / r) for d, r in rows]
    made = field.corner(layers, field.Films(0.13, 0.13), cold_outside=cold_outside)
    parts = made.inner_parts if cold_outside else made.outer_parts
    return field.junction_loss(made).coupling, parts[0][0], parts[0][1]


def psi_of(cold_outside: bool, offset: float) -> float:
    return measured_behind(corner_loss(ROWS, 0.13, 0.13, cold_outside), ROWS, 0.26, offset).psi


@pytest.mark.parametrize("cold_outside", [True, False])
@pytest.mark.parametrize("offset", [0.0, 0.019, 0.05, 0.069])
def test_whatever_surface_is_measured_the_corner_loses_the_same(cold_outside: bool, offset: float) -> None:
    whole, u, leg = coupling(ROWS, cold_outside)
    psi = psi_of(cold_outside, offset)
    assert psi + 2 * u * (leg + offset) == pytest.approx(whole, rel=2e-3)


def test_a_box_in_the_cold_loses_more_than_its_planes_say() -> None:
    # warm inside, boards outside on the plywood: measured on the plywood
    assert psi_of(True, 0.019) > 0.005
    # the same measured over the boards counts the corner twice
    assert psi_of(True, 0.069) < 0


def test_more_board_never_raises_the_loss_of_the_corner() -> None:
    losses = [coupling((PANEL, (d, d / 0.024)), True)[0] for d in (0.02, 0.04, 0.08)]
    assert losses[0] > losses[1] > losses[2]


def test_corners_of_the_cottage_are_found_and_counted() -> None:
    job = read(example("ferry-cottage"))
    run = Run(seed=1)
    taped = survey(job, run).value
    found = corners(job, taped)
    assert not found["S1"] or all(abs(c.open_angle - math.pi / 2) < 1e-9 for c in found["S1"])
    # knee wall to floor and to partition; its joins with slope and gable meet a third space
    assert sorted(round(c.length, 1) for c in found["K1"]) == [1.2, 4.3]
    back = found["B1-back"]
    assert len(back) == 4
    assert all(c.open_angle == pytest.approx(3 * math.pi / 2) for c in back)
    base = ground(job, taped)
    for face in base.faces:
        load = base.loads.faces[face.id]
        assert load.heat - load.edges > 0
    # a bare plywood box measured on its cold side: films smooth the corner, the planes count it double
    assert -0.15 < base.loads.faces["B1-back"].edges < 0.0
