"""Weak places: legs and bridges too thin to survive are left to foam, a weak neck becomes a seam."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import split

from snugbay.pieces.limits import blank_of
from snugbay.pieces.overlay import shared, without
from snugbay.pieces.plane import polygons
from snugbay.pieces.rates import rate, typical
from snugbay.survey import Point

Segment = tuple[Point, Point]


def without_legs(part: Polygon) -> tuple[list[Polygon], list[Polygon]]:
    """Take off legs, and bridges beside holes, that are narrower than the narrowest strip worth cutting.

    Parameters
    ----------
    part : Polygon
        A part of a region. [m]

    Returns
    -------
    (list of Polygon, list of Polygon)
        What is left, and what was taken off.

    Notes
    -----
    What survives shrinking and growing back by half the strip is left (corners kept sharp); pointed corners of the
    outline are no legs: only what is at least as long as the strip is wide counts.
    """
    half = rate("min_strip").low / 2
    core: BaseGeometry = part.buffer(-half, join_style="mitre", mitre_limit=8.0)
    core = shared(core.buffer(half, join_style="mitre", mitre_limit=8.0), part)
    off = []
    for rest in polygons(without(part, core), 1e-6):
        wide, long = blank_of(rest)
        if wide > 0.003 and long >= 2 * half and _is_leg(part, rest):
            off.append(rest)
    left: BaseGeometry = part
    for rest in off:
        left = without(left, rest)
    return [p for p in polygons(left) if not p.buffer(-half).is_empty], off


def _is_leg(part: Polygon, rest: Polygon) -> bool:
    """Return whether a thin rest is a leg or bridge of near parallel sides, not the point of a corner."""
    wide, long = blank_of(rest)
    return bool(rest.area > 0.6 * wide * long) and bool(part.area > 2 * rest.area)


def neck_seams(part: Polygon, places: tuple[Sequence[float], Sequence[float]]) -> list[Segment]:
    """Return the seams that cut a part at its weak necks.

    Parameters
    ----------
    part : Polygon
        A piece. [m]
    places : (sequence of float, sequence of float)
        Where seams along x and y are welcome: sides of notches, inner corners.

    Notes
    -----
    A neck is weak where shrinking the piece by half the least neck makes it fall apart into bodies that are each wider
    than a strip. The shortest straight cut at one of the places, or through the middle of the neck, that parts the
    bodies is taken.
    """
    half = rate("min_neck").low / 2
    bodies = [b for b in polygons(part.buffer(-half)) if b.area > typical("min_strip") ** 2]
    if len(bodies) < 2:
        return []
    found: list[Segment] = []
    pieces = [part]
    for first, second in pairwise(bodies):
        for k, piece in enumerate(pieces):
            if not (piece.intersects(first) and piece.intersects(second)):
                continue
            cut = _best_cut(piece, first, second, places)
            if cut is not None:
                found.append(cut)
                pieces[k : k + 1] = parted(piece, cut)
                break
    return found


def parted(piece: Polygon, cut: Segment) -> list[Polygon]:
    """Return the parts of a piece that a cut from edge to edge leaves."""
    (ax, ay), (bx, by) = cut
    dx, dy = (bx - ax) * 0.01, (by - ay) * 0.01
    line = LineString([(ax - dx, ay - dy), (bx + dx, by + dy)])
    return [p for p in split(piece, line).geoms if p.area > 1e-7]


def _best_cut(
    piece: Polygon, first: Polygon, second: Polygon, places: tuple[Sequence[float], Sequence[float]]
) -> Segment | None:
    x0, y0, x1, y1 = piece.bounds
    near = LineString([first.centroid, second.centroid]).interpolate(0.5, normalized=True)
    options: list[Segment] = [((x, y0 - 1), (x, y1 + 1)) for x in (*places[0], near.x) if x0 < x < x1]
    options += [((x0 - 1, y), (x1 + 1, y)) for y in (*places[1], near.y) if y0 < y < y1]
    best: tuple[float, Segment] | None = None
    for option in options:
        line = LineString(option)
        if line.intersects(first.buffer(-1e-6)) or line.intersects(second.buffer(-1e-6)):
            continue
        if not _parts(piece, line, first, second):
            continue
        length = float(line.intersection(piece).length)
        if best is None or length < best[0] - 1e-9:
            best = (length, option)
    if best is None:
        return None
    x0, y0, x1, y1 = LineString(best[1]).intersection(piece).bounds
    return (float(x0), float(y0)), (float(x1), float(y1))


def _parts(piece: Polygon, line: LineString, first: Polygon, second: Polygon) -> bool:
    """Return whether a cut leaves the two bodies in different parts."""
    return not any(p.intersects(first) and p.intersects(second) for p in split(piece, line).geoms)
