"""One piece on a card: running dimensions from a datum, bevels, up arrow, which side is the front."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from snugbay.draw.geometry import Point, View, bounds, distance, middle, offset, room_for, scale_for, spot_inside
from snugbay.draw.lettering import shortened, wrapped
from snugbay.draw.placing import Room, spread
from snugbay.draw.rounds import centre_text, corners_of, datum_of, rounds_of
from snugbay.draw.scene import Anchor, Area, Group, Item, Scene, Stroke, Text
from snugbay.draw.solid import back_outline, is_bevelled
from snugbay.draw.symbols import Format, board_name, degrees_text, legend_rows, readable_turn, up_arrow
from snugbay.draw.texts import say
from snugbay.pieces import EdgeKind, Piece, PieceKind

EM = 3.7
EDGE_LOOKS: Mapping[EdgeKind, str] = MappingProxyType(
    {
        EdgeKind.ROUGH: "foam-edge",
        EdgeKind.SEAM: "tape-edge",
        EdgeKind.CORNER: "corner-edge",
        EdgeKind.PLUG: "gasket-edge",
    }
)
_EDGE_WORDS = MappingProxyType(
    {
        EdgeKind.ROUGH: "piece.legend-foam",
        EdgeKind.SEAM: "piece.legend-seam",
        EdgeKind.CORNER: "piece.legend-corner",
        EdgeKind.PLUG: "piece.legend-plug",
    }
)
_SAME = 0.0012
"""Two coordinates closer than this are the same running dimension. [m]"""


@dataclass(frozen=True)
class Card:
    """Room for one piece. [mm]"""

    width: float = 88.0
    height: float = 104.0


CARD = Card()


def piece_drawing(piece: Piece, fmt: Format, card: Card = CARD, material: str = "") -> Scene:
    """Draw the front of a piece with running dimensions from its lower left datum.

    Every corner gets one dimension along the bottom and one up the left side, each measured from the datum, never
    chained. Bevelled edges show the other face dashed, with the angle and which face is larger.

    Parameters
    ----------
    piece : Piece
        What to draw.
    fmt : Format
        Writes lengths.
    card : Card
        Room for the drawing.
    material : str
        Name of the board for people; empty takes the catalogue's.
    """
    back = back_outline(piece) if is_bevelled(piece) else ()
    datum = bounds(piece.outline)[:2]
    columns, rows = _dimensions(piece, datum, fmt)
    left = 6.0 + max(Text((0, 0), words, EM).width for _, words in rows) + 4.0
    below = 6.0 + max(Text((0, 0), words, EM).width for _, words in columns) + 4.0
    extra = len(_extra_lines(piece, fmt, card))
    card = replace(card, height=card.height + 5.0 * max(0, extra - 2))  # a long note takes nothing from the drawing
    head, foot = 14.0 + 5.0 * extra, 5.0 + 5.5 * _legend_lines(piece, back)
    room = (card.width - left - 6.0, card.height - head - foot - below - 6.0)
    reach = bounds((*piece.outline, *back))
    size = (reach[2] - reach[0], reach[3] - reach[1])
    scale = scale_for(size, room)
    mm = 1000 / scale
    height = min(card.height, head + size[1] * mm + 6.0 + below + foot)
    view = View(
        mm, left - mm * reach[0] + max(0.0, (room[0] - size[0] * mm) / 2), height - foot - below + mm * reach[1]
    )
    space = Room((0.0, head, card.width, height - foot + 1))
    items: list[Item] = [
        _heading(piece, fmt, card, material),
        *_body(piece, back, view),
        *_running(columns, rows, datum, view, space, (reach, view)),
        _label(piece, view, space),
        *_round_labels(piece, view, space, fmt),
        *_bevel_labels(piece, view, space),
        _legend(piece, back, card, height),
    ]
    about = say("piece.front", front=piece.front)
    return Scene(card.width, height, tuple(items), piece.id, about, (("scale", f"1:{scale:g}"),))


def _dimensions(
    piece: Piece, datum: tuple[float, ...], fmt: Format
) -> tuple[tuple[tuple[float, str], ...], tuple[tuple[float, str], ...]]:
    """Return the running dimensions along x and y: place in the plane of the face, and words."""
    rounds = rounds_of(piece, fmt)
    points = [*corners_of(piece), *((r.centre[0] + datum[0], r.centre[1] + datum[1]) for r in rounds)]

    high = bounds(piece.outline)[2:]

    def along(axis: int) -> tuple[tuple[float, str], ...]:
        found: list[tuple[float, str]] = []
        for value in sorted(p[axis] for p in points):
            words = fmt(value - datum[axis])
            known = any(value - v < _SAME or w == words for v, w in found)
            if value - datum[axis] > _SAME and value <= high[axis] + _SAME and words != fmt(0.0) and not known:
                found.append((value, words))
        return tuple(found)

    return along(0), along(1)


def _heading(piece: Piece, fmt: Format, card: Card, material: str) -> Group:
    what = say(
        "piece.what", material=material or board_name(piece.material), thickness=fmt(piece.thickness), layer=piece.layer
    )
    if piece.kind is not PieceKind.BOARD:
        what = f"{piece.kind.value}, {what}"
    front = say("piece.front", front=piece.front)
    items: list[Item] = [
        Text((0, 4.4), piece.id, 8.0, anchor=Anchor.START, bold=True),
    ]
    left = Text((0, 0), piece.id, 8.0, bold=True).width + 4
    items += [
        Text((left, 2.6), shortened(what, card.width - left, 3.4), 3.4, anchor=Anchor.START),
        Text((left, 7.2), shortened(front, card.width - left, 3.4, bold=True), 3.4, anchor=Anchor.START, bold=True),
    ]
    for k, line in enumerate(_extra_lines(piece, fmt, card)):
        items.append(Text((0, 12.6 + 5 * k), shortened(line, card.width, 3.4), 3.4, "ink", Anchor.START))
    return Group(tuple(items), "heading")


def _extra_lines(piece: Piece, fmt: Format, card: Card) -> tuple[str, ...]:
    """Return both faces' sizes where they differ, and the whole note, line by line."""
    lines: list[str] = []
    if is_bevelled(piece):
        lines.append(
            say("piece.sizes", front=_box_words(piece.outline, fmt), back=_box_words(back_outline(piece), fmt))
        )
    if piece.note:
        lines += wrapped(piece.note, card.width, 3.4)
    return tuple(lines)


