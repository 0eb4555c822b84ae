"""Compiled: take sheets apart and lay them again, with what does not fit yet in a bag (large-neighbourhood search)."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from snugbay.sheets.nest.compiled import compiled
from snugbay.sheets.nest.fill import Hand, fill, habit, roll, sort_by_key
from snugbay.sheets.nest.places import Desk, Sizes, clear, put
from snugbay.sheets.nest.table import Floats, Ints, Shapes

MOST_AT_ONCE = 4
HEAT = 0.01  # how much dearer a bag may get, in areas of a sheet; cools to 0
PATIENT = 1_000_000


class Lay(NamedTuple):
    """Sheets with what lies on them, and the bag."""

    sheets: Ints  # [how many]
    size: Ints  # of each sheet
    pieces: Ints  # on each sheet
    variant: Ints  # (sheets, pieces)
    x: Floats
    y: Floats
    used: Floats  # area laid on each
    bag: Ints  # pieces of each kind that lie nowhere


class Bench(NamedTuple):
    """Room for what is tried in one step."""

    trial: Lay
    kept: Ints  # (sheets, pieces) whether the piece stays
    chosen: Ints


def new_bench(pieces: int, kinds: int) -> Bench:
    """Make the room for sheets of at most so many pieces."""
    return Bench(
        new_lay(MOST_AT_ONCE, pieces, kinds),
        np.zeros((MOST_AT_ONCE, pieces), dtype=np.int64),
        np.zeros(MOST_AT_ONCE, dtype=np.int64),
    )


def new_lay(sheets: int, pieces: int, kinds: int) -> Lay:
    """Make an empty lay for at most so many sheets and pieces on one."""
    return Lay(
        np.zeros(1, dtype=np.int64),
        np.zeros(sheets, dtype=np.int64),
        np.zeros(sheets, dtype=np.int64),
        np.zeros((sheets, pieces), dtype=np.int64),
        np.zeros((sheets, pieces)),
        np.zeros((sheets, pieces)),
        np.zeros(sheets),
        np.zeros(kinds, dtype=np.int64),
    )


@compiled
def copy_sheet(source: Lay, s: int, target: Lay, t: int) -> None:
    """Copy one sheet."""
    target.size[t] = source.size[s]
    target.pieces[t] = source.pieces[s]
    target.used[t] = source.used[s]
    for i in range(source.pieces[s]):
        target.variant[t, i] = source.variant[s, i]
        target.x[t, i] = source.x[s, i]
        target.y[t, i] = source.y[s, i]


@compiled
def copy_lay(source: Lay, target: Lay) -> None:
    """Copy all sheets and the bag."""
    target.sheets[0] = source.sheets[0]
    for s in range(source.sheets[0]):
        copy_sheet(source, s, target, s)
    for kind in range(source.bag.shape[0]):
        target.bag[kind] = source.bag[kind]


@compiled
def keep_sheet(desk: Desk, shapes: Shapes, lay: Lay, s: int, size: int) -> None:
    """Take over the sheet under construction as sheet s."""
    lay.size[s] = size
    lay.pieces[s] = desk.tally[0]
    lay.used[s] = 0.0
    for i in range(desk.tally[0]):
        lay.variant[s, i] = desk.variant[i]
        lay.x[s, i] = desk.at[i, 0]
        lay.y[s, i] = desk.at[i, 1]
        lay.used[s] += shapes.kind_area[shapes.variant_kind[desk.variant[i]]]


@compiled
def first_lay(shapes: Shapes, sizes: Sizes, desk: Desk, hand: Hand, offcuts: Ints, patience: int, lay: Lay) -> int:
    """Lay the pieces in the bag, the largest first, sheet by sheet; return the work done.

    The sizes listed in `offcuts` are used first, one sheet of each; then sheets of size 0. A piece that fits on no
    sheet stays in the bag. After `patience` kinds in a row that do not fit, a sheet counts as full.
    """
    kinds = lay.bag.shape[0]
    desk.tally[2] = 0
    n = 0
    for kind in range(kinds):
        hand.left[kind] = lay.bag[kind]
        if lay.bag[kind] > 0:
            hand.order[n] = kind
            hand.key[n] = -shapes.kind_area[kind]
            n += 1
    sort_by_key(hand.order, hand.key, n)
    hand.pull[0], hand.pull[1], hand.pull[2], hand.pull[3], hand.pull[4] = 1.0, -0.01, -0.01, 0.0, 0.0
    lay.sheets[0] = 0
    while True:
        s = lay.sheets[0]
        size = offcuts[s] if s < offcuts.shape[0] else 0
        clear(desk, sizes, size)
        fill(shapes, desk, hand, n, 1, patience, sizes.area[size] + 1e-6)
        if desk.tally[0] == 0 and s >= offcuts.shape[0]:
            break
        keep_sheet(desk, shapes, lay, s, size)
        lay.sheets[0] += 1
        kept = 0
        for i in range(n):
            if hand.left[hand.order[i]] > 0:
                hand.order[kept] = hand.order[i]
                kept += 1
        n = kept
        if n == 0:
            break
    for kind in range(kinds):
        lay.bag[kind] = 0
    for i in range(n):
        lay.bag[hand.order[i]] = hand.left[hand.order[i]]
    return int(desk.tally[2])


@compiled
def empty_one(shapes: Shapes, lay: Lay) -> bool:
    """Take all pieces off the emptiest new sheet into the bag, and the sheet away; False where there is none."""
    low = -1
    for s in range(lay.sheets[0]):
        if lay.size[s] == 0 and (low < 0 or lay.used[s] < lay.used[low]):
            low = s
    if low < 0:
        return False
    for i in range(lay.pieces[low]):
        lay.bag[shapes.variant_kind[lay.variant[low, i]]] += 1
    last = lay.sheets[0] - 1
    if low != last:
        copy_sheet(lay, last, lay, low)
    lay.sheets[0] = last
    return True


@compiled
def bag_cost(lay: Lay, cost: Floats) -> float:
    """What lies in the bag."""
    total = 0.0
    for kind in range(cost.shape[0]):
        total += lay.bag[kind] * cost[kind]
    return total


@compiled
def _gather(shapes: Shapes, lay: Lay, hand: Hand, chosen: Ints, n: int, part: float, kept: Ints) -> int:
    """Take pieces off the chosen sheets; note which stay; return the number of kinds at hand."""
    kinds = lay.bag.shape[0]
    for kind in range(kinds):
        hand.left[kind] = lay.bag[kind]
    for c in range(n):
        s = chosen[c]
        for i in range(lay.pieces[s]):
            if part < 1.0 and roll(hand.dice) >= part:
                kept[c, i] = 1
            else:
                kept[c, i] = 0
                hand.left[shapes.variant_kind[lay.variant[s, i]]] += 1
    count = 0
    for kind in range(kinds):
        if hand.left[kind] > 0:
            hand.order[count] = kind
            count += 1
    return count


@compiled
def _choose(hand: Hand, sheets: int, chosen: Ints) -> int:
    """Throw which sheets to take apart; return how many."""
    want = min(1 + int(roll(hand.dice) * roll(hand.dice) * MOST_AT_ONCE), sheets)
    n = 0
    while n < want:
        s = int(roll(hand.dice) * sheets)
        new = True
        for c in range(n):
            new = new and chosen[c] != s
        if new:
            chosen[n] = s
            n += 1
    return n


@compiled
def improve(
    shapes: Shapes, sizes: Sizes, desk: Desk, hand: Hand, cost: Floats, budget: int, start: float, end: float,
    lay: Lay, best: Lay, bench: Bench, halt: Ints,
) -> int:  # fmt: skip
    """Try to empty the bag; return the work done.

    `lay` holds sheets and a bag, and is changed; `best` gets the lay with the cheapest bag met. ``cost`` is what one
    piece of each kind in the bag costs. A dearer bag is taken with the odds of a temperature that falls from `start`
    to `end`. Ends when the bag is empty, the budget is spent, or ``halt[0]`` is set from outside.
    """
    desk.tally[2] = 0
    now = bag_cost(lay, cost)
    least = now
    copy_lay(lay, best)
    trial, kept, chosen = bench.trial, bench.kept, bench.chosen
    while desk.tally[2] < budget and least > 1e-12 and lay.sheets[0] > 0 and halt[0] == 0:
        n = _choose(hand, lay.sheets[0], chosen)
        part = 1.0 if roll(hand.dice) < 0.6 else 0.3 + 0.7 * roll(hand.dice)
        kinds = _gather(shapes, lay, hand, chosen, n, part, kept)
        noise = roll(hand.dice)
        for i in range(kinds):
            hand.key[i] = -shapes.kind_area[hand.order[i]] * (1.0 + 2.0 * noise * noise * (roll(hand.dice) - 0.5))
        sort_by_key(hand.order, hand.key, kinds)
        window = habit(hand)
        for c in range(n):
            s = chosen[c]
            clear(desk, sizes, lay.size[s])
            spare = sizes.area[lay.size[s]] + 1e-6
            for i in range(lay.pieces[s]):
                if kept[c, i]:
                    put(desk, lay.variant[s, i], lay.x[s, i], lay.y[s, i])
                    spare -= shapes.kind_area[shapes.variant_kind[lay.variant[s, i]]]
            fill(shapes, desk, hand, kinds, window, PATIENT, spare)
            keep_sheet(desk, shapes, trial, c, lay.size[s])
        after = 0.0
        for i in range(kinds):
            after += hand.left[hand.order[i]] * cost[hand.order[i]]
        desk.tally[2] += 300 + 5 * lay.bag.shape[0]
        temperature = start + (end - start) * (desk.tally[2] / budget)
        if after <= now - temperature * np.log(roll(hand.dice) + 1e-12):
            for c in range(n):
                copy_sheet(trial, c, lay, chosen[c])
            for kind in range(lay.bag.shape[0]):
                lay.bag[kind] = 0
            for i in range(kinds):
                lay.bag[hand.order[i]] = hand.left[hand.order[i]]
            now = after
            if now < least - 1e-12:
                least = now
                copy_lay(lay, best)
    return int(desk.tally[2])
