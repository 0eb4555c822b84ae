"""Parts that a saw leaves begin a kerf beyond its line; their marks lie on their own edges all the same."""

from __future__ import annotations

import pytest
from tests.sheets.cutting.test_plan import INCH, carried, kerf_of, laid, piece, rectangle

from snugbay.draw.sheet_marks import on_sheet_edge
from snugbay.draw.sheet_parts import parts_of
from snugbay.job import Tool


@pytest.mark.parametrize("tool", [Tool.KNIFE, Tool.HAND_SAW, Tool.CIRCULAR])
def test_a_mark_on_an_edge_of_a_part_is_drawn_on_that_edge(tool: Tool) -> None:
    """Beyond a circular saw's kerf the left mark of a cut across the part stood within the board."""
    k, wide, high = kerf_of(tool), 0.4, 0.35
    pieces = tuple(piece(f"R{i}", rectangle(wide, high - 0.0127 * (i % 2))) for i in range(8))
    places = [(i // 2 * (wide + k), i % 2 * (high + k), 0.0) for i in range(8)]
    (sheet,) = carried(pieces, INCH, tool, laid(pieces, places)).sheets
    parts = parts_of(sheet)
    assert parts
    for part in parts:
        for mark in (m for m in part.sheet.marks if m.edge != "inside"):
            assert on_sheet_edge(mark, part.sheet), (part.name, mark)
