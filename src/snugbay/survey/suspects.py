"""Which reading is wrong: the blunder test, one reading at a time, worst first."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from snugbay.survey.network import Network, RowKind, State
from snugbay.survey.options import SurveyOptions
from snugbay.survey.reliability import Reliability, assess, critical
from snugbay.survey.solve import Solution, solve, weights


@dataclass(frozen=True)
class Charge:
    """Rows of which one is probably wrong, worst first.

    Attributes
    ----------
    rows : tuple of int
        One, or several that the readings cannot tell apart.
    w : tuple of float
        Their standardised residuals when they were charged. [-]
    blunder : tuple of float
        What each is out by if it alone is wrong. [m or rad]
    """

    rows: tuple[int, ...]
    w: tuple[float, ...]
    blunder: tuple[float, ...]


@dataclass(frozen=True)
class Verdict:
    """Outcome of the blunder test on one group of faces.

    Attributes
    ----------
    first : Solution
        With all readings.
    final : Solution
        Without the readings that were found wrong beyond doubt.
    before, reliability : Reliability
        Of the first and the final solution.
    charges : tuple of Charge
        In the order found.
    aside : frozenset of int
        Rows that the final solution does without.
    """

    first: Solution
    final: Solution
    before: Reliability
    reliability: Reliability
    charges: tuple[Charge, ...]
    aside: frozenset[int]


def alike(net: Network, result: Reliability, used: np.ndarray, top: int, options: SurveyOptions) -> tuple[int, ...]:
    """Return the rows that explain the readings nearly as well as ``top`` does, worst first."""
    w = np.abs(result.w)
    near = used & (w[top] ** 2 - w**2 <= 2.0 * math.log(options.alike)) & can_test(net, result, options)
    near &= w > 1e-3
    near[top] = True
    rows = np.flatnonzero(near)
    return tuple(int(i) for i in rows[np.argsort(-w[rows], kind="stable")])


def can_test(net: Network, result: Reliability, options: SurveyOptions) -> np.ndarray:
    """Return which rows can be tested: readings, lengths and angles of joins with some redundancy."""
    kind = np.array(
        [
            row.kind not in {RowKind.LEVEL, RowKind.TILT} and (row.kind is not RowKind.MEET or row.part == 0)
            for row in net.rows
        ]
    )
    return np.asarray(kind & (result.redundancy > options.checked_from))


def judge(net: Network, start: State, options: SurveyOptions) -> Verdict:
    """Adjust, and set aside one reading after the other while the worst fails the test.

    Parameters
    ----------
    net : Network
        Determined by its readings.
    start : State
        Starting shape.
    options : SurveyOptions
        Significance, how alike suspects must be to be listed together.
    """
    limit = critical(options)
    first = current = solve(net, start, weights(net), options.most_iterations)
    before = result = assess(net, first, options)
    charges: list[Charge] = []
    aside: set[int] = set()
    while len(aside) < options.most_blunders:
        used = current.weight > 0.0
        can = used & can_test(net, result, options) & (np.abs(result.w) > limit)
        if not can.any():
            break
        top = int(np.argmax(np.where(can, np.abs(result.w), 0.0)))
        rows = alike(net, result, used, top, options)
        charges.append(
            Charge(rows, tuple(float(result.w[i]) for i in rows), tuple(float(result.blunder[i]) for i in rows))
        )
        aside.add(top)
        current = solve(net, current.state, weights(net, frozenset(aside)), options.most_iterations)
        result = assess(net, current, options)
    clear = frozenset(c.rows[0] for c in charges if len(c.rows) == 1)
    if clear != frozenset(aside):
        current = solve(net, current.state, weights(net, clear), options.most_iterations)
        result = assess(net, current, options)
    return Verdict(first, current, before, result, tuple(charges), clear)
