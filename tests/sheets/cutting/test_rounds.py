"""Pipes through boards: one round cut each, by centre and radius, without a set-up of the straightedge."""

from __future__ import annotations

from math import cos, hypot, pi, radians, sin

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon
from tests.sheets.cutting.checker import check_plan
from tests.sheets.cutting.test_plan import INCH, MM, bitten, carried, kerf_of, piece, rectangle

from snugbay.base import Effort, Run
from snugbay.job import Stock, Tool
from snugbay.materials import Rates, board
from snugbay.sheets import plan_sheets
from snugbay.sheets.cutting.minutes import Bench
from snugbay.sheets.cutting.rounds import compass, without_bites
from snugbay.tape import Tape

XY = tuple[float, float]


def rim(x: float, y: float, r: float, count: int = 24) -> tuple[XY, ...]:
    """A pipe's clearance as a polygon round its circle."""
    far = r / cos(pi / count)
    return tuple((x + far * cos(-2 * pi * k / count), y + far * sin(-2 * pi * k / count)) for k in range(count))


def parted(x: float, y: float, r: float, at: float) -> tuple[tuple[XY, ...], tuple[XY, ...]]:
    """Both boards of a 2 m x 1 m face with a pipe and a level seam through it."""
    hole = Polygon(rim(x, y, r))
    boards = (Polygon(rectangle(2.0, at)), Polygon([(0.0, at), (2.0, at), (2.0, 1.0), (0.0, 1.0)]))
    rings = [b.difference(hole).exterior for b in boards]
    return tuple(tuple((float(a), float(b)) for a, b in list(r.coords)[:-1][:: 1 if r.is_ccw else -1]) for r in rings)  # type: ignore[return-value]


@pytest.mark.parametrize("at", [0.35, 0.42, 0.5, 0.61, 0.66])
def test_both_boards_beside_a_seam_through_a_pipe_know_the_same_circle(at: float) -> None:
    for outline in parted(0.7, 0.5, 0.18, at):
        filled, bites = without_bites(outline, 0.001)
        assert len(bites) == 1
        assert bites[0].true_centre == pytest.approx((0.7, 0.5), abs=1e-9)
        assert bites[0].true_radius == pytest.approx(0.18 / cos(pi / 24))
        assert len(filled) == 4, "the straight side runs on over the bite"


def test_wavy_edges_notches_and_corners_are_no_bites() -> None:
    wavy = ((0.0, 0.0), (2.4, 0.0), (2.4, 1.0), (1.8, 0.98), (1.2, 0.97), (0.6, 0.98), (0.0, 1.0))
    notch = ((0.0, 0.0), (0.4, 0.0), (0.41, 0.14), (0.47, 0.14), (0.46, 0.0), (1.0, 0.0), (1.0, 0.5), (0.0, 0.5))
    for outline in (wavy, notch, rectangle(1.0, 0.5)):
        assert without_bites(outline, 0.001) == (outline, ())
    assert compass(rectangle(0.2, 0.2)) is None


@pytest.mark.parametrize("tape", [INCH, MM])
@pytest.mark.parametrize("tool", [Tool.KNIFE, Tool.CIRCULAR])
def test_a_pipe_is_one_round_cut_and_no_set_up(tape: Tape, tool: Tool) -> None:
    """Two dozen plunge cuts with a straightedge, each with two marks, took the place of one circle."""
    low, high = parted(0.7, 0.5, 0.11, 0.52)
    whole = piece("C", rectangle(1.0, 0.6), (rim(0.5, 0.3, 0.06),), slits=(((0.5, 0.0), (0.5, 0.24)),))
    pieces = (piece("A", low), piece("B", high), whole)
    done = plan_sheets(pieces, Stock(), (tool,), Rates(), tape, Run(effort=Effort.QUICK)).value
    assert check_plan(done, pieces, tape, kerf_of(tool)) == []
    cuts = [c for s in done.sheets for c in s.cuts]
    rounds = [c for c in cuts if c.kind == "round"]
    assert sorted(p for c in rounds for p in c.pieces) == ["A", "B", "C"]
    assert done.set_ups == len(cuts) - len(rounds)
    assert not any(c.kind == "plunge" for c in cuts)
    assert all(c.tool == Tool.KNIFE.value for c in rounds)
    mark = float(tape.mark)
    for c in rounds:
        true = 0.06 if c.pieces == ("C",) else 0.11
        assert true / cos(pi / 24) - 1e-9 <= c.radius < true / cos(pi / 24) + 2 * mark
        assert sum(m.cut == c.number for s in done.sheets if c in s.cuts for m in s.marks) == 1
        assert c.arc == pytest.approx(2 * pi * c.radius, rel=0.01) or c.pieces != ("C",)


def test_minutes_of_a_round_cut_are_those_of_a_curve() -> None:
    """rates.csv: marking a cut-out 1.0 min, a curve 1.5 min, and the knife's way along the rim; no straightedge."""
    knife = Bench(Tool.KNIFE, Rates(), board("polyiso-2in").thickness)
    long = 2 * pi * 0.06
    assert knife.minutes(long, "round", bevelled=False) == pytest.approx(2.5 + long * knife.per_metre())


def test_a_centre_off_the_board_is_said_to_be_there() -> None:
    low, _ = parted(0.7, 0.5, 0.18, 0.35)
    plan = carried((piece("A", low),), MM, Tool.KNIFE)
    sheet = plan.sheets[0]
    (cut,) = (c for c in sheet.cuts if c.radius)
    (centre,) = (m for m in sheet.marks if m.cut == cut.number)
    shape = Polygon(sheet.placements[0].outline)
    assert shape.distance(Point(centre.at)) > cut.radius - 0.002
    assert not shape.convex_hull.contains(Point(centre.at))


@settings(max_examples=30, deadline=None, phases=[Phase.explicit, Phase.generate], derandomize=True)
@given(
    st.lists(
        st.tuples(
            *(st.floats(a, b) for a, b in ((0.2, 1.2), (0.15, 0.9), (0.0, 1.0), (-0.2, 0.35), (0.08, 0.4))),
            st.sampled_from([0.0, 0.2, 7.0, 90.0]),
        ),
        min_size=1,
        max_size=3,
    ),
    st.sampled_from([INCH, MM]),
    st.sampled_from(list(Tool)),
)
def test_boards_with_bites_come_out_no_larger_than_they_are(
    found: list[tuple[float, ...]], tape: Tape, tool: Tool
) -> None:
    pieces = []
    for k, (w, h, along, up, wide, turn) in enumerate(found):
        c, s = cos(radians(turn)), sin(radians(turn))
        outline = tuple((c * x - s * y, s * x + c * y) for x, y in bitten(w, h, along, up, wide))
        if Polygon(outline).area > 0.4 * w * h and hypot(w, h) < 1.2:
            pieces.append(piece(f"P{k}", outline))
    if pieces:
        assert check_plan(carried(tuple(pieces), tape, tool), pieces, tape, kerf_of(tool)) == []
