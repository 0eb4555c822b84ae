"""What one piece may measure: the sheet it comes out of, the way in, and the hands that place it."""

from __future__ import annotations

from math import ceil, floor

import numpy as np
from shapely.geometry import Polygon

from snugbay.job import Access
from snugbay.pieces.wayin import can_pass

SIZE_SLACK = 1e-6
"""A piece may be this much larger than the sheet by float noise. [m]"""


def blank_of(shape: Polygon) -> tuple[float, float]:
    """Return the sides of the smallest rectangle round a shape, shorter first. [m]"""
    box = shape.minimum_rotated_rectangle
    if not isinstance(box, Polygon):
        return 0.0, float(box.length)
    x, y = np.asarray(box.exterior.coords.xy)
    a, b = float(np.hypot(x[1] - x[0], y[1] - y[0])), float(np.hypot(x[2] - x[1], y[2] - y[1]))
    return (a, b) if a <= b else (b, a)


class Limits:
    """Answers whether a blank of a size can be had and brought in.

    Answers are remembered by size: what is smaller than a blank that passes passes, what is larger than one that does
    not does not.

    Parameters
    ----------
    sheet : (float, float)
        Sides of the sheet. [m]
    thickness : float
        [m]
    access : Access
        The way in.
    most_area : float
        Largest area that the hands can place. [m²]
    """

    def __init__(
        self, sheet: tuple[float, float], thickness: float, access: Access, most_area: float = float("inf")
    ) -> None:
        self.sheet = (min(sheet), max(sheet))
        self.thickness = thickness
        self.access = access
        self.most_area = most_area
        self._pass: list[tuple[float, float]] = []
        self._fail: list[tuple[float, float]] = []
        self._known: dict[tuple[int, int], bool] = {}

    def from_sheet(self, a: float, b: float) -> bool:
        """Return whether a blank comes out of the sheet."""
        w, ln = (a, b) if a <= b else (b, a)
        return w <= self.sheet[0] + SIZE_SLACK and ln <= self.sheet[1] + SIZE_SLACK

    @property
    def longest(self) -> float:
        """Longest side of a blank. [m]"""
        return self.sheet[1] + SIZE_SLACK

    def fewest(self, wide: float, long: float) -> int:
        """Return the fewest equal blanks of a width that make up a length, by the sheet; very many where none do."""
        if wide > self.sheet[1] + SIZE_SLACK:
            return 10**6
        longest = self.sheet[1] if wide <= self.sheet[0] + SIZE_SLACK else self.sheet[0]
        return max(1, ceil(long / (longest + SIZE_SLACK)))

    def passes(self, a: float, b: float) -> bool:
        """Return whether a blank passes the way in."""
        w, ln = (a, b) if a <= b else (b, a)
        key = (ceil(w * 1000 - 1e-6), ceil(ln * 1000 - 1e-6))
        if key not in self._known:
            self._known[key] = self._passes(key[0] / 1000, key[1] / 1000) or self._passes(w, ln)
        return self._known[key]

    def _passes(self, w: float, ln: float) -> bool:
        if any(w <= p and ln <= q for p, q in self._pass):
            return True
        if any(w >= p and ln >= q for p, q in self._fail):
            return False
        if can_pass(w, ln, self.thickness, self.access):
            self._pass.append((w, ln))
            return True
        self._fail.append((w, ln))
        return False

    def fits(self, a: float, b: float) -> bool:
        """Return whether a blank comes out of the sheet, passes the way in and can be placed."""
        return self.from_sheet(a, b) and a * b <= self.most_area + 1e-9 and self.passes(a, b)

    def fits_shape(self, outer: Polygon) -> bool:
        """Return whether a piece of this shape fits: on the sheet in quarter turns, through the way in as it likes.

        Sheets are cut by marks along their edges, so that no piece lies on them at another angle.
        """
        x0, y0, x1, y1 = outer.bounds
        if self.fits(x1 - x0, y1 - y0):
            return True
        on_sheet = self.from_sheet(x1 - x0, y1 - y0) and outer.area <= self.most_area + 1e-9
        return on_sheet and self.passes(*blank_of(outer))

    def share(self, a: float, b: float) -> float:
        """Return the share of a sheet that a blank uses up when the sheet gives only such blanks."""
        best = 0
        for p, q in ((a, b), (b, a)):
            if p > 0 and q > 0:
                best = max(best, floor((self.sheet[0] + 1e-6) / p) * floor((self.sheet[1] + 1e-6) / q))
        return 1.0 / best if best else 2.0
