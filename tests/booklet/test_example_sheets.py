"""Every cut drawing of the example households, and of a crooked one, read back from its SVG."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import pytest
from tests.booklet.plan_fixture import PLAN
from tests.draw.looking import outside
from tests.draw.svg_reading import faults, read
from tests.flow.test_examples import HOUSEHOLDS, planned

from snugbay.base import Effort, Run
from snugbay.booklet import drawings
from snugbay.draw import to_svg
from snugbay.draw.sheet_parts import part_box, parts_of
from snugbay.flow import JobPlan
from snugbay.job import Stock, Tool
from snugbay.materials import Rates, board
from snugbay.pieces import Edge, EdgeKind, Piece
from snugbay.sheets import Sheet, SheetPlan, plan_sheets
from snugbay.tape import Tape

EAVES = Path(__file__).parent / "data" / "crooked-eaves.json"
"""31 boards of an invented slope in two layers: rafters askew, a flue of which five boards have a part, bevels."""

NEAR = 0.012
"""Kerfs and rounding shift cuts by less. [m]"""


@cache
def eaves() -> SheetPlan:
    thick = board("polyiso-2in").thickness
    pieces = tuple(
        Piece(
            row["id"],
            "S",
            row["layer"],
            "polyiso-2in",
            thick,
            tuple((x, y) for x, y in row["outline"]),
            tuple(Edge(EdgeKind.ROUGH, bevel=b) for b in row["bevels"]),
        )
        for row in json.loads(EAVES.read_text())
    )
    run = Run(seed=1, effort=Effort.QUICK)
    return plan_sheets(pieces, Stock(), (Tool.KNIFE,), Rates(), Tape("in", 16), run).value


def unreadable(sheet: Sheet, plan: JobPlan) -> list[str]:
    found = []
    for scene in (*drawings.sheet_pages(sheet, plan).drawn, *drawings.parts(sheet, plan, phone=True)):
        found += [
            f"sheet {sheet.number}, {scene.title}: {fault}" for fault in (*faults(to_svg(scene)), *outside(scene))
        ]
    return found


@pytest.mark.parametrize("name", HOUSEHOLDS)
def test_nothing_on_the_sheets_of_the_examples_lies_on_anything_else(name: str) -> None:
    plan = planned(name)
    assert [fault for sheet in plan.sheets.sheets for fault in unreadable(sheet, plan)] == []


@pytest.mark.parametrize("name", HOUSEHOLDS)
def test_a_part_is_the_one_that_its_cuts_are_made_on(name: str) -> None:
    """A side that leans along the line of an earlier cut was drawn on the part beyond that cut."""
    for sheet in planned(name).sheets.sheets:
        for part in parts_of(sheet):
            left, low, right, high = part_box(part)
            lying = {p.piece for p in part.sheet.placements}
            for cut in (c for c in sheet.cuts if c.blank == part.name):
                assert set(cut.pieces) <= lying, (sheet.number, part.name, cut.number)
                middle = ((cut.start[0] + cut.end[0]) / 2, (cut.start[1] + cut.end[1]) / 2)
                assert left - NEAR <= middle[0] <= right + NEAR or cut.radius
                assert low - NEAR <= middle[1] <= high + NEAR or cut.radius


def test_nothing_on_crowded_sheets_lies_on_anything_else() -> None:
    """Figures lay on each other, on the title and on cut lines; numbers on lines of other cuts."""
    assert [fault for sheet in eaves().sheets for fault in unreadable(sheet, PLAN)] == []


def test_a_flue_that_five_boards_share_is_five_round_cuts() -> None:
    rounds = [c for s in eaves().sheets for c in s.cuts if c.radius]
    assert len(rounds) == 5
    assert len({c.radius for c in rounds}) <= 2, "one circle, its centre rounded on each board"
    assert eaves().set_ups <= 100, "147 when every corner of the circle was a cut"


def test_the_reader_sees_faults() -> None:
    svg = to_svg(drawings.sheet_pages(eaves().sheets[1], PLAN).drawn[0])
    seen = read(svg)
    assert seen.texts
    assert seen.rings
    assert seen.cuts
    x, y = seen.rings[0][1].x, seen.rings[0][1].y
    stray = f'<text x="{x}" y="{y}" font-size="4" textLength="9">12</text>'
    assert len(faults(svg.replace("</svg>", f'<g data-layer="mark">{stray}</g></svg>'))) > len(faults(svg))
