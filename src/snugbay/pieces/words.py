"""Labels and the few sentences that go on pieces."""

from __future__ import annotations

from snugbay.job import Face, Units
from snugbay.survey import AdjustedFace, Point
from snugbay.tape import format_length

LETTERS = "abcdefghjkmnpqrstuvwxyz"
"""Letters of labels; i, l and o are left out because they read as figures."""


def letters(number: int) -> str:
    """Return a, b, ... z, aa, ab, ... for 0, 1, 2, ..."""
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, len(LETTERS))
        text = LETTERS[rest] + text
    return text


def label(face: str, layer: int, number: int) -> str:
    """Return what is written on a piece: ``N1-2b``."""
    return f"{face}-{layer}{letters(number)}"


def length(metres: float, units: Units) -> str:
    """Return a length with its unit, as the job writes lengths."""
    text = format_length(metres, units.value)
    return f"{text} mm" if units is Units.MM else text


def size(a: float, b: float, units: Units) -> str:
    """Return a size, ``560 x 762 mm``."""
    if units is Units.MM:
        return f"{format_length(a, 'mm')} x {format_length(b, 'mm')} mm"
    return f"{format_length(a, 'ft-in')} x {format_length(b, 'ft-in')}"


def front_text(face: Face, foil: str) -> str:
    """Return which side of the board is the front, the side that the fitter sees.

    Parameters
    ----------
    face : Face
        Gives the side the board is fitted from.
    foil : str
        ``"room"`` or ``"cold"``: where the foil is wanted.
    """
    toward = "room" if face.board_side == face.warm else "cold"
    side = "to the room" if toward == "room" else "to the cold side"
    return f"foil {side}" if foil == toward else f"print {side}"


def foil_reason(foil: str) -> str:
    """Return why the foil faces that way."""
    if foil == "room":
        return (
            "Foil to the room: the vapour-tight side stands on the warm side, and where it faces an air space of the "
            "room its low emissivity adds a little resistance (common practice, no source)."
        )
    return (
        "Foil to the cold side: your choice; the board's other face must then be the one that is taped tight, and the "
        "moisture check decides whether the wall can dry (common practice, no source)."
    )


def up_of(adjusted: AdjustedFace) -> Point:
    """Return the direction "up" in the plane of the face: plumb up where the face leans enough to show it, else +y."""
    frame = adjusted.frame
    if frame is None:
        return (0.0, 1.0)
    x, y = frame.ex[2], frame.ey[2]
    size_ = (x * x + y * y) ** 0.5
    if size_ < 0.1:
        return (0.0, 1.0)
    return (x / size_, y / size_)
