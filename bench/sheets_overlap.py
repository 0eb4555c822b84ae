"""A second way of laying, held against the engine: pieces may overlap at first and are pushed apart.

    python bench/sheets_overlap.py LISTS.json [--tries N] [name ...]

All pieces of a list lie on its sheets, over each other; one after the other, those that overlap are moved to where they
overlap least, on any sheet and in any turn they may have. What overlaps for long counts more and more, so that nothing
stays stuck (guided local search). Two convex parts overlap by the least shift that parts them. Three questions:

1. Are the engine's sheets found again, one by one, from nothing but their pieces?
2. Does one more piece go on a sheet of the engine's? Tried are the five largest pieces of the emptiest sheet that would
   fit by their area.
3. Is the whole list laid on as many sheets as the engine needs, and on one fewer? Given is the least overlap met.

If the answers are yes, no and no, better placing has nothing to win where the engine stopped. That is what was seen; it
proves nothing. Counted in passes over the pieces, so the same on any machine.
"""

import argparse
import json
import math
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numba import njit

from snugbay.base import Run
from snugbay.sheets import Budget, Instance, instances_from_json, lay
from snugbay.sheets.nest.items import single_items
from snugbay.sheets.nest.lay import warm
from snugbay.sheets.nest.problem import pose

PASSES = 200  # over all pieces, from one start
SAMPLES = 150  # places thrown for a piece, for each sheet but at least two
FINEST = 1e-4  # of a search unit (1/8 in on a sheet of 48 x 96 in): steps end here
ENOUGH = 1e-3  # overlap in search units that counts as none
HEAVIEST = 1e9
KEPT = 4  # best places that are refined
NEVER = 1e300


class Flat(NamedTuple):
    """Shapes: convex parts of each kind about its middle, grown by half the kerf."""

    corner: np.ndarray  # (kinds, parts, corners, 2)
    normal: np.ndarray  # the same, of the edge that starts there
    corners: np.ndarray  # (kinds, parts)
    parts: np.ndarray  # of each kind
    turn: np.ndarray  # (kinds, turns) radians
    turns: np.ndarray
    fits: np.ndarray  # a turn of each kind in which it fits on the sheet
    window: np.ndarray  # width and height of the sheet, grown by half the kerf at each side
    free: bool


class Table(NamedTuple):
    """Where all pieces lie."""

    kind: np.ndarray
    sheet: np.ndarray
    at: np.ndarray  # (pieces, 3) x, y, turn
    corner: np.ndarray  # (pieces, parts, corners, 2) as they lie
    normal: np.ndarray
    box: np.ndarray  # (pieces, parts + 1, 4) the last of the whole piece
    weight: np.ndarray  # (pieces, pieces)


def flat(instance: Instance) -> tuple[Flat, list[int]]:
    """Arrays of the shapes, and the kind of each piece."""
    problem = pose(instance, single_items(instance))
    shapes = problem.shapes
    kinds = len(problem.counts)
    plain = [int(shapes.kind_first[k]) for k in range(kinds)]
    spans = [range(int(shapes.part_first[v]), int(shapes.part_first[v + 1])) for v in plain]
    most = max(len(s) for s in spans)
    longest = int(np.diff(shapes.corner_first).max())
    corner, normal = np.zeros((kinds, most, longest, 2)), np.zeros((kinds, most, longest, 2))
    corners, parts = np.zeros((kinds, most), dtype=np.int64), np.zeros(kinds, dtype=np.int64)
    turns = []
    for k, span in enumerate(spans):
        x0, y0, x1, y1 = shapes.box[plain[k]]
        parts[k] = len(span)
        for p, part in enumerate(span):
            rows = shapes.corner[shapes.corner_first[part] : shapes.corner_first[part + 1]]
            corners[k, p] = len(rows)
            corner[k, p, : len(rows)] = rows[:, :2] - ((x0 + x1) / 2, (y0 + y1) / 2)
            normal[k, p, : len(rows)] = rows[:, 2:4]
        if instance.free:
            edges = problem.items[problem.of_kind[k][0][0]].outline
            slants = {math.atan2(b[1] - a[1], b[0] - a[0]) for a, b in zip(edges, edges[1:] + edges[:1], strict=True)}
            turns.append([q * math.pi / 2 - s for s in slants for q in range(4)])
        else:
            turns.append([math.radians(shapes.variant_angle[v]) for v in range(plain[k], shapes.kind_first[k + 1])])
    table = np.zeros((kinds, max(map(len, turns))))
    for k, own in enumerate(turns):
        table[k, : len(own)] = own
    window = problem.sizes.dims[0] + 2 * shapes.half_kerf
    kind_of = {item: k for k, rows in enumerate(problem.of_kind) for item, _, _ in rows}
    counts = np.array([len(own) for own in turns])
    ready = Flat(corner, normal, corners, parts, table, counts, np.zeros(kinds), window, instance.free)
    room = np.zeros((most, longest, 2)), np.zeros((most, longest, 2)), np.zeros((most + 1, 4))
    for k, own in enumerate(turns):
        ready.fits[k] = next(t for t in own if _within(ready, k, np.array([0.0, 0.0, t]), *room))
    return ready, [kind_of[n] for n in range(len(instance.pieces))]


