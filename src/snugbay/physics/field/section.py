"""A section as frozen values: regions of material, and facings where it meets the air or a fixed temperature."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from snugbay.base import InputError, OutOfRange, Problems, SnugbayError

Point = tuple[float, float]
"""A point of the section, x and y. [m]"""


@dataclass(frozen=True)
class Region:
    """A patch of one material in a section.

    Attributes
    ----------
    outline : tuple of Point
        Corners in order, either way round, not repeated at the end. [m]
    conductivity : float
        Thermal conductivity. [W/(m·K)]
    name : str
        What it is, for messages and drawings.
    """

    outline: tuple[Point, ...]
    conductivity: float
    name: str = ""


@dataclass(frozen=True)
class Facing:
    """A straight stretch of the edge of a section that faces the air of one space.

    Attributes
    ----------
    start, end : Point
        Ends of the stretch, either way round. [m]
    air : str
        Name of the space whose temperature it sees.
    resistance : float
        Surface resistance; 0 where the surface itself is held at the temperature. [m²·K/W]
    """

    start: Point
    end: Point
    air: str
    resistance: float


@dataclass(frozen=True)
class Section:
    """A section through a building part; where nothing faces the edge, the edge is adiabatic.

    Attributes
    ----------
    regions : tuple of Region
        Material; where regions overlap, the later one counts.
    facings : tuple of Facing
        Edges with a heat exchange.
    """

    regions: tuple[Region, ...]
    facings: tuple[Facing, ...]

    @property
    def airs(self) -> tuple[str, ...]:
        """Names of the spaces that the section faces, in the order of the facings."""
        return tuple(dict.fromkeys(f.air for f in self.facings))

    @property
    def size(self) -> float:
        """Longer side of the box round the section. [m]"""
        xs = [p[0] for r in self.regions for p in r.outline]
        ys = [p[1] for r in self.regions for p in r.outline]
        return max(max(xs) - min(xs), max(ys) - min(ys))

    def moved(self, angle: float = 0.0, by: Point = (0.0, 0.0)) -> Section:
        """Return the section turned about the origin, then shifted.

        Parameters
        ----------
        angle : float
            Turn, anticlockwise. [rad]
        by : Point
            Shift after the turn. [m]

        Returns
        -------
        Section
        """
        c, s = math.cos(angle), math.sin(angle)

        def go(p: Point) -> Point:
            return (c * p[0] - s * p[1] + by[0], s * p[0] + c * p[1] + by[1])

        regions = tuple(replace(r, outline=tuple(go(p) for p in r.outline)) for r in self.regions)
        return Section(regions, tuple(replace(f, start=go(f.start), end=go(f.end)) for f in self.facings))


def rectangle(x0: float, y0: float, x1: float, y1: float, conductivity: float, name: str = "") -> Region:
    """Return a rectangular region.

    Parameters
    ----------
    x0, y0, x1, y1 : float
        Two opposite corners. [m]
    conductivity : float
        [W/(m·K)]
    name : str
        What it is.

    Returns
    -------
    Region
    """
    return Region(((x0, y0), (x1, y0), (x1, y1), (x0, y1)), conductivity, name)


def polygon_area(outline: Iterable[Point]) -> float:
    """Return the area inside a closed outline, positive either way round. [m²]"""
    points = tuple(outline)
    twice = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, (*points[1:], points[0]), strict=True))
    return abs(twice) / 2


def check_section(section: Section) -> None:
    """Raise for everything in the section that cannot be computed, all faults together.

    Raises
    ------
    Problems
        Holding `OutOfRange` for conductivities and resistances, `InputError` for shapes and missing facings.
    """
    faults: list[SnugbayError] = []
    for i, region in enumerate(section.regions):
        faults.extend(fault.at("regions", i) for fault in _region_faults(region))
    for i, facing in enumerate(section.facings):
        faults.extend(fault.at("facings", i) for fault in _facing_faults(facing))
    if not section.regions:
        faults.append(InputError("The section has no material.", hint="Give at least one region."))
    if not section.facings:
        faults.append(
            InputError("The section faces no air, so its temperature is not settled.", hint="Give at least one facing.")
        )
    if faults:
        raise Problems(faults)


def _region_faults(region: Region) -> Iterable[SnugbayError]:
    if not (math.isfinite(region.conductivity) and region.conductivity > 0):
        yield OutOfRange(
            f"The conductivity of {region.name or 'a region'} is {region.conductivity} W/(m·K).",
            where=("conductivity",),
            hint="It must be a positive number; leave a hole for air that is moved by a fan or the wind.",
        )
    numbers = [c for p in region.outline for c in p]
    if len(region.outline) < 3 or not all(map(math.isfinite, numbers)) or polygon_area(region.outline) <= 0:
        yield InputError(
            f"The outline of {region.name or 'a region'} encloses nothing.",
            where=("outline",),
            hint="Give at least three corners that do not lie on one line.",
        )


def _facing_faults(facing: Facing) -> Iterable[SnugbayError]:
    if not (math.isfinite(facing.resistance) and facing.resistance >= 0):
        yield OutOfRange(
            f"The surface resistance towards {facing.air} is {facing.resistance} m²·K/W.",
            where=("resistance",),
            hint="It must be zero (surface temperature known) or more.",
        )
    length = math.dist(facing.start, facing.end)
    if not (math.isfinite(length) and length > 0):
        yield InputError(f"A facing towards {facing.air} has no length.", hint="Give two different ends.")
