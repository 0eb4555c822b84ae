"""The net over a body of blocks: a product of three graded lines, assembled straight from its box-shaped cells."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from snugbay.physics.field.grid import SNAP, distinct_lines, graded_lines, halved_lines
from snugbay.physics.field.quadratic import MASS, SLOPE
from snugbay.physics.field.solid import AirBlock, Block, Solid

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Flags = NDArray[np.bool_]

FIRST_CELL = 0.5
"""Width of the first cell beside a line, as a share of the narrower span; in a plane cells are cheaper."""

GROWTH = 2.0
"""Growth of the cell width with the distance from a line; about a fourfold from cell to cell."""


@dataclass(frozen=True, eq=False)
class SolidNet:
    """A net of boxes with quadratic elements.

    Attributes
    ----------
    solid : Solid
        What it covers.
    lines : tuple of three ndarrays
        Lines along x, y, z. [m]
    conductivity : ndarray, shape (nx, ny, nz)
        Of each cell, 0 where there is no material. [W/(m·K)]
    air : ndarray of int, shape (nx, ny, nz)
        Number of the air block in each cell, -1 where there is none.
    """

    solid: Solid
    lines: tuple[Floats, Floats, Floats]
    conductivity: Floats
    air: Ints

    @property
    def size(self) -> int:
        """Number of cells that hold material."""
        return int(np.count_nonzero(self.conductivity))

    @property
    def widths(self) -> tuple[Floats, Floats, Floats]:
        """Widths of the cells along x, y, z. [m]"""
        x, y, z = self.lines
        return np.diff(x), np.diff(y), np.diff(z)

    def split(self, marks: tuple[Flags, Flags, Flags]) -> SolidNet:
        """Return the net with the marked layers of cells halved, along x, y and z."""
        x, y, z = (halved_lines(line, mark) for line, mark in zip(self.lines, marks, strict=True))
        lam, air = self.conductivity, self.air
        for axis, mark in enumerate(marks):
            lam = np.repeat(lam, 1 + mark.astype(int), axis=axis)
            air = np.repeat(air, 1 + mark.astype(int), axis=axis)
        return SolidNet(self.solid, (x, y, z), lam, air)

    def doubled(self) -> SolidNet:
        """Return the net with every layer halved."""
        x, y, z = (np.ones(len(line) - 1, bool) for line in self.lines)
        return self.split((x, y, z))

    def refined(self, errors: tuple[Floats, Floats, Floats], share: float = 0.6) -> SolidNet:
        """Return the net with the layers halved that hold most of the squared error."""
        joined = np.concatenate(errors)
        order = np.argsort(joined)[::-1]
        held = np.cumsum(joined[order])
        if held[-1] <= 0:
            return self.doubled()
        marked = np.zeros(len(joined), bool)
        marked[order[: int(np.searchsorted(held, share * held[-1])) + 1]] = True
        a, b = len(errors[0]), len(errors[0]) + len(errors[1])
        return self.split((marked[:a], marked[a:b], marked[b:]))

    def faces(self) -> tuple[tuple[AirBlock, int, bool, tuple[Ints, Ints, Ints]], ...]:
        """Return faces between material and air: air block, axis, whether the material is below, material cells."""
        found = []
        for axis in range(3):
            solid, air = (np.moveaxis(a, axis, 0) for a in (self.conductivity > 0, self.air))
            for below in (True, False):
                has, sees = (solid[:-1], air[1:]) if below else (solid[1:], air[:-1])
                free = ~(solid[1:] if below else solid[:-1])
                for number in np.unique(sees[has & free & (sees >= 0)]):
                    cell = list(np.nonzero(has & free & (sees == number)))
                    cell[0] = cell[0] + (0 if below else 1)
                    first = cell.pop(0)
                    cell.insert(axis, first)
                    found.append((self.solid.airs[int(number)], axis, below, (cell[0], cell[1], cell[2])))
        return tuple(found)


def first_solid_net(solid: Solid) -> SolidNet:
    """Return the first net over a body: lines at all faces of its blocks, cells growing away from them."""
    tiny = SNAP * solid.size
    x, y, z = (graded_lines(_axis_lines(solid, k, tiny), FIRST_CELL, GROWTH) for k in range(3))
    middles = [(line[1:] + line[:-1]) / 2 for line in (x, y, z)]
    shape = (len(middles[0]), len(middles[1]), len(middles[2]))
    lam, air = np.zeros(shape), np.full(shape, -1, np.intp)
    for number, space in enumerate(solid.airs):
        air[np.ix_(*_covered(space, middles))] = number
    for block in solid.blocks:
        lam[np.ix_(*_covered(block, middles))] = block.conductivity
    air[lam > 0] = -1
    return SolidNet(solid, (x, y, z), lam, air)


def _axis_lines(solid: Solid, axis: int, tiny: float) -> Floats:
    """Lines at the faces of all blocks; air is followed only one cell beyond the material."""
    low = min(b.low[axis] for b in solid.blocks)
    high = max(b.high[axis] for b in solid.blocks)
    rim = 0.02 * (high - low)
    boxes: tuple[Block | AirBlock, ...] = (*solid.blocks, *solid.airs)
    values = [v for b in boxes for v in (b.low[axis], b.high[axis])]
    return distinct_lines([min(max(v, low - rim), high + rim) for v in values], tiny)


def _covered(block: Block | AirBlock, middles: list[Floats]) -> list[Flags]:
    return [(m > block.low[k]) & (m < block.high[k]) for k, m in enumerate(middles)]


@dataclass(frozen=True, eq=False)
class Nodes:
    """Numbering of the nodes of a net.

    Attributes
    ----------
    element : ndarray, shape (cells, 27)
        Unknowns of each cell that holds material, last axis fastest.
    coarse : sparse matrix, shape (unknowns, corners)
        Values at all nodes from values at the corners of the cells, linear between them.
    place : ndarray, shape (unknowns, 3)
        [m]
    """

    element: Ints
    coarse: Any
    place: Floats


def number_nodes(net: SolidNet) -> Nodes:
    """Number the nodes that touch material."""
    from scipy.sparse import csr_matrix, kron

    fine = [2 * (len(line) - 1) + 1 for line in net.lines]
    cells = np.nonzero(net.conductivity)
    local = np.indices((3, 3, 3)).reshape(3, 27)
    at = [2 * cells[k][:, None] + local[k][None] for k in range(3)]
    flat = (at[0] * fine[1] + at[1]) * fine[2] + at[2]
    used, element = np.unique(flat, return_inverse=True)
    where = np.stack(np.unravel_index(used, fine), 1)
    rise = [_line_rise(len(line)) for line in net.lines]
    whole = csr_matrix(kron(kron(rise[0], rise[1], "csr"), rise[2], "csr"))[used]
    coarse = whole[:, np.unique(whole.indices)]
    half = [np.interp(np.arange(n) / 2, np.arange(len(line)), line) for n, line in zip(fine, net.lines, strict=True)]
    place = np.stack([half[k][where[:, k]] for k in range(3)], 1)
    return Nodes(element.reshape(flat.shape), coarse, place)


def _line_rise(corners: int) -> Any:
    from scipy.sparse import csr_matrix

    rows = np.concatenate([2 * np.arange(corners), 2 * np.arange(corners - 1) + 1, 2 * np.arange(corners - 1) + 1])
    columns = np.concatenate([np.arange(corners), np.arange(corners - 1), np.arange(1, corners)])
    values = np.concatenate([np.ones(corners), np.full(2 * (corners - 1), 0.5)])
    return csr_matrix((values, (rows, columns)), shape=(2 * corners - 1, corners))


def stiffness(net: SolidNet, nodes: Nodes) -> Any:
    """Assemble the conduction matrix: for boxes, a sum of three products of line matrices."""
    from scipy.sparse import coo_matrix

    i, j, k = np.nonzero(net.conductivity)
    lam = net.conductivity[i, j, k]
    hx, hy, hz = (w[c] for w, c in zip(net.widths, (i, j, k), strict=True))
    parts = (
        np.kron(np.kron(SLOPE, MASS), MASS),
        np.kron(np.kron(MASS, SLOPE), MASS),
        np.kron(np.kron(MASS, MASS), SLOPE),
    )
    weights = (lam * hy * hz / hx, lam * hx * hz / hy, lam * hx * hy / hz)
    values = sum(w[:, None] * p.ravel()[None] for w, p in zip(weights, parts, strict=True))
    n = len(nodes.place)
    rows = np.repeat(nodes.element, 27, axis=1)
    columns = np.tile(nodes.element, (1, 27))
    return coo_matrix((np.asarray(values).ravel(), (rows.ravel(), columns.ravel())), shape=(n, n)).tocsr()


def face_nodes(
    net: SolidNet, nodes: Nodes, axis: int, below: bool, cells: tuple[Ints, Ints, Ints]
) -> tuple[Ints, Floats]:
    """Return the unknowns of faces, shape (faces, 9), and their areas, shape (faces,) [m²]."""
    order = np.full(net.conductivity.shape, -1, np.intp)
    order[np.nonzero(net.conductivity)] = np.arange(net.size)
    box = nodes.element[order[cells]].reshape(-1, 3, 3, 3)
    face = np.take(box, 2 if below else 0, axis=axis + 1).reshape(-1, 9)
    sides = [net.widths[k][cells[k]] for k in range(3) if k != axis]
    return face, sides[0] * sides[1]
