"""What a sheet plan is: sheets, where pieces lie, cuts in order, marks, minutes.

Layouts come from `nest`; the cut tree, marks and minutes from `cutting`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import hypot

from snugbay.survey import Point


class End(StrEnum):
    """How a tool leaves a cut at one of its ends."""

    RUN = "runs on"
    """On to the next edge of the part in hand: nothing that is wanted lies in the way."""
    STOP = "stops"
    """At the mark; a little further does no harm."""
    UPRIGHT = "stops upright"
    """At the mark, the last of it with the blade upright: board that stays lies right behind it."""


RUNS = (End.RUN, End.RUN)


@dataclass(frozen=True)
class Placement:
    """Where a piece lies on a sheet.

    Attributes
    ----------
    piece : str
        Label.
    outline : tuple of Point
        Outline as cut, from the sheet's datum corner (lower left), counter-clockwise. [m]
    holes : tuple of tuple of Point
        Holes. [m]
    turn : float
        Turn from the face's own axes, counter-clockwise. [rad]
    up : Point
        Direction of the up arrow on the sheet (unit vector).
    label_at : Point
        A place well inside for the label. [m]
    origin : Point
        Where the origin of the piece's own axes lies on the sheet. [m]
    body : float
        Widest strip that rounding to marks takes off the piece's body. [m]
    tip : float
        Furthest that one of its corners is moved; at a thin tip much more than its sides are. [m]
    """

    piece: str
    outline: tuple[Point, ...]
    holes: tuple[tuple[Point, ...], ...]
    turn: float
    up: Point
    label_at: Point
    origin: Point = (0.0, 0.0)
    body: float = 0.0
    tip: float = 0.0


@dataclass(frozen=True)
class Cut:
    """One cut.

    Attributes
    ----------
    number : int
        Order on the sheet, from 1.
    start, end : Point
        Line on the sheet, on the piece side of the kerf: the kerf lies to the right of start - end. Both are the centre
        of a round cut, which may lie off the board. [m]
    kind : str
        ``"edge to edge"``, ``"through the blank"`` (both ends run on to an edge of the part in hand), ``"stopped"``
        (one end does), ``"plunge"`` (none does), ``"round"`` (a hole or a bite, cut by hand along its rim).
    depth : int
        0 for cuts across the whole sheet, 1 in the blanks these give, ...
    blank : str
        Blank that is cut: ``"sheet"``, ``"1a"`` for what lies left of cut 1 or below it, ``"1b"`` for the other side.
    bevel : float
        From square. [rad]
    passes : int
        Passes with the tool; from both sides where it is turned.
    tool : str
        Tool used.
    minutes : float
        Set-up and cutting, typical.
    pieces : tuple of str
        Labels of the pieces whose edge it makes.
    strip : float
        Width of the waste that falls off, where it is so narrow that it breaks; otherwise 0. [m]
    radius : float
        Of a round cut, on a mark; otherwise 0. [m]
    arc : float
        Length of the rim that a round cut makes; otherwise 0. [m]
    turned : bool
        True where the tool reaches only half through: cut from both sides, the board turned over in between.
    ends : (End, End)
        What the tool does at the start and at the end.
    """

    number: int
    start: Point
    end: Point
    kind: str
    depth: int
    blank: str
    bevel: float
    passes: int
    tool: str
    minutes: float
    pieces: tuple[str, ...]
    strip: float = 0.0
    radius: float = 0.0
    arc: float = 0.0
    turned: bool = False
    ends: tuple[End, End] = RUNS

    @property
    def length(self) -> float:
        """Length that the tool cuts. [m]"""
        return self.arc or hypot(self.end[0] - self.start[0], self.end[1] - self.start[1])


@dataclass(frozen=True)
class Mark:
    """One mark to make with tape and pencil.

    Attributes
    ----------
    cut : int
        Number of the cut it belongs to.
    edge : str
        Edge of the sheet or blank along which it is measured: bottom, right, top, left, or ``"inside"``.
    at : Point
        Where it is, from the sheet's datum corner. [m]
    distance : float
        Running dimension from the datum corner of the sheet or blank, rounded once to the tape's marks. [m]
    across : float
        For marks inside: the second running dimension, rounded once; otherwise 0. Of a centre off the board either may
        be negative. [m]
    exact : float
        The dimension before rounding. [m]
    """

    cut: int
    edge: str
    at: Point
    distance: float
    across: float
    exact: float


@dataclass(frozen=True)
class Sheet:
    """One sheet or offcut with all that is cut from it.

    Attributes
    ----------
    number : int
        From 1.
    material : str
        Key in the boards table.
    thickness, width, length : float
        x runs along the length, y across the width. [m]
    source : str
        ``"new"``, ``"on hand"`` or the name of an offcut.
    placements, cuts, marks
        See the classes.
    damaged : tuple of (x, y, width, height)
        Zones not used. [m]
    waste : tuple of tuple of Point
        Waste regions, to be crossed. [m]
    keep : tuple of (x, y, width, height)
        Offcuts worth keeping. [m]
    used : float
        Share of the area that becomes pieces. [-]
    minutes : float
        Marking and cutting, typical.
    """

    number: int
    material: str
    thickness: float
    width: float
    length: float
    source: str
    placements: tuple[Placement, ...]
    cuts: tuple[Cut, ...] = ()
    marks: tuple[Mark, ...] = ()
    damaged: tuple[tuple[float, float, float, float], ...] = ()
    waste: tuple[tuple[Point, ...], ...] = ()
    keep: tuple[tuple[float, float, float, float], ...] = ()
    used: float = 0.0
    minutes: float = 0.0


@dataclass(frozen=True)
class SheetPlan:
    """All sheets of a job.

    Attributes
    ----------
    sheets : tuple of Sheet
        In cutting order.
    cut_length : float
        [m]
    set_ups : int
        Straightedge set-ups; a round cut takes none.
    shared_cuts : int
        Cuts that make the edge of two pieces at once.
    worst_rounding : float
        Largest change of a piece's size by rounding its marks; pieces only ever get smaller. [m]
    minutes : float
        Marking and cutting, typical.
    """

    sheets: tuple[Sheet, ...]
    cut_length: float
    set_ups: int
    shared_cuts: int
    worst_rounding: float
    minutes: float
