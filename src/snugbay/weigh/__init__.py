"""Room weigh: where the line runs and which way each face gets; frontier, spread, break-even, re-plan."""

from snugbay.weigh.stage import weigh
from snugbay.weigh.values import (
    AS_FOUND,
    Band,
    BreakEven,
    Money,
    PlanPoint,
    Purchase,
    Spread,
    Weighing,
)

__all__ = [
    "AS_FOUND",
    "Band",
    "BreakEven",
    "Money",
    "PlanPoint",
    "Purchase",
    "Spread",
    "Weighing",
    "weigh",
]
