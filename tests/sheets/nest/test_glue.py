"""Pieces parted by straight cuts find each other again."""

from __future__ import annotations

import random

import pytest
from shapely import unary_union
from shapely.affinity import rotate, translate
from shapely.geometry import Polygon
from tests.sheets.nest.checker import faults, lists

from snugbay.base import Run
from snugbay.sheets import Budget, lay
from snugbay.sheets.nest.glue import Rules, glue
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
    joined = glue(single_items(instance), Rules(1000.0, 1000.0))
    assert len(joined) == items
    for item in joined:
        assert len(item.outline) == 4
        assert made_of(item, instance).symmetric_difference(Polygon(item.outline)).area < 1e-3


def test_nothing_is_lost_or_used_twice() -> None:
    for instance in lists("nonconvex-dev").values():
        joined = glue(single_items(instance), Rules(1000.0, 1000.0))
        assert sorted(p.piece for item in joined for p in item.pieces) == list(range(len(instance.pieces)))
        assert abs(sum(area(i.outline) for i in joined) - sum(area(p) for p in instance.pieces)) < 1e-3


def test_rectangles_alone_are_left_alone() -> None:
    rng = random.Random(4)
    pieces = tuple(
        ((0.0, 0.0), (w, 0.0), (w, h), (0.0, h))
        for w, h in ((rng.randint(10, 90), rng.randint(10, 90)) for _ in range(9))
    )
    instance = Instance("r", SheetSize(100.0, 100.0), tuple(tuple((float(x), float(y)) for x, y in p) for p in pieces))
    assert len(glue(single_items(instance), Rules(100.0, 100.0))) == 9


def test_a_pair_too_large_for_a_sheet_stays_two() -> None:
    tall = ((0.0, 0.0), (60.0, 0.0), (0.0, 90.0))
    instance = Instance("w", SheetSize(65.0, 95.0), (tall, tall))
    assert len(glue(single_items(instance), Rules(65.0, 95.0))) == 1
    wide = ((0.0, 0.0), (60.0, 0.0), (60.0, 70.0))
    odd = ((0.0, 0.0), (50.0, 70.0), (-10.0, 0.0))
    instance = Instance("w", SheetSize(65.0, 75.0), (wide, odd))
    for item in glue(single_items(instance), Rules(65.0, 75.0)):
        assert area(item.outline) > 0


@pytest.mark.parametrize(("rotations", "items"), [((0,), 2), ((90,), 2), ((0, 90), 2), ((0, 180), 1), ((90, 270), 1)])
def test_no_piece_gets_a_turn_that_it_may_not_have(rotations: tuple[int, ...], items: int) -> None:
    """Two like halves of a rectangle lie together only half a turn apart."""
    half = ((0.0, 0.0), (60.0, 0.0), (0.0, 40.0))
    instance = Instance("h", SheetSize(100.0, 100.0), (half, half), rotations=rotations)
    assert len(glue(single_items(instance), Rules(100.0, 100.0, rotations))) == items
    layout = lay(instance, Budget(200_000), Run()).value
    assert not faults(instance, layout)
    assert all(round(p.angle_deg) in rotations for sheet in layout.sheets for p in sheet.laid)


def test_what_fits_only_on_its_side_stays_apart_where_it_may_not_be_turned() -> None:
    low, high = ((0.0, 0.0), (60.0, 0.0), (0.0, 40.0)), ((60.0, 0.0), (60.0, 80.0), (0.0, 80.0), (0.0, 40.0))
    instance = Instance("s", SheetSize(100.0, 70.0), (low, high), rotations=(0, 90, 180, 270))
    assert len(glue(single_items(instance), Rules(100.0, 70.0))) == 1
    assert len(glue(single_items(instance), Rules(100.0, 70.0, (0, 180)))) == 2
