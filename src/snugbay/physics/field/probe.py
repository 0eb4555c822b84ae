"""Values at points of a solved section."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from snugbay.base import InputError
from snugbay.physics.field.quadratic import inverse_maps
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
    weights = _on_rectangle(*local) if len(fields.basis.elements) == 4 else _on_triangle(*local)
    return np.asarray(weights @ fields.shares[fields.basis.element_dofs[:, element]])


def _on_rectangle(x: float, y: float) -> Floats:
    return np.asarray(np.kron(_parabolas(x), _parabolas(y)), float)


def _parabolas(x: float) -> Floats:
    """Values of the three parabolas of a line at 0..1."""
    return np.array([(1 - x) * (1 - 2 * x), 4 * x * (1 - x), x * (2 * x - 1)])


def _on_triangle(x: float, y: float) -> Floats:
    a, b, c = 1 - x - y, x, y
    return np.array([a * (2 * a - 1), b * (2 * b - 1), c * (2 * c - 1), 4 * a * b, 4 * b * c, 4 * a * c])


def _find(fields: UnitFields, point: Point) -> tuple[int, Floats]:
    """Return one element that holds the point, and the point in the element's own coordinates."""
    basis = fields.basis
    tiny = 1e-7 * fields.net.section.size
    corners = basis.points[:, basis.elements]
    x = np.asarray(point, float)
    near = ((corners.min(1) <= x[:, None] + tiny) & (corners.max(1) >= x[:, None] - tiny)).all(0)
    for k in np.nonzero(near)[0]:
        size = np.ptp(corners[:, :, k], axis=1)
        if len(basis.elements) == 4:
            return int(k), np.clip((x - corners[:, 0, k]) / size, 0.0, 1.0)
        inverse, _ = inverse_maps(basis.points, basis.elements[:, k : k + 1])
        local = inverse[:, :, 0] @ (x - corners[:, 0, k])
        edge = 10 * tiny / float(size.max())
        if bool((local > -edge).all()) and float(local.sum()) < 1 + edge:
            return int(k), np.clip(local, 0.0, 1.0)
    raise InputError(
        f"The point ({point[0]:.4g}, {point[1]:.4g}) m lies outside the section.",
        where=("points",),
        hint="Ask for points of the material or its surface.",
    )
