"""From a space to faces, joins and one zone: what was read as readings, what was not as wide guesses."""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from snugbay.base import InputError, UnknownName
from snugbay.job.hot import HotThing
from snugbay.job.outlines import BY_EYE, GUESS, USUAL, Precision, Taped, letters, taped
from snugbay.job.place import Zone, ZoneKind
from snugbay.job.space.formula import value_of
from snugbay.job.space.kinds import OPEN, Edge, Kind, Number
from snugbay.job.space.put import Put, put_in
from snugbay.job.space.solid import Corner3, Solid, SolidFace, Vector, cross, dot, prism, sub
from snugbay.job.surfaces import Face, Host, Join, Notch, Reading, ReadingKind

RIGHT = math.radians(0.1)
"""Corners within this of square are square. [rad]"""


@dataclass(frozen=True)
class Space:
    """One space as a person says it.

    Attributes
    ----------
    id, title : str
        Short name and name for people.
    kind : Kind
        What it is.
    numbers : Mapping of str to Taped
        The kind's numbers that were said. [m, rad or pieces]
    readings : Mapping of str to tuple of Taped
        Edges, diagonals and angles read, by their names. [m or rad]
    zone : str
        Id of the zone that the fitter stands in.
    behind : Mapping of str to str
        Zone behind each face, by the kind's names; ``"open"`` where nothing closes it.
    warm : Mapping of str to bool
        Whether what lies behind a face is warmer than the fitter's zone.
    names : Mapping of str to str
        Ids of faces; the others are called after the space.
    puts : tuple of Put
        What is in it.
    precision : Precision
        Of the tape.
    volume, air_changes, may_come_inside, pipes, storage
        As of the zone; None for what the kind says.
    """

    id: str
    title: str
    kind: Kind
    numbers: Mapping[str, Taped]
    readings: Mapping[str, tuple[Taped, ...]] = field(default_factory=dict)
    zone: str = ""
    behind: Mapping[str, str] = field(default_factory=dict)
    warm: Mapping[str, bool] = field(default_factory=dict)
    names: Mapping[str, str] = field(default_factory=dict)
    puts: tuple[Put, ...] = ()
    precision: Precision = USUAL
    volume: float | None = None
    air_changes: float | None = None
    may_come_inside: bool | None = None
    pipes: bool | None = None
    storage: bool = False


@dataclass(frozen=True)
class SpaceMade:
    """What a space comes to.

    Attributes
    ----------
    faces, joins, hosts
        Of the job; boxes come first.
    zone : Zone or None
        The space's own zone; None where it is part of another.
    solid : Solid
        The body as its numbers say.
    copies : int
        How many equal ones there are: faces and joins stand for all of them, numbered where there is more than one.
    guessed : tuple of (Number, float)
        Numbers that nobody said, and what was taken.
    unread : tuple of (str, float)
        Names of edges that nobody read, and their guess. [m]
    measures : tuple of str
        Every name that may be read.
    """

    faces: tuple[Face, ...]
    joins: tuple[Join, ...]
    hosts: tuple[Host, ...]
    zone: Zone | None
    solid: Solid
    copies: int
    guessed: tuple[tuple[Number, float], ...]
    unread: tuple[tuple[str, float], ...]
    measures: tuple[str, ...]


@dataclass(frozen=True)
class Measure:
    """Something that can be read: on which faces, and what the numbers say it is. [m or rad]"""

    on: tuple[tuple[str, ReadingKind, tuple[str, ...]], ...]
    ends: tuple[Corner3, Corner3]
    edge: bool


def numbers_of(kind: Kind, given: Mapping[str, Taped]) -> dict[str, float]:
    """Return all numbers of a kind, those not given as guessed. [m, rad or pieces]"""
    return {n.name: given[n.name].value if n.name in given else n.guess for n in kind.numbers}


def face_id(space: Space, face: str) -> str:
    """Return the id of a face by the kind's name for it."""
    return space.names.get(face, f"{space.id}-{face.replace(' ', '-')}")


def copies_of(space: Space, numbers: Mapping[str, float]) -> int:
    """Return how many equal ones a space stands for."""
    return round(numbers[space.kind.counts]) if space.kind.counts else 1


