"""A space as it stands: the faces whose inner side is seen, far ones first; those in front as an outline only."""

from __future__ import annotations

from collections.abc import Sequence

from snugbay.draw.geometry import Point, bounds, scale_for, spot_inside
from snugbay.draw.lettering import text_width
from snugbay.draw.placing import Room
from snugbay.draw.scene import Anchor, Area, Group, Item, Scene, Stroke, Text
from snugbay.draw.sight import LEAST_FACING, best_eye, dot
from snugbay.draw.solid import Place, outline_area, to_world
from snugbay.draw.texts import say
from snugbay.job import Job
from snugbay.survey import Frame, Survey

RIM = 8.0
"""Room round the space, for names that stand beside it. [mm]"""


def space_drawing(job: Job, survey: Survey, width: float = 120.0, height: float = 80.0, names: bool = True) -> Scene:
    """Draw the faces of a job standing in space.

    Parameters
    ----------
    job : Job
        Its faces' titles and openings.
    survey : Survey
        Where the faces stand; a face without a place is left out.
    width, height : float
        Room on the page. [mm]
    names : bool
        True letters each face that is seen.
    """
    standing = {f.id: (f, f.frame) for f in survey.faces if f.frame is not None}
    if not standing:
        return Scene(width, height, (Text((width / 2, height / 2), say("space.nothing"), 4.0, "soft-text"),), job.title)
    eye = best_eye([(frame.normal, outline_area(tuple(f.points))) for f, frame in standing.values()])
    world = {ident: _ring(frame, f.points) for ident, (f, frame) in standing.items()}
    left, low, right, high = bounds(eye.flat(p) for ring in world.values() for p in ring)
    mm = 1000 / scale_for((max(right - left, 1e-3), max(high - low, 1e-3)), (width - 2 * RIM, height - 2 * RIM))
    x0, y0 = width / 2 - mm * (left + right) / 2, height / 2 + mm * (low + high) / 2

    def page(place: Place) -> Point:
        x, y = eye.flat(place)
        return (x0 + mm * x, y0 - mm * y)

    def far(ident: str) -> float:
        return sum(dot(eye.towards, p) for p in world[ident]) / len(world[ident])

    facing = {ident: dot(frame.normal, eye.towards) for ident, (_, frame) in standing.items()}
    flat = {ident: tuple(map(page, ring)) for ident, ring in world.items()}
    seen = sorted((ident for ident in standing if facing[ident] > 0), key=far)
    items: list[Item] = []
    for n, ident in enumerate(seen):
        holes = tuple(
            Area((tuple(map(page, _ring(standing[ident][1], _corners(o.x, o.y, o.width, o.height)))),), "hole")
            for o in job.face(ident).openings
        )
        look = "board" if n % 2 == 0 else "board-two"
        items.append(Group((Area((flat[ident],), look), *holes), "face", ident, _title(job, ident)))
    items += [Stroke(ring, "ghost", closed=True) for ident, ring in flat.items() if facing[ident] <= 0]
    if names:
        room = Room((0.0, 0.0, width, height))
        items += [_name(_title(job, i), i, flat[i], room) for i in reversed(seen) if facing[i] > LEAST_FACING / 2]
    return Scene(width, height, tuple(items), job.title, say("space.about"))


def _title(job: Job, face: str) -> str:
    """Return what a face is called, without the name of the space that it shares with its neighbours."""
    return (job.face(face).title or face).rpartition(", ")[2]


def _ring(frame: Frame, points: Sequence[Point]) -> tuple[Place, ...]:
    return tuple(to_world(frame, p, 0.0) for p in points)


def _corners(x: float, y: float, wide: float, high: float) -> tuple[Point, ...]:
    return ((x, y), (x + wide, y), (x + wide, y + high), (x, y + high))


def _name(title: str, face: str, ring: tuple[Point, ...], room: Room) -> Group:
    """Letter a face in its middle, or beside it with a leader."""
    spot, depth = spot_inside((ring,), 0.4)
    size = 4.0 if depth > 4 and text_width(title, 4.0) < 3 * depth else 3.3
    text, away = room.put([Text(spot, title, size, "ink-halo", Anchor.MIDDLE)])
    leader: tuple[Item, ...] = (Stroke((spot, text.at), "leader"),) if away else ()
    return Group((*leader, text), "name", face)
