"""Room weigh: where the line runs and which way each face gets; frontier, spread, break-even, re-plan."""

from snugbay.weigh.replan import replan
from snugbay.weigh.stage import weigh
from snugbay.weigh.values import (
    AS_FOUND,
    Band,
    BreakEven,
    Money,
    PlanPoint,
    Purchase,
    Replan,
    Spread,
    Weighing,
    WhyNot,
)
from snugbay.weigh.whynot import why_not

__all__ = [
    "AS_FOUND",
    "Band",
    "BreakEven",
    "Money",
    "PlanPoint",
    "Purchase",
    "Replan",
    "Spread",
    "Weighing",
    "WhyNot",
    "replan",
    "weigh",
    "why_not",
]
