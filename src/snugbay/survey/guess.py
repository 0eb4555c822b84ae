"""Which shape to start from: the best of those that can be built, or guesses brought to rest where none can.

Readings may fit two shapes, a corner pushed in or out. The one with fewer hollows is taken, and the others are kept, so
that the user can be told.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from snugbay.job import Corner, Face, ReadingKind
from snugbay.survey.flips import hanging, pushed, swung
from snugbay.survey.network import Floats, State, lay_out
from snugbay.survey.options import SurveyOptions
from snugbay.survey.solve import solve, weights
from snugbay.survey.start import Builder, Built, Edge, crossings, signed_area

Shape = Mapping[Corner, complex]

_TRIED = 6
_AGAIN = 12
_GUESSES = 60
_PUSHES = 8
_STEPS = 80
LIKELY = 10.0
"""A shape whose weighted sum of squares is worse by no more than this is as good an explanation. [-]"""
APART = 0.02
"""Shapes are different where a corner lies farther off than this. [m]"""
BASIN = 0.06
"""Built shapes nearer than this come to rest in one place. [m]"""


@dataclass(frozen=True)
class Choice:
    """A starting shape and the others that the readings of the face alone allow as well."""

    shape: Shape
    others: tuple[Shape, ...] = ()


@dataclass(frozen=True)
class _Rest:
    """A shape at rest: its weighted sum of squares, whether it is an outline at all, its hollow corners and area."""

    shape: Shape
    cost: float
    sound: bool
    hollow: int
    area: float


def choose(
    face: Face, edges: Mapping[Edge, float], options: SurveyOptions, rng: np.random.Generator, *, guess: bool
) -> Choice | None:
    """Return the shape to start from, or None where the readings do not build one and ``guess`` is False.

    Parameters
    ----------
    face : Face
        With its readings.
    edges : Mapping
        Lengths of edges known from joined faces. [m]
    options : SurveyOptions
        Standard deviations.
    rng : Generator
        For guesses.
    guess : bool
        Whether to guess where no corner-by-corner construction reaches all corners.
    """
    builder = Builder(face, edges)
    built = builder.build()
    whole: list[Built] = []
    for b in built[: _TRIED * 3]:
        if b.whole and len(whole) < _TRIED and all(different(face, b.points, w.points, BASIN) for w in whole):
            whole.append(b)
    if not whole and not guess:
        return None
    alone = replace(face, readings=builder.readings)
    limit = 2.0 + 0.5 * len(builder.readings)
    if whole and whole[0].score < limit and all(b.score > whole[0].score + 4.0 for b in whole[1:]):
        if not hanging(alone):
            return Choice(whole[0].points)
        whole = whole[:1]
    rests = [_rest(alone, b.points, options) for b in whole]
    enough = 12.0 + 3.0 * max(0, len(builder.readings) - 2 * len(face.corners) + 3)
    if not any(r.sound and r.cost < enough for r in rests):
        _guesses(alone, built[0].points if built and not whole else {}, rests, enough, options, rng)
    rests = _with_swung(alone, rests, options)
    least = min((r.cost for r in rests if r.sound), default=math.inf)
    good = [r for r in rests if r.sound and r.cost <= least + LIKELY]
    if not good:
        return Choice(min(rests, key=lambda r: r.cost).shape)
    good.sort(key=lambda r: (r.hollow, -r.area))
    others: list[Shape] = []
    for r in good[1:]:
        if all(different(face, r.shape, other) for other in (good[0].shape, *others)):
            others.append(r.shape)
    return Choice(good[0].shape, tuple(others))


def _guesses(
    alone: Face, part: Shape, rests: list[_Rest], enough: float, options: SurveyOptions, rng: np.random.Generator
) -> None:
    """Add guesses brought to rest until one is good enough, then push single corners of the best one through."""
    built = bool(rests)
    for number, ring in enumerate(_rings(alone, part, rng)):
        rests.append(_rest(alone, dict(zip(alone.corners, (complex(p) for p in ring), strict=True)), options))
        if rests[-1].sound and rests[-1].cost < enough:
            return
        if built and number >= _AGAIN:
            break
    best = min(rests, key=lambda r: (not r.sound, r.cost))
    for _ in range(_PUSHES):
        tried = [_rest(alone, shape, options) for shape in pushed(alone, best.shape)]
        better = min(tried, key=lambda r: (not r.sound, r.cost))
        if (not better.sound, better.cost) >= (not best.sound, best.cost):
            return
        best = better
        rests.append(best)
        if best.sound and best.cost < enough:
            return


def _with_swung(alone: Face, rests: list[_Rest], options: SurveyOptions) -> list[_Rest]:
    """Return shapes at rest and, of the best of them, those with a hanging part swung over, as long as hollows go."""
    least = min((r.cost for r in rests if r.sound), default=math.inf)
    good = [r for r in rests if r.sound and r.cost <= least + LIKELY]
    if not good or not hanging(alone):
        return rests
    best = min(good, key=lambda r: (r.hollow, -r.area))
    out = list(rests)
    for _ in range(_PUSHES):
        tried = []
        for shape in swung(alone, best.shape):
            ring = [shape[c] for c in alone.corners]
            if signed_area(ring) > 0.0 and not crossings(ring):
                swing = _rest(alone, shape, options)
                if swing.sound and swing.cost <= least + LIKELY:
                    tried.append(swing)
        out += tried
        better = min(tried, key=lambda r: (r.hollow, -r.area), default=best)
        if (better.hollow, -better.area) >= (best.hollow, -best.area):
            break
        best = better
    return out


def different(face: Face, one: Shape, two: Shape, apart: float = APART) -> bool:
    """Return whether some corner of two shapes differs by more than ``apart``. [m]"""
    a, b = laid_down(face, one), laid_down(face, two)
    return max(abs(a[n] - b[n]) for n in face.corners) > apart


def hollow_corners(ring: list[complex]) -> int:
    """Return how many corners of an outline point inwards by more than a degree."""
    n = len(ring)
    bends = [cmath.phase((ring[(i + 1) % n] - ring[i]) / ((ring[i] - ring[i - 1]) or 1.0)) for i in range(n)]
    return sum(bend < -0.0175 for bend in bends)


def _rest(alone: Face, shape: Shape, options: SurveyOptions) -> _Rest:
    net = lay_out([alone], (), options)
    laid = laid_down(alone, shape)
    points = np.array([[laid[n].real, laid[n].imag, 0.0] for n in alone.corners])
    solution = solve(net, State(points, np.eye(3)[None], np.zeros((1, 3))), weights(net), _STEPS)
    ring = [complex(x, y) for x, y in solution.state.points[:, :2]]
    area = signed_area(ring)
    found = dict(zip(alone.corners, ring, strict=True))
    flat = -1e-6 * max(abs(p) for p in ring) ** 2
    return _Rest(found, solution.cost, area > flat and not crossings(ring), hollow_corners(ring), area)


def laid_down(face: Face, shape: Shape) -> dict[Corner, complex]:
    """Return a shape moved so that its first corner is the origin and it leans as read, else its first edge is +x."""
    first, second = (shape[n] for n in face.corners[:2])
    edge = second - first
    turn = abs(edge) / edge if edge != 0 else 1.0
    pull = 0j
    for r in face.readings:
        if r.kind is ReadingKind.LEAN:
            d = shape[r.corners[1]] - shape[r.corners[0]]
            if d != 0:
                pull += 1j * cmath.exp(-1j * r.value) * abs(d) / d / r.sigma**2
    if pull != 0:
        turn = pull / abs(pull)
    return {name: (point - first) * turn for name, point in shape.items()}


def _rings(face: Face, part: Shape, rng: np.random.Generator) -> list[Floats]:
    """Return guesses at an outline, the likeliest first."""
    size = max((r.value for r in face.readings if r.kind is ReadingKind.DISTANCE), default=1.0)
    count = len(face.corners)
    base = [_walk(face), *_spread(face), _regular(count, size)]
    if len(part) > 2:
        base.insert(0, _filled(face, part))
    rings = list(base)
    for k in range(_GUESSES - len(base)):
        jitter = 0.2 * size * (rng.normal(size=count) + 1j * rng.normal(size=count))
        rings.append(base[k % len(base)] + jitter)
    return rings


def _filled(face: Face, part: Shape) -> Floats:
    """Return a part-built outline with the missing corners set between their neighbours, a little outwards."""
    n = len(face.corners)
    have = [i for i, c in enumerate(face.corners) if c in part]
    ring = np.array([part.get(c, 0j) for c in face.corners], dtype=complex)
    for k, i in enumerate(have):
        j = have[(k + 1) % len(have)]
        gap = (j - i) % n or n
        for step in range(1, gap):
            share = step / gap
            chord = ring[j] - ring[i]
            ring[(i + step) % n] = ring[i] + share * chord - 1j * chord * share * (1.0 - share)
    return ring


def _spread(face: Face) -> list[Floats]:
    """Return both hands of an outline laid out from distances alone.

    Missing distances are the shortest way round by known ones, and the layout is the classical scaling of the squared
    distances (W. S. Torgerson, Multidimensional scaling, Psychometrika 17, 1952; from memory).
    """
    n = len(face.corners)
    D = np.full((n, n), np.inf)
    np.fill_diagonal(D, 0.0)
    for r in face.readings:
        if r.kind is ReadingKind.DISTANCE:
            i, j = (face.corners.index(c) for c in r.corners)
            D[i, j] = D[j, i] = r.value
    known = np.isfinite(D)
    for k in range(n):
        D = np.minimum(D, D[:, k : k + 1] + D[k : k + 1, :])
    if not np.all(np.isfinite(D)):
        return []
    D = np.where(known, D, 0.8 * D)
    centre = np.eye(n) - 1.0 / n
    values, vectors = np.linalg.eigh(-0.5 * centre @ (D * D) @ centre)
    xy = vectors[:, -2:] * np.sqrt(np.maximum(values[-2:], 1e-6))
    ring = xy[:, 0] + 1j * xy[:, 1]
    return [ring, ring.conjugate()]


def _regular(n: int, size: float) -> np.ndarray:
    return np.asarray(size * np.exp(2j * np.pi * np.arange(n) / n))


def _walk(face: Face) -> np.ndarray:
    """Return a walk round the outline by known sides and angles, the rest shared out, the gap spread evenly."""
    n = len(face.corners)
    sides: list[float | None] = [None] * n
    inside: list[float | None] = [None] * n
    for r in face.readings:
        at = [face.corners.index(c) for c in r.corners]
        if r.kind is ReadingKind.DISTANCE:
            for i, j in (at, at[::-1]):
                if (i + 1) % n == j:
                    sides[i] = r.value
        elif r.kind is ReadingKind.ANGLE and {(at[1] + 1) % n, (at[1] - 1) % n} == {at[0], at[2]}:
            inside[at[1]] = r.value
    have = [s for s in sides if s is not None]
    usual = sum(have) / len(have) if have else 1.0
    missing = sum(a is None for a in inside)
    left = (n - 2) * math.pi - sum(a for a in inside if a is not None)
    share = left / missing if missing else 0.0
    if not 0.1 < share < 6.0:
        share = (n - 2) * math.pi / n
    ring = [0j]
    heading = 0.0
    for i in range(n):
        side = sides[i]
        ring.append(ring[-1] + (side if side is not None else usual) * cmath.exp(1j * heading))
        corner = inside[(i + 1) % n]
        heading += math.pi - (corner if corner is not None else share)
    gap = ring[-1] - ring[0]
    return np.array([ring[i] - gap * i / n for i in range(n)])
