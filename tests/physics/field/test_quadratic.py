"""Stiffness in closed form against scikit-fem's numerical integration, on cells and triangles of uneven size."""

from __future__ import annotations

import numpy as np
import pytest
from skfem import Basis, BilinearForm, ElementQuad2, ElementTriP2, MeshQuad, MeshTri
from skfem.helpers import dot, grad
from tests.physics.field.cases import case_2d_corner, case_2d_stud_ci, case_10211_a2

from snugbay.physics.field import Facing, Section
from snugbay.physics.field.error import triangle_errors
from snugbay.physics.field.grid import first_net
from snugbay.physics.field.quadratic import Quadratics
from snugbay.physics.field.triangles import first_triangles
from snugbay.physics.field.unit import unit_fields

SECTIONS = [case_10211_a2().section, case_2d_corner().section, case_2d_stud_ci().section]


def energy(ours: Quadratics, lam: np.ndarray, kind: str) -> tuple[float, float]:
    """∫ λ·|grad f|² of a quadratic f on the net: ours, and scikit-fem's."""
    mesh = (MeshQuad if kind == "cells" else MeshTri)(ours.points, ours.elements)
    basis = Basis(mesh, (ElementQuad2 if kind == "cells" else ElementTriP2)(), intorder=4)
    form = BilinearForm(lambda u, v, w: w["lam"] * dot(grad(u), grad(v)))
    matrix = form.assemble(basis, lam=np.broadcast_to(lam[:, None], basis.dx.shape))

    def values(where: np.ndarray) -> np.ndarray:
        x, y = where / np.ptp(ours.points)
        return np.asarray(x * x - 2 * x * y + 3 * y * y + x - np.sin(7 * x) * np.cos(5 * y))

    here, there = values(ours.doflocs), values(basis.doflocs)
    return float(here @ (ours.stiffness(lam) @ here)), float(there @ (matrix @ there))


@pytest.mark.parametrize("section", SECTIONS)
def test_cells_have_the_stiffness_that_is_integrated(section: Section) -> None:
    net = first_net(section)
    ours, theirs = energy(net.quadratics(), net.element_conductivity(), "cells")
    assert ours == pytest.approx(theirs, rel=1e-9)


@pytest.mark.parametrize("section", SECTIONS)
def test_triangles_have_the_stiffness_that_is_integrated(section: Section) -> None:
    net = first_triangles(section.moved(0.3))
    ours, theirs = energy(net.quadratics(), net.element_conductivity(), "triangles")
    assert ours == pytest.approx(theirs, rel=1e-9)


def test_a_field_without_jumps_has_no_error() -> None:
    # one material between two parallel films: the flux is the same everywhere
    plain = case_2d_stud_ci().section.regions[0]
    top = 0.0111
    alone = Section((plain,), (Facing((0, 0), (0.2032, 0), "a", 0.1), Facing((0, top), (0.2032, top), "b", 0.2)))
    net = first_triangles(alone.moved(0.7))
    fields = unit_fields(net)
    assert triangle_errors(net, fields).max() < 1e-16
