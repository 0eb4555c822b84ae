"""Trims that a leaning cut makes needless: what falls off in one cut is not cut twice."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from snugbay.sheets.cutting.carry import Blank, Carrier
from snugbay.sheets.cutting.patterns import TINY, ring
from snugbay.sheets.cutting.tree import NARROW, Leaf, Lying, Node, Scale, is_waste

Price = Callable[[Node], float]
"""What it costs to cut a blank. [m of cut]"""


def price_of(carrier: Carrier, node: Node, scale: Scale, per_metre: float) -> float:
    """Return what it costs to cut a blank: minutes, waste that breaks, less what is worth keeping. [m of cut]

    Parameters
    ----------
    carrier : Carrier
        Fresh, with nothing gathered yet.
    node : Leaf or Split
        The blank.
    scale : Scale
        What cuts cost and offcuts are worth.
    per_metre : float
        Minutes for a metre of cut. [min/m]
    """
    done = carrier.walk(node, Blank(0.0, 0.0, "sheet", 0))
    cost = sum(c.minutes for c in done.cuts) / per_metre
    cost += sum(scale.strip(c.strip) for c in done.cuts)
    cost += sum(scale.strip(2 * s.area / s.length) for s in done.scraps if 4 * s.area / s.length < NARROW)
    return cost - sum(scale.worth(w, h) for _, _, w, h in done.empty)


def without_needless(node: Node, price: Price) -> Node:
    """Return a cut tree without the trims round one blank's pieces that cost more than they save.

    A trim across the top of a leaning side leaves a wedge that has to be cut again: the leaning cut alone, from edge to
    edge of the larger blank, gives the same piece.
    """
    if isinstance(node, Leaf):
        return node
    node = replace(node, low=without_needless(node.low, price), high=without_needless(node.high, price))
    leaf = _leaf_of(node.low) if is_waste(node.high) else None
    if leaf is None or not any(_leans(piece) for piece in leaf.lying):
        return node
    wider = _widened(node.low, node.axis, node.width if node.axis == 0 else node.height)
    return wider if price(wider) < price(node) - 1e-9 else node


def _leans(piece: Lying) -> bool:
    """True where a side of a piece is not parallel to the sheet's."""
    points = ring(piece.shape)
    sides = zip(points, (*points[1:], points[0]), strict=True)
    return any(min(abs(a[0] - b[0]), abs(a[1] - b[1])) > TINY for a, b in sides)


def _leaf_of(node: Node) -> Leaf | None:
    """Return the one blank with pieces of a chain of trims; None where pieces lie on both sides of a cut."""
    if isinstance(node, Leaf):
        return node if node.lying else None
    return _leaf_of(node.low) if is_waste(node.high) else None


def _widened(node: Node, axis: int, size: float) -> Node:
    """Return a blank as long along an axis as it was before it was trimmed."""
    wide = replace(node, width=size) if axis == 0 else replace(node, height=size)
    if isinstance(wide, Leaf):
        return wide
    if wide.axis != axis:
        return replace(wide, low=_widened(wide.low, axis, size), high=_widened(wide.high, axis, size))
    grown = size - (node.width if axis == 0 else node.height)
    old = wide.high.width if axis == 0 else wide.high.height
    return replace(wide, high=_widened(wide.high, axis, old + grown))
