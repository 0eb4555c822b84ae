"""How the survey stands up: ellipses, false alarms, planted blunders; by hand: python bench/survey_studies.py [seed]

Full size: 20,000 draws for the ellipses, 40,000 sound jobs for the alarms, 5,000 jobs for each size of blunder.
"""

from __future__ import annotations

import sys
import time

import numpy as np

from snugbay.survey import SurveyOptions
from snugbay.survey.studies import coverage, false_alarms, planted, practice_faces


def main(seed: int = 20) -> None:
    options = SurveyOptions()
    rng = np.random.default_rng(seed)
    faces = practice_faces(rng, 500, options)
    started = time.perf_counter()
    ellipses = coverage(faces, 20_000, options, rng)
    print(f"95 % ellipses: cover {ellipses.share:.2%} of {ellipses.corners} corners in {ellipses.draws} draws")
    alarms = false_alarms(faces, 40_000, options, rng)
    stated = options.blunder_significance
    print(
        f"False alarms: {alarms.rate:.4%} of {alarms.tests} tests, stated {stated:.4%}: ratio "
        f"{alarms.rate / stated:.2f} ({alarms.alarms} alarms)"
    )
    for times in (1.0, 3.0, 5.0):
        found = planted(faces, 5_000, times, options, rng)
        print(
            f"Blunder {times:g} x least detectable: test speaks {found.found:.1%}, right reading named "
            f"{found.named:.1%} (alone {found.alone:.1%}, mean group {found.group:.2f}) of {found.jobs} jobs"
        )
    print(f"{time.perf_counter() - started:.0f} s")


if __name__ == "__main__":
    main(*(int(a) for a in sys.argv[1:]))
