"""Slips that people make at a tape: two digits changed about, a whole inch, foot, 10 or 100 mm too much or too little.

A reading that is out by just such a step is likelier the wrong one than a reading that is out by anything else.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from snugbay.base import Said, UnreadableLength
from snugbay.base.facts import Length, Name
from snugbay.job import Reading
from snugbay.survey.words import angular
from snugbay.tape import FOOT_M, INCH_M, parse_length, tape_for

STEPS = {"ft-in": (INCH_M, FOOT_M), "mm": (0.01, 0.1, 1.0)}
"""Whole steps that are easily lost on a tape of each system. [m]"""
KNOWN = 0.25
"""A step can be told where two standard deviations of what the reading is out by are less than this share of it. [-]"""
LEAST = 0.0015
"""Nothing on a tape is known better. [m]"""
_PAIR = re.compile(r"(?=(\d)([ ]?)(\d))")


def slip_of(reading: Reading, blunder: float, sigma: float, units: str) -> Said | None:
    """Return what kind of slip would put a length out by just so much; None where it reads like none.

    Parameters
    ----------
    reading : Reading
        As read.
    blunder : float
        What it is out by, as the others say. [m]
    sigma : float
        How well that is known, standard deviation. [m]
    units : str
        Of the tape.
    """
    if angular(reading):
        return None
    near = 2.0 * max(sigma, LEAST)

    def fits(step: float) -> bool:
        return abs(blunder - step) <= near <= KNOWN * abs(step)

    written = reading.written or _as_read(reading.value, units)
    for swapped in dict.fromkeys(_swapped(written)):
        meant = _length(swapped, units)
        if meant is not None and fits(reading.value - meant):
            return Said.of("survey.said.transposed", read=Name(written), meant=Name(swapped))
    for step in STEPS[units]:
        if fits(step if blunder > 0.0 else -step):
            return Said.of("survey.said.whole-step", step=Length(step))
    return None


def _as_read(metres: float, units: str) -> str:
    return tape_for(units).text(metres)


def _swapped(written: str) -> Iterator[str]:
    """Yield a length with two neighbouring digits changed about, each pair in turn."""
    for found in _PAIR.finditer(written):
        one, gap, two = found.groups()
        if one != two:
            at = found.start()
            yield f"{written[:at]}{two}{gap}{one}{written[at + 2 + len(gap) :]}"


def _length(written: str, units: str) -> float | None:
    try:
        return float(parse_length(written, "in" if units == "ft-in" else "mm").metres)
    except UnreadableLength:
        return None
