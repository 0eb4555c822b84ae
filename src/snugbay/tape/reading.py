"""Lengths as people write them, exact inside."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction
from math import isfinite

from snugbay.base import UnreadableLength

INCH = Fraction(254, 10000)
FOOT = 12 * INCH
FOOT_M, INCH_M = float(FOOT), float(INCH)
"""Metres in a foot and an inch, for figures that are floats anyway."""
UNIT_METRES: dict[str, Fraction] = {
    "mm": Fraction(1, 1000),
    "cm": Fraction(1, 100),
    "m": Fraction(1),
    "in": INCH,
    "ft": FOOT,
}
"""Metres in one unit, exact (international inch)."""

_GLYPHS = {
    "¼": "1/4", "½": "1/2", "¾": "3/4", "⅐": "1/7", "⅑": "1/9", "⅒": "1/10", "⅓": "1/3", "⅔": "2/3",
    "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅛": "1/8", "⅜": "3/8",
    "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
_UNIT_WORDS = {
    "mm": "mm", "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
    "cm": "cm", "centimetre": "cm", "centimetres": "cm", "centimeter": "cm", "centimeters": "cm",
    "m": "m", "metre": "m", "metres": "m", "meter": "m", "meters": "m",
    "in": "in", "inch": "in", "inches": "in", '"': "in", "in.": "in",
    "ft": "ft", "foot": "ft", "feet": "ft", "'": "ft", "ft.": "ft",
}  # fmt: skip
_NUMBER = r"\d+(?:\.\d+)?|\.\d+"
_TOKEN = re.compile(rf"(?P<frac>\d+\s*/\s*\d+)|(?P<num>{_NUMBER})|(?P<unit>[a-z]+\.?|['\"])|(?P<dash>-)|(?P<space>\s+)")
_HINT = "Write it as 7' 4-1/2\", 88 1/2, 2.25 m or 1840 mm."
LONGEST = Fraction(1000)
"""Nothing in a house is longer than this. [m]"""
LONGEST_TEXT = 80
"""Characters in a length as people write it."""


@dataclass(frozen=True, order=True)
class Length:
    """A length, exact.

    Attributes
    ----------
    metres : Fraction
        [m]
    written : str
        As the user wrote it; not compared.
    """

    metres: Fraction
    written: str = field(default="", compare=False)

    def __float__(self) -> float:
        return float(self.metres)


def _unreadable(text: object, why: str, hint: str = _HINT) -> UnreadableLength:
    return UnreadableLength(f"The length {str(text)!r} cannot be read: {why}.", hint=hint)


def _tidy(text: str) -> str:
    for glyph, plain in _GLYPHS.items():
        text = text.replace(glyph, f" {plain}")
    text = re.sub(r"[\u2018\u2019\u2032\u00b4`]{2}|[\u201c\u201d\u2033]|''", '"', text)
    text = re.sub(r"[\u2018\u2019\u2032\u00b4`]", "'", text)
    text = text.replace("\u2044", "/").replace("\u2215", "/")
    text = re.sub(r"[\u2010-\u2014\u2212]", "-", text)
    return re.sub(r"[\s\u00a0\u202f\u2009]+", " ", text).strip().lower()


def _commas(text: str, raw: str, unit: str) -> str:
    """Turn comma decimals into points; refuse commas that could mean thousands."""
    if "," not in text:
        return text
    if text.count(",") > 1 or re.search(r"\d\.\d.*,|,.*\d\.\d", text):
        raise _unreadable(raw, "more than one decimal mark", "Write 1840 or 2.25.")
    match = re.search(r"(\d+),(\d+)", text)
    if match is None:
        raise _unreadable(raw, "the comma stands alone")
    metres = unit == "m" or re.search(r"\d\s*m(etres?|eters?)?$", text) is not None
    if len(match[2]) == 3 and not metres and match[1] != "0":
        raise _unreadable(raw, "the comma could mean thousands or decimals", "Write it without the comma.")
    return text.replace(",", ".")


def _tokens(text: str, raw: str) -> list[tuple[str, str]]:
    found = []
    at = 0
    while at < len(text):
        match = _TOKEN.match(text, at)
        if match is None or match.lastgroup is None:
            raise _unreadable(raw, f"{text[at]!r} has no place in a length")
        found.append((match.lastgroup, match.group().strip()))
        at = match.end()
    return [t for t in found if t[0] != "space"]


def _join_thousands(text: str) -> str:
    """Join digits grouped in threes by spaces: ``1 840 mm``."""
    return re.sub(r"(?<![\d./])(\d{1,3})((?: \d{3})+)(?![\d/])", lambda m: m[0].replace(" ", ""), text)


def _fraction(text: str, raw: str) -> Fraction:
    top, bottom = (int(p) for p in text.split("/"))
    if bottom == 0:
        raise _unreadable(raw, "a fraction has 0 below the line")
    if top >= bottom:
        raise _unreadable(raw, f"the fraction {top}/{bottom} is not less than one")
    return Fraction(top, bottom)


def _parts(tokens: list[tuple[str, str]], raw: str, unit: str) -> list[tuple[Fraction, str]]:
    """Group tokens into (amount, unit): a number, a fraction or both, then a unit."""
    parts: list[tuple[Fraction, str]] = []
    whole: str | None = None
    frac: Fraction | None = None
    dashed = False
    for kind, text in [*tokens, ("end", "")]:
        if kind == "num" and whole is None and frac is None:
            whole = text
        elif kind == "frac" and frac is None:
            if whole is not None and "." in whole:
                raise _unreadable(raw, "a decimal number and a fraction together")
            frac = _fraction(text, raw)
            dashed = False
        elif kind == "dash" and not dashed and (whole is not None or (parts and frac is None)):
            dashed = True
            continue
        elif kind in ("unit", "end"):
            if whole is None and frac is None:
                if kind == "end" and parts and not dashed:
                    break
                raise _unreadable(raw, "a number is missing")
            if dashed and kind == "end":
                raise _unreadable(raw, "the dash leads nowhere")
            name = _UNIT_WORDS.get(text) if kind == "unit" else _bare_unit(parts, unit)
            if name is None:
                raise _unreadable(raw, f"{text!r} is not a unit of length", "Units are mm, cm, m, in, ft.")
            parts.append((Fraction(whole or 0) + (frac or 0), name))
            whole, frac = None, None
        else:
            raise _unreadable(raw, "the parts do not make one length")
        dashed = False
    return parts


def _bare_unit(parts: list[tuple[Fraction, str]], unit: str) -> str:
    """Unit of a number without one: inches after feet, else the job's own."""
    return "in" if parts and parts[-1][1] == "ft" else unit


