"""The drawing itself, before any file format: lines, areas and texts in millimetres on a page.

x runs to the right and y down from the upper left corner of the page. Everything is drawn in the order given. A look
(ink, board, chalk line, ...) is a name; what it looks like on paper and on a screen is settled by `snugbay.draw.looks`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import StrEnum
from math import cos, radians, sin

from snugbay.draw.lettering import CAPITAL, text_width

Point = tuple[float, float]
"""A place on the page. [mm]"""


class Anchor(StrEnum):
    """Which end of a text stands at its place."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True)
class Stroke:
    """A line through points, open or closed.

    Attributes
    ----------
    points : tuple of Point
        [mm]
    look : str
        Name of the look.
    closed : bool
        True where the last point is joined to the first.
    """

    points: tuple[Point, ...]
    look: str
    closed: bool = False


@dataclass(frozen=True)
class Area:
    """A filled area with holes; rings may run either way round (even-odd)."""

    rings: tuple[tuple[Point, ...], ...]
    look: str


@dataclass(frozen=True)
class Disc:
    """A filled circle with a rim."""

    centre: Point
    radius: float
    look: str


@dataclass(frozen=True)
class Text:
    """One line of text.

    Attributes
    ----------
    at : Point
        Where the anchor stands, at half the height of the capitals. [mm]
    text : str
        Any text; writers escape it.
    size : float
        Height of an em. [mm]
    look : str
        Name of the look.
    anchor : Anchor
        Which end stands at ``at``.
    turn_deg : float
        Turn, clockwise on the page. [degrees]
    bold : bool
        Bold lettering.
    label : bool
        True where no other label may lie on it; titles and legends in their own space are labels too.
    """

    at: Point
    text: str
    size: float
    look: str = "ink"
    anchor: Anchor = Anchor.MIDDLE
    turn_deg: float = 0.0
    bold: bool = False
    label: bool = True

    @property
    def width(self) -> float:
        """Length of the text as lettered. [mm]"""
        return text_width(self.text, self.size, bold=self.bold)

    @property
    def corners(self) -> tuple[Point, Point, Point, Point]:
        """Corners of the box round the text, capitals and figures, turned as the text is. [mm]"""
        half = CAPITAL * self.size / 2
        left = {Anchor.START: 0.0, Anchor.MIDDLE: -self.width / 2, Anchor.END: -self.width}[self.anchor]
        return turned_box(self.at, left, -half, left + self.width, half, self.turn_deg)


@dataclass(frozen=True)
class Group:
    """Items that belong together: a piece, the marks, the waste.

    Attributes
    ----------
    items : tuple of Item
        In drawing order.
    layer : str
        What it is: ``"piece"``, ``"mark"``, ``"cut"``, ...
    name : str
        Id of the thing drawn, ``"N1-2b"``; empty where it has none.
    title : str
        For people: shown by a screen on pointing, read by a screen reader.
    """

    items: tuple[Item, ...]
    layer: str
    name: str = ""
    title: str = ""


Item = Stroke | Area | Disc | Text | Group


@dataclass(frozen=True)
class Scene:
    """A drawing on a page.

    Attributes
    ----------
    width, height : float
        Size of the page. [mm]
    items : tuple of Item
        In drawing order.
    title, description : str
        For people, and for those who hear rather than see it.
    notes : Mapping-like tuple of (str, str)
        Facts of the drawing, such as ``("scale", "1:12")``.
    """

    width: float
    height: float
    items: tuple[Item, ...]
    title: str
    description: str = ""
    notes: tuple[tuple[str, str], ...] = field(default=())

    def note(self, name: str) -> str:
        """Return a fact of the drawing, empty where it has none of this name."""
        return dict(self.notes).get(name, "")


def walk(items: tuple[Item, ...], layer: str = "") -> Iterator[tuple[str, Item]]:
    """Yield every item with the innermost layer it lies in, groups included."""
    for item in items:
        if isinstance(item, Group):
            yield item.layer, item
            yield from walk(item.items, item.layer)
        else:
            yield layer, item


def texts(scene: Scene) -> tuple[Text, ...]:
    """Return every text of a scene."""
    return tuple(item for _, item in walk(scene.items) if isinstance(item, Text))


def groups(scene: Scene, layer: str) -> tuple[Group, ...]:
    """Return every group on a layer."""
    return tuple(item for name, item in walk(scene.items) if isinstance(item, Group) and name == layer)


def points_of(item: Item) -> tuple[Point, ...]:
    """Return the points that an item spans; a text's box, a disc's square."""
    if isinstance(item, Stroke):
        return item.points
    if isinstance(item, Area):
        return tuple(p for ring in item.rings for p in ring)
    if isinstance(item, Disc):
        (x, y), r = item.centre, item.radius
        return ((x - r, y - r), (x + r, y + r))
    if isinstance(item, Text):
        return item.corners
    return tuple(p for inner in item.items for p in points_of(inner))


def moved(item: Item, dx: float, dy: float) -> Item:
    """Return an item moved on the page. [mm]"""
    if isinstance(item, Stroke):
        return Stroke(tuple((x + dx, y + dy) for x, y in item.points), item.look, item.closed)
    if isinstance(item, Area):
        return Area(tuple(tuple((x + dx, y + dy) for x, y in ring) for ring in item.rings), item.look)
    if isinstance(item, Disc):
        return Disc((item.centre[0] + dx, item.centre[1] + dy), item.radius, item.look)
    if isinstance(item, Text):
        at = (item.at[0] + dx, item.at[1] + dy)
        return Text(at, item.text, item.size, item.look, item.anchor, item.turn_deg, item.bold, item.label)
    return Group(tuple(moved(i, dx, dy) for i in item.items), item.layer, item.name, item.title)


def turned_box(
    at: Point, x0: float, y0: float, x1: float, y1: float, turn_deg: float
) -> tuple[Point, Point, Point, Point]:
    """Return the corners of a box given relative to ``at`` and turned about it, clockwise on the page."""
    c, s = cos(radians(turn_deg)), sin(radians(turn_deg))

    def corner(x: float, y: float) -> Point:
        return (at[0] + c * x - s * y, at[1] + s * x + c * y)

    return corner(x0, y0), corner(x1, y0), corner(x1, y1), corner(x0, y1)
