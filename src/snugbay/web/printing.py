"""Quantities printed in the job's own units; nothing is reckoned here but the change of unit and the rounding."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from snugbay.materials import name_and_unit
from snugbay.tape import UNIT_METRES, format_length, temperature_text
from snugbay.tape.quantities import R_SI_PER_R_IP
from snugbay.weigh import Purchase

SQUARE_FOOT = float(UNIT_METRES["ft"]) ** 2
SIGNS = {"USD": "$", "GBP": "£", "EUR": "€"}
KG_PER_LB = 0.45359237


@dataclass(frozen=True)
class Printer:
    """Writes quantities for people.

    Attributes
    ----------
    units : str
        ``"ft-in"`` or ``"mm"``.
    currency : str
        ISO 4217 code.
    """

    units: str = "mm"
    currency: str = "EUR"

    @property
    def inch(self) -> bool:
        """True for a job in feet and inches."""
        return self.units == "ft-in"

    def length(self, metres: float) -> str:
        """Return a length on the job's tape, with its unit."""
        return format_length(metres, self.units) + ("" if self.inch else " mm")

    def used(self, item: str, amount: float, buying: Sequence[Purchase] = ()) -> str:
        """Return an amount of an item by its name: that on the buying list (own ways have theirs), else the table's."""
        bought = next((p for p in buying if p.item == item), None)
        name, unit = name_and_unit(item) if bought is None else (bought.name, bought.unit)
        return " ".join(w for w in (self.number(amount), unit, name) if w)

    def bare(self, metres: float) -> str:
        """Return a length on the job's tape as drawings letter it."""
        return format_length(metres, self.units)

    def run(self, metres: float) -> str:
        """Return the length of a seam or a cut: feet or metres."""
        return f"{metres / float(UNIT_METRES['ft']):.0f} ft" if self.inch else f"{metres:.1f} m"

    def area(self, square_metres: float) -> str:
        """Return an area."""
        return f"{square_metres / SQUARE_FOOT:.0f} ft²" if self.inch else f"{square_metres:.1f} m²"

    def resistance(self, si: float) -> str:
        """Return a thermal resistance."""
        return f"R-{si / R_SI_PER_R_IP:.1f}" if self.inch else f"{si:.2f} m²K/W"

    def temperature(self, celsius: float) -> str:
        """Return a temperature."""
        return temperature_text(celsius, self.units)

    def money(self, amount: float) -> str:
        """Return an amount of money, whole units."""
        sign = SIGNS.get(self.currency, self.currency + " ")
        minus = "−" if round(amount) < 0 else ""
        return f"{minus}{sign}{abs(round(amount)):,}".replace(",", "\u00a0")

    def price(self, amount: float) -> str:
        """Return a price, with hundredths where it is small."""
        return self.money(amount) if amount >= 100 else f"{SIGNS.get(self.currency, self.currency + ' ')}{amount:.2f}"

    def hours(self, hours: float) -> str:
        """Return hours: minutes below one, tenths below ten, whole ones above."""
        if hours < 0.95:
            return f"{max(round(hours * 60), 0)} min"
        return f"{hours:.1f} h" if hours < 9.95 else f"{hours:.0f} h"

    def years(self, years: float | None) -> str:
        """Return years; a dash where there are none."""
        if years is None or not math.isfinite(years):
            return "–"
        return f"{years:.1f} y" if years < 9.95 else f"{years:.0f} y"

    def energy(self, kwh: float) -> str:
        """Return an amount of energy."""
        return f"{kwh:,.0f} kWh".replace(",", "\u00a0")

    def mass(self, kg: float) -> str:
        """Return a mass."""
        return f"{kg / KG_PER_LB:.0f} lb" if self.inch else f"{kg:.0f} kg"

    def percent(self, share: float) -> str:
        """Return a share of one as a percentage."""
        return f"{share * 100:.0f} %"

    def number(self, value: float) -> str:
        """Return a bare number, at most two decimals."""
        return f"{value:.2f}".rstrip("0").rstrip(".")
