"""Marks of a sheet: running dimensions along its edges, and those inside it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from snugbay.draw.geometry import Point, View, offset
from snugbay.draw.placing import Room, spread
from snugbay.draw.rounds import off_board, rims, round_words
from snugbay.draw.scene import Anchor, Group, Item, Stroke, Text
from snugbay.draw.symbols import Format, crows_foot, disc_radius, numbered
from snugbay.draw.texts import say
from snugbay.sheets import Mark, Sheet

INNER_EM = 3.8
"""Em of a mark inside the sheet. [mm]"""
INNER_DETOUR = 48.0
"""So far the words of such a mark move, with a leader, to lie on no cut. [mm]"""
_NEAR = 0.0015
"""A mark this close to the sheet's edge lies on it. [m]"""
_OUT: dict[str, Point] = {"bottom": (0, 1), "top": (0, -1), "left": (-1, 0), "right": (1, 0)}


@dataclass(frozen=True)
class Lettering:
    """How the marks along an edge are lettered.

    Attributes
    ----------
    em : float
        Em of the figures; 4.8 gives figures 3.4 mm high, read at arm's length. [mm]
    neck : float
        From the edge to the labels; the tape band and the leaders lie in it. [mm]
    numbers : bool
        True where each mark says which cut it belongs to.
    """

    em: float = 4.8
    neck: float = 6.5
    numbers: bool = True

    def long(self, mark: EdgeMark) -> float:
        """Length of a label: the figures, then the disc. [mm]"""
        return self.text(mark).width + (1.2 + mark.disc if self.numbers else 0.0)

    def high(self, mark: EdgeMark) -> float:
        """Height of a label. [mm]"""
        return max(self.em * 0.7, mark.disc if self.numbers else 0.0)

    def reach(self, mark: EdgeMark, *, flat: bool = False) -> float:
        """How far a label goes out of the sheet; a flat one runs along the edge. [mm]"""
        return self.high(mark) if flat else self.long(mark)

    def pitch(self, mark: EdgeMark, *, flat: bool = False) -> float:
        """Length that a label takes along the edge; texts and discs side by side stay clear. [mm]"""
        if flat:
            return self.long(mark) + 2.0
        return max(self.em * 0.7 + 1.5, mark.disc + 0.5 if self.numbers else 0.0)

    def text(self, mark: EdgeMark) -> Text:
        """The running dimension, not yet placed."""
        return Text((0, 0), mark.text, self.em, "ink", bold=True)


EDGE = Lettering()
"""Marks of a whole sheet."""
PART = Lettering(4.4, 4.6)
"""Marks of a part with several cuts."""
PART_ALONE = Lettering(4.4, 4.6, numbers=False)
"""Marks of a part with one cut."""


@dataclass(frozen=True)
class EdgeMark:
    """Marks of one edge that fall together.

    Attributes
    ----------
    at : Point
        On the sheet. [m]
    text : str
        Running dimension.
    cuts : tuple of int
        Numbers of the cuts.
    """

    at: Point
    text: str
    cuts: tuple[int, ...]

    @property
    def number(self) -> str:
        """The cuts' numbers, as in the disc."""
        return "·".join(str(c) for c in self.cuts)

    @property
    def disc(self) -> float:
        """Length that the disc takes. [mm]"""
        return 2 * disc_radius(self.number)


Lane = tuple[EdgeMark, ...]


def on_sheet_edge(mark: Mark, sheet: Sheet) -> bool:
    """Answer whether a mark lies on the edge of the whole sheet that it names."""
    x, y = mark.at
    far = {"bottom": y, "top": sheet.width - y, "left": x, "right": sheet.length - x}
    return mark.edge in far and abs(far[mark.edge]) <= _NEAR


def distance_words(distance: float, fmt: Format) -> str:
    """Write a running dimension; the datum corner itself is called the corner."""
    return say("sheet.corner") if abs(distance) < 1e-6 else fmt(distance)


def edge_lanes(sheet: Sheet, fmt: Format) -> dict[str, Lane]:
    """Return the marks of each edge of the sheet in order along it, those at the same distance together."""
    lanes: dict[str, Lane] = {}
    for edge in _OUT:
        found = [(round(m.distance, 6), m.cut, m.at) for m in sheet.marks if m.edge == edge and on_sheet_edge(m, sheet)]
        found.sort()
        lanes[edge] = tuple(
            EdgeMark(group[0][2], distance_words(far, fmt), tuple(sorted({cut for _, cut, _ in group})))
            for far, group in ((far, list(same)) for far, same in groupby(found, key=lambda f: f[0]))
        )
    return lanes


def lane_depths(lanes: dict[str, Lane], how: Lettering, flat: frozenset[str] = frozenset()) -> dict[str, float]:
    """Return how far out of the sheet the labels of each edge reach; those of flat edges run along the edge. [mm]"""
    bare = {"bottom": 5.0, "left": 5.0, "top": 2.0, "right": 2.0}
    return {
        edge: how.neck + max(how.reach(m, flat=edge in flat) for m in lane) + 0.8 if lane else bare[edge]
        for edge, lane in lanes.items()
    }


