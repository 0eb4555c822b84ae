"""Things put into a space by which face and where: they cut their openings and tie themselves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from snugbay.base import InputError, Said, facts
from snugbay.base.facts import Name
from snugbay.job.expanded import PLAIN, Common
from snugbay.job.hot import HotThing
from snugbay.job.outlines import USUAL, Length, Precision, Taped
from snugbay.job.shorthands import niche_box
from snugbay.job.space.solid import SAME, Solid, SolidFace, Vector, add, cross, dot, scaled, sub, unit
from snugbay.job.surfaces import Face, Hole, Host, Join, Opening

BOXES = ("niche", "drawers", "bath", "stair")
OPENINGS = ("hatch", "skylight", "window", "door")
PASSING = ("pipe", "duct", "chimney")
PUT_KINDS = (*BOXES, *OPENINGS, *PASSING)
"""What can be put into a space."""

_LEVEL = 0.99


@dataclass(frozen=True)
class Put:
    """One thing in a space.

    Attributes
    ----------
    what : str
        One of `PUT_KINDS`.
    id, title : str
        Short name and name for people.
    face : str
        Face it is in, by the kind's name.
    at, up : float
        From the left end of the face's lower edge as the fitter faces it, and from that edge: to the lower left corner
        of a box or opening, to the centre of what passes through. [m]
    width, height : Length
        Size seen in the face. [m]
    depth : Length or None
        How far a box stands out into the space. [m]
    plug : bool
        As of an opening.
    round : bool
        As of a hole.
    hot, hot_thing, on_label
        As of a hole.
    zone : str
        What a box is open to behind its face; empty for what lies behind the face.
    more, precision, common
        As of a niche box.
    """

    what: str
    id: str
    title: str
    face: str
    at: float
    up: float
    width: Length
    height: Length
    depth: Length | None = None
    plug: bool = False
    round: bool = True
    hot: bool = False
    hot_thing: HotThing | None = None
    on_label: float | None = None
    more: Mapping[str, Length] = field(default_factory=dict)
    precision: Precision = USUAL
    common: Common = PLAIN


@dataclass(frozen=True)
class Placed:
    """Faces after things were put in, and what came with the things."""

    faces: tuple[Face, ...]
    boxes: tuple[Face, ...] = ()
    joins: tuple[Join, ...] = ()
    hosts: tuple[Host, ...] = ()


@dataclass(frozen=True)
class Axes:
    """The plane of a face in space: origin, along the lower edge, square to it, towards the fitter."""

    origin: Vector
    u: Vector
    v: Vector
    n: Vector

    def place(self, x: float, y: float, out: float = 0.0) -> Vector:
        """Return the point at x along, y up and so far towards the fitter."""
        flat = add(add(self.origin, scaled(self.u, x)), scaled(self.v, y))
        return add(flat, scaled(self.n, out))

    def flat(self, p: Vector) -> tuple[float, float]:
        """Return a point's place in the plane."""
        d = sub(p, self.origin)
        return dot(d, self.u), dot(d, self.v)

    def off(self, p: Vector) -> float:
        """Return a point's distance from the plane, towards the fitter positive."""
        return dot(sub(p, self.origin), self.n)


def axes_of(solid: Solid, face: SolidFace) -> Axes:
    """Return the plane in which openings of a face are measured."""
    origin = solid.at[face.loop[0]]
    u = unit(sub(solid.at[face.loop[1]], origin))
    return Axes(origin, u, cross(face.normal, u), face.normal)


def opening_name(put: Put) -> str:
    """Return what the opening of a thing is called: its title where it has one of its own, else its short name."""
    return put.title[0].lower() + put.title[1:] if put.title and put.what in BOXES else put.id


def size(length: Length | None) -> float:
    """Return the number of a length, bare or as read. [m]"""
    return length.value if isinstance(length, Taped) else (length or 0.0)


