"""A sheet as it is marked out and cut."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from snugbay.draw.geometry import (
    Point,
    View,
    bounds,
    clipped,
    distance,
    hatch,
    left_over,
    middle,
    offset,
    rings_of,
    room_for,
    scale_for,
    spot_inside,
)
from snugbay.draw.lettering import shortened, text_width
from snugbay.draw.placing import Room
from snugbay.draw.scene import Anchor, Area, Group, Item, Scene, Stroke, Text
from snugbay.draw.sheet_marks import Lane, draw_lane, edge_lanes, inside_marks, lane_depth
from snugbay.draw.symbols import (
    DISC,
    Format,
    board_name,
    check_square,
    degrees_text,
    is_inch,
    legend_rows,
    numbered,
    readable_turn,
    scale_bar,
    up_arrow,
)
from snugbay.draw.texts import say
from snugbay.sheets import Cut, Placement, Sheet

HEAD = 13.0
"""Height of the title lines. [mm]"""
FOOT = 15.0
"""Height of the legend. [mm]"""
LABEL = 7.0
"""Largest em of a piece's label. [mm]"""
LEAST_LABEL = 3.2
"""Smallest em of a piece's label before it moves outside with a leader. [mm]"""


@dataclass(frozen=True)
class SheetPage:
    """The room that a sheet drawing has.

    Attributes
    ----------
    width, height : float
        Of the drawing. [mm]
    """

    width: float = 255.0
    height: float = 180.0


PAGE = SheetPage()


def sheet_drawing(sheet: Sheet, fmt: Format, page: SheetPage = PAGE, material: str = "") -> Scene:
    """Draw a sheet with its pieces, waste, cuts in order, and marks along the edges.

    Works without colour: pieces are toned and labelled with place and up arrow, waste is crossed, cuts are numbered and
    their kind is told by dashes.

    Parameters
    ----------
    sheet : Sheet
        As laid out.
    fmt : Format
        Writes lengths.
    page : SheetPage
        Room for the drawing.
    material : str
        Name of the board for people; empty takes the catalogue's.

    Returns
    -------
    Scene
        Drawn to a usual scale, stated in its note ``scale``; no higher than it needs.
    """
    marks = edge_lanes(sheet, fmt)
    depth = {edge: lane_depth(edge, lane) for edge, lane in marks.items()}
    room = (page.width - depth["left"] - depth["right"], page.height - HEAD - FOOT - depth["bottom"] - depth["top"])
    scale = scale_for((sheet.length, sheet.width), room)
    mm = 1000 / scale
    top = HEAD + depth["top"]
    left = depth["left"] + max(0.0, (room[0] - sheet.length * mm) / 2)
    view = View(mm, left, top + sheet.width * mm)
    height = view.foot + depth["bottom"] + FOOT
    space = Room((0.0, HEAD, page.width, height - FOOT))
    edges = tuple(_lane(edge, lane, sheet, view, space, page) for edge, lane in marks.items() if lane)
    for cut in sheet.cuts:
        space.dislike(view.all((cut.start, cut.end)))
    labels = tuple(_piece_label(p, view, space) for p in sheet.placements)
    items: list[Item] = [
        _heading(sheet, fmt, page, material),
        Group((Area((_box(view, (0, 0, sheet.length, sheet.width)),), "sheet"),), "sheet"),
        *_waste(sheet, view),
        *_damaged(sheet, view),
        *(_piece(p, view) for p in sheet.placements),
        *_keep(sheet, view, fmt, space),
        *_cuts(sheet.cuts, view),
        *_tape_bands(sheet, view, is_inch(fmt)),
        *edges,
        *labels,
        *_cut_numbers(sheet.cuts, view, space),
        *inside_marks(sheet, fmt, view, space),
        *_legend(sheet, fmt, scale, page, height),
    ]
    about = say("sheet.about", pieces=len(sheet.placements), cuts=len(_real(sheet.cuts)))
    title = say("sheet.title", number=sheet.number)
    return Scene(page.width, height, tuple(items), title, about, (("scale", f"1:{scale:g}"),))


