"""Things that cannot both be where they are written: a hole that lies in an opening, or an opening in another."""

from __future__ import annotations

from itertools import combinations

from snugbay.base import InputError, SnugbayError
from snugbay.job import Face, Hole, Opening

PLAY = 0.02
"""Two things may overlap by this: readings differ. [m]"""
Box = tuple[float, float, float, float]


def _box(item: Hole | Opening) -> Box:
    """Return left, low, right, high in the axes of the face's first edge. [m]"""
    if isinstance(item, Opening):
        return (item.x, item.y, item.x + item.width, item.y + item.height)
    w, h = item.width / 2, item.height / 2
    return (item.x - w, item.y - h, item.x + w, item.y + h)


def _over(a: Box, b: Box) -> bool:
    play = min(PLAY, min(a[2] - a[0], a[3] - a[1]) / 2)  # a thin pipe is all play otherwise
    return min(a[2], b[2]) - max(a[0], b[0]) > play and min(a[3], b[3]) - max(a[1], b[1]) > play


def overlapping(face: Face) -> tuple[SnugbayError, ...]:
    """Return an error for every two openings of a face that lie over each other, and every hole in an opening.

    Notes
    -----
    Nothing passes through a face where the face is open: one of the two is measured from another corner, or the thing
    passes through the back of the box that stands there.
    """
    found: list[SnugbayError] = [
        InputError(
            f"The openings {one.name!r} and {other.name!r} lie over each other.",
            where=("faces", face.id, "openings", other.name),
            hint="Measure both from the same corner again.",
        )
        for one, other in combinations(face.openings, 2)
        if _over(_box(one), _box(other))
    ]
    found += [
        InputError(
            f"The hole {hole.name!r} lies in the opening {opening.name!r}, where there is no face to pass through.",
            where=("faces", face.id, "holes", hole.name),
            hint="x and y of a hole are its middle, of an opening its lower left corner: measure both again. What "
            "passes through a box that stands there is a hole of the box's own face.",
        )
        for hole in face.holes
        for opening in face.openings
        if _over(_box(hole), _box(opening))
    ]
    return tuple(found)
