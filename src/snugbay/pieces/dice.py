"""Draws of what is uncertain, the same for the same seed whatever else is reckoned."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from snugbay.base import Run
from snugbay.survey import AdjustedFace

Array = NDArray[np.float64]

DRAWS = 2000
"""Openings and cuts that are drawn. [-]"""


@dataclass(frozen=True)
class Dice:
    """The draws of one run.

    Attributes
    ----------
    run : Run
        Its seed.
    """

    run: Run

    def corners(self, face: AdjustedFace) -> Array:
        """Return the draws of a face's corners, the same for all its layers, shape (DRAWS, 2n)."""
        return _drawn(self.run.rng(f"pieces chain {face.id}"), 2 * len(face.points))

    def own(self, face: str, layer: int, bay: str) -> Callable[[int], Array]:
        """Return what draws the rest for one region: a function from a count to an array of shape (DRAWS, count)."""
        rng = self.run.rng(f"pieces chain {face} {layer} {bay}")
        return lambda count: _drawn(rng, count)

    def spots(self, face: str, layer: int, bay: str, count: int) -> Array:
        """Return draws between 0 and 1 for what is judged by itself, shape (DRAWS, count)."""
        return self.run.rng(f"pieces clear {face} {layer} {bay}").random((DRAWS, count))


def _drawn(rng: np.random.Generator, count: int) -> Array:
    half = rng.standard_normal((DRAWS // 2, count))
    return np.vstack([half, -half])
