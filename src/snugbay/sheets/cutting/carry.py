"""From a cut tree to cuts in order with their marks, and where each piece lies on the sheet."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from math import ceil, floor, hypot, pi

import shapely
from shapely.affinity import affine_transform
from shapely.geometry import MultiLineString, MultiPolygon, Polygon
from shapely.geometry import Point as ShapelyPoint

from snugbay.sheets.cutting.align import aligned, into_blank
from snugbay.sheets.cutting.bevels import Slope, bevelled_sides
from snugbay.sheets.cutting.edges import after_cuts, lines_of
from snugbay.sheets.cutting.lines import KINDS, Line, pared
from snugbay.sheets.cutting.minutes import Bench
from snugbay.sheets.cutting.order import freed
from snugbay.sheets.cutting.patterns import TINY, Pattern, loss, ring, thickest
from snugbay.sheets.cutting.rounds import finished
from snugbay.sheets.cutting.tree import NARROW, Leaf, Lying, Node, Split, is_waste
from snugbay.sheets.values import Cut, Mark, Placement
from snugbay.survey import Point

CLEAR = 0.01
"""A label keeps so far off a slit. [m]"""
ACROSS = "edge to edge"
"""Kind of a cut across the whole sheet."""
THROUGH, STOPPED = KINDS[:2]
MOST_CUTS, MOST_INSIDE = 12, 16
"""More cuts, or marks inside a part, nobody follows on one drawing (assumption)."""
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
    pinched: int = 0


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
        """Make all cuts of a blank that run one way, marked from its one corner, and go on with the parts they give.

        The cut furthest from the corner comes first: the edge that the tape is hooked on stays for the others.
        """
        if isinstance(node, Leaf):
            leaves.append((node, blank))
            return
        row = self._row(node, node.axis, 0.0)
        numbers = [self._edge_cut(split, at, blank, node) for at, _, split in reversed(row) if split is not None][::-1]
        names = [f"{numbers[0]}a", *(f"{number}b" for number in numbers)]
        for (_, part, _), name, start in zip(row, names, self._starts(row), strict=True):
            dx, dy = (start, 0.0) if node.axis == 0 else (0.0, start)
            self._split(part, Blank(blank.x + dx, blank.y + dy, name, blank.depth + 1), leaves)

    def _row(self, node: Node, axis: int, offset: float) -> list[tuple[float, Node, Split | None]]:
        """Return the parts of a blank along an axis from its corner, each with the cut after it and where that is. [m]

        Only where a cut lies on a mark of the blank's own corner is it taken from there.
        """
        if isinstance(node, Leaf) or node.axis != axis:
            return [(0.0, node, None)]
        low = self._row(node.low, axis, offset)
        at = offset + node.at
        high = self._row(node.high, axis, at + self.bench.kerf)
        marked = all(abs(v - self._rounded(v)) < TINY for v, _, split in high if split is not None)
        if not marked or len(low) + len(high) - 1 > MOST_CUTS:
            high = [(0.0, node.high, None)]
        return [*low[:-1], (at, low[-1][1], node), *high]

    def _starts(self, row: Sequence[tuple[float, Node, Split | None]]) -> list[float]:
        """Return where the parts of a row begin: at the corner, then a kerf beyond each cut. [m]"""
        return [0.0, *(at + self.bench.kerf for at, _, split in row if split is not None)]

    def _edge_cut(self, node: Split, where: float, blank: Blank, whole: Split) -> int:
        if node.axis == 0:
            at = (blank.x + where, blank.y), (blank.x + where, blank.y + whole.height)
            sides = ("bottom", "top")
        else:
            at = (blank.x + whole.width, blank.y + where), (blank.x, blank.y + where)
            sides = ("right", "left")
        along = node.height if node.axis == 0 else node.width
        low, high = _along(node.low, node.axis, far=True), _along(node.high, node.axis, far=False)
        self.out.shared += bool(low and high)
        labels = tuple(dict.fromkeys(self.patterns[n].piece.id for n in low + high))
        kind = ACROSS if blank.name == "sheet" else THROUGH
        number = self._add(Line(*at, kind, along, ()), blank, at, labels, self._strip(node))
        far = self._rounded(where)
        self.out.marks += [Mark(number, side, end, far, 0.0, where) for side, end in zip(sides, at, strict=True)]
        return number

    def _strip(self, node: Split) -> float:
        """Width of the waste that an edge-to-edge cut takes off, if it is narrow. [m]"""
        size = node.width if node.axis == 0 else node.height
        wide = [w for w, part in ((node.at, node.low), (size - node.at - self.bench.kerf, node.high)) if is_waste(part)]
        return min((w for w in wide if TINY < w < NARROW), default=0.0)

    def _rounded(self, value: float) -> float:
        return self.mark * floor(value / self.mark + 1e-4)

    def _add(
        self,
        line: Line,
        blank: Blank,
        at: tuple[Point, Point],
        labels: tuple[str, ...],
        strip: float = 0.0,
    ) -> int:
        """Add a cut with its tool and minutes, and return its number."""
        number = len(self.out.cuts) + 1
        bevelled = abs(line.bevel) > 1e-6
        tool = self.bench.tool_for(STOPPED if line.by_hand and line.kind == THROUGH else line.kind, line.bevel)
        self.out.cuts.append(
            Cut(
                number,
                *at,
                line.kind,
                blank.depth,
                blank.name,
                line.bevel,
                self.bench.passes(tool, line.bevel),
                tool.value,
                self.bench.minutes(line.path, line.kind, bevelled=bevelled, tool=tool),
                labels,
                strip,
                line.radius,
                line.length if line.radius else 0.0,
                self.bench.turned(tool, line.bevel),
                line.stops,
            )
        )
        return number

    def _leaf(self, leaf: Leaf, blank: Blank) -> None:
        if not leaf.lying:
            if min(leaf.width, leaf.height) > TINY:
                self.out.empty.append((blank.x, blank.y, leaf.width, leaf.height))
            return
        leaf = into_blank(aligned(leaf, self.bench.kerf, self.mark), self.mark)
        lines = self._cuts_inside(leaf, blank)
        left = Polygon([(0, 0), (leaf.width, 0), (leaf.width, leaf.height), (0, leaf.height)])
        for whole in leaf.lying:
            piece = after_cuts(leaf, whole, lines, self.bench.saw, self.mark)
            self.out.placements.append(self._placement(piece, blank))
            left = left.difference(piece.finished.buffer(self.bench.kerf, join_style="mitre"))
        for part in getattr(left, "geoms", [left]):
            if isinstance(part, Polygon) and part.area > 1e-4:
                self.out.scraps.append(_shifted(part, blank))

    def _cuts_inside(self, leaf: Leaf, blank: Blank) -> tuple[Line, ...]:
        """Cut the lines of a leaf, then bevel the sides that were cut square or are edges of the blank."""
        bevelled: dict[int, list[Slope]] = defaultdict(list)
        saw = self.bench.saw
        lines = lines_of(leaf, saw, self.mark)
        for line in lines:
            if line.bevel:
                bevelled[line.numbers[0]].append(Slope(line.start, line.end, line.bevel))
            self._line(line, leaf, blank, pared(leaf, line, lines, self.bench.kerf))
        for piece in leaf.lying:
            for side in bevelled_sides(ring(piece.shape), piece.slopes, self.mark, bevelled[piece.number]):
                long = hypot(side.end[0] - side.start[0], side.end[1] - side.start[1])
                line = Line(side.start, side.end, "", long, (piece.number,), bevel=side.bevel)
                self._line(freed(piece, line, saw), leaf, blank)
        return lines

    def _line(self, line: Line, leaf: Leaf, blank: Blank, strip: float = 0.0) -> None:
        labels = tuple(dict.fromkeys(self.patterns[n].piece.id for n in line.numbers))
        if line.radius:  # one mark, its centre, which may lie off the board
            x, y = line.start
            at = (blank.x + x, blank.y + y)
            self.out.marks.append(Mark(self._add(line, blank, (at, at), labels), "inside", at, x, y, x))
            return
        start, end = self._grid(line.start, line, leaf), self._grid(line.end, line, leaf)
        self.out.shared += int(line.shared)
        self.out.pinched += int(line.pinched)
        world = ((blank.x + start[0], blank.y + start[1]), (blank.x + end[0], blank.y + end[1]))
        number = self._add(line, blank, world, labels, strip)
        for exact, local, there in zip((line.start, line.end), (start, end), world, strict=True):
            self.out.marks.append(_mark(number, exact, local, there, leaf))

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
        origin = (piece.origin[0] + blank.x, piece.origin[1] + blank.y)
        return Placement(found.piece.id, outline, holes, (piece.turn % 4) * pi / 2, turned, at, origin)


def rounded(placed: Placement, found: Pattern) -> Placement:
    """Return a piece's place with how much rounding to marks takes off its body, and off the tip that loses most."""
    c, s = TURNS[round(placed.turn / (pi / 2)) % 4]
    x, y = found.origin
    dx, dy = placed.origin[0] - (c * x - s * y), placed.origin[1] - (s * x + c * y)
    rounds = tuple(r.turned(c, s).moved(dx, dy) for r in found.rounds)
    bare, shape = affine_transform(found.bare, [c, -s, s, c, dx, dy]), Polygon(placed.outline, placed.holes)
    body = thickest(finished(bare, rounds).difference(shape))
    return replace(placed, body=body, tip=loss(shape, bare, rounds))


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
