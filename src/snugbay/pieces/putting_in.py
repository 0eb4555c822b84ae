"""The proof that every board reaches its place: trial motions of solids past the surfaces and what is fitted before.

Each board is taken out again, in the reverse of the fitting order: straight off the face, slid aside as it lifts,
turned as it lifts, turned up about one of its edges and then lifted, or drawn out in its plane; `motion` searches. It
has left its place when it is clear by one and a half times its thickness, or is drawn out by 40 cm. What it may do from
there on, in the open room, is not looked at.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from math import pi, sin, tan
from types import MappingProxyType

import manifold3d
import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from snugbay.base import NoFit
from snugbay.job import Job
from snugbay.pieces.coverage import stacks_of
from snugbay.pieces.cutting import back_of
from snugbay.pieces.entry import LEAST_LIFT, PRESS
from snugbay.pieces.meeting import meeting_of
from snugbay.pieces.motion import Kind, Motion, Shape, carried_out, motions, shape_of
from snugbay.pieces.obstacles import obstacles
from snugbay.pieces.plane import offset_outline
from snugbay.pieces.regions import edge_numbers
from snugbay.pieces.solids import convex_parts, in_space, solid
from snugbay.pieces.values import Piece, PieceKind
from snugbay.survey import Frame, Survey

Array = NDArray[np.float64]

SKIN = 0.02
"""Thickness of the surfaces as obstacles. [m]"""


def as_manifold(piece: Piece, frame: Frame) -> manifold3d.Manifold:
    """Return a piece as a manifold solid in space; lengths in millimetres, for the library's tolerance.

    Raises
    ------
    NoFit
        If its surface does not close, so that nothing could be proved of it.
    """
    vertices, triangles = solid(piece, frame)
    body = manifold3d.Manifold(manifold3d.Mesh64(vertices * 1000.0, triangles.astype(np.uint64)))
    if body.status() != manifold3d.Error.NoError:
        raise NoFit(
            f"{piece.id} is no closed body: its outline crosses itself.",
            where=("faces", piece.face),
            hint="Look for corners of this face that lie almost on each other.",
        )
    return body


def frames_of(survey: Survey, pieces: Sequence[Piece]) -> Mapping[str, Frame]:
    """Return where each face stands; faces without a place are set far apart. [m]"""
    found: dict[str, Frame] = {}
    for k, face in enumerate(dict.fromkeys(p.face for p in pieces)):
        frame = survey.face(face).frame
        found[face] = frame or Frame((1000.0 * (k + 1), 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, -1.0, 0.0))
    return found


def in_their_places(survey: Survey, pieces: Sequence[Piece]) -> tuple[list[manifold3d.Manifold], Mapping[str, Frame]]:
    """Return each piece as a solid in its place [mm], and where each face stands."""
    frames = frames_of(survey, pieces)
    return [as_manifold(p, frames[p.face]) for p in pieces], frames


def fitting_order(job: Job, survey: Survey, pieces: Sequence[Piece]) -> list[int]:
    """Return the numbers of the pieces in the order in which they are fitted: bays, then boxes, then layer by layer.

    A box that stands in another face gets all its boards before that face does. Odd layers take the faces in the order
    of who runs past, even ones in its reverse; plugs come last.
    """
    faces = tuple(dict.fromkeys(p.face for p in pieces))
    stacks = stacks_of(pieces)
    order = meeting_of(job, survey, stacks).order
    ranks: dict[tuple[str, int], int] = {}
    for face in faces:
        layers = sorted({p.layer for p in pieces if p.face == face and p.kind is not PieceKind.PLUG and not p.bay})
        ranks |= {(face, layer): k + 1 for k, layer in enumerate(layers)}

    boxed = {f for host in job.hosts for f in host.faces}

    def key(k: int) -> tuple[bool, int, int, int]:
        piece = pieces[k]
        at = order.index(piece.face) if piece.face in order else len(order)
        if piece.kind is PieceKind.PLUG:
            return (True, 99, at, k)
        later = piece.face not in boxed and not piece.bay
        rank = 0 if piece.bay else ranks[piece.face, piece.layer]
        return (later, rank, at if rank % 2 else -at, k)

    return sorted(range(len(pieces)), key=key)


def surfaces(job: Job, survey: Survey) -> dict[str, manifold3d.Manifold]:
    """Return the surfaces of all faces that stand in space, as thin solids behind their planes. [mm]"""
    found: dict[str, manifold3d.Manifold] = {}
    for face in job.faces:
        adjusted = survey.face(face.id)
        if adjusted.frame is None:
            continue
        insets = [0.0] * len(adjusted.points)
        for join in job.joins:
            for own, edge in ((join.a, join.edge_a), (join.b, join.edge_b)):
                if own == face.id and join.opening > pi:
                    for number in edge_numbers(face, edge):
                        insets[number] = SKIN * max(1.0, 1 / abs(tan(join.opening)) if sin(join.opening) else 1.0)
        outline, _ = offset_outline(adjusted.points, insets)
        section = manifold3d.CrossSection([[(x * 1000, y * 1000) for x, y in outline]])
        for thing in obstacles(face, adjusted, 0.0, 0.0):
            ring = [(x * 1000, y * 1000) for x, y in thing.bare.exterior.coords[:-1]]
            section -= manifold3d.CrossSection([ring if thing.bare.exterior.is_ccw else ring[::-1]])
        body = manifold3d.Manifold.extrude(section, SKIN * 1000).translate((0.0, 0.0, -SKIN * 1000))
        found[face.id] = body.transform(_placing(adjusted.frame))
    return found


def _placing(frame: Frame) -> Array:
    """Return the 3 x 4 matrix that puts a body drawn in the plane of a face into space. [mm]"""
    return np.column_stack([frame.ex, frame.ey, frame.normal, np.asarray(frame.origin) * 1000.0])


def into_surfaces(
    pieces: Sequence[Piece], solids: Sequence[manifold3d.Manifold], walls: Mapping[str, manifold3d.Manifold]
) -> list[tuple[int, str]]:
    """Return the pieces in front of their face that stand into the surface of another face, and which one."""
    found = []
    for k, piece in enumerate(pieces):
        if piece.bay or piece.kind is PieceKind.PLUG:
            continue
        for face, wall in walls.items():
            if face != piece.face and not _is_free(solids[k], [wall]):
                found.append((k, face))
    return found


FAR = 400.0
"""A board drawn out this far in the plane of its face has left its place. [mm]"""


@dataclass(frozen=True)
class Putting:
    """The order in which pieces were found to go in, and those that do not.

    Attributes
    ----------
    order : tuple of int
        Numbers of the pieces.
    stuck : tuple of int
        Numbers of those for which no motion was found.
    ways : Mapping of int to str
        How each of the others is put in, in words; empty for straight.
    """

    order: tuple[int, ...]
    stuck: tuple[int, ...]
    ways: Mapping[int, str]


@dataclass(frozen=True)
class Body:
    """A piece, its number, its shape in its place, and where its face stands."""

    number: int
    piece: Piece
    shape: Shape
    frame: Frame


def put_in(
    job: Job,
    survey: Survey,
    pieces: Sequence[Piece],
    solids: Sequence[manifold3d.Manifold],
    frames: Mapping[str, Frame],
    walls: Mapping[str, manifold3d.Manifold],
) -> Putting:
    """Find an order in which all pieces go in, layer by layer.

    Parameters
    ----------
    job, survey
        Joins, boxes and adjusted faces, for the order.
    pieces : sequence of Piece
        All pieces.
    solids : sequence of manifold
        Each piece as a solid in its place. [mm]
    frames : Mapping
        Where each face stands.
    walls : Mapping
        From `surfaces`.

    Notes
    -----
    The pieces of one layer of one face are tried in the order given; where one sticks, the layer is taken apart piece
    by piece from the whole, and the reverse of that is the order.
    """
    bodies = [
        Body(k, p, shape_of(solids[k], p.id, _convex_parts(p, frames[p.face])), frames[p.face])
        for k, p in enumerate(pieces)
    ]
    standing = {face: shape_of(wall, f"the surface of {face}") for face, wall in walls.items()}
    fitted: list[Body] = []
    ways: dict[int, str] = {}
    for _, group in groupby(fitting_order(job, survey, pieces), key=lambda k: (pieces[k].face, pieces[k].layer)):
        layer = [bodies[k] for k in group]
        around = [w for f, w in standing.items() if not (layer[0].piece.bay and f == layer[0].piece.face)]
        found = [_way_out(b, [*fitted, *layer[:at]], around) for at, b in enumerate(layer)]
        if None in found:
            held = {b.number for b, way in zip(layer, found, strict=True) if way is None}
            layer, found = _taken_apart(layer, fitted, around, held)
        ways |= {b.number: way for b, way in zip(layer, found, strict=True) if way is not None}
        fitted += layer
    order = tuple(b.number for b in fitted)
    return Putting(order, tuple(k for k in order if k not in ways), MappingProxyType(ways))


def _taken_apart(
    layer: Sequence[Body], fitted: Sequence[Body], around: Sequence[Shape], stuck: set[int]
) -> tuple[list[Body], list[str | None]]:
    """Take a layer apart from the whole; return the order in which it goes in, and how each goes in.

    Those that stuck in the usual order are tried again once others near them are out; those that stick alone, never.
    """
    alone = {b.number for b in layer if b.number in stuck and _way_out(b, fitted, around) is None}
    left = list(layer)
    out: list[Body] = []
    ways: list[str | None] = []
    held = set(stuck)
    while len(held) < len(left):
        body = next(b for b in reversed(left) if b.number not in held)
        way = _way_out(body, [*fitted, *(b for b in left if b is not body)], around)
        if way is None:
            held.add(body.number)
            continue
        left.remove(body)
        out.append(body)
        ways.append(way)
        held -= {b.number for b in left if _near(b.shape, [body.shape], FAR)} - alone
    return [*left, *reversed(out)], [*([None] * len(left)), *reversed(ways)]


def _way_out(body: Body, others: Sequence[Body], walls: Sequence[Shape]) -> str | None:
    """Return how a board comes out past others and the walls, None where no motion was found.

    Plugs come out by what they are. The words say how it is put in, which is the same motion backwards.
    """
    piece, shape = body.piece, body.shape
    if piece.kind is PieceKind.PLUG:
        return ""
    lift = max(1.5 * piece.thickness, LEAST_LIFT) * 1000.0
    near = _near(shape, [*(b.shape for b in others), *walls], FAR)
    normal = np.asarray(body.frame.normal)
    solids = [s.solid for s in near]
    over = _over(shape, near, lift * normal)
    if not over:
        return ""
    edges = _edges(piece, body.frame)
    for motion in motions(shape, normal, [(e.at, e.into) for e in edges], lift, FAR):
        out = carried_out(shape, near, motion.stages, lambda m: _is_free(m, solids), PRESS * 1000.0)
        if out is not None:
            return _in_words(motion, over, edges)
    return None


def _over(shape: Shape, near: Sequence[Shape], lift: Array) -> list[str]:
    """Return what stands over a board, so that it does not come straight out."""
    found = []
    for share in (0.05, 0.15, 0.4, 0.7, 1.0):
        lifted = shape.solid.translate(share * lift)
        found += [n.name for n in near if not _is_free(lifted, [n.solid])]
    return list(dict.fromkeys(found))


def _in_words(motion: Motion, over: Sequence[str], edges: Sequence[Side]) -> str:
    """Return how a board is put in, from the motion that takes it out and what stands over it."""
    under = "under " + " and ".join(over)
    if motion.kind is Kind.TURN:
        return f"Tilt it and hook it {under}, then press the other side home."
    if motion.kind is Kind.DRAW:
        at = edges[motion.edge].neighbour
        return f"Slide it in flat {under}{f', up to {at}' if at else ''}."
    return f"{'Slide it in' if motion.kind is Kind.SLIDE else 'Slide it in, turning it a little,'} {under}."


def _near(body: Shape, around: Sequence[Shape], reach: float) -> list[Shape]:
    """Return the shapes within a distance of a body, by their boxes. [mm]"""
    low, high = body.low - reach, body.high + reach
    return [o for o in around if (o.low < high).all() and (o.high > low).all()]


def _is_free(body: manifold3d.Manifold, near: Sequence[manifold3d.Manifold]) -> bool:
    box = np.asarray(body.bounding_box())
    for other in near:
        b = np.asarray(other.bounding_box())
        if not ((b[:3] < box[3:]).all() and (b[3:] > box[:3]).all()):
            continue
        shared = body ^ other
        volume = shared.volume()
        if volume > 1.0 and 2 * volume / shared.surface_area() > PRESS * 1000.0:
            return False
    return True


@dataclass(frozen=True)
class Side:
    """An edge of a board in space: a point on it [mm], the unit normal into the board, and what it meets."""

    at: Array
    into: Array
    neighbour: str


def _convex_parts(piece: Piece, frame: Frame) -> list[Array]:
    """Return the corners of the convex parts of a piece that is not convex itself, in space; none where it is. [mm]"""
    front = Polygon(piece.outline, piece.holes)
    if front.convex_hull.area - front.area < CONVEX:
        return []
    rings = [list(piece.outline), *[list(h) for h in piece.holes]]
    flat = [p for r in rings for p in r]
    below = [*back_of(piece.outline, piece.edges, piece.thickness), *[p for r in rings[1:] for p in r]]
    found = []
    for corners in convex_parts(rings):
        top = in_space([flat[k] for k in corners], piece.depth + piece.thickness, frame)
        bottom = in_space([below[k] for k in corners], piece.depth, frame)
        found.append(np.vstack([top, bottom]) * 1000.0)
    return found


CONVEX = 1e-4
"""A piece that lacks no more than this of its hull is taken as convex. [m²]"""


def _edges(piece: Piece, frame: Frame) -> list[Side]:
    """Return the edges that a board may be turned about or drawn from: long ones with all of it on one side."""
    back = np.asarray(back_of(piece.outline, piece.edges, piece.thickness))
    placed = in_space([(float(x), float(y)) for x, y in back], piece.depth, frame) * 1000.0
    found = []
    for k, edge in enumerate(piece.edges):
        along = back[(k + 1) % len(back)] - back[k]
        length = float(np.hypot(*along))
        if length < LONG:
            continue
        across = np.array((-along[1], along[0])) / length
        if float(((back - back[k]) @ across).min()) > -1e-3:
            into = across[0] * np.asarray(frame.ex) + across[1] * np.asarray(frame.ey)
            found.append((edge.bevel, Side(placed[k], into, edge.neighbour)))
    return [side for _, side in sorted(found, key=lambda pair: -pair[0])]


LONG = 0.1
"""Shorter edges are not turned about. [m]"""
