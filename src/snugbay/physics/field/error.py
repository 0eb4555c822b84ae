"""Where a solved net is too coarse: jumps of the heat flux from element to element."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from snugbay.physics.field.grid import GridNet
from snugbay.physics.field.unit import UnitFields

if TYPE_CHECKING:
    from snugbay.physics.field.triangles import TriangleNet

Floats = NDArray[np.float64]

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
    basis = fields.basis
    where = basis.doflocs[:, basis.element_dofs[:, 0]]
    low, high = where.min(1), where.max(1)
    place = np.rint(2 * (where - low[:, None]) / (high - low)[:, None]).astype(int)
    ii, jj = net.cells
    nodal = np.zeros((len(net.xs) - 1, len(net.ys) - 1, 3, 3, fields.shares.shape[1]))
    for k, (a, b) in enumerate(place.T):
        nodal[ii, jj, a, b] = fields.shares[basis.element_dofs[k]]
    return nodal


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
    from skfem import Functional, InteriorFacetBasis

    basis, mesh = fields.basis, fields.basis.mesh
    sides = [InteriorFacetBasis(mesh, basis.elem, side=k, intorder=4) for k in (0, 1)]
    lam = net.conductivity
    of = mesh.f2t[:, sides[0].find]
    shape = sides[0].dx.shape
    lam_sides = [np.broadcast_to(lam[of[k]][:, None], shape) for k in (0, 1)]

    def jump(w: Any) -> Any:
        n = w.n
        flux = [w[f"lam{k}"] * (w[f"u{k}"].grad[0] * n[0] + w[f"u{k}"].grad[1] * n[1]) for k in (0, 1)]
        return w.h * (flux[0] - flux[1]) ** 2 / (w["lam0"] + w["lam1"])

    total = np.zeros(mesh.nfacets)
    for column in fields.shares.T:
        u = [side.interpolate(column) for side in sides]
        values = Functional(jump).elemental(sides[0], u0=u[0], u1=u[1], lam0=lam_sides[0], lam1=lam_sides[1])
        total[sides[0].find] += values
    return np.asarray(total[mesh.t2f].sum(0))
