"""How wide a text is in the lettering that is shipped with Snugbay."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from snugbay.base import DataError

FAMILY = "Barlow Semi Condensed"
"""Font family of every drawing and of the booklet."""

CAPITAL = 0.7
"""Height of capitals and figures, in ems (OS/2 table of the font)."""

_MISSING = 1000
"""Width taken for a character that the font lacks. [1/1000 em]"""


@cache
def _advances() -> dict[int, tuple[int, int]]:
    path = files("snugbay").joinpath("data", "fonts", "advances.csv")
    try:
        lines = path.read_text(encoding="utf-8").splitlines()[1:]
    except FileNotFoundError as error:
        raise DataError("The bundled table fonts/advances.csv is missing.", hint="Install Snugbay again.") from error
    cells = (tuple(int(cell) for cell in line.split(",")) for line in lines)
    return {code: (regular, bold) for code, regular, bold in cells}


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Return the length of a line of text.

    Parameters
    ----------
    text : str
        One line.
    size : float
        Height of an em. [mm]
    bold : bool
        Bold lettering.

    Returns
    -------
    float
        Sum of the advance widths; pairs that the font draws closer together are not counted. [mm]
    """
    table = _advances()
    which = 1 if bold else 0
    return sum(table[ord(c)][which] if ord(c) in table else _MISSING for c in text) * size / 1000


def in_lettering(text: str) -> bool:
    """Answer whether the font has every character of a text."""
    return all(ord(c) in _advances() for c in text)


def wrapped(text: str, width: float, size: float, *, bold: bool = False) -> tuple[str, ...]:
    """Break a text into lines no longer than ``width``; a single word that is longer stands alone. [mm]"""
    lines: list[str] = []
    line = ""
    for word in text.split():
        longer = f"{line} {word}" if line else word
        if line and text_width(longer, size, bold=bold) > width:
            lines.append(line)
            line = word
        else:
            line = longer
    return (*lines, line) if line else tuple(lines)


def shortened(text: str, width: float, size: float, *, bold: bool = False) -> str:
    """Return the text, cut with an ellipsis where it is longer than ``width``. [mm]"""
    if text_width(text, size, bold=bold) <= width:
        return text
    for length in range(len(text) - 1, 0, -1):
        cut = text[:length].rstrip() + "…"
        if text_width(cut, size, bold=bold) <= width:
            return cut
    return "…"
