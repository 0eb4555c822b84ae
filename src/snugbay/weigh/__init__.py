"""Room weigh: where the line runs and which way each face gets; frontier, spread, break-even, re-plan."""

from snugbay.weigh.afterwards import Afterwards
from snugbay.weigh.dry import weigh_again, weigh_dry
from snugbay.weigh.look_ahead import look_ahead
from snugbay.weigh.replan import Progress, replan
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
    "Afterwards",
    "Band",
    "BreakEven",
    "Money",
    "PlanPoint",
    "Progress",
    "Purchase",
    "Replan",
    "Spread",
    "Weighing",
    "WhyNot",
    "look_ahead",
    "replan",
    "weigh",
    "weigh_again",
    "weigh_dry",
    "why_not",
]
