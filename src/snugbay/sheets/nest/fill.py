"""Compiled: fill one sheet from what is left."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from snugbay.sheets.nest.compiled import compiled
from snugbay.sheets.nest.places import Desk, put
from snugbay.sheets.nest.score import best_place
from snugbay.sheets.nest.table import Floats, Ints, Shapes

PULL = 0.2  # weight of a pull towards a side, against 1 for contact along the whole outline


class Hand(NamedTuple):
    """What a search thread keeps: its dice and the rooms to sort and count in."""

    dice: np.ndarray  # one uint64
    order: Ints  # kinds, in the order to be tried
    key: Floats
    fits: Ints  # per place in the order: may still fit
    left: Ints  # per kind: pieces still to be laid
    pull: Floats
    spot: Floats
    pick: Floats


def new_hand(kinds: int, seed: int) -> Hand:
    """Make the rooms of one thread; the seed must not be 0."""
    dice = np.array([(seed * 0x9E3779B97F4A7C15 + 0x2545F4914F6CDD1D) % 2**64 or 1], dtype=np.uint64)
    hand = Hand(
        dice,
        np.zeros(kinds, dtype=np.int64),
        np.zeros(kinds),
        np.zeros(kinds, dtype=np.int64),
        np.zeros(kinds, dtype=np.int64),
        np.zeros(5),
        np.zeros(3),
        np.zeros(3),
    )
    for _ in range(8):
        roll(dice)
    return hand


@compiled
def roll(dice: np.ndarray) -> float:
    """Next number of a xorshift generator, 0 <= r < 1."""
    s = dice[0]
    s ^= s << np.uint64(13)
    s ^= s >> np.uint64(7)
    s ^= s << np.uint64(17)
    dice[0] = s
    return float(s >> np.uint64(11)) * (1.0 / 9007199254740992.0)


@compiled
def sort_by_key(order: Ints, key: Floats, n: int) -> None:
    """Sort the first n of the order by key, rising; stable."""
    for i in range(1, n):
        k, o = key[i], order[i]
        j = i
        while j > 0 and key[j - 1] > k:
            key[j] = key[j - 1]
            order[j] = order[j - 1]
            j -= 1
        key[j] = k
        order[j] = o


@compiled
def habit(hand: Hand) -> int:
    """Throw how places are judged for the next fill; return how many kinds are compared at each step."""
    r = roll(hand.dice)
    hand.pull[0] = 0.0 if roll(hand.dice) < 0.25 else 1.0
    for i in range(1, 5):
        hand.pull[i] = (roll(hand.dice) - 0.5) * PULL
    if r < 0.5:
        return 1
    if r < 0.7:
        return 2
    return 4 if r < 0.85 else 1000


@compiled
def fill(shapes: Shapes, desk: Desk, hand: Hand, n: int, window: int, patience: int, spare: float) -> float:
    """Lay pieces of the first n kinds in the order on the sheet as it stands, until none fits.

    At each step the next `window` kinds that fit are compared and the one that lies best is put down. A search of
    `patience` kinds in a row without one that fits ends it. Returns the area laid.
    """
    laid = 0.0
    for i in range(n):
        hand.fits[i] = 1
    start = 0
    while True:
        top = -1e30
        pick = -1
        variant = -1
        seen = 0
        missed = 0
        i = start
        while i < n and seen < window and missed < patience:
            kind = hand.order[i]
            if hand.left[kind] == 0 or hand.fits[i] == 0:
                if i == start:
                    start += 1
            elif shapes.kind_area[kind] > spare - laid:
                hand.fits[i] = 0
            else:
                v = best_place(shapes, desk, kind, hand.pull, hand.spot)
                if v < 0:
                    hand.fits[i] = 0
                    missed += 1
                else:
                    seen += 1
                    if hand.spot[0] > top:
                        top = hand.spot[0]
                        pick, variant = i, v
                        hand.pick[0], hand.pick[1] = hand.spot[1], hand.spot[2]
            i += 1
        if pick < 0:
            return laid
        put(desk, variant, hand.pick[0], hand.pick[1])
        kind = hand.order[pick]
        hand.left[kind] -= 1
        laid += shapes.kind_area[kind]
