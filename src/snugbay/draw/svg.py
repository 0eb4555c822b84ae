"""Scenes written as SVG."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum
from xml.sax.saxutils import escape, quoteattr

from snugbay.base import SnugbayError
from snugbay.draw.lettering import CAPITAL, FAMILY
from snugbay.draw.looks import LOOKS, style_sheet
from snugbay.draw.scene import Anchor, Area, Disc, Group, Item, Point, Scene, Stroke, Text, walk

SCREEN_FONT = f"font-family=\"'{FAMILY}', 'Arial Narrow', Arial, sans-serif\""
PRINT_FONT = 'font-family="Barlow" font-stretch="semi-condensed"'
"""The typesetter files the same font under its root name and a width."""


class Medium(StrEnum):
    """Where the drawing will be seen."""

    SCREEN = "screen"  # a file of its own: colours follow the reader's light or dark setting
    PAGE = "page"  # inside a web page that carries the style sheet and sets the variables
    PRINT = "print"  # for the typesetter: plain colours


def number(value: float) -> str:
    """Write a number with three decimals at most and no needless zeros."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("", "-0") else text


def _points(points: Iterable[Point]) -> str:
    return " ".join(f"{number(x)},{number(y)}" for x, y in points)


def _path(rings: tuple[tuple[Point, ...], ...]) -> str:
    return "".join("M" + "L".join(f"{number(x)} {number(y)}" for x, y in ring) + "Z" for ring in rings)


def _text(item: Text, medium: Medium) -> str:
    x, y = item.at
    drop = CAPITAL * item.size / 2
    place = f'x="{number(x)}" y="{number(y + drop)}"'
    if item.turn_deg:
        place = f'transform="translate({number(x)} {number(y)}) rotate({number(item.turn_deg)})" y="{number(drop)}"'
    anchor = "" if item.anchor is Anchor.START else f' text-anchor="{item.anchor}"'
    weight = ' font-weight="700"' if item.bold else ""
    if medium is Medium.SCREEN and item.width > 0:
        weight += f' textLength="{number(item.width)}" lengthAdjust="spacingAndGlyphs"'
    return (
        f'<text class="sb-{item.look}" {place} font-size="{number(item.size)}"{anchor}{weight}>'
        f"{escape(printable(item.text))}</text>"
    )


def printable(text: str) -> str:
    """Drop the control characters that XML cannot hold."""
    return "".join(c for c in text if c >= " " or c in "\t\n").replace("\ufffe", "").replace("\uffff", "")


def _item(item: Item, medium: Medium) -> str:
    if isinstance(item, Stroke):
        name = "polygon" if item.closed else "polyline"
        return f'<{name} class="sb-{item.look}" points="{_points(item.points)}"/>'
    if isinstance(item, Area):
        return f'<path class="sb-{item.look}" fill-rule="evenodd" d="{_path(item.rings)}"/>'
    if isinstance(item, Disc):
        x, y = item.centre
        return f'<circle class="sb-{item.look}" cx="{number(x)}" cy="{number(y)}" r="{number(item.radius)}"/>'
    if isinstance(item, Text):
        return _text(item, medium)
    name = f" data-name={quoteattr(printable(item.name))}" if item.name else ""
    title = f"<title>{escape(printable(item.title))}</title>" if item.title else ""
    return f'<g data-layer="{item.layer}"{name}>{title}{"".join(_item(i, medium) for i in item.items)}</g>'


def looks_of(scene: Scene) -> frozenset[str]:
    """Return the looks that a scene uses; raise `SnugbayError` where one is unknown."""
    names = frozenset(item.look for _, item in walk(scene.items) if not isinstance(item, Group))
    unknown = names - LOOKS.keys()
    if unknown:
        raise SnugbayError(f"The drawing {scene.title!r} names unknown looks: {', '.join(sorted(unknown))}.")
    return names


def to_svg(scene: Scene, medium: Medium = Medium.SCREEN) -> str:
    """Write a scene as SVG.

    Parameters
    ----------
    scene : Scene
        The drawing.
    medium : Medium
        A file of its own, a part of a web page, or for the typesetter.

    Returns
    -------
    str
        Valid XML; width and height in mm, the view box in mm too; text stays text. A file of its own holds no font: its
        texts state their length, so that another font cannot push a figure under its neighbour.
    """
    size = f'width="{number(scene.width)}mm" height="{number(scene.height)}mm"'
    box = f'viewBox="0 0 {number(scene.width)} {number(scene.height)}"'
    looks = looks_of(scene)
    style = "" if medium is Medium.PAGE else f"<style>{style_sheet(looks, screen=medium is Medium.SCREEN)}</style>"
    about = f"<title>{escape(printable(scene.title))}</title>"
    if scene.description:
        about += f"<desc>{escape(printable(scene.description))}</desc>"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} {box} role="img" '
        f"{PRINT_FONT if medium is Medium.PRINT else SCREEN_FONT}>"
        f"{about}{style}{''.join(_item(item, medium) for item in scene.items)}</svg>"
    )
