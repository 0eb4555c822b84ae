"""A lower bound on the sheets of a list, from what cannot lie together on one sheet.

    python bench/sheets_bound.py LISTS.json [name ...]

Written apart from the layout engine (shapely, and HiGHS for the linear program), so that it can be held against it.
Only for lists in quarter turns. Nothing here is a guess: whatever is ruled out is ruled out for every position.

1. Two pieces, each in a given turn: the displacements at which they overlap or are nearer than the kerf are the sum of
   one and the mirrored other, widened by the kerf; those at which both are within one sheet are a rectangle. If the
   first covers the second, the two never share a sheet in these turns. Otherwise one of them lies left, right, below or
   above by at least what the largest rectangle inside both leaves.
2. Several pieces: one of those four for each pair. Each choice is a system of differences in x and one in y; where no
   choice holds in any turns, these pieces never share a sheet.
3. A linear program over all sets of large pieces that were not ruled out: each large piece on a sheet, and room (by
   area) for all the small ones. The sheets it needs, rounded up, are the bound.
"""

import itertools
import json
import math
import sys
import time
from collections import Counter
from pathlib import Path

import highspy
import numpy as np
import shapely
from shapely import affinity

MOST_SETS = 2000  # large pieces are added until there are more sets than this
FULL = 0.35  # with less room than this beside one large piece, only small ones that go beside it count
MOST_STEPS = 200_000  # of choosing sides for a pair; after so many, nothing further is ruled out and the search ends
MOST_RECTANGLES = 6  # for a pair in given turns
BEYOND = 0.01  # of the window's longer side: by so much each reaches beyond the others
MOST_TOGETHER = 4  # sets of more pieces than this are not examined as a whole, only their parts
SAFE = 1e-6  # taken off whatever rules out, so that rounding never does

Turned = list[shapely.Polygon]
Ways = tuple[tuple[int, int, int, float], ...]
"""Each way: axis (0 x, 1 y), from which of the two (0, 1) to which, the least difference."""


def kinds_of(inst):
    """Different shapes with how many there are of each, the largest first."""
    count = Counter(json.dumps(p) for p in inst["pieces"])
    kinds = [(shapely.Polygon(json.loads(k)), n) for k, n in count.items()]
    return sorted(kinds, key=lambda k: -k[0].area)


def turns_of(piece, rotations) -> Turned:
    """Its different turns that fit the sheet's box anyhow, each with its box at (0, 0)."""
    found: Turned = []
    for angle in rotations:
        p = affinity.rotate(piece, angle, origin=(0, 0))
        p = affinity.translate(p, -p.bounds[0], -p.bounds[1])
        if all(p.symmetric_difference(q).area > 1e-6 for q in found):
            found.append(p)
    return found


def triangles(piece):
    return [np.array(t.exterior.coords[:3]) for t in shapely.constrained_delaunay_triangles(piece).geoms]


def clash(fixed, moving, kerf):
    """Displacements of `moving` at which the two are nearer than the kerf (a part of them, never more)."""
    sums = [
        shapely.MultiPoint((a[:, None, :] - b[None, :, :]).reshape(-1, 2)).convex_hull
        for a in triangles(fixed)
        for b in triangles(moving)
    ]
    whole = shapely.union_all(sums)
    return shapely.buffer(whole, kerf - SAFE, quad_segs=4) if kerf > 0 else shapely.buffer(whole, -SAFE)


def rectangles(region, window):
    """Large rectangles of the window that lie in the region, as x0, y0, x1, y1.

    The largest, and then the largest of those that reach well beyond the ones before to some side.
    """
    wx0, wy0, wx1, wy1 = window
    ys = {wy0, wy1}
    for poly in getattr(region, "geoms", [region]):
        for ring in (poly.exterior, *poly.interiors):
            ys |= {y for _, y in ring.coords if wy0 < y < wy1}
    steps = sorted(ys)
    if len(steps) > 10:
        steps = [steps[round(i * (len(steps) - 1) / 9)] for i in range(10)]
    steps = sorted({*steps, *np.linspace(wy0, wy1, 7)})
    found = []
    for y0, y1 in itertools.combinations(steps, 2):
        free = shapely.box(wx0, y0, wx1, y1).difference(region)
        spans = sorted((g.bounds[0], g.bounds[2]) for g in getattr(free, "geoms", [free]) if not g.is_empty)
        at = wx0
        for a, b in [*spans, (wx1, wx1)]:
            if a > at:
                found.append((at, y0, a, y1))
            at = max(at, b)
    found.sort(key=lambda r: (r[0] - r[2]) * (r[3] - r[1]))
    kept, least = [], BEYOND * max(wx1 - wx0, wy1 - wy0)
    for r in found:
        if len(kept) == MOST_RECTANGLES:
            break
        if all(max(k[0] - r[0], k[1] - r[1], r[2] - k[2], r[3] - k[3]) > least for k in kept):
            kept.append(r)
    return kept