@njit
def _roll(dice):
    s = dice[0]
    s ^= s << np.uint64(13)
    s ^= s >> np.uint64(7)
    s ^= s << np.uint64(17)
    dice[0] = s
    return float(s >> np.uint64(11)) / 9007199254740992.0


@njit
def _beyond(one, normal, n, two, m):
    """How far the second outline lies beyond the edge of the first that it is furthest beyond; below 0: none."""
    best = -NEVER
    for e in range(n):
        low = NEVER
        for k in range(m):
            low = min(low, normal[e, 0] * (two[k, 0] - one[e, 0]) + normal[e, 1] * (two[k, 1] - one[e, 1]))
        if low >= 0:
            return low
        best = max(best, low)
    return best


@njit
def _depth(one, one_normal, n, two, two_normal, m):
    """Least shift that parts two convex outlines: along a normal of one of their edges; 0 where they do not overlap."""
    first = _beyond(one, one_normal, n, two, m)
    if first >= 0:
        return 0.0
    second = _beyond(two, two_normal, m, one, n)
    return 0.0 if second >= 0 else -max(first, second)


@njit
def _lie(flat, kind, x, y, turn, corner, normal, box):
    """Write the outlines and boxes of a kind as it lies."""
    cos, sin = math.cos(turn), math.sin(turn)
    last = box.shape[0] - 1
    box[last, 0], box[last, 1], box[last, 2], box[last, 3] = NEVER, NEVER, -NEVER, -NEVER
    for p in range(flat.parts[kind]):
        box[p, 0], box[p, 1], box[p, 2], box[p, 3] = NEVER, NEVER, -NEVER, -NEVER
        for v in range(flat.corners[kind, p]):
            a, b = flat.corner[kind, p, v, 0], flat.corner[kind, p, v, 1]
            corner[p, v, 0], corner[p, v, 1] = a * cos - b * sin + x, a * sin + b * cos + y
            a, b = flat.normal[kind, p, v, 0], flat.normal[kind, p, v, 1]
            normal[p, v, 0], normal[p, v, 1] = a * cos - b * sin, a * sin + b * cos
            for c in range(2):
                box[p, c] = min(box[p, c], corner[p, v, c])
                box[p, 2 + c] = max(box[p, 2 + c], corner[p, v, c])
        for c in range(2):
            box[last, c] = min(box[last, c], box[p, c])
            box[last, 2 + c] = max(box[last, 2 + c], box[p, 2 + c])


@njit
def _meet(one, two):
    return one[0] < two[2] and two[0] < one[2] and one[1] < two[3] and two[1] < one[3]


@njit
def _overlap(flat, table, j, kind, corner, normal, box):
    """Overlap of a kind as it lies with piece j."""
    total = 0.0
    other = table.kind[j]
    if not _meet(box[-1], table.box[j, -1]):
        return total
    for p in range(flat.parts[kind]):
        for q in range(flat.parts[other]):
            if _meet(box[p], table.box[j, q]):
                total += _depth(
                    corner[p], normal[p], flat.corners[kind, p],
                    table.corner[j, q], table.normal[j, q], flat.corners[other, q],
                )  # fmt: skip
    return total


@njit
def _cost(flat, table, i, sheet, corner, normal, box, limit):
    """Weighted overlap of piece i with the others on a sheet; no further than the limit."""
    total = 0.0
    for j in range(len(table.kind)):
        if j != i and table.sheet[j] == sheet:
            total += table.weight[i, j] * _overlap(flat, table, j, table.kind[i], corner, normal, box)
            if total >= limit:
                break
    return total


