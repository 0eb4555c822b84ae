"""Field sheets: what to measure on the spot for each shorthand, in writing order, with readings that find a slip."""

from __future__ import annotations

import difflib
from collections.abc import Callable
from dataclasses import dataclass

from snugbay.base import UnknownName
from snugbay.job.outlines import read_key, reading_name
from snugbay.job.surfaces import Corner, Part, ReadingKind


@dataclass(frozen=True)
class SheetFace:
    """One face to sketch.

    Attributes
    ----------
    name : str
        As readings name it, ``"back"``; empty where there is one face only.
    title : str
        For the sketch.
    part : Part
        What part of the house it is.
    corners : tuple of str
        Counter-clockwise as seen by the fitter.
    points : tuple of (float, float)
        An example outline to sketch, not to scale with the user's. [m]
    """

    name: str
    title: str
    part: Part
    corners: tuple[Corner, ...]
    points: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class AskedReading:
    """One blank to fill in.

    Attributes
    ----------
    number : int
        In writing order, from 1.
    key : str
        As the job file names it: ``"back A-C"``, or ``"A-C"`` where there is one face.
    face : str
        `SheetFace.name`.
    kind : ReadingKind
        Length, angle, part of a station.
    corners : tuple of str
        Where.
    text : str
        What to do, for people.
    check : bool
        True where the shape could do without it: it is there so that a slip shows.
    field : str
        Field of the shorthand it fills, ``"width"``; empty for one of its ``more`` readings.
    """

    number: int
    key: str
    face: str
    kind: ReadingKind
    corners: tuple[Corner, ...]
    text: str
    check: bool = False
    field: str = ""


@dataclass(frozen=True)
class FieldSheet:
    """A blank sheet for one shorthand.

    Attributes
    ----------
    kind : str
        Shorthand, ``"niche-box"``.
    title, stand : str
        Heading, and where to stand so that left and right are meant alike.
    faces : tuple of SheetFace
        Sketches.
    readings : tuple of AskedReading
        Blanks in writing order.
    also : tuple of str
        What else to note: interruptions, framing, angles.
    """

    kind: str
    title: str
    stand: str
    faces: tuple[SheetFace, ...]
    readings: tuple[AskedReading, ...]
    also: tuple[str, ...] = ()


_Ask = tuple[str, str, str, bool]  # key, text, field, check

_INTERRUPTIONS = (
    "Every rafter, pipe or cable that crosses an edge: which edge, from which corner, both sides, depth, lean."
)
_HOT = "Everything hot on or near the face (flue, chimney, lamp): what it is, what its plate asks to keep clear, where."
_WAY_IN = "The way in, if boards must pass it: clear width and height, sill above the floor, thickness of the wall."
_FRAMING = "Framing: centre to centre, width, depth, where the first member stands."


def sheet_kinds() -> tuple[str, ...]:
    """Return the shorthands that have a field sheet."""
    return tuple(_SHEETS)


def field_readings(kind: str) -> FieldSheet:
    """Return the blank field sheet of a shorthand.

    Parameters
    ----------
    kind : str
        One of `sheet_kinds`.

    Raises
    ------
    UnknownName
        If no shorthand has this name; the hint lists close ones.
    """
    if kind not in _SHEETS:
        near = difflib.get_close_matches(kind, _SHEETS) or list(_SHEETS)
        raise UnknownName(f"There is no field sheet {kind!r}.", hint="Sheets: " + ", ".join(near) + ".")
    return _SHEETS[kind]()


def _sheet(
    kind: str, title: str, stand: str, faces: tuple[SheetFace, ...], asks: list[_Ask], also: tuple[str, ...]
) -> FieldSheet:
    single = len(faces) == 1
    readings = []
    for number, (key, text, field, check) in enumerate(asks, start=1):
        face, _, rest = ("", "", key) if single else key.partition(" ")
        what, corners = read_key(rest)
        words = text or f"{'diagonal' if check else 'length'} {reading_name(what, corners)}"
        readings.append(AskedReading(number, key, face, what, corners, words, check, field))
    return FieldSheet(kind, title, stand, faces, tuple(readings), (*also, _HOT, _WAY_IN))


