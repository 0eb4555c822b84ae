"""Put pieces together that only fit each other: skew edges of equal length that have one partner each.

Where pieces were parted by straight cuts, both sides of a skew cut have an edge of the same length and direction, and
hardly any other piece has one like it. Laid together they make plainer shapes, and in the end rectangles. Whether the
pieces really belong together is not known; a layout of items is a layout of their pieces in any case.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

import shapely

from snugbay.sheets.nest.convex import without_flat_corners
from snugbay.sheets.nest.instance import QUARTERS, XY, Outline, area, box, sides
from snugbay.sheets.nest.items import Item

_QUARTER = math.pi / 2


@dataclass(frozen=True)
class Side:
    """A skew edge of an item."""

    item: int
    start: XY
    end: XY

    @property
    def length(self) -> float:
        """Its length."""
        return math.dist(self.start, self.end)


@dataclass(frozen=True)
class Rules:
    """The sheet, and the turns an item may have on it (degrees)."""

    width: float
    height: float
    rotations: tuple[int, ...] = QUARTERS

    @property
    def near(self) -> float:
        """Lengths closer than this are equal."""
        return 1e-7 * max(self.width, self.height)

    @property
    def quarters(self) -> list[int]:
        """Quarter turns that one piece of an item may have against another: each may then lie as a piece may."""
        allowed = set(self.rotations)
        return [q for q in range(4) if {(r + 90 * q) % 360 for r in allowed} == allowed]

    def fit(self, item: Item) -> bool:
        """Whether an item goes on the sheet in one of its turns."""
        x0, y0, x1, y1 = box(item.outline)
        w, h, slack = x1 - x0, y1 - y0, 1e-9 * max(self.width, self.height)
        boxes = [(w, h) if r % 180 == 0 else (h, w) for r in self.rotations]
        return any(w <= self.width + slack and h <= self.height + slack for w, h in boxes)


def glue(items: list[Item], rules: Rules) -> list[Item]:
    """Put items together along matching skew edges until no more match.

    Parameters
    ----------
    items : list of Item
        Single pieces.
    rules : Rules
        What would not fit on the sheet, or would give a piece a turn it may not have, is not put together.

    Returns
    -------
    list of Item
        At most as many.
    """
    left = list(items)
    while True:
        pair = next(_matches(left, rules), None)
        if pair is None:
            return left
        one, two, joined = pair
        left = [item for n, item in enumerate(left) if n not in (one, two)] + [joined.at_origin()]


def _matches(items: list[Item], rules: Rules) -> Iterator[tuple[int, int, Item]]:
    classes = _classes(items)
    for found in classes:
        if len(found) == 2 and abs(found[0].length - found[1].length) < rules.near and found[0].item != found[1].item:
            joined = _join(items, found[0], found[1], True, rules)
            if joined is not None and rules.fit(joined):
                yield found[0].item, found[1].item, joined
    for found in classes:
        if len(found) == 3:
            yield from _split_side(items, found, rules)


def _classes(items: list[Item]) -> list[list[Side]]:
    """Skew edges by direction, quarter turns taken as the same."""
    by_angle: dict[int, list[Side]] = defaultdict(list)
    for number, item in enumerate(items):
        for a, b in sides(item.outline):
            angle = math.atan2(b[1] - a[1], b[0] - a[0]) % _QUARTER
            if 1e-9 < angle < _QUARTER - 1e-9:
                by_angle[round(angle * 1e9)].append(Side(number, a, b))
    return list(by_angle.values())


def _split_side(items: list[Item], found: list[Side], rules: Rules) -> Iterator[tuple[int, int, Item]]:
    """Match one edge with two that make it up together, where only one order of the two is possible."""
    whole, part, rest = sorted(found, key=lambda s: -s.length)
    if abs(whole.length - part.length - rest.length) > rules.near or len({whole.item, part.item, rest.item}) < 3:
        return
    ways = []
    for at_start in (True, False):
        first = _join(items, whole, part, at_start, rules)
        if first is None or not rules.fit(first):
            continue
        second = _lay_against(items[rest.item], whole, rest, not at_start, rules)
        if second is not None and _union(first.outline, second.outline, rules.near) is not None:
            ways.append(first)
    if len(ways) == 1:
        yield whole.item, part.item, ways[0]


def _lay_against(item: Item, side: Side, own: Side, at_start: bool, rules: Rules) -> Item | None:
    """Turn and move an item so that its edge lies against another, level with one end of it."""
    for quarter in rules.quarters:
        back = item.turned(90.0 * quarter)
        n = next(k for k, (a, b) in enumerate(sides(item.outline)) if (a, b) == (own.start, own.end))
        a, b = list(sides(back.outline))[n]
        dx, dy = side.end[0] - side.start[0], side.end[1] - side.start[1]
        ex, ey = b[0] - a[0], b[1] - a[1]
        if abs(dx * ey - dy * ex) < 1e-9 * side.length * own.length and dx * ex + dy * ey < 0:
            if at_start:
                return back.moved((side.start[0] - b[0], side.start[1] - b[1]))
            return back.moved((side.end[0] - a[0], side.end[1] - a[1]))
    return None


def _join(items: list[Item], side: Side, own: Side, at_start: bool, rules: Rules) -> Item | None:
    """Put two items together along an edge; None where they would overlap or enclose a gap."""
    other = _lay_against(items[own.item], side, own, at_start, rules)
    if other is None:
        return None
    outline = _union(items[side.item].outline, other.outline, rules.near)
    return None if outline is None else Item(outline, items[side.item].pieces + other.pieces)


def _union(one: Outline, two: Outline, near: float) -> Outline | None:
    a, b = shapely.Polygon(one), shapely.Polygon(two)
    if shapely.intersection(a, b, grid_size=near * 1e-3).area > near * near:
        return None
    joined = a.union(b)
    if joined.geom_type != "Polygon" or joined.interiors:
        return None
    corners = {(round(x / near), round(y / near)): (x, y) for x, y in one + two}
    ring = tuple(corners.get((round(x / near), round(y / near)), (x, y)) for x, y in joined.exterior.coords[:-1])
    outline = without_flat_corners(ring if area(ring) > 0 else tuple(reversed(ring)))
    return outline if abs(area(outline) - area(one) - area(two)) < near * max(box(outline)[2:]) else None
