"""A list of pieces to be laid on sheets, and the layout that answers it: frozen values, units those of the caller."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

XY = tuple[float, float]
Outline = tuple[XY, ...]

QUARTERS = (0, 90, 180, 270)


@dataclass(frozen=True)
class SheetSize:
    """A sheet that pieces may be laid on.

    Attributes
    ----------
    width, height : float
        x runs 0..width, y runs 0..height. [the instance's unit]
    count : int or None
        How many there are; None for as many as needed.
    spoiled : tuple of (x, y, width, height)
        Zones where nothing may lie.
    name : str
        For people.
    """

    width: float
    height: float
    count: int | None = None
    spoiled: tuple[tuple[float, float, float, float], ...] = ()
    name: str = ""

    @property
    def area(self) -> float:
        """Area less the spoiled zones, which are taken as not overlapping."""
        return self.width * self.height - sum(w * h for _, _, w, h in self.spoiled)


@dataclass(frozen=True)
class Instance:
    """Pieces, the sheets they come out of, and the rules.

    Attributes
    ----------
    name : str
        For people and files.
    sheet : SheetSize
        The sheet of which there are as many as needed.
    pieces : tuple of Outline
        Outlines, counter-clockwise, not closed. A piece's place in the tuple is its number.
    kerf : float
        Least distance between two pieces; none is needed at the edge of a sheet.
    rotations : tuple of int
        Allowed quarter turns in degrees (a subset of 0, 90, 180, 270).
    free : bool
        Any angle is allowed; then `rotations` is not looked at.
    offcuts : tuple of SheetSize
        Part sheets on hand, used before new sheets; each counts once unless it says otherwise.
    optimum : int or None
        Least number of sheets where somebody knows it; never used in the search.
    """

    name: str
    sheet: SheetSize
    pieces: tuple[Outline, ...]
    kerf: float = 0.0
    rotations: tuple[int, ...] = QUARTERS
    free: bool = False
    offcuts: tuple[SheetSize, ...] = ()
    optimum: int | None = None


@dataclass(frozen=True)
class Laid:
    """Where one piece lies: turned about (0, 0) of its own coordinates, counter-clockwise, then moved.

    Attributes
    ----------
    piece : int
        Number in `Instance.pieces`.
    x, y : float
        Move after the turn.
    angle_deg : float
        Turn.
    """

    piece: int
    x: float
    y: float
    angle_deg: float


@dataclass(frozen=True)
class LaidSheet:
    """One sheet with what lies on it.

    Attributes
    ----------
    size : SheetSize
        Which sheet.
    laid : tuple of Laid
        Pieces on it.
    offcut : int or None
        Number in `Instance.offcuts`, None for a new sheet.
    """

    size: SheetSize
    laid: tuple[Laid, ...]
    offcut: int | None = None


@dataclass(frozen=True)
class Layout:
    """All sheets of an instance.

    Attributes
    ----------
    name : str
        Of the instance.
    sheets : tuple of LaidSheet
        Offcuts first, then new sheets, the emptiest one last.
    lower_bound : int
        No layout needs fewer sheets than this (by area).
    ended : str
        What ended the search: ``"bound"`` (no layout can be better), ``"work"`` (the budget of work),
        ``"clock"`` (the safety cap) or ``"stopped"``.
    work : int
        Work spent, in the units of `Budget`.
    leftover : tuple of float
        Largest free rectangle on the emptiest sheet: x, y, width, height.
    """

    name: str
    sheets: tuple[LaidSheet, ...]
    lower_bound: int
    ended: str = "work"
    work: int = 0
    leftover: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)


def turned(outline: Outline, angle_deg: float) -> Outline:
    """Turn an outline about (0, 0), counter-clockwise; quarter turns are exact."""
    cos, sin = cos_sin(angle_deg)
    return tuple((cos * x - sin * y, sin * x + cos * y) for x, y in outline)


def cos_sin(angle_deg: float) -> XY:
    """Cosine and sine of an angle in degrees; quarter turns are exact."""
    angle = angle_deg % 360.0
    quarter = round(angle / 90.0)
    if abs(angle - 90.0 * quarter) <= 1e-9:
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[quarter % 4]
    return math.cos(math.radians(angle)), math.sin(math.radians(angle))


def moved(outline: Outline, dx: float, dy: float) -> Outline:
    """Move an outline."""
    return tuple((x + dx, y + dy) for x, y in outline)


def box(outline: Outline) -> tuple[float, float, float, float]:
    """Least x, least y, greatest x, greatest y."""
    xs = [p[0] for p in outline]
    ys = [p[1] for p in outline]
    return min(xs), min(ys), max(xs), max(ys)


def area(outline: Outline) -> float:
    """Signed area, positive counter-clockwise."""
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in sides(outline)) / 2.0


def sides(outline: Outline) -> Iterator[tuple[XY, XY]]:
    """Edges of an outline as (start, end), the closing one last."""
    n = len(outline)
    for i in range(n):
        yield outline[i], outline[(i + 1) % n]
