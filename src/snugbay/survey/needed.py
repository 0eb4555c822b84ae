"""Which readings a space still needs before boards may be cut to it, the most telling first.

Faces of a space stand from the first few numbers on; what nobody read hangs on the kind's shape and on corners that are
square by eye. A board is cut to a face only once every side and diagonal of it is known to a tape's fineness.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np

from snugbay.job import Face, Job, ReadingKind
from snugbay.survey.network import Floats
from snugbay.survey.values import AdjustedFace, Survey

KNOWN = 0.006
"""A length whose standard deviation is larger is none to cut a board to: half an inch either way (assumption). [m]"""
FINE = 0.0015
"""Standard deviation of each corner's place where a face is taken as if it had been read. [m]"""
MOST = 60


@dataclass(frozen=True)
class Needed:
    """A reading to take before boards are cut.

    Attributes
    ----------
    name : str
        For people: ``"knee wall height at the right end"``.
    faces : tuple of str
        Faces that it helps.
    expected : float
        What it should come to if the house is as regular as its kind. [m]
    sigma : float
        Standard deviation of that. [m]
    """

    name: str
    faces: tuple[str, ...]
    expected: float
    sigma: float


def in_space(face: Face) -> bool:
    """Return whether a face is one of a space, most of whose lengths may be unread."""
    return bool(face.measures)


def as_if_read(job: Job, survey: Survey) -> Survey:
    """Return the survey with every face of a space as if all its lengths had been read.

    Ways are weighed on it: what a board costs does not wait for its last reading, only the saw does.
    """
    spaces = {face.id for face in job.faces if in_space(face)}
    if not spaces:
        return survey
    return replace(survey, faces=tuple(_fine(f) if f.id in spaces else f for f in survey.faces))


def _fine(face: AdjustedFace) -> AdjustedFace:
    n = 2 * len(face.points)
    fine = tuple(tuple(FINE**2 if i == j else 0.0 for j in range(n)) for i in range(n))
    Q = np.array(face.covariance)
    return replace(face, covariance=fine) if float(np.max(np.diag(Q))) > FINE**2 else face


@dataclass
class _Doubtful:
    """A face while readings are taken in thought: its lengths as rows, and the covariance that is left."""

    names: list[str]
    values: Floats
    rows: Floats
    left: Floats

    def sigmas(self) -> Floats:
        return np.asarray(np.sqrt(np.maximum(np.einsum("ki,ij,kj->k", self.rows, self.left, self.rows), 0.0)))

    def after(self, k: int, sigma: float) -> Floats:
        """Covariance once length ``k`` has been read."""
        pulled = self.left @ self.rows[k]
        return np.asarray(self.left - np.outer(pulled, pulled) / (float(self.rows[k] @ pulled) + sigma**2))


def needed(job: Job, survey: Survey, faces: Collection[str], sigma: float = FINE) -> tuple[Needed, ...]:
    """Return the fewest readings, taken greedily, after which every length of the faces is known well enough to cut to.

    Parameters
    ----------
    job, survey
        Faces and their covariance.
    faces : collection of str
        Faces to be boarded; those of no space are left out.
    sigma : float
        Of a reading to come. [m]

    Returns
    -------
    tuple of Needed
        The most telling first; empty where nothing is missing.
    """
    open_ = {f.id: _doubtful(f, survey.face(f.id)) for f in job.faces if f.id in faces and in_space(f)}
    start = {fid: d.sigmas() for fid, d in open_.items()}
    out: list[Needed] = []
    while len(out) < MOST:
        sigmas = {fid: d.sigmas() for fid, d in open_.items()}
        if all(float(s.max(initial=0.0)) <= KNOWN for s in sigmas.values()):
            break
        name = max(_names(open_), key=lambda n: _gain(open_, n, sigma))
        touched = [(fid, d.names.index(name)) for fid, d in open_.items() if name in d.names]
        fid, k = touched[0]
        said = Needed(name, tuple(f for f, _ in touched), float(open_[fid].values[k]), float(start[fid][k]))
        if name in {o.name for o in out}:
            break
        out.append(said)
        for other, at in touched:
            open_[other].left = open_[other].after(at, sigma)
    return tuple(out)


def _names(open_: dict[str, _Doubtful]) -> Sequence[str]:
    return tuple(dict.fromkeys(name for d in open_.values() for name in d.names))


def _gain(open_: dict[str, _Doubtful], name: str, sigma: float) -> float:
    """Return how much doubt above the fineness a reading takes away, over all faces. [m]"""
    gain = 0.0
    for d in open_.values():
        if name in d.names:
            before = np.maximum(d.sigmas() - KNOWN, 0.0).sum()
            taken = _Doubtful(d.names, d.values, d.rows, d.after(d.names.index(name), sigma))
            gain += float(before - np.maximum(taken.sigmas() - KNOWN, 0.0).sum())
    return gain


def _doubtful(face: Face, adjusted: AdjustedFace) -> _Doubtful:
    names, values, rows = [], [], []
    for reading in face.measures:
        if reading.kind is not ReadingKind.DISTANCE:
            continue
        i, j = (adjusted.corners.index(c) for c in reading.corners)
        along = np.array(adjusted.points[j]) - np.array(adjusted.points[i])
        long = float(np.linalg.norm(along))
        row = np.zeros(2 * len(adjusted.points))
        row[2 * i : 2 * i + 2] = -along / long
        row[2 * j : 2 * j + 2] = along / long
        names.append(reading.name)
        values.append(long)
        rows.append(row)
    return _Doubtful(names, np.array(values), np.array(rows), np.array(adjusted.covariance))
