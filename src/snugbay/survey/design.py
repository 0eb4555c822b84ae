"""What nothing checks, and the one extra reading that tells most.

A reading with row a and standard deviation sigma tells ln(1 + a Q a' / sigma²) / 2, half the logarithm of how much the
determinant of the covariance Q shrinks.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace

import numpy as np

from snugbay.job import Corner, Face, Reading, ReadingKind
from snugbay.job.outlines import BY_EYE, reading_name
from snugbay.survey import words
from snugbay.survey.equations import misclosure
from snugbay.survey.network import Network, State, lay_out
from snugbay.survey.options import SurveyOptions
from snugbay.survey.results import Group, rows_of
from snugbay.survey.solve import jacobian, pattern
from snugbay.survey.values import Unchecked


@dataclass(frozen=True)
class Proposal:
    """A reading that could be taken next: what, and what it tells. [nat]"""

    reading: Reading
    gain: float


def candidates(face: Face, options: SurveyOptions) -> tuple[Reading, ...]:
    """Return the readings a person could still take: sides and diagonals first, then inside angles."""
    taken = {frozenset(r.corners) for r in face.readings if r.kind is ReadingKind.DISTANCE}
    angles = {r.corners[1] for r in face.readings if r.kind is ReadingKind.ANGLE and r.instrument != BY_EYE}
    out = []
    for pair in itertools.combinations(face.corners, 2):
        if frozenset(pair) not in taken:
            out.append(_proposed(face, ReadingKind.DISTANCE, pair, options.tape_sigma))
    n = len(face.corners)
    for i, name in enumerate(face.corners):
        if name not in angles:
            three = (face.corners[i - 1], name, face.corners[(i + 1) % n])
            out.append(_proposed(face, ReadingKind.ANGLE, three, options.gauge_sigma))
    return tuple(out)


def _proposed(face: Face, kind: ReadingKind, corners: tuple[Corner, ...], sigma: float) -> Reading:
    return Reading(kind, corners, 1.0, sigma, "", _called(face, kind, corners))


def _called(face: Face, kind: ReadingKind, corners: tuple[Corner, ...]) -> str:
    if kind is not ReadingKind.DISTANCE:
        return f"angle at {corners[1]}"
    apart = abs(face.corners.index(corners[0]) - face.corners.index(corners[1]))
    if apart == len(face.corners) - 1:
        corners = corners[::-1]
    word = "side" if apart in {1, len(face.corners) - 1} else "diagonal"
    return f"{word} {reading_name(kind, corners)}"


def rows_for(net: Network, state: State, f: int, readings: tuple[Reading, ...], options: SurveyOptions) -> np.ndarray:
    """Return the rows of proposed readings of one face by 1 / sigma, shape (k, unknowns)."""
    face = net.faces[f]
    own = lay_out([_with(face, readings)], (), options)
    points = state.points[net.corners_of(f)]
    alone = State(points, np.eye(3)[None], np.zeros((1, 3)))
    _, derivatives = misclosure(own, alone)
    small = jacobian(own, pattern(own), derivatives).toarray() / own.sigma[:, None]
    out = np.zeros((len(readings), net.unknowns))
    for axis in range(2):
        here, there = own.free[:, axis], net.free[net.corners_of(f), axis]
        both = (here >= 0) & (there >= 0)
        out[:, there[both]] = small[:, here[both]]
    return out


def _with(face: Face, readings: tuple[Reading, ...]) -> Face:
    return replace(face, readings=readings)


def proposals(group: Group, f: int, options: SurveyOptions) -> tuple[Proposal, ...]:
    """Return the readings of a face that could still be taken, the most telling first."""
    possible = candidates(group.net.faces[f], options)
    if not possible:
        return ()
    rows = rows_for(group.net, group.verdict.final.state, f, possible, options)
    spread = np.einsum("ki,ij,kj->k", rows, group.verdict.reliability.covariance, rows)
    found = [Proposal(r, 0.5 * math.log1p(float(s))) for r, s in zip(possible, spread, strict=True)]
    return tuple(sorted(found, key=lambda p: -p.gain))


def unchecked_of(group: Group, options: SurveyOptions) -> tuple[Unchecked, ...]:
    """Return what nothing checks on each face of a group, and the extra reading that tells most."""
    out = []
    result = group.verdict.reliability
    for f, face in enumerate(group.net.faces):
        names = [
            words.named(face.readings[group.net.rows[i].reading])
            for i in rows_of(group.net, f)
            if result.redundancy[i] < options.checked_from
        ]
        if not names:
            continue
        best = next(iter(proposals(group, f, options)), None)
        pull, gain = (best.reading.name, best.gain) if best else ("", 0.0)
        verb = "checks" if len(names) == 1 else "checks any of"
        text = f"{face.id}: nothing {verb} {words.listed(names, 'or')}."
        if best:
            text += f" Pull the {pull}." if best.reading.kind is ReadingKind.DISTANCE else f" Take the {pull}."
        out.append(Unchecked(face.id, tuple(names), pull, gain, text))
    return tuple(out)
