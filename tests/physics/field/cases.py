"""Sections of the published and own check cases, shared by the tests of the field."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from snugbay.physics.field import Facing, Point, Region, Section, rectangle


@dataclass(frozen=True)
class Case:
    section: Section
    temps_c: Mapping[str, float]
    points: tuple[Point, ...] = ()


def mm(x0: float, y0: float, x1: float, y1: float, conductivity: float) -> Region:
    return rectangle(x0 / 1000, y0 / 1000, x1 / 1000, y1 / 1000, conductivity)


def case_10211_a1(width: float = 1.0, conductivity: float = 1.0) -> Case:
    """EN ISO 10211:2017 Annex C case 1: half a square column, fixed surface temperatures."""
    w, h = width, 2 * width
    facings = (
        Facing((0, h), (w, h), "top", 0.0),
        Facing((0, 0), (0, h), "cold", 0.0),
        Facing((0, 0), (w, 0), "cold", 0.0),
    )
    points = tuple((x * w, h - k * h / 8) for k in range(1, 8) for x in (0.25, 0.5, 0.75, 1.0))
    return Case(Section((rectangle(0, 0, w, h, conductivity),), facings), {"top": 20.0, "cold": 0.0}, points)


def case_10211_a2() -> Case:
    """EN ISO 10211:2017 Annex C case 2: concrete, wood, insulation and an aluminium profile."""
    regions = (
        mm(0, 0, 500, 47.5, 0.029),
        mm(0, 41.5, 500, 47.5, 1.15),
        mm(0, 36.5, 15, 41.5, 0.12),
        mm(0, 0, 500, 1.5, 230),
        mm(0, 1.5, 1.5, 35, 230),
        mm(0, 35, 15, 36.5, 230),
    )
    facings = (Facing((0, 0.0475), (0.5, 0.0475), "outside", 0.06), Facing((0, 0), (0.5, 0), "inside", 0.11))
    corners = ((0, 47.5), (500, 47.5), (0, 41.5), (15, 41.5), (500, 41.5), (0, 36.5), (15, 36.5), (0, 0), (500, 0))
    points = tuple((x / 1000, y / 1000) for x, y in corners)
    return Case(Section(regions, facings), {"outside": 0.0, "inside": 20.0}, points)


def case_2d_corner(leg: float = 6.0, thickness: float = 1.0, conductivity: float = 1.0) -> Case:
    """Two equal walls at a right angle, surfaces held."""
    end = leg + thickness
    regions = (rectangle(0, 0, end, thickness, conductivity), rectangle(0, 0, thickness, end, conductivity))
    facings = (
        Facing((0, 0), (end, 0), "outside", 0.0),
        Facing((0, 0), (0, end), "outside", 0.0),
        Facing((thickness, thickness), (end, thickness), "inside", 0.0),
        Facing((thickness, thickness), (thickness, end), "inside", 0.0),
    )
    return Case(Section(regions, facings), {"inside": 1.0, "outside": 0.0})


def case_2d_stud_ci() -> Case:
    """Half a stud bay with a board over it; x across, y from outside to inside."""
    half = 0.2032
    regions = (
        mm(0, 0, 203.2, 11.1, 0.13),
        mm(0, 11.1, 203.2, 100.0, 0.04),
        mm(0, 11.1, 19.05, 100.0, 0.12),
        mm(0, 100.0, 203.2, 150.0, 0.024),
        mm(0, 150.0, 203.2, 162.7, 0.16),
    )
    facings = (Facing((0, 0), (half, 0), "outside", 0.04), Facing((0, 0.1627), (half, 0.1627), "inside", 0.13))
    points = ((0.0, 0.1627), (half, 0.1627), (0.0, 0.0111))
    return Case(Section(regions, facings), {"outside": -10.0, "inside": 20.0}, points)


def a1_series(x: float, y: float, terms: int = 80) -> float:
    """Fourier series of case 1 for width 1: 20 on top, 0 left and below, mirrored at the right edge."""
    total = 0.0
    for n in range(1, 2 * terms, 2):
        k = n * math.pi / 2
        rise = math.exp(k * (y - 2)) * (1 - math.exp(-2 * k * y)) / (1 - math.exp(-4 * k))
        total += 4 / (n * math.pi) * math.sin(k * x) * rise
    return 20 * total