def flat_edges(
    lanes: dict[str, Lane],
    sheet: Sheet,
    view_of: Callable[[dict[str, float]], View],
    across: tuple[float, float],
    how: Lettering,
) -> frozenset[str]:
    """Return the level edges whose labels have room to run along the edge, so that nobody has to turn the page.

    Parameters
    ----------
    lanes : dict of str to Lane
        Marks by edge.
    sheet : Sheet
        The sheet or part.
    view_of : callable
        Gives the view of the sheet for the depths of its lanes.
    across : (float, float)
        Page coordinates between which labels may lie. [mm]
    how : Lettering
        Size of the labels.
    """
    flat = frozenset(edge for edge in ("bottom", "top") if lanes[edge])
    while flat:
        view = view_of(lane_depths(lanes, how, flat))
        crowded = frozenset(edge for edge in flat if _crowded(edge, lanes[edge], sheet, view, across, how))
        if not crowded:
            break
        flat -= crowded
    return flat


def _crowded(edge: str, lane: Lane, sheet: Sheet, view: View, across: tuple[float, float], how: Lettering) -> bool:
    """True where a flat label would have to move so far that its mark lies no longer over or under it."""
    along = [_foot(edge, mark, sheet, view)[0] for mark in lane]
    wide = [how.pitch(mark, flat=True) for mark in lane]
    if sum(wide) > across[1] - across[0]:
        return True
    settled = spread(along, wide, *across)
    return any(abs(a - b) > 0.45 * w for a, b, w in zip(along, settled, wide, strict=True))


def draw_lanes(
    lanes: dict[str, Lane],
    sheet: Sheet,
    view: View,
    space: Room,
    across: tuple[float, float],
    how: Lettering = EDGE,
    flat: frozenset[str] = frozenset(),
) -> tuple[Group, ...]:
    """Draw the marks of all edges: crow's foot on the board, leader, running dimension, number of the cut.

    Parameters
    ----------
    lanes : dict of str to Lane
        Marks by edge.
    sheet : Sheet
        The sheet or part.
    view : View
        Sheet to page.
    space : Room
        Told what the labels take.
    across : (float, float)
        Page coordinates between which labels below and above may lie. [mm]
    how : Lettering
        Size of the labels.
    flat : frozenset of str
        Level edges whose labels run along the edge.
    """
    top = view.at((0, sheet.width))[1]
    limits = {"bottom": across, "top": across, "left": (top - 3, view.foot + 4), "right": (top - 3, view.foot + 4)}
    return tuple(
        _draw_lane(edge, lane, sheet, view, space, limits[edge], how, flat=edge in flat)
        for edge, lane in lanes.items()
        if lane
    )


def _draw_lane(
    edge: str,
    lane: Lane,
    sheet: Sheet,
    view: View,
    space: Room,
    limits: tuple[float, float],
    how: Lettering,
    *,
    flat: bool,
) -> Group:
    out = _OUT[edge]
    level = edge in ("bottom", "top")
    feet = [_foot(edge, mark, sheet, view) for mark in lane]
    along = [foot[0 if level else 1] for foot in feet]
    settled = spread(along, [how.pitch(mark, flat=flat) for mark in lane], *limits)
    items: list[Item] = []
    for mark, foot, place in zip(lane, feet, settled, strict=True):
        base = (place, foot[1]) if level else (foot[0], place)
        text, disc = _flat_label(base, out, mark, how) if flat else _label(edge, base, out, mark, how)
        space.take(text.corners)
        drawn: list[Item] = [
            crows_foot(foot, (-out[0], -out[1])),
            Stroke((foot, offset(foot, out, 2.6), offset(base, out, how.neck - 0.6)), "leader"),
            text,
        ]
        if how.numbers:
            half = mark.disc / 2
            left, top = disc[0] - half, disc[1] - half
            space.take(((left, top), (left + 2 * half, top), (left + 2 * half, top + 2 * half), (left, top + 2 * half)))
            drawn.append(numbered(disc, mark.number))
        items.append(Group(tuple(drawn), "mark", mark.number))
    return Group(tuple(items), f"marks-{edge}")


def _label(edge: str, base: Point, out: Point, mark: EdgeMark, how: Lettering) -> tuple[Text, Point]:
    """Return a label that runs out of the sheet, and the middle of its disc."""
    text = _edge_text(edge, offset(base, out, how.neck), how.text(mark))
    return text, offset(base, out, how.neck + text.width + 1.2 + mark.disc / 2)


def _flat_label(base: Point, out: Point, mark: EdgeMark, how: Lettering) -> tuple[Text, Point]:
    """Return a label that runs along its edge, and the middle of its disc."""
    x, y = offset(base, out, how.neck + how.high(mark) / 2)
    text = replace(how.text(mark), at=(x - how.long(mark) / 2, y), anchor=Anchor.START)
    return text, (x + how.long(mark) / 2 - mark.disc / 2, y)


def _foot(edge: str, mark: EdgeMark, sheet: Sheet, view: View) -> Point:
    x, y = mark.at
    exact = {"bottom": (x, 0.0), "top": (x, sheet.width), "left": (0.0, y), "right": (sheet.length, y)}
    return view.at(exact[edge])


