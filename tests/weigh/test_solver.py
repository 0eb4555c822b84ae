"""The solver comes to an end: when it is stopped, and by itself."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
from scipy.sparse import csr_matrix, hstack, identity

from snugbay.weigh.solver import INF, Matrix, solve


def _split_evenly(rows: int, items: int) -> tuple[Matrix, np.ndarray]:
    """Split items evenly by several weights at once, least remainder: small, and known to branch without end."""
    weights = np.random.default_rng(5).integers(0, 100, (rows, items)).astype(float)
    a = csr_matrix(hstack([csr_matrix(weights), identity(rows), -identity(rows)]))
    half = np.floor(weights.sum(axis=1) / 2)
    size = items + 2 * rows
    high = np.concatenate([np.ones(items), np.full(2 * rows, INF)])
    cost = np.concatenate([np.zeros(items), np.ones(2 * rows)])
    return Matrix(a, half, half, np.zeros(size), high, np.arange(size) < items), cost


def test_a_stop_is_heard_within_one_program() -> None:
    matrix, cost = _split_evenly(5, 40)
    asked = []

    def stop() -> bool:
        asked.append(1)
        return len(asked) > 20

    solved = solve(matrix, cost, stop=stop)
    assert solved.status == "limit"
    assert len(asked) < 200
    assert solved.bound <= solved.value


SOLVE_IT = """
import sys, numpy as np
from scipy.sparse import csr_matrix
from snugbay.weigh.solver import Matrix, solve
f = np.load(sys.argv[1])
a = csr_matrix((f["data"], f["indices"], f["indptr"]), shape=(f["row_low"].size, f["low"].size))
m = Matrix(a, f["row_low"], f["row_high"], f["low"], f["high"], f["integer"])
print(solve(m, f["cost"]).status)
"""


def test_coefficients_that_cancel_but_for_their_last_digits_do_not_hang_the_solver() -> None:
    """A program of a crawl space over which the presolve once went round for ever; in a process that can be ended."""
    file = Path(__file__).parent / "data" / "cancelling.npz"
    done = subprocess.run(
        [sys.executable, "-c", SOLVE_IT, str(file)], capture_output=True, text=True, timeout=120, check=True
    )
    assert done.stdout.strip() == "optimal"
