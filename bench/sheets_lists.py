"""Seeded lists of pieces like those of an insulating job, for the benchmarks of the layout engine.

    python bench/sheets_lists.py OUT.json [seeds]

Boards between framing members, most of them with notches, sloping ends, cheeks and gables, narrow strips, whole panels
and small fillers, some two or three times over; lengths to a sixteenth of an inch, any quarter turn, sheets of 48 x 96
in with a kerf of 1/8 in. The shares of each are guesses that give lists like the six of `trade-dev.json`.
"""

import json
import random
import sys
from pathlib import Path

import shapely

SHEET, KERF = (48.0, 96.0), 0.125
SIZES = (16, 24, 34, 48, 70, 110)
BAYS = (14.5, 14.5, 14.5, 14.25, 22.5, 22.5, 22.75, 30.5)
WIDE = (1.5, 3.0, 3.5, 5.5)
DEEP = (1.5, 3.5, 5.5, 7.25)

Outline = list[tuple[float, float]]


def sixteenth(rng: random.Random, low: float, high: float) -> float:
    return round(rng.uniform(low, high) * 16) / 16


def plain(w: float, h: float) -> Outline:
    return [(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)]


def notched(rng: random.Random, w: float, h: float) -> Outline:
    top: Outline = []
    at, n = 0.0, rng.choice((1, 1, 2, 3))
    for _ in range(n):
        start = at + sixteenth(rng, 1.0, w / (n + 1))
        wide = rng.choice(WIDE) + (sixteenth(rng, 0, 3) if rng.random() < 0.3 else 0.0)
        low = h - min(rng.choice(DEEP), round(h * 8) / 16)
        skew = sixteenth(rng, 0, 0.4 * wide) if rng.random() < 0.35 else 0.0
        if start + wide > w - 1:
            break
        top += [(start, h), (start + skew, low), (start + wide - skew / 2, low), (start + wide, h)]
        at = start + wide + 1
    return [(0.0, 0.0), (w, 0.0), (w, h), *reversed(top), (0.0, h)]


def sloping(rng: random.Random, w: float, h: float) -> Outline:
    s = min(rng.choice((h, h / 2, sixteenth(rng, 4, h))), w - 4)
    return (
        [(0.0, 0.0), (w, 0.0), (w - s, h), (0.0, h)] if rng.random() < 0.5 else [(s, 0.0), (w, 0.0), (w, h), (0.0, h)]
    )


def triangle(rng: random.Random) -> Outline:
    a, b = sixteenth(rng, 10, 47), sixteenth(rng, 10, 70)
    tip = sixteenth(rng, 0, b) if rng.random() < 0.25 else rng.choice((0.0, b))
    return [(0.0, 0.0), (b, 0.0), (tip, a)]


def piece(rng: random.Random) -> Outline:
    long, bay, kind = sixteenth(rng, 20, 85), rng.choice(BAYS), rng.random()
    if kind < 0.22:
        return plain(long, bay)
    if kind < 0.47:
        return notched(rng, long, bay)
    if kind < 0.60:
        return sloping(rng, long, bay)
    if kind < 0.75:
        return triangle(rng)
    if kind < 0.81:
        return plain(sixteenth(rng, 28, 93), sixteenth(rng, 1.6, 5.5))
    if kind < 0.88:
        w, h = sixteenth(rng, 45, 88), sixteenth(rng, 28, 46.5)
        return notched(rng, w, h) if rng.random() < 0.3 else plain(w, h)
    return plain(sixteenth(rng, 9, 40), sixteenth(rng, 9, 16))


def pieces(count: int, seed: int) -> list[Outline]:
    """So many pieces; the same for the same seed."""
    rng = random.Random(f"trade/{count}/{seed}")
    found: list[Outline] = []
    while len(found) < count:
        outline = piece(rng)
        for _ in range(rng.randrange(4)):
            outline = [(-y, x) for x, y in outline]
        x0, y0 = min(x for x, _ in outline), min(y for _, y in outline)
        found += [[(x - x0, y - y0) for x, y in outline]] * rng.choice((1, 1, 1, 1, 2, 2, 3))
    assert all(shapely.Polygon(p).is_valid for p in found)
    return found[:count]


def entry(count: int, seed: int, free: bool) -> dict[str, object]:
    """A list as `snugbay lay` reads it."""
    name = f"R{count}-{seed}{'-free' if free else ''}"
    turns = "free" if free else [0, 90, 180, 270]
    return {"name": name, "sheet": SHEET, "kerf": KERF, "rotations": turns, "pieces": pieces(count, seed)}


def main() -> None:
    seeds = int(sys.argv[2]) if len(sys.argv) > 2 else 3
    lists = [entry(n, seed, free) for seed in range(1, seeds + 1) for n in SIZES for free in (False, True)]
    Path(sys.argv[1]).write_text(json.dumps(lists) + "\n")
    print(f"{len(lists)} lists in {sys.argv[1]}")


if __name__ == "__main__":
    main()
