"""Least squares on a network: Levenberg-Marquardt steps on sparse normal equations, and what the solution is worth."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy import linalg, sparse
from scipy.sparse import linalg as sparse_linalg

from snugbay.survey.equations import misclosure, moved
from snugbay.survey.network import Floats, Network, State

Sparse = Any
"""A sparse array of scipy."""

SMALL = 90
"""Up to so many unknowns dense algebra is quicker than sparse."""
REST = 1e-10
"""Steps smaller than this end the search. [m or rad]"""
STILL = 1e-11
"""So small a relative fall of the sum of squares ends the search. [-]"""
_SINGULAR = 1e-11


@dataclass(frozen=True)
class Pattern:
    """Where derivatives go in the Jacobian: kept entries, rows, columns."""

    keep: np.ndarray
    rows: np.ndarray
    cols: np.ndarray


def pattern(net: Network) -> Pattern:
    """Return the fixed sparsity of a network's Jacobian."""
    rows, cols = [], []
    for block in net.blocks:
        shape = block.cols.shape
        rows.append(np.broadcast_to(block.rows[..., None], shape).ravel())
        cols.append(block.cols.ravel())
    all_rows = np.concatenate(rows) if rows else np.zeros(0, dtype=np.int64)
    all_cols = np.concatenate(cols) if cols else np.zeros(0, dtype=np.int64)
    keep = all_cols >= 0
    return Pattern(keep, all_rows[keep], all_cols[keep])


def jacobian(net: Network, shape: Pattern, derivatives: list[Floats]) -> Sparse:
    """Return the Jacobian of the misclosures, shape (m, unknowns), not weighted."""
    values = np.concatenate([d.ravel() for d in derivatives])[shape.keep]
    return sparse.csr_array((values, (shape.rows, shape.cols)), shape=(len(net.rows), net.unknowns))


@dataclass(frozen=True)
class Solution:
    """A least-squares solution.

    Attributes
    ----------
    state : State
        Adjusted.
    misclosure : shape (m,)
        Adjusted minus read, all rows. [m or rad]
    jacobian : sparse array, shape (m, unknowns)
        Of the misclosures, not weighted.
    weight : shape (m,)
        1 / sigma, 0 for rows set aside.
    cost : float
        Weighted sum of squares. [-]
    iterations : int
        Steps tried.
    converged : bool
        True where the steps came to rest.
    """

    state: State
    misclosure: Floats
    jacobian: Sparse
    weight: Floats
    cost: float
    iterations: int
    converged: bool


def weights(net: Network, aside: frozenset[int] = frozenset()) -> Floats:
    """Return 1 / sigma for each row, 0 for those set aside, shape (m,)."""
    out = 1.0 / net.sigma
    if aside:
        out[list(aside)] = 0.0
    return out


class _Dense:
    """Normal equations of a small network."""

    def __init__(self, net: Network, shape: Pattern) -> None:
        self.size = (len(net.rows), net.unknowns)
        self.flat = shape.rows * net.unknowns + shape.cols
        self.keep = shape.keep

    def build(self, derivatives: list[Floats], weight: Floats, f: Floats) -> tuple[Any, Floats, Floats]:
        """Return the normal matrix, its diagonal and the gradient."""
        values = np.concatenate([d.ravel() for d in derivatives])[self.keep]
        m, n = self.size
        A = np.bincount(self.flat, weights=values, minlength=m * n).reshape(m, n) * weight[:, None]
        normal = A.T @ A
        return normal, normal.diagonal().copy(), A.T @ f

    def step(self, normal: Any, damping: Floats, right: Floats) -> Floats:
        """Return the damped step."""
        damped = normal.copy()
        damped[np.diag_indices(len(right))] += damping
        factor, info = linalg.lapack.dpotrf(damped)
        if info == 0:
            return np.asarray(linalg.lapack.dpotrs(factor, right)[0])
        return np.asarray(linalg.lstsq(damped, right, check_finite=False)[0])


class _Sparse:
    """Normal equations of a large network."""

    def __init__(self, net: Network, shape: Pattern) -> None:
        self.net, self.shape = net, shape

    def build(self, derivatives: list[Floats], weight: Floats, f: Floats) -> tuple[Any, Floats, Floats]:
        """Return the normal matrix, its diagonal and the gradient."""
        A = scaled_rows(jacobian(self.net, self.shape, derivatives), weight)
        normal = (A.T @ A).tocsc()
        return normal, normal.diagonal(), A.T @ f

    def step(self, normal: Any, damping: Floats, right: Floats) -> Floats:
        """Return the damped step."""
        damped = (normal + sparse.diags_array(damping)).tocsc()
        try:
            factor = sparse_linalg.splu(
                damped, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
            )
            return np.asarray(factor.solve(right))
        except RuntimeError:
            return np.asarray(linalg.lstsq(damped.toarray(), right, check_finite=False)[0])


