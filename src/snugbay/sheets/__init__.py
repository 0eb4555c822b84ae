"""Room sheets: pieces -> sheets and offcuts, cut order, marks, minutes."""

from snugbay.sheets.cutting import plan_sheets
from snugbay.sheets.nest.budget import Budget
from snugbay.sheets.nest.formats import instances_from_json, solution_to_json
from snugbay.sheets.nest.instance import Instance, Laid, LaidSheet, Layout, SheetSize
from snugbay.sheets.nest.lay import lay
from snugbay.sheets.values import Cut, End, Mark, Placement, Sheet, SheetPlan

__all__ = [
    "Budget",
    "Cut",
    "End",
    "Instance",
    "Laid",
    "LaidSheet",
    "Layout",
    "Mark",
    "Placement",
    "Sheet",
    "SheetPlan",
    "SheetSize",
    "instances_from_json",
    "lay",
    "plan_sheets",
    "solution_to_json",
]