def ways(fixed, moving, sheet, kerf) -> list[Ways] | None:
    """How `moving` may lie to `fixed` on one sheet: one of the ways of each list holds. None: not at all."""
    w, h = sheet
    _, _, fw, fh = fixed.bounds
    _, _, mw, mh = moving.bounds
    window = (fw - w - SAFE, fh - h - SAFE, w - mw + SAFE, h - mh + SAFE)
    if max(fw, mw) > w + SAFE or max(fh, mh) > h + SAFE:
        return None
    region = clash(fixed, moving, kerf)
    if shapely.box(*window).difference(region).area < SAFE * SAFE:
        return None
    lists = []
    for x0, y0, x1, y1 in rectangles(region, window):
        options = []
        if x1 < window[2]:
            options.append((0, 0, 1, x1))
        if x0 > window[0]:
            options.append((0, 1, 0, -x0))
        if y1 < window[3]:
            options.append((1, 0, 1, y1))
        if y0 > window[1]:
            options.append((1, 1, 0, -y0))
        lists.append(tuple(options))
    return lists


class Together:
    """Which sets of pieces may share a sheet."""

    def __init__(self, kinds, inst) -> None:
        self.sheet = tuple(map(float, inst["sheet"]))
        self.kerf = float(inst.get("kerf") or 0.0)
        self.turned = [turns_of(k, inst.get("rotations") or [0, 90, 180, 270]) for k, _ in kinds]
        self.count = [n for _, n in kinds]
        grown = [shapely.buffer(k, self.kerf / 2, quad_segs=4).area for k, _ in kinds]
        self.room = (self.sheet[0] + self.kerf) * (self.sheet[1] + self.kerf)
        self.area = grown
        self.pair: dict[tuple[int, int, int, int], list[Ways] | None] = {}
        self.known: dict[tuple[int, ...], bool] = {(): True}
        self.steps = 0

    def ways(self, i: int, a: int, j: int, b: int) -> list[Ways] | None:
        key = (i, a, j, b)
        if key not in self.pair:
            self.pair[key] = ways(self.turned[i][a], self.turned[j][b], self.sheet, self.kerf)
        return self.pair[key]

    def may(self, kinds: tuple[int, ...]) -> bool:
        """Whether a sorted set of kinds (with repeats) was not ruled out."""
        if kinds not in self.known:
            self.known[kinds] = (
                sum(self.area[k] for k in kinds) <= self.room + SAFE
                and all(self.may(kinds[:n] + kinds[n + 1 :]) for n in range(len(kinds)))
                and (len(kinds) > MOST_TOGETHER or self._lies(kinds))
            )
        return self.known[kinds]

    def _lies(self, kinds: tuple[int, ...]) -> bool:
        turns = [range(len(self.turned[k])) for k in kinds]
        return any(self._in_turns(kinds, t) for t in itertools.product(*turns))

    def _in_turns(self, kinds, turns) -> bool:
        n = len(kinds)
        size = [self.turned[k][t].bounds[2:] for k, t in zip(kinds, turns, strict=True)]
        if any(s[axis] > self.sheet[axis] + SAFE for s in size for axis in (0, 1)):
            return False
        pairs = []
        for i, j in itertools.combinations(range(n), 2):
            options = self.ways(kinds[i], turns[i], kinds[j], turns[j])
            if options is None:
                return False
            pairs += [(len(o), i, j, o) for o in options]
        pairs.sort(key=lambda p: p[0])
        # least[axis][u][v]: p_v - p_u is at least this; node n is the sheet's lower edge
        least = np.full((2, n + 1, n + 1), -np.inf)
        for axis in (0, 1):
            for i in range(n):
                least[axis, i, i] = least[axis, n, i] = 0.0
                least[axis, i, n] = size[i][axis] - self.sheet[axis] - SAFE
            least[axis, n, n] = 0.0
            for u, v in itertools.permutations(range(n), 2):
                least[axis, u, v] = least[axis, u, n] + least[axis, n, v]
        return self._choose(least, [p[1:] for p in pairs])

    def _choose(self, least, pairs) -> bool:
        self.steps += 1
        if not pairs or self.steps > MOST_STEPS:
            return True
        i, j, options = pairs[0]
        for axis, first, second, step in options:
            u, v = (i, j)[first], (i, j)[second]
            if least[axis, v, u] + step > SAFE:
                continue
            after = least.copy()
            after[axis] = np.maximum(after[axis], least[axis][:, [u]] + step + least[axis][[v], :])
            if self._choose(after, pairs[1:]):
                return True
        return False

    def sets(self, large: int) -> list[tuple[int, ...]] | None:
        """All sets of the first so many kinds that may share a sheet; None where they are too many."""
        found: list[tuple[int, ...]] = [()]
        for kinds in found:
            for k in range(kinds[-1] if kinds else 0, large):
                if kinds.count(k) < self.count[k] and self.may((*kinds, k)):
                    found.append((*kinds, k))
                    if len(found) > MOST_SETS or self.steps > MOST_STEPS:
                        return None
        return found


