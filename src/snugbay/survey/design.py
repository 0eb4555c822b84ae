"""What nothing checks, and the one extra reading that tells most.

A reading with row a and standard deviation sigma tells ln(1 + a Q a' / sigma²) / 2, half the logarithm of how much the
determinant of the covariance Q shrinks.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from snugbay.base import Said
from snugbay.base.facts import FaceRef, Listed, Name, ReadingRef
from snugbay.job import Corner, Face, Reading, ReadingKind
from snugbay.job.outlines import reading_name
from snugbay.survey import words
from snugbay.survey.equations import misclosure
from snugbay.survey.network import Network, State, lay_out
from snugbay.survey.options import SurveyOptions
from snugbay.survey.results import Group, rows_of
from snugbay.survey.solve import jacobian, pattern
from snugbay.survey.values import Unchecked

TELLING = 0.1
"""A reading that tells less than this is not worth a crawl. [nat]"""
AGAIN = " once more"


@dataclass(frozen=True)
class Proposal:
    """A reading that could be taken next: what, and what it tells. [nat]"""

    reading: Reading
    gain: float


def candidates(face: Face, options: SurveyOptions) -> tuple[Reading, ...]:
    """Return the readings a person could still take: sides, diagonals, heights over the first side, inside angles."""
    taken = {frozenset(r.corners) for r in face.readings if r.kind is ReadingKind.DISTANCE and not r.assumed}
    named = {frozenset(r.corners): r.name for r in face.measures}
    angles = {r.corners[1] for r in face.readings if r.kind is ReadingKind.ANGLE and not r.assumed}
    out = []
    for pair in itertools.combinations(face.corners, 2):
        if frozenset(pair) not in taken:
            told = _proposed(face, ReadingKind.DISTANCE, pair, options.tape_sigma)
            out.append(replace(told, name=named.get(frozenset(pair), told.name)))
    base = face.corners[:2]
    heights = {r.corners[2] for r in face.readings if r.kind is ReadingKind.OFFSET}
    for name in face.corners[2:]:
        if name not in heights:
            out.append(_proposed(face, ReadingKind.OFFSET, (*base, name), options.height_sigma))
    n = len(face.corners)
    for i, name in enumerate(face.corners):
        if name not in angles:
            three = (face.corners[i - 1], name, face.corners[(i + 1) % n])
            out.append(_proposed(face, ReadingKind.ANGLE, three, options.gauge_sigma))
    return tuple(out)


def _proposed(face: Face, kind: ReadingKind, corners: tuple[Corner, ...], sigma: float) -> Reading:
    return Reading(kind, corners, 1.0, sigma, "", _called(face, kind, corners))


def _called(face: Face, kind: ReadingKind, corners: tuple[Corner, ...]) -> str:
    if kind is ReadingKind.OFFSET:
        return reading_name(kind, corners)
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
    # a lean frees the second corner, so that every slope is there to be picked
    lean = Reading(ReadingKind.LEAN, face.corners[:2], 0.0, 1.0)
    own = lay_out([replace(face, readings=(*readings, lean))], (), options)
    points = state.points[net.corners_of(f)]
    alone = State(points, np.eye(3)[None], np.zeros((1, 3)))
    _, derivatives = misclosure(own, alone)
    small = jacobian(own, pattern(own), derivatives).toarray()[:-1] / own.sigma[:-1, None]
    out = np.zeros((len(readings), net.unknowns))
    for axis in range(2):
        here, there = own.free[:, axis], net.free[net.corners_of(f), axis]
        both = (here >= 0) & (there >= 0)
        out[:, there[both]] = small[:, here[both]]
    return out


def proposals(group: Group, f: int, options: SurveyOptions) -> tuple[Proposal, ...]:
    """Return the readings of a face that could still be taken, the most telling first.

    Taking an unchecked reading once more is proposed where nothing new tells `TELLING` or more.
    """
    repeats = tuple(_once_more(_reading(group.net, i)) for i in unchecked_rows(group, f, options))
    possible = candidates(group.net.faces[f], options) + tuple(r for r in repeats if not r.assumed)
    if not possible:
        return ()
    rows = rows_for(group.net, group.verdict.final.state, f, possible, options)
    spread = np.einsum("ki,ij,kj->k", rows, group.verdict.reliability.covariance, rows)
    found = [Proposal(r, 0.5 * math.log1p(float(s))) for r, s in zip(possible, spread, strict=True)]
    telling = any(p.gain >= TELLING and not p.reading.name.endswith(AGAIN) for p in found)
    return tuple(sorted(found, key=lambda p: (telling and p.reading.name.endswith(AGAIN), -p.gain)))


def _once_more(reading: Reading) -> Reading:
    return replace(reading, name=words.named(reading) + AGAIN, written="")


def unchecked_of(group: Group, options: SurveyOptions) -> tuple[Unchecked, ...]:
    """Return what nothing checks on each face of a group, and the extra reading that tells most."""
    out = []
    for f, face in enumerate(group.net.faces):
        rows = unchecked_rows(group, f, options)
        if not rows:
            continue
        names = tuple(words.named(_reading(group.net, i)) for i in rows)
        best = next(iter(proposals(group, f, options)), None)
        then = None
        if best is not None:
            helped = tuple(
                words.named(_reading(group.net, i)) for i in then_checked(group, f, rows, best.reading, options)
            )
            then = _then(best.reading, helped)
        said = Said.of("survey.unchecked", face=FaceRef(face.id), what=_nothing_checks(group.net, rows), then=then)
        pull, gain = (best.reading.name, best.gain) if best is not None else ("", 0.0)
        out.append(Unchecked(face.id, names, pull, gain, said))
    return tuple(out)


def unchecked_rows(group: Group, f: int, options: SurveyOptions) -> tuple[int, ...]:
    """Return the rows of a face's readings that nothing checks."""
    redundancy = group.verdict.reliability.redundancy
    return tuple(i for i in rows_of(group.net, f) if redundancy[i] < options.checked_from)