def _edge_text(edge: str, at: Point, text: Text) -> Text:
    if edge in ("left", "right"):
        return replace(text, at=at, anchor=Anchor.END if edge == "left" else Anchor.START)
    return replace(text, at=at, anchor=Anchor.END if edge == "bottom" else Anchor.START, turn_deg=-90.0)


def inside_marks(sheet: Sheet, fmt: Format, view: View, space: Room) -> tuple[Group, ...]:
    """Draw the marks that do not lie on the sheet's own edge: on the edges of blanks, and inside them.

    Cuts that meet at one mark share it: it is made once.
    """
    rest = [m for m in sheet.marks if not on_sheet_edge(m, sheet)]
    same: dict[tuple[str, float, float, float, float], list[Mark]] = {}
    for m in rest:
        key = (m.edge, round(m.at[0], 4), round(m.at[1], 4), round(m.distance, 6), round(m.across, 6))
        same.setdefault(key, []).append(m)
    labels = tuple(_inside_label(marks, sheet, fmt) for marks in same.values())
    tries = [_tried(labels, view, space.copied(), upright) for upright in (False, True)]
    upright = tries[1] < tries[0]
    return tuple(_inside_mark(label, view, space, upright)[0] for label in labels)


@dataclass(frozen=True)
class _Label:
    """What is written at a mark, its cuts' numbers, and where the words belong. [m]"""

    mark: Mark
    numbers: str
    words: str
    at: Point
    crossed: bool


def _inside_label(marks: Sequence[Mark], sheet: Sheet, fmt: Format) -> _Label:
    mark = marks[0]
    numbers = "·".join(str(n) for n in sorted({m.cut for m in marks}))
    cut = next((c for c in sheet.cuts if c.number == mark.cut and c.radius), None)
    if cut is not None:
        away = off_board(mark, sheet)
        rim = rims(sheet, cut)[0]
        at = rim[len(rim) // 2] if away else mark.at
        return _Label(mark, numbers, f"{numbers}: {round_words(mark, cut, fmt)}", at, not away)
    words = distance_words(mark.distance, fmt)
    if mark.edge == "inside":
        words += f" | {distance_words(mark.across, fmt)}"
    return _Label(mark, numbers, f"{numbers}: {words}", mark.at, mark.edge == "inside")


def _tried(same: Sequence[_Label], view: View, space: Room, upright: bool) -> tuple[int, int]:
    """Return how many labels move away from their mark, and how many lines lie under labels."""
    texts = [_inside_mark(label, view, space, upright)[1:] for label in same]
    return sum(moved for _, moved in texts), sum(space.disliked(text.corners) for text, _ in texts)


def _inside_mark(label: _Label, view: View, space: Room, upright: bool) -> tuple[Group, Text, bool]:
    mark, at, words = label.mark, view.at(label.at), label.words
    if mark.edge == "inside":
        cross: tuple[Item, ...] = (
            Stroke(((at[0] - 1.3, at[1]), (at[0] + 1.3, at[1])), "chalk-tick"),
            Stroke(((at[0], at[1] - 1.3), (at[0], at[1] + 1.3)), "chalk-tick"),
        )
        cross = cross if label.crossed else ()
        places = _round(at, words, 2.2, upright)
    else:
        inward = (-_OUT[mark.edge][0], -_OUT[mark.edge][1])
        cross = (crows_foot(at, inward),)
        places = _along(at, words, inward, 2.4)
    text, moved = space.put(places, detour=INNER_DETOUR)
    leader: tuple[Item, ...] = (Stroke((at, text.at), "leader"),) if moved else ()
    return Group((*cross, *leader, text), "mark", label.numbers), text, moved


def _round(at: Point, words: str, gap: float, upright: bool) -> list[Text]:
    """Return places for a text round a mark: level ones first, or those that run up and down."""

    def text(dx: float, dy: float, anchor: Anchor, turn: float = 0.0) -> Text:
        return Text((at[0] + dx, at[1] + dy), words, INNER_EM, "chalk-text", anchor, turn, bold=True)

    ends = ((Anchor.START, gap), (Anchor.END, -gap))
    level = [text(dx, dy, anchor) for anchor, dx in ends for dy in (-2.0, 2.0, 0.0)]
    turned = [text(dx, -dy, anchor, -90.0) for anchor, dy in ends for dx in (-1.6, 1.6)]
    return [*turned, *level] if upright else [*level, *turned]


def _along(at: Point, words: str, inward: Point, gap: float) -> list[Text]:
    """Return places for a text that runs into the blank from a mark on its edge, then out of it."""
    found = []
    for way in (inward, (-inward[0], -inward[1])):
        for side in (2.3, -2.3, 0.0):
            foot = offset(offset(at, way, gap), (-way[1], way[0]), side)
            if way[0]:
                anchor, turn = (Anchor.START if way[0] > 0 else Anchor.END), 0.0
            else:
                anchor, turn = (Anchor.START if way[1] < 0 else Anchor.END), -90.0
            found.append(Text(foot, words, INNER_EM, "chalk-text", anchor, turn, bold=True))
    return found
