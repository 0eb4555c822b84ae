"""The places offered for a piece are just those where it touches and never overlaps: checked against shapely."""

from __future__ import annotations

import random

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import rotate, translate
from shapely.geometry import Polygon, box
from tests.sheets.nest.test_shapes import stars

from snugbay.sheets.nest.instance import Instance, Outline, SheetSize
from snugbay.sheets.nest.items import single_items
from snugbay.sheets.nest.places import clear, new_desk, put, refresh
from snugbay.sheets.nest.problem import Problem, pose

SPOILED = SheetSize(100.0, 80.0, 1, ((0.0, 0.0, 12.0, 7.0), (90.0, 60.0, 10.0, 20.0)))


def shape_of(problem: Problem, variant: int, x: float, y: float) -> Polygon:
    kind = int(problem.shapes.variant_kind[variant])
    item, dx, dy = problem.of_kind[kind][0]
    outline = translate(Polygon(problem.items[item].outline), -dx, -dy)
    turned = rotate(outline, float(problem.shapes.variant_angle[variant]), origin=(0, 0))
    return translate(turned, x / problem.scale, y / problem.scale)


def shared(one: Polygon, two: Polygon) -> float:
    """Area in common, on a fine grid: without it touching shapes are at times told to overlap whole."""
    return float(shapely.intersection(one, two, grid_size=1e-7).area)


def check(outlines: list[Outline], kerf: float, seed: int, size: int) -> None:
    instance = Instance("t", SheetSize(100.0, 80.0), tuple(outlines), kerf, offcuts=(SPOILED,))
    problem = pose(instance, single_items(instance))
    desk = new_desk(len(problem.shapes.variant_kind), 40, problem.sizes)
    rng = random.Random(seed)
    clear(desk, problem.sizes, size)
    sheet = box(0, 0, 100, 80)
    zones = [box(x, y, x + w, y + h) for x, y, w, h in SPOILED.spoiled] if size else []
    laid: list[Polygon] = []
    for _ in range(6):
        variant = rng.randrange(len(problem.shapes.variant_kind))
        count = refresh(problem.shapes, desk, variant)
        for i in range(count):
            shape = shape_of(problem, variant, *(float(v) for v in desk.place[variant, i]))
            assert sheet.buffer(1e-6).covers(shape)
            assert all(shared(shape, z) < 1e-4 for z in zones)
            for other in laid:
                assert shared(shape, other) < 1e-4
                assert shape.distance(other) > kerf - 1e-5
        if count:
            i = rng.randrange(count)
            x, y = (float(v) for v in desk.place[variant, i])
            put(desk, variant, x, y)
            laid.append(shape_of(problem, variant, x, y))


@settings(max_examples=60)
@given(
    st.lists(stars(), min_size=2, max_size=4),
    st.sampled_from([0.0, 0.125, 1.0]),
    st.integers(0, 999),
    st.integers(0, 1),
)
def test_no_place_overlaps(outlines: list[Outline], kerf: float, seed: int, size: int) -> None:
    check(outlines, kerf, seed, size)


@settings(max_examples=40)
@given(stars(), stars(), st.integers(0, 99))
def test_no_free_spot_is_missed(one: Outline, two: Outline, seed: int) -> None:
    """Where a piece can lie at all, a place is offered; and the lowest possible height is among the places."""
    instance = Instance("t", SheetSize(100.0, 80.0), (one, two), 0.0)
    problem = pose(instance, single_items(instance))
    desk = new_desk(len(problem.shapes.variant_kind), 40, problem.sizes)
    clear(desk, problem.sizes, 0)
    rng = random.Random(seed)
    first = rng.randrange(len(problem.shapes.variant_kind))
    count = refresh(problem.shapes, desk, first)
    x, y = (float(v) for v in desk.place[first, rng.randrange(count)])
    put(desk, first, x, y)
    lying = shape_of(problem, first, x, y)
    variant = rng.randrange(len(problem.shapes.variant_kind))
    count = refresh(problem.shapes, desk, variant)
    heights = [shape_of(problem, variant, *map(float, desk.place[variant, i])).bounds[1] for i in range(count)]
    base = shape_of(problem, variant, 0.0, 0.0)
    x0, y0, x1, y1 = base.bounds
    lowest = min(heights, default=80 - (y1 - y0))
    for _ in range(60 if lowest > 1e-9 else 0):  # random spots below the lowest place must all overlap
        shape = translate(base, rng.uniform(-x0, 100 - x1), rng.uniform(0, lowest * 0.999) - y0)
        assert shape.intersection(lying).area > 0


def test_a_slot_of_the_exact_width_is_found() -> None:
    """Three boards of 32, 36 and 32 on a sheet of 100: the last goes between the other two."""
    boards: list[Outline] = [((0.0, 0.0), (w, 0.0), (w, 80.0), (0.0, 80.0)) for w in (32.0, 36.0)]
    instance = Instance("t", SheetSize(100.0, 80.0), tuple(boards), 0.0, rotations=(0,))
    problem = pose(instance, single_items(instance))
    desk = new_desk(2, 4, problem.sizes)
    clear(desk, problem.sizes, 0)
    put(desk, 0, 0.0, 0.0)
    put(desk, 0, 68.0 * problem.scale, 0.0)
    assert refresh(problem.shapes, desk, 1) == 1
    assert tuple(desk.place[1, 0] / problem.scale) == (32.0, 0.0)


@pytest.mark.parametrize("kerf", [0.0, 0.25])
def test_pieces_added_one_by_one_or_at_once_leave_the_same_places(kerf: float) -> None:
    pieces = (
        ((0.0, 0.0), (40.0, 0.0), (25.0, 30.0), (0.0, 30.0)),
        ((0.0, 0.0), (30.0, 0.0), (0.0, 20.0)),
        ((0.0, 0.0), (22.0, 0.0), (22.0, 9.0), (10.0, 9.0), (10.0, 18.0), (0.0, 18.0)),
    )
    instance = Instance("t", SheetSize(100.0, 80.0), pieces, kerf)
    problem = pose(instance, single_items(instance))
    many = len(problem.shapes.variant_kind)
    step, once = new_desk(many, 10, problem.sizes), new_desk(many, 10, problem.sizes)
    clear(step, problem.sizes, 0)
    clear(once, problem.sizes, 0)
    for variant in (0, 5, 9, 2):
        for v in range(many):
            refresh(problem.shapes, step, v)
        x, y = (float(c) for c in step.place[variant, 0])
        put(step, variant, x, y)
        put(once, variant, x, y)
    for v in range(many):
        a, b = refresh(problem.shapes, step, v), refresh(problem.shapes, once, v)
        one = np.array(sorted(tuple(np.round(p, 3)) for p in step.place[v, :a])).reshape(-1, 2)
        two = np.array(sorted(tuple(np.round(p, 3)) for p in once.place[v, :b])).reshape(-1, 2)
        assert one.shape == two.shape
        assert np.allclose(one, two, atol=2e-3)
