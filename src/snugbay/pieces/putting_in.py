"""The proof that every board reaches its place: trial motions of solids past the surfaces and what is fitted before.

Each board is taken out again, in the reverse of the fitting order: straight off the face, slid aside as it lifts,
turned up about one of its edges, or drawn out in its plane. It has left its place when it is clear by one and a half
times its thickness, is turned up by 20 degrees, or is drawn out by 40 cm. What it may do from there on, in the open
room, is not looked at.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from math import pi, sin, tan

import manifold3d
import numpy as np
from numpy.typing import NDArray

from snugbay.job import Job
from snugbay.pieces.corners import order_of_faces
from snugbay.pieces.cutting import back_of
from snugbay.pieces.entry import LEAST_LIFT, PRESS
from snugbay.pieces.obstacles import obstacles
from snugbay.pieces.plane import inward, offset_outline
from snugbay.pieces.regions import edge_numbers
from snugbay.pieces.solids import in_space
from snugbay.pieces.values import EdgeKind, Piece, PieceKind
from snugbay.survey import Frame, Survey

Array = NDArray[np.float64]

SKIN = 0.02
"""Thickness of the surfaces as obstacles. [m]"""

TURNED_UP = 20.0
"""A board turned up this far has left its place. [deg]"""

SLIDES = (0.15, 0.3, 0.6, 1.0, 1.8)
"""Slide for each unit of lift that is tried. [-]"""

SHIFTS = (0.0, 0.5, -0.5, 1.0, -1.0, 2.0, -2.0, 3.5, -3.5, 5.0, -5.0, 8.0, -8.0)
"""Shifts that a hooked board may make on the way. [mm]"""


def fitting_order(job: Job, pieces: Sequence[Piece]) -> list[int]:
    """Return the numbers of the pieces in the order in which they are fitted: bays, then boxes, then layer by layer.

    A box that stands in another face gets all its boards before that face does. Odd layers take the faces in the order
    of who runs past, even ones in its reverse; plugs come last.
    """
    faces = tuple(dict.fromkeys(p.face for p in pieces))
    order, _ = order_of_faces(job, faces)
    ranks: dict[tuple[str, int], int] = {}
    for face in faces:
        layers = sorted({p.layer for p in pieces if p.face == face and p.kind is not PieceKind.PLUG and not p.bay})
        ranks |= {(face, layer): k + 1 for k, layer in enumerate(layers)}

    boxed = {f for host in job.hosts for f in host.faces}

    def key(k: int) -> tuple[bool, int, int, int]:
        piece = pieces[k]
        at = order.index(piece.face)
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


@dataclass(frozen=True)
class Putting:
    """The order in which pieces were found to go in, and those that do not.

    Attributes
    ----------
    order : tuple of int
        Numbers of the pieces.
    stuck : tuple of int
        Numbers of those for which no motion was found.
    """

    order: tuple[int, ...]
    stuck: tuple[int, ...]


@dataclass(frozen=True)
class Body:
    """A piece, its number, its solid in its place [mm], and where its face stands."""

    number: int
    piece: Piece
    solid: manifold3d.Manifold
    frame: Frame


def put_in(
    job: Job,
    pieces: Sequence[Piece],
    solids: Sequence[manifold3d.Manifold],
    frames: Mapping[str, Frame],
    walls: Mapping[str, manifold3d.Manifold],
) -> Putting:
    """Find an order in which all pieces go in, layer by layer.

    Parameters
    ----------
    job : Job
        Joins and boxes, for the order.
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
    bodies = [Body(k, pieces[k], solids[k], frames[pieces[k].face]) for k in range(len(pieces))]
    fitted: list[Body] = []
    held: list[int] = []
    for _, group in groupby(fitting_order(job, pieces), key=lambda k: (pieces[k].face, pieces[k].layer)):
        layer = [bodies[k] for k in group]
        around = [w for f, w in walls.items() if not (layer[0].piece.bay and f == layer[0].piece.face)]
        free = [_comes_out(b, [*fitted, *layer[:at]], around) for at, b in enumerate(layer)]
        if not all(free):
            layer, stuck = _taken_apart(layer, fitted, around)
            held += stuck
        fitted += layer
    return Putting(tuple(b.number for b in fitted), tuple(held))


def _taken_apart(
    layer: Sequence[Body], fitted: Sequence[Body], around: Sequence[manifold3d.Manifold]
) -> tuple[list[Body], list[int]]:
    """Take a layer apart from the whole; return the order in which it goes in, and the numbers of what sticks."""
    left = list(layer)
    out: list[Body] = []
    moved = True
    while left and moved:
        moved = False
        for body in reversed(left):
            if _comes_out(body, [*fitted, *(b for b in left if b is not body)], around):
                left.remove(body)
                out.append(body)
                moved = True
                break
    return [*left, *reversed(out)], [b.number for b in left]


