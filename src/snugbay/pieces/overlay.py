"""The one place where plane shapes are joined and taken from each other: on a fine grid, so that it always works.

Overlays of floating-point shapes whose edges nearly coincide fail now and then ("TopologyException"); with every vertex
snapped to a grid they do not (snap rounding; J. D. Hobby, Practical segment intersection with finite precision output,
1999; from memory). The grid is far finer than anything that is measured, cut or drawn.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

GRID = 1e-9
"""Spacing of the grid, in the unit of the shapes (metres of a face, millimetres of a page)."""


def sound(rings: Sequence[Sequence[tuple[float, float]]]) -> BaseGeometry:
    """Return the shape of an outline and its holes, mended where rounding made it cross itself."""
    outer = rings[0]
    return mended(Polygon(outer, [r for r in rings[1:] if len(r) > 2])) if len(outer) > 2 else Polygon()


def mended(shape: BaseGeometry) -> BaseGeometry:
    """Return a valid shape: itself where it is one, else the areas that its outline encloses.

    Of a mixture, as an overlay leaves it where shapes only touch, the areas are kept.
    """
    if not shape.is_valid:
        return areas(shapely.make_valid(shape))
    return areas(shape) if shape.geom_type == "GeometryCollection" else shape


def areas(shape: BaseGeometry) -> BaseGeometry:
    """Return the areas of a shape; lines and points that an overlay leaves are dropped."""
    parts = [p for p in shapely.get_parts(shapely.get_parts(shape)) if p.geom_type == "Polygon" and p.area > 0]
    return shapely.MultiPolygon(parts) if len(parts) > 1 else parts[0] if parts else Polygon()


def without(shape: BaseGeometry, other: BaseGeometry) -> BaseGeometry:
    """Return what is left of a shape without another."""
    return shapely.difference(mended(shape), mended(other), grid_size=GRID)


def shared(shape: BaseGeometry, other: BaseGeometry) -> BaseGeometry:
    """Return what two shapes share: an area with an area, the part of a line that lies in an area."""
    return shapely.intersection(mended(shape), mended(other), grid_size=GRID)


def together(shapes: Iterable[BaseGeometry]) -> BaseGeometry:
    """Return all shapes as one."""
    return shapely.union_all([mended(s) for s in shapes], grid_size=GRID)
