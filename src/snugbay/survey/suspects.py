"""Which reading is wrong: the blunder test, one reading at a time, worst first.

What nobody took (a corner square by eye, an edge taken as plumb, a guess) is never tested. It holds what no reading
holds; where the readings speak against it, it gives way first, and the test is made without it.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace

import numpy as np
from scipy import special

from snugbay.survey.network import Floats, Network, RowKind, State
from snugbay.survey.options import SurveyOptions
from snugbay.survey.reliability import Reliability, assess, critical
from snugbay.survey.solve import Solution, solve, weights
from snugbay.survey.together import explain_together

GIVES_WAY = 2.0
"""An assumption that is off by fewer standard deviations than this has no part in what is wrong. [-]"""
YIELDS = 1.5
"""A guessed angle that comes out by more than this many of its standard deviations is no longer heard. [-]"""
UNHEARD = 100.0
"""Standard deviation of an angle that is not heard. [rad]"""
_STEPS = 50
_MOST = 16
"""Rows tried as the one that is wrong, at most."""


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
    moves : tuple of float
        How far each corner of the first one's face is out if it is taken as it stands. [m]
    sets : tuple of tuple of int
        Rows that are wrong together, one set or the other; empty where any one of ``rows`` explains all.
    """

    rows: tuple[int, ...]
    w: tuple[float, ...]
    blunder: tuple[float, ...]
    moves: tuple[float, ...] = ()
    sets: tuple[tuple[int, ...], ...] = ()


@dataclass(frozen=True)
class Verdict:
    """Outcome of the blunder test on one group of faces.

    Attributes
    ----------
    first : Solution
        With all readings, and the assumptions that they leave standing.
    final : Solution
        Without the readings that were found wrong beyond doubt.
    before, reliability : Reliability
        Of the first and the final solution.
    charges : tuple of Charge
        In the order found.
    aside : frozenset of int
        Readings that the final solution does without.
    yielded : tuple of int
        Assumptions that it does without, since readings speak against them.
    eye : Reliability or None
        What the readings would be out by if the assumptions held; None where none gave way.
    """

    first: Solution
    final: Solution
    before: Reliability
    reliability: Reliability
    charges: tuple[Charge, ...]
    aside: frozenset[int]
    yielded: tuple[int, ...] = ()
    eye: Reliability | None = None


@dataclass(frozen=True)
class _Without:
    """The solution without one row."""

    row: int
    solution: Solution


def explanations(
    net: Network, current: Solution, result: Reliability, top: int, options: SurveyOptions
) -> tuple[_Without, ...]:
    """Return the rows that explain the misfit if they alone are wrong, best first.

    Each likely row is left out in turn and the rest adjusted again, so that large blunders are judged by the real
    shapes and not by their slopes. Rows are as good as the best one where their likelihood is within ``options.alike``.
    """
    w = np.abs(result.w)
    near = (current.weight > 0.0) & can_test(net, result, options) & (w > 0.5 * w[top])
    near[top] = True
    rows = np.flatnonzero(near)
    rows = rows[np.argsort(-w[rows], kind="stable")][:_MOST]
    tried = []
    for i in rows:
        weight = current.weight.copy()
        weight[i] = 0.0
        tried.append(_Without(int(i), solve(net, current.state, weight, min(_STEPS, options.most_iterations))))
    least = min(t.solution.cost for t in tried)
    good = [t for t in tried if t.solution.cost <= least + 2.0 * math.log(options.alike)]
    return tuple(sorted(good, key=lambda t: round(t.solution.cost, 6)))


def can_test(net: Network, result: Reliability, options: SurveyOptions) -> np.ndarray:
    """Return which rows can be tested: readings, lengths and gauged angles of joins, with some redundancy."""
    kind = np.array(
        [
            row.kind not in {RowKind.LEVEL, RowKind.TILT}
            and (row.kind is not RowKind.MEET or row.part == 0)
            and not assumed(net, i)
            for i, row in enumerate(net.rows)
        ]
    )
    kind[list(guesses(net))] = False
    return np.asarray(kind & (result.redundancy > options.checked_from))


def guesses(net: Network) -> tuple[int, ...]:
    """Return the rows of angles that nobody gauged."""
    return tuple(i for i, row in enumerate(net.rows) if row.kind is RowKind.OPEN and not net.joins[row.join].gauged)


def with_guesses_yielding(net: Network, start: State, options: SurveyOptions) -> tuple[Network, State]:
    """Return the network in which guessed angles that the faces contradict count for nothing, and where to go on from.

    Notes
    -----
    A guess that comes out by more than `YIELDS` of its standard deviations is no longer heard; the rest pull as weakly
    as they are known. Only readings are tested against each other, so a guess is never a suspect.
    """
    rows = list(guesses(net))
    for _ in range(_STEPS):
        if not rows:
            break
        found = solve(net, start, weights(net), options.most_iterations)
        off = np.abs(found.misclosure[rows]) > YIELDS * net.sigma[rows]
        start = found.state
        if not off.any():
            break
        sigma = net.sigma.copy()
        sigma[np.array(rows)[off]] = UNHEARD
        net = replace(net, sigma=sigma)
        rows = [i for i, gone in zip(rows, off, strict=True) if not gone]
    return net, start


