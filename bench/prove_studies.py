"""Full-size calibration studies of room prove; run by hand: ``python bench/prove_studies.py [rough|readings|ranks]``.

Prints each figure beside the bar it is held to. One process; about 20 minutes. The bands of the readings are counted
over 4000 faces: over 1000 the chance of the count alone is 0.7 points, too near the bar of 2.
"""

from __future__ import annotations

import os
import sys
import time

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np

from snugbay.base import Run
from snugbay.prove.studies_log import THINNED, learner_ranks, rough_jobs, uniform_p
from snugbay.prove.studies_readings import inference_ranks

BINS = 20


def _ranks(title: str, ranks: dict[str, list[int]]) -> None:
    for name, own in ranks.items():
        p = uniform_p(own, THINNED, BINS)
        print(f"  {title} {name:<12} chi-square p = {p:.3f}  (bar 0.01, {len(own)} jobs)", flush=True)


def learner_studies() -> None:
    print("Learner, simulation-based calibration:", flush=True)
    _ranks("log", learner_ranks(1000, Run(seed=11)))


def rough_studies() -> None:
    print("Learner in a rougher world (log-normal pieces, slips of the clock, learning with plateau):", flush=True)
    jobs = rough_jobs(2000, None, Run(seed=12))
    held = (np.mean([j.in80 for j in jobs]), np.mean([j.in95 for j in jobs]))
    print(f"  80 % band holds {held[0]:.3f}, 95 % band {held[1]:.3f}  (bars +/- 0.02)", flush=True)
    for share, bar in ((0.1, 0.20), (0.3, 0.12)):
        error = np.abs([j.error for j in rough_jobs(1000, share, Run(seed=13))])
        print(
            f"  after {share:.0%} of the pieces {np.mean(error <= bar):.3f} of the jobs within {bar:.0%} (bar 0.80)",
            flush=True,
        )


def readings_studies() -> None:
    print("Balance run backwards, simulation-based calibration:", flush=True)
    ranks, bands = inference_ranks(4000, Run(seed=14))
    _ranks("readings", ranks)
    for name, (a, b) in bands.items():
        print(f"  {name:<8} 80 % band holds {a:.3f}, 95 % band {b:.3f}  (bars +/- 0.02)", flush=True)


if __name__ == "__main__":
    start = time.perf_counter()
    wanted = sys.argv[1:] or ["rough", "readings", "ranks"]
    if "rough" in wanted:
        rough_studies()
    if "readings" in wanted:
        readings_studies()
    if "ranks" in wanted:
        learner_studies()
    print(f"{time.perf_counter() - start:.0f} s")
