"""A cut tree drawn together: every blank as large as its pieces need; what is left lies at the far edges."""

from __future__ import annotations

from dataclasses import replace
from math import floor

from snugbay.sheets.cutting.align import aligned
from snugbay.sheets.cutting.patterns import LEAST, TINY
from snugbay.sheets.cutting.tree import GRAIN, Leaf, Node, Split, is_waste


def tight(node: Node, width: float, height: float, kerf: float, mark: float) -> Node:
    """Return the tree with its cuts on marks as near to the datum corner as the pieces allow.

    Where the kerf is no whole number of marks, the last piece of a row gives way by less than a mark: nothing has to be
    trimmed off it then.
    """
    return _Tight(kerf, mark).node(_aligned(node, kerf, mark), width, height)


def _aligned(node: Node, kerf: float, mark: float) -> Node:
    if isinstance(node, Leaf):
        return aligned(node, kerf, mark)
    return replace(node, low=_aligned(node.low, kerf, mark), high=_aligned(node.high, kerf, mark))


class _Tight:
    def __init__(self, kerf: float, mark: float) -> None:
        self.kerf = kerf
        self.mark = mark

    def down(self, value: float) -> float:
        return self.mark * floor(value / self.mark + GRAIN)

    def need(self, node: Node, axis: int) -> float:
        """Length that the pieces of a node take along an axis. [m]"""
        if isinstance(node, Leaf):
            return max((p.bounds[axis + 2] for p in node.lying), default=0.0)
        low, high = self.need(node.low, axis), self.need(node.high, axis)
        if node.axis != axis:
            return max(low, high)
        return low if is_waste(node.high) else self.down(low) + self.kerf + high

    def node(self, node: Node, width: float, height: float) -> Node:
        if isinstance(node, Leaf):
            return self.trimmed(replace(node, width=width, height=height))
        at = self.down(self.need(node.low, node.axis))
        size = width if node.axis == 0 else height
        if is_waste(node.high) and size - at < max(self.mark, LEAST) - TINY:
            return self.node(node.low, width, height)
        rest = max(size - at - self.kerf, 0.0)
        if node.axis == 0:
            low, high = self.node(node.low, at, height), self.node(node.high, rest, height)
        else:
            low, high = self.node(node.low, width, at), self.node(node.high, width, rest)
        return Split(width, height, node.axis, at, low, high)

    def trimmed(self, leaf: Leaf) -> Node:
        """Return a blank with the board beyond its pieces cut off."""
        if not leaf.lying:
            return leaf
        for axis, size in ((0, leaf.width), (1, leaf.height)):
            at = self.down(self.need(leaf, axis))
            if size - at >= max(self.mark, LEAST) - TINY and at > TINY:
                rest = max(size - at - self.kerf, 0.0)
                if axis == 0:
                    low, waste = replace(leaf, width=at), Leaf(rest, leaf.height, ())
                else:
                    low, waste = replace(leaf, height=at), Leaf(leaf.width, rest, ())
                return Split(leaf.width, leaf.height, axis, at, self.trimmed(low), waste)
        return leaf
