"""Compiled: how well a piece lies at a place."""

from __future__ import annotations

from snugbay.sheets.nest.compiled import compiled
from snugbay.sheets.nest.places import SAME, Desk, refresh
from snugbay.sheets.nest.table import Floats, Ints, Shapes


@compiled
def contact(
    edge_first: Ints, edge_dir: Ints, edge: Floats, dirs: Floats, dir_opposite: Ints, half: float, width: float,
    height: float, placed: int, variants: Ints, at: Floats, variant: int, x: float, y: float,
) -> float:  # fmt: skip
    """Length of a piece's edges that lie along the sheet's edges or along pieces already there."""
    total = 0.0
    for e in range(edge_first[variant], edge_first[variant + 1]):
        d = edge_dir[e]
        nx, ny = dirs[d, 0], dirs[d, 1]
        off = edge[e, 0] + nx * x + ny * y
        shift = ny * -x + nx * y
        lo, hi = edge[e, 1] + shift, edge[e, 2] + shift
        if abs(nx) > 1 - 1e-12:
            if abs(off - half - (width if nx > 0 else 0.0)) < SAME:
                total += hi - lo
                continue
        elif abs(ny) > 1 - 1e-12 and abs(off - half - (height if ny > 0 else 0.0)) < SAME:
            total += hi - lo
            continue
        facing = dir_opposite[d]
        if facing < 0:
            continue
        for i in range(placed):
            v = variants[i]
            for f in range(edge_first[v], edge_first[v + 1]):
                if edge_dir[f] == facing:
                    px, py = at[i, 0], at[i, 1]
                    if abs(edge[f, 0] - nx * px - ny * py + off) < SAME:
                        move = ny * px - nx * py
                        a = max(lo, -(edge[f, 2] + move))
                        b = min(hi, -(edge[f, 1] + move))
                        if b > a:
                            total += b - a
    return total


@compiled
def best_place(shapes: Shapes, desk: Desk, kind: int, pull: Floats, best: Floats) -> int:
    """Find the best place for a kind; write score, x and y to `best`; return the variant or -1.

    The score is the share of the outline in contact, less a pull towards a corner or side: ``pull`` holds the weight of
    contact, and of x and y of the box's near corner and far corner as shares of the sheet.
    """
    found = -1
    top, top_x, top_y = -1e30, 0.0, 0.0
    width, height = desk.size[0], desk.size[1]
    weight = pull[0] / shapes.kind_perimeter[kind]
    for v in range(shapes.kind_first[kind], shapes.kind_first[kind + 1]):
        n = refresh(shapes, desk, v)
        if n == 0:
            continue
        place = desk.place[v]
        x0, y0, x1, y1 = shapes.box[v, 0], shapes.box[v, 1], shapes.box[v, 2], shapes.box[v, 3]
        for i in range(n):
            x, y = place[i, 0], place[i, 1]
            score = pull[1] * (x + x0) / width + pull[2] * (y + y0) / height
            score += pull[3] * (x + x1) / width + pull[4] * (y + y1) / height
            if weight > 0:
                score += weight * contact(
                    shapes.edge_first, shapes.edge_dir, shapes.edge, shapes.dirs, shapes.dir_opposite,
                    shapes.half_kerf, width, height, desk.tally[0], desk.variant, desk.at, v, x, y,
                )  # fmt: skip
            if score > top:
                top, top_x, top_y = score, x, y
                found = v
        edges = shapes.edge_first[v + 1] - shapes.edge_first[v]
        desk.tally[2] += n * (95 + edges * desk.tally[0]) if weight > 0 else n * 20
    best[0], best[1], best[2] = top, top_x, top_y
    return found