def parse_length(raw: str | int | float | Fraction, unit: str = "mm") -> Length:
    """Read a length in any notation a person writes.

    Parameters
    ----------
    raw : str, int, float or Fraction
        ``7' 4-1/2"``, ``7ft 4.5in``, ``88 1/2``, ``88½``, ``2.25 m``, ``2,25 m``, ``1840``, ``1 840 mm``.
    unit : str
        Unit of a number without one: ``"mm"`` or ``"in"`` (any of mm, cm, m, in, ft).

    Returns
    -------
    Length
        Exact length. [m]

    Raises
    ------
    UnreadableLength
        If it cannot be read in exactly one way, is negative, or is longer than a house.
    """
    if isinstance(raw, bool):
        raise _unreadable(raw, "it is true or false, not a length")
    if isinstance(raw, (int, float, Fraction)):
        if isinstance(raw, float) and not isfinite(raw):
            raise _unreadable(raw, "it is not a finite number")
        amount = Fraction(str(raw)) if isinstance(raw, float) else Fraction(raw)
        parts = [(amount, unit)]
    else:
        if len(raw) > LONGEST_TEXT:
            raise _unreadable(raw[:20] + "...", "it is longer than any length that people write")
        text = _tidy(raw)
        if not text:
            raise _unreadable(raw, "it is empty")
        text = _join_thousands(_commas(text, raw, unit))
        parts = _parts(_tokens(text, raw), raw, unit)
    names = [name for _, name in parts]
    if len(parts) > 1 and names != ["ft", "in"]:
        raise _unreadable(raw, "only feet and inches may stand together")
    if len(parts) > 1 and parts[0][0].denominator != 1:
        raise _unreadable(raw, "the feet must be a whole number when inches follow")
    if len(parts) > 1 and parts[1][0] >= 12:
        raise _unreadable(raw, "the inches after feet must be less than 12")
    metres = sum((amount * UNIT_METRES[name] for amount, name in parts), Fraction(0))
    if metres < 0:
        raise _unreadable(raw, "it is negative", "Lengths are positive; use the other end as the start.")
    if metres > LONGEST:
        raise _unreadable(raw, "it is longer than any house", "Check the unit.")
    return Length(metres, str(raw))
