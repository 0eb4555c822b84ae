"""From a cut tree to cuts in order with their marks, and where each piece lies on the sheet."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from math import ceil, floor, hypot, pi

import shapely
from shapely.geometry import MultiLineString, MultiPolygon, Polygon
from shapely.geometry import Point as ShapelyPoint

from snugbay.sheets.cutting.align import aligned, into_blank
from snugbay.sheets.cutting.bevels import Slope, bevel_on, bevelled_sides
from snugbay.sheets.cutting.edges import after_cuts, alone, lines_of
from snugbay.sheets.cutting.lines import Line, pared
from snugbay.sheets.cutting.minutes import Bench
from snugbay.sheets.cutting.patterns import TINY, Pattern, loss, ring
from snugbay.sheets.cutting.tree import NARROW, Leaf, Lying, Node, Split, is_waste
from snugbay.sheets.values import Cut, Mark, Placement
from snugbay.survey import Point

CLEAR = 0.01
"""A label keeps so far off a slit. [m]"""
TURNS = ((1, 0), (0, 1), (-1, 0), (0, -1))


@dataclass(frozen=True)
class Blank:
    """Where a blank lies on the sheet and what it is called."""

    x: float
    y: float
    name: str
    depth: int


@dataclass
class Carried:
    """What is gathered while the tree is walked."""

    cuts: list[Cut] = field(default_factory=list)
    marks: list[Mark] = field(default_factory=list)
    placements: list[Placement] = field(default_factory=list)
    empty: list[tuple[float, float, float, float]] = field(default_factory=list)
    scraps: list[Polygon] = field(default_factory=list)
    shared: int = 0
    rounding: float = 0.0


class Carrier:
    """Walks a cut tree.

    Parameters
    ----------
    patterns : sequence of Pattern
        By number.
    bench : Bench
        Tool and rates.
    mark : float
        Distance between two marks. [m]
    """

    def __init__(self, patterns: Sequence[Pattern], bench: Bench, mark: float) -> None:
        self.patterns = patterns
        self.bench = bench
        self.mark = mark
        self.out = Carried()

    def walk(self, node: Node, blank: Blank) -> Carried:
        """Carry out a tree, edge-to-edge cuts before the cuts inside blanks, and return what was gathered."""
        leaves: list[tuple[Leaf, Blank]] = []
        self._split(node, blank, leaves)
        for leaf, where in leaves:
            self._leaf(leaf, where)
        return self.out

    def _split(self, node: Node, blank: Blank, leaves: list[tuple[Leaf, Blank]]) -> None:
        if isinstance(node, Leaf):
            leaves.append((node, blank))
            return
        number = len(self.out.cuts) + 1
        self._edge_cut(node, blank, number)
        step = node.at + self.bench.kerf
        dx, dy = (step, 0.0) if node.axis == 0 else (0.0, step)
        self._split(node.low, Blank(blank.x, blank.y, f"{number}a", blank.depth + 1), leaves)
        self._split(node.high, Blank(blank.x + dx, blank.y + dy, f"{number}b", blank.depth + 1), leaves)

    def _edge_cut(self, node: Split, blank: Blank, number: int) -> None:
        if node.axis == 0:
            start, end = (blank.x + node.at, blank.y), (blank.x + node.at, blank.y + node.height)
            ends = (("bottom", start), ("top", end))
        else:
            start, end = (blank.x + node.width, blank.y + node.at), (blank.x, blank.y + node.at)
            ends = (("left", end), ("right", start))
        along = node.height if node.axis == 0 else node.width
        touching = _along(node.low, node.axis, far=True) + _along(node.high, node.axis, far=False)
        if _along(node.low, node.axis, far=True) and _along(node.high, node.axis, far=False):
            self.out.shared += 1
        labels = tuple(dict.fromkeys(self.patterns[n].piece.id for n in touching))
        kind = "edge to edge" if blank.name == "sheet" else "through the blank"
        self._add(number, start, end, kind, blank, along, 0.0, labels, self._strip(node))
        rounded = self._rounded(node.at)
        self.out.rounding = max(self.out.rounding, abs(node.at - rounded))
        for side, at in ends:
            self.out.marks.append(Mark(number, side, at, rounded, 0.0, node.at))

    def _strip(self, node: Split) -> float:
        """Width of the waste that an edge-to-edge cut takes off, if it is narrow. [m]"""
        size = node.width if node.axis == 0 else node.height
        wide = [w for w, part in ((node.at, node.low), (size - node.at - self.bench.kerf, node.high)) if is_waste(part)]
        return min((w for w in wide if TINY < w < NARROW), default=0.0)

    def _rounded(self, value: float) -> float:
        return self.mark * floor(value / self.mark + 1e-4)

    def _add(
        self,
        number: int,
        start: Point,
        end: Point,
        kind: str,
        blank: Blank,
        length: float,
        bevel: float,
        labels: tuple[str, ...],
        strip: float = 0.0,
        radius: float = 0.0,
    ) -> None:
        bevelled = abs(bevel) > 1e-6
        tool = self.bench.tool_for(kind, bevel)
        minutes = self.bench.minutes(length, kind, bevelled=bevelled, tool=tool)
        self.out.cuts.append(
            Cut(
                number,
                start,
                end,
                kind,
                blank.depth,
                blank.name,
                bevel,
                self.bench.passes(tool, bevel),
                tool.value,
                minutes,
                labels,
                strip,
                radius,
                length if radius else 0.0,
                self.bench.turned(tool, bevel),
            )
        )

    def _leaf(self, leaf: Leaf, blank: Blank) -> None:
        if not leaf.lying:
            if min(leaf.width, leaf.height) > TINY:
                self.out.empty.append((blank.x, blank.y, leaf.width, leaf.height))
            return
        leaf = into_blank(aligned(leaf, self.bench.kerf, self.mark), self.mark)
        lines = self._cuts_inside(leaf, blank)
        left = Polygon([(0, 0), (leaf.width, 0), (leaf.width, leaf.height), (0, leaf.height)])
        for whole in leaf.lying:
            piece = after_cuts(leaf, whole, lines, self.bench.kerf, self.mark)
            self.out.rounding = max(self.out.rounding, loss(piece.finished, piece.bare, piece.rounds))
            self.out.placements.append(self._placement(piece, blank))
            left = left.difference(piece.finished.buffer(self.bench.kerf, join_style="mitre"))
        for part in getattr(left, "geoms", [left]):
            if isinstance(part, Polygon) and part.area > 1e-4:
                self.out.scraps.append(_shifted(part, blank))

    def _cuts_inside(self, leaf: Leaf, blank: Blank) -> tuple[Line, ...]:
        """Cut the lines of a leaf, then bevel the sides that were cut square or are edges of the blank."""
        by_number = {p.number: p for p in leaf.lying}
        bevelled: dict[int, list[Slope]] = defaultdict(list)
        inside = self.bench.kerf_of(self.bench.tool_for("plunge"))
        lines = lines_of(leaf, self.bench.kerf, self.mark, inside)
        for line in lines:
            bevel = 0.0
            if len(line.numbers) == 1 and not line.hole:
                piece = by_number[line.numbers[0]]
                bevel = bevel_on(line.start, line.end, ring(piece.shape), piece.slopes, self.mark)
                if bevel:
                    bevelled[piece.number].append(Slope(line.start, line.end, bevel))
            self._line(line, leaf, blank, bevel, pared(leaf, line, lines, self.bench.kerf))
        for piece in leaf.lying:
            for side in bevelled_sides(ring(piece.shape), piece.slopes, self.mark, bevelled[piece.number]):
                self._line(alone(piece, side.start, side.end), leaf, blank, side.bevel)
        return lines

    def _line(self, line: Line, leaf: Leaf, blank: Blank, bevel: float, strip: float = 0.0) -> None:
        number = len(self.out.cuts) + 1
        if line.radius:
            self._round(number, line, blank)
            return
        start, end = self._grid(line.start, line, leaf), self._grid(line.end, line, leaf)
        self.out.shared += int(line.shared)
        pieces = [self.patterns[n].piece for n in line.numbers]
        labels = tuple(dict.fromkeys(p.id for p in pieces))
        at = ((blank.x + start[0], blank.y + start[1]), (blank.x + end[0], blank.y + end[1]))
        self._add(number, *at, line.kind, blank, line.length, bevel, labels, strip)
        for exact, local, world in zip((line.start, line.end), (start, end), at, strict=True):
            self.out.marks.append(_mark(number, exact, local, world, leaf))

    def _round(self, number: int, line: Line, blank: Blank) -> None:
        """Add a round cut with the one mark of its centre, which may lie off the board."""
        x, y = line.start
        at = (blank.x + x, blank.y + y)
        labels = tuple(self.patterns[n].piece.id for n in line.numbers)
        self._add(number, at, at, line.kind, blank, line.length, 0.0, labels, radius=line.radius)
        self.out.marks.append(Mark(number, "inside", at, x, y, x))

    def _grid(self, point: Point, line: Line, leaf: Leaf) -> Point:
        """Return a corner on the marks or the blank's edge, inside the piece where it has to be moved."""
        near = (self._near(point[0], leaf.width), self._near(point[1], leaf.height))
        if hypot(near[0] - point[0], near[1] - point[1]) < TINY:
            return near
        shapes = [p.shape for p in leaf.lying if p.number in line.numbers]
        best, move = near if line.hole else point, float("inf")
        for i in (floor(point[0] / self.mark), ceil(point[0] / self.mark)):
            for j in (floor(point[1] / self.mark), ceil(point[1] / self.mark)):
                at = (i * self.mark, j * self.mark)
                step = hypot(at[0] - point[0], at[1] - point[1])
                if step < move and shapes[0].distance(ShapelyPoint(at)) < TINY:
                    best, move = at, step
        if move < float("inf"):
            self.out.rounding = max(self.out.rounding, move)
        return best

    def _near(self, value: float, size: float) -> float:
        """Return the nearest mark, the blank's far edge for what lies on it or (a slit's end) a little beyond it."""
        return min(value, size) if value > size - TINY else round(value / self.mark) * self.mark

    def _placement(self, piece: Lying, blank: Blank) -> Placement:
        found = self.patterns[piece.number]
        body = piece.finished
        outline = tuple((x + blank.x, y + blank.y) for x, y in ring(body))
        holes = tuple(tuple((float(x) + blank.x, float(y) + blank.y) for x, y in h.coords[:-1]) for h in body.interiors)
        c, s = TURNS[piece.turn % 4]
        up = found.piece.up
        turned = (c * up[0] - s * up[1], s * up[0] + c * up[1])
        label = _well_inside(body.difference(MultiLineString(piece.slits).buffer(CLEAR)))
        at = (label[0] + blank.x, label[1] + blank.y)
        return Placement(found.piece.id, outline, holes, (piece.turn % 4) * pi / 2, turned, at)


