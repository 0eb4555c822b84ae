"""Temperatures, differences and counts in the words and units of the job."""

from __future__ import annotations

import re
from collections.abc import Iterable

from snugbay.base import Finding, Weight
from snugbay.job import Units
from snugbay.physics.units import R_IP_PER_R_SI, f_from_celsius

F_PER_K = 1.8
NUMBERED = re.compile(r"^(Reading|Entry) (\d+)( on \S+:.*|:.*)$", re.DOTALL)
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


def grouped(findings: Iterable[Finding]) -> tuple[tuple[Weight, str], ...]:
    """Findings as lines to print: what is the same for several readings or entries is said once, with their numbers."""
    lines: dict[tuple[Weight, str, str], list[str]] = {}
    for f in findings:
        found = NUMBERED.match(f.text)
        key = (f.weight, found[1], found[3]) if found else (f.weight, "", f.text)
        lines.setdefault(key, []).append(found[2] if found else "")
    return tuple((weight, _line(what, numbers, rest)) for (weight, what, rest), numbers in lines.items())


def _line(what: str, numbers: list[str], rest: str) -> str:
    if not what:
        return rest
    if len(numbers) == 1:
        return f"{what} {numbers[0]}{rest}"
    many = "Readings" if what == "Reading" else "Entries"
    shown = (
        numbers if len(numbers) <= MOST_NUMBERS else [*numbers[:MOST_NUMBERS], f"{len(numbers) - MOST_NUMBERS} more"]
    )
    return f"{many} {', '.join(shown[:-1])} and {shown[-1]}{rest}"
