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
    """Return an order in which every part goes in, each with how it is put in; None where there is none.

    Notes
    -----
    The whole is taken apart, the last part of the rows from the bottom first; the reverse is the order. A part that
    comes out past others still comes out when some of them are gone, so that nothing is missed.
    """
    left = rows_from_the_bottom(parts)
    if not any(ln.captive and ln.overhang > 1e-9 for p in parts for ln in p.lines):
        return [(k, "") for k in left]
    out: list[tuple[int, str]] = []
    while left:
        for k in reversed(left):
            way = way_to_put_in(_captive_edges(parts[k], [parts[j] for j in left if j != k]), thickness)
            if way is not None:
                left.remove(k)
                out.append((k, way))
                break
        else:
            return None
    return out[::-1]


def rows_from_the_bottom(parts: Sequence[Held]) -> list[int]:
    """Return the parts row by row from the bottom, each row from the left."""
    bounds = [p.part.bounds for p in parts]
    return sorted(range(len(parts)), key=lambda k: (round(bounds[k][1] / 0.1), bounds[k][0]))


def _captive_edges(part: Held, before: Sequence[Held]) -> list[Captive]:
    """Return the edges of a part that are captive once others are in place."""
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
