"""Overlays of plane shapes never fail, and random small spaces are cut, proved, laid and drawn or refused in words."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon
from tests.draw.spaces import drawn, random_space

from snugbay.pieces.overlay import mended, shared, together, without

NEAR = st.floats(-1e-9, 1e-9)


@pytest.mark.parametrize("seed", [3, 6])
def test_a_random_space_is_drawn(seed: int) -> None:
    """More of them: `python -m bench.draw_spaces`."""
    assert drawn(random_space(np.random.default_rng(seed))) > 0


@settings(max_examples=150, deadline=None, derandomize=True)
@given(
    turn=st.floats(0.0, 3.2),
    off=st.lists(NEAR, min_size=16, max_size=16),
    wide=st.floats(0.5, 200.0),
)
def test_shapes_that_all_but_coincide_are_overlaid(turn: float, off: list[float], wide: float) -> None:
    """Two quadrilaterals a billionth apart: what they share and what is left of one without the other add up."""
    spin = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    base = np.array([(0.0, 0.0), (wide, 0.0), (wide, wide / 3), (0.1, wide / 2)]) @ spin.T
    a = Polygon(base + np.array(off[:8]).reshape(4, 2))
    b = Polygon(base + np.array(off[8:]).reshape(4, 2))
    left, both = without(a, b), shared(a, b)
    assert left.area + both.area == pytest.approx(a.area, abs=1e-6 * wide)
    assert without(together([left, b]), a).area < 1e-6 * wide


def test_what_crosses_itself_or_only_touches_is_mended_to_its_areas() -> None:
    bow = Polygon([(0, 0), (1, 1), (1, 0), (0, 1)])
    assert mended(bow).area == pytest.approx(0.5)
    square, beside = Polygon([(0, 0), (1, 0), (1, 1), (0, 1)]), Polygon([(1, 0), (2, 0), (2, 1), (1, 1)])
    touch = shared(square, beside)
    assert touch.area == 0.0
    assert without(square, touch).area == pytest.approx(1.0)
    assert shared(LineString([(-1, 0.5), (3, 0.5)]), square).length == pytest.approx(1.0)