def _comes_out(body: Body, others: Sequence[Body], walls: Sequence[manifold3d.Manifold]) -> bool:
    piece, solid = body.piece, body.solid
    if piece.kind is PieceKind.PLUG:
        return True
    lift = max(1.5 * piece.thickness, LEAST_LIFT) * 1000.0
    near = _near(solid, [*(b.solid for b in others), *walls], 3 * lift)
    if not near:
        return True
    normal = np.asarray(body.frame.normal)
    for slide in _slides(piece, body.frame, {b.piece.id for b in others}):
        if all(_is_free(solid.translate(s * lift * (normal + slide)), near) for s in (0.05, 0.15, 0.4, 0.7, 1)):
            return True
    thick = piece.thickness * 1000.0
    if any(_hooks(solid, edge, thick, near) for edge in _edges(piece, body.frame)):
        return True
    near = _near(solid, [*(b.solid for b in others), *walls], FAR)
    for _, _, into, _ in _edges(piece, body.frame):
        if all(_is_free(solid.translate(s * FAR * into), near) for s in (0.01, 0.05, 0.15, 0.3, 0.5, 0.75, 1)):
            return True
    return False


FAR = 400.0
"""A board drawn out this far in the plane of its face has left its place. [mm]"""


def _near(body: manifold3d.Manifold, around: Sequence[manifold3d.Manifold], reach: float) -> list[manifold3d.Manifold]:
    """Return the solids within a distance of a body, by their boxes. [mm]"""
    box = np.asarray(body.bounding_box())
    found = []
    for other in around:
        b = np.asarray(other.bounding_box())
        if (b[:3] < box[3:] + reach).all() and (b[3:] > box[:3] - reach).all():
            found.append(other)
    return found


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


def _slides(piece: Piece, frame: Frame, placed: set[str]) -> Iterator[Array]:
    """Slides to try for each unit of lift: none, the least that follows the piece's own bevels, away from each edge."""
    ex, ey = np.asarray(frame.ex), np.asarray(frame.ey)
    yield np.zeros(3)
    n = len(piece.outline)
    away = [inward(piece.outline[k], piece.outline[(k + 1) % n]) for k in range(n)]
    lean = [tan(e.bevel) + e.wedge / piece.thickness for e in piece.edges]
    met = [k for k, e in enumerate(piece.edges) if e.kind is not EdgeKind.FREE]
    built = [k for k in met if piece.edges[k].kind is not EdgeKind.SEAM]
    beside = [k for k in met if k in built or placed & set(piece.edges[k].neighbour.split(", "))]
    lift = max(1.5 * piece.thickness, LEAST_LIFT)
    loose = [m - (e.gap + PRESS) / lift for m, e in zip(lean, piece.edges, strict=True)]
    for kinds, bounds in ((beside, lean), (beside, loose), (built, lean), (built, loose)):
        least = least_slide([away[k] for k in kinds], [bounds[k] for k in kinds])
        if least is not None:
            yield from (f * (least[0] * ex + least[1] * ey) for f in (1.0, 1.05))
    for slope in SLIDES:
        for k in met:
            yield slope * (away[k][0] * ex + away[k][1] * ey)


def least_slide(normals: Sequence[tuple[float, float]], lean: Sequence[float]) -> tuple[float, float] | None:
    """Return the shortest slide d with d . n >= lean for every edge, None where there is none.

    Notes
    -----
    The shortest one lies at the origin, on one edge's limit, or where two limits cross.
    """
    n = np.asarray(normals).reshape(-1, 2)
    m = np.asarray(lean)
    found = [np.zeros(2), *(m[k] * n[k] for k in range(len(m)))]
    for i in range(len(m)):
        for j in range(i):
            system = np.array([n[i], n[j]])
            if abs(np.linalg.det(system)) > 1e-6:
                found.append(np.linalg.solve(system, m[[i, j]]))
    good = [d for d in found if (n @ d >= m - 1e-9).all()]
    if not good:
        return None
    best = min(good, key=lambda d: float(d @ d))
    return float(best[0]), float(best[1])


Hinge = tuple[Array, Array, Array, float]
"""An edge's place on the back [mm], its direction, its inward normal, and how far its bevel leans per height."""


def _edges(piece: Piece, frame: Frame) -> Iterator[Hinge]:
    """Each edge long enough to turn a board about."""
    back = back_of(piece.outline, piece.edges, piece.thickness)
    placed = in_space(back, piece.depth, frame) * 1000.0
    for k in range(len(back)):
        axis = placed[(k + 1) % len(back)] - placed[k]
        length = float(np.linalg.norm(axis))
        if length > 50.0:
            into = np.cross(np.asarray(frame.normal), axis / length)
            yield placed[k], axis / length, into, tan(piece.edges[k].bevel)


def _hooks(body: manifold3d.Manifold, edge: Hinge, thick: float, near: Sequence[manifold3d.Manifold]) -> bool:
    """Turn a body up about an edge, letting it shift off that edge, and see whether it comes free."""
    at, axis, into, lean = edge
    for angle in (1.0, 2.0, 4.0, 7.0, 11.0, 15.0, TURNED_UP):
        turn = _turn(axis, angle * pi / 180)
        move = np.column_stack([turn, at - turn @ at])
        turned = body.transform(move)
        drawn = thick * sin(angle * pi / 180)
        shifts = [b + s for b in dict.fromkeys((0.0, drawn, drawn * (1 + lean * lean))) for s in SHIFTS]
        if not any(_is_free(turned.translate(shift * into), near) for shift in shifts):
            return False
    return True


def _turn(axis: Array, angle: float) -> Array:
    """Return the rotation matrix about an axis that lifts what lies to its left (Rodrigues)."""
    x, y, z = axis
    cross = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    return np.asarray(np.eye(3) + sin(angle) * cross + (1 - np.cos(angle)) * cross @ cross)
