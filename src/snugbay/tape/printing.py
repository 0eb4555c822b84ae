"""Lengths printed to a tape's marks."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from math import ceil, floor

from snugbay.tape.reading import INCH, UNIT_METRES


class Rounding(StrEnum):
    """Which mark to take."""

    NEAREST = "nearest"
    DOWN = "down"
    UP = "up"


def _exact(metres: Fraction | float) -> Fraction:
    return metres if isinstance(metres, Fraction) else Fraction(metres)


@dataclass(frozen=True)
class Tape:
    """A tape and its marks.

    Attributes
    ----------
    unit : str
        ``"in"`` (prints feet, inches and fractions) or ``"mm"``.
    parts : int
        Marks in one unit: 16 for sixteenths of an inch, 1 for whole millimetres.
    """

    unit: str = "in"
    parts: int = 16

    @property
    def mark(self) -> Fraction:
        """Distance between two marks. [m]"""
        return UNIT_METRES[self.unit] / self.parts

    def marks(self, metres: Fraction | float, rounding: Rounding = Rounding.NEAREST) -> int:
        """Return the number of the mark.

        A length within a billionth of a mark of it counts as on the mark, so that float noise never moves it.
        """
        exact = _exact(metres) / self.mark
        near = floor(exact + Fraction(1, 2))
        if rounding is Rounding.NEAREST or abs(exact - near) < Fraction(1, 10**9):
            return near
        return floor(exact) if rounding is Rounding.DOWN else ceil(exact)

    def rounded(self, metres: Fraction | float, rounding: Rounding = Rounding.NEAREST) -> Fraction:
        """Return the length of the mark, exact. [m]"""
        return self.marks(metres, rounding) * self.mark

    def text(self, metres: Fraction | float, rounding: Rounding = Rounding.NEAREST) -> str:
        """Return the length as printed: ``7' 4-1/2"`` or ``1840``."""
        marks = self.marks(metres, rounding)
        if self.unit != "in":
            whole, part = divmod(abs(marks), self.parts)
            sign = "-" if marks < 0 else ""
            return f"{sign}{whole}" if part == 0 else f"{sign}{float(Fraction(abs(marks), self.parts)):g}"
        return _feet_inches(marks, self.parts, feet=True)

    def inches(self, metres: Fraction | float, rounding: Rounding = Rounding.NEAREST) -> str:
        """Return the length in inches only: ``88-1/2"``; millimetres with their unit for a metric tape: ``2250 mm``."""
        if self.unit != "in":
            return f"{self.text(metres, rounding)} {self.unit}"
        return _feet_inches(self.marks(metres, rounding), self.parts, feet=False)


def _feet_inches(marks: int, parts: int, *, feet: bool) -> str:
    sign = "-" if marks < 0 else ""
    inches, part = divmod(abs(marks), parts)
    whole_feet, inches = divmod(inches, 12) if feet else (0, inches)
    frac = Fraction(part, parts)
    tail = f"{frac.numerator}/{frac.denominator}" if frac else ""
    body = f"{inches}-{tail}" if tail and (inches or whole_feet) else tail or f"{inches}"
    return f"{sign}{whole_feet}' {body}\"" if whole_feet else f'{sign}{body}"'


def tape_for(units: str) -> Tape:
    """Return the tape of a job: sixteenths of an inch for ``"ft-in"``, millimetres for ``"mm"``."""
    return Tape("in", 16) if units == "ft-in" else Tape("mm", 1)


def format_length(metres: Fraction | float, units: str = "mm", rounding: Rounding = Rounding.NEAREST) -> str:
    """Print a length in the job's own units, ``units`` being ``"ft-in"`` or ``"mm"`` (no unit sign for mm)."""
    return tape_for(units).text(metres, rounding)


def inches(value: float) -> float:
    """Return metres of a length in inches."""
    return float(INCH) * value
