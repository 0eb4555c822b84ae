"""Following the sliders: which of the reckoned plans is best for another worth of an hour and other limits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import inf

from snugbay.weigh import PlanPoint, Weighing


@dataclass(frozen=True)
class Limits:
    """What the sliders say.

    Attributes
    ----------
    worth : float
        Of an own hour, in the job's currency.
    budget : float
        Most cash; infinite for no limit.
    hours : float
        Most own hours; infinite for no limit.
    """

    worth: float
    budget: float = inf
    hours: float = inf


def all_points(weighing: Weighing) -> tuple[PlanPoint, ...]:
    """Return every buildable plan that was reckoned, the chosen one first, each once."""

    def named() -> Iterator[PlanPoint]:
        yield weighing.plan
        yield from weighing.frontier
        yield from weighing.candidates
        if weighing.second is not None:
            yield weighing.second
        yield from (point for _, point in weighing.single_way)

    return tuple(dict.fromkeys(named()))


def best_point(weighing: Weighing, worth: float, limits: Limits) -> PlanPoint | None:
    """Return the plan with the least whole cost under the limits, or None where no plan keeps them.

    The whole cost is linear in the worth of an hour (cash + hours x worth + energy), so that a plan's cost at another
    worth follows from its own hours; the frontier holds the best plan for every worth and every limit.

    Parameters
    ----------
    weighing : Weighing
        With the frontier.
    worth : float
        The worth of an hour that its whole costs were reckoned with.
    limits : Limits
        What the sliders say.
    """
    kept = [p for p in all_points(weighing) if p.cash <= limits.budget + 0.5 and p.hours <= limits.hours + 1e-6]
    return min(kept, key=lambda p: p.whole_cost + (limits.worth - worth) * p.hours, default=None)
