"""Figures as people read them: money, hours, resistance, temperatures, areas, long lengths."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from math import isfinite

from snugbay.job import Job, Units
from snugbay.tape import FOOT_M, R_SI_PER_R_IP, Rounding, tape_for, temperature_text

_SIGNS = {"USD": "$", "CAD": "CA$", "AUD": "A$", "NZD": "NZ$", "GBP": "£", "EUR": "€"}
R_IP_PER_SI = 1 / R_SI_PER_R_IP
"""h·ft²·°F/Btu in one m²·K/W (International Table Btu)."""
SQUARE_FOOT = FOOT_M**2


def money_text(amount: float, currency: str) -> str:
    """Write an amount with its currency: whole units from 20 up, two decimals below."""
    if not isfinite(amount):
        return "-"
    digits = f"{abs(amount):,.0f}" if abs(amount) >= 20 or round(amount, 2) == round(amount) else f"{abs(amount):,.2f}"
    sign = "-" if amount < 0 and digits.strip("0.,") else ""
    mark = _SIGNS.get(currency)
    return f"{sign}{mark}{digits}" if mark else f"{sign}{currency} {digits}"


def number_text(value: float, most: int = 1) -> str:
    """Write a number with as few decimals as it needs, ``most`` at most."""
    if not isfinite(value):
        return "-"
    text = f"{value:,.{most}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def hours_text(hours: float) -> str:
    """Write hours: whole from 20 up, else to a tenth."""
    return number_text(hours, 0 if abs(hours) >= 20 else 1)


def listed(things: Iterable[str]) -> str:
    """Join words with commas."""
    return ", ".join(things)


@dataclass(frozen=True)
class Words:
    """Writes figures in one job's units and currency.

    Attributes
    ----------
    units : Units
        Feet and inches or millimetres.
    currency : str
        ISO 4217 code.
    """

    units: Units
    currency: str

    @property
    def inch(self) -> bool:
        """True for feet and inches."""
        return self.units is Units.FT_IN

    @property
    def fmt(self) -> Callable[[float], str]:
        """Writes a length in metres as the job's tape reads it."""
        return tape_for(self.units).text

    def length(self, metres: float) -> str:
        """Write a length with its unit, for sentences."""
        return self.fmt(metres) if self.inch else f"{self.fmt(metres)} mm"

    def length_up(self, metres: float) -> str:
        """Write a small length, never less than it is."""
        text = tape_for(self.units).text(metres, Rounding.UP)
        return text if self.inch else f"{text} mm"

    def run(self, metres: float) -> str:
        """Write a length of tape, joints or cuts: feet, or metres with a decimal."""
        return f"{number_text(metres / FOOT_M, 0)} ft" if self.inch else f"{number_text(metres)} m"

    def money(self, amount: float) -> str:
        """Write an amount of money."""
        return money_text(amount, self.currency)

    def resistance(self, r_si: float) -> str:
        """Write a thermal resistance in both systems, the job's own first. ``r_si`` in m²·K/W."""
        si, ip = f"{r_si:.1f} m²K/W", f"R-{r_si * R_IP_PER_SI:.0f}" if r_si >= 0.9 else f"R-{r_si * R_IP_PER_SI:.1f}"
        return f"{ip} ({si})" if self.inch else f"{si} ({ip})"

    def area(self, square_metres: float) -> str:
        """Write an area."""
        if self.inch:
            return f"{number_text(square_metres / SQUARE_FOOT, 0)} ft²"
        return f"{number_text(square_metres)} m²"

    def temperature(self, celsius: float) -> str:
        """Write a temperature."""
        return temperature_text(celsius, self.units)


def words_of(job: Job) -> Words:
    """Return what writes a job's figures."""
    return Words(job.units, job.place.currency)
