"""The order in which the boards of one region are put in, so that each one still goes in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shapely.geometry import Point as ShapelyPoint
from shapely.geometry import Polygon

from snugbay.pieces.entry import Captive, way_to_put_in
from snugbay.pieces.plane import Line
from snugbay.pieces.regions import captives
from snugbay.pieces.values import EdgeKind
from snugbay.survey import Point


@dataclass(frozen=True)
class Held:
    """A part of a region and the lines that hold it.

    Attributes
    ----------
    part : Polygon
        Front. [m]
    outline : list of Point
        Its outline. [m]
    lines : list of Line
        The line of each of its edges.
    """

    part: Polygon
    outline: list[Point]
    lines: list[Line]

    def spans(self) -> list[tuple[Point, Point]]:
        """Return the edges. [m]"""
        return list(zip(self.outline, [*self.outline[1:], self.outline[0]], strict=True))


def order_to_fit(parts: Sequence[Held], thickness: float) -> list[tuple[int, str]] | None:
    """Return an order in which every part goes in, each with how it is put in; None where none was found.

    Rows from the bottom are tried first, then the parts that most leans over before the others, so that the last one
    closes in the middle.
    """
    rows = rows_from_the_bottom(parts)
    leaning = [sum(ln.captive and ln.overhang > 1e-9 for ln in p.lines) for p in parts]
    for order in (rows, sorted(rows, key=lambda k: -leaning[k])):
        ways: list[tuple[int, str]] = []
        for at, k in enumerate(order):
            way = way_to_put_in(_captive_edges(parts[k], [parts[j] for j in order[:at]]), thickness)
            if way is None:
                break
            ways.append((k, way))
        if len(ways) == len(parts):
            return ways
    return None


def rows_from_the_bottom(parts: Sequence[Held]) -> list[int]:
    """Return the parts row by row from the bottom, each row from the left."""
    bounds = [p.part.bounds for p in parts]
    return sorted(range(len(parts)), key=lambda k: (round(bounds[k][1] / 0.1), bounds[k][0]))


def _captive_edges(part: Held, before: Sequence[Held]) -> list[Captive]:
    """Return the edges of a part that are captive once the parts before it are in place."""
    spans = part.spans()
    edges = captives(part.lines, spans, [ln.edge.gap for ln in part.lines])
    for line, (p, q) in zip(part.lines, spans, strict=True):
        if line.edge.kind is EdgeKind.SEAM and any(_touches(p, q, b.part) for b in before):
            edges.append(Captive(p, q, 0.0, 0.0, "the board before it", True))
    return edges


def _touches(p: Point, q: Point, other: Polygon) -> bool:
    """Return whether an edge lies against another part."""
    shares = (0.05, 0.5, 0.95)
    return any(other.distance(ShapelyPoint(p[0] + s * (q[0] - p[0]), p[1] + s * (q[1] - p[1]))) < 1e-4 for s in shares)
