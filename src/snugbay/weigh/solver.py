"""The one place that talks to the solver of mixed-integer programs (HiGHS)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import highspy
import numpy as np
from highspy._core import _Highs
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

Floats = NDArray[np.float64]
INF = highspy.kHighsInf
BITS = 42
"""Binary digits kept of a coefficient (to some 1e-13 of it, far under the solver's own tolerances).

With all 53, the presolve of HiGHS 1.16 can go round for ever over sums that cancel but for their last digits; with
digits to spare they cancel."""


@dataclass(frozen=True)
class Matrix:
    """A mixed-integer program: minimise cost·x with row_low ≤ A·x ≤ row_high.

    Attributes
    ----------
    a : csr_matrix, shape (rows, columns)
        Coefficients.
    row_low, row_high : array, shape (rows,)
        Bounds of rows.
    low, high : array, shape (columns,)
        Bounds of columns.
    integer : array of bool, shape (columns,)
        Which columns are whole numbers.
    """

    a: csr_matrix
    row_low: Floats
    row_high: Floats
    low: Floats
    high: Floats
    integer: NDArray[np.bool_]


@dataclass(frozen=True)
class Solved:
    """What the solver found.

    Attributes
    ----------
    status : str
        ``"optimal"``, ``"infeasible"`` or ``"limit"``.
    x : array or None
        Values of the columns.
    value, bound : float
        Of the answer, and proved lower bound of any answer.
    nodes : int
        Nodes of the search tree.
    """

    status: str
    x: Floats | None
    value: float
    bound: float
    nodes: int


def solve(
    m: Matrix,
    cost: Floats,
    *,
    offset: float = 0.0,
    start: Floats | None = None,
    seed: int = 1,
    nodes: int = 200_000,
    gap: float = 0.0,
    relaxed: bool = False,
    stop: Callable[[], bool] | None = None,
) -> Solved:
    """Solve a program to a gap of zero, unless the limit of nodes strikes or it is stopped.

    Parameters
    ----------
    m : Matrix
        The program.
    cost : array, shape (columns,)
        To minimise.
    offset : float
        Added to the value.
    start : array, optional
        A known answer to start from.
    seed, nodes : int
        Seed of the solver; most nodes of its tree (work, not time).
    gap : float
        Relative gap at which it may stop.
    relaxed : bool
        True to let whole numbers be fractions (the linear relaxation).
    stop : callable, optional
        Asked while it solves; True ends it with the best answer so far.
    """
    solver = _solver(seed, nodes, gap)
    if stop is not None and not relaxed:
        _heed(solver, stop)
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = int(m.a.shape[1]), int(m.a.shape[0])
    lp.col_cost_, lp.col_lower_, lp.col_upper_ = cost, m.low, m.high
    lp.row_lower_, lp.row_upper_ = m.row_low, m.row_high
    lp.offset_ = offset
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_, lp.a_matrix_.index_, lp.a_matrix_.value_ = m.a.indptr, m.a.indices, _spare(m.a.data)
    if not relaxed:
        kinds = (highspy.HighsVarType.kContinuous, highspy.HighsVarType.kInteger)
        lp.integrality_ = [kinds[int(i)] for i in m.integer]
    solver.passModel(lp)
    if start is not None and not relaxed:
        known = highspy.HighsSolution()
        known.col_value = list(start)
        solver.setSolution(known)
    solver.run()
    status = solver.getModelStatus()
    if status == highspy.HighsModelStatus.kInfeasible:
        return Solved("infeasible", None, float("inf"), float("inf"), 0)
    info = solver.getInfo()
    value = float(info.objective_function_value)
    bound = value if relaxed else float(info.mip_dual_bound)
    done = status == highspy.HighsModelStatus.kOptimal
    known_any = done or info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    x = np.array(solver.getSolution().col_value) if known_any else None
    count = 0 if relaxed else int(info.mip_node_count)
    return Solved("optimal" if done else "limit", x, value if x is not None else float("inf"), bound, count)


def _solver(seed: int, nodes: int, gap: float) -> highspy.Highs:
    solver = _Highs()  # the wrapper highspy.Highs prints a banner before it can be silenced
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("parallel", "off")
    solver.setOptionValue("random_seed", seed % 2_000_000_000)
    solver.setOptionValue("mip_rel_gap", gap)
    solver.setOptionValue("mip_abs_gap", 1e-6)
    solver.setOptionValue("mip_max_nodes", nodes)
    return solver


def _spare(data: Floats) -> Floats:
    part, power = np.frexp(data)
    kept: Floats = np.ldexp(np.round(np.ldexp(part, BITS)), power - BITS)
    return kept


def _heed(solver: highspy.Highs, stop: Callable[[], bool]) -> None:
    interrupt = highspy.cb.HighsCallbackType.kCallbackMipInterrupt

    def asked(
        kind: highspy.cb.HighsCallbackType,
        _message: str,
        _out: highspy.cb.HighsCallbackOutput,
        into: highspy.cb.HighsCallbackInput,
        _data: object,
    ) -> None:
        if int(kind) == int(interrupt) and stop():
            into.user_interrupt = True

    _Highs.setCallback(solver, asked, None)
    _Highs.startCallback(solver, interrupt)
