"""Weighing the same plan's question again and again, in the worker: what the sliders say, and why not another way.

The options of a plan are reckoned already; putting the question together from them takes tenths of a second, solving it
as long: the question is kept.
"""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass

from snugbay.base import NoPlan, Run, Told
from snugbay.flow import JobPlan
from snugbay.web.follow import Limits
from snugbay.weigh import PlanPoint
from snugbay.weigh import why_not as weighed_otherwise
from snugbay.weigh.counted import as_counted_for
from snugbay.weigh.likely import Likely
from snugbay.weigh.limits import best_within
from snugbay.weigh.stage import Question
from snugbay.weigh.whynot import question_again

KEPT = 2
"""Questions that stay put together."""

_questions: OrderedDict[str, Question] = OrderedDict()
_drawn: OrderedDict[str, Likely] = OrderedDict()


@dataclass(frozen=True)
class Reason:
    """What is asked: this face, done this way."""

    face: str
    way: str


@dataclass(frozen=True)
class WhyNot:
    """What it would change.

    Attributes
    ----------
    reason : Reason
        What was asked.
    point : PlanPoint or None
        The best plan that does the face that way; None where there is none.
    text : str
        In words.
    """

    reason: Reason
    point: PlanPoint | None
    text: Told = ""


@dataclass(frozen=True)
class Followed:
    """The best plan for what the sliders say; None where no plan keeps the limits, and why."""

    point: PlanPoint | None
    text: Told = ""


def question_of(plan: JobPlan) -> Question:
    """Return a plan's question with all its options, put together once."""
    if plan.digest not in _questions:
        _questions[plan.digest] = question_again(as_counted_for(plan.job), plan.survey, plan.weighing)
        while len(_questions) > KEPT:
            _questions.popitem(last=False)
    _questions.move_to_end(plan.digest)
    return _questions[plan.digest]


def followed(plan: JobPlan, limits: Limits, run: Run) -> Followed:
    """Return the proved best plan for another worth of an hour and other limits.

    Parameters
    ----------
    plan : JobPlan
        Whose question it is.
    limits : Limits
        What the sliders say.
    run : Run
        Effort, stop.
    """
    try:
        point = best_within(question_of(plan), limits.worth, limits.budget, limits.hours, run).value
        return Followed(_with_middle(plan, point))
    except NoPlan as error:
        return Followed(None, error.cure or error.hint)


def _with_middle(plan: JobPlan, point: PlanPoint) -> PlanPoint:
    """Return a point with its medians over the draws that the plan's own figures come from."""
    if plan.digest not in _drawn:
        _drawn[plan.digest] = Likely(question_of(plan), plan.weighing.spread.draws, Run(plan.seed))
        while len(_drawn) > KEPT:
            _drawn.popitem(last=False)
    return _drawn[plan.digest].with_middle(point)


def why_not(plan: JobPlan, reason: Reason, run: Run) -> WhyNot:
    """Return the best plan that does one face one way, wherever the line then runs.

    Raises
    ------
    UnknownName
        If the job has no such face or way.
    """
    found = weighed_otherwise(as_counted_for(plan.job), plan.survey, plan.weighing, reason.face, reason.way, run).value
    return WhyNot(reason, found.plan, found.text)
