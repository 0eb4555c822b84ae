"""An instance made ready for the search: kinds of items, their turns, sheet sizes; and the way back to a layout."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from snugbay.base import NoFit
from snugbay.sheets.nest.instance import Instance, Laid, LaidSheet, Outline, SheetSize, area, box, turned
from snugbay.sheets.nest.items import Item
from snugbay.sheets.nest.places import Sizes
from snugbay.sheets.nest.search import Lay, copy_lay, new_lay
from snugbay.sheets.nest.table import Ints, Shapes, angles_of, edge_rows, kinds_of, scale_of, tabulate

Turns = dict[int, list[float]]


@dataclass(frozen=True)
class Problem:
    """What the compiled search works on.

    Attributes
    ----------
    instance : Instance
        Where it came from.
    items : tuple of Item
        What is laid as one.
    of_kind : tuple of tuple of (int, float, float)
        For each kind its items, and what moves each item's outline to the kind's.
    shapes : Shapes
        Arrays of all kinds in all turns.
    sizes : Sizes
        Size 0 is the sheet, the others the offcuts.
    counts : array of int
        Items of each kind.
    scale : float
        Search units in a unit of the instance.
    most : int
        No more items than this come out of one sheet.
    """

    instance: Instance
    items: tuple[Item, ...]
    of_kind: tuple[tuple[tuple[int, float, float], ...], ...]
    shapes: Shapes
    sizes: Sizes
    counts: Ints
    scale: float
    most: int

    @property
    def offcuts(self) -> Ints:
        """Size numbers of the part sheets, one each."""
        return np.arange(1, len(self.sizes.area), dtype=np.int64)


def pose(instance: Instance, items: list[Item], extra: list[list[float]] | None = None) -> Problem:
    """Make the arrays.

    Parameters
    ----------
    instance : Instance
        Rules and sheets.
    items : list of Item
        What is laid as one.
    extra : list of list of float
        For each kind (in the order they first appear) further turns, degrees.

    Raises
    ------
    NoFit
        If an item goes on no sheet in any of its turns; the place is the number of its piece.
    """
    scale = scale_of(instance.sheet.width, instance.sheet.height)
    kinds, number, offset = kinds_of(item.outline for item in items)
    of_kind: list[list[tuple[int, float, float]]] = [[] for _ in kinds]
    for i, (kind, at) in enumerate(zip(number, offset, strict=True)):
        of_kind[kind].append((i, *at))
    big = [tuple((x * scale, y * scale) for x, y in outline) for outline in kinds]
    angles = []
    for kind, outline in enumerate(big):
        turns = [float(a) for a in instance.rotations] + (extra[kind] if extra else [])
        angles.append(angles_of(outline, turns))
        _must_fit(instance, kinds[kind], turns, items[of_kind[kind][0][0]])
    sizes = _sizes(instance, scale)
    areas = np.sort(np.array([area(big[kind]) for kind in number]))
    most = int(np.searchsorted(np.cumsum(areas), float(sizes.area.max()) + 1e-6)) + 1
    counts = np.bincount(number, minlength=len(kinds)).astype(np.int64)
    shapes = tabulate(big, angles, instance.kerf * scale)
    return Problem(instance, tuple(items), tuple(tuple(k) for k in of_kind), shapes, sizes, counts, scale, most)


def _must_fit(instance: Instance, outline: Outline, turns: list[float], item: Item) -> None:
    size = instance.sheet
    slack = 1e-9 * max(size.width, size.height)
    for angle in turns:
        x0, y0, x1, y1 = box(turned(outline, angle))
        if x1 - x0 <= size.width + slack and y1 - y0 <= size.height + slack:
            return
    number = item.pieces[0].piece
    raise NoFit(
        f"Piece {number} is too large for a sheet of {size.width:g} by {size.height:g} in every turn it may have.",
        where=(instance.name, "pieces", number),
        hint="Split it, or use a larger sheet.",
    )


def _sizes(instance: Instance, scale: float) -> Sizes:
    sheets: list[SheetSize] = [instance.sheet]
    for offcut in instance.offcuts:
        sheets += [offcut] * (1 if offcut.count is None else offcut.count)
    half = instance.kerf * scale / math.sqrt(8.0)  # at a corner, pieces come as near as half a kerf, in any direction
    first, zones, corners = [0], [], []
    for sheet in sheets:
        for x, y, w, h in sheet.spoiled:
            x0, y0, x1, y1 = x * scale + half, y * scale + half, (x + w) * scale - half, (y + h) * scale - half
            if x1 > x0 and y1 > y0:
                zones.append((x0, y0, x1, y1))
                corners += edge_rows(((x0, y0), (x1, y0), (x1, y1), (x0, y1)))
        first.append(len(zones))
    return Sizes(
        np.array([(s.width * scale, s.height * scale) for s in sheets], dtype=np.float64),
        np.array([s.area * scale * scale for s in sheets], dtype=np.float64),
        np.array(first, dtype=np.int64),
        np.array(zones, dtype=np.float64).reshape(-1, 4),
        np.array(corners, dtype=np.float64).reshape(-1, 5),
    )


def offcut_numbers(instance: Instance) -> list[int]:
    """Number of the offcut for each size from 1 on."""
    return [n for n, o in enumerate(instance.offcuts) for _ in range(1 if o.count is None else o.count)]


def read_back(problem: Problem, lay: Lay) -> tuple[LaidSheet, ...]:
    """Give a finished lay as sheets: offcuts first, the emptiest new sheet last."""
    waiting = [list(items) for items in problem.of_kind]
    numbers = offcut_numbers(problem.instance)
    order = sorted(
        (s for s in range(int(lay.sheets[0])) if lay.pieces[s] > 0),
        key=lambda s: (lay.size[s] == 0, lay.size[s], -lay.used[s]),
    )
    sheets = []
    for s in order:
        laid: list[Laid] = []
        for i in range(int(lay.pieces[s])):
            variant = int(lay.variant[s, i])
            item, dx, dy = waiting[int(problem.shapes.variant_kind[variant])].pop(0)
            angle = float(problem.shapes.variant_angle[variant])
            at = (float(lay.x[s, i]) / problem.scale, float(lay.y[s, i]) / problem.scale)
            laid += problem.items[item].moved((-dx, -dy)).laid(angle, *at)
        size = int(lay.size[s])
        if size == 0:
            sheets.append(LaidSheet(problem.instance.sheet, tuple(laid)))
        else:
            offcut = numbers[size - 1]
            sheets.append(LaidSheet(problem.instance.offcuts[offcut], tuple(laid), offcut))
    return tuple(sheets)


def area_bound(instance: Instance) -> int:
    """New sheets that are needed at least: what the offcuts cannot hold, over the area of a sheet.

    Pieces a kerf apart do not overlap when each is grown by half the kerf, and lie on the sheet grown by as much; a
    spoiled zone is left out shrunk by as much. Notches count as they are, whether or not the search fills them.
    """
    kerf = instance.kerf
    outlines = shapely.polygons([shapely.linearrings(outline) for outline in instance.pieces])
    needed = float(shapely.area(shapely.buffer(outlines, kerf / 2, quad_segs=4) if kerf > 0 else outlines).sum())
    needed -= sum((1 if o.count is None else o.count) * _grown_area(o, kerf) for o in instance.offcuts)
    return max(0, math.ceil(needed / _grown_area(instance.sheet, kerf) - 1e-9))


def _grown_area(size: SheetSize, kerf: float) -> float:
    spoiled = sum(max(w - kerf, 0.0) * max(h - kerf, 0.0) for _, _, w, h in size.spoiled)
    return (size.width + kerf) * (size.height + kerf) - spoiled


def translate(problem: Problem, lay: Lay, other: Problem) -> Lay:
    """Give a lay of one problem as a lay of another that has the same kinds in more turns."""
    number = {
        (int(kind), float(angle)): v
        for v, (kind, angle) in enumerate(zip(other.shapes.variant_kind, other.shapes.variant_angle, strict=True))
    }
    told = new_lay(len(lay.pieces), lay.variant.shape[1], len(other.counts))
    copy_lay(lay, told)
    for s in range(int(lay.sheets[0])):
        for i in range(int(lay.pieces[s])):
            v = int(lay.variant[s, i])
            told.variant[s, i] = number[int(problem.shapes.variant_kind[v]), float(problem.shapes.variant_angle[v])]
    return told
