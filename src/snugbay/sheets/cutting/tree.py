"""The cut tree of a sheet: edge-to-edge cuts first, each giving two blanks, until a blank holds one group of pieces.

All is reckoned in the blank's own axes, from its lower left corner; a blank's pieces are pushed to that corner first,
so that factory edges and cut edges serve as piece edges.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import ceil, floor

from shapely.affinity import translate
from shapely.geometry import Polygon, box

from snugbay.sheets.cutting.bevels import Slope
from snugbay.sheets.cutting.patterns import LEAST, TINY
from snugbay.sheets.cutting.rounds import Round, finished
from snugbay.survey import Point

DEEP = 7
"""Up to so many pieces in a blank all cut orders are looked at; above it only the most promising cuts."""
FEW = 2
MANY = 2000
"""Blanks looked at on a sheet after which only the most promising cut of each further blank is taken."""
NARROW = 0.0254
"""Waste narrower than this breaks while it is cut off (common practice, no source). [m]"""
GRAIN = 1e-4
"""Part of a mark by which a length may miss it and still lie on it."""


Zone = tuple[float, float, float, float]
"""A damaged zone: x, y, width, height in a blank's axes. [m]"""


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
    bare : Polygon
        The piece itself round the pattern. [m]
    slits : tuple of (Point, Point)
        From a side to a hole. [m]
    slopes : tuple of Slope
        Bevelled sides of the piece.
    rounds : tuple of Round
        Round holes and bites, not yet taken out of the shape.
    origin : Point
        Where the origin of the piece's own axes lies. [m]
    """

    number: int
    shape: Polygon
    turn: int
    bare: Polygon
    slits: tuple[tuple[Point, Point], ...] = ()
    slopes: tuple[Slope, ...] = ()
    rounds: tuple[Round, ...] = ()
    origin: Point = (0.0, 0.0)

    @cached_property
    def finished(self) -> Polygon:
        """The shape without its rounds. [m]"""
        return finished(self.shape, self.rounds)

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, low, right, high. [m]"""
        left, low, right, high = self.shape.bounds
        return float(left), float(low), float(right), float(high)

    def moved(self, dx: float, dy: float) -> Lying:
        """Return it moved. [m]"""
        slits = tuple(((a[0] + dx, a[1] + dy), (b[0] + dx, b[1] + dy)) for a, b in self.slits)
        slopes = tuple(s.moved(dx, dy) for s in self.slopes)
        shape, bare = translate(self.shape, dx, dy), translate(self.bare, dx, dy)
        rounds = tuple(r.moved(dx, dy) for r in self.rounds)
        origin = (self.origin[0] + dx, self.origin[1] + dy)
        return replace(self, shape=shape, bare=bare, slits=slits, slopes=slopes, rounds=rounds, origin=origin)

    def shaped(self, shape: Polygon) -> Lying:
        """Return it with another shape in the same place."""
        return replace(self, shape=shape)


@dataclass(frozen=True)
class Leaf:
    """A blank with one group of pieces that no edge-to-edge cut parts, or none (waste).

    Attributes
    ----------
    width, height : float
        [m]
    lying : tuple of Lying
        What lies in it.
    zones : tuple of (x, y, width, height)
        Damaged parts. [m]
    """

    width: float
    height: float
    lying: tuple[Lying, ...]
    zones: tuple[Zone, ...] = ()


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


def is_waste(node: Node) -> bool:
    """True where no piece lies."""
    return not node.lying if isinstance(node, Leaf) else is_waste(node.low) and is_waste(node.high)


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

    def strip(self, width: float) -> float:
        """Return what a strip of waste costs that is so narrow that it breaks: as much as a set-up. [m of cut]"""
        return self.set_up if TINY < width < NARROW else 0.0

    def worth(self, width: float, height: float) -> float:
        """Worth of an empty blank. [m of cut]"""
        short, long = sorted((width, height))
        return self.offcut * width * height if short >= self.keep_short and long >= self.keep_long else 0.0


def pushed(lying: Sequence[Lying], zones: Sequence[Zone] = ()) -> tuple[Lying, ...]:
    """Return the pieces pushed, as one body, to the datum corner, as far as no damaged zone lies there."""
    if not lying:
        return ()
    x = min(p.bounds[0] for p in lying)
    y = min(p.bounds[1] for p in lying)
    if abs(x) <= TINY and abs(y) <= TINY:
        return tuple(lying)
    spoiled = [box(zx, zy, zx + w, zy + h) for zx, zy, w, h in zones]
    for dx, dy in ((x, y), (x, 0.0), (0.0, y)):
        found = tuple(p.moved(-dx, -dy) for p in lying)
        if all(p.shape.intersection(z).area < TINY for p in found for z in spoiled):
            return found
    return tuple(lying)


def within(zones: Sequence[Zone], x: float, y: float, width: float, height: float) -> tuple[Zone, ...]:
    """Return the parts of zones in a blank, in the blank's axes."""
    found = []
    for zx, zy, w, h in zones:
        low_x, low_y = max(zx - x, 0.0), max(zy - y, 0.0)
        high_x, high_y = min(zx + w - x, width), min(zy + h - y, height)
        if high_x - low_x > TINY and high_y - low_y > TINY:
            found.append((low_x, low_y, high_x - low_x, high_y - low_y))
    return tuple(found)


