"""Quadratic elements on rectangles and triangles: numbers of the unknowns, and stiffness in closed form."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from snugbay.physics.field.grid import GridNet

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

MASS = np.array([[4.0, 2.0, -1.0], [2.0, 16.0, 2.0], [-1.0, 2.0, 4.0]]) / 30
"""Mass matrix of a parabola on a line of length 1, values at 0, 1/2, 1."""

SLOPE = np.array([[7.0, -8.0, 1.0], [-8.0, 16.0, -8.0], [1.0, -8.0, 7.0]]) / 3
"""Stiffness matrix of a parabola on a line of length 1."""

ALONG_X, ALONG_Y = np.kron(SLOPE, MASS), np.kron(MASS, SLOPE)
"""Stiffness of a unit square for flux along x and along y; unknown 3·a + b stands at (a/2, b/2)."""


@dataclass(frozen=True, eq=False)
class Quadratics:
    """Quadratic elements over a net.

    Attributes
    ----------
    points : ndarray, shape (2, corners)
        [m]
    elements : ndarray of int, shape (3 or 4, elements)
        Corner numbers of each element.
    element_dofs : ndarray of int, shape (6 or 9, elements)
        Unknowns of each element: of a rectangle 3·a + b at (a/2, b/2) of its sides; of a triangle its corners, then
        the middles of its sides 01, 12, 02.
    doflocs : ndarray, shape (2, unknowns)
        Where each unknown sits. [m]
    corner_dofs : ndarray of int, shape (corners,)
        Unknown at each corner.
    edge_dofs : ndarray of int, shape (3, edges)
        Both ends and the middle of each edge of the outside.
    unit_stiffness : ndarray, shape (6 or 9, 6 or 9, elements)
        Stiffness of each element for a conductivity of 1.
    """

    points: Floats
    elements: Ints
    element_dofs: Ints
    doflocs: Floats
    corner_dofs: Ints
    edge_dofs: Ints
    unit_stiffness: Floats

    @property
    def unknowns(self) -> int:
        """Number of unknowns."""
        return int(self.doflocs.shape[1])

    def stiffness(self, conductivity: Floats) -> Any:
        """Assemble the stiffness matrix for one conductivity an element. [W/(m·K)], scipy CSR matrix"""
        from scipy.sparse import coo_matrix

        count = len(self.element_dofs)
        rows = np.repeat(self.element_dofs, count, axis=0).ravel()
        columns = np.tile(self.element_dofs, (count, 1)).ravel()
        values = (self.unit_stiffness * conductivity).reshape(count * count, -1).ravel()
        return coo_matrix((values, (rows, columns)), shape=(self.unknowns, self.unknowns)).tocsr()


def grid_quadratics(net: GridNet) -> Quadratics:
    """Quadratic elements on the cells of a grid that hold material.

    Parameters
    ----------
    net : GridNet

    Returns
    -------
    Quadratics
        Unknowns in the order of the half lines, x first.
    """
    full = net.conductivity > 0
    nx, ny = full.shape
    used = np.zeros((2 * nx + 1, 2 * ny + 1), bool)
    for a in range(3):
        for b in range(3):
            used[a : a + 2 * nx - 1 : 2, b : b + 2 * ny - 1 : 2] |= full
    number = _numbered(used)
    ii, jj = np.nonzero(full)
    dofs = np.array([number[2 * ii + a, 2 * jj + b] for a in range(3) for b in range(3)], np.intp)
    across, up = np.nonzero(used)
    where = np.stack([_with_middles(net.xs)[across], _with_middles(net.ys)[up]])
    at_corner = used[::2, ::2]
    corner = _numbered(at_corner)
    ci, cj = np.nonzero(at_corner)
    elements = np.stack([corner[ii, jj], corner[ii + 1, jj], corner[ii + 1, jj + 1], corner[ii, jj + 1]])
    wide, high = np.diff(net.xs)[ii], np.diff(net.ys)[jj]
    unit = ALONG_X[:, :, None] * (high / wide) + ALONG_Y[:, :, None] * (wide / high)
    return Quadratics(
        np.stack([net.xs[ci], net.ys[cj]]), elements, dofs, where, number[::2, ::2][at_corner], _outer(full, number),
        unit,
    )  # fmt: skip


def _numbered(used: NDArray[np.bool_]) -> Ints:
    return np.asarray(np.cumsum(used).reshape(used.shape) - 1, np.intp)


def _with_middles(lines: Floats) -> Floats:
    both = np.empty(2 * len(lines) - 1)
    both[::2] = lines
    both[1::2] = (lines[1:] + lines[:-1]) / 2
    return both


def _outer(full: NDArray[np.bool_], number: Ints) -> Ints:
    """Return the unknowns of the sides that have material on one side only."""
    i, j = np.nonzero(np.diff(np.pad(full, ((1, 1), (0, 0))), axis=0))
    upright = np.stack([number[2 * i, 2 * j], number[2 * i, 2 * j + 2], number[2 * i, 2 * j + 1]])
    i, j = np.nonzero(np.diff(np.pad(full, ((0, 0), (1, 1))), axis=1))
    level = np.stack([number[2 * i, 2 * j], number[2 * i + 2, 2 * j], number[2 * i + 1, 2 * j]])
    return np.concatenate([upright, level], axis=1)


def _reference_slopes(x: Floats, y: Floats) -> Floats:
    """Slopes of the six parabolas of the triangle (0,0), (1,0), (0,1) along x and y, shape (2, 6, points)."""
    one, two, three = 1 - x - y, x, y
    zero = np.zeros_like(x)
    along_x = [1 - 4 * one, 4 * two - 1, zero, 4 * (one - two), 4 * three, -4 * three]
    along_y = [1 - 4 * one, zero, 4 * three - 1, -4 * two, 4 * two, 4 * (one - three)]
    return np.array([along_x, along_y])


_MIDDLES = _reference_slopes(np.array([0.5, 0.5, 0.0]), np.array([0.0, 0.5, 0.5]))
_XX, _XY, _YY = (np.einsum("iq,jq->ij", _MIDDLES[a], _MIDDLES[b]) / 6 for a, b in ((0, 0), (0, 1), (1, 1)))
CORNER_SLOPES = _reference_slopes(np.array([0.0, 1.0, 0.0]), np.array([0.0, 0.0, 1.0]))
"""Slopes at the three corners of the reference triangle, shape (2, 6, 3)."""


def inverse_maps(points: Floats, elements: Ints) -> tuple[Floats, Floats]:
    """Return the inverse of the map of each triangle, shape (2, 2, elements), and twice its area, signed. [1/m, m²]"""
    first = points[:, elements[0]]
    one, two = points[:, elements[1]] - first, points[:, elements[2]] - first
    twice = one[0] * two[1] - one[1] * two[0]
    return np.array([[two[1], -two[0]], [-one[1], one[0]]]) / twice, twice


def triangle_quadratics(mesh: Any) -> Quadratics:
    """Quadratic elements on a scikit-fem mesh of triangles."""
    points, elements = np.asarray(mesh.p), np.asarray(mesh.t, np.intp)
    sides, of_side = np.asarray(mesh.facets, np.intp), np.asarray(mesh.f2t)
    corners = points.shape[1]
    middles = (points[:, sides[0]] + points[:, sides[1]]) / 2
    outer = np.nonzero(of_side[1] < 0)[0]
    inverse, twice = inverse_maps(points, elements)
    metric = np.einsum("axe,bxe->abe", inverse, inverse) * np.abs(twice)
    unit = _XX[:, :, None] * metric[0, 0] + _YY[:, :, None] * metric[1, 1] + (_XY + _XY.T)[:, :, None] * metric[0, 1]
    return Quadratics(
        points,
        elements,
        np.vstack([elements, corners + np.asarray(mesh.t2f, np.intp)]),
        np.concatenate([points, middles], axis=1),
        np.arange(corners),
        np.vstack([sides[:, outer], corners + outer]),
        unit,
    )
