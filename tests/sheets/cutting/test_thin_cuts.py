"""No cut takes off less board than anybody cuts: the piece is made a little smaller instead."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString
from tests.sheets.cutting.checker import check_plan
from tests.sheets.cutting.test_plan import INCH, MM, carried, piece, rectangle

from snugbay.base import Effort, Run
from snugbay.job import Stock, Tool
from snugbay.materials import Rates
from snugbay.pieces import Edge, EdgeKind, Piece
from snugbay.sheets import SheetPlan, plan_sheets
from snugbay.sheets.cutting.notes import strips
from snugbay.tape import Tape

IN = 0.0254
LEAST = IN / 8
LONG, WIDE = 96 * IN, 48 * IN


def pared(plan: SheetPlan) -> list[tuple[int, int]]:
    """The cuts that run along an edge of their sheet, nearer to it than an eighth of an inch; seen from the marks."""
    found = []
    for sheet in plan.sheets:
        rims = [
            LineString(ends)
            for ends in (
                ((0, 0), (sheet.length, 0)),
                ((sheet.length, 0), (sheet.length, sheet.width)),
                ((sheet.length, sheet.width), (0, sheet.width)),
                ((0, sheet.width), (0, 0)),
            )
        ]
        for cut in sheet.cuts:
            ends = LineString([cut.start, cut.end])
            if not cut.radius and any(0 < ends.hausdorff_distance(r) < LEAST - 1e-6 for r in rims):
                found.append((sheet.number, cut.number))
    return found


@pytest.mark.parametrize("tape", [INCH, MM])
@pytest.mark.parametrize("tool", [Tool.KNIFE, Tool.HAND_SAW])
@pytest.mark.parametrize("short", [0.001, 1 / 16, 0.1, 1 / 8, 0.2])
def test_nothing_is_pared_off_the_end_of_a_sheet(tape: Tape, tool: Tool, short: float) -> None:
    """A sixteenth was to be pared off both ends of a board of 2 in."""
    one = piece("A", rectangle(LONG - short * IN, WIDE - short * IN))
    plan = carried((one,), tape, tool)
    assert pared(plan) == []
    kerf = 0.0 if tool is Tool.KNIFE else 0.06 * IN
    assert all(not 0 < c.strip < LEAST - kerf - 1e-6 for s in plan.sheets for c in s.cuts)
    assert check_plan(plan, (one,), tape, kerf) == []
    assert plan.worst_rounding <= 2**0.5 * (LEAST + float(tape.mark) + 1e-6)


def gable() -> tuple[Piece, Piece]:
    """Two boards of a gable, as a survey gave them: one lies turned in the other's corner."""
    outer = (
        (2.98552, 0.00635),
        (2.98552, 0.65431),
        (2.33107, 1.22555),
        (1.32616, 1.22555),
        (0.63476, 0.58209),
        (0.63476, 0.00635),
    )
    corner = ((3.72787, 0.00635), (2.98552, 0.65431), (2.98552, 0.00635))
    kinds = (EdgeKind.SEAM, EdgeKind.ROUGH)
    found = []
    for label, outline in (("G-1b", outer), ("G-1c", corner)):
        edges = tuple(Edge(kinds[k % 2]) for k in range(len(outline)))
        found.append(replace(piece(label, outline), edges=edges))
    return found[0], found[1]


def test_two_boards_of_a_gable_share_the_cut_between_them() -> None:
    """Cuts 3 and 5 ran a sixteenth apart along the same line, cuts 1 and 2 pared a sixteenth off both ends."""
    pieces = gable()
    run = Run(seed=1, effort=Effort.QUICK)
    plan = plan_sheets(pieces, Stock(), (Tool.KNIFE,), Rates(), INCH, run, 18.0).value
    assert check_plan(plan, pieces, INCH, 0.0) == []
    assert pared(plan) == []
    assert len(plan.sheets) == 1
    leaning = [c for c in plan.sheets[0].cuts if min(abs(a - b) for a, b in zip(c.start, c.end, strict=True)) > 0.1]
    assert sorted(c.pieces for c in leaning) == [("G-1b",), ("G-1c", "G-1b")]


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(st.floats(0.2, 2.4), st.floats(0.15, 1.2), st.floats(-0.003, 0.003)), min_size=1, max_size=4))
def test_what_is_still_thin_is_said(sizes: list[tuple[float, float, float]]) -> None:
    pieces = tuple(
        piece(f"P{k}", ((0.0, 0.0), (w, 0.0), (w, h + lean), (0.0, h))) for k, (w, h, lean) in enumerate(sizes)
    )
    plan = carried(pieces, INCH, Tool.KNIFE)
    assert check_plan(plan, pieces, INCH, 0.0) == []
    for sheet in plan.sheets:
        thin = [c.number for c in sheet.cuts if 0 < c.strip < LEAST - 1e-6]
        said = [f for f in strips(sheet, Rates()) if f.code == "sheets.thin-cut"]
        assert bool(thin) == bool(said)
    assert pared(plan) == []
