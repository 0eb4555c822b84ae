"""Temperatures, differences and counts in the words and units of the job."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from snugbay.base import Finding, Weight
from snugbay.job import Units
from snugbay.physics.units import R_IP_PER_R_SI, f_from_celsius

F_PER_K = 1.8
NUMBERED = re.compile(r"^(Reading|Entry) (\d+)\b(.*)$", re.DOTALL)
FIGURE = re.compile(r"(?<![\w.])-?\d+(?:\.\d+)?(?= (?:K|h|°C|°F|W/m²)(?!\w))")
"""A figure with its unit, within a sentence."""
MOST_NUMBERS = 8
"""Numbers that are listed one by one."""


def temp(celsius: float, units: Units) -> str:
    """Write a temperature given in °C."""
    if units is Units.FT_IN:
        return f"{float(f_from_celsius(celsius)):.1f} °F"
    return f"{celsius:.1f} °C"


def diff(kelvin: float, units: Units, digits: int = 1) -> str:
    """Write a difference of temperatures given in K."""
    return f"{kelvin * F_PER_K:.{digits}f} °F" if units is Units.FT_IN else f"{kelvin:.{digits}f} K"


def film(resistance: float, units: Units) -> str:
    """Write the resistance of the air at a surface given in m²·K/W."""
    return f"R-{resistance * R_IP_PER_R_SI:.1f}" if units is Units.FT_IN else f"{resistance:.2f} m²·K/W"


def counted(n: int, one: str, many: str = "") -> str:
    """Write a number of things: ``1 entry``, ``3 entries``."""
    return f"{n} {one if n == 1 else many or one + 's'}"


@dataclass
class _Group:
    """Findings that say the same: the first, the numbers of the readings or entries, and every text of each figure."""

    first: Finding
    numbers: list[int] = field(default_factory=list)
    figures: list[tuple[str, ...]] = field(default_factory=list)


def grouped(findings: Iterable[Finding]) -> tuple[tuple[Weight, str], ...]:
    """Findings as lines to print: what is the same for several readings or entries is said once, with their numbers.

    Texts that differ in figures with a unit alone are the same: the line gives their least and their greatest.
    """
    groups: dict[tuple[object, ...], _Group] = {}
    for f in findings:
        found = NUMBERED.match(f.text)
        body = found[3] if found else f.text
        key = (f.weight, f.code, found[1] if found else "", FIGURE.sub("#", body) if found else body)
        group = groups.setdefault(key, _Group(f))
        number = int(found[2]) if found else f.where[-1] if f.where[:1] in (("temperatures",), ("log",)) else None
        if isinstance(number, int):
            group.numbers.append(number)
        group.figures.append(tuple(FIGURE.findall(body)) if found else ())
    return tuple((group.first.weight, _line(group)) for group in groups.values())


def _line(group: _Group) -> str:
    text, numbers = group.first.text, list(dict.fromkeys(group.numbers))
    if len(group.figures) == 1 or len(numbers) < 2:
        return text
    found = NUMBERED.match(text)
    entries = group.first.where[:1] == ("log",)
    if found is None:
        return f"{text} ({'Entries' if entries else 'Readings'} {_listed(numbers)})"
    ranges = iter(_ranges(group.figures))
    body = FIGURE.sub(lambda _: next(ranges), found[3])
    many = "Readings" if found[1] == "Reading" else "Entries"
    if body.startswith((":", " on ")):
        return f"{many} {_listed(numbers)}{body}"
    return f"{found[1]} {numbers[0]}{body} The same holds for {_listed(numbers[1:])}."


def _ranges(figures: Sequence[tuple[str, ...]]) -> tuple[str, ...]:
    """Least and greatest of each figure over all texts; one figure where they are the same."""
    ends = ((min(own, key=float), max(own, key=float)) for own in zip(*figures, strict=True))
    return tuple(low if low == high else f"{low} to {high}" for low, high in ends)


def _listed(numbers: Sequence[int]) -> str:
    shown = [str(n) for n in numbers[:MOST_NUMBERS]]
    if len(numbers) > MOST_NUMBERS:
        shown.append(f"{len(numbers) - MOST_NUMBERS} more")
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} and {shown[-1]}"