def solid_of(kind: Kind, numbers: Mapping[str, float]) -> Solid:
    """Return the body that the numbers of a kind make.

    Raises
    ------
    InputError
        If they make none: a slope that never meets, a side of no length.
    """
    drawn = value_of(kind.drawn, numbers)
    skews = tuple(value_of(s, numbers) if s else 0.0 for s in kind.skews)
    corners = [(name, value_of(x, numbers), value_of(y, numbers)) for name, x, y in kind.corners]
    flat = [(u, v) for _, u, v in corners]
    area = sum(p[0] * q[1] - q[0] * p[1] for p, q in zip(flat, (*flat[1:], flat[0]), strict=True)) / 2.0
    sound = all(math.isfinite(x) for p in flat for x in p) and area > 1e-3 and drawn > 0.0
    names = (kind.ends[0].name, kind.ends[1].name)
    if sound and any(skews):
        reach = [(math.tan(skews[1]) - math.tan(skews[0])) * u for u, _ in flat]
        sound = drawn + min(reach) > 0.05
    if not sound or _crosses(flat):
        said = ", ".join(f"{n.name} {_plain(numbers[n.name], n.unit)}" for n in kind.numbers if numbers[n.name])
        raise InputError(
            f"These numbers make no {kind.name}: {said}.", hint="Read them again; one is too long for the others."
        )
    return prism(corners, [e.name for e in kind.edges], names, drawn, up=kind.plan, skews=(skews[0], skews[1]),
                 outside=kind.outside)  # fmt: skip


def _plain(value: float, unit: str) -> str:
    return f"{math.degrees(value):.1f} degrees" if unit == "angle" else f"{value:.3g}" + (" m" * (unit == "length"))


def _crosses(flat: list[tuple[float, float]]) -> bool:
    """Tell whether a polygon crosses itself."""
    n = len(flat)

    def side(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
        return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])

    for i in range(n):
        for j in range(i + 2, n):
            if i == 0 and j == n - 1:
                continue
            a, b, c, d = flat[i], flat[(i + 1) % n], flat[j], flat[(j + 1) % n]
            if side(a, b, c) * side(a, b, d) < -1e-12 and side(c, d, a) * side(c, d, b) < -1e-12:
                return True
    return False


def measures_of(kind: Kind, solid: Solid, shut: frozenset[str]) -> dict[str, Measure]:
    """Return everything that can be read of a body, by its name for people.

    Parameters
    ----------
    kind, solid
        The kind and its body.
    shut : frozenset of str
        Faces that are there.

    Notes
    -----
    An edge belongs to two faces; its first reading goes to the one it is named after or that stands plumb, the next to
    the other.
    """
    out: dict[str, Measure] = {}
    by_name = {e.name: e for e in kind.all_edges}
    for face in sorted((f for f in solid.faces if f.name in shut), key=lambda f: abs(f.normal[2]) > 1e-6):
        n = len(face.loop)
        names = letters(n)
        for i in range(n):
            for j in range(i + 1, n):
                beside = j - i in (1, n - 1)
                name = (
                    _edge_name(kind, by_name, solid, face.loop[i], face.loop[j])
                    if beside
                    else _diagonal_name(face, i, j)
                )
                at = (names[i], names[j]) if j - i != n - 1 or n == 2 else (names[j], names[i])
                one = (face.name, ReadingKind.DISTANCE, at)
                known = out.get(name)
                on = (one,) if known is None else (*known.on, one)
                on = tuple(sorted(on, key=lambda o: not name.startswith(o[0])))
                out[name] = Measure(on, (face.loop[i], face.loop[j]), beside)
    return out


def _edge_name(kind: Kind, edges: Mapping[str, Edge], solid: Solid, a: Corner3, b: Corner3) -> str:
    if a[0] == b[0]:
        return f"{kind.along} {'at' if kind.plan else 'along'} the {a[0]}"
    for face in solid.faces:
        if face.name in edges and a in face.loop and b in face.loop and face.name not in (a[1],):
            return f"{face.name} {edges[face.name].across} at the {a[1]}"
    return f"{a[0]} to {b[0]} at the {a[1]}"  # pragma: no cover - every edge lies on a side


