"""Layouts that are easy to cut: pieces in boxes, leaning ones in pairs, the boxes parted by edge-to-edge cuts only."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from math import hypot

import numpy as np
from shapely.affinity import rotate, translate
from shapely.geometry import Polygon

from snugbay.sheets.cutting.patterns import TINY, Pattern, ring
from snugbay.sheets.nest.instance import Laid, LaidSheet, SheetSize
from snugbay.survey import Point

RULES = ("along", "across", "short", "long")
"""How the rest round a box is parted: along the sheet, across it, along its shorter or its longer rest."""
LEANING = 0.05
"""A side that leaves the sheet's directions by less is taken as straight. [m]"""
ALIKE = 2e-5
"""How far the directions of two sides may be from opposite, as 1 less their cosine, to lie together."""
APART = (0.0, 0.0005, 0.001, 0.002, 0.004)
"""Distances beyond the kerf that are tried for a pair. [m]"""
NEAR = 20
"""A leaning piece is tried with so many next smaller ones."""
SAVED = 0.1
"""A pair must save so much of the smaller one's box."""


@dataclass(frozen=True)
class Box:
    """Pieces that are laid as one.

    Attributes
    ----------
    width, height : float
        [m]
    members : tuple of Laid
        Their places from the lower left corner.
    """

    width: float
    height: float
    members: tuple[Laid, ...]

    @property
    def area(self) -> float:
        """Of the box. [m²]"""
        return self.width * self.height

    def quarter(self) -> Box:
        """Return it turned by a quarter, counter-clockwise."""
        members = tuple(Laid(m.piece, self.height - m.y, m.x, (m.angle_deg + 90) % 360) for m in self.members)
        return Box(self.height, self.width, members)

    def laid(self, x: float, y: float) -> tuple[Laid, ...]:
        """Return its pieces with the box at a place. [m]"""
        return tuple(Laid(m.piece, x + m.x, y + m.y, m.angle_deg) for m in self.members)


@dataclass(frozen=True)
class Packing:
    """Boxes laid.

    Attributes
    ----------
    sheets : tuple of LaidSheet
        Offcuts first.
    largest : float
        Largest rectangle left on a sheet in use. [m²]
    """

    sheets: tuple[LaidSheet, ...]
    largest: float

    @property
    def new(self) -> int:
        """New sheets."""
        return sum(s.offcut is None for s in self.sheets)


Free = tuple[float, float, float, float]
"""A free rectangle of a sheet: x, y, width, height. [m]"""


def single(number: int, pattern: Pattern) -> Box:
    """Return a piece in its box."""
    _, _, width, height = pattern.shape.bounds
    return Box(float(width), float(height), (Laid(number, 0.0, 0.0, 0),))


class Boxer:
    """Puts pieces in boxes, leaning ones side by side where that saves board.

    Parameters
    ----------
    patterns : sequence of Pattern
        By number.
    kerf : float
        Between two pieces. [m]
    sheet : SheetSize
        A pair must fit on it.
    """

    def __init__(self, patterns: Sequence[Pattern], kerf: float, sheet: SheetSize) -> None:
        self.patterns = patterns
        self.kerf = kerf
        self.sheet = sheet
        self.sides = {n: sides for n, p in enumerate(patterns) if (sides := _leaning_sides(p))}
        self._known: dict[tuple[int, int], Box | None] = {}

    def alone(self, numbers: Sequence[int]) -> tuple[Box, ...]:
        """Return every piece in its own box."""
        return tuple(single(n, self.patterns[n]) for n in numbers)

    def paired(self, numbers: Sequence[int], *, of_a_face: bool = False) -> tuple[Box, ...]:
        """Return the boxes of some pieces, those that save most as pairs.

        Parameters
        ----------
        numbers : sequence of int
            Which patterns.
        of_a_face : bool
            Pieces of one face and layer first: their seam fits best.
        """
        alone = {n: single(n, self.patterns[n]) for n in numbers}
        leaning = sorted((n for n in numbers if n in self.sides), key=lambda n: (-alone[n].area, n))
        found = []
        for k, one in enumerate(leaning):
            for two in leaning[k + 1 : k + 1 + NEAR]:
                box = self._pair(min(one, two), max(one, two))
                if box is not None:
                    saved = alone[one].area + alone[two].area - box.area
                    if saved > SAVED * min(alone[one].area, alone[two].area):
                        found.append((of_a_face and not self._of_a_face(one, two), -saved, one, two, box))
        taken: set[int] = set()
        boxes = []
        for _, _, one, two, box in sorted(found, key=lambda f: f[:4]):
            if not taken & {one, two}:
                taken |= {one, two}
                boxes.append(box)
        return (*boxes, *(alone[n] for n in numbers if n not in taken))

    def _of_a_face(self, one: int, two: int) -> bool:
        first, second = self.patterns[one].piece, self.patterns[two].piece
        return (first.face, first.layer) == (second.face, second.layer)

    def _pair(self, one: int, two: int) -> Box | None:
        if (one, two) not in self._known:
            own, theirs = self.sides[one], self.sides[two]
            self._known[one, two] = _pair(one, two, own, theirs, self.patterns, self.kerf, self.sheet)
        return self._known[one, two]


