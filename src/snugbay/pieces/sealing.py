"""The joints to be sealed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import cos, hypot

from shapely.geometry import Polygon

from snugbay.pieces.corners import Ending
from snugbay.pieces.plane import unit
from snugbay.pieces.values import EdgeKind, Piece, Seam
from snugbay.survey import Point

TOUCH = 2e-3
"""Edges of two pieces on one seam line lie within this of each other. [m]"""


def name_neighbours(pieces: Sequence[Piece]) -> tuple[tuple[Piece, ...], tuple[Seam, ...]]:
    """Name the piece across each tight seam, and return the seams of one layer.

    Parameters
    ----------
    pieces : sequence of Piece
        Pieces of one layer of one face, labelled.
    """
    names: dict[tuple[int, int], list[str]] = {}
    seams: list[Seam] = []
    tight = [(i, k) for i, p in enumerate(pieces) for k, e in enumerate(p.edges) if e.kind is EdgeKind.SEAM]
    for at, (i, k) in enumerate(tight):
        for j, m in tight[at + 1 :]:
            if i == j:
                continue
            shared = _shared(_edge(pieces[i], k), _edge(pieces[j], m))
            if shared is None:
                continue
            names.setdefault((i, k), []).append(pieces[j].id)
            names.setdefault((j, m), []).append(pieces[i].id)
            seams.append(_seam(pieces[i], EdgeKind.SEAM, 0.0, pieces[j].id, shared))
    named = []
    for i, piece in enumerate(pieces):
        edges = tuple(
            replace(e, neighbour=", ".join(names[i, k])) if (i, k) in names else e for k, e in enumerate(piece.edges)
        )
        named.append(replace(piece, edges=edges))
    return tuple(named), tuple(seams)


def edge_seams(piece: Piece, endings: Mapping[str, Sequence[Ending]], hot: Sequence[Polygon] = ()) -> list[Seam]:
    """Return the joints of a piece with what is not a piece of its own layer.

    Parameters
    ----------
    piece : Piece
        Labelled.
    endings : Mapping of str to sequence of Ending
        For each face that this layer meets, how it ends there.
    hot : sequence of Polygon
        Hot things: the gap round them is no joint to foam. [m]

    Notes
    -----
    Where two faces' boards meet, the joint is counted once, on the board placed later.
    """
    found: list[Seam] = []
    for k, edge in enumerate(piece.edges):
        ends = _edge(piece, k)
        if edge.kind is EdgeKind.CORNER:
            here = endings.get(edge.neighbour, ())
            if here and not any(e.last for e in here):
                continue
        if edge.kind in (EdgeKind.ROUGH, EdgeKind.CORNER):
            found.append(_seam(piece, edge.kind, edge.gap * cos(edge.bevel) + edge.wedge / 2, edge.neighbour, ends))
    for hole in piece.holes:
        if any(Polygon(hole).intersects(thing) for thing in hot):
            continue
        for p, q in zip(hole, [*hole[1:], hole[0]], strict=True):
            found.append(_seam(piece, EdgeKind.ROUGH, 0.0, "hole", (p, q)))
    for slit in piece.slits:
        found.append(_seam(piece, EdgeKind.SEAM, 0.0, "slit", slit))
    return found


def gasket_seams(plug: Piece, opening: str) -> list[Seam]:
    """Return the gasket joint round a plug, edge by edge of its outermost panel."""
    return [_seam(plug, EdgeKind.PLUG, e.gap, opening, _edge(plug, k)) for k, e in enumerate(plug.edges)]


def _edge(piece: Piece, k: int) -> tuple[Point, Point]:
    return piece.outline[k], piece.outline[(k + 1) % len(piece.outline)]


def _seam(piece: Piece, kind: EdgeKind, width: float, other: str, ends: tuple[Point, Point]) -> Seam:
    (ax, ay), (bx, by) = ends
    return Seam(piece.face, piece.layer, kind, hypot(bx - ax, by - ay), width, piece.thickness, (piece.id, other), ends)


def _shared(a: tuple[Point, Point], b: tuple[Point, Point]) -> tuple[Point, Point] | None:
    """Return the part of two edges that lies on one line, None where there is none longer than a millimetre."""
    ux, uy, length = unit(*a)

    def place(p: Point) -> tuple[float, float]:
        dx, dy = p[0] - a[0][0], p[1] - a[0][1]
        return dx * ux + dy * uy, abs(dx * uy - dy * ux)

    (s, off_s), (t, off_t) = place(b[0]), place(b[1])
    if max(off_s, off_t) > TOUCH:
        return None
    low, high = max(0.0, min(s, t)), min(length, max(s, t))
    if high - low < 1e-3:
        return None
    return (
        (a[0][0] + low * ux, a[0][1] + low * uy),
        (a[0][0] + high * ux, a[0][1] + high * uy),
    )
