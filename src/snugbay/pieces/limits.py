"""What one piece may measure: the sheet it comes out of, the way in, and the hands that place it."""

from __future__ import annotations

from math import ceil, floor

import numpy as np
from shapely.geometry import Polygon

from snugbay.job import Access
from snugbay.pieces.wayin import Motion, can_pass

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


def blanks_of(shape: Polygon) -> list[tuple[float, float]]:
    """Return the rectangles round a shape that none of the others fits into, shorter side first. [m]

    One lies along each side of its hull: the narrowest strip that a shape passes is among them (M. Houle, G. Toussaint,
    Computing the width of a set, 1988; from memory).
    """
    hull = shape.convex_hull
    if not isinstance(hull, Polygon):
        return [blank_of(shape)]
    points = np.asarray(hull.exterior.coords)
    sides = np.diff(points, axis=0)
    sides = sides[np.hypot(sides[:, 0], sides[:, 1]) > 1e-6]
    along = sides / np.hypot(sides[:, 0], sides[:, 1])[:, None]
    across = np.column_stack([-along[:, 1], along[:, 0]])
    sizes = np.sort(np.column_stack([np.ptp(points @ along.T, axis=0), np.ptp(points @ across.T, axis=0)]), axis=1)
    found: list[tuple[float, float]] = []
    for a, b in sizes[np.lexsort((sizes[:, 1], sizes[:, 0]))].tolist():
        if not found or b < found[-1][1] - 1e-6:
            found.append((a, b))
    return found


def shape_passes(shape: Polygon, thickness: float, access: Access) -> Motion | None:
    """Return a motion that brings a shape in, as the best of the rectangles round it; None where none passes."""
    found = (can_pass(a, b, thickness, access) for a, b in blanks_of(shape))
    return next((m for m in found if m is not None), None)


class Limits:
    """Answers whether a blank of a size can be had and brought in.

    Answers are remembered by size in whole millimetres.

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
            self._known[key] = can_pass(key[0] / 1000, key[1] / 1000, self.thickness, self.access) is not None
        return self._known[key] or can_pass(w, ln, self.thickness, self.access) is not None

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
        return on_sheet and any(self.passes(a, b) for a, b in blanks_of(outer))

    def share(self, a: float, b: float) -> float:
        """Return the share of a sheet that a blank uses up when the sheet gives only such blanks."""
        best = 0
        for p, q in ((a, b), (b, a)):
            if p > 0 and q > 0:
                best = max(best, floor((self.sheet[0] + 1e-6) / p) * floor((self.sheet[1] + 1e-6) / q))
        return 1.0 / best if best else 2.0
