"""A face as it was measured: readings where they were taken, the adjusted value beside, suspects by shape."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import atan2, cos, degrees, hypot, pi, sin

from snugbay.draw.geometry import Point, View, bounds, distance, middle, offset, room_for, scale_for
from snugbay.draw.lettering import shortened
from snugbay.draw.placing import Room
from snugbay.draw.scene import Anchor, Area, Disc, Group, Item, Scene, Stroke, Text
from snugbay.draw.symbols import Format, degrees_text, legend_rows, readable_turn, up_arrow
from snugbay.draw.texts import say
from snugbay.job import Face, Job, ReadingKind
from snugbay.survey import AdjustedFace, AdjustedReading, Survey

EM = 3.7
"""Em of a reading. [mm]"""
HEAD, FOOT, SIDE = 13.0, 15.0, 20.0
_LENGTHS = (ReadingKind.DISTANCE, ReadingKind.ALONG, ReadingKind.OFFSET, ReadingKind.TWIST)


@dataclass(frozen=True)
class SketchPage:
    """Room for a face sketch. [mm]"""

    width: float = 180.0
    height: float = 150.0


PAGE = SketchPage()


def face_sketch(job: Job, survey: Survey, face_id: str, fmt: Format, page: SketchPage = PAGE) -> Scene:
    """Sketch a face with its readings where they were taken.

    A reading is printed as written, with the adjusted value after ``>`` where it differs. A reading in doubt stands in
    a heavy frame with a flag on its line; one that nothing checks has a hollow ring before it.

    Parameters
    ----------
    job, survey : Job, Survey
        The job and its adjusted faces.
    face_id : str
        Which face; `UnknownName` is raised where there is none of this name.
    fmt : Format
        Writes lengths.
    page : SketchPage
        Room for the sketch.
    """
    face, adjusted = job.face(face_id), survey.face(face_id)
    view = _view(adjusted.points, page)
    _, top, _, foot = bounds(view.all(adjusted.points))
    stations = any(r.kind is ReadingKind.ALONG for r in face.readings)
    rim = 22 if stations else 12
    height = min(page.height, HEAD + (foot - top) + 2 * rim + FOOT)
    view = View(view.scale, view.left, view.foot + (height - FOOT - rim) - foot)
    space = Room((0.5, HEAD, page.width - 0.5, height - FOOT))
    outline = view.all(adjusted.points)
    for i, p in enumerate(outline):
        space.dislike((p, outline[(i + 1) % len(outline)]))
    corners = _corner_names(adjusted, view, space)
    interruptions = _interruptions(face, adjusted, view, space)
    readings = tuple(_reading(r, adjusted, view, fmt, space) for r in _hardest_first(adjusted.readings))
    middle_up = _up(adjusted, view, space)
    items: list[Item] = [
        _heading(face, adjusted, page),
        Group((Area((outline,), "board"),), "face", face.id, face.title),
        *_rough(face, adjusted, view),
        *interruptions,
        *readings,
        *corners,
        middle_up,
        _legend(adjusted, face, page, height),
    ]
    about = say("face.about", readings=len(adjusted.readings), suspects=sum(r.suspect for r in adjusted.readings))
    return Scene(page.width, height, tuple(items), say("face.title", id=face.id, title=face.title), about)


def _view(points: tuple[Point, ...], page: SketchPage) -> View:
    left, low, right, high = bounds(points)
    room = (page.width - 2 * SIDE, page.height - HEAD - FOOT - 44)
    mm = 1000 / scale_for((right - left, high - low), room)
    return View(mm, page.width / 2 - mm * (left + right) / 2, page.height - FOOT - 22 + mm * low)


def _heading(face: Face, adjusted: AdjustedFace, page: SketchPage) -> Group:
    name = Text((0, 4.0), face.id, 7.0, anchor=Anchor.START, bold=True)
    left = name.width + 4
    suspects = sum(r.suspect for r in adjusted.readings)
    about = say("face.about", readings=len(adjusted.readings), suspects=suspects)
    return Group(
        (
            name,
            Text((left, 2.6), shortened(face.title, page.width - left, 4.2), 4.2, anchor=Anchor.START, bold=True),
            Text((left, 7.4), about, 3.4, "soft-text", Anchor.START),
        ),
        "heading",
    )


def _corner_names(adjusted: AdjustedFace, view: View, space: Room) -> tuple[Group, ...]:
    points = view.all(adjusted.points)
    n = len(points)
    found = []
    for i, (name, at) in enumerate(zip(adjusted.corners, points, strict=True)):
        before, after = points[i - 1], points[(i + 1) % n]
        way = corner_way(at, before, after)
        text, _ = space.put([Text(offset(at, way, far), name, 5.0, "ink-halo", bold=True) for far in (4.2, 6.0, 8.0)])
        found.append(Group((Disc(at, 0.9, "dot-solid"), text), "corner", name))
    return tuple(found)


def corner_way(at: Point, before: Point, after: Point) -> Point:
    """Return the direction out of a corner, against the sum of its two edges."""
    ux, uy = 0.0, 0.0
    for other in (before, after):
        long = distance(at, other) or 1.0
        ux, uy = ux + (at[0] - other[0]) / long, uy + (at[1] - other[1]) / long
    long = hypot(ux, uy)
    if long < 1e-6:
        dx, dy = after[0] - at[0], after[1] - at[1]
        long = hypot(dx, dy) or 1.0
        return (-dy / long, dx / long)
    return (ux / long, uy / long)


def _hardest_first(readings: Iterable[AdjustedReading]) -> list[AdjustedReading]:
    """Letter sides first, since they have one good place, then the rest in the order taken."""
    rank = {ReadingKind.DISTANCE: 0, ReadingKind.ALONG: 1, ReadingKind.OFFSET: 1}
    return sorted(readings, key=lambda r: rank.get(r.reading.kind, 2))


def reading_words(found: AdjustedReading, fmt: Format) -> str:
    """Return a reading as written, and the adjusted value after it where that prints differently."""
    reading = found.reading
    if reading.kind in _LENGTHS:
        read, fitted = reading.written or fmt(reading.value), fmt(found.adjusted)
        same = fitted == fmt(reading.value)
    else:
        read = reading.written or f"{degrees_text(reading.value)}°"
        fitted = f"{degrees(found.adjusted):.1f}°"
        same = abs(found.residual) < 0.0009
    return read if same else f"{read} > {fitted}"


def _reading(found: AdjustedReading, adjusted: AdjustedFace, view: View, fmt: Format, space: Room) -> Group:
    reading = found.reading
    words = reading_words(found, fmt)
    at = {c: view.at(adjusted.point(c)) for c in reading.corners}
    if reading.kind is ReadingKind.DISTANCE:
        return _distance(found, words, at, adjusted, space)
    if reading.kind is ReadingKind.ANGLE:
        return _angle(found, words, at, space)
    if reading.kind in (ReadingKind.ALONG, ReadingKind.OFFSET):
        return _station(found, words, at, space)
    if reading.kind is ReadingKind.LEAN:
        return _lean(found, words, at, space)
    spot = at[reading.corners[0]]
    return _lettered(
        found, say("face.out-of-plane", value=words), [offset(spot, w, 9) for w in _COMPASS], 0.0, space, ()
    )


_COMPASS: tuple[Point, ...] = tuple((cos(k * pi / 4), sin(k * pi / 4)) for k in (1, 3, 5, 7, 0, 2, 4, 6))


def _distance(found: AdjustedReading, words: str, at: dict[str, Point], adjusted: AdjustedFace, space: Room) -> Group:
    p, q = (at[c] for c in found.reading.corners)
    long = distance(p, q) or 1.0
    way = ((q[0] - p[0]) / long, (q[1] - p[1]) / long)
    side = (-way[1], way[0])
    names, n = adjusted.corners, len(adjusted.corners)
    i, j = (names.index(c) for c in found.reading.corners)
    turn = readable_turn(way)
    if (j - i) % n in (1, n - 1):
        if (j - i) % n == n - 1:
            side = (-side[0], -side[1])
        spots = [offset(middle(p, q, s), side, far) for far in (4.0, 8.5) for s in (0.5, 0.35, 0.65, 0.2, 0.8)]
        return _lettered(found, words, spots, turn, space, (), middle(p, q))
    spots = [middle(p, q, s) for s in (0.32, 0.68, 0.42, 0.58, 0.24, 0.76, 0.16, 0.84)]
    look = "crayon-line" if found.suspect else "chalk-thin"
    return _lettered(found, words, spots, turn, space, (Stroke((p, q), look),), middle(p, q, 0.32))


def _angle(found: AdjustedReading, words: str, at: dict[str, Point], space: Room) -> Group:
    p, q, r = (at[c] for c in found.reading.corners)
    a0, a1 = atan2(p[1] - q[1], p[0] - q[0]), atan2(r[1] - q[1], r[0] - q[0])
    sweep = (a1 - a0) % (2 * pi)
    if abs(sweep - found.adjusted) > abs(2 * pi - sweep - found.adjusted):
        sweep -= 2 * pi
    radius = min(8.0, 0.4 * min(distance(p, q), distance(q, r)))
    arc = tuple((q[0] + radius * cos(a0 + sweep * k / 12), q[1] + radius * sin(a0 + sweep * k / 12)) for k in range(13))
    mid = a0 + sweep / 2
    spots = [(q[0] + far * cos(mid), q[1] + far * sin(mid)) for far in (radius + 8, radius + 12, radius + 17)]
    return _lettered(found, words, spots, 0.0, space, (Stroke(arc, "chalk-tick"),))


def _station(found: AdjustedReading, words: str, at: dict[str, Point], space: Room) -> Group:
    p, q, r = (at[c] for c in found.reading.corners)
    long = distance(p, q) or 1.0
    way = ((q[0] - p[0]) / long, (q[1] - p[1]) / long)
    along = (r[0] - p[0]) * way[0] + (r[1] - p[1]) * way[1]
    foot = offset(p, way, along)
    if found.reading.kind is ReadingKind.ALONG:
        out = (-way[1], way[0]) if distance(foot, r) < 1e-6 else ((foot[0] - r[0]), (foot[1] - r[1]))
        size = hypot(*out) or 1.0
        out = (out[0] / size, out[1] / size)
        spots = [offset(offset(foot, out, far), way, slide) for far in (7, 12, 17) for slide in (0, 3, -3)]
        tick = Stroke((offset(foot, out, 1.6), offset(foot, out, -1.6)), "pencil-tick")
        return _lettered(found, words, spots, readable_turn(out), space, (tick,))
    spots = [offset(middle(foot, r, s), way, side) for s in (0.5, 0.35, 0.65) for side in (-2.6, 2.6)]
    return _lettered(
        found, words, spots, readable_turn((r[0] - foot[0], r[1] - foot[1])), space, (Stroke((foot, r), "chalk-thin"),)
    )


def _lean(found: AdjustedReading, words: str, at: dict[str, Point], space: Room) -> Group:
    p, q = (at[c] for c in found.reading.corners)
    spot = middle(p, q, 0.7)
    plumb = Stroke((offset(spot, (0, -1), 6), offset(spot, (0, 1), 6)), "hidden")
    bob = Area((((spot[0] - 1.1, spot[1] + 6), (spot[0] + 1.1, spot[1] + 6), (spot[0], spot[1] + 9)),), "solid")
    return _lettered(found, words, [offset(spot, w, 8) for w in _COMPASS], 0.0, space, (plumb, bob))


def _lettered(
    found: AdjustedReading,
    words: str,
    spots: list[Point],
    turn: float,
    space: Room,
    drawn: tuple[Item, ...],
    target: Point | None = None,
) -> Group:
    """Letter a reading at the first free spot, with the sign of its state before it."""
    bold = found.suspect
    look = "crayon-text" if found.suspect else "ink-halo"
    state = "suspect" if found.suspect else "unchecked" if found.redundancy < 0.01 else "checked"
    prefix = {"suspect": 7, "unchecked": 5, "checked": 0}[state] * "\u00a0"
    text, moved = space.put([Text(s, prefix + words, EM, look, turn_deg=turn, bold=bold) for s in spots])
    items: list[Item] = list(drawn)
    if moved and target is not None:
        items.append(Stroke((target, text.at), "leader"))
    if state == "suspect":
        ring = _framed(text)
        items += [Area((ring,), "warn-box"), text, *_flag(text)]
    elif state == "unchecked":
        items += [text, Disc(_before(text, 1.6), 1.2, "dot")]
    else:
        items.append(text)
    return Group(tuple(items), "reading", found.reading.name, f"{found.reading.name}: {words}")


def _before(text: Text, by: float) -> Point:
    a, _, _, d = text.corners
    start = middle(a, d)
    b = text.corners[1]
    long = distance(a, b) or 1.0
    return offset(start, ((b[0] - a[0]) / long, (b[1] - a[1]) / long), by)


def _framed(text: Text) -> tuple[Point, ...]:
    a, b, c, d = text.corners
    long, high = distance(a, b) or 1.0, distance(a, d) or 1.0
    u = ((b[0] - a[0]) / long, (b[1] - a[1]) / long)
    v = ((d[0] - a[0]) / high, (d[1] - a[1]) / high)
    signs = ((-1, -1), (1, -1), (1, 1), (-1, 1))
    return tuple(offset(offset(p, u, 0.5 * s), v, 0.9 * t) for p, (s, t) in zip((a, b, c, d), signs, strict=True))


def _flag(text: Text) -> tuple[Item, ...]:
    """Return the flag of a reading in doubt: a filled triangle with a stroke in it, at the start of its text."""
    x, y = _before(text, 2.2)
    ring = ((x, y - 1.7), (x + 1.9, y + 1.5), (x - 1.9, y + 1.5))
    return (Area((ring,), "crayon-solid"), Stroke(((x, y - 0.5), (x, y + 0.6)), "paper-line"))


def _edge_frame(face_points: tuple[Point, ...], corners: tuple[str, ...], edge: tuple[str, str]) -> tuple[Point, Point]:
    """Return the first corner of an edge and its direction, in the plane of the face."""
    a, b = (face_points[corners.index(c)] for c in edge)
    long = distance(a, b) or 1.0
    return a, ((b[0] - a[0]) / long, (b[1] - a[1]) / long)


def notch_outline(
    points: tuple[Point, ...],
    corners: tuple[str, ...],
    notch_edge: tuple[str, str],
    values: tuple[float, float, float, float],
) -> tuple[Point, ...]:
    """Return a notch's outline in the plane of the face from distance, width, depth and skew. [m, rad]"""
    start, way = _edge_frame(points, corners, notch_edge)
    far, width, depth, skew = values
    inward = (-way[1], way[0])
    lean = depth * sin(skew) / cos(skew)
    near, end = offset(start, way, far), offset(start, way, far + width)
    return (near, offset(offset(near, inward, depth), way, lean), offset(offset(end, inward, depth), way, lean), end)


