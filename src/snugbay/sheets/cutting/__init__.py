"""The cut plan: cut tree, marks on the tape's grid, minutes, offcuts worth keeping."""

from snugbay.sheets.cutting.plan import plan_sheets

__all__ = ["plan_sheets"]
