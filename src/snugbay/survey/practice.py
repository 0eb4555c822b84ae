"""Made-up faces with simulated readings, to try the survey out in tests, benchmarks and studies.

A true outline is drawn, a set of readings is chosen that a person could take of it, and each gets noise of its own
standard deviation from a seeded generator.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from snugbay.job import Face, Part, Reading, ReadingKind
from snugbay.job.outlines import letters, reading_name
from snugbay.survey.network import Floats, State, arms, lay_out
from snugbay.survey.options import SurveyOptions
from snugbay.survey.rank import loose_motions
from snugbay.survey.start import crossings

TAPE = 0.0015
GAUGE = math.radians(0.5)


@dataclass(frozen=True)
class Practice:
    """A face with noisy readings, and the truth: corners, shape (n, 2) [m], and the readings without noise."""

    face: Face
    truth: Floats
    exact: tuple[float, ...]


def true_value(face: Face, kind: ReadingKind, corners: tuple[str, ...], truth: Floats) -> float:
    """Return what a perfect reading of a true outline gives. [m or rad]"""
    names = arms(face, corners) if kind is ReadingKind.ANGLE else corners
    at = [complex(*truth[face.corners.index(c)]) for c in names]
    if kind is ReadingKind.DISTANCE:
        return abs(at[1] - at[0])
    if kind is ReadingKind.ANGLE:
        return float(np.angle((at[2] - at[1]) * (at[0] - at[1]).conjugate()) % (2.0 * math.pi))
    if kind is ReadingKind.LEAN:
        d = at[1] - at[0]
        return math.atan2(d.real, d.imag)
    part = (at[2] - at[0]) * ((at[1] - at[0]) / abs(at[1] - at[0])).conjugate()
    return part.real if kind is ReadingKind.ALONG else part.imag


def bare_face(face_id: str, count: int) -> Face:
    """Return a plumb face with so many corners and no readings."""
    return Face(face_id, face_id, Part.WALL, "inside", "eaves", "eaves", math.pi / 2, letters(count), ())


def outline(rng: np.random.Generator, count: int, *, rough: float = 0.35, size: float = 1.5) -> Floats:
    """Return a random counter-clockwise outline, shape (count, 2) [m]; a greater ``rough`` gives hollows."""
    while True:
        turn = 2.0 * np.pi * (np.arange(count) + rng.uniform(-0.3, 0.3, count)) / count
        reach = size * (1.0 + rough * rng.uniform(-1.0, 1.0, count))
        points = np.stack([reach * np.cos(turn), reach * np.sin(turn)], axis=1)
        sides = np.linalg.norm(points - np.roll(points, -1, axis=0), axis=1)
        if sides.min() > 0.1 * size / count and not crossings([complex(*p) for p in points]):
            return points


def read(
    face: Face,
    truth: Floats,
    what: Sequence[tuple[ReadingKind, tuple[str, ...]]],
    rng: np.random.Generator | None,
    *,
    tape: float = TAPE,
    gauge: float = GAUGE,
) -> Practice:
    """Return a face with the readings ``what`` of a true outline, with noise unless ``rng`` is None."""
    readings, exact = [], []
    for kind, corners in what:
        angle = kind in {ReadingKind.ANGLE, ReadingKind.LEAN}
        sigma = gauge if angle else tape
        value = true_value(face, kind, corners, truth)
        noise = 0.0 if rng is None else float(rng.normal()) * sigma
        tool = "bevel gauge" if angle else "tape"
        readings.append(Reading(kind, corners, value + noise, sigma, "", reading_name(kind, corners), tool))
        exact.append(value)
    return Practice(replace(face, readings=tuple(readings)), truth, tuple(exact))


def sides(face: Face) -> list[tuple[ReadingKind, tuple[str, ...]]]:
    """Return the sides of a face as readings to take."""
    n = len(face.corners)
    return [(ReadingKind.DISTANCE, (c, face.corners[(i + 1) % n])) for i, c in enumerate(face.corners)]


def diagonals(face: Face) -> list[tuple[ReadingKind, tuple[str, ...]]]:
    """Return the diagonals of a face as readings to take."""
    n = len(face.corners)
    pairs = itertools.combinations(range(n), 2)
    return [(ReadingKind.DISTANCE, (face.corners[i], face.corners[j])) for i, j in pairs if 1 < j - i < n - 1]


def angles(face: Face) -> list[tuple[ReadingKind, tuple[str, ...]]]:
    """Return the inside angles of a face as readings to take."""
    n = len(face.corners)
    return [
        (ReadingKind.ANGLE, (face.corners[i - 1], c, face.corners[(i + 1) % n])) for i, c in enumerate(face.corners)
    ]


def random_face(
    rng: np.random.Generator,
    count: int,
    options: SurveyOptions,
    *,
    spare: int = 3,
    rough: float = 0.35,
    gauge_share: float = 0.25,
    face_id: str = "P1",
) -> Practice:
    """Return a face with all sides, and diagonals and angles in random order until it is held, and then ``spare`` more.

    Parameters
    ----------
    rng : Generator
        For the outline, the choice and the noise.
    count : int
        Corners, 3 or more.
    options : SurveyOptions
        For the rank of the readings chosen.
    spare : int
        Readings beyond what holds the shape.
    rough : float
        How hollow the outline may be.
    gauge_share : float
        Share of angles among the readings besides the sides.
    face_id : str
        Name.
    """
    face = bare_face(face_id, count)
    truth = outline(rng, count, rough=rough)
    pool_d, pool_a = diagonals(face), angles(face)
    rng.shuffle(pool_d)
    rng.shuffle(pool_a)
    chosen = sides(face)
    beyond = 0
    while pool_d or pool_a:
        pool = pool_a if pool_a and (not pool_d or rng.uniform() < gauge_share) else pool_d
        kind, corners = pool.pop()
        chosen.append((ReadingKind(kind), tuple(str(c) for c in corners)))
        if len(chosen) >= 2 * count - 3 and (beyond or held(face, truth, chosen, options)):
            beyond += 1
            if beyond > spare:
                break
    return read(face, truth, chosen, rng)


def held(
    face: Face, truth: Floats, what: Sequence[tuple[ReadingKind, tuple[str, ...]]], options: SurveyOptions
) -> bool:
    """Return whether readings hold a true outline."""
    net = lay_out([read(face, truth, what, None).face], (), options)
    return not loose_motions(net, state_of(truth)).size


def state_of(truth: Floats) -> State:
    """Return the state of a lone face with its true corners, moved to where a network holds it."""
    first, second = complex(*truth[0]), complex(*truth[1])
    turn = abs(second - first) / (second - first)
    moved = [(complex(*p) - first) * turn for p in truth]
    points = np.array([[p.real, p.imag, 0.0] for p in moved])
    return State(points, np.eye(3)[None], np.zeros((1, 3)))