def put_in(puts: Sequence[Put], solid: Solid, faces: Mapping[str, Face], text: Mapping[str, str]) -> Placed:
    """Return the faces of a space with everything in it.

    Parameters
    ----------
    puts : sequence of Put
        Things.
    solid : Solid
        The body, as its numbers say.
    faces : Mapping of str to Face
        By the kind's names.
    text : Mapping of str to str
        Not used for sums; names of the faces for messages.

    Raises
    ------
    InputError
        If a thing is in no face of the space, or sticks out of it: the message says what would fit.
    """
    own = dict(faces)
    boxes: list[Face] = []
    joins: list[Join] = []
    hosts: list[Host] = []
    for number, put in enumerate(puts):
        try:
            if put.face not in own:
                raise InputError(
                    f"There is no {put.face!r} here to put the {put.what} in.",
                    where=("on",),
                    hint="Faces: " + ", ".join(text.get(n, n) for n in own) + ".",
                )
            if put.what in BOXES:
                made = _box(put, solid, own)
                own = dict(made[0])
                boxes += made[1]
                joins += made[2]
                hosts.append(made[3])
            elif put.what in OPENINGS:
                _inside(put, solid, solid.face(put.face))
                opening = Opening(
                    put.id, put.at, put.up, size(put.width), size(put.height), put.plug, put.precision.length
                )
                face = own[put.face]
                own[put.face] = replace(face, openings=(*face.openings, opening))
            else:
                own = _passing(put, solid, own)
        except InputError as error:
            raise error.at("put", number) from None
    return Placed(tuple(own[n] for n in faces), tuple(boxes), tuple(joins), tuple(hosts))


def _spans(solid: Solid, face: SolidFace) -> tuple[float, float]:
    """Return how wide and how high a face is in its own axes. [m]"""
    axes = axes_of(solid, face)
    flat = [axes.flat(solid.at[c]) for c in face.loop]
    return max(p[0] for p in flat), max(p[1] for p in flat)


def _half_planes(solid: Solid, face: SolidFace) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    """Return the edges of a face as points and inward normals in its own axes; none where it is not convex."""
    axes = axes_of(solid, face)
    flat = [axes.flat(solid.at[c]) for c in face.loop]
    out = []
    for p, q in zip(flat, (*flat[1:], flat[0]), strict=True):
        out.append((p, (-(q[1] - p[1]), q[0] - p[0])))
    inside = all(n[0] * (c[0] - p[0]) + n[1] * (c[1] - p[1]) > -1e-6 for p, n in out for c in flat)
    return out if inside else []


def _inside(put: Put, solid: Solid, face: SolidFace) -> None:
    """Refuse an opening or the foot of a box that sticks out of its face, with what would fit."""
    w, h = size(put.width), size(put.height)
    span = _spans(solid, face)
    corners = [(put.at, put.up), (put.at + w, put.up), (put.at + w, put.up + h), (put.at, put.up + h)]
    for field_, low, length, room, fits_there, move_it in (
        ("at", put.at, w, span[0], "job.said.fits-along", "job.said.move-along"),
        ("up", put.up, h, span[1], "job.said.fits-up", "job.said.move-up"),
    ):
        if low < -SAME:
            raise InputError(f"The {put.what} begins before the {face.name}.", where=(field_,), hint="Give 0 or more.")
        if low + length > room + 0.03:
            size_field = "width" if field_ == "at" else "height"
            fits = max(room - low, 0.0)
            name, long = Name(face.name), facts.Length(room)
            cure = (
                Said.of(fits_there, most=facts.Length(fits), face=name, room=long)
                if fits > 0.05
                else Said.of(move_it, face=name, room=long)
            )
            said = Said.of(
                "job.sticks-out", what=Name(put.what), out=facts.Length(low + length - room), face=Name(face.name)
            )
            raise InputError.of(said, where=(size_field,), cure=cure)
    for p, n in _half_planes(solid, face):
        long = (n[0] ** 2 + n[1] ** 2) ** 0.5
        out = min((n[0] * (c[0] - p[0]) + n[1] * (c[1] - p[1])) / long for c in corners)
        if out < -0.03:
            said = Said.of("job.corner-out", what=Name(put.what), out=facts.Length(-out), face=Name(face.name))
            raise InputError.of(said, where=("at",), cure=Said.of("job.said.to-the-middle"))


def _deepest(put: Put, solid: Solid, axes: Axes) -> float:
    """Return how deep a box may be before it meets another face of the body. [m]"""
    w, h = size(put.width), size(put.height)
    most = float("inf")
    for x, y in ((put.at, put.up), (put.at + w, put.up), (put.at + w, put.up + h), (put.at, put.up + h)):
        p = axes.place(x, y)
        for other in solid.faces:
            n = axes_of(solid, other)
            towards = -dot(axes.n, n.n)
            if towards > 1e-9:
                most = min(most, n.off(p) / towards)
    return most


def _convex(solid: Solid) -> bool:
    return all(axes_of(solid, f).off(p) > -1e-6 for f in solid.faces for p in solid.at.values())


