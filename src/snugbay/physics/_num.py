"""Numbers in and out of the physics functions: floats and arrays alike, NaN kept."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from snugbay.base import OutOfRange, Where

Array = NDArray[np.float64]
"""Array of double precision."""

Real = float | int | Array
"""A number or an array of numbers; arrays broadcast against each other."""


def arr(x: object) -> Array:
    """Return ``x`` as an array of doubles; nothing is copied that need not be."""
    return np.asarray(x, dtype=np.float64)


def out(x: object) -> Array:
    """Return an array, or the plain number where all inputs were numbers."""
    return np.asarray(x, dtype=np.float64)[()]


def need(ok: bool | np.bool_ | NDArray[np.bool_], what: str, *, where: Where = (), hint: str = "") -> None:
    """Raise ``OutOfRange`` unless every entry of ``ok`` holds.

    Write the condition so that NaN passes (``~(x < 0)``): a missing figure is not a wrong one.
    """
    if not bool(np.all(ok)):
        raise OutOfRange(what, where=where, hint=hint)


def not_negative(name: str, x: object) -> Array:
    """Return ``x`` as an array, raising ``OutOfRange`` where an entry is below zero."""
    a = arr(x)
    need(~(a < 0), f"{name} is negative.", hint=f"Give {name} as zero or more.")
    return a


def positive(name: str, x: object) -> Array:
    """Return ``x`` as an array, raising ``OutOfRange`` where an entry is zero or less."""
    a = arr(x)
    need(~(a <= 0), f"{name} is zero or negative.", hint=f"Give {name} above zero.")
    return a


def largest(x: object, least: float = 0.0) -> float:
    """Largest entry that is known, no less than ``least``; that where none is."""
    return float(np.fmax.reduce(arr(x).ravel(), initial=least))


def smallest(x: object, most: float = np.inf) -> float:
    """Smallest entry that is known, no more than ``most``; that where none is."""
    return float(np.fmin.reduce(arr(x).ravel(), initial=most))
