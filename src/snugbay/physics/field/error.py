"""Where a solved net is too coarse: jumps of the heat flux from element to element."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from snugbay.physics.field.grid import GridNet
from snugbay.physics.field.quadratic import CORNER_SLOPES, inverse_maps
from snugbay.physics.field.unit import UnitFields

if TYPE_CHECKING:
    from snugbay.physics.field.triangles import TriangleNet

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

LEFT_SLOPE = np.array([-3.0, 4.0, -1.0])
"""Slope of a parabola at its first node from values at 0, 1/2, 1."""

RIGHT_SLOPE = np.array([1.0, -4.0, 3.0])
"""Slope of a parabola at its last node from values at 0, 1/2, 1."""

SIMPSON = np.array([1.0, 4.0, 1.0]) / 6
"""Weights of an integral from values at 0, 1/2, 1."""


def grid_errors(net: GridNet, fields: UnitFields) -> tuple[Floats, Floats]:
    """Squared error indicators of the columns and rows of a grid.

    Parameters
    ----------
    net : GridNet
    fields : UnitFields
        Solved on it.

    Returns
    -------
    columns, rows : ndarray, shape (nx,) and (ny,)

    Notes
    -----
    Jump of the flux across the edge between two cells, squared, integrated along the edge, times the cell's width
    across it, over the sum of both conductivities (the usual residual estimate for a conductivity that jumps), summed
    over the unit fields of all spaces. Jumps across upright edges count for columns, across level ones for rows.
    """
    nodal = _nodal(net, fields)
    wx, wy = np.diff(net.xs), np.diff(net.ys)
    lam = net.conductivity
    across_x = _jumps(nodal, lam, wx, wy)
    across_y = _jumps(nodal.transpose(1, 0, 3, 2, 4), lam.T, wy, wx)
    return _by_line(across_x, wx), _by_line(across_y, wy)


def _nodal(net: GridNet, fields: UnitFields) -> Floats:
    """Return nodal values of all cells, shape (nx, ny, 3, 3, airs); zero where there is no material."""
    nodal = np.zeros((len(net.xs) - 1, len(net.ys) - 1, 9, fields.shares.shape[1]))
    nodal[net.cells] = fields.shares[fields.basis.element_dofs.T]
    return nodal.reshape(*nodal.shape[:2], 3, 3, -1)


def _jumps(nodal: Floats, lam: Floats, width: Floats, along: Floats) -> Floats:
    """Squared flux jumps across upright inner edges, integrated and weighted, shape (n - 1,)."""
    flux_right = np.einsum("k,ijkba->ijba", RIGHT_SLOPE, nodal) * (lam / width[:, None])[..., None, None]
    flux_left = np.einsum("k,ijkba->ijba", LEFT_SLOPE, nodal) * (lam / width[:, None])[..., None, None]
    jump = flux_right[:-1] - flux_left[1:]
    both = (lam[:-1] > 0) & (lam[1:] > 0)
    squared = np.einsum("b,ijba,ijba->ij", SIMPSON, jump, jump) * along
    return np.asarray(np.where(both, squared / np.where(both, lam[:-1] + lam[1:], 1.0), 0.0).sum(1))


def _by_line(across: Floats, width: Floats) -> Floats:
    lines = np.zeros(len(width))
    lines[:-1] += across * width[:-1]
    lines[1:] += across * width[1:]
    return lines


def triangle_errors(net: TriangleNet, fields: UnitFields) -> Floats:
    """Squared error indicators of the triangles of a net, by the same jumps.

    Parameters
    ----------
    net : TriangleNet
    fields : UnitFields
        Solved on it.

    Returns
    -------
    ndarray, shape (triangles,)
    """
    basis, mesh, lam = fields.basis, net.grid, net.conductivity
    inverse, _ = inverse_maps(basis.points, basis.elements)
    flux = np.einsum(
        "axe,aic,ief->xcef", inverse * lam, CORNER_SLOPES, fields.shares[basis.element_dofs], optimize=True
    )
    total = np.zeros(mesh.nfacets)
    inner = np.nonzero(mesh.f2t[1] >= 0)[0]
    ends, beside = mesh.facets[:, inner], mesh.f2t[:, inner]
    along = basis.points[:, ends[1]] - basis.points[:, ends[0]]
    jumps = [_crossing(flux, basis.elements, end, beside, along) for end in ends]
    squared = sum((a * b).sum(1) for a, b in ((jumps[0], jumps[0]), (jumps[0], jumps[1]), (jumps[1], jumps[1])))
    total[inner] = squared / 3 / lam[beside].sum(0)
    return np.asarray(total[mesh.t2f].sum(0))


def _crossing(flux: Floats, elements: Ints, corner: Ints, beside: Ints, along: Floats) -> Floats:
    """Jump of the flux across sides at one of their ends, times the side's length, shape (sides, airs)."""
    sides = []
    for element in beside:
        place = np.argmax(elements[:, element] == corner, axis=0)
        here = flux[:, place, element]
        sides.append(here[0] * along[1][:, None] - here[1] * along[0][:, None])
    return np.asarray(sides[0] - sides[1])
