"""Figures within a sentence, written in the units of a job.

Sentences of findings are written in SI by rooms that know no job. Where they are gathered they are put in the job's own
units, so that nobody reads a gap in millimetres off a tape in inches.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable

from snugbay.tape.printing import tape_for
from snugbay.tape.quantities import R_SI_PER_R_IP
from snugbay.tape.reading import FOOT_M

KG_PER_LB = 0.45359237
"""International pound, by definition (NIST SP 811, B.8)."""
SQUARE_FOOT = FOOT_M**2
KM_PER_MILE = 1.609344
"""International mile, by definition (NIST SP 811, B.8)."""
LEAST_MM = 0.8
"""Half a sixteenth of an inch: less than that no tape shows. [mm]"""
_NUMBER = r"-?(?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d+)?"
_FIGURE = re.compile(
    rf"(?<![\w.,/-])(?P<many>{_NUMBER}(?:(?: x | to | and |, ){_NUMBER})*)"
    r"(?P<gap> ?)(?P<unit>m²K/W|kg/m²|mm|km|kg|m²|m³|°C|C|K|m)(?![\w²³/·])"
)
_PAIR_BEFORE = re.compile(r"(?:\b(?:in|ft|lb|°F|F|mi)|[\"'²]|R-[\d.]+) \($")
_PAIR_AFTER = re.compile(r"^ \((?:R-|-?\d[^()]*(?:\bin\b|\bft|\blb|°F|\bF\b|[\"']))")


def in_units(text: str, units: str, names: Iterable[str] = ()) -> str:
    """Write the lengths, areas, masses, temperatures and resistances of a sentence in the units of a job.

    Parameters
    ----------
    text : str
        With SI figures and their units: ``"a gap of 86 mm"``.
    units : str
        ``"ft-in"`` or ``"mm"``; for the latter the text stays as it is.
    names : iterable of str
        What the user or the catalogue calls things; figures in a name stay as they are.

    Returns
    -------
    str
        A figure that is given in both systems already stays as it is, in either order.
    """
    if units != "ft-in":
        return text
    kept = [m.span() for name in names if name for m in re.finditer(re.escape(name), text)]

    def written(found: re.Match[str]) -> str:
        before, after = text[: found.start()], text[found.end() :]
        named = any(a <= found.start() and found.end() <= b for a, b in kept)
        if named or _PAIR_BEFORE.search(before) or _PAIR_AFTER.match(after):
            return found[0]
        write, unit = _WRITERS[found["unit"]]
        figures = re.sub(_NUMBER, lambda n: write(float(n[0].replace(",", ""))), found["many"])
        return figures + unit

    return _FIGURE.sub(written, text)


def _inches(millimetres: float) -> str:
    if 0 < abs(millimetres) < LEAST_MM:
        return f'{millimetres / 25.4:.2f}"'
    return tape_for("ft-in").text(millimetres / 1000)


def _times(factor: float, least: float = 3.0) -> Callable[[float], str]:
    """Return what writes a figure in another unit: whole where it is large, else with as many decimals as it needs."""

    def write(value: float) -> str:
        there = value * factor
        digits = 0 if abs(there) >= least else 1 if abs(there) >= 0.3 else 2
        text = f"{there:,.{digits}f}"
        return "0" if abs(there) < 0.005 else text

    return write


def _fahrenheit(celsius: float) -> str:
    return f"{celsius * 1.8 + 32:.0f}"


_WRITERS: dict[str, tuple[Callable[[float], str], str]] = {
    "mm": (_inches, ""),
    "m": (_times(1 / FOOT_M), " ft"),
    "km": (_times(1 / KM_PER_MILE), " mi"),
    "m²": (_times(1 / SQUARE_FOOT), " ft²"),
    "m³": (_times(1 / FOOT_M**3), " ft³"),
    "kg": (_times(1 / KG_PER_LB), " lb"),
    "kg/m²": (_times(SQUARE_FOOT / KG_PER_LB), " lb/ft²"),
    "°C": (_fahrenheit, " °F"),
    "C": (_fahrenheit, " °F"),
    "K": (_times(1.8), " °F"),
    "m²K/W": (lambda r: f"R-{r / R_SI_PER_R_IP:.1f}", ""),
}
