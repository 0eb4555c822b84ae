"""Small things that many drawings share: arrows, numbers, crow's feet, the scale bar, the check square."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import atan2, degrees

from snugbay.draw.geometry import Point, offset
from snugbay.draw.lettering import text_width
from snugbay.draw.scene import Anchor, Area, Disc, Group, Item, Stroke, Text, moved
from snugbay.draw.texts import say
from snugbay.materials import boards

Format = Callable[[float], str]
"""Writes a length given in metres as a person reads it on the job's tape."""


def is_inch(fmt: Format) -> bool:
    """Answer whether a formatter writes feet and inches."""
    return '"' in fmt(0.0254)


def board_name(key: str) -> str:
    """Return a board's name for people: the catalogue's, or the key where it has none."""
    return next((b.name for b in boards() if b.key == key), key)


DISC = 2.6
"""Radius of a cut's number disc. [mm]"""
NUMBER_EM = 3.8
"""Em of a cut's number. [mm]"""


def arrow(foot: Point, way: Point, length: float, look: str = "solid", line: str = "heavy") -> Group:
    """Return an arrow from its foot along a page direction. [mm]"""
    tip = offset(foot, way, length)
    head = min(3.0, 0.45 * length)
    neck = offset(tip, way, -head)
    side = (-way[1], way[0])
    wings = (offset(neck, side, 0.42 * head), tip, offset(neck, side, -0.42 * head))
    return Group((Stroke((foot, offset(tip, way, -0.6 * head)), line), Area((wings,), look)), "arrow")


def crows_foot(at: Point, way: Point, size: float = 2.6) -> Group:
    """Return a carpenter's crow's foot: a V whose point is the mark; it opens along ``way``."""
    side = (-way[1], way[0])
    far = offset(at, way, size)
    left, right = offset(far, side, 0.4 * size), offset(far, side, -0.4 * size)
    return Group((Stroke((left, at, right), "pencil-tick"),), "crowsfoot")


def disc_radius(number: str) -> float:
    """Return the radius of the disc that holds a number. [mm]"""
    return max(DISC, text_width(number, NUMBER_EM, bold=True) / 2 + 0.8)


def numbered(at: Point, number: str, look: str = "number") -> Group:
    """Return a number in a disc; long numbers get a wider one."""
    text = Text(at, number, NUMBER_EM, "ink", bold=True, label=False)
    radius = disc_radius(number)
    return Group((Disc(at, radius, look), text), "number", number)


def scale_bar(left: Point, scale: float, fmt: Format, step: float, parts: int = 4) -> Group:
    """Return a scale bar of ``parts`` steps, drawn as board and gap in turn.

    Parameters
    ----------
    left : Point
        Upper left end. [mm]
    scale : float
        One to so many.
    fmt : Format
        Writes lengths.
    step : float
        Length of one part. [m]
    parts : int
        Number of parts.
    """
    long = step * 1000 / scale
    items: list[Item] = []
    for n in range(parts):
        x = left[0] + n * long
        ring = ((x, left[1]), (x + long, left[1]), (x + long, left[1] + 1.6), (x, left[1] + 1.6))
        items.append(Area((ring,), "bar-dark" if n % 2 == 0 else "bar-light"))
    for n in (0, parts):
        items.append(Text((left[0] + n * long, left[1] + 4.0), fmt(n * step) if n else "0", 3.0, "ink"))
    return Group(tuple(items), "scalebar")


def check_square(corner: Point, side: float, words: str) -> Group:
    """Return a square to be measured on the print; the words stand left of it. [mm]"""
    x, y = corner
    ring = ((x, y), (x + side, y), (x + side, y + side), (x, y + side))
    note = Text((x - 2, y + side / 2), words, 3.0, "soft-text", Anchor.END)
    return Group((Stroke(ring, "thin", closed=True), note), "checksquare")


def up_arrow(at: Point, way: Point, length: float = 8.0) -> Group:
    """Return the up arrow of a piece, centred at a place. [mm]"""
    return Group(arrow(offset(at, way, -length / 2), way, length).items, "up", title=say("piece.up"))


def readable_turn(way: Point) -> float:
    """Return the turn at which a text along a page direction reads from below or from the right. [degrees]"""
    turn = degrees(atan2(way[1], way[0]))
    if turn > 90 - 1e-6:
        turn -= 180
    elif turn <= -90 - 1e-6:
        turn += 180
    return turn


def degrees_text(radians_value: float) -> str:
    """Return an angle in degrees to half a degree, as a bevel gauge is read."""
    value = round(degrees(radians_value) * 2) / 2
    return f"{value:g}"


def legend_lines(samples: Sequence[tuple[Item, str]], right: float) -> int:
    """Return in how many rows samples stand that begin at 0 and end before ``right``."""
    rows = legend_rows(samples, (0.0, 0.0), right, 1.0)
    return 1 + round(max((item.at[1] for item in rows if isinstance(item, Text)), default=0.0))


def legend_rows(samples: Sequence[tuple[Item, str]], corner: Point, right: float, pitch: float) -> tuple[Item, ...]:
    """Set samples, each drawn 10 mm wide about (0, 0), with their words in rows that end before ``right``. [mm]"""
    items: list[Item] = []
    x, y = corner
    for sample, words in samples:
        text = Text((x + 12, y), words, 3.4, "ink", Anchor.START)
        if x > corner[0] and text.at[0] + text.width > right:
            x, y = corner[0], y + pitch
            text = Text((x + 12, y), words, 3.4, "ink", Anchor.START)
        items += [moved(sample, x, y), text]
        x = text.at[0] + text.width + 6
    return tuple(items)
