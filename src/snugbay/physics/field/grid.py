"""The net over a section whose edges all run along x or y: a product of two graded lines."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from snugbay.physics.field.quadratic import Quadratics, grid_quadratics
from snugbay.physics.field.section import Region, Section

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

FIRST_CELL = 0.25
"""Width of the first cell beside a line, as a share of the narrower span beside that line."""

GROWTH = 0.7
"""Growth of the cell width with the distance from a line; about a doubling from cell to cell."""

LEAST_GROWTH = 1.3
"""Least growth of the number of cells from net to net, so that large nets are not solved over and over."""

SNAP = 1e-9
"""Lines closer than this share of the section's size are one line."""


@dataclass(frozen=True, eq=False)
class GridNet:
    """A net of rectangles.

    Attributes
    ----------
    section : Section
        What it covers.
    xs, ys : ndarray, shape (nx + 1,) and (ny + 1,)
        Lines of the net. [m]
    conductivity : ndarray, shape (nx, ny)
        Conductivity of each cell, 0 where there is no material. [W/(m·K)]
    """

    section: Section
    xs: Floats
    ys: Floats
    conductivity: Floats

    @property
    def cells(self) -> tuple[Ints, Ints]:
        """Column and row of each cell that holds material, in the order of the elements."""
        ii, jj = np.nonzero(self.conductivity)
        return ii, jj

    @property
    def size(self) -> int:
        """Number of cells that hold material."""
        return int(np.count_nonzero(self.conductivity))

    def quadratics(self) -> Quadratics:
        """Return quadratic elements on the cells."""
        return grid_quadratics(self)

    def element_conductivity(self) -> Floats:
        """Return the conductivity of each element, shape (n,). [W/(m·K)]"""
        return np.asarray(self.conductivity[self.cells])

    def split(self, columns: NDArray[np.bool_], rows: NDArray[np.bool_]) -> GridNet:
        """Return the net with the marked columns and rows halved."""
        xs, ys = halved_lines(self.xs, columns), halved_lines(self.ys, rows)
        lam = np.repeat(self.conductivity, 1 + columns.astype(int), axis=0)
        return GridNet(self.section, xs, ys, np.repeat(lam, 1 + rows.astype(int), axis=1))

    def doubled(self) -> GridNet:
        """Return the net with every column and row halved: twice the subdivisions, as ISO 10211 asks."""
        return self.split(np.ones(len(self.xs) - 1, bool), np.ones(len(self.ys) - 1, bool))

    def refined(self, error_x: Floats, error_y: Floats, floor: float, share: float = 0.85) -> GridNet:
        """Return the net with the columns and rows halved that hold most of the error.

        Parameters
        ----------
        error_x, error_y : ndarray, shape (nx,) and (ny,)
            Squared error indicators of columns and rows.
        floor : float
            Columns and rows narrower than this share of the section's size are not split.
        share : float
            Part of the sum of all indicators that the marked ones must hold.

        Returns
        -------
        GridNet
        """
        wide = np.concatenate([np.diff(self.xs), np.diff(self.ys)]) > floor * self.section.size
        both = np.where(wide, np.concatenate([error_x, error_y]), 0.0)
        order = np.argsort(both)[::-1]
        held = np.cumsum(both[order])
        columns = np.cumsum(order < len(error_x))
        rows = np.arange(1, len(both) + 1) - columns
        growth = (1 + columns / len(error_x)) * (1 + rows / len(error_y))
        enough = (held >= share * held[-1]) & (growth >= LEAST_GROWTH)
        count = int(np.argmax(enough)) + 1 if held[-1] > 0 else len(both)
        marked = np.zeros(len(both), bool)
        marked[order[:count]] = True
        return self.split(marked[: len(error_x)], marked[len(error_x) :])


