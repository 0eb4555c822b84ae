"""Pieces parted by straight cuts find each other again."""

from __future__ import annotations

import random

import pytest
from shapely import unary_union
from shapely.affinity import rotate, translate
from shapely.geometry import Polygon
from tests.sheets.nest.checker import lists

from snugbay.sheets.nest.glue import glue
from snugbay.sheets.nest.instance import Instance, SheetSize, area
from snugbay.sheets.nest.items import Item, single_items


def made_of(item: Item, instance: Instance) -> Polygon:
    shapes = [
        translate(rotate(Polygon(instance.pieces[p.piece]), p.angle_deg, origin=(0, 0)), p.x, p.y) for p in item.pieces
    ]
    joined = unary_union(shapes)
    assert abs(joined.area - sum(s.area for s in shapes)) < 1e-6
    return joined


@pytest.mark.parametrize(("name", "items"), [("TA001", 12), ("TP001", 8), ("TL001", 6), ("TB001", 20), ("TO001", 7)])
def test_jigsaws_come_down_to_rectangles(name: str, items: int) -> None:
    """Counts seen: every skew cut closed leaves only rectangles."""
    instance = lists("convex-dev")[name]
    joined = glue(single_items(instance), 1000.0, 1000.0)
    assert len(joined) == items
    for item in joined:
        assert len(item.outline) == 4
        assert made_of(item, instance).symmetric_difference(Polygon(item.outline)).area < 1e-3


def test_nothing_is_lost_or_used_twice() -> None:
    for instance in lists("nonconvex-dev").values():
        joined = glue(single_items(instance), 1000.0, 1000.0)
        assert sorted(p.piece for item in joined for p in item.pieces) == list(range(len(instance.pieces)))
        assert abs(sum(area(i.outline) for i in joined) - sum(area(p) for p in instance.pieces)) < 1e-3


def test_rectangles_alone_are_left_alone() -> None:
    rng = random.Random(4)
    pieces = tuple(
        ((0.0, 0.0), (w, 0.0), (w, h), (0.0, h))
        for w, h in ((rng.randint(10, 90), rng.randint(10, 90)) for _ in range(9))
    )
    instance = Instance("r", SheetSize(100.0, 100.0), tuple(tuple((float(x), float(y)) for x, y in p) for p in pieces))
    assert len(glue(single_items(instance), 100.0, 100.0)) == 9


def test_a_pair_too_large_for_a_sheet_stays_two() -> None:
    tall = ((0.0, 0.0), (60.0, 0.0), (0.0, 90.0))
    instance = Instance("w", SheetSize(65.0, 95.0), (tall, tall))
    assert len(glue(single_items(instance), 65.0, 95.0)) == 1
    wide = ((0.0, 0.0), (60.0, 0.0), (60.0, 70.0))
    odd = ((0.0, 0.0), (50.0, 70.0), (-10.0, 0.0))
    instance = Instance("w", SheetSize(65.0, 75.0), (wide, odd))
    for item in glue(single_items(instance), 65.0, 75.0):
        assert area(item.outline) > 0