def _diagonal_name(face: SolidFace, i: int, j: int) -> str:
    if len(face.loop) == 4:
        return f"{face.name} diagonal to the {'right' if i == 0 else 'left'}"
    return f"{face.name} from the {face.loop[i][0]} to the {face.loop[j][0]}"


def expand_space(space: Space) -> SpaceMade:
    """Return the faces, joins and zone of a space, with all that is in it.

    Raises
    ------
    InputError
        (`UnknownName` for names) if a number cannot be, a reading or face is not there, a thing does not fit.
    """
    kind = space.kind
    for asked in kind.numbers:
        if asked.main and asked.name not in space.numbers:
            raise InputError(
                f"The {asked.name} is missing: {asked.title}.", where=(asked.name,), hint=f"Write {asked.name} = ..."
            )
    numbers = numbers_of(kind, space.numbers)
    solid = solid_of(kind, numbers)
    there = {f.name for f in solid.faces}
    _known(space.behind, {e.name for e in kind.all_edges}, "behind", "face")
    _known(space.names, {e.name for e in kind.all_edges}, "names", "face")
    behind = {e.name: space.behind.get(e.name, e.behind) for e in kind.all_edges if e.name in there}
    shut = frozenset(n for n in there if behind[n] != OPEN)
    if not shut:
        raise InputError("Every face of the space is open: nothing is left to insulate.", where=("behind",), hint="")
    measures = measures_of(kind, solid, shut)
    angles = _angles(solid, shut)
    _known(space.readings, {*measures, *(n for n, *_ in angles)}, "readings", "edge, diagonal or angle")
    read = _readings(space, measures, solid)
    doubt = _doubts(kind, numbers, space.numbers, angles)
    guessed = tuple((n, n.guess) for n in kind.numbers if n.name not in space.numbers)
    wide = {n.reads: n.sigma for n, _ in guessed if n.reads in measures and n.reads not in read and n.sigma}
    found: dict[str, list[Reading]] = {name: [] for name in shut}
    for name, measure in measures.items():
        for k, length in enumerate(read.get(name, ())):
            face, what, corners = measure.on[k % len(measure.on)]
            found[face].append(taped(what, corners, length, space.precision, name))
        if name in wide:
            face, what, corners = measure.on[0]
            guess = Reading(what, corners, solid.length(*measure.ends), wide[name], "", name, GUESS, assumed=True)
            found[face].append(guess)
    unread = tuple((n, solid.length(*m.ends)) for n, m in measures.items() if m.edge and n not in read)
    edges = {e.name: e for e in kind.all_edges}
    faces = {}
    for seen in solid.faces:
        if seen.name in shut:
            readings = [*found[seen.name], *_by_eye(space, solid, seen)]
            made = _face(space, edges[seen.name], seen, readings, numbers, behind)
            could = _asked(seen.name, measures, solid, space.precision)
            faces[seen.name] = replace(_beside_chimney(made, edges[seen.name], seen, solid), measures=could)
    joins = tuple(_join(space, faces, row, doubt) for row in angles)
    placed = put_in(space.puts, solid, faces, {})
    copies = copies_of(space, numbers)
    if copies > 1 and space.puts:
        raise InputError(
            f"Nothing can be put into one of {copies} equal ones.",
            where=("put", 0),
            hint="Make a space of its own of the one it is in, and count one less here.",
        )
    numbered = [f"-{k:0{max(2, len(str(copies)))}d}" for k in range(1, copies + 1)] if copies > 1 else [""]
    return SpaceMade(
        tuple(
            replace(f, id=f.id + end, title=f.title + end.replace("-", " "))
            for end in numbered
            for f in (*placed.boxes, *placed.faces)
        ),
        tuple(replace(j, a=j.a + end, b=j.b + end) for end in numbered for j in (*placed.joins, *joins)),
        placed.hosts,
        _zone(space, solid),
        solid,
        copies,
        guessed,
        unread,
        (*measures, *(row[0] for row in angles)),
    )