def then_checked(
    group: Group, f: int, rows: tuple[int, ...], extra: Reading, options: SurveyOptions
) -> tuple[int, ...]:
    """Return which of some rows an extra reading of a face would check.

    With c the covariance of a row and the new reading in standard deviations, the row's redundancy rises by
    c² / (1 + spread of the new reading).
    """
    result = group.verdict.reliability
    new = rows_for(group.net, group.verdict.final.state, f, (extra,), options)[0]
    Qa = result.covariance @ new
    shared = result.design[list(rows)] @ Qa
    risen = result.redundancy[list(rows)] + shared**2 / (1.0 + float(new @ Qa))
    return tuple(i for i, r in zip(rows, risen, strict=True) if r >= options.checked_from)


def _then(reading: Reading, helped: tuple[str, ...]) -> Said:
    """Return what to take, and what it checks."""
    taken = Name(reading.name)
    if reading.name.endswith(AGAIN):
        what = Said.of("survey.said.again", reading=taken)
    elif reading.kind is ReadingKind.DISTANCE:
        what = Said.of("survey.said.pull-the", reading=taken)
    else:
        what = Said.of("survey.said.take-the", reading=taken)
    if helped:
        return Said.of("survey.said.it-checks", what=what, readings=_refs(helped))
    return Said.of("survey.said.it-tells", what=what)


def _refs(called: Iterable[str], join: str = "and") -> Listed:
    return Listed(tuple(ReadingRef(name) for name in called), join)


def _reading(net: Network, i: int) -> Reading:
    return net.faces[net.rows[i].face].readings[net.rows[i].reading]


def _nothing_checks(net: Network, rows: tuple[int, ...]) -> Listed:
    readings = [_reading(net, i) for i in rows]
    taped = [words.named(r) for r in readings if not r.assumed]
    square = [r.corners[1] for r in readings if r.assumed and r.kind is ReadingKind.ANGLE]
    other = [words.named(r) for r in readings if r.assumed and r.kind is not ReadingKind.ANGLE]
    parts = []
    if taped:
        one, many = "survey.said.nothing-checks", "survey.said.nothing-checks-any"
        parts.append(Said.of(one if len(taped) < 3 else many, readings=_refs(taped, "or")))
    if square:
        parts.append(Said.of("survey.said.square-by-eye", corners=_refs(square)))
    if other:
        parts.append(Said.of("survey.said.nothing-but-the-eye", readings=_refs(other)))
    return Listed(tuple(parts), "semicolon")
