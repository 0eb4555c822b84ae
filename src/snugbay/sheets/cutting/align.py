"""Groups of pieces that no edge-to-edge cut parts are shifted onto the tape's grid."""

from __future__ import annotations

from itertools import product
from math import ceil, floor

from shapely.geometry import Polygon

from snugbay.sheets.cutting.patterns import TINY
from snugbay.sheets.cutting.tree import Leaf, Lying, pushed

REACH = 2
"""Marks that a piece is shifted at most in either direction."""


def aligned(leaf: Leaf, kerf: float, mark: float) -> Leaf:
    """Return the leaf with every piece's lower left corner on a mark from the blank's datum corner.

    A piece for which no mark leaves the kerf free to its neighbours stays where it lies; its own marks are then
    rounded inwards when they are printed.
    """
    if len(leaf.lying) < 2:
        return Leaf(leaf.width, leaf.height, pushed(leaf.lying))
    order = sorted(pushed(leaf.lying), key=lambda p: (p.shape.bounds[0] + p.shape.bounds[1], p.number))
    placed: list[Lying] = []
    for number, piece in enumerate(order):
        placed.append(_aligned(leaf, piece, placed, order[number + 1 :], kerf, mark))
    return Leaf(leaf.width, leaf.height, tuple(sorted(placed, key=lambda p: p.number)))


def _aligned(leaf: Leaf, piece: Lying, placed: list[Lying], later: list[Lying], kerf: float, mark: float) -> Lying:
    x, y = piece.shape.bounds[:2]
    steps = [range(floor(v / mark) - REACH + 1, ceil(v / mark) + REACH) for v in (x, y)]
    tries = sorted(product(*steps), key=lambda g: (abs(g[0] * mark - x) + abs(g[1] * mark - y), g))
    for i, j in tries:
        moved = piece.moved(i * mark - x, j * mark - y)
        if _fits(leaf, moved, [p.shape for p in (*placed, *later)], kerf):
            return moved
    return piece


def _fits(leaf: Leaf, piece: Lying, others: list[Polygon], kerf: float) -> bool:
    low_x, low_y, high_x, high_y = piece.shape.bounds
    if min(low_x, low_y) < -TINY or high_x > leaf.width + TINY or high_y > leaf.height + TINY:
        return False
    for other in others:
        if kerf > 0 and piece.shape.distance(other) < kerf - TINY:
            return False
        if kerf == 0 and piece.shape.intersection(other).area > 1e-9:
            return False
    return True
