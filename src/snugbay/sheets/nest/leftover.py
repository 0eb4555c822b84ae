"""Compiled: the largest free rectangle of a sheet, and lays of one sheet that leave a large one."""

from __future__ import annotations

from snugbay.sheets.nest.compiled import compiled
from snugbay.sheets.nest.fill import Hand, fill, roll, sort_by_key
from snugbay.sheets.nest.places import Desk, Sizes, clear
from snugbay.sheets.nest.search import PATIENT, Lay, copy_sheet, keep_sheet
from snugbay.sheets.nest.table import Floats, Shapes

LEAST_TRIES, MOST_TRIES = 200, 20_000


@compiled
def boxes_of(shapes: Shapes, lay: Lay, s: int, boxes: Floats) -> int:
    """Write the boxes of all convex parts on a sheet, grown by half the kerf; return how many."""
    n = 0
    for i in range(lay.pieces[s]):
        v = lay.variant[s, i]
        for p in range(shapes.part_first[v], shapes.part_first[v + 1]):
            if n < boxes.shape[0]:
                boxes[n, 0] = lay.x[s, i] + shapes.part_box[p, 0]
                boxes[n, 1] = lay.y[s, i] + shapes.part_box[p, 1]
                boxes[n, 2] = lay.x[s, i] + shapes.part_box[p, 2]
                boxes[n, 3] = lay.y[s, i] + shapes.part_box[p, 3]
                n += 1
    return n


@compiled
def largest_free(boxes: Floats, n: int, width: float, height: float, gap: float, found: Floats) -> float:
    """Largest rectangle of a sheet at least `gap` away from n boxes; x, y, width, height go to `found`.

    Its left side is the sheet's edge or the right side of a box, its lower side the same; to the right it grows until a
    box is in the way, and then below that box.
    """
    best = 0.0
    for i in range(4):
        found[i] = 0.0
    for start in range(-1, n):
        left = 0.0 if start < 0 else boxes[start, 2] + gap
        for under in range(-1, n):
            low = 0.0 if under < 0 else boxes[under, 3] + gap
            if left >= width or low >= height:
                continue
            top = height
            while top > low:
                nearest, stop = -1, width
                for i in range(n):
                    if (
                        boxes[i, 2] + gap > left + 1e-9
                        and boxes[i, 3] + gap > low + 1e-9
                        and boxes[i, 1] - gap < top - 1e-9
                    ):
                        reach = max(boxes[i, 0] - gap, left)
                        if reach < stop:
                            nearest, stop = i, reach
                size = (stop - left) * (top - low)
                if size > best:
                    best = size
                    found[0], found[1], found[2], found[3] = left, low, stop - left, top - low
                if nearest < 0:
                    break
                top = boxes[nearest, 1] - gap
    return best


@compiled
def _throw(shapes: Shapes, hand: Hand, lay: Lay, notes: Floats, afresh: bool) -> int:
    """Throw an order and a pull for the next try into row 1 of the notes: anew, or near those of the best in row 0.

    Returns the number of kinds in the bag, and writes the order to the hand.
    """
    kinds = lay.bag.shape[0]
    n = 0
    noise = roll(hand.dice)
    for kind in range(kinds):
        hand.left[kind] = lay.bag[kind]
        if lay.bag[kind] == 0:
            continue
        if afresh:
            notes[1, kind] = -shapes.kind_area[kind] * (1.0 + noise * (roll(hand.dice) - 0.5))
        elif roll(hand.dice) < 0.3:
            notes[1, kind] = notes[0, kind] * (0.5 + roll(hand.dice))
        else:
            notes[1, kind] = notes[0, kind]
        hand.order[n] = kind
        hand.key[n] = notes[1, kind]
        n += 1
    for i in range(6):
        notes[1, kinds + i] = notes[0, kinds + i]
    if afresh or roll(hand.dice) < 0.3:
        along = roll(hand.dice) < 0.5
        strong = -2.0 * roll(hand.dice)
        notes[1, kinds] = 0.0 if roll(hand.dice) < 0.3 else 1.0
        notes[1, kinds + 1], notes[1, kinds + 2] = (-0.1, -0.01) if along else (-0.01, -0.1)
        notes[1, kinds + 3], notes[1, kinds + 4] = (strong, 0.0) if along else (0.0, strong)
        notes[1, kinds + 5] = 1.0 if roll(hand.dice) < 0.5 else 3.0
    for i in range(5):
        hand.pull[i] = notes[1, kinds + i]
    sort_by_key(hand.order, hand.key, n)
    return n


@compiled
def spread_out(
    shapes: Shapes,
    sizes: Sizes,
    desk: Desk,
    hand: Hand,
    effort: int,
    gap: float,
    lay: Lay,
    s: int,
    boxes: Floats,
    notes: Floats,
    spot: Floats,
    found: Floats,
) -> bool:
    """Lay the pieces of the bag on sheet s so that a large rectangle is left; True where they all went on.

    Tries go on for `effort` units of work, but for no fewer than LEAST_TRIES and no more than MOST_TRIES. `found` gets
    the rectangle; `boxes` (n, 4), `notes` (2, kinds + 6) and `spot` (4) are room to reckon in. The sheet keeps what the
    best of the tries gave, and sheet s + 1 is overwritten; the bag is not changed.
    """
    kinds = lay.bag.shape[0]
    best = -1.0
    width, height = sizes.dims[0, 0], sizes.dims[0, 1]
    todo = 0
    for kind in range(kinds):
        todo += lay.bag[kind]
    attempt = 0
    desk.tally[2] = 0
    while attempt < LEAST_TRIES or (attempt < MOST_TRIES and desk.tally[2] < effort):
        attempt += 1
        clear(desk, sizes, 0)
        n = _throw(shapes, hand, lay, notes, best < 0.0 or roll(hand.dice) < 0.3)
        fill(shapes, desk, hand, n, int(notes[1, kinds + 5]), PATIENT, sizes.area[0] + 1e-6)
        if desk.tally[0] < todo:
            continue
        keep_sheet(desk, shapes, lay, s + 1, 0)
        m = boxes_of(shapes, lay, s + 1, boxes)
        desk.tally[2] += m * m * m
        size = largest_free(boxes, m, width, height, gap, spot)
        if size >= best:
            best = size
            copy_sheet(lay, s + 1, lay, s)
            for i in range(kinds + 6):
                notes[0, i] = notes[1, i]
            for i in range(4):
                found[i] = spot[i]
    return best >= 0.0
