"""Small drawings lie together on pages, in their order, none on another."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise
from math import radians

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.booklet.plan_fixture import PLAN, SHEET_1, SHEET_2
from tests.draw.looking import words

from snugbay.booklet import drawings
from snugbay.booklet.laying import GAP, Leaf, laid
from snugbay.draw import part_drawings
from snugbay.draw.sheet_body import bevel_words
from snugbay.draw.sheet_parts import scale_of
from snugbay.sheets import Cut, Mark
from snugbay.tape import format_length

WIDTH, FIRST, HEIGHT = 255.0, 165.0, 193.0
sizes = st.lists(st.tuples(st.floats(20.0, 255.0), st.floats(10.0, 190.0)), min_size=1, max_size=20)


def boxes(leaf: Leaf, found: list[tuple[float, float]]) -> list[tuple[float, float, float, float]]:
    return [(s.x, s.y, s.x + found[s.number][0], s.y + found[s.number][1]) for s in leaf.spots]


@settings(max_examples=60, deadline=None)
@given(sizes)
def test_drawings_are_laid_in_order_and_apart(found: list[tuple[float, float]]) -> None:
    leaves = laid(found, WIDTH, FIRST, HEIGHT)
    assert [s.number for leaf in leaves for s in leaf.spots] == list(range(len(found)))
    for n, leaf in enumerate(leaves):
        for left, top, right, bottom in boxes(leaf, found):
            assert left >= 0
            assert top >= 0
            assert right <= WIDTH + 0.11
            assert bottom <= leaf.height + 1e-9
            assert leaf.height <= (FIRST if n == 0 else HEIGHT) + 1e-6
        for a, b in combinations(boxes(leaf, found), 2):
            near = GAP - 1e-3
            assert a[2] + near <= b[0] or b[2] + near <= a[0] or a[3] + near <= b[1] or b[3] + near <= a[1]
    for one, two in pairwise(leaves):
        assert two.spots, one


def test_a_dozen_small_drawings_do_not_take_a_dozen_pages() -> None:
    """Rows as high as their highest drawing put two on a page: 30 pages of 56 of one booklet were cuts."""
    narrow, wide = (81.0, 50.0), (168.0, 74.0)
    assert len(laid([narrow] * 6, WIDTH, FIRST, HEIGHT)) == 1
    assert len(laid([narrow, narrow, narrow, wide, narrow, narrow], WIDTH, FIRST, HEIGHT)) == 1
    assert len(laid([narrow, wide] * 5, WIDTH, FIRST, HEIGHT)) == 3


def test_a_sheet_with_few_parts_lies_on_one_page_with_them() -> None:
    cuts = (
        Cut(1, (1.0, 0.0), (1.0, 1.2192), "edge to edge", 0, "sheet", 0.0, 4, "long knife", 1.0, ("K1-1a",)),
        Cut(2, (1.0, 0.5), (0.0, 0.5), "through the blank", 1, "1a", 0.0, 4, "long knife", 1.0, ("K1-1a",)),
    )
    marks = tuple(Mark(1, e, (1.0, y), 1.0, 0.0, 1.0) for e, y in (("bottom", 0.0), ("top", 1.2192)))
    marks += tuple(Mark(2, e, (x, 0.5), 0.5, 0.0, 0.5) for e, x in (("left", 0.0), ("right", 1.0)))
    few = replace(SHEET_1, cuts=cuts, marks=marks, placements=SHEET_1.placements[:1])
    shown = drawings.sheet_pages(few, PLAN)
    assert shown.together
    assert len(shown.leaves) == 1
    assert len(shown.drawn) == 2
    many = drawings.sheet_pages(SHEET_2, PLAN)
    assert not many.together
    assert [s.number for leaf in many.leaves for s in leaf.spots] == list(range(len(many.drawn)))


def test_no_bevel_is_lost_at_the_end_of_a_short_line() -> None:
    """In a narrow drawing the angle and its side were cut off with three dots."""

    def mm(metres: float) -> str:
        return format_length(metres, "mm")

    names = ("K1-1a", "K1-2b", "K1-3c", "K1-4d")
    cuts = (
        Cut(1, (1.0, 0.0), (1.0, 1.2192), "edge to edge", 0, "sheet", 0.0, 4, "long knife", 1.0, ()),
        Cut(2, (0.0, 0.5), (1.0, 0.5), "through the blank", 1, "1a", radians(33.5), 4, "reciprocating saw", 1.0, names),
    )
    marks = tuple(Mark(2, e, (x, 0.5), 0.5, 0.0, 0.5) for e, x in (("left", 0.0), ("right", 1.0)))
    (part,) = part_drawings(replace(SHEET_1, cuts=cuts, marks=marks, placements=()), mm, (81.0, 56.0))
    said = " ".join(words(part))
    assert bevel_words(cuts[1], SHEET_1.thickness, mm) in said
    assert all(name in said for name in names)


def test_small_parts_lie_under_the_table_where_they_fit() -> None:
    """Pages were half empty: a low sheet, and its one small part on a page of its own."""
    cuts = (
        Cut(1, (1.0, 0.0), (1.0, 0.3), "edge to edge", 0, "sheet", 0.0, 4, "long knife", 1.0, ()),
        Cut(2, (0.5, 0.3), (0.5, 0.0), "through the blank", 1, "1a", 0.0, 4, "long knife", 1.0, ()),
    )
    low = replace(SHEET_1, width=0.3, cuts=cuts, marks=(), damaged=(), keep=(), placements=SHEET_1.placements * 3)
    shown = drawings.sheet_pages(low, PLAN)
    assert not shown.together
    page = drawings.LETTER_HIGH - drawings.TABLE_HEAD - drawings.TABLE_ROW - drawings.PARTS_HEAD
    assert shown.leaves[0].height + shown.leaves[1].height <= page
    assert [s.number for s in shown.leaves[1].spots] == [1]


def test_a_sheet_is_not_drawn_tiny_for_the_table_of_its_cuts() -> None:
    """Eight cuts on the whole sheet: it was drawn at 1:40 over the table, too small to read."""
    n = 9
    cuts = tuple(
        Cut(k, (0.25 * k, 0.0), (0.25 * k, 1.2192), "edge to edge", 0, "sheet", 0.0, 4, "long knife", 1.0, ())
        for k in range(1, n + 1)
    )
    marks = tuple(
        Mark(c.number, e, (c.start[0], y), c.start[0], 0.0, c.start[0])
        for c in cuts
        for e, y in (("bottom", 0.0), ("top", 1.2192))
    )
    shown = drawings.sheet_pages(replace(SHEET_1, cuts=cuts, marks=marks, placements=()), PLAN)
    assert shown.apart
    assert scale_of(shown.drawn[0]) <= 16
