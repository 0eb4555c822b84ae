"""All pieces, face by face, each as the fitter sees it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from snugbay.draw.geometry import Point, View, bounds, room_for, scale_for, spot_inside
from snugbay.draw.piece import EDGE_LOOKS
from snugbay.draw.placing import Room
from snugbay.draw.scene import Anchor, Area, Group, Item, Scene, Stroke, Text
from snugbay.draw.symbols import Format, is_inch, scale_bar, up_arrow
from snugbay.draw.texts import say
from snugbay.pieces import Piece, PieceSet

Panel = tuple[str, tuple[Piece, ...]]
_HEAD, _GUTTER, _CAPTION = 14.0, 12.0, 8.0
_NO_TITLES: Mapping[str, str] = MappingProxyType({})


def panels(pieces: PieceSet) -> tuple[Panel, ...]:
    """Return the pieces of each face and layer, in the order they come."""
    found: dict[tuple[str, int], list[Piece]] = {}
    for piece in pieces.pieces:
        found.setdefault((piece.face, piece.layer), []).append(piece)
    many = {face for face, layer in found if layer > 1}
    return tuple(
        (face + (", " + say("pieces.layer", layer=layer) if face in many else ""), tuple(group))
        for (face, layer), group in found.items()
    )


def pieces_overview(
    pieces: PieceSet, fmt: Format, width: float = 273.0, titles: Mapping[str, str] = _NO_TITLES
) -> Scene:
    """Draw every piece in its place on its face, faces side by side at one scale.

    Parameters
    ----------
    pieces : PieceSet
        What to draw.
    fmt : Format
        Writes lengths.
    width : float
        Of the drawing; it grows as high as it must. [mm]
    titles : Mapping of str to str
        Names of faces for people.
    """
    shown = panels(pieces)
    if not shown:
        nothing = Text((0, 5), say("pieces.title"), 7.0, anchor=Anchor.START, bold=True)
        return Scene(width, 12.0, (nothing,), say("pieces.title"))
    sizes = [_size(group) for _, group in shown]
    widest = max(w for w, _ in sizes)
    highest = max(h for _, h in sizes)
    scale = scale_for((widest, highest), (width * 0.62, 120.0))
    mm = 1000 / scale
    items: list[Item] = []
    x, y, row = 0.0, _HEAD, 0.0
    for (name, group), (wide, high) in zip(shown, sizes, strict=True):
        title = titles.get(group[0].face, "")
        caption = Text((0, 0), say("pieces.face", face=name) + (f": {title}" if title else ""), 3.8, bold=True)
        need = max(wide * mm, caption.width)
        if x > 0 and x + need > width:
            x, y, row = 0.0, y + row + _GUTTER, 0.0
        items.append(_panel(group, caption, (x, y), View(mm, 0, 0)))
        x += need + _GUTTER
        row = max(row, _CAPTION + high * mm)
    height = y + row + 12.0
    step = 0.3048 if is_inch(fmt) else _bar_step(scale)
    items.append(scale_bar((0.5, height - 7.0), scale, fmt, step, 2))
    head = Text((0, 4.4), say("pieces.title"), 7.0, anchor=Anchor.START, bold=True)
    about = say("pieces.about", pieces=len(pieces.pieces), faces=len({p.face for p in pieces.pieces}))
    note = Text((head.width + 6, 4.8), about, 3.6, "soft-text", Anchor.START)
    return Scene(width, height, (head, note, *items), say("pieces.title"), about, (("scale", f"1:{scale:g}"),))


def _bar_step(scale: float) -> float:
    """Return a length that takes about 30 mm on the page. [m]"""
    return next((s for s in (0.1, 0.2, 0.25, 0.5, 1.0) if s * 1000 / scale >= 20), 2.0)


def _size(group: tuple[Piece, ...]) -> Point:
    left, low, right, high = bounds(p for piece in group for p in piece.outline)
    return (right - left, high - low)


def _panel(group: tuple[Piece, ...], caption: Text, corner: Point, view: View) -> Group:
    left, _, _, high = bounds(p for piece in group for p in piece.outline)
    mm = view.scale
    view = View(mm, corner[0] - left * mm, corner[1] + _CAPTION + high * mm)
    items: list[Item] = [replace(caption, at=(corner[0], corner[1] + 2.5), anchor=Anchor.START)]
    space = Room((-1e6, -1e6, 1e6, 1e6))
    for piece in group:
        rings = (view.all(piece.outline), *(view.all(hole) for hole in piece.holes))
        n = len(piece.outline)
        edges = tuple(
            Stroke(view.all((piece.outline[i], piece.outline[(i + 1) % n])), EDGE_LOOKS[e.kind])
            for i, e in enumerate(piece.edges)
            if e.kind in EDGE_LOOKS
        )
        slits = tuple(Stroke(view.all(slit), "chalk-stopped") for slit in piece.slits)
        items.append(
            Group(
                (Area(rings, "board" if piece.layer % 2 else "board-two"), *edges, *slits), "piece", piece.id, piece.id
            )
        )
    for piece in group:
        items.append(_label(piece, view, space))
    return Group(tuple(items), "panel", group[0].face)


def _label(piece: Piece, view: View, space: Room) -> Group:
    rings = (view.all(piece.outline), *(view.all(hole) for hole in piece.holes))
    spot, depth = spot_inside(rings)
    up = view.way(piece.up)
    for size in (5.0, 4.2, 3.6, 3.0, 2.6):
        for turn in (0.0, -90.0):
            arrow = 1.3 * size
            text = Text(spot, piece.id, size, "ink-halo", turn_deg=turn, bold=True)
            if room_for(rings, spot, text.width + 2 + arrow, size + 0.8, turn) and space.free(text.corners):
                way = (1.0, 0.0) if turn == 0 else (0.0, -1.0)
                at = (spot[0] - way[0] * (arrow + 1) / 2, spot[1] - way[1] * (arrow + 1) / 2)
                far = (text.width + 1.5) / 2
                tip = (spot[0] + way[0] * far, spot[1] + way[1] * far)
                placed = replace(text, at=at)
                space.take(placed.corners)
                return Group((placed, up_arrow(tip, up, arrow)), "label", piece.id)
    text, _ = space.put([Text(spot, piece.id, 3.0, "ink-halo", bold=True)], reach=40)
    small = up_arrow(spot, up, max(2.0, min(4.0, 1.6 * depth)))
    return Group((small, Stroke((spot, text.at), "leader"), text), "label", piece.id)
