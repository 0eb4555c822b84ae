"""Where a layer is cut into pieces: the seams that cost least.

Seams run along one axis of the face through the whole region (strips), then across within each strip. Along each axis
the best set of positions among the candidates is found exactly by dynamic programming over strips.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from math import ceil, floor

import numpy as np
from numpy.typing import NDArray
from shapely import box, clip_by_rect
from shapely.affinity import affine_transform
from shapely.geometry import LineString, Polygon

from snugbay.pieces.limits import Limits
from snugbay.pieces.overlay import shared
from snugbay.pieces.plane import polygons, unit
from snugbay.pieces.rates import rate, typical
from snugbay.survey import Point

Array = NDArray[np.float64]
Segment = tuple[Point, Point]

MOST_PIECES_ACROSS = 40


@dataclass(frozen=True)
class Ask:
    """What the seams of one region must heed.

    Attributes
    ----------
    front, outer : Polygon
        Front of the region, and front and back together.
    limits : Limits
        What one piece may measure.
    good : (tuple of float, tuple of float)
        Places along x and y where a seam is welcome: notch sides, hole centres, corners of the outline.
    framing : (tuple of float, tuple of float)
        Centres of framing members for seams square to x and y, where the layer is screwed to framing.
    other : tuple of Segment
        Seams of the layer beneath.
    keep_off : (tuple of (float, float), tuple of (float, float))
        Stretches along x and y where no seam may run: between front and back of a bevelled corner, and just beside.
    widest : (float, float)
        Largest share of the region (and, across a strip, of the strip) that one piece may take along x and y, so that
        the boards can be put in.
    must : (tuple of float, tuple of float)
        Places along x and y where a seam has to be, where the shape reaches.
    """

    front: Polygon
    outer: Polygon
    limits: Limits
    good: tuple[tuple[float, ...], tuple[float, ...]] = ((), ())
    framing: tuple[tuple[float, ...], tuple[float, ...]] = ((), ())
    other: tuple[Segment, ...] = field(default=())
    keep_off: tuple[tuple[tuple[float, float], ...], tuple[tuple[float, float], ...]] = ((), ())
    widest: tuple[float, float] = (1.0, 1.0)
    must: tuple[tuple[float, ...], tuple[float, ...]] = ((), ())

    @property
    def free(self) -> bool:
        """True where nothing but the sizes asks for a seam."""
        return self.widest == (1.0, 1.0) and not any(self.must)


@dataclass(frozen=True)
class Cutting:
    """Pieces of a region and the seams between them.

    Attributes
    ----------
    parts : tuple of Polygon
        Fronts of the pieces.
    lines : tuple of Segment
        Seam lines. [m]
    cost : float
        In lengths of seam. [m]
    """

    parts: tuple[Polygon, ...]
    lines: tuple[Segment, ...]
    cost: float


def cut_region(ask: Ask) -> Cutting | None:
    """Cut a region into pieces that can be had, brought in and placed, at the least cost.

    Returns
    -------
    Cutting or None
        None where no seams make every piece small enough.
    """
    if ask.free and ask.limits.fits_shape(ask.outer):
        return Cutting((ask.front,), (), piece_cost(ask.limits, ask.outer))
    found = [c for c in (_strips(ask, axis) for axis in (0, 1)) if c is not None]
    return min(found, key=lambda c: c.cost) if found else None


def piece_cost(limits: Limits, outer: Polygon) -> float:
    """Return the cost of a piece: its handling, its share of a sheet, and a slender shape. [m of seam]"""
    x0, y0, x1, y1 = outer.bounds
    return _blank_cost(limits, x1 - x0, y1 - y0)


def _blank_cost(limits: Limits, a: float, b: float) -> float:
    slender = typical("min_strip") * 3
    thin = max(0.0, slender - min(a, b)) / slender
    return typical("seam_piece_cost") + typical("seam_sheet_cost") * limits.share(a, b) + thin


def _strips(ask: Ask, axis: int) -> Cutting | None:
    """Cut into strips square to the axis, then each strip across."""
    outer = _along(ask.outer, axis)
    places = _candidates(ask, axis)
    reach = _reach(outer, places)

    share = ask.widest[1 - axis]

    def strip_cost(i: int, j: int) -> float:
        wide, (low, high) = places[j] - places[i], reach(i, j)
        if high <= low:
            return 0.0
        if wide > ask.widest[axis] * (places[-1] - places[0]) + 1e-9 or _needs_seam(ask, axis, places[i], places[j]):
            return float("inf")
        fewest = ask.limits.fewest(wide, high - low)
        if fewest > MOST_PIECES_ACROSS or not ask.limits.fits(wide, (high - low) / MOST_PIECES_ACROSS):
            return float("inf")
        for count in range(fewest, MOST_PIECES_ACROSS + 1):
            if 1 / count <= share + 1e-9 and ask.limits.fits(wide, (high - low) / count):
                return _blank_cost(ask.limits, wide, (high - low) / count) * count + (count - 1) * wide
        return float("inf")

    parallel = _parallel(ask, axis)
    chosen = _least(places, strip_cost, lambda k: _seam_cost(ask, axis, places[k], parallel), ask.limits.longest)
    if chosen is None:
        return None
    cuts = [places[k] for k in chosen[1:-1]]
    parts: list[Polygon] = []
    lines: list[Segment] = [_line(ask.outer, axis, c) for c in cuts]
    cost = sum(_seam_cost(ask, axis, c, parallel) for c in cuts)
    for low, high in zip([places[0] - 1, *cuts], [*cuts, places[-1] + 1], strict=True):
        across = _across(ask, axis, low, high)
        if across is None:
            return None
        parts += across.parts
        lines += across.lines
        cost += across.cost
    return Cutting(tuple(parts), tuple(lines), cost)


def _across(ask: Ask, axis: int, low: float, high: float) -> Cutting | None:
    """Cut one strip across, each of its parts for itself."""
    parts: list[Polygon] = []
    lines: list[Segment] = []
    cost = 0.0
    for outer in polygons(_clip(ask.outer, axis, low, high)):
        front = polygons(shared(shared(ask.front, _window(ask.outer, axis, low, high)), outer))
        if not front:
            continue
        share, tall = ask.widest[1 - axis], outer.bounds[3 - axis] - outer.bounds[1 - axis]
        if share == 1.0 and not ask.must[1 - axis] and ask.limits.fits_shape(outer):
            parts += front
            cost += piece_cost(ask.limits, outer) * len(front)
            continue
        inner = Ask(
            max(front, key=lambda p: p.area), outer, ask.limits, ask.good, ask.framing, ask.other, must=ask.must
        )
        other = 1 - axis
        places = _candidates(inner, other)
        turned = _along(outer, other)
        reach = _reach(turned, places)

        most = share * tall + 1e-9

        def cell_cost(i: int, j: int, places: list[float] = places, reach: _Reach = reach, most: float = most) -> float:
            wide, (bottom, top) = places[j] - places[i], reach(i, j)
            if (
                wide > most
                or _needs_seam(ask, 1 - axis, places[i], places[j])
                or not ask.limits.fits(wide, top - bottom)
            ):
                return float("inf")
            return _blank_cost(ask.limits, wide, top - bottom)

        beside = _parallel(inner, other)
        seams = [_seam_cost(inner, other, place, beside) for place in places]

        chosen = _least(places, cell_cost, seams.__getitem__, ask.limits.longest)
        if chosen is None:
            return None
        cuts = [places[k] for k in chosen[1:-1]]
        lines += [_line(outer, other, c) for c in cuts]
        cost += sum(seams[k] for k in chosen[1:-1])
        for lo, hi in zip([places[0] - 1, *cuts], [*cuts, places[-1] + 1], strict=True):
            for part in front:
                cells = polygons(_clip(part, other, lo, hi))
                parts += cells
                cost += sum(piece_cost(ask.limits, c) for c in cells)
    return Cutting(tuple(parts), tuple(lines), cost)


def _needs_seam(ask: Ask, axis: int, low: float, high: float) -> bool:
    """Return whether a seam has to be somewhere between two places."""
    return any(low + 1e-3 < m < high - 1e-3 for m in ask.must[axis])


_Reach = Callable[[int, int], tuple[float, float]]


def _least(
    places: list[float], strip: Callable[[int, int], float], seam: Callable[[int], float], longest: float
) -> tuple[int, ...] | None:
    """Return the places, first and last included, that cut at the least cost; None where none do.

    No two neighbours are further apart than ``longest``, for no sheet is longer.
    """
    n = len(places)
    least = typical("min_strip")
    best = [0.0] + [float("inf")] * (n - 1)
    came = [0] * n
    seams = [0.0] + [seam(k) for k in range(1, n - 1)] + [0.0]
    for j in range(1, n):
        for i in range(j - 1, -1, -1):
            if places[j] - places[i] > longest:
                break
            if best[i] == float("inf") or places[j] - places[i] < least:
                continue
            if best[i] + seams[j] >= best[j]:
                continue
            cost = best[i] + seams[j] + strip(i, j)
            if cost < best[j] - 1e-12:
                best[j], came[j] = cost, i
    if best[-1] == float("inf"):
        return None
    chain = [n - 1]
    while chain[-1]:
        chain.append(came[chain[-1]])
    return tuple(reversed(chain))


def _along(shape: Polygon, axis: int) -> Polygon:
    """Return the shape with the axis of the cuts as x."""
    return shape if axis == 0 else affine_transform(shape, [0, 1, 1, 0, 0, 0])


def _window(shape: Polygon, axis: int, low: float, high: float) -> Polygon:
    x0, y0, x1, y1 = shape.bounds
    return box(low, y0 - 1, high, y1 + 1) if axis == 0 else box(x0 - 1, low, x1 + 1, high)


def _clip(shape: Polygon, axis: int, low: float, high: float) -> Polygon:
    x0, y0, x1, y1 = shape.bounds
    bounds = (low, y0 - 1, high, y1 + 1) if axis == 0 else (x0 - 1, low, x1 + 1, high)
    clipped: Polygon = clip_by_rect(shape, *bounds)
    return clipped if clipped.is_valid else shared(shape, box(*bounds))


def _line(shape: Polygon, axis: int, place: float) -> Segment:
    x0, y0, x1, y1 = shape.bounds
    return ((place, y0), (place, y1)) if axis == 0 else ((x0, place), (x1, place))


def _chord(shape: Polygon, axis: int, place: float) -> float:
    a, b = _line(shape, axis, place)
    return float(shape.intersection(LineString([a, b])).length)


def _reach(outer: Polygon, places: Sequence[float]) -> _Reach:
    """Return a function that gives the extent across, between two places, of a shape whose cuts are square to x."""
    points = np.asarray(outer.exterior.coords)
    x, y = points[:, 0], points[:, 1]
    n = len(places)
    low, high = np.full(n, np.inf), np.full(n, -np.inf)
    between_low, between_high = np.full(n, np.inf), np.full(n, -np.inf)  # strictly between k and k + 1
    for k, place in enumerate(places):
        a, b = x[:-1] - place, x[1:] - place
        cross = (a * b <= 0) & (x[:-1] != x[1:])
        t = -a[cross] / (x[1:] - x[:-1])[cross]
        at = y[:-1][cross] + t * (y[1:] - y[:-1])[cross]
        on = np.concatenate([at, y[np.abs(x - place) < 1e-9]])
        if len(on):
            low[k], high[k] = on.min(), on.max()
        inside = y[(x > place) & (x < places[k + 1])] if k + 1 < n else y[:0]
        if len(inside):
            between_low[k], between_high[k] = inside.min(), inside.max()
    lows, highs = low.tolist(), high.tolist()
    bottom, top = between_low.tolist(), between_high.tolist()

    def reach(i: int, j: int) -> tuple[float, float]:
        return min(*lows[i : j + 1], *bottom[i:j]), max(*highs[i : j + 1], *top[i:j])

    return reach


def _candidates(ask: Ask, axis: int) -> list[float]:
    """Return the places to consider for seams square to the axis, the region's two ends included.

    Steps of the sheet and of what passes the way in are all kept, for without them there may be no answer; of the other
    places only so many as are worth weighing.
    """
    bounds = ask.outer.bounds
    low, high = bounds[axis], bounds[axis + 2]
    span = high - low
    steps_of = [*ask.limits.sheet, *_way_steps(ask, axis, span)]
    beneath = sorted(a for pair in _parallel(ask, axis) for a in pair)
    needed: list[float] = []
    other = [*ask.good[axis], *ask.framing[axis]]
    for size in steps_of:
        steps = ceil(span / size - 1e-9)
        needed += [low + k * size for k in range(1, steps)] + [low + k * span / steps for k in range(1, steps)]
        other += [high - k * size for k in range(1, steps)]
        other += [low + k * span / n for n in (steps + 1, steps + 2) for k in range(1, n)]
        if beneath:
            needed += [low + (k - 0.5) * size for k in range(1, steps + 1)]
    needed += [(a + b) / 2 for a, b in pairwise(beneath)]
    needed += ask.must[axis]
    other += [end for stretch in ask.keep_off[axis] for end in stretch]
    step = typical("stagger")
    other += [a + d for a in beneath for d in (-step, step)]
    front, least = ask.front.bounds, typical("min_strip")

    def inside(places: list[float]) -> list[float]:
        within = (p for p in places if front[axis] + least <= p <= front[axis + 2] - least)
        return sorted(p for p in within if not any(a < p < b for a, b in ask.keep_off[axis]))

    kept = _apart(inside(needed), 1e-3, [])
    rest, apart = inside(other), 1e-3
    more = _apart(rest, apart, kept)
    while len(more) > MOST_PLACES:
        apart = max(2 * apart, 0.01)
        more = _apart(rest, apart, kept)
    return [low, *sorted([*kept, *more]), high]


MOST_PLACES = 24
"""Most places that are weighed along one axis besides steps of the sheet and the way in. [-]"""


def _apart(places: Sequence[float], apart: float, kept: Sequence[float]) -> list[float]:
    """Return places at least so far from each other, and no two of these or the kept ones on one line."""
    found: list[float] = []
    for place in places:
        if (not found or place - found[-1] > apart) and all(abs(place - k) > 1e-3 for k in kept):
            found.append(place)
    return found


def _way_steps(ask: Ask, axis: int, span: float) -> list[float]:
    """Return the widths that pass the way in, for strips as long as the region or the sheet, where they bind. [m]"""
    bounds = ask.outer.bounds
    other = bounds[3 - axis] - bounds[1 - axis]
    found: list[float] = []
    for across in sorted({min(other, s) for s in ask.limits.sheet}):
        small, large = 0.0, min(span, max(ask.limits.sheet))
        if ask.limits.passes(large, across):
            continue
        while large - small > 0.005:
            middle = (small + large) / 2
            if ask.limits.passes(middle, across):
                small = middle
            else:
                large = middle
        small = floor(small * 1000) / 1000  # whole millimetres, as the limits remember them
        if small > typical("min_strip"):
            found.append(small)
    return found


def _parallel(ask: Ask, axis: int) -> list[tuple[float, float]]:
    """Return the places (at both ends) of the layer beneath's seams that run square to the axis."""
    found = []
    for p, q in ask.other:
        if abs(q[1 - axis] - p[1 - axis]) > 3 * abs(q[axis] - p[axis]):
            found.append((p[axis], q[axis]))
    return found


