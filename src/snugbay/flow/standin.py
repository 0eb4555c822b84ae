"""Until room sheets plans cuts and marks: lay the pieces with its engine, nothing more."""

from __future__ import annotations

from collections import defaultdict
from math import cos, radians, sin

from shapely.geometry import Polygon

from snugbay.base import Outcome, Run
from snugbay.job import Stock, Tool
from snugbay.materials import Rates, board
from snugbay.pieces import Piece
from snugbay.sheets import Budget, Instance, Placement, Sheet, SheetPlan, SheetSize, lay
from snugbay.tape import Tape


def plan_sheets(
    pieces: tuple[Piece, ...], stock: Stock, tools: tuple[Tool, ...], rates: Rates, tape: Tape, run: Run
) -> Outcome[SheetPlan]:
    """Lay pieces on new sheets."""
    del stock, tools, rates, tape
    groups: dict[str, list[Piece]] = defaultdict(list)
    for p in pieces:
        groups[p.material].append(p)
    sheets: list[Sheet] = []
    for key, group in groups.items():
        row = board(key)
        inst = Instance(key, SheetSize(row.length, row.width), tuple(p.outline for p in group), 0.003)
        layout = lay(inst, Budget.of_effort(run.effort), run).value
        for laid in layout.sheets:
            places = []
            for one in laid.laid:
                p = group[one.piece]
                c, s = cos(radians(one.angle_deg)), sin(radians(one.angle_deg))
                out = tuple((c * x - s * y + one.x, s * x + c * y + one.y) for x, y in p.outline)
                at = Polygon(out).representative_point()
                up = (c * p.up[0] - s * p.up[1], s * p.up[0] + c * p.up[1])
                places.append(Placement(p.id, out, (), radians(one.angle_deg), up, (at.x, at.y)))
            used = sum(Polygon(q.outline).area for q in places) / (row.length * row.width)
            sheets.append(
                Sheet(len(sheets) + 1, key, row.thickness, row.width, row.length, "new", tuple(places), used=used)
            )
    return Outcome(SheetPlan(tuple(sheets), 0.0, 0, 0, 0.0, 0.0))
