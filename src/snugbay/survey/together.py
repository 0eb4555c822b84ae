"""Several wrong readings on one face: the set that explains the misfit best, not one reading after the other.

Setting readings aside one by one can begin with a sound one that lies between two wrong ones. Where two or three of a
face are charged, all sets of as many are compared by how much they lower the weighted sum of squares,
v' R⁻¹ v over the set with R its part of the redundancy matrix, and the best are adjusted in full.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from snugbay.survey.network import Floats, Network
from snugbay.survey.options import SurveyOptions
from snugbay.survey.reliability import Reliability, assess
from snugbay.survey.solve import Solution, solve, weights

MOST_SETS = 20_000
_FULL = 8


@dataclass(frozen=True)
class Wrong:
    """Rows that are wrong together.

    Attributes
    ----------
    sets : tuple of tuple of int
        Sets of rows that explain the misfit equally well, best first; one set of one row where there is no doubt.
    w : Mapping
        Standardised residual of each row before any of the face was set aside. [-]
    blunder : Mapping
        What each row is out by if the best set that holds it is the wrong one. [m or rad]
    """

    sets: tuple[tuple[int, ...], ...]
    w: Mapping[int, float]
    blunder: Mapping[int, float]


@dataclass(frozen=True)
class _Set:
    rows: tuple[int, ...]
    lowers: float


def explain_together(
    net: Network,
    start: Solution,
    rows: np.ndarray,
    charged: tuple[int, ...],
    others: frozenset[int],
    options: SurveyOptions,
) -> tuple[Wrong, ...]:
    """Return the best explanation of a face's misfit by as many wrong rows as are charged.

    Parameters
    ----------
    net : Network
        One group of faces.
    start : Solution
        To begin from.
    rows : shape (k,)
        Rows of the face that can be tested.
    charged : tuple of int
        Rows charged one after the other.
    others : frozenset of int
        Rows of other faces that are aside.
    options : SurveyOptions
        How alike explanations must be to be listed together.
    """
    base = solve(net, start.state, weights(net, others), options.most_iterations)
    result = assess(net, base, options)
    sets = _ranked(base, result, np.union1d(rows, charged), len(charged))
    tried: dict[tuple[int, ...], Solution] = {}

    def cost(rows_aside: tuple[int, ...]) -> float:
        if rows_aside not in tried:
            aside = others | set(rows_aside)
            tried[rows_aside] = solve(net, base.state, weights(net, aside), options.most_iterations)
        return tried[rows_aside].cost

    near = 2.0 * math.log(options.alike)
    greedy = tuple(sorted(charged))
    likely = [item.rows for item in sets[:_FULL]]
    least = min(cost(r) for r in [greedy, *likely])
    good = sorted((r for r in {greedy, *likely} if cost(r) <= least + near), key=lambda r: (round(cost(r), 6), r))
    blunder: dict[int, float] = {}
    for r in reversed(good):
        blunder.update({j: -float(tried[r].misclosure[j]) for j in r})
    w = {j: float(result.w[j]) for j in blunder}
    sure = set(good[0]).intersection(*good[1:])
    out = [Wrong(((j,),), w, blunder) for j in sorted(sure, key=lambda j: -abs(w[j]))]
    open_sets = tuple(tuple(j for j in r if j not in sure) for r in good)
    if len(good) > 1:
        out.append(Wrong(open_sets, w, blunder))
    return tuple(out)


def _ranked(base: Solution, result: Reliability, rows: np.ndarray, size: int) -> list[_Set]:
    """Return sets of rows by how much setting them aside lowers the sum of squares, best first."""
    if math.comb(len(rows), size) > MOST_SETS or len(rows) <= size:
        return []
    design = result.design[rows].toarray()
    R: Floats = np.eye(len(rows)) - design @ result.covariance @ design.T
    v = (base.misclosure * base.weight)[rows]
    sets = np.array(list(itertools.combinations(range(len(rows)), size)))
    parts = R[sets[:, :, None], sets[:, None, :]]
    values, vectors = np.linalg.eigh(parts)
    sound = values[:, 0] > 1e-3
    seen = np.einsum("kji,kj->ki", vectors, v[sets])
    lowers = np.where(sound, np.sum(seen**2 / np.maximum(values, 1e-3), axis=1), -1.0)
    order = np.argsort(-lowers, kind="stable")
    order = order[lowers[order] >= 0.0]
    return [_Set(tuple(int(rows[j]) for j in sets[k]), float(lowers[k])) for k in order[:400]]
