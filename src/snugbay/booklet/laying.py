"""Small drawings laid together on pages, in their order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

GAP = 6.0
"""Between two drawings. [mm]"""
_TINY = 1e-6


@dataclass(frozen=True)
class Spot:
    """Where a drawing lies on its page.

    Attributes
    ----------
    number : int
        Of the drawing, from 0.
    x, y : float
        Of its upper left corner. [mm]
    """

    number: int
    x: float
    y: float


@dataclass(frozen=True)
class Leaf:
    """Drawings of one page.

    Attributes
    ----------
    spots : tuple of Spot
        In their order.
    height : float
        That they take. [mm]
    """

    spots: tuple[Spot, ...]
    height: float


def laid(sizes: Sequence[tuple[float, float]], width: float, first: float, height: float) -> tuple[Leaf, ...]:
    """Lay drawings on pages: each as high up, then as far left as it goes, none before an earlier one's page.

    Parameters
    ----------
    sizes : sequence of (float, float)
        Width and height of each. [mm]
    width : float
        Of a page. [mm]
    first, height : float
        Height that is free on the first page, and on any other. [mm]

    Returns
    -------
    tuple of Leaf
        A drawing higher than a page gets one of its own.
    """
    pages: list[list[tuple[Spot, float, float]]] = [[]]
    for number, (wide, high) in enumerate(sizes):
        room = first if len(pages) == 1 else height
        spot = _spot(number, wide, high, pages[-1], width, room)
        if spot is None:
            pages.append([])
            spot = _spot(number, wide, high, [], width, max(height, high)) or Spot(number, 0.0, 0.0)
        pages[-1].append((spot, wide, high))
    return tuple(Leaf(tuple(s for s, _, _ in page), max((s.y + h for s, _, h in page), default=0.0)) for page in pages)


def _spot(
    number: int, wide: float, high: float, taken: Sequence[tuple[Spot, float, float]], width: float, height: float
) -> Spot | None:
    ys = sorted({0.0, *(s.y + h + GAP for s, _, h in taken)})
    xs = sorted({0.0, *(s.x + w + GAP for s, w, _ in taken)})
    for y in ys:
        for x in xs:
            if x + wide > width + 0.1 or y + high > height + _TINY:
                continue
            if all(
                x >= s.x + w + GAP - _TINY
                or x + wide + GAP <= s.x + _TINY
                or y >= s.y + h + GAP - _TINY
                or y + high + GAP <= s.y + _TINY
                for s, w, h in taken
            ):
                return Spot(number, x, y)
    return None