def _box_words(points: tuple[Point, ...], fmt: Format) -> str:
    left, low, right, high = bounds(points)
    return say("piece.size", width=fmt(right - left), height=fmt(high - low))


def _body(piece: Piece, back: tuple[Point, ...], view: View) -> tuple[Group, ...]:
    front = (view.all(piece.outline), *(view.all(hole) for hole in piece.holes))
    items: list[Item] = [Area(front, "board" if piece.layer % 2 else "board-two")]
    if back:
        items.append(Stroke(view.all(back), "hidden", closed=True))
    items += [Stroke(view.all(slit), "chalk-stopped") for slit in piece.slits]
    n = len(piece.outline)
    edges = tuple(
        Stroke(view.all((piece.outline[i], piece.outline[(i + 1) % n])), EDGE_LOOKS[edge.kind])
        for i, edge in enumerate(piece.edges)
        if edge.kind in EDGE_LOOKS
    )
    return (Group((*items, *edges), "piece", piece.id, piece.id),)


def _running(
    columns: tuple[tuple[float, str], ...],
    rows: tuple[tuple[float, str], ...],
    datum: tuple[float, ...],
    view: View,
    space: Room,
    frame: tuple[tuple[float, float, float, float], View],
) -> tuple[Group, ...]:
    reach = frame[0]
    low_left = view.at((reach[0], reach[1]))
    origin = view.at((datum[0], datum[1]))
    pitch = EM * 0.7 + 1.1
    base_y, base_x = low_left[1] + 1.0, low_left[0] - 1.0
    xs = spread([view.at((x, 0))[0] for x, _ in columns], [pitch] * len(columns), 0.5, 1e9)
    ys = spread([view.at((0, y))[1] for y, _ in rows], [pitch] * len(rows), -1e9, 1e9)
    items: list[Item] = []
    for (x, words), place in zip(columns, xs, strict=True):
        at = view.at((x, 0))[0]
        line = ((at, base_y), (at, base_y + 1.6), (place, base_y + 4.4))
        text = Text((place, base_y + 5.0), words, EM, "ink", Anchor.END, -90)
        space.take(text.corners)
        items += [Stroke(line, "leader"), text]
    for (y, words), place in zip(rows, ys, strict=True):
        at = view.at((0, y))[1]
        line = ((base_x, at), (base_x - 1.6, at), (base_x - 4.4, place))
        text = Text((base_x - 5.0, place), words, EM, "ink", Anchor.END)
        space.take(text.corners)
        items += [Stroke(line, "leader"), text]
    x, y = origin
    hook = ((x - 3, y - 2.6), (x - 2, y - 2.6), (x - 2, y + 2), (x + 2.6, y + 2), (x + 2.6, y + 3), (x - 3, y + 3))
    return (Group(tuple(items), "dimensions"), Group((Area((hook,), "solid"),), "datum"))


