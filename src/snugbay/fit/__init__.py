"""Room fit: order of work, seams and sealing, the buying list."""

from snugbay.fit.bill import Bill, bill, over_budget
from snugbay.fit.buying import sheets_still
from snugbay.fit.order import fitting_plan
from snugbay.fit.sealing import cans, sealing
from snugbay.fit.uses import with_uses
from snugbay.fit.values import FittingPlan, Sealing, Step

__all__ = [
    "Bill",
    "FittingPlan",
    "Sealing",
    "Step",
    "bill",
    "cans",
    "fitting_plan",
    "over_budget",
    "sealing",
    "sheets_still",
    "with_uses",
]
