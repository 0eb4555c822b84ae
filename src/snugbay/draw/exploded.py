"""The pieces in space, drawn apart along the way they go in, nearer ones over farther ones."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass

from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from snugbay.draw.geometry import Box, Point, bounds, polygon, polygons, rings_of, scale_for, spot_inside
from snugbay.draw.lettering import wrapped
from snugbay.draw.placing import Room
from snugbay.draw.scene import Anchor, Area, Group, Item, Scene, Stroke, Text, moved
from snugbay.draw.sight import LEAST_FACING, Eye, best_eye, cross, dot, drawing_order, spread_of
from snugbay.draw.solid import Place, Solid, outline_area, solid_of, to_world
from snugbay.draw.texts import say
from snugbay.job import Job
from snugbay.pieces import Piece, PieceKind, PieceSet
from snugbay.pieces.overlay import together, without
from snugbay.survey import Frame, Survey

_MOST_VIEWS = 4
_HEAD, _RIM = 9.0, 6.0
_STRAGGLERS = 0.25
"""Fronts that the first view does not show are drawn from behind there where they are less than this share."""


@dataclass(frozen=True)
class Shown:
    """A piece in a view.

    Attributes
    ----------
    solid, seated : Solid
        Where it is drawn, and where it will lie.
    fresh : bool
        False for a piece that is in already: drawn plain, without a label.
    """

    solid: Solid
    seated: Solid
    fresh: bool = True


def exploded(
    job: Job, survey: Survey, pieces: PieceSet, explode: float = 1.0, width: float = 180.0, most_height: float = 190.0
) -> Scene:
    """Draw all pieces, apart along the way they go in, in as many views as it takes to see every front.

    Each piece is drawn and labelled once, in the view that shows its front best. Views stand one below the other.

    Parameters
    ----------
    job : Job
        Its title.
    survey : Survey
        Where the faces stand.
    pieces : PieceSet
        What to draw.
    explode : float
        0 draws every piece in its place; 1 apart by a good step.
    width, most_height : float
        Room on the page. [mm]
    """
    frames = _frames(survey)
    here = tuple(p for p in pieces.pieces if p.face in frames)
    missing = sorted({p.face for p in pieces.pieces} - frames.keys())
    title = say("exploded.title")
    items: list[Item] = [Text((0, 3.6), title, 6.0, anchor=Anchor.START, bold=True)]
    views = [
        (
            eye,
            [_lifted(p, frames[p.face], _reach(survey, seen, explode)) for p in seen],
            _outlines(survey, {p.face for p in seen}),
        )
        for eye, seen in _views(here, frames)
    ]
    caption = 6.0 if len(views) > 1 else 0.0
    spans = [_span(shown, outlines, eye) for eye, shown, outlines in views]
    widest = max((right - left for left, _, right, _ in spans), default=1.0)
    tallest = sum(high - low for _, low, _, high in spans) or 1.0
    room = most_height - _HEAD - len(views) * (caption + 2 * _RIM)
    scale = scale_for((widest, tallest), (width - 16, max(40.0, room)))
    height = _HEAD
    for n, (eye, shown, outlines) in enumerate(views):
        drawn, high = _view(shown, outlines, eye, (width, scale), explode > 0)
        if caption:
            height += caption
            items.append(Text((0, height - 3.0), _view_words(eye), 3.8, "soft-text", Anchor.START))
        elif eye.towards[2] < 0:
            items.append(Text((width, 3.6), _view_words(eye), 3.8, "soft-text", Anchor.END))
        items.append(_moved(drawn, height, f"view {n + 1}"))
        height += high
    for line in wrapped(say("exploded.missing", faces=", ".join(missing)), width, 3.4) if missing else ():
        items.append(Text((0, height + 3), line, 3.4, "ink", Anchor.START))
        height += 5.0
    notes = (("missing", ", ".join(missing)), ("views", str(len(views))))
    return Scene(width, height + 3.0, tuple(items), f"{title}: {job.title}", say("exploded.about"), notes)


def step_drawing(
    survey: Survey,
    pieces: PieceSet,
    now: Collection[str],
    before: Collection[str],
    width: float = 84.0,
    most_height: float = 60.0,
) -> Scene | None:
    """Draw one step of the work: its pieces drawn apart and labelled, what is in already plain and in its place.

    Parameters
    ----------
    survey : Survey
        Where the faces stand.
    pieces : PieceSet
        All pieces.
    now, before : collection of str
        Labels of the pieces that go in, and of those that are in.
    width, most_height : float
        Room on the page. [mm]

    Returns
    -------
    Scene or None
        None where no piece of the step has a place.
    """
    frames = _frames(survey)
    seen = [p for p in pieces.pieces if p.id in now and p.face in frames]
    if not seen:
        return None
    eye = _eye_for(seen, frames)
    shown = [_lifted(p, frames[p.face], _reach(survey, seen, 1.0)) for p in seen]
    for p in pieces.pieces:
        if p.id in before and p.face in frames and dot(frames[p.face].normal, eye.towards) > LEAST_FACING:
            solid = solid_of(p, frames[p.face])
            shown.append(Shown(solid, solid, fresh=False))
    shown = _near_by(shown, eye)
    outlines = _outlines(survey, {p.face for p in seen})
    left, low, right, high = _span(shown, outlines, eye)
    scale = scale_for((right - left, high - low), (width - 10, most_height - 2 * _RIM))
    drawn, height = _view(shown, outlines, eye, (width, scale), True)
    return Scene(width, height, drawn, ", ".join(p.id for p in seen), say("exploded.about"))


def _frames(survey: Survey) -> dict[str, Frame]:
    return {f.id: f.frame for f in survey.faces if f.frame is not None}


def _eye_for(pieces: Sequence[Piece], frames: dict[str, Frame]) -> Eye:
    return best_eye([(frames[p.face].normal, outline_area(p.outline)) for p in pieces])


def _views(pieces: Sequence[Piece], frames: dict[str, Frame]) -> list[tuple[Eye, list[Piece]]]:
    """Choose views, each for what the others do not show, then give every piece to the first that shows its front.

    Where the first view shows nearly all, the few others are drawn in it from behind.
    """
    if not pieces:
        return []
    chosen: list[Eye] = []
    left = list(pieces)
    whole = sum(outline_area(p.outline) for p in pieces)
    while left and len(chosen) < _MOST_VIEWS:
        chosen.append(_eye_for(left, frames))
        left = [p for p in left if dot(frames[p.face].normal, chosen[-1].towards) <= LEAST_FACING]
        if len(chosen) == 1 and sum(outline_area(p.outline) for p in left) < _STRAGGLERS * whole:
            return [(chosen[0], list(pieces))]
    given: list[list[Piece]] = [[] for _ in chosen]
    for p in pieces:
        facing = [dot(frames[p.face].normal, eye.towards) for eye in chosen]
        first = next((n for n, f in enumerate(facing) if f > LEAST_FACING), facing.index(max(facing)))
        given[first].append(p)
    return [(eye, seen) for eye, seen in zip(chosen, given, strict=True) if seen]


def _view_words(eye: Eye) -> str:
    return say("exploded.above") if eye.towards[2] > 0 else say("exploded.below")


def _outlines(survey: Survey, faces: Collection[str]) -> list[tuple[Place, ...]]:
    return [
        tuple(to_world(f.frame, p, 0.0) for p in f.points)
        for f in survey.faces
        if f.id in faces and f.frame is not None
    ]


def _reach(survey: Survey, pieces: Sequence[Piece], explode: float) -> float:
    """Return how far one layer is lifted: a seventh of the whole, less where the faces themselves are narrow. [m]"""
    faces = {p.face for p in pieces}
    places = [c for ring in _outlines(survey, faces) for c in ring]
    narrow = []
    for face in survey.faces:
        if face.id in faces:
            left, low, right, high = bounds(face.points)
            narrow.append(min(right - left, high - low))
    narrow.sort()
    return explode * min(spread_of(places) / 7, 0.6 * narrow[len(narrow) // 2])


def _lifted(piece: Piece, frame: Frame, reach: float) -> Shown:
    steps = piece.layer + (piece.kind is PieceKind.PLUG)
    return Shown(solid_of(piece, frame, reach * steps), solid_of(piece, frame))


def _near_by(shown: Sequence[Shown], eye: Eye) -> list[Shown]:
    """Drop what is in already and far from the pieces that go in."""
    fresh = bounds(eye.flat(c) for s in shown if s.fresh for c in (*s.solid.front[0], *s.seated.front[0]))
    wide, high = fresh[2] - fresh[0], fresh[3] - fresh[1]
    rim = 0.35 * max(wide, high)
    kept = []
    for s in shown:
        box = bounds(eye.flat(c) for c in s.solid.front[0])
        near = (
            box[0] < fresh[2] + rim and box[2] > fresh[0] - rim and box[1] < fresh[3] + rim and box[3] > fresh[1] - rim
        )
        large = box[2] - box[0] > 4 * wide or box[3] - box[1] > 4 * high
        if s.fresh or (near and not large):
            kept.append(s)
    return kept


def _span(shown: Sequence[Shown], outlines: Sequence[tuple[Place, ...]], eye: Eye) -> Box:
    """Return the box round a view on the picture plane. [m]"""
    places = [c for s in shown for ring in (*s.solid.front, *s.solid.back) for c in ring]
    return bounds(eye.flat(c) for c in (*places, *(c for o in outlines for c in o)))


def _view(
    shown: Sequence[Shown], outlines: Sequence[tuple[Place, ...]], eye: Eye, size: Point, ways_in: bool
) -> tuple[tuple[Item, ...], float]:
    """Draw one view from the top of a page down; ``size`` is its width [mm] and its scale, one to so many.

    Returns its items and its height. [mm]
    """
    width, scale = size
    solids = [s.solid for s in shown]
    left, low, right, high = _span(shown, outlines, eye)
    mm = 1000 / scale
    height = (high - low) * mm + 2 * _RIM
    x0, y0 = width / 2 - mm * (left + right) / 2, _RIM + mm * high

    def page(place: Place) -> Point:
        x, y = eye.flat(place)
        return (x0 + mm * x, y0 - mm * y)

    order = drawing_order(solids, eye)
    items: list[Item] = [Group((Stroke(tuple(map(page, o)), "ghost", closed=True),), "face") for o in outlines]
    if ways_in:
        items += [_way_in(s.seated, s.solid, page) for s in shown if s.fresh]
    items += [_drawn(shown[k], eye, page) for k in order]
    items += _labels(shown, order, eye, page, Room((0.0, 0.0, width, height)))
    return tuple(items), height


def _moved(items: tuple[Item, ...], down: float, name: str) -> Group:
    return Group(tuple(moved(item, 0.0, down) for item in items), "view", name)


OnPage = Callable[[Place], Point]


def _drawn(shown: Shown, eye: Eye, place: OnPage) -> Group:
    """Draw a solid: the walls that face the eye, far ones first, then the cap that does."""
    solid = shown.solid
    walls: list[tuple[float, Area]] = []
    for front, back in zip(solid.front, solid.back, strict=True):
        for k, p in enumerate(front):
            m = (k + 1) % len(front)
            quad = (p, front[m], back[m], back[k])
            out = cross(_less(front[m], p), _less(back[k], p))
            facing = -dot(out, eye.towards)
            if facing > 1e-12:
                steep = facing / (dot(out, out) ** 0.5)
                far = sum(dot(eye.towards, c) for c in quad) / 4
                look = "board-edge" if steep > 0.45 else "board-side"
                walls.append((far, Area((tuple(map(place, quad)),), look if shown.fresh else "done-side")))
    walls.sort(key=lambda w: w[0])
    seen_front = dot(solid.normal, eye.towards) > 0
    cap = solid.front if seen_front else solid.back
    look = ("board" if solid.piece.layer % 2 else "board-two") if seen_front else "board-edge"
    look = look if shown.fresh else "done"
    items = (*(area for _, area in walls), Area(tuple(tuple(map(place, ring)) for ring in cap), look))
    return Group(items, "piece" if shown.fresh else "done", solid.piece.id, solid.piece.id)


def _less(a: Place, b: Place) -> Place:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def _way_in(seated: Solid, lifted: Solid, place: OnPage) -> Group:
    """Draw the way a piece goes in: from its back, drawn apart, to where its back will lie."""
    ring = seated.back[0]
    lines = []
    for k in range(0, len(ring), max(1, len(ring) // 4)):
        lines.append(Stroke((place(ring[k]), place(lifted.back[0][k])), "leader"))
    return Group(tuple(lines), "wayin", seated.piece.id)


def _labels(shown: Sequence[Shown], order: Sequence[int], eye: Eye, place: OnPage, space: Room) -> tuple[Group, ...]:
    """Letter each fresh piece where it can be seen; with a leader where it is hidden or too crowded."""
    hidden: BaseGeometry = Polygon()
    found = []
    for k in reversed(order):
        solid = shown[k].solid
        cap = solid.front if dot(solid.normal, eye.towards) > 0 else solid.back
        rings = [tuple(map(place, ring)) for ring in cap]
        if shown[k].fresh:
            seen = polygons(without(polygon(rings), hidden))
            spot, depth = spot_inside(rings_of(seen[0]) if seen and seen[0].area > 4 else rings, 0.4)
            size = 4.6 if depth > 4 else 3.8 if depth > 2.2 else 3.3
            text, away = space.put([Text(spot, solid.piece.id, size, "ink-halo", bold=True)])
            leader: tuple[Item, ...] = (Stroke((spot, text.at), "leader"),) if away else ()
            found.append(Group((*leader, text), "label", solid.piece.id))
        outline = polygon([tuple(map(place, ring)) for ring in solid.front])
        hidden = together([hidden, outline, polygon([tuple(map(place, ring)) for ring in solid.back])])
    return tuple(found)
