"""All faces with readings: screened, the balance run backwards, verdicts, seams, the saving restated."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from snugbay.base import Finding, Run
from snugbay.prove.airs import Air
from snugbay.prove.backwards import Inferred, Session, infer, predicted, sessions_of
from snugbay.prove.believed import believed, places
from snugbay.prove.coldspots import cold_seams
from snugbay.prove.proof import face_proofs
from snugbay.prove.saving import restated
from snugbay.prove.screen import Screened, of_face, screen
from snugbay.prove.series import plate_series
from snugbay.prove.sets import stale
from snugbay.prove.values import ColdSeam, FaceProof, Interval
from snugbay.ways.found import Ground
from snugbay.weigh import Weighing


@dataclass(frozen=True)
class Judged:
    """What the thermometer says.

    Attributes
    ----------
    faces : tuple of FaceProof
        Faces with usable readings.
    seams : tuple of ColdSeam
        Worst first.
    saving : Interval or None
        [currency/a]
    findings : tuple of Finding
        Readings set aside; what the readings cannot tell.
    finished : bool
        False where the run was stopped.
    """

    faces: tuple[FaceProof, ...] = ()
    seams: tuple[ColdSeam, ...] = ()
    saving: Interval | None = None
    findings: tuple[Finding, ...] = ()
    finished: bool = True


def judge(base: Ground, weighing: Weighing, run: Run) -> Judged:
    """Judge every face that has usable readings.

    Parameters
    ----------
    base : Ground
        The job with its readings, measured faces, climate.
    weighing : Weighing
        The plan.
    run : Run
        Seed, progress, stop.
    """
    job = base.job
    if not job.temperatures:
        return Judged()
    findings: list[Finding] = []
    old = {n: f for n, t in enumerate(job.temperatures) if (f := stale(job, n, t)) is not None}
    series = {}
    logged: set[int] = set()
    for face in job.faces:
        made, found, used = plate_series(job.temperatures, face.id, old)
        series[face.id] = made
        findings.extend(found)
        logged |= used
    guess = places(job, weighing, base.air.setpoint_c, base.air.design_c)
    screened = screen(job, weighing, guess, base.air.design_c, frozenset(logged))
    findings.extend(screened.findings)
    known: dict[str, Inferred] = {}
    proofs: list[FaceProof] = []
    wanted = [f for f in job.faces if series[f.id] or any(s.middle for s in of_face(screened, f.id))]
    asked = 0
    for n, face in enumerate(wanted):
        if run.stop() and asked:
            break
        held = believed(base, weighing, face.id)
        sessions = sessions_of(of_face(screened, face.id), screened.airs, face.warm, face.cold)
        seen = infer(held, sessions, series[face.id], run, run.rng(f"prove readings {face.id}"))
        if not seen.contradicts:
            known[face.id] = seen
        asked += 1
        made_proofs, more = face_proofs(face, held, seen, job.units)
        proofs.extend(made_proofs)
        findings.extend(more)
        run.progress("readings", (n + 1) / len(wanted))
    zones = {f.id: (f.warm, f.cold) for f in job.faces}
    seams = cold_seams(screened, zones, _expected(screened, known, zones), job.units)
    saving = restated(base, weighing, known, run.rng("prove saving"))
    return Judged(tuple(proofs), seams, saving, tuple(findings), asked == len(wanted) and not run.stop())


def _expected(
    screened: Screened, known: Mapping[str, Inferred], zones: Mapping[str, tuple[str, str]]
) -> dict[tuple[str, str, str, str], tuple[float, float]]:
    """Temperature of a face's middle where only seams were read in a set, from readings of other sets. [°C, K]"""
    out: dict[tuple[str, str, str, str], tuple[float, float]] = {}
    for s in screened.spots:
        key = (s.face, s.when, s.set, s.side)
        if s.flux or key in out or s.face not in known:
            continue
        warm, cold = (screened.airs[s.when, s.set, z] for z in zones[s.face])
        out[key] = _middle(known[s.face], s.when == "after", s.side, warm, cold, windy=s.windy)
    return out


def _middle(found: Inferred, after: bool, side: str, warm: Air, cold: Air, *, windy: bool) -> tuple[float, float]:
    session = Session(after, windy, warm, cold, (side,), np.zeros(1), np.ones(1))
    mean, by_warm, by_cold = predicted(found.draws, session)
    airs = np.hypot(by_warm.mean() * warm.sigma, by_cold.mean() * cold.sigma)
    return float(mean.mean()), float(np.hypot(mean.std(), airs))