def _known(given: Mapping[str, object], names: set[str], where: str, what: str) -> None:
    for name in given:
        if name not in names:
            near = difflib.get_close_matches(name, names, n=3, cutoff=0.3) or sorted(names)[:6]
            raise UnknownName(
                f"The space has no {what} {name!r}.", where=(where, name), hint="Close names: " + ", ".join(near) + "."
            )


def _readings(space: Space, measures: Mapping[str, Measure], solid: Solid) -> dict[str, tuple[Taped, ...]]:
    """Return what was read of each edge and diagonal, the kind's own numbers first.

    A number that is taken square while its edge runs askew (a depth at a skew end) reads as long as the edge comes to.
    """
    read: dict[str, tuple[Taped, ...]] = {}
    for number in space.kind.numbers:
        if number.name in space.numbers and number.reads in measures:
            long = solid.length(*measures[number.reads].ends)
            said = space.numbers[number.name]
            read[number.reads] = (said if abs(long - said.value) < 1e-9 else replace(said, value=long),)
    for name, values in space.readings.items():
        if name in measures:
            read[name] = (*read.get(name, ()), *values)
    return read


_Angle = tuple[str, str, tuple[str, str], str, tuple[str, str], float]
"""Name, face a, its edge, face b, its edge, opening. [rad]"""


def _angles(solid: Solid, shut: frozenset[str]) -> list[_Angle]:
    """Return every join of two faces that are there."""
    edges: dict[frozenset[Corner3], list[tuple[SolidFace, int]]] = {}
    for face in solid.faces:
        if face.name in shut:
            for i in range(len(face.loop)):
                edges.setdefault(frozenset((face.loop[i], face.loop[(i + 1) % len(face.loop)])), []).append((face, i))
    out = []
    for ends in edges.values():
        if len(ends) != 2:
            continue
        (a, i), (b, j) = ends
        opening = solid.opening(a, b, a.loop[i], a.loop[(i + 1) % len(a.loop)])
        out.append((f"angle {a.name} to {b.name}", a.name, _edge(a, i), b.name, _edge(b, j), opening))
    return out


def _edge(face: SolidFace, i: int) -> tuple[str, str]:
    names = letters(len(face.loop))
    return names[i], names[(i + 1) % len(names)]


def _doubts(
    kind: Kind, numbers: Mapping[str, float], given: Mapping[str, Taped], angles: list[_Angle]
) -> dict[str, float]:
    """Return the standard deviation that numbers only guessed leave to each angle. [rad]"""
    squares = {a[0]: 0.0 for a in angles}
    for number in kind.numbers:
        if number.name in given or not number.sigma:
            continue
        try:
            other = solid_of(kind, {**numbers, number.name: number.guess + number.sigma})
        except InputError:
            other = solid_of(kind, {**numbers, number.name: number.guess - number.sigma})
        moved = {a[0]: a[5] for a in _angles(other, frozenset(f.name for f in other.faces))}
        for name, *_, opening in angles:
            squares[name] += (moved.get(name, opening) - opening) ** 2
    return {name: math.sqrt(s) for name, s in squares.items()}


def _face(
    space: Space,
    edge: Edge,
    seen: SolidFace,
    readings: list[Reading],
    numbers: Mapping[str, float],
    behind: Mapping[str, str],
) -> Face:
    other = behind[edge.name]
    if edge.partition is not None and space.warm.get(other, False):
        edge = edge.partition
    warm, cold = (other, space.zone) if space.warm.get(other, False) else (space.zone, other)
    height = value_of(edge.headroom, numbers) if edge.headroom else 2.0
    return Face(
        id=face_id(space, edge.name),
        title=edge.name.capitalize() if edge.name in space.names else f"{space.title}, {edge.name}",
        part=edge.part,
        warm=warm,
        cold=cold,
        board_side=space.zone,
        tilt=seen.tilt,
        corners=letters(len(seen.loop)),
        readings=tuple(readings),
        overhead=seen.overhead,
        layers=edge.layers,
        framing=edge.framing,
        substrate=edge.substrate,
        depth=value_of(edge.depth, numbers) if edge.depth else None,
        headroom=min(max(height, 0.3), 2.0),
        headroom_told=False,
        vent_space=edge.vent_space,
        from_shorthand=space.kind.name,
    )