def _leaning_sides(pattern: Pattern) -> list[tuple[Point, Point]]:
    outline = ring(pattern.shape)
    sides = zip(outline, (*outline[1:], outline[0]), strict=True)
    return [(a, b) for a, b in sides if min(abs(a[0] - b[0]), abs(a[1] - b[1])) > LEANING]


def _pair(
    one: int,
    two: int,
    own: Sequence[tuple[Point, Point]],
    theirs: Sequence[tuple[Point, Point]],
    patterns: Sequence[Pattern],
    kerf: float,
    sheet: SheetSize,
) -> Box | None:
    """Return the smallest box of two pieces that lie with leaning sides together; None where none fits the sheet."""
    best: Box | None = None
    shape, other = Polygon(ring(patterns[one].shape)), Polygon(ring(patterns[two].shape))
    for (a, b), (c, d), turn in product(own, theirs, (0, 90, 180, 270)):
        start, end = _quarter_turned(c, turn), _quarter_turned(d, turn)
        long, length = hypot(b[0] - a[0], b[1] - a[1]), hypot(end[0] - start[0], end[1] - start[1])
        ux, uy = (b[0] - a[0]) / long, (b[1] - a[1]) / long
        if 1 + (ux * (end[0] - start[0]) + uy * (end[1] - start[1])) / length > ALIKE:
            continue
        turned = rotate(other, turn, origin=(0, 0))
        for at in ((a[0] - end[0], a[1] - end[1]), (b[0] - start[0], b[1] - start[1])):
            placed = _beside(shape, turned, at, (uy, -ux), kerf)
            if placed is None:
                continue
            x0, y0, x1, y1 = (float(v) for v in shape.union(translate(turned, *placed)).bounds)
            wide, high = x1 - x0, y1 - y0
            fits = min(wide, high) <= min(sheet.width, sheet.height) and max(wide, high) <= max(
                sheet.width, sheet.height
            )
            if fits and (best is None or wide * high < best.area - TINY):
                members = (Laid(one, -x0, -y0, 0), Laid(two, placed[0] - x0, placed[1] - y0, turn))
                best = Box(wide, high, members)
    return best


def _beside(shape: Polygon, other: Polygon, at: Point, out: Point, kerf: float) -> Point | None:
    """Return the nearest place to ``at``, outwards of a side, at which two pieces are a kerf apart."""
    for more in APART:
        x, y = at[0] + (kerf + more) * out[0], at[1] + (kerf + more) * out[1]
        moved = translate(other, x, y)
        if shape.distance(moved) >= kerf - TINY and shape.intersection(moved).area < 1e-9:
            return x, y
    return None