def _round_labels(piece: Piece, view: View, space: Room, fmt: Format) -> tuple[Group, ...]:
    """Cross the centre of each round hole or bite and write its diameter; its centre is a running dimension."""
    left, low = datum_of(piece)
    rings = (view.all(piece.outline), *(view.all(hole) for hole in piece.holes))
    found = []
    for k, one in enumerate(rounds_of(piece, fmt)):
        at, far = view.at((one.centre[0] + left, one.centre[1] + low)), one.radius * view.scale
        words = say("round.diameter", diameter=fmt(2 * one.radius))
        inside = space.within((at,))
        if not inside:
            words += ", " + centre_text(one, fmt)
        cross = tuple(
            Stroke((offset(at, way, -1.6), offset(at, way, 1.6)), "chalk-tick") for way in ((1.0, 0.0), (0.0, 1.0))
        )
        places = [
            Text(offset(at, way, far + gap), words, 3.2, "chalk-text", anchor)
            for gap in (2.4, 5.0)
            for way, anchor in _WAYS
        ]
        level = [Text(offset(at, (0.0, 1.0), g), words, 3.2, "chalk-text") for g in (-3.4, 3.4)]
        wide = places[0].width + 1.0 < 1.6 * far and inside
        good = [t for t in places if room_for(rings, middle(t.corners[0], t.corners[2]), t.width, 3.2, 0.0)]
        text, moved = space.put([*(level if wide else ()), *good, *(t for t in places if t not in good)])
        leader: tuple[Item, ...] = (Stroke((at, text.at), "leader"),) if moved else ()
        found.append(Group((*(cross if inside else ()), *leader, text), "round", str(k)))
    return tuple(found)


_WAYS = (
    ((0.0, -1.0), Anchor.MIDDLE),
    ((0.0, 1.0), Anchor.MIDDLE),
    ((1.0, 0.0), Anchor.START),
    ((-1.0, 0.0), Anchor.END),
)


def _label(piece: Piece, view: View, space: Room) -> Group:
    rings = (view.all(piece.outline), *(view.all(hole) for hole in piece.holes))
    spot, depth = spot_inside(rings)
    up = view.way(piece.up)
    long = max(2.4, min(12.0, 1.5 * depth))
    foot, tip, side = offset(spot, up, -long / 2), offset(spot, up, long / 2), (-up[1], up[0])
    space.take((offset(foot, side, 1.4), offset(tip, side, 1.4), offset(tip, side, -1.4), offset(foot, side, -1.4)))
    arrow = up_arrow(spot, up, long)
    places = [
        Text(offset(spot, (1.0, 0.0), far), say("piece.up"), EM, "ink-halo", Anchor.START)
        for far in (2.4, long / 2 + 1.5)
    ]
    places = [t for t in places if room_for(rings, middle(t.corners[0], t.corners[2]), t.width, EM, 0.0)]
    places = [t for t in places if space.free(t.corners)]
    return Group((arrow, space.put(places)[0]) if places else (arrow,), "label", piece.id)


