"""Synthetic readings for the calibration of the balance run backwards."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from snugbay.base import Run
from snugbay.prove.airs import Air
from snugbay.prove.backwards import DIMS, Believed, Measured, Physical, Session, infer, physical, predicted
from snugbay.prove.smc import Floats
from snugbay.prove.studies_log import THINNED
from snugbay.prove.tables import figure

RANKED = ("added", "bypass", "found", "film")


def synthetic_face(rng: np.random.Generator) -> Believed:
    """Draw a face: bare sheet to old insulation as found, half a board to a thick layer planned."""
    return Believed(
        float(np.exp(rng.uniform(np.log(0.08), np.log(1.0)))),
        float(rng.uniform(0.8, 4.5)),
        (0.13, 0.14) if rng.random() < 0.6 else (0.19, 0.30),
        (0.14, 0.20) if rng.random() < 0.7 else (0.05, 0.35),
        0.20,
    )


def synthetic_sessions(p: Physical, rng: np.random.Generator) -> tuple[Session, ...]:
    """Draw evenings and what the meters show there if ``p`` (one draw) is the truth."""
    out: list[Session] = []
    plans = [(False, False)] * int(rng.integers(0, 3)) + [(True, False)] * int(rng.integers(1, 3))
    plans += [(True, True)] * int(rng.random() < 0.4)
    for after, windy in plans:
        kinds = tuple(k for k, odds in (("warm", 1.0), ("cold", 0.3), ("flux", 0.25)) if rng.random() < odds)
        sigmas = np.array([2.0 if k == "flux" else float(rng.uniform(0.3, 1.0)) for k in kinds])
        warm = Air(float(rng.uniform(18, 22)), 0.7)
        cold = Air(float(rng.uniform(-15, 6)), float(rng.choice([0.7, 2.0])))
        blank = Session(after, windy, warm, cold, kinds, np.zeros(len(kinds)), sigmas)
        mean, a, b = predicted(p, blank)
        flux = np.array([k == "flux" for k in kinds])
        own = np.where(
            flux,
            np.hypot(sigmas, figure("readings", "errors", "flux_share") * mean[0]),
            np.hypot(sigmas, figure("readings", "errors", "spot_k")),
        )
        slips = a[0] * warm.sigma * rng.standard_normal() + b[0] * cold.sigma * rng.standard_normal()
        out.append(replace(blank, values=mean[0] + slips + own * rng.standard_normal(len(kinds))))
    return tuple(out)


def _truth_series(p: Physical, rng: np.random.Generator) -> tuple[Measured, ...]:
    if rng.random() < 0.8:
        return ()
    spread = figure("readings", "errors", "series_share")
    between = float(p.found[0] + p.added()[0])
    return (Measured(True, between * float(np.exp(spread * rng.standard_normal())), spread),)


def _values(p: Physical) -> dict[str, Floats]:
    return {"added": p.added(), "bypass": p.bypass, "found": p.found, "film": p.warm_film}


def inference_ranks(faces: int, run: Run) -> tuple[dict[str, list[int]], dict[str, tuple[float, float]]]:
    """Ranks of true values among posterior draws, and how often the 80 and 95 % bands hold them.

    Parameters
    ----------
    faces : int
        Number of synthetic faces.
    run : Run
        Seed.
    """
    rng = run.rng("prove study: readings")
    ranks: dict[str, list[int]] = {k: [] for k in RANKED}
    hits = {k: np.zeros(2) for k in RANKED}
    for _ in range(faces):
        held = synthetic_face(rng)
        truth = physical(rng.standard_normal((1, DIMS)), held)
        answer = infer(held, synthetic_sessions(truth, rng), _truth_series(truth, rng), run, rng)
        keep = rng.permutation(answer.particles.u.shape[0])[:THINNED]
        real, draws = _values(truth), _values(answer.draws)
        for k in RANKED:
            ranks[k].append(int((draws[k][keep] < real[k][0]).sum()))
            a, b, c, d = np.quantile(draws[k], (0.1, 0.9, 0.025, 0.975))
            hits[k] += (a <= real[k][0] <= b, c <= real[k][0] <= d)
    return ranks, {k: (float(h[0] / faces), float(h[1] / faces)) for k, h in hits.items()}
