"""How the survey stands up to made-up readings: do ellipses cover, are blunders found, are alarms rare?

Used at full size by ``bench/survey_studies.py`` and smaller in the tests. All are repeatable from a seed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy import special

from snugbay.job import Face, ReadingKind
from snugbay.survey.network import Network, State, lay_out
from snugbay.survey.options import SurveyOptions
from snugbay.survey.practice import Practice, random_face, state_of
from snugbay.survey.reliability import assess, critical
from snugbay.survey.results import face_covariance
from snugbay.survey.solve import solve, weights
from snugbay.survey.suspects import judge


@dataclass(frozen=True)
class Coverage:
    """Share of true corners inside their 95 % ellipses, and how many were tried."""

    share: float
    corners: int
    draws: int


@dataclass(frozen=True)
class Alarms:
    """Share of sound readings that fail the blunder test, and how many were tried."""

    rate: float
    tests: int
    jobs: int
    alarms: int


@dataclass(frozen=True)
class Finds:
    """How often a planted blunder is found.

    Attributes
    ----------
    found : float
        Share of jobs in which the blunder test speaks at all.
    named : float
        Share in which the right reading is named, alone or among those that cannot be told apart.
    alone : float
        Share in which it is named alone.
    group : float
        Mean number of readings named together with it.
    jobs : int
        Tried.
    """

    found: float
    named: float
    alone: float
    group: float
    jobs: int


def practice_faces(
    rng: np.random.Generator, count: int, options: SurveyOptions, *, spare: tuple[int, int] = (3, 7)
) -> list[Practice]:
    """Return faces of 4 to 8 corners with so many spare readings each, a few hollow."""
    out = []
    for _ in range(count):
        corners = int(rng.integers(4, 9))
        extra = int(rng.integers(*spare))
        out.append(random_face(rng, corners, options, spare=extra, rough=float(rng.uniform(0.0, 0.3))))
    return out


def noisy(made: Practice, rng: np.random.Generator) -> Face:
    """Return a made-up face with fresh noise on all its readings."""
    readings = tuple(
        replace(r, value=exact + float(rng.normal()) * r.sigma)
        for r, exact in zip(made.face.readings, made.exact, strict=True)
    )
    return replace(made.face, readings=readings)


def coverage(faces: Sequence[Practice], draws: int, options: SurveyOptions, rng: np.random.Generator) -> Coverage:
    """Return how often 95 % ellipses cover the true corners over so many draws of noise, shared out over the faces.

    The second corner moves along the first edge only; its interval counts as its ellipse.
    """
    limits = {1: float(special.chdtri(1, 0.05)), 2: float(special.chdtri(2, 0.05))}
    inside = tried = 0
    for k in range(draws):
        made = faces[k % len(faces)]
        net = lay_out([noisy(made, rng)], (), options)
        start = state_of(made.truth)
        solution = solve(net, start, weights(net), options.most_iterations)
        Q = face_covariance(net, assess(net, solution, options).covariance, 0)
        off = (solution.state.points[:, :2] - start.points[:, :2]).ravel()
        for c in range(1, len(made.truth)):
            rows = [2 * c] if c == 1 else [2 * c, 2 * c + 1]
            distance = float(off[rows] @ np.linalg.solve(Q[np.ix_(rows, rows)], off[rows]))
            inside += distance <= limits[len(rows)]
            tried += 1
    return Coverage(inside / tried, tried, draws)


def false_alarms(faces: Sequence[Practice], jobs: int, options: SurveyOptions, rng: np.random.Generator) -> Alarms:
    """Return how often sound readings fail the test of single readings."""
    limit = critical(options)
    alarms = tests = 0
    for k in range(jobs):
        made = faces[k % len(faces)]
        net = lay_out([noisy(made, rng)], (), options)
        solution = solve(net, state_of(made.truth), weights(net), options.most_iterations)
        result = assess(net, solution, options)
        checked = result.redundancy > options.checked_from
        alarms += int(np.count_nonzero(np.abs(result.w[checked]) > limit))
        tests += int(np.count_nonzero(checked))
    return Alarms(alarms / tests, tests, jobs, alarms)


def planted(
    faces: Sequence[Practice], jobs: int, times: float, options: SurveyOptions, rng: np.random.Generator
) -> Finds:
    """Return how often a blunder of ``times`` the least detectable one is found, one planted in each job.

    The reading is drawn from those of the face that something checks.
    """
    found = named = alone = 0
    sizes: list[int] = []
    for k in range(jobs):
        made = faces[k % len(faces)]
        face = noisy(made, rng)
        net, start = lay_out([face], (), options), state_of(made.truth)
        result = assess(net, solve(net, start, weights(net), options.most_iterations), options)
        i = int(rng.choice(np.flatnonzero(result.redundancy > options.checked_from)))
        wrong = float(result.least[i]) * times * float(rng.choice([-1.0, 1.0]))
        rows = charged(_blundered(face, i, wrong, options), start, options)
        found += bool(rows)
        group = next((r for r in rows if i in r), ())
        named += bool(group)
        alone += len(group) == 1
        if group:
            sizes.append(len(group))
    return Finds(found / jobs, named / jobs, alone / jobs, float(np.mean(sizes)) if sizes else 0.0, jobs)


def _blundered(face: Face, i: int, wrong: float, options: SurveyOptions) -> Network:
    reading = face.readings[i]
    value = reading.value + wrong
    if reading.kind is ReadingKind.ANGLE:
        value %= 2.0 * np.pi
    else:
        value = abs(value)
    readings = (*face.readings[:i], replace(reading, value=value), *face.readings[i + 1 :])
    return lay_out([replace(face, readings=readings)], (), options)


def charged(net: Network, start: State, options: SurveyOptions) -> tuple[tuple[int, ...], ...]:
    """Return the rows that the blunder test charges, group by group."""
    return tuple(c.rows for c in judge(net, start, options).charges)