def _shifted(shape: Polygon, blank: Blank) -> Polygon:
    return Polygon([(x + blank.x, y + blank.y) for x, y in shape.exterior.coords])


def _well_inside(shape: Polygon | MultiPolygon) -> Point:
    """Return a place well inside: the middle of the box if it is inside, else the safest point found."""
    middle = shape.envelope.centroid
    if shape.buffer(-0.02).contains(middle):
        return float(middle.x), float(middle.y)
    x, y = shapely.maximum_inscribed_circle(shape).coords[0]
    return float(x), float(y)


def _along(node: Node, axis: int, *, far: bool) -> tuple[int, ...]:
    """Return the pieces of a blank whose side lies on the blank's far (or datum) edge across ``axis``."""
    if isinstance(node, Leaf):
        size = node.width if axis == 0 else node.height
        numbers = []
        for piece in node.lying:
            low, high = piece.bounds[axis], piece.bounds[axis + 2]
            if (far and abs(high - size) < TINY) or (not far and abs(low) < TINY):
                numbers.append(piece.number)
        return tuple(numbers)
    if node.axis == axis:
        return _along(node.high if far else node.low, axis, far=far)
    return _along(node.low, axis, far=far) + _along(node.high, axis, far=far)


def _mark(number: int, exact: Point, local: Point, world: Point, leaf: Leaf) -> Mark:
    """Return the mark of a cut's end: along an edge of the blank if it lies on one, else from both edges."""
    x, y = local
    if abs(y) < TINY:
        return Mark(number, "bottom", world, x, 0.0, exact[0])
    if abs(x) < TINY:
        return Mark(number, "left", world, y, 0.0, exact[1])
    if abs(y - leaf.height) < TINY:
        return Mark(number, "top", world, x, 0.0, exact[0])
    if abs(x - leaf.width) < TINY:
        return Mark(number, "right", world, y, 0.0, exact[1])
    return Mark(number, "inside", world, x, y, exact[0])
