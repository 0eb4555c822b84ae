"""Notches, holes and openings as shapes to be left out, with their clearance and their lines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import cos, hypot, pi, sin, tan

from shapely.geometry import Polygon
from shapely.ops import nearest_points

from snugbay.base import SurveyError
from snugbay.job import Face, Hole, Notch, Opening
from snugbay.pieces.overlay import together
from snugbay.pieces.plane import Line, inward, unit
from snugbay.pieces.rates import rate, typical
from snugbay.pieces.values import Edge, EdgeKind
from snugbay.survey import AdjustedFace, Point
from snugbay.survey.hot import kept_clear

ROUND_SIDES = 24

NOT_THREADED = ("light", "lamp", "downlight", "socket", "box", "switch", "fan", "grille", "vent cap")
"""Words in the name of a hole whose thing is set in afterwards, so that the board needs no slit."""


@dataclass(frozen=True)
class Obstacle:
    """A shape left out of the boards.

    Attributes
    ----------
    name : str
        What it is.
    bare : Polygon
        The thing itself. [m]
    shape : Polygon
        With clearance. [m]
    clearance : float
        [m]
    sigma : float
        Standard deviation of its place. [m]
    kind : EdgeKind
        Of the edges round it.
    threaded : bool
        True where the board must be slit to get round it.
    opening : Opening or None
        Where it is one.
    corners : (int, int) or None
        Numbers of the face's corners from which it was measured.
    proud : bool
        True where it stands out far in front of the boards, so that they cannot be tilted past it.
    hot : bool
        True where neither board nor foam comes near it.
    """

    name: str
    bare: Polygon
    shape: Polygon
    clearance: float
    sigma: float
    kind: EdgeKind
    threaded: bool = False
    opening: Opening | None = None
    corners: tuple[int, int] | None = None
    proud: bool = False
    hot: bool = False

    def lines(self) -> list[Line]:
        """Return the lines of the shape, the board to their left."""
        points = [(float(x), float(y)) for x, y in self.shape.exterior.coords[:-1]]
        if self.shape.exterior.is_ccw:
            points.reverse()
        edge = Edge(self.kind, self.clearance, 0.0, self.name)
        pairs = zip(points, [*points[1:], points[0]], strict=True)
        captive = self.opening is None
        return [Line(p, q, edge, self.corners, captive, self.sigma, self.name) for p, q in pairs if p != q]


def obstacles(face: Face, adjusted: AdjustedFace, grown: float, cut: float) -> tuple[Obstacle, ...]:
    """Return all that interrupts a face.

    Parameters
    ----------
    face : Face
        With its notches, holes and openings.
    adjusted : AdjustedFace
        Its corners.
    grown : float
        Furthest that a board grows past an edge; notches reach out that far. [m]
    cut : float
        Standard deviation of a cut edge. [m]
    """
    found = [_notch(face, adjusted, n, grown, cut) for n in face.notches]
    found += [_hole(adjusted, h, cut) for h in face.holes]
    found += [_opening(adjusted, o) for o in face.openings]
    return tuple(found)


def clearance(sigma: float, cut: float, safe: float | None = None) -> float:
    """Return the clearance round a thing: the usual one, or what its uncertain place and the cut need for 95 %. [m]

    Notes
    -----
    1.96 standard deviations of the thing's place and of the two cuts beside it, so that both sides clear; hot things
    keep their ``safe`` distance [m] on top.
    """
    need = 1.96 * hypot(sigma, cut)
    return safe + need if safe is not None else max(typical("notch_clearance"), need)


def _notch(face: Face, adjusted: AdjustedFace, notch: Notch, grown: float, cut: float) -> Obstacle:
    try:
        p, q = adjusted.point(notch.edge[0]), adjusted.point(notch.edge[1])
    except ValueError:
        raise SurveyError(
            f"Notch {notch.name} of face {face.id} lies on an edge that the face does not have.",
            where=("faces", face.id, "notches", notch.name),
            hint="Name the edge by two neighbouring corners, counter-clockwise.",
        ) from None
    room = clearance(notch.sigma, cut, kept_clear(notch))
    bare = _notch_shape(p, q, notch, 0.0, grown)
    shape = _notch_shape(p, q, notch, room, grown)
    ends = (face.corners.index(notch.edge[0]), face.corners.index(notch.edge[1]))
    return Obstacle(notch.name, bare, shape, room, notch.sigma, _edge_kind(notch.hot), corners=ends, hot=notch.hot)


def _edge_kind(hot: bool) -> EdgeKind:
    """Return what the edges round a thing are: no foam goes near a hot one, its gap stays open."""
    return EdgeKind.FREE if hot else EdgeKind.ROUGH


def _notch_shape(p: Point, q: Point, notch: Notch, room: float, grown: float) -> Polygon:
    ux, uy, _ = unit(p, q)
    nx, ny = inward(p, q)
    side, lean = room / cos(notch.skew), tan(notch.skew)
    out, deep = -(grown + 0.01), notch.depth + room
    corners = []
    for along, across in (
        (notch.distance - side + out * lean, out),
        (notch.distance + notch.width + side + out * lean, out),
        (notch.distance + notch.width + side + deep * lean, deep),
        (notch.distance - side + deep * lean, deep),
    ):
        corners.append((p[0] + along * ux + across * nx, p[1] + along * uy + across * ny))
    return Polygon(corners)


def _basis(adjusted: AdjustedFace) -> tuple[Point, Point, Point]:
    p, q = adjusted.points[0], adjusted.points[1]
    ux, uy, _ = unit(p, q)
    return p, (ux, uy), (-uy, ux)


def _rectangle(adjusted: AdjustedFace, corners: Sequence[Point]) -> Polygon:
    p, u, n = _basis(adjusted)
    return Polygon([(p[0] + x * u[0] + y * n[0], p[1] + x * u[1] + y * n[1]) for x, y in corners])


def _hole(adjusted: AdjustedFace, hole: Hole, cut: float) -> Obstacle:
    room = clearance(hole.sigma, cut, kept_clear(hole))
    name = hole.name.lower()
    threaded = not any(word in name for word in NOT_THREADED)

    def shape(extra: float) -> Polygon:
        a, b = hole.width / 2 + extra, hole.height / 2 + extra
        if not hole.round:
            return _rectangle(adjusted, [(hole.x + s * a, hole.y + t * b) for s, t in _CORNERS])
        grow = 1 / cos(pi / ROUND_SIDES)  # the many-sided shape goes round the circle
        turns = [2 * pi * (k + 0.5) / ROUND_SIDES for k in range(ROUND_SIDES)]
        return _rectangle(adjusted, [(hole.x + grow * a * cos(w), hole.y + grow * b * sin(w)) for w in turns])

    kind = _edge_kind(hole.hot)
    return Obstacle(hole.name, shape(0.0), shape(room), room, hole.sigma, kind, threaded, None, (0, 1), hot=hole.hot)


_CORNERS = ((-1, -1), (1, -1), (1, 1), (-1, 1))


def _opening(adjusted: AdjustedFace, opening: Opening) -> Obstacle:
    x, y, w, h = opening.x, opening.y, opening.width, opening.height
    shape = _rectangle(adjusted, [(x, y), (x + w, y), (x + w, y + h), (x, y + h)])
    kind = EdgeKind.PLUG if opening.plug else EdgeKind.FREE
    return Obstacle(opening.name, shape, shape, 0.0, opening.sigma, kind, False, opening, (0, 1))


def opened_to_edge(thing: Obstacle, region: Polygon) -> Obstacle:
    """Return a hole that lies too close to the edge as a notch from that edge, anything else as it is.

    A bridge of board narrower than the narrowest strip worth cutting would break.
    """
    if thing.opening is not None or not region.contains(thing.shape):
        return thing
    if region.exterior.distance(thing.shape) >= rate("min_strip").low:
        return thing
    middle = thing.shape.centroid
    edge, _ = nearest_points(region.exterior, middle)
    ux, uy, length = unit((middle.x, middle.y), (edge.x, edge.y))
    half = max(abs((x - middle.x) * uy - (y - middle.y) * ux) for x, y in thing.shape.exterior.coords)
    out = length + 0.01
    way = Polygon(
        [
            (middle.x + a * ux - b * uy, middle.y + a * uy + b * ux)
            for a, b in ((0.0, -half), (out, -half), (out, half), (0.0, half))
        ]
    )
    return replace(thing, shape=together([thing.shape, way]), threaded=False)
