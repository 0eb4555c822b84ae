"""How well the readings check each other: redundancy numbers, standardised residuals, least detectable blunders.

With P the weights, Q the covariance of the unknowns and A the derivatives, the redundancy number of a reading is
r = 1 - p a Q a', its standardised residual w = v / (sigma sqrt(r)), and the least blunder that the test finds with the
stated power is sigma (z(1 - alpha/2) + z(power)) / sqrt(r) (W. Baarda, A testing procedure for use in geodetic
networks, 1968; from memory). Readings set aside get the figures that they would have if they were put back.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy import special

from snugbay.survey.equations import misclosure, moved
from snugbay.survey.network import Floats, Network
from snugbay.survey.options import SurveyOptions
from snugbay.survey.solve import Solution, covariance, null_space, rank_of, scaled_rows, weighted

FLAT = 1.0
"""A shape that may move farther than this at one standard deviation is free, not flat. [m]"""
WIDE = 0.02
"""Motions wider than this at one standard deviation are walked to see whether they bend. [m]"""
BENT = 9.0
"""A motion bends where the weighted sum of squares rises by this, not by one, at one standard deviation. [-]"""
_NOTHING = 1e-6


def critical(options: SurveyOptions) -> float:
    """Return the limit of |w| at the stated two-sided significance. [-]"""
    return float(special.ndtri(1.0 - options.blunder_significance / 2.0))


def noncentrality(options: SurveyOptions) -> float:
    """Return how many standard deviations of w the least detectable blunder shifts it. [-]"""
    return critical(options) + float(special.ndtri(options.power))


@dataclass(frozen=True)
class Reliability:
    """What a solution is worth.

    Attributes
    ----------
    covariance : shape (n, n)
        Of the unknowns. [m², rad²]
    design : sparse array, shape (m, n)
        Derivatives of all rows by 1 / sigma, those set aside too.
    redundancy : shape (m,)
        0 to 1. [-]
    w : shape (m,)
        Standardised residuals, 0 where nothing checks the row. [-]
    least : shape (m,)
        Least detectable blunder, infinite where nothing checks the row. [m or rad]
    blunder : shape (m,)
        What the row is out by if it alone is wrong (read less should-read). [m or rad]
    freedom : int
        Degrees of freedom.
    loose : shape (n, k)
        Motions that the readings hold only to second order (flat triangles).
    free : shape (n, k)
        Motions that nothing holds.
    """

    covariance: Floats
    design: Any
    redundancy: Floats
    w: Floats
    least: Floats
    blunder: Floats
    freedom: int
    loose: Floats
    free: Floats


def assess(net: Network, solution: Solution, options: SurveyOptions) -> Reliability:
    """Return redundancy, tests and covariance of a solution.

    Parameters
    ----------
    net : Network
        Unknowns and equations.
    solution : Solution
        Its least-squares solution.
    options : SurveyOptions
        Significance and power.
    """
    A = weighted(solution)
    normal = np.asarray((A.T @ A).todense())
    rank, _ = rank_of(normal)
    n = net.unknowns
    loose = free = np.zeros((n, 0))
    if rank < n:
        loose, free, held = second_order(net, solution, null_space(normal))
        normal = normal + held
        if free.shape[1]:
            normal = normal + free @ free.T / FLAT**2
    Q, bent = _tamed(net, solution, normal)
    loose = np.concatenate([loose, bent], axis=1)
    inverse_sigma = 1.0 / net.sigma
    design = scaled_rows(solution.jacobian, inverse_sigma)
    AQ = design @ Q
    hat = np.asarray(design.multiply(AQ).sum(axis=1)).ravel()
    aside = solution.weight == 0.0
    redundancy = np.where(aside, 1.0 / (1.0 + hat), np.clip(1.0 - hat, 0.0, 1.0))
    checked = redundancy > _NOTHING
    root = np.sqrt(np.where(checked, redundancy, 1.0))
    v = solution.misclosure * inverse_sigma
    # a row set aside: its residual has variance 1 + hat = 1 / redundancy
    w = np.where(checked, np.where(aside, v * root, v / root), 0.0)
    least = np.where(checked, net.sigma * noncentrality(options) / root, np.inf)
    blunder = -np.where(aside, v, np.where(checked, v / np.where(checked, redundancy, 1.0), 0.0)) * net.sigma
    used = int(np.count_nonzero(~aside))
    return Reliability(Q, design, redundancy, w, least, blunder, used - (n - free.shape[1]), loose, free)


def _tamed(net: Network, solution: Solution, normal: Floats) -> tuple[Floats, Floats]:
    """Return the covariance with motions that bend cut to size, and those motions, shape (n, k).

    Of a shape that is nearly flat the slopes promise motions of metres where the lengths allow centimetres. Wide ones
    are walked; where the weighted sum of squares rises much faster than the slopes say, their standard deviation is the
    way to a rise of one.
    """
    Q = covariance(normal)
    bent: list[Floats] = []
    for f in range(len(net.faces)):
        cols = net.free[net.corners_of(f), :2].ravel()
        cols = cols[cols >= 0]
        for _ in range(len(cols)):
            found = _widest(net, solution, Q, cols)
            if found is None:
                break
            ahead, told, v = found
            bent.append(ahead / np.abs(ahead).max())
            normal = normal + np.outer(v, v) / told
            Q = covariance(normal)
    return Q, np.stack(bent, axis=1) if bent else np.zeros((len(Q), 0))


def _widest(net: Network, solution: Solution, Q: Floats, cols: np.ndarray) -> tuple[Floats, float, Floats] | None:
    """Return a face's widest motion if it bends: the motion, the variance that cuts it to size, and its row."""
    block = Q[np.ix_(cols, cols)]
    if float(np.trace(block)) < WIDE**2:
        return None
    values, vectors = np.linalg.eigh(block)
    spread = math.sqrt(max(float(values[-1]), 0.0))
    if spread < WIDE:
        return None
    v = np.zeros(len(Q))
    v[cols] = vectors[:, -1]
    ahead = Q @ v / spread
    share = _bend(net, solution, ahead)
    if share is None:
        return None
    share = min(share, 0.99)
    return ahead, (spread * share) ** 2 / (1.0 - share**2), v