def judge(net: Network, start: State, options: SurveyOptions) -> Verdict:
    """Adjust, and set aside one reading after the other while the worst fails the test.

    Readings that pass once the others are out are put back. Of several that cannot be told apart none is set aside in
    the end.

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
    current = solve(net, start, weights(net), options.most_iterations)
    eyed = seen = assess(net, current, options)
    first, before, gave = _giving_way(net, current, seen, frozenset(), options)
    final, result = first, before
    charges: list[Charge] = []
    for _ in range(3 * options.most_blunders):
        failed = (final.weight > 0.0) & can_test(net, result, options) & (np.abs(result.w) > limit)
        if len(charges) >= options.most_blunders or not failed.any():
            break
        # that a reading is wrong the readings say alone; which one it is, the eye may help to tell
        top = int(np.argmax(np.where(failed, np.abs(seen.w) + 1e-6 * np.abs(result.w), 0.0)))
        found = explanations(net, current, seen, top, options)
        charges.append(_charge(seen, found))
        current = found[0].solution
        seen = assess(net, current, options)
        cleared = [c for c in charges[:-1] if abs(seen.w[c.rows[0]]) < limit]
        if cleared:
            charges = [c for c in charges if c not in cleared]
            current, seen = _without(net, current, charges, options)
        final, result, gave = _giving_way(net, current, seen, frozenset(c.rows[0] for c in charges), options)
    charges = _together(net, current, charges, eyed, options)
    clear = frozenset(c.rows[0] for c in charges if len(c.rows) == 1)
    if len(charges) > 1 or len(clear) < len(charges):
        current = solve(net, current.state, weights(net, clear), options.most_iterations)
        final, result, gave = _giving_way(net, current, assess(net, current, options), clear, options)
    charges = [_with_moves(net, final, clear, gave, c, options) for c in charges]
    told = tuple(sorted(gave))
    return Verdict(first, final, before, result, tuple(charges), clear, told, eyed if gave else None)


def _giving_way(
    net: Network, current: Solution, result: Reliability, aside: frozenset[int], options: SurveyOptions
) -> tuple[Solution, Reliability, frozenset[int]]:
    """Return the solution without the assumptions that readings speak against, and those assumptions.

    While the whole set or any one reading fails its test, the assumption that is farthest off is left out; of two that
    are as far off, the later one, so that corners on the first side stay square the longest.
    """
    mine = np.array([assumed(net, i) for i in range(len(net.rows))])
    gave: set[int] = set()
    while True:
        limit = float(special.chdtri(max(result.freedom, 1), options.significance))
        failed = (current.weight > 0.0) & can_test(net, result, options) & (np.abs(result.w) > critical(options))
        off = np.where(
            mine & (current.weight > 0.0) & (result.redundancy > options.checked_from), np.abs(result.w), 0.0
        )
        if (current.cost <= limit and not failed.any()) or float(off.max(initial=0.0)) < GIVES_WAY:
            return current, result, frozenset(gave)
        gave.add(int(np.flatnonzero(off >= 0.98 * off.max())[-1]))
        current = solve(net, current.state, weights(net, aside | gave), options.most_iterations)
        result = assess(net, current, options)


def _together(
    net: Network, current: Solution, charges: list[Charge], before: Reliability, options: SurveyOptions
) -> list[Charge]:
    """Return the charges with those of one face weighed against each other, where there are two or three of them."""
    by_face: dict[int, list[Charge]] = {}
    out: list[Charge] = []
    for charge in charges:
        by_face.setdefault(net.rows[charge.rows[0]].face, []).append(charge)
    for f, own in by_face.items():
        if len(own) not in {2, 3}:
            out += own
            continue
        mine = tuple(c.rows[0] for c in own)
        others = frozenset(c.rows[0] for c in charges) - set(mine)
        on_face = np.array([row.face == f for row in net.rows])
        rows = np.flatnonzero(on_face & can_test(net, before, options))
        wrong = explain_together(net, current, rows, mine, others, options)
        for item in wrong:
            listed = tuple(dict.fromkeys(itertools.chain(*item.sets)))
            w, blunder = tuple(item.w[i] for i in listed), tuple(item.blunder[i] for i in listed)
            out.append(Charge(listed, w, blunder, sets=item.sets))
    return out


def assumed(net: Network, i: int) -> bool:
    """Return whether a row is a reading that nobody took: an assumption."""
    row = net.rows[i]
    return row.reading >= 0 and net.faces[row.face].readings[row.reading].assumed


def _charge(result: Reliability, found: tuple[_Without, ...]) -> Charge:
    rows = tuple(t.row for t in found)
    blunders = tuple(-float(t.solution.misclosure[t.row]) for t in found)
    return Charge(rows, tuple(float(result.w[i]) for i in rows), blunders)


def _without(
    net: Network, current: Solution, charges: list[Charge], options: SurveyOptions
) -> tuple[Solution, Reliability]:
    aside = frozenset(c.rows[0] for c in charges)
    solution = solve(net, current.state, weights(net, aside), options.most_iterations)
    return solution, assess(net, solution, options)


def _with_moves(
    net: Network, final: Solution, clear: frozenset[int], gave: frozenset[int], charge: Charge, options: SurveyOptions
) -> Charge:
    """Return a charge with how far each corner is out if its first row is taken as it stands."""
    top = charge.rows[0]
    other = clear - {top} if top in clear else clear | {top}
    changed = solve(net, final.state, weights(net, other | gave), options.most_iterations)
    own = net.corners_of(net.rows[top].face)
    moves = apart(final.state.points[own, :2], changed.state.points[own, :2])
    return replace(charge, moves=tuple(float(v) for v in moves))


def apart(one: Floats, two: Floats) -> Floats:
    """Return how far apart the corners of two shapes are when laid on each other as well as can be, shape (n,). [m]"""
    a, b = (p[:, 0] + 1j * p[:, 1] for p in (one, two))
    a, b = a - a.mean(), b - b.mean()
    turn = complex(np.vdot(b, a))
    if turn != 0:
        b = b * (turn / abs(turn))
    return np.asarray(np.abs(a - b))
