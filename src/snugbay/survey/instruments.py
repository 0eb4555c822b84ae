"""Precision classes of tapes, gauges and levels, from ``data/survey/instruments.toml``."""

from __future__ import annotations

import difflib
import math
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources

from snugbay.base import DataError, OutOfRange, UnknownName


@dataclass(frozen=True)
class Instrument:
    """One precision class.

    Attributes
    ----------
    name, title : str
        Name in the job file and for people.
    angle : bool
        True where it measures angles.
    fixed : float
        Part of the standard deviation that does not grow. [m or rad]
    each_metre : float
        Part that grows with the length. [-]
    source : str
        Where the figures come from.
    """

    name: str
    title: str
    angle: bool
    fixed: float
    each_metre: float
    source: str

    def sigma(self, value: float) -> float:
        """Return the standard deviation of one reading of ``value``. [m or rad]

        Raises
        ------
        OutOfRange
            If ``value`` is not finite.
        """
        if not math.isfinite(value):
            raise OutOfRange(f"A reading of {value} has no precision.")
        return self.fixed if self.angle else math.hypot(self.fixed, self.each_metre * value)


@cache
def instruments() -> tuple[Instrument, ...]:
    """Return all precision classes.

    Raises
    ------
    DataError
        If the bundled table is damaged.
    """
    text = resources.files("snugbay").joinpath("data/survey/instruments.toml").read_text("utf-8")
    out = []
    for row in tomllib.loads(text)["instrument"]:
        angle = row["measures"] == "angle"
        fixed = math.radians(row["fixed_deg"]) if angle else row["fixed_mm"] / 1000.0
        each = 0.0 if angle else row["each_metre_mm"] / 1000.0
        if not fixed > 0.0 or each < 0.0 or row["measures"] not in {"angle", "length"}:
            raise DataError(
                f"Instrument {row['name']!r} has an impossible precision.", where=("instrument", row["name"])
            )
        out.append(Instrument(row["name"], row["title"], angle, fixed, each, row["source"]))
    return tuple(out)


def instrument(name: str) -> Instrument:
    """Return a precision class by name.

    Raises
    ------
    UnknownName
        If there is no such class; the hint lists close names.
    """
    for item in instruments():
        if item.name == name:
            return item
    names = [item.name for item in instruments()]
    near = difflib.get_close_matches(name, names) or names
    raise UnknownName(f"There is no instrument {name!r}.", hint="Instruments: " + ", ".join(near) + ".")
