"""Quantities printed in the job's own units, by the one writer; nothing is reckoned here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from snugbay.materials import name_and_unit
from snugbay.weigh import Purchase
from snugbay.words import Writer


@dataclass(frozen=True)
class Printer(Writer):
    """Writes quantities for the page."""

    def used(self, item: str, amount: float, buying: Sequence[Purchase] = ()) -> str:
        """Return an amount of an item by its name: that on the buying list (own ways have theirs), else the table's."""
        bought = next((p for p in buying if p.item == item), None)
        name, unit = name_and_unit(item) if bought is None else (bought.name, bought.unit)
        return " ".join(w for w in (self.number(amount), unit, name) if w)

    def run(self, metres: float) -> str:
        """Return the length of a seam or a cut: feet or metres."""
        return self.long_length(metres)

    def price(self, amount: float) -> str:
        """Return a price."""
        return self.money(amount)

    def percent(self, share: float) -> str:
        """Return a share of one as a percentage."""
        return self.share(share)