def _box(name: str, title: str, part: Part, width: float, height: float) -> SheetFace:
    points = ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))
    return SheetFace(name, title, part, ("A", "B", "C", "D"), points)


def _niche_box() -> FieldSheet:
    faces = (
        _box("back", "Back, as you face it", Part.BOX_BACK, 0.9, 1.2),
        _box("left", "Left side, back edge at your right", Part.BOX_SIDE, 0.6, 1.2),
        _box("right", "Right side, back edge at your left", Part.BOX_SIDE, 0.6, 1.2),
        _box("top", "Top, back edge nearest you", Part.BOX_TOP, 0.9, 0.6),
        _box("bottom", "Underside, back edge uppermost", Part.BOX_BOTTOM, 0.9, 0.6),
    )
    asks: list[_Ask] = [
        ("back A-B", "width along the bottom of the back", "width", False),
        ("back D-A", "height of the back at its left", "height", False),
        ("left A-B", "depth of the left side along its bottom", "depth", False),
        ("back B-C", "height of the back at its right", "", True),
        ("back C-D", "width along the top of the back", "", True),
        ("back A-C", "diagonal of the back", "", True),
        ("back B-D", "other diagonal of the back", "", True),
        ("left C-D", "depth of the left side along its top", "", True),
        ("left A-C", "diagonal of the left side", "", True),
        ("left B-D", "other diagonal of the left side", "", True),
        ("right A-B", "depth of the right side along its bottom", "", True),
        ("right C-D", "depth of the right side along its top", "", True),
        ("right A-C", "diagonal of the right side", "", True),
        ("right B-D", "other diagonal of the right side", "", True),
        ("top A-C", "diagonal of the top", "", True),
        ("top B-D", "other diagonal of the top", "", True),
        ("bottom A-C", "diagonal of the underside", "", True),
        ("bottom B-D", "other diagonal of the underside", "", True),
    ]
    stand = "Stand in the cold space and face the back of the box; left and right are yours."
    return _sheet("niche-box", "Niche box", stand, faces, asks, (_INTERRUPTIONS, "Which faces are missing, if any."))


def _knee_wall_run() -> FieldSheet:
    faces = (
        _box("wall", "Knee wall from the eaves", Part.KNEE_WALL, 3.6, 1.2),
        _box("floor", "Eaves floor, the wall along its far edge", Part.FLOOR, 3.6, 1.0),
    )
    asks: list[_Ask] = [
        ("wall A-B", "length along the bottom", "length", False),
        ("wall D-A", "height at the left end", "height", False),
        ("wall B-C", "height at the right end", "height-right", True),
        ("wall C-D", "length along the top", "", True),
        ("wall A-C", "diagonal, or of the longest part that the tape reaches", "", True),
        ("wall B-D", "other diagonal", "", True),
        ("floor B-C", "depth of the eaves floor at the right end", "floor", False),
        ("floor D-A", "depth of the eaves floor at the left end", "", True),
        ("floor A-C", "diagonal of the floor", "", True),
    ]
    stand = "Stand in the eaves and face the knee wall; left and right are yours."
    also = (_FRAMING, _INTERRUPTIONS, "Heights at any step or sag of the top: distance from A, height.")
    return _sheet("knee-wall-run", "Knee-wall run", stand, faces, asks, also)


def _gable_triangle() -> FieldSheet:
    faces = (SheetFace("", "Gable", Part.GABLE, ("A", "B", "C"), ((0.0, 0.0), (3.0, 0.0), (1.6, 1.4))),)
    asks: list[_Ask] = [
        ("A-B", "base along the bottom", "base", False),
        ("C-A", "left rake", "left", False),
        ("B-C", "right rake", "right", False),
        ("A-B off C", "height of the peak over the base, with a plumb line", "height", True),
        ("A-B along C", "where the plumb line meets the base, from A", "peak", True),
        ("C-A-B", "angle at A with the bevel gauge", "", True),
    ]
    stand = "Face the gable from the side where the boards go."
    return _sheet("gable-triangle", "Gable triangle", stand, faces, asks, (_INTERRUPTIONS, _FRAMING))


