"""Errors fall at the rate that theory promises."""

from __future__ import annotations

import math

import numpy as np
import pytest
from tests.physics.field.cases import case_2d_corner

from snugbay.physics.field import Facing, Section, rectangle
from snugbay.physics.field.error import grid_errors, triangle_errors
from snugbay.physics.field.grid import GridNet, first_net
from snugbay.physics.field.triangles import TriangleNet, first_triangles
from snugbay.physics.field.unit import unit_fields


def _even(section: Section, cells: int) -> GridNet:
    """An even net over a unit square of one material."""
    lines = np.linspace(0.0, 1.0, cells + 1)
    return GridNet(section, lines, lines, np.full((cells, cells), section.regions[0].conductivity))


def _smooth() -> Section:
    """A square warmed through a film on one side, cooled through a film on the opposite and one neighbouring side."""
    facings = (
        Facing((0, 0), (0, 1), "warm", 0.5),
        Facing((1, 0), (1, 1), "cold", 0.25),
        Facing((0, 1), (1, 1), "cold", 1.0),
    )
    return Section((rectangle(0, 0, 1, 1, 1.0),), facings)


def test_smooth_field_converges_with_the_fourth_power_of_the_width() -> None:
    # Quadratic elements: energy, and with it the exchange, falls as h^4 where the field is smooth; the corners where
    # two films meet leave a trace (r^2 log r) that holds the rate a little lower.
    flows = [unit_fields(_even(_smooth(), n)).exchange[0, 0] for n in (4, 8, 16, 96)]
    errors = np.abs(np.array(flows[:3]) - flows[3])
    rates = np.log2(errors[:-1] / errors[1:])
    assert (rates > 3.3).all()
    assert (rates < 4.3).all()


def test_even_halving_at_a_reentrant_corner_converges_with_four_thirds() -> None:
    # The field near a re-entrant right angle goes as r^(2/3), so the exchange goes as h^(4/3).
    exact = 12 + 1 - 2 / math.pi * math.log(2)
    nets = [first_net(case_2d_corner().section)]
    for _ in range(4):
        nets.append(nets[-1].doubled())
    errors = np.array([unit_fields(n).exchange[0, 0] - exact for n in nets])
    rates = np.log2(errors[1:-1] / errors[2:])
    assert rates == pytest.approx(4 / 3, abs=0.1)


def test_refinement_where_the_flux_jumps_beats_even_halving() -> None:
    # Best possible for quadratics: error of the exchange as unknowns^-2; even halving gives unknowns^(-2/3).
    exact = 12 + 1 - 2 / math.pi * math.log(2)
    net, seen = first_net(case_2d_corner().section), []
    for _ in range(9):
        fields = unit_fields(net)
        seen.append((fields.basis.unknowns, abs(fields.exchange[0, 0] - exact)))
        net = net.refined(*grid_errors(net, fields), 1e-5)
    (n0, e0), (n1, e1) = seen[2], seen[-1]
    assert math.log(e0 / e1) / math.log(n1 / n0) > 1.3


def test_triangles_refined_where_the_flux_jumps_reach_the_best_rate() -> None:
    exact = 12 + 1 - 2 / math.pi * math.log(2)
    net: TriangleNet = first_triangles(case_2d_corner().section.moved(0.4))
    seen = []
    for _ in range(14):
        fields = unit_fields(net)
        seen.append((fields.basis.unknowns, abs(fields.exchange[0, 0] - exact)))
        net = net.refined(triangle_errors(net, fields), 1e-6)
    (n0, e0), (n1, e1) = seen[4], seen[-1]
    assert math.log(e0 / e1) / math.log(n1 / n0) > 1.7
