"""Lay the pieces of an instance on sheets."""

from __future__ import annotations

import math

from snugbay.base import NoFit, Outcome, Run
from snugbay.sheets.nest.budget import Budget
from snugbay.sheets.nest.instance import Instance, Laid, LaidSheet, Layout, area, box, turned


def lay(instance: Instance, budget: Budget, run: Run) -> Outcome[Layout]:
    """Lay all pieces on as few sheets as the budget finds.

    Raises
    ------
    NoFit
        If a piece is too large for the sheet in every allowed turn; the place is its number.
    """
    del budget
    bound = math.ceil(sum(area(p) for p in instance.pieces) / instance.sheet.area - 1e-9)
    sheets = shelves(instance)
    run.progress("sheets", 1.0)
    return Outcome(Layout(instance.name, sheets, bound))


def shelves(instance: Instance) -> tuple[LaidSheet, ...]:
    """Lay the boxes of the pieces in rows: the layout to start from, always valid."""
    size, kerf = instance.sheet, instance.kerf
    boxes = []
    for number, outline in enumerate(instance.pieces):
        options = []
        for angle in instance.rotations:
            x0, y0, x1, y1 = box(turned(outline, angle))
            if x1 - x0 <= size.width and y1 - y0 <= size.height:
                options.append((y1 - y0, x1 - x0, angle, x0, y0))
        if not options:
            raise NoFit(
                f"Piece {number} is too large for a sheet of {size.width:g} by {size.height:g}.",
                where=(instance.name, "pieces", number),
                hint="Split it, or use a larger sheet.",
            )
        boxes.append((*min(options), number))
    boxes.sort(key=lambda b: (-b[0], -b[1], b[5]))
    sheets: list[list[Laid]] = []
    rows: list[list[float]] = []  # sheet, y, height, x
    tops: list[float] = []
    for height, width, angle, x0, y0, number in boxes:
        for row in rows:
            if row[3] + width <= size.width and height <= row[2]:
                break
        else:
            index = next((i for i, top in enumerate(tops) if top + height <= size.height), len(tops))
            if index == len(tops):
                tops.append(0.0)
                sheets.append([])
            row = [index, tops[index], height, 0.0]
            rows.append(row)
            tops[index] += height + kerf
        sheets[int(row[0])].append(Laid(number, row[3] - x0, row[1] - y0, float(angle)))
        row[3] += width + kerf
    return tuple(LaidSheet(size, tuple(laid)) for laid in sheets)
