"""Values at points of a solved section."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from snugbay.base import InputError
from snugbay.physics.field.section import Point
from snugbay.physics.field.unit import UnitFields

Floats = NDArray[np.float64]


def shares_at(fields: UnitFields, points: Sequence[Point]) -> Floats:
    """Return the weighting factors of all spaces at points.

    Parameters
    ----------
    fields : UnitFields
    points : sequence of Point
        [m]

    Returns
    -------
    ndarray, shape (points, airs)

    Raises
    ------
    InputError
        If a point lies outside the section.
    """
    return np.array([_at(fields, p) for p in points]).reshape(len(points), fields.shares.shape[1])


def _at(fields: UnitFields, point: Point) -> Floats:
    element, local = _find(fields, point)
    basis = fields.basis
    weights = [np.asarray(basis.elem.gbasis(basis.mapping, local, k, tind=element)[0]) for k in range(basis.Nbfun)]
    numbers = basis.element_dofs[:, element[0]]
    return np.asarray(np.array(weights, float).reshape(-1) @ fields.shares[numbers])


def _find(fields: UnitFields, point: Point) -> tuple[NDArray[np.intp], Floats]:
    """Return one element that holds the point, and the point in the element's own coordinates."""
    mesh, mapping = fields.basis.mesh, fields.basis.mapping
    tiny = 1e-7 * fields.net.section.size
    corners = mesh.p[:, mesh.t]
    x = np.asarray(point, float)[:, None]
    near = np.nonzero(((corners.min(1) <= x + tiny) & (corners.max(1) >= x - tiny)).all(0))[0]
    for k in near:
        element = np.array([k])
        size = np.ptp(corners[:, :, k], axis=1)[:, None]
        if corners.shape[1] == 4:
            return element, np.clip((x - corners[:, :1, k]) / size, 0.0, 1.0)
        local = np.asarray(mapping.invF(x[:, None, :], tind=element))[:, 0, :]
        edge = 10 * tiny / float(size.max())
        if bool((local > -edge).all()) and float(local.sum()) < 1 + edge:
            return element, np.clip(local, 0.0, 1.0)
    raise InputError(
        f"The point ({point[0]:.4g}, {point[1]:.4g}) m lies outside the section.",
        where=("points",),
        hint="Ask for points of the material or its surface.",
    )
