"""The cut tree of a sheet: edge-to-edge cuts first, each giving two blanks, until a blank holds one group of pieces.

All is reckoned in the blank's own axes, from its lower left corner; a blank's pieces are pushed to that corner first,
so that factory edges and cut edges serve as piece edges.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shapely.affinity import translate
from shapely.geometry import Polygon

from snugbay.sheets.cutting.patterns import TINY

DEEP = 7
"""Up to so many pieces in a blank all cut orders are looked at; above it only the most promising cuts."""
FEW = 2


@dataclass(frozen=True)
class Lying:
    """A pattern where it lies.

    Attributes
    ----------
    number : int
        Number of the pattern.
    shape : Polygon
        In the axes of the blank. [m]
    turn : int
        Quarter turns from the piece's own axes.
    """

    number: int
    shape: Polygon
    turn: int

    def moved(self, dx: float, dy: float) -> Lying:
        """Return it moved. [m]"""
        return Lying(self.number, translate(self.shape, dx, dy), self.turn)


@dataclass(frozen=True)
class Leaf:
    """A blank with one group of pieces that no edge-to-edge cut parts, or none (waste).

    Attributes
    ----------
    width, height : float
        [m]
    lying : tuple of Lying
        What lies in it.
    """

    width: float
    height: float
    lying: tuple[Lying, ...]


@dataclass(frozen=True)
class Split:
    """A blank cut edge to edge.

    Attributes
    ----------
    width, height : float
        [m]
    axis : int
        0: the cut runs along y at x = ``at``; 1: along x at y = ``at``.
    at : float
        Where, from the blank's datum corner; the kerf lies beyond it. [m]
    low, high : Leaf or Split
        The blank at the datum corner and the one beyond the kerf.
    """

    width: float
    height: float
    axis: int
    at: float
    low: Leaf | Split
    high: Leaf | Split


Node = Leaf | Split


@dataclass(frozen=True)
class Scale:
    """What a cut costs and an offcut is worth, in metres of cut.

    Attributes
    ----------
    set_up : float
        A set-up of the straightedge, as so many metres of cut. [m]
    offcut : float
        A square metre worth keeping, as so many metres of cut. [m/m²]
    keep_short, keep_long : float
        Smallest offcut worth keeping. [m]
    """

    set_up: float
    offcut: float
    keep_short: float
    keep_long: float

    def worth(self, width: float, height: float) -> float:
        """Worth of an empty blank. [m of cut]"""
        short, long = sorted((width, height))
        return self.offcut * width * height if short >= self.keep_short and long >= self.keep_long else 0.0


def pushed(lying: Sequence[Lying]) -> tuple[Lying, ...]:
    """Return the pieces pushed, as one body, to the datum corner."""
    if not lying:
        return ()
    x = min(p.shape.bounds[0] for p in lying)
    y = min(p.shape.bounds[1] for p in lying)
    return tuple(p.moved(-x, -y) if abs(x) > TINY or abs(y) > TINY else p for p in lying)


class Cutter:
    """Finds the cut tree of a blank.

    Parameters
    ----------
    kerf : float
        Width that a cut removes. [m]
    scale : Scale
        What cuts cost and offcuts are worth.
    """

    def __init__(self, kerf: float, scale: Scale) -> None:
        self.kerf = kerf
        self.scale = scale
        self._known: dict[tuple[frozenset[int], int, int], tuple[float, Node]] = {}

    def tree(self, lying: Sequence[Lying], width: float, height: float) -> Node:
        """Return the cheapest cut tree that was found."""
        self._known.clear()
        return self._best(tuple(lying), width, height)[1]

    def _best(self, lying: tuple[Lying, ...], width: float, height: float) -> tuple[float, Node]:
        if not lying:
            return -self.scale.worth(width, height), Leaf(width, height, ())
        key = (frozenset(p.number for p in lying), round(width * 1e6), round(height * 1e6))
        if key not in self._known:
            self._known[key] = self._search(pushed(lying), width, height)
        return self._known[key]

    def _search(self, lying: tuple[Lying, ...], width: float, height: float) -> tuple[float, Node]:
        best: tuple[float, Node] = (self._leaf_cost(lying, width, height), Leaf(width, height, lying))
        found = False
        for axis, at, low, high in self._cuts(lying, width, height):
            length = height if axis == 0 else width
            sides = self._sides(axis, at, width, height)
            first, second = self._best(low, *sides[0]), self._best(self._beyond(axis, at, high), *sides[1])
            cost = length + self.scale.set_up + first[0] + second[0]
            if not found or cost < best[0] - 1e-9:
                best = (cost, Split(width, height, axis, at, first[1], second[1]))
                found = True
        return best

    def _sides(
        self, axis: int, at: float, width: float, height: float
    ) -> tuple[tuple[float, float], tuple[float, float]]:
        rest = (width if axis == 0 else height) - at - self.kerf
        rest = max(rest, 0.0)
        return ((at, height), (rest, height)) if axis == 0 else ((width, at), (width, rest))

    def _beyond(self, axis: int, at: float, lying: tuple[Lying, ...]) -> tuple[Lying, ...]:
        step = -(at + self.kerf)
        return tuple(p.moved(step, 0.0) if axis == 0 else p.moved(0.0, step) for p in lying)

    def _cuts(
        self, lying: tuple[Lying, ...], width: float, height: float
    ) -> list[tuple[int, float, tuple[Lying, ...], tuple[Lying, ...]]]:
        """Return the cuts that part the blank without crossing a piece, most promising first."""
        found = []
        for axis, size in ((0, width), (1, height)):
            for at in sorted({round(p.shape.bounds[axis + 2], 9) for p in lying}):
                if at > size - TINY:
                    continue
                low = tuple(p for p in lying if p.shape.bounds[axis + 2] <= at + TINY)
                high = tuple(p for p in lying if p.shape.bounds[axis + 2] > at + TINY)
                if all(p.shape.bounds[axis] >= at + self.kerf - TINY for p in high):
                    length = height if axis == 0 else width
                    rip = length < (width if axis == 0 else height)
                    found.append(((not high, rip, -length), axis, at, low, high))
        found.sort(key=lambda f: (f[0], f[1], f[2]))
        most = len(found) if len(lying) <= DEEP else FEW
        return [(axis, at, low, high) for _, axis, at, low, high in found[:most]]

    def _leaf_cost(self, lying: tuple[Lying, ...], width: float, height: float) -> float:
        around = sum(float(p.shape.length) for p in lying) + 4 * self.scale.set_up * len(lying)
        return around + (width + height if len(lying) > 1 else 0.0)
