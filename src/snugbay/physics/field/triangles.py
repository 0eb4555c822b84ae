"""The net over a section with slanting edges: triangles whose edges follow all material edges."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from snugbay.base import InputError
from snugbay.physics.field.edges import noded_edges
from snugbay.physics.field.grid import paint
from snugbay.physics.field.quadratic import Quadratics, triangle_quadratics
from snugbay.physics.field.section import Section

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Flags = NDArray[np.bool_]

WORST_RATIO = 1.42
"""Largest circumradius over shortest side that is left alone: about 20.6 degrees, where the method is known to end."""

MOST_ROUNDS = 200
"""Rounds of point insertion after which the net is taken as it is."""

SMALLEST = 1e-4
"""Stretches shorter than this share of the section are split no further (where edges meet at a sharp angle)."""


LEAST_MARKED = 0.06
"""Least share of the triangles refined from net to net, so that large nets are not solved over and over."""


@dataclass(frozen=True, eq=False)
class TriangleNet:
    """A net of triangles.

    Attributes
    ----------
    section : Section
        What it covers.
    grid : Any
        The scikit-fem mesh.
    conductivity : ndarray, shape (triangles,)
        [W/(m·K)]
    """

    section: Section
    grid: Any
    conductivity: Floats

    @property
    def size(self) -> int:
        """Number of triangles."""
        return int(self.grid.nelements)

    def quadratics(self) -> Quadratics:
        """Return quadratic elements on the triangles."""
        return triangle_quadratics(self.grid)

    def element_conductivity(self) -> Floats:
        """Return the conductivity of each element, shape (n,). [W/(m·K)]"""
        return self.conductivity

    def doubled(self) -> TriangleNet:
        """Return the net with every side halved: twice the subdivisions, as ISO 10211 asks."""
        return _painted(self.section, self.grid.refined())

    def refined(self, errors: Floats, floor: float, share: float = 0.7) -> TriangleNet:
        """Return the net refined where most of the error sits.

        Parameters
        ----------
        errors : ndarray, shape (triangles,)
            Squared indicators.
        floor : float
            Triangles smaller than this share of the section's size are not refined.
        share : float
            Part of their sum that the refined triangles must hold.

        Returns
        -------
        TriangleNet
        """
        corners = self.grid.p[:, self.grid.t]
        wide = np.ptp(corners, axis=1).max(0) > floor * self.section.size
        errors = np.where(wide, errors, 0.0)
        order = np.argsort(errors)[::-1]
        held = np.cumsum(errors[order])
        if held[-1] <= 0:
            return self.doubled()
        count = max(int(np.searchsorted(held, share * held[-1])) + 1, int(LEAST_MARKED * len(order)))
        return _painted(self.section, self.grid.refined(np.sort(order[:count])))


def _painted(section: Section, mesh: Any) -> TriangleNet:
    centre = mesh.p[:, mesh.t].mean(1)
    return TriangleNet(section, mesh, paint(section.regions, centre[0], centre[1]))


def first_triangles(section: Section) -> TriangleNet:
    """Return the first net of triangles over a section.

    Parameters
    ----------
    section : Section

    Returns
    -------
    TriangleNet

    Raises
    ------
    InputError
        If the outlines leave nothing to cover.

    Notes
    -----
    Delaunay refinement after Ruppert (1995), in rounds: stretches of edge with a point inside the circle over them
    are halved; else the circumcentres of thin triangles inside the material are added, or, where such a centre would
    crowd an edge, that edge is halved.
    """
    from skfem import MeshTri

    work = _Points(*noded_edges(section), size=section.size)
    for _ in range(MOST_ROUNDS):
        triangles = _inside(section, work)
        if not work.improve(triangles):
            break
    triangles = _inside(section, work)
    if len(triangles) == 0:
        raise InputError("The outlines of the section enclose no material.", where=("regions",))
    used, t = np.unique(triangles, return_inverse=True)
    return _painted(section, MeshTri(work.points[used].T.copy(), t.reshape(-1, 3).T.copy()))


def _inside(section: Section, work: _Points) -> Ints:
    """Return the triangles of the Delaunay net that hold material and are not flat."""
    corners = work.points[work.delaunay()]
    centre = corners.mean(1)
    one, two = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    twice = np.abs(one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0])
    longest = (np.ptp(corners, axis=1) ** 2).sum(1)
    keep = (twice > 1e-7 * longest) & (paint(section.regions, centre[:, 0], centre[:, 1]) > 0)
    return np.asarray(work.delaunay()[keep])


@dataclass(eq=False)
class _Points:
    """Working state of the refinement: points, and the stretches of edge that must be sides of triangles."""

    points: Floats
    stretches: Ints
    size: float
    _net: Ints | None = field(default=None)

    def delaunay(self) -> Ints:
        from scipy.spatial import Delaunay

        if self._net is None:
            self._net = np.asarray(Delaunay(self.points).simplices, np.intp)
        return self._net

    def improve(self, triangles: Ints) -> bool:
        """Add one round of points; False when nothing is left to better."""
        crowded = self._crowded() & self._splittable()
        if crowded.any():
            self._halve(crowded)
            return True
        centres = self._thin_centres(triangles)
        if len(centres) == 0:
            return False
        crowding = self._in_circle(centres)
        if crowding.any():
            hit = crowding.any(0) & self._splittable()
            fit = centres[~crowding.any(1)]
            if hit.any():
                self._halve(hit)
                return True
            centres = fit
        if len(centres) == 0:
            return False
        self.points = np.vstack([self.points, centres])
        self._net = None
        return True

    def _halve(self, marked: Flags) -> None:
        a, b = self.stretches[marked].T
        new = np.arange(len(a)) + len(self.points)
        self.points = np.vstack([self.points, (self.points[a] + self.points[b]) / 2])
        self.stretches = np.vstack([self.stretches[~marked], np.stack([a, new], 1), np.stack([new, b], 1)])
        self._net = None

    def _splittable(self) -> Flags:
        span = self.points[self.stretches[:, 1]] - self.points[self.stretches[:, 0]]
        return np.asarray(np.hypot(*span.T) > SMALLEST * self.size)

    def _in_circle(self, points: Floats) -> Flags:
        """Tell which points lie strictly inside the circle over each stretch, shape (points, stretches)."""
        a, b = self.points[self.stretches[:, 0]], self.points[self.stretches[:, 1]]
        mid, radius = (a + b) / 2, np.hypot(*(b - a).T) / 2
        far = np.hypot(points[:, None, 0] - mid[None, :, 0], points[:, None, 1] - mid[None, :, 1])
        return np.asarray(far < radius * (1 - 1e-9))

    def _crowded(self) -> Flags:
        """Tell which stretches have a point strictly inside the circle over them."""
        from scipy.spatial import cKDTree

        a, b = self.points[self.stretches[:, 0]], self.points[self.stretches[:, 1]]
        radius = np.hypot(*(b - a).T) / 2 * (1 - 1e-9)
        return np.asarray(cKDTree(self.points).query_ball_point((a + b) / 2, radius, return_length=True) > 0)

    def _thin_centres(self, triangles: Ints) -> Floats:
        """Return circumcentres of thin triangles, worst first, none nearer to another than half its radius."""
        p = self.points[triangles]
        a, b, c = p[:, 0], p[:, 1] - p[:, 0], p[:, 2] - p[:, 0]
        d = 2 * (b[:, 0] * c[:, 1] - b[:, 1] * c[:, 0])
        bb, cc = (b**2).sum(1), (c**2).sum(1)
        off = np.stack([c[:, 1] * bb - b[:, 1] * cc, b[:, 0] * cc - c[:, 0] * bb], 1) / d[:, None]
        radius = np.hypot(*off.T)
        shortest = np.sqrt(np.minimum(np.minimum(bb, cc), ((c - b) ** 2).sum(1)))
        thin = (radius > WORST_RATIO * shortest) & (shortest > SMALLEST * self.size)
        order = np.nonzero(thin)[0][np.argsort(-(radius / shortest)[thin])]
        return _spread(a[order] + off[order], radius[order])


def _spread(centres: Floats, radius: Floats) -> Floats:
    chosen: list[int] = []
    for k in range(len(centres)):
        near = centres[chosen] - centres[k]
        if not chosen or bool((np.hypot(near[:, 0], near[:, 1]) > radius[k] / 2).all()):
            chosen.append(k)
    return np.asarray(centres[chosen])
