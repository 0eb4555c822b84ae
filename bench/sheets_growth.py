"""How the time to a layout within 5 % of the best found grows with the number of pieces, 50 to 800.

    python bench/sheets_growth.py [seeds]

Piece lists are drawn by a seeded script like those of an insulating job: pieces between framing members, some
notched, and cheeks and gables with a skew side, on sheets of 48 x 96 in with a kerf of 1/8 in. For each size the list
is laid with budgets that double; the best number of sheets of all budgets is the reference, and the first budget that
comes within 5 % of it gives the time (of the processor, so that other work on the machine does not count). The slope
of log time over log pieces is fitted; the bar is 1.6.
"""

import random
import sys
import time

import numpy as np

from snugbay.base import Run
from snugbay.sheets import Budget, Instance, SheetSize, lay
from snugbay.sheets.nest.lay import warm

SIZES = (50, 100, 200, 400, 800)
DOUBLINGS = 9
FIRST = 500_000


def sixteenth(rng: random.Random, low: float, high: float) -> float:
    return round(rng.uniform(low, high) * 16) / 16


def notched(rng: random.Random, w: float, h: float) -> tuple[tuple[float, float], ...]:
    a, wide, deep = sixteenth(rng, 2, w - 6), rng.choice((1.5, 3.5)), rng.choice((3.5, 5.5, 7.25))
    return ((0, 0), (w, 0), (w, h), (a + wide, h), (a + wide, h - deep), (a, h - deep), (a, h), (0, h))


def piece(rng: random.Random) -> tuple[tuple[float, float], ...]:
    w, h = sixteenth(rng, 10, 80), rng.choice((14.5, 22.5, 30.5, sixteenth(rng, 8, 44)))
    kind = rng.random()
    if kind < 0.2:
        return notched(rng, w, h)
    if kind < 0.32:
        return ((0, 0), (w, 0), (w, h))
    if kind < 0.45:
        return ((0, 0), (w, 0), (max(w - h, 2), h), (0, h))
    return ((0, 0), (w, 0), (w, h), (0, h))


def instance(count: int, seed: int) -> Instance:
    rng = random.Random(f"growth/{count}/{seed}")
    outlines = tuple(tuple((float(x), float(y)) for x, y in piece(rng)) for _ in range(count))
    return Instance(f"growth-{count}-{seed}", SheetSize(48.0, 96.0), outlines, 0.125)


def first_within(count: int, seed: int) -> tuple[float, int]:
    runs = []
    for k in range(DOUBLINGS):
        start = time.process_time()
        layout = lay(instance(count, seed), Budget(FIRST * 2**k), Run(seed=seed)).value
        runs.append((time.process_time() - start, len(layout.sheets)))
        if layout.ended == "bound":
            break
    best = min(n for _, n in runs)
    seconds, sheets = next(r for r in runs if r[1] <= 1.05 * best)
    print(
        f"{count:4d} pieces, seed {seed}: best {best}, first within 5 %: {sheets} sheets in {seconds:.2f} s", flush=True
    )
    return seconds, best


def main() -> None:
    seeds = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    warm()
    logs = []
    for count in SIZES:
        for seed in range(1, seeds + 1):
            seconds, _ = first_within(count, seed)
            logs.append((np.log(count), np.log(max(seconds, 1e-3))))
    slope, level = np.polyfit([a for a, _ in logs], [b for _, b in logs], 1)
    print(f"time grows as n^{slope:.2f} (bar: n^1.6); 100 pieces in {np.exp(level + slope * np.log(100)):.2f} s")


if __name__ == "__main__":
    main()
