"""Readings that cannot all be right: the smallest set of them that no shape fits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from scipy import special

from snugbay.base import Said, SurveyError
from snugbay.base.facts import FaceRef, Length, Listed, ReadingRef
from snugbay.job import Face, ReadingKind
from snugbay.survey import words
from snugbay.survey.look_over import reading_where
from snugbay.survey.network import Floats, Network, State, lay_out
from snugbay.survey.options import SurveyOptions
from snugbay.survey.reliability import Reliability
from snugbay.survey.solve import Solution, rank_of, scaled_rows, solve, weights

SURE = 1e-6
"""Readings contradict each other where chance gives so bad a fit more rarely than this. [-]"""
_ORDERS = 4


def limit(freedom: int) -> float:
    """Return the weighted sum of squares above which readings contradict each other. [-]"""
    return float(special.chdtri(max(freedom, 1), SURE))


def contradicts(face: Face, points: Floats, keep: Sequence[int], options: SurveyOptions) -> bool:
    """Return whether some of a face's readings fit no shape.

    Parameters
    ----------
    face : Face
        With all its readings.
    points : shape (n, 3)
        Corners to start from. [m]
    keep : sequence of int
        Readings to try.
    options : SurveyOptions
        Most iterations.
    """
    if len(keep) < 2:  # one reading has nothing to disagree with
        return False
    part = replace(face, readings=tuple(face.readings[i] for i in keep))
    net = lay_out([part], (), options)
    leans = any(r.kind is ReadingKind.LEAN for r in part.readings)
    start = State(points if leans else _along_first_edge(points), np.eye(3)[None], np.zeros((1, 3)))
    best = min(
        (solve(net, _shaken(start, share), weights(net), options.most_iterations) for share in (0.0, 0.03)),
        key=lambda s: s.cost,
    )
    A = scaled_rows(best.jacobian, 1.0 / net.sigma)
    rank, _ = rank_of(np.asarray((A.T @ A).todense()))
    return best.cost > limit(len(keep) - rank)


def _along_first_edge(points: Floats) -> Floats:
    """Return corners turned so that the first edge runs along x, where a face without a lean is held."""
    along = points[1, :2] - points[0, :2]
    size = float(np.linalg.norm(along))
    if size < 1e-9:
        return points
    (x, y), moved = along / size, points.copy()
    moved[:, :2] = (points[:, :2] - points[0, :2]) @ np.array([[x, -y], [y, x]])
    return moved


def _shaken(state: State, share: float) -> State:
    """Return a state with its corners moved a little, always the same way, so that nothing stays dead flat."""
    if share == 0.0:
        return state
    rng = np.random.default_rng(7)
    points = state.points.copy()
    size = float(np.abs(points).max()) or 1.0
    points[:, :2] += share * size * rng.normal(size=(len(points), 2))
    return State(points, state.turn, state.place)


def smallest(face: Face, points: Floats, options: SurveyOptions) -> tuple[int, ...]:
    """Return the numbers of the fewest readings of a face that cannot all be right, empty where all can.

    Readings are dropped one by one as long as the rest still contradict each other; several orders are tried and the
    smallest set is kept. What is left contradicts itself, and no longer does without any one of its readings.
    """
    taken = [(i, r) for i, r in enumerate(face.readings) if r.kind is not ReadingKind.TWIST]
    everything = [i for i, r in taken if not r.assumed]
    if not contradicts(face, points, everything, options):
        return ()
    rng = np.random.default_rng(11)
    best = everything
    for number in range(_ORDERS):
        order = everything if number == 0 else [int(i) for i in rng.permutation(everything)]
        kept = list(everything)
        for i in order:
            rest = [k for k in kept if k != i]
            if contradicts(face, points, rest, options):
                kept = rest
        if len(kept) < len(best):
            best = kept
    return tuple(sorted(best))


def check_possible(net: Network, final: Solution, result: Reliability, options: SurveyOptions) -> None:
    """Raise `SurveyError` if the readings force a shape flat or leave no way to fit and none to test.

    Where spare readings tell which one is wrong, nothing is raised: the suspects say so.
    """
    flat = result.loose.shape[1] > 0
    if final.cost <= limit(result.freedom) or not (flat or result.freedom <= 0):
        return
    wrong = np.abs(final.misclosure * final.weight)
    for i in np.argsort(-wrong):
        row = net.rows[int(i)]
        if wrong[i] < 2.0 or row.reading < 0:
            continue
        face = net.faces[row.face]
        found = smallest(face, final.state.points[net.corners_of(row.face)], options)
        if found:
            raise contradiction(face, found)
    raise SurveyError(
        "The joined faces " + words.listed([f.id for f in net.faces]) + " cannot meet as stated.",
        where=("joins",),
        hint="Measure the joined edges again.",
        code="survey.contradiction",
    )


def contradiction(face: Face, found: Sequence[int]) -> SurveyError:
    """Return the error that names readings which cannot all be right."""
    readings = [face.readings[i] for i in found]
    names = Listed(tuple(ReadingRef(words.named(r)) for r in readings))
    said = Said.of("survey.contradiction", readings=names, face=FaceRef(face.id), why=Said.of("survey.said.no-shape"))
    lengths = sorted((r for r in readings if r.kind is ReadingKind.DISTANCE), key=lambda r: r.value)
    if len(lengths) == len(readings) == 3:
        long, others = lengths[-1], lengths[:-1]
        over = long.value - sum(r.value for r in others)
        if over > 0.0:
            longer = Said.of("survey.said.longer-than", reading=ReadingRef(words.named(long)), over=Length(over))
            said = Said.of("survey.contradiction", readings=names, face=FaceRef(face.id), why=longer)
    return SurveyError.of(said, where=reading_where(face, found[0]), cure=Said.of("survey.said.pull-each"))