def _stagger(parallel: Sequence[tuple[float, float]], place: float) -> float:
    """Return the distance to the nearest seam of the layer beneath that runs the same way. [m]"""
    if not parallel:
        return float("inf")
    return float(np.abs(np.asarray(parallel) - place).min())


def least_offset(seams: Sequence[Segment], beneath: Sequence[Segment]) -> float:
    """Return the least distance between seams of two layers that run side by side; infinite where none do. [m]"""
    least = float("inf")
    for p, q in seams:
        ux, uy, length = unit(p, q)
        for a, b in beneath:
            vx, vy, _ = unit(a, b)
            if abs(ux * vy - uy * vx) > 0.3:
                continue
            ends = sorted((e[0] - p[0]) * ux + (e[1] - p[1]) * uy for e in (a, b))
            if min(ends[1], length) - max(ends[0], 0.0) < 0.05:
                continue
            least = min(least, *(abs((e[1] - p[1]) * ux - (e[0] - p[0]) * uy) for e in (a, b)))
    return least


SPIKE = 20.0
"""Extra cost of a seam that meets an edge at less than 15 degrees: the piece would end in a spike. [m]"""

SHALLOW = 0.26
"""Sine of the least angle at which a seam may meet an edge. [-]"""


def _shallow(front: Polygon, axis: int, place: float) -> int:
    """Return how many edges of the outline a seam meets at less than 15 degrees."""
    points = np.asarray(front.exterior.coords)
    steps = np.diff(points, axis=0)
    off = points[:, axis] - place
    meets = off[:-1] * off[1:] < 0
    across = np.abs(steps[:, axis]) < SHALLOW * np.hypot(steps[:, 0], steps[:, 1])
    return int((meets & across).sum())


TOO_NEAR = 6.0
"""Extra cost of a seam nearer to one beneath than the least stagger, per length of seam. [-]"""


def _seam_cost(ask: Ask, axis: int, place: float, parallel: Sequence[tuple[float, float]]) -> float:
    """Return the cost of a seam: its length, off framing, near the other layer's seams, near a notch. [m]"""
    length = _chord(ask.front, axis, place)
    cost = length
    framing = ask.framing[axis]
    if framing and min(abs(f - place) for f in framing) > 0.01:
        cost += typical("seam_off_framing_cost") * length
    wanted = typical("stagger")
    near = _stagger(parallel, place)
    if near < wanted:
        cost += length * (1 - near / wanted)
    if near < rate("stagger").low:
        cost += TOO_NEAR * length
    cost += SPIKE * _shallow(ask.front, axis, place)
    gaps = [abs(g - place) for g in ask.good[axis]]
    if gaps and 1e-3 < min(gaps) < typical("min_neck"):
        cost += 0.5
    return cost
