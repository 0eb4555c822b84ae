"""Convex parts, growing by half the kerf, filled notches: checked against shapely."""

from __future__ import annotations

import math

from hypothesis import assume, given
from hypothesis import strategies as st
from shapely import unary_union
from shapely.geometry import Polygon
from tests.sheets.nest.checker import lists

from snugbay.sheets.nest.convex import convex_parts, grown, reflex_corners, without_flat_corners, without_notches
from snugbay.sheets.nest.instance import Outline, area


@st.composite
def stars(draw: st.DrawFn) -> Outline:
    """Simple outlines: corners at rising angles about a point, at any distance."""
    n = draw(st.integers(3, 9))
    gaps = draw(st.lists(st.integers(1, 10), min_size=n, max_size=n))
    reach = draw(st.lists(st.integers(2, 40), min_size=n, max_size=n))
    angles = [2 * math.pi * sum(gaps[:i]) / sum(gaps) for i in range(n)]
    outline = tuple(
        (round(r * math.cos(a) * 8) / 8, round(r * math.sin(a) * 8) / 8) for a, r in zip(angles, reach, strict=True)
    )
    shape = Polygon(outline)
    assume(shape.is_valid and shape.area > 1 and area(outline) > 0)
    return outline


@given(stars())
def test_parts_are_convex_and_make_up_the_outline(outline: Outline) -> None:
    parts = convex_parts(outline)
    assert all(not reflex_corners(p) for p in parts)
    assert math.isclose(sum(area(p) for p in parts), area(outline), rel_tol=1e-9)
    joined = unary_union([Polygon(p) for p in parts])
    assert joined.symmetric_difference(Polygon(outline)).area < 1e-6 * area(outline)


@given(stars(), st.floats(0.01, 3))
def test_growing_covers_the_circle_and_not_much_more(outline: Outline, by: float) -> None:
    for part in convex_parts(outline):
        shape = Polygon(grown(part, by))
        assert shape.is_valid
        assert not reflex_corners(tuple(shape.exterior.coords[:-1]))
        assert Polygon(part).buffer(by, quad_segs=32).difference(shape).area < 1e-6
        assert shape.difference(Polygon(part).buffer(by * math.sqrt(2.001), quad_segs=64)).area < 1e-3 * by * by


def test_all_lists_split_into_few_parts() -> None:
    for name in ("nonconvex-dev", "trade-dev"):
        for instance in lists(name).values():
            for outline in instance.pieces:
                parts = convex_parts(outline)
                assert len(parts) <= len(reflex_corners(outline)) + 1


def test_a_notch_in_a_straight_edge_is_filled() -> None:
    notched = ((0.0, 0.0), (30.0, 0.0), (30.0, 10.0), (20.0, 10.0), (20.0, 7.0), (16.0, 7.0), (16.0, 10.0), (0.0, 10.0))
    assert area(without_notches(notched, 12.0)) == 300.0
    assert without_notches(notched, 11.9) == notched


@given(stars(), st.floats(0, 200))
def test_filling_covers_the_outline_within_its_hull(outline: Outline, most: float) -> None:
    filled = Polygon(without_notches(outline, most))
    assert filled.is_valid
    assert Polygon(outline).difference(filled).area < 1e-9
    assert filled.difference(Polygon(outline).convex_hull).area < 1e-9


def test_flat_corners_go() -> None:
    assert without_flat_corners(((0.0, 0.0), (1.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0), (0.0, 1.0))) == (
        (0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0),
    )  # fmt: skip
