"""Plane geometry that the drawings share; points are bare pairs, the unit is the caller's."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import hypot

from shapely import LineString, MultiLineString, Polygon
from shapely.affinity import rotate
from shapely.geometry.base import BaseGeometry
from shapely.ops import polylabel

from snugbay.pieces.overlay import shared, sound, together, without

Point = tuple[float, float]
Box = tuple[float, float, float, float]
"""Left, low, right, high."""


@dataclass(frozen=True)
class View:
    """From metres in the plane of a face or sheet (y up) to millimetres on the page (y down). Never mirrors.

    Attributes
    ----------
    scale : float
        Millimetres on the page for one metre.
    left, foot : float
        Page place of the plane's origin. [mm]
    """

    scale: float
    left: float
    foot: float

    def at(self, point: Point) -> Point:
        """Return the place on the page. [mm]"""
        return (self.left + self.scale * point[0], self.foot - self.scale * point[1])

    def all(self, points: Iterable[Point]) -> tuple[Point, ...]:
        """Return the places on the page. [mm]"""
        return tuple(self.at(p) for p in points)

    def way(self, vector: Point) -> Point:
        """Return a direction on the page, unit length; right where the vector has no length."""
        long = hypot(*vector)
        return (vector[0] / long, -vector[1] / long) if long > 0 else (1.0, 0.0)


SCALES = (1, 2, 2.5, 4, 5, 6, 8, 10, 12, 15, 16, 20, 24, 25, 30, 32, 40, 48, 50, 60, 64, 75, 80, 96, 100, 120, 150, 200)
"""Scales that a drawing may have, one to so many; 12 and 24 are an inch and half an inch to the foot."""


def scale_for(size: Point, room: Point) -> float:
    """Return the largest usual scale (one to so many) at which ``size`` fits in ``room``.

    Parameters
    ----------
    size : (float, float)
        Width and height of the thing. [m]
    room : (float, float)
        Width and height on the page. [mm]
    """
    need = max(size[0] * 1000 / room[0], size[1] * 1000 / room[1])
    for scale in SCALES:
        if scale >= need - 1e-9:
            return float(scale)
    return float(-(-need // 50) * 50)


def bounds(points: Iterable[Point]) -> Box:
    """Return the box round points."""
    xs, ys = zip(*points, strict=True)
    return (min(xs), min(ys), max(xs), max(ys))


def polygon(rings: Sequence[Sequence[Point]]) -> BaseGeometry:
    """Return the polygon of an outline and holes, mended where rounding made it cross itself."""
    return sound(rings)


def polygons(shape: BaseGeometry) -> tuple[Polygon, ...]:
    """Return the polygons of a geometry, largest first."""
    parts = [g for g in getattr(shape, "geoms", [shape]) if isinstance(g, Polygon) and not g.is_empty]
    return tuple(sorted(parts, key=lambda g: (-g.area, *g.bounds)))


def rings_of(shape: Polygon) -> tuple[tuple[Point, ...], ...]:
    """Return outline and holes as open rings."""
    return tuple(tuple((x, y) for x, y, *_ in ring.coords[:-1]) for ring in (shape.exterior, *shape.interiors))


def spot_inside(rings: Sequence[Sequence[Point]], tolerance: float = 0.2) -> tuple[Point, float]:
    """Return a place deep inside an outline with holes (the centroid if it will do), and its distance from the rim."""
    parts = polygons(polygon(rings))
    if not parts:
        left, low, right, high = bounds(rings[0])
        return ((left + right) / 2, (low + high) / 2), 0.0
    rim = parts[0].boundary
    spot = polylabel(parts[0], tolerance)
    deepest = float(rim.distance(spot))
    centre = parts[0].centroid
    if parts[0].contains(centre) and rim.distance(centre) >= 0.9 * deepest:
        return (centre.x, centre.y), float(rim.distance(centre))
    return (spot.x, spot.y), deepest


def room_for(rings: Sequence[Sequence[Point]], at: Point, width: float, height: float, turn_deg: float) -> bool:
    """Answer whether a turned box, centred at a place, lies within an outline with holes."""
    x, y = at
    box = Polygon([(x + sx * width / 2, y + sy * height / 2) for sx, sy in ((-1, -1), (1, -1), (1, 1), (-1, 1))])
    return bool(polygon(rings).covers(rotate(box, turn_deg, origin=at)))


def hatch(rings: Sequence[Sequence[Point]], spacing: float, angle_deg: float) -> tuple[tuple[Point, Point], ...]:
    """Return parallel lines across an outline with holes.

    Parameters
    ----------
    rings : sequence of rings
        Outline and holes.
    spacing : float
        Distance between lines.
    angle_deg : float
        Direction of the lines, turning from +x towards +y.
    """
    shape = polygon(rings)
    if shape.is_empty:
        return ()
    level = rotate(shape, -angle_deg, origin=(0, 0))
    left, low, right, high = level.bounds
    first = int(low // spacing) + 1
    found = []
    for n in range(first, int(high // spacing) + 1):
        cut = shared(LineString([(left - 1, n * spacing), (right + 1, n * spacing)]), level)
        for part in line_parts(rotate(cut, angle_deg, origin=(0, 0))):
            found.append((part[0], part[-1]))
    return tuple(found)


def line_parts(shape: BaseGeometry) -> tuple[tuple[Point, ...], ...]:
    """Return the open lines of a geometry, points and areas left out."""
    if isinstance(shape, LineString):
        return () if shape.is_empty or shape.length < 1e-9 else (tuple((x, y) for x, y, *_ in shape.coords),)
    if isinstance(shape, MultiLineString) or hasattr(shape, "geoms"):
        return tuple(part for g in shape.geoms for part in line_parts(g))
    return ()


def clipped(rings: Sequence[Sequence[Point]], start: Point, end: Point) -> tuple[tuple[Point, ...], ...]:
    """Return the parts of a straight line that lie within an outline with holes."""
    return line_parts(shared(LineString([start, end]), polygon(rings)))


def left_over(sheet: Box, taken: Iterable[Sequence[Sequence[Point]]], least: float) -> tuple[Polygon, ...]:
    """Return what is left of a box when the taken outlines are out; parts thinner than ``least`` are dropped."""
    left, low, right, high = sheet
    whole: BaseGeometry = Polygon([(left, low), (right, low), (right, high), (left, high)])
    rest = without(whole, together([polygon(rings) for rings in taken]))
    opened = rest.buffer(-least / 2, join_style="mitre").buffer(least / 2, join_style="mitre")
    return polygons(shared(opened, rest))


def middle(a: Point, b: Point, share: float = 0.5) -> Point:
    """Return the point at a share of the way from a to b."""
    return (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]))


def distance(a: Point, b: Point) -> float:
    """Return the distance of two points."""
    return hypot(b[0] - a[0], b[1] - a[1])


def offset(at: Point, way: Point, by: float) -> Point:
    """Return a point moved along a direction."""
    return (at[0] + by * way[0], at[1] + by * way[1])