_SIDES = {"bottom": (0, 1), "right": (1, 2), "top": (2, 3), "left": (3, 0)}


def _box(put: Put, solid: Solid, own: Mapping[str, Face]) -> tuple[Mapping[str, Face], list[Face], list[Join], Host]:
    seen = solid.face(put.face)
    axes = axes_of(solid, seen)
    _inside(put, solid, seen)
    depth = size(put.depth)
    if not solid.outside and _convex(solid):
        room = _deepest(put, solid, axes)
        if depth > room + 0.02:
            said = Said.of("job.stands-through", what=Name(put.what), depth=facts.Length(depth))
            cure = Said.of("job.said.as-deep", most=facts.Length(room))
            raise InputError.of(said, where=("depth_of_box",), cure=cure)
    w, h = size(put.width), size(put.height)
    ring = [(put.at, put.up), (put.at + w, put.up), (put.at + w, put.up + h), (put.at, put.up + h)]
    out = dict(own)
    host = own[put.face]
    out[put.face] = replace(
        host, openings=(*host.openings, Opening(opening_name(put), put.at, put.up, w, h, False, put.precision.length))
    )
    gone = []
    for side, (i, j) in _SIDES.items():
        points = [axes.place(*ring[k], out=o) for k in (i, j) for o in (0.0, depth)]
        for other in solid.faces:
            if other.name == put.face or other.name not in out:
                continue
            plane = axes_of(solid, other)
            if all(abs(plane.off(p)) < SAME for p in points):
                gone.append(side)
                flat = [plane.flat(p) for p in points]
                x, y = min(f[0] for f in flat), min(f[1] for f in flat)
                cut = Opening(
                    opening_name(put),
                    x,
                    y,
                    max(f[0] for f in flat) - x,
                    max(f[1] for f in flat) - y,
                    False,
                    put.precision.length,
                )
                face = out[other.name]
                out[other.name] = replace(face, openings=(*face.openings, cut))
    more = dict(put.more)
    if "left" in gone and "right A-B" not in more:
        more["right A-B"] = put.depth or depth
    made = niche_box(
        id=put.id,
        title=put.title,
        width=put.width,
        height=put.height,
        depth=put.depth or depth,
        warm=host.warm,
        cold=host.cold,
        board_side=host.board_side,
        top="top" not in gone,
        bottom="bottom" not in gone,
        more=more,
        precision=put.precision,
        common=put.common,
    )
    away = {f"{put.id}-{side}" for side in gone}
    faces = [f for f in made.faces if f.id not in away]
    joins = [j for j in made.joins if j.a not in away and j.b not in away]
    tied = Host(f"{put.id}-back", tuple(f.id for f in faces), host.id, opening_name(put), depth)
    return out, faces, joins, tied


def _passing(put: Put, solid: Solid, own: Mapping[str, Face]) -> dict[str, Face]:
    """Cut a hole where something passes through its face and, if it stands plumb, where it meets the others."""
    seen = solid.face(put.face)
    axes = axes_of(solid, seen)
    w, h = size(put.width), size(put.height)
    span = _spans(solid, seen)
    for name, centre, room in (("at", put.at, span[0]), ("up", put.up, span[1])):
        if not 0.0 <= centre <= room:
            said = Said.of("job.passes-by", what=Name(put.what), face=Name(put.face))
            raise InputError.of(said, where=(name,), cure=Said.of("job.said.centre", most=facts.Length(room)))
    out = dict(own)

    def cut(name: str, x: float, y: float, width: float, height: float) -> None:
        hole = Hole(
            put.id, x, y, width, height, put.round and abs(width - height) < SAME, put.precision.length, put.hot,
            put.hot_thing, put.on_label,
        )  # fmt: skip
        out[name] = replace(out[name], holes=(*out[name].holes, hole))

    cut(put.face, put.at, put.up, w, h)
    if abs(axes.n[2]) < _LEVEL:
        return out
    foot = axes.place(put.at, put.up)
    for other in solid.faces:
        plane = axes_of(solid, other)
        if other.name == put.face or other.name not in out or abs(plane.n[2]) < 0.05:
            continue
        hit = add(foot, (0.0, 0.0, -plane.off(foot) / plane.n[2]))
        x, y = plane.flat(hit)
        if all(n[0] * (x - p[0]) + n[1] * (y - p[1]) > 0.0 for p, n in _half_planes(solid, other)):
            cut(other.name, x, y, w, h / abs(plane.n[2]))
    return out