def _bevel_labels(piece: Piece, view: View, space: Room) -> tuple[Group, ...]:
    """Letter each bevelled edge along it, inside the piece; of edges in one line only the longest."""
    rings = (view.all(piece.outline), *(view.all(hole) for hole in piece.holes))
    n = len(piece.outline)
    said: list[tuple[str, Point]] = []
    found = []
    edges = [(rings[0][i], rings[0][(i + 1) % n], edge.bevel, i) for i, edge in enumerate(piece.edges)]
    for a, b, bevel, i in sorted(edges, key=lambda e: (-distance(e[0], e[1]), e[3])):
        if abs(bevel) <= 1e-6:
            continue
        side = say("piece.back") if bevel > 0 else say("piece.bevel-front")
        words = say("piece.bevel", angle=degrees_text(abs(bevel)), side=side)
        long = distance(a, b) or 1.0
        way = ((b[0] - a[0]) / long, (b[1] - a[1]) / long)
        if any(w == words and way[0] * v[0] + way[1] * v[1] > 1 - 1e-4 for w, v in said):
            continue
        said.append((words, way))
        inward = (way[1], -way[0])
        places = [
            Text(offset(middle(a, b, s), inward, far), words, 3.2, "chalk-text", turn_deg=readable_turn(way))
            for far in (2.8, 6.4, 10.0, -3.4)
            for s in (0.5, 0.35, 0.65)
        ]
        inside = [t for t in places if room_for(rings, t.at, t.width, 2.4, t.turn_deg)]
        text, moved = space.put([*inside, *(t for t in places if t not in inside)])
        leader: tuple[Item, ...] = (Stroke((middle(a, b), text.at), "leader"),) if moved else ()
        found.append(Group((*leader, text), "bevel", str(i)))
    return tuple(found)


def _samples(piece: Piece, back: tuple[Point, ...]) -> list[tuple[Item, str]]:
    kinds = {e.kind for e in piece.edges}
    found: list[tuple[Item, str]] = [
        (Stroke(((0, 0), (10, 0)), EDGE_LOOKS[k]), say(_EDGE_WORDS[k])) for k in EDGE_LOOKS if k in kinds
    ]
    if back:
        found.append((Stroke(((0, 0), (10, 0)), "hidden"), say("piece.legend-back")))
    if piece.slits:
        found.append((Stroke(((0, 0), (10, 0)), "chalk-stopped"), say("piece.slit")))
    return found


def _legend_lines(piece: Piece, back: tuple[Point, ...]) -> int:
    return -(-len(_samples(piece, back)) // 2)


def _legend(piece: Piece, back: tuple[Point, ...], card: Card, height: float) -> Group:
    lines = _legend_lines(piece, back)
    items: list[Item] = []
    for k, (sample, words) in enumerate(_samples(piece, back)):
        corner = ((k % 2) * card.width / 2, height - 2.0 - 5.5 * (lines - 1 - k // 2))
        items += legend_rows([(sample, words)], corner, card.width, 5.5)
    return Group(tuple(items), "legend")


def size_words(piece: Piece, fmt: Callable[[float], str]) -> tuple[str, str]:
    """Return width and height of the box round a piece's larger face, as printed, as it is drawn and marked."""
    points = (*piece.outline, *back_outline(piece)) if is_bevelled(piece) else piece.outline
    left, low, right, high = bounds(points)
    return fmt(right - left), fmt(high - low)
