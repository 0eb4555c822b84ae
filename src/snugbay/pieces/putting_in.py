"""The proof that every board reaches its place: trial motions of solids past the surfaces and what is fitted before.

Each board is taken out again, in the reverse of the fitting order: straight off the face, slid aside as it lifts, or
turned up about one of its edges. It has left its place when it is clear by one and a half times its thickness, or is
turned up by 25 degrees. What it may do from there on, in the open room, is not looked at.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import pi, sin, tan

import manifold3d
import numpy as np
from numpy.typing import NDArray

from snugbay.job import Job
from snugbay.pieces.corners import order_of_faces
from snugbay.pieces.cutting import back_of
from snugbay.pieces.plane import inward, offset_outline
from snugbay.pieces.regions import edge_numbers
from snugbay.pieces.solids import in_space
from snugbay.pieces.values import EdgeKind, Piece, PieceKind
from snugbay.survey import Frame, Survey

Array = NDArray[np.float64]

PRESS = 0.5e-3
"""Boards may be pressed this much on average on the way in. [m]"""

SKIN = 0.02
"""Thickness of the surfaces as obstacles. [m]"""

TURNED_UP = 25.0
"""A board turned up this far has left its place. [deg]"""

SLIDES = (0.15, 0.3, 0.6, 1.0, 1.8)
"""Slide for each unit of lift that is tried. [-]"""

SHIFTS = (0.0, 0.5, -0.5, 1.0, -1.0, 2.0, -2.0, 3.5, -3.5, 5.0, -5.0, 8.0, -8.0)
"""Shifts that a hooked board may make on the way. [mm]"""


def fitting_order(job: Job, pieces: Sequence[Piece]) -> list[int]:
    """Return the numbers of the pieces in the order in which they are fitted: bays, then layer by layer.

    Odd layers take the faces in the order of who runs past, even ones in its reverse; plugs come last.
    """
    faces = tuple(dict.fromkeys(p.face for p in pieces))
    order, _ = order_of_faces(job, faces)
    ranks: dict[tuple[str, int], int] = {}
    for face in faces:
        layers = sorted({p.layer for p in pieces if p.face == face and p.kind is not PieceKind.PLUG and not p.bay})
        ranks |= {(face, layer): k + 1 for k, layer in enumerate(layers)}

    def key(k: int) -> tuple[int, int, int]:
        piece = pieces[k]
        if piece.kind is PieceKind.PLUG:
            return (99, order.index(piece.face), k)
        rank = 0 if piece.bay else ranks[piece.face, piece.layer]
        at = order.index(piece.face)
        return (rank, at if rank % 2 else -at, k)

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
        body = manifold3d.Manifold.extrude(section, SKIN * 1000).translate((0.0, 0.0, -SKIN * 1000))
        found[face.id] = body.transform(_placing(adjusted.frame))
    return found


def _placing(frame: Frame) -> Array:
    """Return the 3 x 4 matrix that puts a body drawn in the plane of a face into space. [mm]"""
    return np.column_stack([frame.ex, frame.ey, frame.normal, np.asarray(frame.origin) * 1000.0])


def stuck(
    job: Job,
    survey: Survey,
    pieces: Sequence[Piece],
    solids: Sequence[manifold3d.Manifold],
    frames: Mapping[str, Frame],
) -> list[int]:
    """Return the numbers of the pieces for which no motion out of their place was found.

    Parameters
    ----------
    job, survey : Job, Survey
        Faces and where they stand.
    pieces : sequence of Piece
        All pieces.
    solids : sequence of manifold
        Each piece as a solid in its place. [mm]
    frames : Mapping
        Where each face stands.
    """
    walls = surfaces(job, survey)
    fitted: list[manifold3d.Manifold] = []
    found: list[int] = []
    placed: set[str] = set()
    for k in fitting_order(job, pieces):
        piece = pieces[k]
        around = fitted + [w for f, w in walls.items() if not (piece.bay and f == piece.face)]
        if piece.kind is not PieceKind.PLUG and not _comes_out(piece, solids[k], frames[piece.face], around, placed):
            found.append(k)
        fitted.append(solids[k])
        placed.add(piece.id)
    return found


def _comes_out(
    piece: Piece,
    body: manifold3d.Manifold,
    frame: Frame,
    around: Sequence[manifold3d.Manifold],
    placed: set[str],
) -> bool:
    lift = max(1.5 * piece.thickness, 0.06) * 1000.0
    near = _near(body, around, lift * 3)
    if not near:
        return True
    normal = np.asarray(frame.normal)
    for slide in _slides(piece, frame, placed):
        if all(_is_free(body.translate(share * lift * (normal + slide)), near) for share in (0.05, 0.15, 0.4, 0.7, 1)):
            return True
    thick = piece.thickness * 1000.0
    return any(_hooks(body, edge, thick, near) for edge in _edges(piece, frame))


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
    for kinds in (beside, built):
        least = least_slide([away[k] for k in kinds], [lean[k] for k in kinds])
        if least is not None:
            yield from (f * (least[0] * ex + least[1] * ey) for f in (1.0, 1.05))
    for slope in SLIDES:
        for k in met:
            if abs(lean[k]) > 1e-6 or piece.edges[k].wedge > 0.0:
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
    for angle in (1.0, 2.0, 4.0, 7.0, 11.0, 17.0, TURNED_UP):
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
