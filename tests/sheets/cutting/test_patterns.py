"""Pieces on the tape's marks: never larger than they are, and where their tips lose least."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon
from tests.sheets.cutting.test_plan import INCH, MM, piece, shapes

from snugbay.sheets.cutting.patterns import Pattern, pattern, snapped
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
    made = pattern(piece("P", outline, holes, 0.0, slits), mark)
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
        assert all(made.shape.bounds[k + 2] - made.shape.bounds[k] >= size[k] - 1.001 * mark for k in (0, 1))
        assert lost(made) <= max(most, 2**0.5 * mark) + mark / 8 + 1e-9
