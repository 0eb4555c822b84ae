"""Figures as people read them: money, hours, resistance, temperatures, areas, long lengths."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from snugbay.job import Job
from snugbay.tape import R_SI_PER_R_IP, Rounding
from snugbay.words import Writer
from snugbay.words.figures import number

R_IP_PER_SI = 1 / R_SI_PER_R_IP
"""h·ft²·°F/Btu in one m²·K/W (International Table Btu)."""


def number_text(value: float, most: int = 1) -> str:
    """Write a number with as few decimals as it needs, ``most`` at most."""
    return number(value, most)


def hours_text(hours: float) -> str:
    """Write hours: whole from 20 up, else to a tenth."""
    return number_text(hours, 0 if abs(hours) >= 20 else 1)


def listed(things: Iterable[str]) -> str:
    """Join words with commas."""
    return ", ".join(things)


@dataclass(frozen=True)
class Words(Writer):
    """Writes figures in one job's units and currency."""

    @property
    def fmt(self) -> Callable[[float], str]:
        """Writes a length in metres as the job's tape reads it."""
        return self.bare

    def length_up(self, metres: float) -> str:
        """Write a small length, never less than it is."""
        return super().length(metres, rounding=Rounding.UP)

    def run(self, metres: float) -> str:
        """Write a length of tape, joints or cuts: feet, or metres with a decimal."""
        return self.long_length(metres)


def words_of(job: Job) -> Words:
    """Return what writes a job's figures."""
    return Words(job.units.value, job.place.currency)
