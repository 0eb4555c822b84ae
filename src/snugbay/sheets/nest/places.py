"""Compiled: where a piece may lie on a sheet that already holds others (no-fit polygons, exact to rounding).

A piece is moved by its reference point (the origin of its outline). The points where it touches nothing are bounded by
the no-fit polygons of the pieces already there; the corners of that free region are the places tried. All are kept per
variant and only brought up to date with the pieces added since.

The inner functions are handed bare arrays: handing them a whole `Desk` costs more than what they do.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from snugbay.sheets.nest.compiled import compiled
from snugbay.sheets.nest.table import Floats, Ints, Shapes

EPS = 1e-5  # overlap taken as touching; sheets are 512 to 1024 units long
SAME = 1e-3  # distance within which edges count as laid together
SHORT = 1e-4  # places nearer than this are one
MOST_PLACES = 256
MOST_POLYS = 4096
MOST_CORNERS = 49152
MOST_GAPS = 512


class Sizes(NamedTuple):
    """Sheet sizes; size 0 is the one of which there are as many as needed."""

    dims: Floats  # (sizes, 2)
    area: Floats  # less the spoiled zones
    zone_first: Ints  # zones of size k: zone_first[k] .. zone_first[k + 1]
    zones: Floats  # (n, 4) x0 y0 x1 y1, shrunk by up to half the kerf
    zone_corner: Floats  # (4 n, 5) the same as corners of parts


class Desk(NamedTuple):
    """A sheet under construction, and scratch room."""

    size: Floats  # width, height
    tally: Ints  # [placed, listed variants, work, first spoiled zone, end of the spoiled zones]
    variant: Ints  # of each placed piece
    at: Floats  # (pieces, 2)
    spoiled: Floats  # (n, 4) x0 y0 x1 y1 of all sizes, shrunk by up to half the kerf
    spoiled_corner: Floats
    known: Ints  # per variant: placed pieces its places account for, -1 none yet
    listed: Ints  # variants to be reset
    places: Ints  # per variant: count
    place: Floats  # (variants, MOST_PLACES, 2)
    poly_first: Ints
    poly_box: Floats
    poly_new: Ints
    poly: Floats  # (corners, 5) x, y, and the normal and offset of the edge that starts there
    gaps: Floats  # (MOST_GAPS, 4) blocked stretches of an edge: from, to less the tolerance; from, to


def new_desk(variants: int, pieces: int, sizes: Sizes) -> Desk:
    """Make a desk for so many variants and pieces on one sheet."""
    return Desk(
        np.zeros(2),
        np.zeros(5, dtype=np.int64),
        np.zeros(pieces, dtype=np.int64),
        np.zeros((pieces, 2)),
        sizes.zones,
        sizes.zone_corner,
        np.full(variants, -1, dtype=np.int64),
        np.zeros(variants, dtype=np.int64),
        np.zeros(variants, dtype=np.int64),
        np.zeros((variants, MOST_PLACES, 2)),
        np.zeros(MOST_POLYS + 1, dtype=np.int64),
        np.zeros((MOST_POLYS, 4)),
        np.zeros(MOST_POLYS, dtype=np.int64),
        np.zeros((MOST_CORNERS, 5)),
        np.zeros((MOST_GAPS, 4)),
    )


@compiled
def clear(desk: Desk, sizes: Sizes, size: int) -> None:
    """Take a fresh sheet."""
    for i in range(desk.tally[1]):
        desk.known[desk.listed[i]] = -1
        desk.places[desk.listed[i]] = 0
    desk.tally[0] = 0
    desk.tally[1] = 0
    desk.tally[3] = sizes.zone_first[size]
    desk.tally[4] = sizes.zone_first[size + 1]
    desk.size[0] = sizes.dims[size, 0]
    desk.size[1] = sizes.dims[size, 1]


@compiled
def put(desk: Desk, variant: int, x: float, y: float) -> None:
    """Lay a piece down (whether it fits is the caller's business)."""
    n = desk.tally[0]
    desk.variant[n] = variant
    desk.at[n, 0] = x
    desk.at[n, 1] = y
    desk.tally[0] = n + 1


@compiled
def _no_fit(
    corner: Floats, a0: int, a1: int, x: float, y: float, mirror: Floats, b0: int, b1: int, poly: Floats, at: int
) -> int:
    """Write the no-fit polygon of a placed part against a part to be placed from corner `at` on; return its end."""
    i, j = a0, b0
    while i < a1 or j < b1:
        ka = corner[i, 4] if i < a1 else 9.0
        kb = mirror[j, 4] if j < b1 else 9.0
        fa = i if i < a1 else a0
        fb = j if j < b1 else b0
        cx = corner[fa, 0] + x + mirror[fb, 0]
        cy = corner[fa, 1] + y + mirror[fb, 1]
        if ka <= kb + 1e-9:
            nx, ny = corner[i, 2], corner[i, 3]
            i += 1
            if kb <= ka + 1e-9:
                j += 1
        else:
            nx, ny = mirror[j, 2], mirror[j, 3]
            j += 1
        poly[at, 0] = cx
        poly[at, 1] = cy
        poly[at, 2] = nx
        poly[at, 3] = ny
        poly[at, 4] = nx * cx + ny * cy
        at += 1
    return at


@compiled
def _inside(poly: Floats, first: int, last: int, x: float, y: float) -> bool:
    """Whether a point lies truly inside a no-fit polygon."""
    for k in range(first, last):  # noqa: SIM110 (the compiler takes no generators)
        if poly[k, 2] * x + poly[k, 3] * y - poly[k, 4] > -EPS:
            return False
    return True


@compiled
def _keep(place: Floats, n: int, x: float, y: float) -> int:
    """Add a place unless it is known; return how many there are."""
    for i in range(n):
        if abs(place[i, 0] - x) < SHORT and abs(place[i, 1] - y) < SHORT:
            return n
    if n < MOST_PLACES:
        place[n, 0] = x
        place[n, 1] = y
        return n + 1
    return n


@compiled
def _gather(
    shapes: Shapes, desk: Desk, variant: int, fx0: float, fy0: float, fx1: float, fy1: float, since: int
) -> int:
    """Write the no-fit polygons of all that lies there against a variant; return how many."""
    count = 0
    at = 0
    part_first, part_box, corner_first = shapes.part_first, shapes.part_box, shapes.corner_first
    corner, mirror = shapes.corner, shapes.mirror
    poly, poly_box, poly_first, poly_new = desk.poly, desk.poly_box, desk.poly_first, desk.poly_new
    poly_first[0] = 0
    for p in range(part_first[variant], part_first[variant + 1]):
        bx0, by0, bx1, by1 = part_box[p, 0], part_box[p, 1], part_box[p, 2], part_box[p, 3]
        b0, b1 = corner_first[p], corner_first[p + 1]
        for i in range(desk.tally[0]):
            x, y = desk.at[i, 0], desk.at[i, 1]
            placed = desk.variant[i]
            for q in range(part_first[placed], part_first[placed + 1]):
                x0, y0 = x + part_box[q, 0] - bx1, y + part_box[q, 1] - by1
                x1, y1 = x + part_box[q, 2] - bx0, y + part_box[q, 3] - by0
                if x0 > fx1 or x1 < fx0 or y0 > fy1 or y1 < fy0:
                    continue
                if count >= MOST_POLYS or at + 64 > MOST_CORNERS:
                    return -1
                at = _no_fit(corner, corner_first[q], corner_first[q + 1], x, y, mirror, b0, b1, poly, at)
                poly_box[count, 0], poly_box[count, 1], poly_box[count, 2], poly_box[count, 3] = x0, y0, x1, y1
                poly_new[count] = 1 if i >= since else 0
                count += 1
                poly_first[count] = at
        for z in range(desk.tally[3], desk.tally[4]):
            x0, y0 = desk.spoiled[z, 0] - bx1, desk.spoiled[z, 1] - by1
            x1, y1 = desk.spoiled[z, 2] - bx0, desk.spoiled[z, 3] - by0
            if x0 > fx1 or x1 < fx0 or y0 > fy1 or y1 < fy0:
                continue
            if count >= MOST_POLYS or at + 64 > MOST_CORNERS:
                return -1
            at = _no_fit(desk.spoiled_corner, 4 * z, 4 * z + 4, 0.0, 0.0, mirror, b0, b1, poly, at)
            poly_box[count, 0], poly_box[count, 1], poly_box[count, 2], poly_box[count, 3] = x0, y0, x1, y1
            poly_new[count] = 1 if since < 0 else 0
            count += 1
            poly_first[count] = at
    return count


@compiled
def refresh(shapes: Shapes, desk: Desk, variant: int) -> int:
    """Bring the places of a variant up to date; return how many there are."""
    since = int(desk.known[variant])
    if since == desk.tally[0]:
        return int(desk.places[variant])
    desk.known[variant] = desk.tally[0]
    if since < 0:
        desk.listed[desk.tally[1]] = variant
        desk.tally[1] += 1
    elif desk.places[variant] == 0:
        return 0
    fx0, fy0 = -shapes.box[variant, 0], -shapes.box[variant, 1]
    fx1, fy1 = desk.size[0] - shapes.box[variant, 2], desk.size[1] - shapes.box[variant, 3]
    if fx1 < fx0 - EPS or fy1 < fy0 - EPS:
        desk.places[variant] = 0
        return 0
    fx1 = max(fx1, fx0)
    fy1 = max(fy1, fy0)
    polys = _gather(shapes, desk, variant, fx0, fy0, fx1, fy1, since)
    if polys < 0:
        desk.places[variant] = 0
        return 0
    place = desk.place[variant]
    poly, poly_box, poly_first, poly_new, gaps = desk.poly, desk.poly_box, desk.poly_first, desk.poly_new, desk.gaps
    work = 20 + 12 * polys  # in nanoseconds, roughly: fitted to what the parts of the search take
    n = desk.places[variant]
    if since < 0:
        n = _keep(place, 0, fx0, fy0)
        n = _keep(place, n, fx1, fy0)
        n = _keep(place, n, fx0, fy1)
        n = _keep(place, n, fx1, fy1)
    kept = 0
    for i in range(n):
        x, y = place[i, 0], place[i, 1]
        clear_of_all = True
        for q in range(polys):
            if (
                poly_new[q]
                and poly_box[q, 0] + EPS < x < poly_box[q, 2] - EPS
                and poly_box[q, 1] + EPS < y < poly_box[q, 3] - EPS
                and _inside(poly, poly_first[q], poly_first[q + 1], x, y)
            ):
                clear_of_all = False
                break
        if clear_of_all:
            place[kept, 0] = x
            place[kept, 1] = y
            kept += 1
    n = kept
    for q in range(polys):
        if poly_new[q]:
            first, last = poly_first[q], poly_first[q + 1]
            for k in range(first, last):
                nxt = k + 1 if k + 1 < last else first
                n = _trim(place, n, q, polys, k, nxt, fx0, fy0, fx1, fy1, poly, poly_box, poly_first, gaps)
            work += (last - first) * (21 + 7 * polys)
    desk.places[variant] = n
    desk.tally[2] += work
    return n


@compiled
def _blocked(
    poly: Floats, first: int, last: int, ax: float, ay: float, dx: float, dy: float, lo: float, hi: float
) -> tuple[float, float, float, float]:
    """Stretch of an edge that lies truly inside a no-fit polygon, less the tolerance; the same without it.

    Empty (from not below to) where there is none between `lo` and `hi`.
    """
    t0, t1, s0, s1 = -1e30, 1e30, -1e30, 1e30
    for k in range(first, last):
        nx, ny = poly[k, 2], poly[k, 3]
        f = nx * ax + ny * ay - poly[k, 4]
        g = nx * dx + ny * dy
        if abs(g) < 1e-9:
            if f >= -EPS:
                return 0.0, -1.0, 0.0, 0.0
        else:
            t = (-f - EPS) / g
            if g > 0 and t < t1:
                t1, s1 = t, -f / g
            elif g < 0 and t > t0:
                t0, s0 = t, -f / g
        if t0 >= t1 or t0 >= hi or t1 <= lo:
            return 0.0, -1.0, 0.0, 0.0
    return t0, t1, s0, s1


@compiled
def _trim(
    place: Floats, n: int, own: int, polys: int, k0: int, k1: int, fx0: float, fy0: float, fx1: float, fy1: float,
    poly: Floats, poly_box: Floats, poly_first: Ints, gaps: Floats,
) -> int:  # fmt: skip
    """Keep the ends of what is left of an edge once all other no-fit polygons are taken off; return the places."""
    ax, ay, bx, by = poly[k0, 0], poly[k0, 1], poly[k1, 0], poly[k1, 1]
    if max(ax, bx) < fx0 - EPS or min(ax, bx) > fx1 + EPS or max(ay, by) < fy0 - EPS or min(ay, by) > fy1 + EPS:
        return n
    dx, dy = bx - ax, by - ay
    lo, hi = 0.0, 1.0
    if abs(dx) < 1e-12:
        if ax < fx0 - EPS or ax > fx1 + EPS:
            return n
    else:
        s, t = (fx0 - ax) / dx, (fx1 - ax) / dx
        lo, hi = max(lo, min(s, t)), min(hi, max(s, t))
    if abs(dy) < 1e-12:
        if ay < fy0 - EPS or ay > fy1 + EPS:
            return n
    else:
        s, t = (fy0 - ay) / dy, (fy1 - ay) / dy
        lo, hi = max(lo, min(s, t)), min(hi, max(s, t))
    if lo > hi:
        if (lo - hi) * (abs(dx) + abs(dy)) > 4 * EPS:
            return n
        lo = hi = min(max((lo + hi) / 2, 0.0), 1.0)
    ex0, ex1 = min(ax + lo * dx, ax + hi * dx), max(ax + lo * dx, ax + hi * dx)
    ey0, ey1 = min(ay + lo * dy, ay + hi * dy), max(ay + lo * dy, ay + hi * dy)
    found = 0
    for q in range(polys):
        if q == own or ex1 <= poly_box[q, 0] + EPS or ex0 >= poly_box[q, 2] - EPS:
            continue
        if ey1 <= poly_box[q, 1] + EPS or ey0 >= poly_box[q, 3] - EPS:
            continue
        t0, t1, s0, s1 = _blocked(poly, poly_first[q], poly_first[q + 1], ax, ay, dx, dy, lo, hi)
        if t0 >= t1:
            continue
        if t0 < lo and t1 > hi:
            return n
        if found < MOST_GAPS:
            at = found
            while at > 0 and gaps[at - 1, 0] > t0:
                gaps[at, 0], gaps[at, 1], gaps[at, 2], gaps[at, 3] = (
                    gaps[at - 1, 0], gaps[at - 1, 1], gaps[at - 1, 2], gaps[at - 1, 3],
                )  # fmt: skip
                at -= 1
            gaps[at, 0], gaps[at, 1], gaps[at, 2], gaps[at, 3] = t0, t1, s0, s1
            found += 1
    at_t, at_s = lo, lo  # start of the free stretch, less the tolerance and without it
    length = max(abs(dx), abs(dy))
    for i in range(found + 1):
        last = i == found
        start, end = (hi, hi) if last else (gaps[i, 0], gaps[i, 2])
        if start >= at_t:
            near = (end + at_s) / 2 if end <= at_s and not last else min(at_s, hi)
            n = _keep(place, n, min(max(ax + near * dx, fx0), fx1), min(max(ay + near * dy, fy0), fy1))
            if (end - at_s) * length > SHORT:
                n = _keep(place, n, min(max(ax + end * dx, fx0), fx1), min(max(ay + end * dy, fy0), fy1))
        if not last and gaps[i, 1] > at_t:
            at_t, at_s = gaps[i, 1], gaps[i, 3]
    return n