def _quarter_turned(p: Point, turn: int) -> Point:
    return {0: p, 90: (-p[1], p[0]), 180: (-p[0], -p[1]), 270: (p[1], -p[0])}[turn]


def orders(boxes: Sequence[Box], dice: np.random.Generator, count: int) -> Iterator[tuple[Box, ...]]:
    """Yield orders in which boxes are laid: by size in several ways, then with some chance."""
    keys = (lambda b: b.area, lambda b: max(b.width, b.height), lambda b: min(b.width, b.height))
    for key in keys:
        yield tuple(sorted(boxes, key=key, reverse=True))
    for _ in range(count):
        noise = dice.uniform(0.6, 1.4, len(boxes))
        yield tuple(b for _, b in sorted(zip(noise, boxes, strict=True), key=lambda nb: -float(nb[0]) * nb[1].area))


def packings(
    sets: Sequence[Sequence[Box]],
    sheet: SheetSize,
    offcuts: Sequence[SheetSize],
    kerf: float,
    dice: np.random.Generator,
    count: int,
    most: int | None = None,
) -> list[Packing]:
    """Return different packings, the one with the fewest sheets and the largest rest first.

    Parameters
    ----------
    sets : sequence of sequence of Box
        Ways to put the pieces in boxes.
    sheet, offcuts, kerf, most
        As for `packed`.
    dice : Random
        Seeded.
    count : int
        Orders tried by chance.
    """
    found: dict[tuple[object, ...], Packing] = {}
    for boxes in dict.fromkeys(tuple(b) for b in sets):
        for order, rule in product(tuple(orders(boxes, dice, count)), RULES):
            packing = packed(order, sheet, offcuts, kerf, rule, most)
            if packing is not None:
                key = tuple(sorted((m.piece, round(m.x, 4), round(m.y, 4)) for s in packing.sheets for m in s.laid))
                found.setdefault(key, packing)
    return sorted(found.values(), key=lambda p: (p.new, -round(p.largest, 6)))


def shelved(boxes: Sequence[Box], sheet: SheetSize, kerf: float) -> list[Packing]:
    """Return layouts in rows of like height along the sheet: few rips, then cross cuts; boxes as they are or turned.

    Parameters
    ----------
    boxes : sequence of Box
        To be laid.
    sheet : SheetSize
        All sheets are such ones; a damaged one has no rows.
    kerf : float
        [m]
    """
    if sheet.spoiled:
        return []
    turned = [b.quarter() for b in boxes]
    pairs = list(zip(boxes, turned, strict=True))
    flat = [min(p, key=lambda b: b.height) for p in pairs]
    tall = [max(p, key=lambda b: b.height) for p in pairs]
    ways = dict.fromkeys(tuple(way) for way in (flat, tall, boxes, turned))
    return [p for way in ways if (p := _in_rows(way, sheet, kerf)) is not None]


def _in_rows(boxes: Sequence[Box], sheet: SheetSize, kerf: float) -> Packing | None:
    rows: list[list[float]] = []  # sheet, y, height, x
    tops: list[float] = []
    laid: list[list[Laid]] = []
    for box in sorted(boxes, key=lambda b: (-b.height, -b.width)):
        if box.width > sheet.width + TINY or box.height > sheet.height + TINY:
            return None
        row = next((r for r in rows if r[3] + box.width <= sheet.width + TINY and box.height <= r[2] + TINY), None)
        if row is None:
            n = next((i for i, top in enumerate(tops) if top + box.height <= sheet.height + TINY), len(tops))
            if n == len(tops):
                tops.append(0.0)
                laid.append([])
            row = [n, tops[n], box.height, 0.0]
            rows.append(row)
            tops[n] += box.height + kerf
        laid[int(row[0])] += box.laid(row[3], row[1])
        row[3] += box.width + kerf
    largest = max((sheet.width * (sheet.height - top) for top in tops), default=0.0)
    return Packing(tuple(LaidSheet(sheet, tuple(one)) for one in laid), largest)


