"""Which boards meet how: the order in which the faces are placed, and which joins are mitred.

Where three boards meet, a mitre between two of them leaves a void when the third is placed between the two: the one
placed before it stops at its surface, the one after it grows over it, and neither fills what the mitre gives to the
first. So mitred faces stand next to each other in the order. For the same reason three faces that all meet have no, one
or three mitres between them, never two.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations
from math import cos, pi, sin, tan

from snugbay.base import Finding, Weight
from snugbay.base.facts import FaceRef, Name, names
from snugbay.job import Job, Join, Part
from snugbay.pieces.corners import NEARLY_FLAT, opening_of
from snugbay.pieces.stack import Slab
from snugbay.survey import Survey

MITRE = "mitre"

Stacks = Mapping[str, tuple[Slab, ...]]
Pair = frozenset[str]

STEEPEST_MITRE = tan(50 * pi / 180)
"""Steepest mitre of our own choice. [-]"""


@dataclass(frozen=True)
class Meeting:
    """How the boards of all faces meet.

    Attributes
    ----------
    order : tuple of str
        Order in which the first layers are placed; even layers take the reverse.
    mitres : frozenset of frozenset of str
        Pairs of faces that are mitred.
    findings : tuple of Finding
        Wishes that could not be kept.
    """

    order: tuple[str, ...]
    mitres: frozenset[Pair]
    findings: tuple[Finding, ...]


def meeting_of(job: Job, survey: Survey, stacks: Stacks) -> Meeting:
    """Return how the boards of all faces meet.

    Parameters
    ----------
    job : Job
        Joins, with who runs past.
    survey : Survey
        The adjusted faces.
    stacks : Mapping of str to tuple of Slab
        The boards of every face that gets some.

    Notes
    -----
    The user's ``runs_past`` comes first: at an inside corner the face that runs past is placed before the other, at
    an outside corner after it. Among the rest: floors, then walls, box backs, box sides, box tops and bottoms,
    slopes, ceilings (a board that carries another comes before it). One order for all faces leaves no void where three
    boards meet; wishes that go round in a ring are dropped and reported.
    """
    joins = {
        frozenset((j.a, j.b)): (j, opening_of(j, survey).angle) for j in job.joins if j.a in stacks and j.b in stacks
    }
    before = _wishes(job, stacks)
    forced = frozenset(p for p, (j, theta) in joins.items() if j.runs_past == MITRE or nearly_flat(theta))
    free = {p: theta for p, (j, theta) in joins.items() if p not in forced and not j.runs_past}
    mitres, findings = _without_voids(joins, forced, {p: t for p, t in free.items() if _mitre_is_gentler(p, t, stacks)})
    mitres = frozenset(p for p in mitres if p in forced or not _parted(p, before))
    order, more = _ordered(job, stacks, before, mitres)
    return Meeting(order, mitres, (*findings, *more))


def nearly_flat(theta: float) -> bool:
    """Return whether two faces lie so nearly in one plane that their boards must be mitred."""
    return abs(sin(theta)) < NEARLY_FLAT


def _mitre_is_gentler(pair: Pair, theta: float, stacks: Stacks) -> bool:
    """Return whether a mitre has the smaller bevel and is not too steep for any two layers.

    A butt is cut at |theta - 90| (inside) or |theta - 270| (outside) degrees off square, a mitre at |90 - theta / 2|:
    the mitre is the smaller between 120 and 240 degrees. Inside, the second board of a mitre has to be slid under the
    first, so there the butt is kept up to 135 degrees.
    """
    return 3 * pi / 4 + 1e-9 < theta < 4 * pi / 3 - 1e-9 and _gentle(pair, theta, stacks)


def _gentle(pair: Pair, theta: float, stacks: Stacks) -> bool:
    """Return whether two faces have layers to mitre, and every mitre is no steeper than 50 degrees."""
    own, other = (stacks[f] for f in sorted(pair))
    mates = [(a, b) for a in own for b in other if a.surface_rank == b.surface_rank > 0]
    ratios = [r for a, b in mates for r in (a.thickness / b.thickness, b.thickness / a.thickness)]
    return bool(mates) and all(abs((r + cos(theta)) / sin(theta)) <= STEEPEST_MITRE for r in ratios)


def _without_voids(
    joins: Mapping[Pair, tuple[Join, float]], forced: frozenset[Pair], chosen: Mapping[Pair, float]
) -> tuple[frozenset[Pair], tuple[Finding, ...]]:
    """Drop mitres of our own choice that would be the second of three; report those that must stay."""
    mitres = set(forced) | set(chosen)
    findings = []
    triples = [
        (frozenset((a, b)), frozenset((b, c)), frozenset((a, c)))
        for a, b, c in combinations(sorted({f for p in joins for f in p}), 3)
        if {frozenset((a, b)), frozenset((b, c)), frozenset((a, c))} <= set(joins)
    ]
    changed = True
    while changed:
        changed = False
        for triple in triples:
            here = [p for p in triple if p in mitres]
            ours = [p for p in here if p not in forced]
            if len(here) == 2 and ours:
                mitres.discard(max(ours, key=lambda p: (abs(chosen[p] - pi), sorted(p))))
                changed = True
    for triple in triples:
        if sum(p in mitres for p in triple) == 2:
            findings.append(_void(sorted({f for p in triple for f in p})))
    return frozenset(mitres), tuple(findings)


def _void(faces: list[str]) -> Finding:
    names = ", ".join(faces[:-1]) + " and " + faces[-1]
    return Finding.of("pieces.corner-void", Weight.NOTE, ("joins",), names=Name(names))


def _wishes(job: Job, stacks: Stacks) -> dict[str, set[str]]:
    """Return for each face those that must be placed before it."""
    before: dict[str, set[str]] = {f.id: set() for f in job.faces if f.id in stacks}
    for join in job.joins:
        if join.a in before and join.b in before and join.runs_past in (join.a, join.b):
            stops = join.b if join.runs_past == join.a else join.a
            first, later = (join.runs_past, stops) if join.opening < pi else (stops, join.runs_past)
            before[later].add(first)
    return before


def _parted(pair: Pair, before: Mapping[str, set[str]]) -> bool:
    """Return whether wishes put a third face between two."""

    def comes_after(face: str, seen: frozenset[str]) -> set[str]:
        found = before[face] - seen
        return found.union(*(comes_after(f, seen | found | {face}) for f in found)) if found else found

    a, b = sorted(pair)
    return any(
        first in before[last] or any(first in comes_after(mid, frozenset()) for mid in comes_after(last, frozenset()))
        for first, last in ((a, b), (b, a))
    )


def _ordered(
    job: Job, stacks: Stacks, before: Mapping[str, set[str]], mitres: frozenset[Pair]
) -> tuple[tuple[str, ...], tuple[Finding, ...]]:
    """Return the order of the faces, mitred ones next to each other."""
    number = {f.id: i for i, f in enumerate(job.faces)}
    rank = {f.id: (_RANK.get(f.part, 3), number[f.id]) for f in job.faces if f.id in stacks}
    groups = _groups(sorted(rank, key=lambda f: rank[f]), mitres)
    done: list[str] = []
    findings: list[Finding] = []
    while groups:
        ready = next((g for g in groups if set().union(*(before[f] for f in g)) <= {*done, *g}), None)
        if ready is None:
            ready = min(groups, key=lambda g: len(set().union(*(before[f] for f in g)) - {*done, *g}))
            findings.append(_ring(ready[0], set().union(*(before[f] for f in ready)) - {*done, *ready}))
        groups.remove(ready)
        left = list(ready)
        while left:
            face = next((f for f in left if before[f] <= set(done) | (before[f] - set(ready))), None)
            if face is None:
                face = min(left, key=lambda f: len(before[f] - set(done)))
                findings.append(_ring(face, before[face] - set(done)))
            done.append(face)
            left.remove(face)
    return tuple(done), tuple(findings)


def _groups(faces: list[str], mitres: frozenset[Pair]) -> list[list[str]]:
    """Return the faces in groups held together by mitres, the groups in the order of their first faces."""
    group = {f: {f} for f in faces}
    for pair in mitres:
        a, b = pair
        if group[a] is not group[b]:
            group[a] |= group[b]
            for face in group[b]:
                group[face] = group[a]
    found: list[list[str]] = []
    for face in faces:
        if not any(face in g for g in found):
            found.append([f for f in faces if f in group[face]])
    return found


def _ring(face: str, broken: set[str]) -> Finding:
    return Finding.of(
        "pieces.corner-ring", Weight.WARN, ("joins",), face=FaceRef(face), broken=names(sorted(broken), "comma")
    )


_RANK: Mapping[Part, int] = {
    Part.FLOOR: 0,
    Part.KNEE_WALL: 1,
    Part.WALL: 1,
    Part.GABLE: 1,
    Part.CHEEK: 1,
    Part.RIM: 1,
    Part.CELLAR_WALL: 1,
    Part.BOX_BACK: 2,
    Part.BOX_SIDE: 3,
    Part.BOX_TOP: 4,
    Part.BOX_BOTTOM: 4,
    Part.SLOPE: 5,
    Part.CEILING: 6,
    Part.HATCH: 7,
}
