"""What the survey may be told besides the readings."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass


def millimetres(length: float) -> str:
    """Return a length in m as text in millimetres: ``1203 mm``, small ones with a decimal."""
    mm = length * 1000.0
    return f"{mm:.1f} mm" if abs(mm) < 10.0 else f"{mm:.0f} mm"


def degrees(angle: float) -> str:
    """Return an angle in rad as text in degrees with one decimal."""
    return f"{math.degrees(angle):.1f}°"


@dataclass(frozen=True)
class SurveyOptions:
    """How the adjustment tests and talks.

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
    format_length, format_angle : callable
        How lengths [m] and angles [rad] are written in sentences.

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
    format_length: Callable[[float], str] = millimetres
    format_angle: Callable[[float], str] = degrees


USUAL = SurveyOptions()
"""The usual options."""
