"""The two faces of a piece, and the piece as a solid in space."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, tan

from snugbay.draw.geometry import Point, bounds
from snugbay.pieces import Piece
from snugbay.survey import Frame

OUT_OF_SQUARE = 0.002
"""A piece out of square by less than this is listed by its size only. [m]"""

Place = tuple[float, float, float]
"""A place in the world, z plumb up. [m]"""


def back_outline(piece: Piece) -> tuple[Point, ...]:
    """Return the outline of a piece's back face, corner for corner with its front. [m]

    Each edge moves out by thickness times the tangent of its bevel (positive where the back is the larger face), and
    neighbours meet where the moved edges cross; where two edges run on in one line the corner moves straight out.
    """
    points, n = piece.outline, len(piece.outline)
    lines = []
    for i, edge in enumerate(piece.edges):
        (x0, y0), (x1, y1) = points[i], points[(i + 1) % n]
        long = hypot(x1 - x0, y1 - y0) or 1.0
        ux, uy = (x1 - x0) / long, (y1 - y0) / long
        by = piece.thickness * tan(edge.bevel)
        lines.append(((x0 + by * uy, y0 - by * ux), (ux, uy)))
    return tuple(_crossing(lines[i - 1], lines[i]) for i in range(n))


def _crossing(before: tuple[Point, Point], after: tuple[Point, Point]) -> Point:
    (px, py), (ux, uy) = before
    (qx, qy), (vx, vy) = after
    turn = ux * vy - uy * vx
    if abs(turn) < 1e-6:
        along = (qx - px) * ux + (qy - py) * uy
        fx, fy = px + along * ux, py + along * uy
        return ((fx + qx) / 2, (fy + qy) / 2)
    far = ((qx - px) * vy - (qy - py) * vx) / turn
    return (px + far * ux, py + far * uy)


def is_bevelled(piece: Piece) -> bool:
    """Answer whether any edge is cut off square."""
    return any(abs(e.bevel) > 1e-6 for e in piece.edges)


def outline_area(points: tuple[Point, ...]) -> float:
    """Return the area inside an outline. [m²]"""
    turned = (*points[1:], points[0])
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, turned, strict=True))) / 2


def is_plain(piece: Piece) -> bool:
    """Answer whether a piece is a rectangle with square edges and nothing in it: its size says all.

    Out of square by less than `OUT_OF_SQUARE` still counts: the foam gap takes it, and the sheet shows it as it is.
    """
    if len(piece.outline) != 4 or piece.holes or piece.slits or is_bevelled(piece):
        return False
    left, low, right, high = bounds(piece.outline)
    return all(
        min(x - left, right - x) < OUT_OF_SQUARE and min(y - low, high - y) < OUT_OF_SQUARE for x, y in piece.outline
    )


def to_world(frame: Frame, point: Point, height: float) -> Place:
    """Return where a point of a face, at a height over it, stands in the world. [m]"""
    return (
        frame.origin[0] + point[0] * frame.ex[0] + point[1] * frame.ey[0] + height * frame.normal[0],
        frame.origin[1] + point[0] * frame.ex[1] + point[1] * frame.ey[1] + height * frame.normal[1],
        frame.origin[2] + point[0] * frame.ex[2] + point[1] * frame.ey[2] + height * frame.normal[2],
    )


@dataclass(frozen=True)
class Solid:
    """A piece in space: two caps with the same corners, and walls between them.

    Attributes
    ----------
    piece : Piece
        Which.
    front, back : tuple of rings of Place
        Outline first, holes after it; corner for corner. The outline runs counter-clockwise seen from the front.
    normal : Place
        From the back to the front.
    """

    piece: Piece
    front: tuple[tuple[Place, ...], ...]
    back: tuple[tuple[Place, ...], ...]
    normal: Place


def solid_of(piece: Piece, frame: Frame, lift: float = 0.0) -> Solid:
    """Return a piece in its place, lifted off the face by ``lift``. [m]"""
    near, far = piece.depth + lift, piece.depth + piece.thickness + lift
    backs = (back_outline(piece), *piece.holes)
    fronts = (piece.outline, *piece.holes)
    return Solid(
        piece,
        tuple(tuple(to_world(frame, p, far) for p in ring) for ring in fronts),
        tuple(tuple(to_world(frame, p, near) for p in ring) for ring in backs),
        frame.normal,
    )