def _interruptions(face: Face, adjusted: AdjustedFace, view: View, space: Room) -> tuple[Group, ...]:
    points, corners = adjusted.points, adjusted.corners
    start, way = _edge_frame(points, corners, (corners[0], corners[1]))
    across = (-way[1], way[0])

    def inside(x: float, y: float) -> Point:
        return offset(offset(start, way, x), across, y)

    shapes: list[tuple[str, tuple[Point, ...], bool]] = []
    for n in face.notches:
        values = (n.distance, n.width, n.depth, n.skew)
        shapes.append((n.name, notch_outline(points, corners, n.edge, values), n.hot))
    for h in face.holes:
        if h.round:
            ring = [(h.x + h.width / 2 * cos(k * pi / 8), h.y + h.width / 2 * sin(k * pi / 8)) for k in range(16)]
        else:
            ring = _rect(h.x - h.width / 2, h.y - h.height / 2, h.width, h.height)
        shapes.append((h.name, tuple(inside(x, y) for x, y in ring), h.hot))
    for o in face.openings:
        shapes.append((o.name, tuple(inside(x, y) for x, y in _rect(o.x, o.y, o.width, o.height)), False))
    found = []
    for name, outline, hot in shapes:
        ring_mm = view.all(outline)
        left, top, right, bottom = bounds(ring_mm)
        centre = ((left + right) / 2, (top + bottom) / 2)
        places = [Text(p, name, 3.2, "ink-halo") for p in ((centre[0], bottom + 2.6), (centre[0], top - 2.6))]
        places += [
            Text((right + 1.5, centre[1]), name, 3.2, "ink-halo", Anchor.START),
            Text((left - 1.5, centre[1]), name, 3.2, "ink-halo", Anchor.END),
        ]
        if room_for((ring_mm,), centre, places[0].width + 1, 4.0, 0.0):
            places.insert(0, Text(centre, name, 3.2, "ink-halo"))
        text, moved = space.put(places)
        rim: tuple[Item, ...] = (Stroke((centre, text.at), "leader"),) if moved else ()
        cross: tuple[Item, ...] = (Stroke(ring_mm, "crayon-cross", closed=True),) if hot else ()
        found.append(Group((Area((ring_mm,), "hole"), *cross, *rim, text), "interruption", name))
    return tuple(found)


