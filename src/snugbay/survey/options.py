"""What the survey may be told besides the readings."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class SurveyOptions:
    """How the adjustment tests.

    Attributes
    ----------
    significance : float
        Of the global chi-square test. [-]
    blunder_significance : float
        Two-sided significance of the test of each single reading. [-]
    power : float
        Power that goes with the least detectable blunder. [-]
    join_sigma : float
        How well two edges that meet agree, standard deviation for each end. [m]
    level_sigma : float
        How level x of a face is whose readings say how it leans. [rad]
    tilt_sigma : float
        How well the tilt of a face is known as stated. [rad]
    tape_sigma, height_sigma, gauge_sigma : float
        Of lengths, heights square to a side, and angles that are proposed. [m, m, rad]
    square_sigma : float
        Of a corner that is taken as square because nothing else is given. [rad]
    alike : float
        Suspects are listed together where the best of them explains the readings less than this many times better
        than the other (ratio of likelihoods). [-]
    checked_from : float
        Redundancy number from which a reading counts as checked. [-]
    most_iterations : int
        Of one least-squares solution.
    most_blunders : int
        Readings set aside in one group of joined faces at most.
    units : str
        ``"ft-in"`` or ``"mm"``: of the tape, for slips of a whole inch or of 10 mm.

    Notes
    -----
    The standard deviations are assumptions (see ``data/survey/instruments.toml``); significance and power of the
    blunder test are those of Baarda's B-method: W. Baarda, A testing procedure for use in geodetic networks,
    Netherlands Geodetic Commission, 1968 (from memory).
    """

    significance: float = 0.05
    blunder_significance: float = 0.001
    power: float = 0.80
    join_sigma: float = 0.0015
    level_sigma: float = 0.002
    tilt_sigma: float = math.radians(2.0)
    tape_sigma: float = 0.0015
    height_sigma: float = 0.002
    gauge_sigma: float = math.radians(0.5)
    square_sigma: float = math.radians(1.0)
    alike: float = 20.0
    checked_from: float = 0.01
    most_iterations: int = 200
    most_blunders: int = 12
    units: str = "mm"


USUAL = SurveyOptions()
"""The usual options."""
