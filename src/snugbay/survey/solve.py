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


def solve(net: Network, start: State, weight: Floats, most_iterations: int = 200) -> Solution:
    """Return the shape with the least weighted sum of squares near ``start``.

    Levenberg-Marquardt with Marquardt's scaling; the damping follows Nielsen's rule (K. Madsen, H. B. Nielsen, O.
    Tingleff, Methods for non-linear least squares problems, 2nd ed., 2004, algorithm 3.16; from memory).

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
    state = start
    wrong, derivatives = misclosure(net, state)
    f = weight * wrong
    cost = float(f @ f)
    damping, growth = 1e-9, 2.0
    converged = net.unknowns == 0
    tried = 0
    J = jacobian(net, shape, derivatives)
    while not converged and tried < most_iterations:
        A = scaled_rows(J, weight)
        gradient = A.T @ f
        normal = (A.T @ A).tocsc()
        scale = np.maximum(normal.diagonal(), 1e-12 * max(float(normal.diagonal().max(initial=0.0)), 1e-30))
        while tried < most_iterations:
            tried += 1
            step = _step(normal, damping * scale, -gradient)
            trial = moved(net, state, step)
            trial_wrong, trial_derivatives = misclosure(net, trial)
            g = weight * trial_wrong
            trial_cost = float(g @ g)
            expected = float(step @ (damping * scale * step - gradient))
            small = bool(np.max(np.abs(step), initial=0.0) < 1e-10)
            if trial_cost <= cost or small:
                gain = (cost - trial_cost) / expected if expected > 0.0 else 1.0
                fall = cost - trial_cost
                if trial_cost <= cost:
                    state, wrong, derivatives, f = trial, trial_wrong, trial_derivatives, g
                    J = jacobian(net, shape, derivatives)
                    cost = trial_cost
                converged = small or fall <= 1e-14 * cost
                damping = max(damping * max(1.0 / 3.0, 1.0 - (2.0 * gain - 1.0) ** 3), 1e-15)
                growth = 2.0
                break
            damping = max(damping, 1e-9) * growth
            growth *= 2.0
            if not np.isfinite(damping) or damping > 1e30:
                converged = True
                break
    return Solution(state, wrong, J, weight, cost, tried, converged)


def _step(normal: Any, damping: Floats, right: Floats) -> Floats:
    n = len(right)
    if n <= SMALL:
        dense = normal.toarray()
        dense[np.diag_indices(n)] += damping
        try:
            return np.asarray(linalg.cho_solve(linalg.cho_factor(dense, check_finite=False), right, check_finite=False))
        except linalg.LinAlgError:
            return np.asarray(linalg.lstsq(dense, right, check_finite=False)[0])
    damped = (normal + sparse.diags_array(damping)).tocsc()
    try:
        factor = sparse_linalg.splu(
            damped, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
        )
        return np.asarray(factor.solve(right))
    except RuntimeError:
        return np.asarray(linalg.lstsq(damped.toarray(), right, check_finite=False)[0])


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
    """Return the inverse of regular normal equations, shape (n, n), through their scaled Cholesky factor."""
    if len(normal) == 0:
        return np.zeros((0, 0))
    _, scale = rank_of(normal)
    factor = linalg.cholesky(normal * scale[:, None] * scale[None, :], lower=False, check_finite=False)
    inverse, info = linalg.lapack.dpotri(factor)
    if info != 0:
        raise linalg.LinAlgError("singular normal equations")
    full = np.triu(inverse) + np.triu(inverse, 1).T
    return np.asarray(full * scale[:, None] * scale[None, :])