def _rect(x: float, y: float, width: float, height: float) -> list[Point]:
    return [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]


def _rough(face: Face, adjusted: AdjustedFace, view: View) -> tuple[Group, ...]:
    found = []
    for a, b in face.rough_edges:
        if a in adjusted.corners and b in adjusted.corners:
            ends = view.all((adjusted.point(a), adjusted.point(b)))
            found.append(Group((Stroke(ends, "foam-edge"),), "rough", f"{a}-{b}"))
    return tuple(found)


def _up(adjusted: AdjustedFace, view: View, space: Room) -> Group:
    """Put the up arrow where the outline has room for it."""
    left, top, right, bottom = bounds(view.all(adjusted.points))
    centre = ((left + right) / 2, (top + bottom) / 2)
    spot = space.near(centre, 5.0, reach=60)
    half = 5.0
    space.take(
        (
            (spot[0] - half, spot[1] - half),
            (spot[0] + half, spot[1] - half),
            (spot[0] + half, spot[1] + half),
            (spot[0] - half, spot[1] + half),
        )
    )
    word = Text((spot[0] + 3.4, spot[1]), say("face.up"), 3.4, "ink-halo", label=False)
    return Group((*up_arrow(spot, (0.0, -1.0), 9.0).items, word), "up")


def _legend(adjusted: AdjustedFace, face: Face, page: SketchPage, height: float) -> Group:
    samples: list[tuple[Item, str]] = [(Stroke(((0, 0), (10, 0)), "chalk-thin"), say("face.legend-checked"))]
    if any(r.redundancy < 0.01 and not r.suspect for r in adjusted.readings):
        samples.append((Disc((5, 0), 1.2, "dot"), say("face.legend-unchecked")))
    if any(r.suspect for r in adjusted.readings):
        mark = Text((6.2, 0), 7 * "\u00a0", EM, "crayon-text", label=False)
        samples.append(
            (Group((Area((_framed(mark),), "warn-box"), *_flag(mark)), "legend"), say("face.legend-suspect"))
        )
    if face.rough_edges:
        samples.append((Stroke(((0, 0), (10, 0)), "foam-edge"), say("face.legend-rough")))
    return Group(legend_rows(samples, (0.0, height - 9.5), page.width, 6.0), "legend")
