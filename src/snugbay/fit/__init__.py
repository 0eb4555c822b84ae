"""Room fit: order of work, seams and sealing, the buying list."""

from snugbay.fit.buying import buying
from snugbay.fit.order import fitting_plan, piece_order
from snugbay.fit.sealing import can_volume, cans, sealing
from snugbay.fit.values import FittingPlan, Sealing, Step

__all__ = [
    "FittingPlan",
    "Sealing",
    "Step",
    "buying",
    "can_volume",
    "cans",
    "fitting_plan",
    "piece_order",
    "sealing",
]
