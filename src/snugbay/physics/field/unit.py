"""Unit fields: one finite element solution for each space, by quadratic elements and consistent boundary flows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from snugbay.base import InputError
from snugbay.physics.field.quadratic import Quadratics
from snugbay.physics.field.section import Facing, Section

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

EDGE_MASS = np.array([[4.0, -1.0, 2.0], [-1.0, 4.0, 2.0], [2.0, 2.0, 16.0]]) / 30
"""Mass matrix of a parabola on an edge of length 1, values at both ends and the middle."""


class Net(Protocol):
    """What a net of elements must tell."""

    @property
    def section(self) -> Section:
        """Section that it covers."""

    def quadratics(self) -> Quadratics:
        """Return quadratic elements on it."""

    def element_conductivity(self) -> Floats:
        """Return the conductivity of each element, shape (n,). [W/(m·K)]"""


@dataclass(frozen=True, eq=False)
class UnitFields:
    """Temperature fields for 1 K in one space and 0 K in all others.

    Attributes
    ----------
    net : Net
        The net they live on.
    basis : Quadratics
        The quadratic elements.
    shares : ndarray, shape (unknowns, airs)
        Weighting factors; each row sums to 1. [-]
    exchange : ndarray, shape (airs, airs)
        Flow into the section from space a when space b is 1 K warmer than all others, per metre. [W/(m·K)]
    facing_nodes : tuple of ndarray
        For each facing, the unknowns on it.
    """

    net: Net
    basis: Quadratics
    shares: Floats
    exchange: Floats
    facing_nodes: tuple[Ints, ...]


def unit_fields(net: Net) -> UnitFields:
    """Solve for the unit fields of all spaces with one factorisation.

    Parameters
    ----------
    net : Net

    Returns
    -------
    UnitFields

    Raises
    ------
    InputError
        If a facing does not lie on the edge of the section.

    Notes
    -----
    Galerkin's method with quadratic elements; the flow through a film is the integral of (air - surface)/R, the
    flow through a fixed surface the reaction of the discrete equations, so that the sum of all flows is the
    rounding of the solver. A point where surfaces of two fixed temperatures meet is given their mean.
    """
    basis, nodes, matrix, loads, held = _system(net)
    shares = _solve(matrix, loads, held)
    return UnitFields(net, basis, shares, _exchange(matrix, loads, held, shares), nodes)


def assembled(net: Net) -> tuple[Any, Floats]:
    """Return the matrix of the free unknowns of a net and its right-hand sides, as `unit_fields` solves them.

    Parameters
    ----------
    net : Net

    Returns
    -------
    matrix : scipy.sparse.csc_matrix, shape (free, free)
    right : ndarray, shape (free, airs - 1)
    """
    _, _, matrix, loads, held = _system(net)
    return _free_system(matrix, loads, held)


def _system(net: Net) -> tuple[Quadratics, tuple[Ints, ...], Any, Floats, Floats]:
    basis = net.quadratics()
    edges = tuple(facing_edges(basis, f, net.section) for f in net.section.facings)
    _check_no_overlap(edges)
    stiffness = basis.stiffness(net.element_conductivity())
    nodes = tuple(np.unique(basis.edge_dofs[:, e]) for e in edges)
    matrix, loads = _films(basis, stiffness, net.section, edges)
    return basis, nodes, matrix, loads, _held(net.section, nodes, stiffness.shape[0])


def facing_edges(basis: Quadratics, facing: Facing, section: Section) -> Ints:
    """Return which outer edges of the net lie on a facing.

    Raises
    ------
    InputError
        If the facing is not wholly on the edge of the section.
    """
    tiny = 1e-7 * section.size
    a = np.asarray(facing.start)
    along = np.asarray(facing.end) - a
    length = float(np.hypot(*along))
    along = along / length
    across = np.array([-along[1], along[0]])
    ends = basis.doflocs[:, basis.edge_dofs[:2]] - a[:, None, None]
    run = np.tensordot(along, ends, 1)
    off = np.abs(np.tensordot(across, ends, 1))
    on = (off < tiny).all(0) & (run > -tiny).all(0) & (run < length + tiny).all(0)
    covered = float(np.abs(run[0] - run[1])[on].sum())
    if abs(covered - length) > 1e-5 * length:
        raise InputError(
            f"The facing towards {facing.air} is {length:.4g} m long, but only {covered:.4g} m of it lie on the edge "
            "of the section.",
            where=("facings",),
            hint="A facing must follow the outside of the material.",
        )
    return np.asarray(np.nonzero(on)[0], np.intp)


def _check_no_overlap(edges: tuple[Ints, ...]) -> None:
    used = np.concatenate(edges)
    if len(np.unique(used)) != len(used):
        raise InputError("Two facings claim the same stretch of edge.", where=("facings",), hint="Let them meet only.")


def _films(basis: Quadratics, stiffness: Any, section: Section, edges: tuple[Ints, ...]) -> tuple[Any, Floats]:
    """Add the films to the stiffness; loads have one column for each space, for 1 K in it."""
    from scipy.sparse import coo_matrix

    airs = section.airs
    loads = np.zeros((stiffness.shape[0], len(airs)))
    rows, columns, values = [], [], []
    for facing, on in zip(section.facings, edges, strict=True):
        if facing.resistance > 0:
            dofs = basis.edge_dofs[:, on]
            conductance = np.hypot(*(basis.doflocs[:, dofs[1]] - basis.doflocs[:, dofs[0]])) / facing.resistance
            rows.append(np.repeat(dofs, 3, axis=0).ravel())
            columns.append(np.tile(dofs, (3, 1)).ravel())
            values.append((EDGE_MASS.reshape(9, 1) * conductance).ravel())
            np.add.at(loads[:, airs.index(facing.air)], dofs, EDGE_MASS.sum(1)[:, None] * conductance)
    if not values:
        return stiffness, loads
    places = (np.concatenate(rows), np.concatenate(columns))
    return stiffness + coo_matrix((np.concatenate(values), places), shape=stiffness.shape).tocsr(), loads


def _held(section: Section, nodes: tuple[Ints, ...], size: int) -> Floats:
    """Return how the held unknowns belong to the spaces that hold them; rows of free unknowns are zero."""
    airs = section.airs
    weight = np.zeros((size, len(airs)))
    for facing, on in zip(section.facings, nodes, strict=True):
        if facing.resistance == 0:
            weight[on, airs.index(facing.air)] = 1.0
    total = weight.sum(1, keepdims=True)
    return np.asarray(weight / np.where(total > 0, total, 1.0))


def _solve(matrix: Any, loads: Floats, held: Floats) -> Floats:
    """Return the shares of each space at all unknowns; the last is what the others leave of 1."""
    shares = held.copy()
    free = held.sum(1) == 0
    if loads.shape[1] > 1:
        inner, right = _free_system(matrix, loads, held)
        shares[np.ix_(free, np.arange(loads.shape[1] - 1))] = factorised(inner).solve(right)
    shares[free, -1] = 1.0 - shares[free, :-1].sum(1)
    return shares


def _free_system(matrix: Any, loads: Floats, held: Floats) -> tuple[Any, Floats]:
    """Return matrix and right-hand sides of the free unknowns, for all spaces but the last."""
    free = held.sum(1) == 0
    rows = matrix.tocsr()[free]
    return rows[:, free].tocsc(), np.asarray(loads[free, :-1] - rows[:, ~free] @ held[~free, :-1])


def factorised(matrix: Any) -> Any:
    """Factorise a symmetric positive definite matrix: pivots on the diagonal, order from the pattern of A + Aᵀ.

    Parameters
    ----------
    matrix : scipy.sparse.csc_matrix

    Returns
    -------
    SuperLU
        With a method ``solve``.
    """
    from scipy.sparse.linalg import splu

    return splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})


def _exchange(matrix: Any, loads: Floats, held: Floats, shares: Floats) -> Floats:
    films = np.diag(loads.sum(0)) - loads.T @ shares
    reaction = matrix @ shares - loads
    return np.asarray(films + held.T @ reaction)
