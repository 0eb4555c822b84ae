"""The same question with another worth of an hour, another budget, other hours: the best plan then."""

from __future__ import annotations

from dataclasses import replace

from snugbay.base import Outcome, Run
from snugbay.weigh.alternatives import best_plan, refuse
from snugbay.weigh.choosing import Chooser
from snugbay.weigh.points import point
from snugbay.weigh.problem import Limits
from snugbay.weigh.stage import Question
from snugbay.weigh.values import PlanPoint


def best_within(question: Question, worth: float, budget: float, hours: float, run: Run) -> Outcome[PlanPoint]:
    """Return the proved best plan of a question whose options are reckoned already.

    Parameters
    ----------
    question : Question
        Of `question_again`: the options of a weighing, put together once for many such questions.
    worth : float
        Of an own hour. [currency/h]
    budget, hours : float
        Most cash and most own hours; infinite for no limit. [currency, h]
    run : Run
        Effort, stop.

    Returns
    -------
    Outcome of PlanPoint
        The plan.

    Raises
    ------
    NoPlan
        If no plan keeps the limits.
    """
    asked = question.problem
    limits = Limits(budget, hours, asked.limits.season_kwh)
    search = Chooser(question.base, replace(asked, worth=worth, limits=limits), run)
    answer = best_plan(search)
    if answer.plan is None:
        raise refuse(search)
    return Outcome(point(search.problem, answer.plan, answer.worth), finished=answer.finished)
