"""Three-point figures: low, typical, high that go together."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from snugbay.materials import Rate


@dataclass(frozen=True)
class Triple:
    """Low, typical and high of one quantity.

    Sums and products go element by element: the lows of two figures are taken to come together, as they do when one
    person or one house is behind both.

    Attributes
    ----------
    low, typical, high : float
        In one unit.
    assumed : bool
        True where any figure behind it is an assumption or from memory.
    """

    low: float
    typical: float
    high: float
    assumed: bool = False

    def __add__(self, other: Triple) -> Triple:
        return Triple(
            self.low + other.low,
            self.typical + other.typical,
            self.high + other.high,
            self.assumed or other.assumed,
        )

    def __mul__(self, other: Triple | float) -> Triple:
        if isinstance(other, Triple):
            return Triple(
                self.low * other.low,
                self.typical * other.typical,
                self.high * other.high,
                self.assumed or other.assumed,
            )
        return Triple(self.low * other, self.typical * other, self.high * other, self.assumed)

    def per(self, other: Triple) -> Triple:
        """Divide so that the low of the quotient is low over high."""
        return Triple(
            self.low / other.high, self.typical / other.typical, self.high / other.low, self.assumed or other.assumed
        )

    def plus(self, number: float) -> Triple:
        """Add a plain number to all three."""
        return Triple(self.low + number, self.typical + number, self.high + number, self.assumed)


NOTHING = Triple(0.0, 0.0, 0.0)
ONE = Triple(1.0, 1.0, 1.0)


def of(rate: Rate) -> Triple:
    """Three-point figure of a rate."""
    return Triple(rate.low, rate.typical, rate.high, rate.assumed)


def total(triples: Iterable[Triple]) -> Triple:
    """Sum of figures."""
    out = NOTHING
    for t in triples:
        out = out + t
    return out