def solve(net: Network, start: State, weight: Floats, most_iterations: int = 200) -> Solution:
    """Return the shape with the least weighted sum of squares near ``start``.

    Levenberg-Marquardt, all unknowns damped alike (coordinates in m, turns of faces of about a metre); the damping
    follows Nielsen's rule (K. Madsen, H. B. Nielsen, O. Tingleff, Methods for non-linear least squares problems, 2nd
    ed., 2004, algorithm 3.16; from memory).

    Parameters
    ----------
    net : Network
        Unknowns and equations.
    start : State
        Starting shape.
    weight : shape (m,)
        1 / sigma; 0 sets a row aside.
    most_iterations : int
        Steps tried at most.
    """
    shape = pattern(net)
    equations = _Dense(net, shape) if net.unknowns <= SMALL else _Sparse(net, shape)
    state = start
    wrong, derivatives = misclosure(net, state)
    f = weight * wrong
    cost = float(f @ f)
    damping, growth = 1e-7, 2.0
    converged = net.unknowns == 0
    tried = 0
    fresh = False
    while not converged and tried < most_iterations:
        if not fresh:
            normal, diagonal, gradient = equations.build(derivatives, weight, f)
            scale = np.full(net.unknowns, max(float(diagonal.max()), 1e-30))
            fresh = True
        tried += 1
        step = equations.step(normal, damping * scale, -gradient)
        trial = moved(net, state, step)
        trial_wrong, trial_derivatives = misclosure(net, trial)
        g = weight * trial_wrong
        fall = cost - float(g @ g)
        at_rest = float(np.abs(step).max()) < REST
        if fall >= 0.0:
            expected = float(step @ (damping * scale * step - gradient))
            gain = fall / expected if expected > 0.0 else 1.0
            state, wrong, derivatives, f, fresh = trial, trial_wrong, trial_derivatives, g, False
            cost -= fall
            converged = at_rest or fall <= STILL * max(cost, 1e-3)
            damping = max(damping * max(1.0 / 3.0, 1.0 - (2.0 * gain - 1.0) ** 3), 1e-12)
            growth = 2.0
        else:
            converged = at_rest or damping > 1e30
            damping *= growth
            growth *= 2.0
    return Solution(state, wrong, jacobian(net, shape, derivatives), weight, float(f @ f), tried, converged)


def weighted(solution: Solution) -> Sparse:
    """Return the weighted Jacobian, shape (m, unknowns)."""
    return scaled_rows(solution.jacobian, solution.weight)


def scaled_rows(matrix: Sparse, factors: Floats) -> Sparse:
    """Return a sparse array with each row multiplied by its factor."""
    out = matrix.copy()
    out.data *= np.repeat(factors, np.diff(out.indptr))
    return out


def rank_of(normal: Floats) -> tuple[int, Floats]:
    """Return the rank of normal equations scaled to ones on the diagonal, and the scale, shape (n,)."""
    diagonal = np.diagonal(normal)
    scale = 1.0 / np.sqrt(np.where(diagonal > 0.0, diagonal, 1.0))
    scaled = normal * scale[:, None] * scale[None, :]
    if len(scaled) == 0:
        return 0, scale
    factor, info = linalg.lapack.dpotrf(scaled)
    if info == 0 and float(np.diagonal(factor).min()) ** 2 > _SINGULAR:
        return len(scaled), scale
    _, _, rank, info = linalg.lapack.dpstrf(scaled, tol=_SINGULAR)
    if info < 0:
        raise AssertionError("dpstrf was called wrongly")
    return int(rank), scale


def null_space(normal: Floats) -> Floats:
    """Return an orthonormal basis of motions that no equation holds, shape (n, defect)."""
    if len(normal) == 0:
        return np.zeros((0, 0))
    _, scale = rank_of(normal)
    values, vectors = linalg.eigh(normal * scale[:, None] * scale[None, :])
    loose = vectors[:, values < max(_SINGULAR, 1e-15 * len(normal))] * scale[:, None]
    if loose.shape[1] == 0:
        return loose
    return np.asarray(linalg.qr(loose, mode="economic")[0])


def covariance(normal: Floats) -> Floats:
    """Return the inverse of normal equations, shape (n, n), through their scaled Cholesky factor.

    Where they are singular to rounding, motions that they hold least get the variance of the smallest pivot that still
    counts as held, so that the result is finite and shows them as very loose.
    """
    if len(normal) == 0:
        return np.zeros((0, 0))
    _, scale = rank_of(normal)
    scaled = normal * scale[:, None] * scale[None, :]
    factor, info = linalg.lapack.dpotrf(scaled)
    if info == 0:
        inverse, info = linalg.lapack.dpotri(factor)
        full = np.triu(inverse) + np.triu(inverse, 1).T
    if info != 0:
        values, vectors = linalg.eigh(scaled)
        full = (vectors / np.maximum(values, _SINGULAR)) @ vectors.T
    return np.asarray(full * scale[:, None] * scale[None, :])