def _real(cuts: Iterable[Cut]) -> tuple[Cut, ...]:
    return tuple(c for c in cuts if c.kind != "factory edge")


def _box(view: View, rect: tuple[float, float, float, float]) -> tuple[Point, ...]:
    x, y, wide, high = rect
    return view.all(((x, y), (x + wide, y), (x + wide, y + high), (x, y + high)))


def _heading(sheet: Sheet, fmt: Format, page: SheetPage, material: str) -> Group:
    name = Text((0, 4.4), say("sheet.title", number=sheet.number), 8.0, anchor=Anchor.START, bold=True)
    known = {"new": say("sheet.new"), "on hand": say("sheet.on-hand")}
    what = say(
        "sheet.what",
        material=material or board_name(sheet.material),
        thickness=fmt(sheet.thickness),
        length=fmt(sheet.length),
        width=fmt(sheet.width),
        source=known.get(sheet.source) or say("sheet.offcut", name=sheet.source),
    )
    left = name.width + 6
    about = say("sheet.about", pieces=len(sheet.placements), cuts=len(_real(sheet.cuts)))
    return Group(
        (
            name,
            Text((left, 2.6), shortened(what, page.width - left, 4.0), 4.0, anchor=Anchor.START),
            Text((left, 7.4), about, 3.4, "soft-text", Anchor.START),
        ),
        "heading",
    )


def _lane(edge: str, lane: Lane, sheet: Sheet, view: View, space: Room, page: SheetPage) -> Group:
    if edge in ("bottom", "top"):
        return draw_lane(edge, lane, sheet, view, space, (1.0, page.width - 1.0))
    top = view.at((0, sheet.width))[1]
    return draw_lane(edge, lane, sheet, view, space, (min(top, HEAD), view.foot + 4))


def _waste(sheet: Sheet, view: View) -> tuple[Group, ...]:
    found: tuple[tuple[tuple[Point, ...], ...], ...] = tuple((ring,) for ring in sheet.waste)
    if not found:
        taken: list[tuple[tuple[Point, ...], ...]] = [(p.outline, *p.holes) for p in sheet.placements]
        taken += [(_ring(rect),) for rect in (*sheet.keep, *sheet.damaged)]
        found = tuple(rings_of(g) for g in left_over((0, 0, sheet.length, sheet.width), taken, 0.008))
    return tuple(_crossed(tuple(view.all(ring) for ring in rings)) for rings in found)


def _ring(rect: tuple[float, float, float, float]) -> tuple[Point, ...]:
    x, y, wide, high = rect
    return ((x, y), (x + wide, y), (x + wide, y + high), (x, y + high))


def _crossed(rings: tuple[tuple[Point, ...], ...], layer: str = "waste") -> Group:
    left, top, right, bottom = bounds(rings[0])
    lines = [Stroke(pair, "waste-line") for pair in hatch(rings, 3.4, 45)]
    for start, end in (((left, top), (right, bottom)), ((left, bottom), (right, top))):
        lines += [Stroke(part, "waste-cross") for part in clipped(rings, start, end)]
    return Group((Area(rings, "paper"), *lines, Area(rings, "waste-rim")), layer)


def _damaged(sheet: Sheet, view: View) -> tuple[Group, ...]:
    found = []
    for rect in sheet.damaged:
        ring = _box(view, rect)
        lines = tuple(Stroke(pair, "damage-line") for angle in (45, -45) for pair in hatch((ring,), 1.6, angle))
        found.append(Group((Area((ring,), "damage"), *lines), "damaged", title=say("sheet.damaged")))
    return tuple(found)


def _keep(sheet: Sheet, view: View, fmt: Format, space: Room) -> tuple[Group, ...]:
    found = []
    for rect in sheet.keep:
        ring = _box(view, rect)
        left, top, right, bottom = bounds(ring)
        wide, high = right - left, bottom - top
        centre = ((left + right) / 2, (top + bottom) / 2)
        words = say("sheet.keep", length=fmt(rect[2]), width=fmt(rect[3]))
        turn = -90.0 if high > wide else 0.0
        room = max(wide, high) - 2
        if text_width(words, 4.0) > room:
            words = say("sheet.keep-short")
        places = [
            Text(middle(centre, ring[n], share), words, 4.0, turn_deg=turn) for share in (0, 0.3) for n in range(4)
        ]
        text, _ = space.put(places)
        found.append(Group((Area((ring,), "keep"), text), "keep", title=words))
    return tuple(found)