def _rafter_slope() -> FieldSheet:
    faces = (_box("", "Slope from below, up the slope is up", Part.SLOPE, 3.6, 2.4),)
    asks: list[_Ask] = [
        ("A-B", "width along the eaves", "width", False),
        ("D-A", "length along the left rafter", "rafter", False),
        ("B-C", "length along the right rafter", "", True),
        ("C-D", "width along the top", "", True),
        ("A-C", "diagonal", "", True),
        ("B-D", "other diagonal", "", True),
    ]
    stand = "Stand under the slope and look up at it, the eaves in front of your feet."
    also = ("Pitch, with a level and the gauge.", "Clear width of every bay: bottom, middle, top.", _INTERRUPTIONS)
    return _sheet("rafter-slope", "Rafter slope", stand, faces, asks, also)


def _dormer_cheek() -> FieldSheet:
    points = ((0.0, 0.0), (1.5, 1.1), (0.0, 1.1))
    faces = (SheetFace("", "Cheek, plumb front edge at your left (hand left)", Part.CHEEK, ("A", "B", "C"), points),)
    asks: list[_Ask] = [
        ("A-C", "plumb front edge", "front", False),
        ("C-B", "top edge", "top", False),
        ("A-B", "rake along the roof", "rake", False),
        ("B-C-A", "angle at C with the bevel gauge", "", True),
        ("A-C lean", "lean of the front edge from plumb, to the right positive", "", True),
    ]
    stand = "Face the cheek from the side where the boards go; mark it left if its plumb edge is at your left."
    also = ("The hand: left or right.", "A back edge, if the cheek does not end in a point, and a diagonal.")
    return _sheet("dormer-cheek", "Dormer cheek", stand, faces, asks, (*also, _INTERRUPTIONS))


def _rim_joist_row() -> FieldSheet:
    faces = (_box("", "One pocket", Part.RIM, 0.37, 0.235),)
    asks: list[_Ask] = [
        ("A-B", "clear width, at the bottom", "widths", False),
        ("D-A", "clear height, at the left", "height", False),
        ("C-D", "clear width, at the top", "", True),
        ("A-C", "diagonal", "", True),
    ]
    stand = "Face the rim joist; work from left to right."
    also = ("How many pockets of each width.", "Pockets with a pipe, cable or duct: number, size, place.")
    return _sheet("rim-joist-row", "Rim-joist row", stand, faces, asks, also)


def _cellar_wall() -> FieldSheet:
    faces = (_box("", "Cellar wall from inside", Part.CELLAR_WALL, 6.0, 2.2),)
    asks: list[_Ask] = [
        ("A-B", "length along the floor", "length", False),
        ("D-A", "height at the left end", "height", False),
        ("B-C", "height at the right end", "height-right", True),
        ("C-D", "length along the ceiling", "", True),
        ("A-C", "diagonal, or of a part of the wall that the tape reaches", "", True),
        ("B-D", "other diagonal", "", True),
    ]
    stand = "Face the wall from inside."
    also = ("Each window and door: from A along the floor, height of the sill, width, height.", _INTERRUPTIONS)
    return _sheet("cellar-wall", "Cellar wall", stand, faces, asks, also)


_SHEETS: dict[str, Callable[[], FieldSheet]] = {
    "niche-box": _niche_box,
    "knee-wall-run": _knee_wall_run,
    "gable-triangle": _gable_triangle,
    "rafter-slope": _rafter_slope,
    "dormer-cheek": _dormer_cheek,
    "rim-joist-row": _rim_joist_row,
    "cellar-wall": _cellar_wall,
}