def is_rectilinear(section: Section) -> bool:
    """Tell whether all outlines and facings run along x or y."""
    tiny = SNAP * section.size
    pairs = [(r.outline[i - 1], r.outline[i]) for r in section.regions for i in range(len(r.outline))]
    pairs += [(f.start, f.end) for f in section.facings]
    return all(min(abs(a[0] - b[0]), abs(a[1] - b[1])) <= tiny for a, b in pairs)


def first_net(section: Section) -> GridNet:
    """Return the first net: lines at all edges, cells growing away from them.

    Parameters
    ----------
    section : Section
        All of whose edges run along x or y.

    Returns
    -------
    GridNet
    """
    tiny = SNAP * section.size
    points = [p for r in section.regions for p in r.outline] + [p for f in section.facings for p in (f.start, f.end)]
    xs = graded_lines(distinct_lines([p[0] for p in points], tiny))
    ys = graded_lines(distinct_lines([p[1] for p in points], tiny))
    mid_x, mid_y = (xs[1:] + xs[:-1]) / 2, (ys[1:] + ys[:-1]) / 2
    gx, gy = (g.ravel() for g in np.meshgrid(mid_x, mid_y, indexing="ij"))
    lam = paint(section.regions, gx, gy).reshape(len(mid_x), len(mid_y))
    return GridNet(section, xs, ys, lam)


def paint(regions: tuple[Region, ...], x: Floats, y: Floats) -> Floats:
    """Return the conductivity at points, 0 outside all regions; the later region counts.

    Parameters
    ----------
    regions : tuple of Region
    x, y : ndarray, shape (n,)
        Points not on any edge. [m]

    Returns
    -------
    ndarray, shape (n,)
        [W/(m·K)]
    """
    lam = np.zeros(len(x))
    for region in regions:
        lam[_inside(region, x, y)] = region.conductivity
    return lam


def _inside(region: Region, x: Floats, y: Floats) -> NDArray[np.bool_]:
    inside = np.zeros(len(x), bool)
    for (ax, ay), (bx, by) in zip(region.outline, (*region.outline[1:], region.outline[0]), strict=True):
        if ay == by:
            continue
        crosses = (ay > y) != (by > y)
        inside ^= crosses & (x < ax + (y - ay) * (bx - ax) / (by - ay))
    return inside


def distinct_lines(values: list[float], tiny: float) -> Floats:
    """Return the values in order, those nearer than ``tiny`` to one before left out."""
    ordered = np.unique(np.asarray(values, float))
    keep = np.concatenate([[True], np.diff(ordered) > tiny])
    return np.asarray(ordered[keep])


def graded_lines(lines: Floats, first_cell: float = FIRST_CELL, growth: float = GROWTH) -> Floats:
    """Return the lines with more between them, close beside them and wide apart between."""
    spans = np.diff(lines)
    narrower = first_cell * np.minimum(np.concatenate([spans[:1], spans]), np.concatenate([spans, spans[-1:]]))
    parts = [_fill(lines[k], lines[k + 1], narrower[k], narrower[k + 1], growth) for k in range(len(spans))]
    return np.concatenate([*parts, lines[-1:]])


def _fill(a: float, b: float, first: float, last: float, growth: float) -> Floats:
    """Divide a span so that the width grows as first + growth·distance from either end; b is left off."""
    meet = min(max((b - a + (last - first) / growth) / 2, 0.0), b - a)
    left = np.log1p(growth * meet / first) / growth
    right = np.log1p(growth * (b - a - meet) / last) / growth
    count = int(np.ceil(left + right - 1e-9))
    steps = np.arange(count) * (left + right) / count
    from_a = a + first * np.expm1(growth * np.minimum(steps, left)) / growth
    from_b = b - last * np.expm1(growth * np.minimum(left + right - steps, right)) / growth
    return np.asarray(np.where(steps <= left, from_a, from_b))


def halved_lines(lines: Floats, marked: NDArray[np.bool_]) -> Floats:
    """Return the lines with one more in the middle of each marked span."""
    middles = (lines[:-1] + lines[1:])[marked] / 2
    return np.sort(np.concatenate([lines, middles]))