def _bend(net: Network, solution: Solution, ahead: Floats) -> float | None:
    """Return the share of a one-sigma motion at which the sum of squares has risen by one, None where it is as wide."""
    rise = _rise(net, solution, ahead)
    if min(rise(1.0), rise(-1.0)) < BENT:
        return None
    return max(_until(rise, sign, 0.0, 1.0) for sign in (1.0, -1.0))


def _rise(net: Network, solution: Solution, direction: Floats) -> Callable[[float], float]:
    def rise(t: float) -> float:
        wrong = misclosure(net, moved(net, solution.state, t * direction))[0] * solution.weight
        return float(wrong @ wrong) - solution.cost

    return rise


def _until(rise: Callable[[float], float], sign: float, low: float, high: float) -> float:
    for _ in range(16):
        middle = (low + high) / 2.0
        low, high = (low, middle) if rise(sign * middle) >= 1.0 else (middle, high)
    return high


def second_order(net: Network, solution: Solution, basis: Floats) -> tuple[Floats, Floats, Floats]:
    """Tell motions that hold to second order from free ones.

    A corner on the line between two others moves sideways without changing lengths to first order; how far it may move
    is found by walking along the motion until the weighted sum of squares has risen by one.

    Parameters
    ----------
    net, solution
        As in `assess`.
    basis : shape (n, k)
        Motions without first-order resistance.

    Returns
    -------
    tuple of arrays
        Loose motions, free motions, and the normal equations that the loose ones get.
    """
    loose, free = [], []
    held = np.zeros((net.unknowns, net.unknowns))
    for v in basis.T:
        direction = v / np.max(np.abs(v))
        reach = _reach(net, solution, direction)
        if reach is None:
            free.append(direction)
        else:
            loose.append(direction)
            unit = direction / (direction @ direction)
            held += np.outer(unit, unit) / reach**2
    shape = (net.unknowns, 0)
    return (
        np.stack(loose, axis=1) if loose else np.zeros(shape),
        np.stack(free, axis=1) if free else np.zeros(shape),
        held,
    )


def _reach(net: Network, solution: Solution, direction: Floats) -> float | None:
    rise = _rise(net, solution, direction)
    t = 1e-4
    while t < FLAT:
        if min(rise(t), rise(-t)) >= 1.0:
            return max(_until(rise, sign, t / 2.0, t) for sign in (1.0, -1.0))
        t *= 2.0
    return None
