"""Whatever is written, the survey gives a sound answer or an error of its own, never a crash."""

from dataclasses import replace

import numpy as np
import pytest

from snugbay.base import Run, SnugbayError
from snugbay.job import Face, Join, Reading, ReadingKind
from snugbay.survey import SurveyOptions, adjust
from snugbay.survey.practice import angles, bare_face, diagonals, outline, read, sides

OPTIONS = SurveyOptions()


def some_face(rng: np.random.Generator, name: str) -> Face:
    """Return a face with any set of readings, some far out, some leaning or twisted."""
    count = int(rng.integers(3, 7))
    bare = bare_face(name, count)
    truth = outline(rng, count, rough=float(rng.uniform(0.0, 0.5)))
    pool = sides(bare) + diagonals(bare) + angles(bare)
    pool += [(ReadingKind.ALONG, ("A", "B", "C")), (ReadingKind.OFFSET, ("A", "B", "C"))]
    pool += [(ReadingKind.LEAN, ("A", "C")), (ReadingKind.LEAN, ("B", "C"))]
    chosen = [pool[int(i)] for i in rng.permutation(len(pool))[: int(rng.integers(2 * count - 4, len(pool) + 1))]]
    readings = list(read(bare, truth, chosen, rng).face.readings)
    for _ in range(int(rng.integers(0, 3))):
        k = int(rng.integers(len(readings)))
        readings[k] = replace(readings[k], value=readings[k].value * float(rng.choice([0.1, 0.5, 1.1, 2.0, 3.0])))
    if rng.uniform() < 0.3:
        readings.append(Reading(ReadingKind.TWIST, ("B",), 0.05 * float(rng.normal()), 0.001))
    return replace(bare, readings=tuple(readings), tilt=float(rng.choice([0.0, 0.7, 1.57])))


@pytest.mark.parametrize("seed", range(14))
def test_any_job_gives_a_sound_answer_or_an_error_of_its_own(seed: int) -> None:
    rng = np.random.default_rng(1000 + seed)
    faces = [some_face(rng, f"F{k}") for k in range(int(rng.integers(1, 4)))]
    joins = []
    for _ in range(int(rng.integers(0, 3)) if len(faces) > 1 else 0):
        a, b = (faces[int(i)] for i in rng.choice(len(faces), 2, replace=False))
        edges = [f.corners[int(rng.integers(len(f.corners) - 1)) :][:2] for f in (a, b)]
        one, two = ((e[0], e[1]) for e in edges)
        joins.append(Join(a.id, one, b.id, two, float(rng.uniform(0.3, 6.0))))
    try:
        found = adjust(faces, joins, OPTIONS, Run()).value
    except SnugbayError as error:
        assert error.what  # noqa: PT017
        return
    for face in found.faces:
        Q = np.array(face.covariance)
        assert np.all(np.isfinite(face.points))
        assert np.all(np.isfinite(Q))
        assert np.linalg.eigvalsh(Q).min() > -1e-8 * max(1e-6, float(Q.max()))
        assert all(0.0 <= r.redundancy <= 1.0 for r in face.readings)
