from __future__ import annotations

from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from snugbay.draw.placing import Room, apart, grown, spread
from snugbay.draw.scene import Text, turned_box

PLACES = st.lists(st.tuples(st.floats(0, 100), st.floats(0.5, 9)), min_size=1, max_size=14)


@given(PLACES)
def test_spread_boxes_never_overlap_and_keep_their_order(pairs: list[tuple[float, float]]) -> None:
    places, widths = [p for p, _ in pairs], [w for _, w in pairs]
    settled = spread(places, widths, -1e9, 1e9)
    order = sorted(range(len(pairs)), key=lambda i: (places[i], i))
    for i, j in pairwise(order):
        assert settled[j] - settled[i] >= (widths[i] + widths[j]) / 2 - 1e-6


@given(PLACES)
def test_spread_leaves_boxes_alone_that_do_not_touch(pairs: list[tuple[float, float]]) -> None:
    apart_places = [20.0 * n + p / 10 for n, (p, _) in enumerate(pairs)]
    settled = spread(apart_places, [w for _, w in pairs], -1e9, 1e9)
    assert all(abs(a - b) < 1e-9 for a, b in zip(apart_places, settled, strict=True))


@given(PLACES)
def test_spread_stays_within_bounds_where_it_can(pairs: list[tuple[float, float]]) -> None:
    widths = [w for _, w in pairs]
    settled = spread([p for p, _ in pairs], widths, 0.0, max(100.0, sum(widths)))
    for at, wide in zip(settled, widths, strict=True):
        assert at - wide / 2 >= -1e-6
        assert at + wide / 2 <= max(100.0, sum(widths)) + 1e-6


BOXES = st.tuples(st.floats(0, 20), st.floats(0, 20), st.floats(1, 9), st.floats(1, 9), st.floats(-180, 180))


@settings(max_examples=300)
@given(BOXES, BOXES)
def test_apart_agrees_with_shapely(a: tuple[float, ...], b: tuple[float, ...]) -> None:
    quads = [turned_box((x, y), -w / 2, -h / 2, w / 2, h / 2, turn) for x, y, w, h, turn in (a, b)]
    shared = Polygon(quads[0]).intersection(Polygon(quads[1])).area
    if shared > 1e-6:
        assert not apart(*quads)
    elif Polygon(quads[0]).distance(Polygon(quads[1])) > 1e-6:
        assert apart(*quads)


@given(BOXES, st.floats(0.1, 2))
def test_grown_box_is_wider_by_twice_the_margin(box: tuple[float, ...], by: float) -> None:
    x, y, w, h, turn = box
    quad = turned_box((x, y), 0, 0, w, h, turn)
    assert abs(Polygon(grown(quad, by)).area - (w + 2 * by) * (h + 2 * by)) < 1e-6


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.floats(10, 90), st.floats(10, 90)), min_size=2, max_size=20))
def test_labels_put_into_a_room_do_not_overlap(spots: list[tuple[float, float]]) -> None:
    room = Room((0, 0, 400, 400))
    put = [room.put([Text(spot, "7' 4-1/2\"", 4.0)], reach=300)[0] for spot in spots]
    for i, first in enumerate(put):
        for second in put[i + 1 :]:
            assert apart(first.corners, second.corners)