@njit
def _within(flat, kind, at, corner, normal, box):
    """Lay a kind at a place, moved into the window where it sticks out; False where it is too large in this turn."""
    _lie(flat, kind, at[0], at[1], at[2], corner, normal, box)
    for c in range(2):
        if box[-1, 2 + c] - box[-1, c] > flat.window[c]:
            return False
        at[c] += max(0.0, -box[-1, c]) - max(0.0, box[-1, 2 + c] - flat.window[c])
    _lie(flat, kind, at[0], at[1], at[2], corner, normal, box)
    return True


@njit
def _refine(flat, table, i, sheet, at, now, corner, normal, box, dice):
    """Move and turn a piece by smaller and smaller steps while it overlaps less."""
    step, twist = 0.02 * flat.window[0], 0.05
    trial = np.zeros(3)
    while step > FINEST and now > 0:
        trial[:] = at
        if flat.free and _roll(dice) < 0.25:
            trial[2] += twist if _roll(dice) < 0.5 else -twist
        else:
            way = int(_roll(dice) * 4) * math.pi / 4 + (math.pi if _roll(dice) < 0.5 else 0.0)
            trial[0] += step * math.cos(way)
            trial[1] += step * math.sin(way)
        after = NEVER
        if _within(flat, table.kind[i], trial, corner, normal, box):
            after = _cost(flat, table, i, sheet, corner, normal, box, now)
        if after < now:
            now = after
            at[:] = trial
            step, twist = min(1.2 * step, 0.05 * flat.window[0]), min(1.2 * twist, 0.2)
        else:
            step, twist = 0.85 * step, 0.85 * twist
    return now


@njit
def _throw(flat, table, i, at, near, dice):
    """A place thrown: anywhere, or near where the piece lies."""
    kind = table.kind[i]
    at[2] = flat.turn[kind, int(_roll(dice) * flat.turns[kind])]
    if flat.free and _roll(dice) < 0.4:
        at[2] = table.at[i, 2] + 0.3 * (_roll(dice) - 0.5) if near else _roll(dice) * 2 * math.pi
    for c in range(2):
        at[c] = _roll(dice) * flat.window[c]
        if near:
            at[c] = table.at[i, c] + 0.3 * flat.window[0] * (_roll(dice) - 0.5)


@njit
def _move(flat, table, i, now, sheets, corner, normal, box, best, dice):
    """Look for a place where piece i overlaps less than now; take the best."""
    best[:, 0] = NEVER
    best[0, 0], best[0, 1], best[0, 2:] = now, table.sheet[i], table.at[i]
    at = np.zeros(3)
    for _ in range(SAMPLES * max(sheets, 2)):
        near = _roll(dice) < 0.25
        sheet = table.sheet[i] if near else int(_roll(dice) * sheets)
        _throw(flat, table, i, at, near, dice)
        if _within(flat, table.kind[i], at, corner, normal, box):
            cost = _cost(flat, table, i, sheet, corner, normal, box, best[-1, 0])
            row = len(best) - 1
            if cost < best[row, 0]:
                while row > 0 and best[row - 1, 0] > cost:
                    best[row] = best[row - 1]
                    row -= 1
                best[row, 0], best[row, 1], best[row, 2:] = cost, sheet, at
    for row in range(len(best)):
        if best[row, 0] < NEVER:
            best[row, 0] = _refine(
                flat, table, i, int(best[row, 1]), best[row, 2:], best[row, 0], corner, normal, box, dice
            )
    row = int(np.argmin(best[:, 0]))
    if best[row, 0] < now:
        table.sheet[i] = int(best[row, 1])
        table.at[i] = best[row, 2:]
        _within(flat, table.kind[i], table.at[i], table.corner[i], table.normal[i], table.box[i])