def _asked(name: str, measures: Mapping[str, Measure], solid: Solid, precision: Precision) -> tuple[Reading, ...]:
    """Return what can be read of a face, by its names for people, each with what it should come to."""
    return tuple(
        Reading(what, corners, solid.length(*measure.ends), precision.length, "", called, precision.instrument)
        for called, measure in measures.items()
        for face, what, corners in measure.on
        if face == name
    )


def _beside_chimney(face: Face, edge: Edge, seen: SolidFace, solid: Solid) -> Face:
    """Return a face with its edge towards a chimney marked as hot: boards and foam keep off it."""
    chimney = next((f for f in solid.faces if f.name == edge.hot_edge), None)
    if chimney is None:
        return face
    n = len(seen.loop)
    i = next(k for k in range(n) if seen.loop[k] in chimney.loop and seen.loop[(k + 1) % n] in chimney.loop)
    long = solid.length(seen.loop[i], seen.loop[(i + 1) % n])
    hot = Notch("chimney", _edge(seen, i), 0.0, long, 0.005, hot=True, hot_thing=HotThing.MASONRY)
    return replace(face, notches=(hot,))


def _by_eye(space: Space, solid: Solid, seen: SolidFace) -> list[Reading]:
    """Return the corners that the eye takes as it sees them: square ones, and those of a side with a skew end."""
    side = seen.name not in {e.name for e in space.kind.ends}
    names = letters(len(seen.loop))
    out: list[Reading] = []
    n = len(names)
    for i in range(n):
        p, q, r = (solid.at[seen.loop[k % n]] for k in (i - 1, i, i + 1))
        a, b, c = math.dist(p, q), math.dist(q, r), math.dist(p, r)
        angle = math.acos(max(-1.0, min(1.0, (a * a + b * b - c * c) / (2.0 * a * b))))
        square = abs(angle - math.pi / 2) < RIGHT and _turns_left(p, q, r, seen)
        if (square or (side and n == 4)) and len(out) < n - 1:
            three = (names[i - 1], names[i], names[(i + 1) % n])
            said = f"square by eye at {names[i]}" if square else f"angle by eye at {names[i]}"
            out.append(Reading(ReadingKind.ANGLE, three, math.pi / 2 if square else angle, space.precision.square, "",
                               said, BY_EYE, assumed=True))  # fmt: skip
    return out


def _turns_left(p: Vector, q: Vector, r: Vector, seen: SolidFace) -> bool:
    return dot(cross(sub(q, p), sub(r, q)), seen.normal) > 0.0


def _join(space: Space, faces: Mapping[str, Face], row: _Angle, doubt: Mapping[str, float]) -> Join:
    name, a, edge_a, b, edge_b, opening = row
    read = space.readings.get(name)
    sigma = math.hypot(space.precision.join, doubt[name])
    if read:
        gauged = read[0].value
        opening = gauged if opening < math.pi else 2.0 * math.pi - gauged
        sigma = read[0].sigma or space.precision.angle
    elif abs(opening - math.pi / 2) < RIGHT:
        opening = math.pi / 2
    return Join(faces[a].id, edge_a, faces[b].id, edge_b, opening, "", sigma, f"{a} to {b}")


def _zone(space: Space, solid: Solid) -> Zone | None:
    """Return the space's own zone; None where it is part of the rooms or of another zone."""
    kind = space.kind
    if kind.zone == "inside" or space.zone != space.id:
        return None
    heights = [p[2] for p in solid.at.values()]
    own = kind.zone == "buffer"
    return Zone(
        space.id,
        space.title,
        ZoneKind.BUFFER,
        space.volume if space.volume is not None else (solid.volume if own else 30.0),
        kind.air_changes if space.air_changes is None else space.air_changes,
        kind.may_come_inside if space.may_come_inside is None else space.may_come_inside,
        kind.pipes if space.pipes is None else space.pipes,
        space.storage,
        max(heights) - min(heights) if own else 2.0,
    )
