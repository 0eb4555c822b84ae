"""Pieces on the tape's marks: never larger than they are, and where their tips lose least."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon
from tests.sheets.cutting.checker import check_plan
from tests.sheets.cutting.test_plan import INCH, MM, carried, piece, shapes

from snugbay.job import Tool
from snugbay.pieces import Edge, EdgeKind
from snugbay.sheets.cutting.patterns import LEAST, Pattern, pattern, snapped, wedges
from snugbay.tape import Tape

XY = tuple[float, float]
CHEEKS = {
    "left": ((0.0, 0.0), (0.76489, 0.57797), (0.0, 0.58044)),
    "right": ((-0.002, 0.58879), (0.75948, -0.001), (0.75948, 0.58536)),
    "low": ((0.0, 0.5747), (0.76291, -0.001), (0.76291, 1.16086), (0.0, 1.15563)),
}


def lost(found: Pattern) -> float:
    """How far the corner that lost most lies from the pattern. [m]"""
    return max(float(found.shape.exterior.distance(Point(p))) for p in found.bare.exterior.coords)


@pytest.mark.parametrize("name", CHEEKS)
def test_the_tip_of_a_cheek_loses_about_a_mark(name: str) -> None:
    """With the lowest side on a mark the sharp tips lost 2.1 mm on a tape of millimetres, and 3.7 once cut."""
    found = pattern(piece("D", CHEEKS[name]), 0.001)
    assert found.on_grid
    assert lost(found) < 0.00125
    assert found.bare.buffer(1e-6).covers(found.shape)


@settings(max_examples=40, deadline=None)
@given(shapes(), st.sampled_from([INCH, MM]))
def test_a_pattern_lies_within_its_piece_on_marks_and_loses_no_more_than_at_its_lowest_corner(
    found: tuple[tuple[XY, ...], tuple[tuple[XY, ...], ...], float, tuple[tuple[XY, XY], ...]], tape: Tape
) -> None:
    outline, holes, _, slits = found
    mark = float(tape.mark)
    foamed = piece("P", outline, holes, 0.0, slits)
    tight = replace(foamed, edges=tuple(Edge(EdgeKind.SEAM) for _ in outline))
    for made in (pattern(foamed, mark), pattern(tight, mark)):
        if not made.on_grid or made.rounds:
            return
        assert made.bare.buffer(1e-6).covers(Polygon(made.shape.exterior))
        assert all(abs(v / mark - round(v / mark)) < 1e-4 for p in made.outline for v in p)
    low_x, low_y = min(x for x, _ in outline), min(y for _, y in outline)
    bare = Polygon([(x - low_x, y - low_y) for x, y in outline])
    plain = snapped(bare, mark)
    if plain is not None:
        most = max(plain.exterior.distance(Point(p)) for p in bare.exterior.coords)
        size = [plain.bounds[k + 2] - plain.bounds[k] for k in (0, 1)]
        given_up = 1.001 * mark + 2 * LEAST  # the leans of two sides that face each other
        assert all(made.shape.bounds[k + 2] - made.shape.bounds[k] >= size[k] - given_up for k in (0, 1))
        assert lost(made) <= max(most + mark / 8, 2**0.5 * (max(mark, LEAST) + mark)), (
            "each side moves by its lean, up to what nobody cuts off, and its rounding, a mark"
        )


@pytest.mark.parametrize(
    ("kind", "lean", "cuts"),
    [
        (EdgeKind.ROUGH, 0.0016, 2),
        (EdgeKind.ROUGH, 0.0024, 2),
        (EdgeKind.ROUGH, 0.0036, 3),
        (EdgeKind.SEAM, 0.0016, 2),
        (EdgeKind.SEAM, 0.0031, 2),
        (EdgeKind.SEAM, 0.0036, 3),
        (EdgeKind.CORNER, 0.0016, 2),
        (EdgeKind.CORNER, 0.0036, 3),
        (EdgeKind.SEAM, 0.0008, 2),
    ],
)
def test_no_wedge_is_cut_that_nobody_can_cut_off(kind: EdgeKind, lean: float, cuts: int) -> None:
    """A side out of square by up to an eighth of an inch took a cut of its own, and a sliver fell off."""
    outline = ((0.0, 0.0), (0.8, 0.0), (0.8, 0.6), (0.0, 0.6 + lean))
    edges = tuple(Edge(kind if i == 2 else EdgeKind.SEAM) for i in range(4))
    one = replace(piece("W", outline), edges=edges)
    found = pattern(one, 0.001)
    assert found.bare.buffer(1e-6).covers(found.shape), "it is never larger than its place"
    assert lost(found) < (LEAST if cuts == 2 else 0.002) + 0.0015
    plan = carried((one,), MM, Tool.KNIFE)
    assert len(plan.sheets[0].cuts) == cuts
    assert check_plan(plan, (one,), MM, 0.0) == []


def test_a_notch_keeps_its_leaning_sides() -> None:
    """They stand where the rafter stands; only long sides are made straight."""
    outline = ((0.0, 0.0), (0.4, 0.0), (0.4016, 0.09), (0.4516, 0.09), (0.45, 0.0), (0.9, 0.0), (0.9, 0.5), (0.0, 0.5))
    found = wedges(outline, piece("N", outline), 0.001)
    long = LEAST + 1e-7
    assert found == pytest.approx((long, 0.001, 0.001, 0.001, long, long, long, long))