def program(together: Together, sets: list[tuple[int, ...]], large: int) -> float:
    """Sheets that the linear program needs."""
    small = range(large, len(together.count))
    area = np.array(together.area)
    solver = highspy.Highs()
    solver.setOptionValue("output_flag", False)
    columns = np.zeros((large + 1, len(sets)))
    for n, kinds in enumerate(sets):
        for k in kinds:
            columns[k, n] += 1
        room = together.room - sum(area[k] for k in kinds)
        if len(kinds) == 1 and room < FULL * together.room:
            room = min(room, sum(area[k] * together.count[k] for k in small if together.may((kinds[0], k))))
        columns[large, n] = room
    needs = [*together.count[:large], sum(area[k] * together.count[k] for k in small)]
    for _ in sets:
        solver.addVar(0.0, highspy.kHighsInf)
    for n in range(len(sets)):
        solver.changeColCost(n, 1.0)
    for row, need in zip(columns, needs, strict=True):
        used = np.nonzero(row)[0].astype(np.int32)
        solver.addRow(float(need), highspy.kHighsInf, len(used), used, row[used])
    solver.run()
    return float(solver.getInfo().objective_function_value)


def bound(inst) -> tuple[float, int]:
    """Sheets by the program (not rounded), and how many kinds counted as large."""
    kinds = kinds_of(inst)
    together = Together(kinds, inst)
    best, at = 0.0, 0
    for large in range(2, len(kinds) + 1):
        sets = together.sets(large)
        if sets is None:
            break
        need = program(together, sets, large)
        if need > best + 1e-9:
            best, at = need, large
    return best, at


def main() -> None:
    lists = json.loads(Path(sys.argv[1]).read_text())
    total = 0
    for inst in lists if isinstance(lists, list) else [lists]:
        if inst.get("rotations") == "free" or (sys.argv[2:] and inst["name"] not in sys.argv[2:]):
            continue
        by_area = math.ceil(sum(together_area(inst)) - 1e-9)
        start = time.process_time()
        need, large = bound(inst)
        sheets = max(by_area, math.ceil(need - 1e-6))
        total += sheets
        print(
            f"{inst['name']}: at least {sheets} sheets ({need:.3f} by {large} large kinds; {by_area} by area alone), "
            f"{time.process_time() - start:.0f} s",
            flush=True,
        )
    print(f"in total at least {total}")


def together_area(inst):
    """Share of a sheet of each piece, grown by half the kerf as the sheet is."""
    kerf = float(inst.get("kerf") or 0.0)
    room = (inst["sheet"][0] + kerf) * (inst["sheet"][1] + kerf)
    return [shapely.buffer(shapely.Polygon(p), kerf / 2, quad_segs=4).area / room for p in inst["pieces"]]


if __name__ == "__main__":
    main()
