"""The one place where the pieces talk to the solver of linear programs (HiGHS): small, dense, many in a row."""

from __future__ import annotations

import highspy
import numpy as np
from highspy._core import _Highs
from numpy.typing import NDArray

Array = NDArray[np.float64]

INF = highspy.kHighsInf


class Linear:
    """A linear program: least cost . x with rows x at most ``most`` and x between its bounds.

    Parameters
    ----------
    cost : array, shape (columns,)
        To minimise.
    rows : array, shape (rows, columns)
        Coefficients.
    low, high : array, shape (columns,)
        Bounds of x.
    """

    def __init__(self, cost: Array, rows: Array, low: Array, high: Array) -> None:
        count, columns = rows.shape
        model = highspy.HighsLp()
        model.num_col_, model.num_row_ = columns, count
        model.col_cost_, model.col_lower_, model.col_upper_ = cost, low, high
        model.row_lower_, model.row_upper_ = np.full(count, -INF), np.zeros(count)
        kept = np.abs(rows) > 1e-12
        model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        model.a_matrix_.start_ = np.append(0, np.cumsum(kept.sum(axis=1)))
        model.a_matrix_.index_ = np.nonzero(kept)[1]
        model.a_matrix_.value_ = rows[kept]
        self._solver = _Highs()  # the wrapper highspy.Highs prints a banner before it can be silenced
        for name, value in (("output_flag", False), ("presolve", "off"), ("solver", "simplex"), ("threads", 1)):
            self._solver.setOptionValue(name, value)
        self._solver.passModel(model)

    def least(self, most: Array) -> tuple[float, Array, Array] | None:
        """Return the least cost, x, and the price of each row (none negative); None where there is no answer.

        The next call starts from this one's answer, which is quick where little has changed.
        """
        for row, value in enumerate(most.tolist()):
            self._solver.changeRowBounds(row, -INF, value)
        self._solver.run()
        if self._solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return None
        found = self._solver.getSolution()
        prices = np.maximum(-np.asarray(found.row_dual), 0.0)
        return float(self._solver.getObjectiveValue()), np.asarray(found.col_value), prices
