"""What the working conditions do to hours: headroom, skill, rest, learning, sessions."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from snugbay.job import You
from snugbay.materials import Rates, headroom_factor
from snugbay.ways.triple import ONE, Triple, of, total

LOW_HEADROOM = 36 * 0.0254
"""Under this height a person rests often. [m]"""

TIGHT = 1.2
"""Under this height work goes in sessions, each set up and cleared up. [m] (common practice, no source)"""


@dataclass(frozen=True)
class Conditions:
    """Factors on hours at one face.

    Attributes
    ----------
    inside, outside : Triple
        On time inside the space and at the cutting place.
    headroom : float
        Factor of the working height alone. [-]
    session : Triple
        Share added to time inside for setting up and clearing up each session. [-]
    reachable : bool
        False where the working height is under the table: nobody works there.
    height : float
        Working height; of several, the middle one. [m]
    """

    inside: Triple
    outside: Triple
    headroom: float
    session: Triple
    reachable: bool
    height: float


def skill_factor(you: You, rates: Rates) -> Triple:
    """Factor of the worker's skill; percentages are added, not multiplied, so this is the part over one."""
    match you.skill:
        case "first time":
            return of(rates["time_model.other_multipliers.low_skill"])
        case "practised":
            return of(rates["time_model.other_multipliers.high_skill"])
        case _:
            return ONE


def conditions(headroom: float, you: You, rates: Rates) -> Conditions:
    """Return the factors at one working height.

    Parameters
    ----------
    headroom : float
        Working height. [m]
    you : You
        Skill.
    rates : Rates
        Rates.

    Notes
    -----
    Factors of headroom, skill and rest are added: 1.5 and 1.25 and 12 % make 1.87 [S01 rule of adding, assumption].
    """
    factor = headroom_factor(headroom)
    room = factor if factor is not None else 3.0
    skill = skill_factor(you, rates)
    rest = of(rates["time_model.rest_allowance"])
    if headroom < LOW_HEADROOM:
        rest = of(rates["ways.tight.rest"])
    inside = (skill + rest).plus(room - 1.0)
    session = Triple(0.0, 0.0, 0.0)
    if headroom < TIGHT:
        per = of(rates["time_model.session.setup"]) + of(rates["time_model.session.cleanup"])
        length = rates["time_model.session.length"].typical
        session = per * (1.0 / length)
    return Conditions(inside, skill, room, session, factor is not None, headroom)


def conditions_at(heights: Sequence[float], you: You, rates: Rates) -> Conditions:
    """Return the mean of the factors over places of several working heights, one weight each.

    Places too low to work in count as the lowest of the table: something is pushed in there from beside them. Where
    most places are too low nobody works.
    """
    each = Counter(round(h, 3) for h in heights)
    parts = [(conditions(h, you, rates), n / len(heights)) for h, n in each.items()]
    middle = sorted(heights)[len(heights) // 2]
    return Conditions(
        total(c.inside * share for c, share in parts),
        total(c.outside * share for c, share in parts),
        sum(c.headroom * share for c, share in parts),
        total(c.session * share for c, share in parts),
        conditions(middle, you, rates).reachable,
        middle,
    )


def learning(count: int, rates: Rates) -> Triple:
    """Mean time of a piece over the first one's, over a run of like pieces. [-]

    Parameters
    ----------
    count : int
        Pieces of one shape family.

    Notes
    -----
    t_n = t_1·n^log2(slope), not under the plateau; the low column learns fastest. [slope and plateau: assumption]
    """
    if count <= 0:
        return ONE
    slope, floor = rates["time_model.learning_curve.slope"], rates["time_model.learning_curve.plateau"]
    n = np.arange(1, count + 1, dtype=np.float64)

    def mean(s: float, p: float) -> float:
        return float(np.maximum(n ** np.log2(s), p).mean())

    return Triple(mean(slope.low, floor.low), mean(slope.typical, floor.typical), mean(slope.high, floor.high), True)
