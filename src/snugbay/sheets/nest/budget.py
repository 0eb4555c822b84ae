"""How much search to spend: counted in work; the clock is only an outer guard."""

from __future__ import annotations

from dataclasses import dataclass

from snugbay.base import Effort

UNITS_PER_SECOND = 800_000_000
"""Units of work that one thread does in a second on the machine where this was measured (bench/sheets_lay.py).

A slower machine does the same units in more seconds and gives the same layout."""

SHARE = 0.3
"""Share of the seconds that the counted work is meant to take, half as much again where any angle is allowed.

The rest is head-room, so that a machine half as fast ends by work and not by the clock."""

CAP = 0.93
"""Share of the seconds after which the clock ends the search whatever is left of the work."""

EFFORT_SECONDS = {Effort.QUICK: 1.0, Effort.NORMAL: 5.0, Effort.THOROUGH: 20.0}


@dataclass(frozen=True)
class Budget:
    """How much search to spend on one instance.

    Attributes
    ----------
    work : int
        Units of work for each of the two threads.
    cap_seconds : float or None
        Clock after which the search ends with its best so far; None for no clock at all.
    """

    work: int
    cap_seconds: float | None = None

    @classmethod
    def of_seconds(cls, seconds: float) -> Budget:
        """Work that normally ends well before `seconds`, with `seconds` as the cap."""
        return cls(int(seconds * SHARE * UNITS_PER_SECOND), seconds * CAP)

    @classmethod
    def of_effort(cls, effort: Effort) -> Budget:
        """Work for an effort; the cap is ten times what the work is meant to take."""
        seconds = EFFORT_SECONDS[effort]
        return cls(int(seconds * SHARE * UNITS_PER_SECOND), 10.0 * seconds)