def packed(
    boxes: Sequence[Box], sheet: SheetSize, offcuts: Sequence[SheetSize], kerf: float, rule: str, most: int | None
) -> Packing | None:
    """Lay boxes one after the other where the shorter rest is least; offcuts are filled first.

    Parameters
    ----------
    boxes : sequence of Box
        In this order.
    sheet : SheetSize
        A new sheet.
    offcuts : sequence of SheetSize
        On hand.
    kerf : float
        [m]
    rule : str
        One of `RULES`.
    most : int or None
        New sheets at most; None for as many as needed.

    Returns
    -------
    Packing or None
        None where a box finds no place.
    """
    used: list[tuple[SheetSize, int | None, list[Free], list[Laid]]] = [
        (o, n, sound_parts(o), []) for n, o in enumerate(offcuts)
    ]
    for box in boxes:
        choices = (box, box.quarter())
        spot = _spot(choices, used, limit=len(offcuts)) or _spot(choices, used)
        if spot is None:
            new = sum(1 for _, n, _, _ in used if n is None)
            if most is not None and new >= most:
                return None
            used.append((sheet, None, [(0.0, 0.0, sheet.width, sheet.height)], []))
            spot = _spot(choices, used[-1:])
            if spot is None:
                return None
            spot = (len(used) - 1, *spot[1:])
        where, k, chosen = spot
        _, _, free, laid = used[where]
        x, y, width, height = free.pop(k)
        laid += chosen.laid(x, y)
        free += _rest((x, y, width, height), chosen, kerf, rule)
    sheets = tuple(LaidSheet(size, tuple(laid), n) for size, n, _, laid in used if laid)
    largest = max((f[2] * f[3] for _, n, free, laid in used if laid or n is None for f in free), default=0.0)
    return Packing(sheets, largest)


def _spot(
    choices: tuple[Box, ...],
    used: Sequence[tuple[SheetSize, int | None, list[Free], list[Laid]]],
    limit: int | None = None,
) -> tuple[int, int, Box] | None:
    """Return sheet, free rectangle and turned box with the least rest; among the first sheets only, if so many."""
    best: tuple[float, float, int, int] | None = None
    found: Box | None = None
    for s, (_, _, free, _) in enumerate(used[:limit]):
        for k, (_, _, width, height) in enumerate(free):
            for box in choices:
                short, long = sorted((width - box.width, height - box.height))
                if short >= -TINY and (best is None or (short, long, s, k) < best):
                    best, found = (short, long, s, k), box
    return None if best is None or found is None else (best[2], best[3], found)


def _rest(free: Free, box: Box, kerf: float, rule: str) -> list[Free]:
    """Return what is left of a free rectangle, parted by one edge-to-edge cut and then another."""
    x, y, width, height = free
    right, top = width - box.width - kerf, height - box.height - kerf
    along = {"along": True, "across": False, "short": right < top, "long": right >= top}[rule]
    beside = (x + box.width + kerf, y, right, box.height if along else height)
    above = (x, y + box.height + kerf, width if along else box.width, top)
    return [r for r in (beside, above) if r[2] > TINY and r[3] > TINY]


def sound_parts(size: SheetSize) -> list[Free]:
    """Return rectangles of a sheet that hold no damaged zone and do not overlap. [m]"""
    parts: list[Free] = [(0.0, 0.0, size.width, size.height)]
    for zx, zy, zw, zh in size.spoiled:
        parts = [p for part in parts for p in _without(part, (zx, zy, zw, zh))]
    return parts


def _without(part: Free, zone: Free) -> list[Free]:
    x, y, w, h = part
    left, low = max(zone[0], x), max(zone[1], y)
    right, high = min(zone[0] + zone[2], x + w), min(zone[1] + zone[3], y + h)
    if right - left <= TINY or high - low <= TINY:
        return [part]
    found = [
        (x, y, left - x, h),
        (right, y, x + w - right, h),
        (left, y, right - left, low - y),
        (left, high, right - left, y + h - high),
    ]
    return [f for f in found if f[2] > TINY and f[3] > TINY]