@dataclass(frozen=True)
class _Blank:
    """A blank with what lies in it, pieces pushed to its corner."""

    width: float
    height: float
    lying: tuple[Lying, ...]
    zones: tuple[Zone, ...]

    def size(self, axis: int) -> float:
        return self.width if axis == 0 else self.height

    def key(self) -> tuple[object, ...]:
        spots = tuple(round(v * 1e6) for z in self.zones for v in z)
        return frozenset(p.number for p in self.lying), round(self.width * 1e6), round(self.height * 1e6), spots


class Cutter:
    """Finds the cut tree of a blank.

    Parameters
    ----------
    kerf : float
        Width that a cut removes. [m]
    mark : float
        Distance between two marks of the tape; every cut lies on one. [m]
    scale : Scale
        What cuts cost and offcuts are worth.
    """

    def __init__(self, kerf: float, mark: float, scale: Scale) -> None:
        self.kerf = kerf
        self.mark = mark
        self.scale = scale
        self._known: dict[tuple[object, ...], tuple[float, Node]] = {}
        self._looked = 0

    def tree(self, lying: Sequence[Lying], width: float, height: float, zones: Sequence[Zone] = ()) -> Node:
        """Return the cheapest cut tree that was found."""
        self._known.clear()
        self._looked = 0
        return self._best(_Blank(width, height, tuple(lying), tuple(zones)))[1]

    def _best(self, blank: _Blank) -> tuple[float, Node]:
        if not blank.lying:
            worth = 0.0 if blank.zones else self.scale.worth(blank.width, blank.height)
            return -worth, Leaf(blank.width, blank.height, ())
        key = blank.key()
        if key not in self._known:
            self._looked += 1
            lying = pushed(blank.lying, blank.zones)
            self._known[key] = self._search(_Blank(blank.width, blank.height, lying, blank.zones))
        return self._known[key]

    def _search(self, blank: _Blank) -> tuple[float, Node]:
        best: tuple[float, Node] = (self._leaf_cost(blank), Leaf(blank.width, blank.height, blank.lying, blank.zones))
        found = False
        for axis, at, low, high in self._cuts(blank):
            first = self._best(self._part(blank, axis, 0.0, at, low))
            second = self._best(self._part(blank, axis, at + self.kerf, blank.size(axis), high))
            cost = blank.size(1 - axis) + self.scale.set_up + first[0] + second[0]
            cost += 0.0 if low and high else self.scale.strip(at if high else blank.size(axis) - at - self.kerf)
            if not found or cost < best[0] - 1e-9:
                best = (cost, Split(blank.width, blank.height, axis, at, first[1], second[1]))
                found = True
        return best

    def _part(self, blank: _Blank, axis: int, start: float, end: float, lying: tuple[Lying, ...]) -> _Blank:
        """Return the part of a blank between two places along an axis."""
        x, y = (start, 0.0) if axis == 0 else (0.0, start)
        size = max(end - start, 0.0)
        width, height = (size, blank.height) if axis == 0 else (blank.width, size)
        moved = tuple(p.moved(-x, -y) for p in lying) if start else lying
        return _Blank(width, height, moved, within(blank.zones, x, y, width, height))

    def _cuts(self, blank: _Blank) -> list[tuple[int, float, tuple[Lying, ...], tuple[Lying, ...]]]:
        """Return the cuts that part the blank without crossing a piece, most promising first."""
        found = []
        for axis in (0, 1):
            size = blank.size(axis)
            for bound in self._bounds(blank, axis):
                low = tuple(p for p in blank.lying if p.bounds[axis + 2] <= bound + TINY)
                high = tuple(p for p in blank.lying if p.bounds[axis + 2] > bound + TINY)
                free = min([p.bounds[axis] - self.kerf for p in high], default=size)
                at = self._on_mark(bound, free)
                rest = self.mark if high else max(self.mark, LEAST)
                if at > size - rest + TINY or free < bound - TINY or at < self.mark - TINY:
                    continue
                length = blank.size(1 - axis)
                found.append(((not high, length >= size, -length), axis, at, low, high))
        found.sort(key=lambda f: (f[0], f[1], f[2]))
        most = len(found) if len(blank.lying) <= DEEP else FEW
        if self._looked > MANY:
            most = 1
        return [(axis, at, low, high) for _, axis, at, low, high in found[:most]]

    def _bounds(self, blank: _Blank, axis: int) -> list[float]:
        """Return the far sides of pieces, and the place before all of them where a zone keeps them off the corner."""
        far = {round(p.bounds[axis + 2], 9) for p in blank.lying}
        before = min(p.bounds[axis] for p in blank.lying) - self.kerf
        return sorted(far | ({self._down(before)} if before > TINY else set()))

    def _down(self, value: float) -> float:
        return self.mark * floor(value / self.mark + GRAIN)

    def _on_mark(self, bound: float, free: float) -> float:
        """Return the mark at or after a side, or the one before it where the next piece lies too near."""
        up = self.mark * ceil(bound / self.mark - GRAIN)
        return up if up <= free + TINY else self._down(bound)

    def _leaf_cost(self, blank: _Blank) -> float:
        lying = blank.lying
        around = sum(float(p.shape.length) for p in lying) + 4 * self.scale.set_up * len(lying)
        return around + (blank.width + blank.height if len(lying) > 1 else 0.0)