def _piece(placement: Placement, view: View) -> Group:
    rings = (view.all(placement.outline), *(view.all(hole) for hole in placement.holes))
    return Group((Area(rings, "board"),), "piece", placement.piece, placement.piece)


def _piece_label(placement: Placement, view: View, space: Room) -> Group:
    """Letter a piece as large as it can hold, with its up arrow; outside with a leader where it can hold nothing."""
    rings = (view.all(placement.outline), *(view.all(hole) for hole in placement.holes))
    deep, depth = spot_inside(rings)
    up = view.way(placement.up)
    size = LABEL
    while size >= LEAST_LABEL:
        for centre in (view.at(placement.label_at), deep):
            for turn in (0.0, -90.0):
                block = _block(placement.piece, centre, size, turn)
                if block is not None and room_for(rings, centre, *block[2], turn) and space.free(block[0].corners):
                    space.take(block[0].corners)
                    space.take(_square(*block[1]))
                    return Group((block[0], up_arrow(block[1][0], up, block[1][1])), "label", placement.piece)
        size -= 0.6
    text, _ = space.put([Text(deep, placement.piece, LEAST_LABEL + 0.4, "ink-halo", bold=True)], reach=60)
    small = up_arrow(deep, up, max(2.4, min(5.0, 1.6 * depth)))
    return Group((small, Stroke((deep, text.at), "leader"), text), "label", placement.piece)


def _square(at: Point, length: float) -> tuple[Point, ...]:
    half = length / 2
    x, y = at
    return ((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half))


def _block(
    words: str, centre: Point, size: float, turn: float
) -> tuple[Text, tuple[Point, float], tuple[float, float]] | None:
    """Return label, arrow (place, length) and the block's size before its turn: text, then arrow beside it."""
    text = Text(centre, words, size, "ink-halo", bold=True)
    long = 1.25 * size
    gap = 0.5 * size
    wide = text.width + gap + long
    way = (1.0, 0.0) if turn == 0 else (0.0, -1.0)
    at = offset(centre, way, -(gap + long) / 2)
    spot = offset(centre, way, (text.width + gap) / 2)
    return replace(text, at=at, turn_deg=turn), (spot, long), (wide + 1.0, max(long, size) + 0.6)


def _cuts(cuts: Iterable[Cut], view: View) -> tuple[Group, ...]:
    looks = {"stopped": "chalk-stopped", "plunge": "chalk-plunge"}
    return tuple(
        Group(
            (Stroke(view.all((c.start, c.end)), looks.get(c.kind, "chalk-line")),),
            "cut",
            str(c.number),
            f"{c.number}: {c.kind}",
        )
        for c in _real(cuts)
    )


def _cut_numbers(cuts: Iterable[Cut], view: View, space: Room) -> tuple[Group, ...]:
    """Number each cut on its line, or beside it with a leader where the line is too short or too crowded."""
    found = []
    for cut in _real(cuts):
        start, end = view.all((cut.start, cut.end))
        radius = max(DISC, text_width(str(cut.number), 3.4, bold=True) / 2 + 0.8)
        shares: tuple[float, ...] = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.12, 0.88)
        if distance(start, end) < 3 * radius:
            shares = (0.5,)
        spot, moved = _disc_place(start, end, shares, radius, space)
        items: list[Item] = []
        if moved:
            items.append(Stroke((middle(start, end), spot), "leader"))
        items.append(numbered(spot, str(cut.number)))
        if abs(cut.bevel) > 1e-6:
            items.append(_bevel(cut, start, end, spot, radius, space))
        found.append(Group(tuple(items), "cutnumber", str(cut.number)))
    return tuple(found)