@njit
def _weigh(flat, table):
    """Make what overlaps weigh more, the rest a little less; give the overlap of all."""
    n = len(table.kind)
    each = np.zeros((n, n))
    for i in range(n):
        for j in range(i):
            if table.sheet[i] == table.sheet[j]:
                each[i, j] = _overlap(flat, table, j, table.kind[i], table.corner[i], table.normal[i], table.box[i])
    most = each.max()
    for i in range(n):
        for j in range(i):
            factor = 1.2 + 0.8 * each[i, j] / most if each[i, j] > 0 else 0.95
            table.weight[i, j] = min(max(1.0, factor * table.weight[i, j]), HEAVIEST)
            table.weight[j, i] = table.weight[i, j]
    return each.sum()


@njit
def push_apart(flat, table, sheets, passes, dice):
    """Push the pieces apart; give the least overlap met."""
    corner, normal = np.zeros(table.corner.shape[1:]), np.zeros(table.corner.shape[1:])
    box = np.zeros(table.box.shape[1:])
    best = np.zeros((KEPT, 5))
    for i in range(len(table.kind)):
        _within(flat, table.kind[i], table.at[i], table.corner[i], table.normal[i], table.box[i])
    least = NEVER
    for _ in range(passes):
        least = min(least, _weigh(flat, table))
        if least < ENOUGH:
            break
        first = int(_roll(dice) * len(table.kind))
        for k in range(len(table.kind)):
            i = (first + k) % len(table.kind)
            now = _cost(flat, table, i, table.sheet[i], table.corner[i], table.normal[i], table.box[i], NEVER)
            if now > 0:
                _move(flat, table, i, now, sheets, corner, normal, box, best, dice)
    return least


def least_overlap(flat: Flat, kinds: list[int], sheets: int, tries: int) -> float:
    """The least overlap of pieces of these kinds on so many sheets, in search units; from so many random starts."""
    kind = np.array(kinds)
    least = math.inf
    for seed in range(1, tries + 1):
        rng = np.random.default_rng(seed)
        at = np.stack([*(rng.uniform(0.2, 0.8, (2, len(kinds))) * flat.window[:, None]), flat.fits[kind]], axis=1)
        room = (len(kinds), *flat.corner.shape[1:])
        table = Table(
            kind, rng.integers(0, sheets, len(kinds)), at, np.zeros(room), np.zeros(room),
            np.zeros((len(kinds), room[1] + 1, 4)), np.ones((len(kinds), len(kinds))),
        )  # fmt: skip
        least = min(least, push_apart(flat, table, sheets, PASSES, rng.integers(1, 2**63, 1).astype(np.uint64)))
        if least < ENOUGH:
            break
    return least


def compare(instance: Instance, tries: int) -> str:
    """Answers to the three questions, in a line."""
    layout = lay(instance, Budget(Budget.of_seconds(10.0).work), Run(seed=0)).value
    shapes, kind = flat(instance)
    area = [float(np.abs(_area(piece))) / instance.sheet.area for piece in instance.pieces]
    sheets = sorted(([laid.piece for laid in s.laid] for s in layout.sheets), key=lambda s: -sum(area[p] for p in s))
    again = added = asked = 0
    for pieces in sheets[:-1]:
        again += least_overlap(shapes, [kind[p] for p in pieces], 1, tries) < ENOUGH
        room = 1.0 - sum(area[p] for p in pieces)
        more = {kind[p]: p for p in sheets[-1] if area[p] < room}
        for p in sorted(more.values(), key=lambda p: -area[p])[:5]:
            asked += 1
            added += least_overlap(shapes, [kind[q] for q in [*pieces, p]], 1, tries) < ENOUGH
    unit = max(instance.sheet.width, instance.sheet.height) / max(shapes.window)
    whole = [least_overlap(shapes, kind, len(sheets) - fewer, tries) * unit for fewer in (0, 1)]
    line = f"{instance.name}: {len(sheets)} sheets; {again} of {len(sheets) - 1} found again; further pieces that went"
    line += f" on: {added} of {asked}; least overlap of all on {len(sheets)} sheets {whole[0]:.2f}"
    return f"{line}, on {len(sheets) - 1} {whole[1]:.2f}"


def _area(outline):
    x, y = np.array(outline).T
    return (x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("lists", type=Path)
    parser.add_argument("names", nargs="*")
    parser.add_argument("--tries", type=int, default=3)
    chosen = parser.parse_args()
    warm()
    for instance in instances_from_json(json.loads(chosen.lists.read_text())):
        if not chosen.names or instance.name in chosen.names:
            print(compare(instance, chosen.tries), flush=True)


if __name__ == "__main__":
    main()