def _disc_place(start: Point, end: Point, shares: tuple[float, ...], radius: float, space: Room) -> tuple[Point, bool]:
    for share in shares:
        spot = middle(start, end, share)
        if space.free(_square(spot, 2 * radius)):
            space.take(_square(spot, 2 * radius))
            return spot, False
    spot = space.near(middle(start, end), radius)
    space.take(_square(spot, 2 * radius))
    return spot, True


def _bevel(cut: Cut, start: Point, end: Point, spot: Point, radius: float, space: Room) -> Text:
    way = ((end[0] - start[0]), (end[1] - start[1]))
    turn = readable_turn(way)
    words = say("sheet.bevel", angle=degrees_text(abs(cut.bevel)))
    long = distance(start, end) or 1.0
    unit = (way[0] / long, way[1] / long)
    places = []
    for side in (2.4, -2.4):
        for along in (0.0, radius + 8, -radius - 8):
            at = offset(offset(spot, unit, along), (-unit[1], unit[0]), side)
            places.append(Text(at, words, 3.2, "chalk-text", turn_deg=turn))
    return space.put(places)[0]


def _tape_bands(sheet: Sheet, view: View, inch: bool) -> tuple[Group, ...]:
    """Draw a tape along the bottom and the left edge, hooked on the datum corner."""
    step, big = (0.0254, 12) if inch else (0.05, 10)
    while step * view.scale < 1.6:
        step, big = step * 2, max(1, big // 2)
    corner = view.at((0, 0))
    deep = 2.4
    bands: list[Item] = []
    for long, way, out in ((sheet.length, (1.0, 0.0), (0.0, 1.0)), (sheet.width, (0.0, -1.0), (-1.0, 0.0))):
        end = offset(corner, way, long * view.scale)
        bands.append(Area(((corner, end, offset(end, out, deep), offset(corner, out, deep)),), "tape-band"))
        for n in range(1, int(long / step + 1e-6) + 1):
            at = offset(corner, way, n * step * view.scale)
            tick = deep if n % big == 0 else 0.4 * deep
            bands.append(Stroke((at, offset(at, out, tick)), "thin" if n % big == 0 else "hair"))
    x, y = corner
    hook = (
        (x - 3.6, y - 3.2),
        (x - 2.4, y - 3.2),
        (x - 2.4, y + 2.4),
        (x + 3.2, y + 2.4),
        (x + 3.2, y + 3.6),
        (x - 3.6, y + 3.6),
    )
    bands.append(Area((hook,), "solid"))
    return (Group(tuple(bands), "tape", title=say("sheet.from-here")),)


def _legend(sheet: Sheet, fmt: Format, scale: float, page: SheetPage, height: float) -> tuple[Group, ...]:
    kinds = {c.kind for c in _real(sheet.cuts)}
    samples: list[tuple[Item, str]] = []
    lines = (("chalk-line", "through"), ("chalk-stopped", "stopped"), ("chalk-plunge", "plunge"))
    present = (bool(kinds - {"stopped", "plunge"}), "stopped" in kinds, "plunge" in kinds)
    for (look, name), shown in zip(lines, present, strict=True):
        if shown:
            samples.append((Stroke(((0, 0), (10, 0)), look), say(f"sheet.legend-{name}")))
    samples.append((_crossed((((0, -2.5), (10, -2.5), (10, 2.5), (0, 2.5)),), "sample"), say("sheet.legend-waste")))
    inch = is_inch(fmt)
    side, words = (12.7, "1/2 in") if inch else (10.0, "10 mm")
    square = check_square((page.width - side - 0.5, height - side - 0.5), side, say("sheet.square", side=words))
    step = 0.3048 if inch else 0.25
    parts = 2
    note = Text((0, 0), say("sheet.square", side=words), 3.0)
    bar_left = page.width - side - 10 - note.width - parts * step * 1000 / scale - 8
    says = Text((bar_left - 5, height - 5.0), say("sheet.scale", scale=f"{scale:g}"), 3.4, "ink", Anchor.END)
    bar = scale_bar((bar_left, height - 7.0), scale, fmt, step, parts)
    items = legend_rows(samples, (0.0, height - 10.0), says.at[0] - says.width - 4, 6.0)
    return (Group((*items, says), "legend"), bar, square)
