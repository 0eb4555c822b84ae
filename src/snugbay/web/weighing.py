"""Weighing the same question again and again, in the worker: what the sliders say, and why not another way.

Reckoning all options of a job takes seconds, solving takes tenths of one: the reckoned question is kept.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass, replace

from snugbay.base import NoPlan, Run, Stopped, UnknownName
from snugbay.job import Job
from snugbay.survey import survey
from snugbay.web.follow import Limits
from snugbay.weigh import PlanPoint
from snugbay.weigh.alternatives import best_plan, refuse
from snugbay.weigh.points import point
from snugbay.weigh.problem import Limits as ProblemLimits
from snugbay.weigh.program import Columns, Row
from snugbay.weigh.search import Search
from snugbay.weigh.stage import Question, question

KEPT = 2
"""Questions that stay reckoned."""

_questions: OrderedDict[Job, Question] = OrderedDict()


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
        Why there is none.
    """

    reason: Reason
    point: PlanPoint | None
    text: str = ""


@dataclass(frozen=True)
class Followed:
    """The best plan for what the sliders say; None where no plan keeps the limits, and why."""

    point: PlanPoint | None
    text: str = ""


def reckoned(job: Job, run: Run) -> Question:
    """Return a job's question with all its options, reckoned once."""
    if job not in _questions:
        made = question(job, survey(job, run).value, run)
        if not made.finished:
            raise Stopped("The options were not all reckoned.")
        _questions[job] = made
        while len(_questions) > KEPT:
            _questions.popitem(last=False)
    _questions.move_to_end(job)
    return _questions[job]


def followed(job: Job, limits: Limits, run: Run) -> Followed:
    """Return the proved best plan for another worth of an hour and other limits.

    Parameters
    ----------
    job : Job
        The question as it was planned.
    limits : Limits
        What the sliders say.
    run : Run
        Effort, stop.
    """
    asked = reckoned(job, run).problem
    kept = ProblemLimits(limits.budget, limits.hours, asked.limits.season_kwh)
    search = Search(replace(asked, worth=limits.worth, limits=kept), run)
    answer = best_plan(search)
    if answer.plan is None:
        return Followed(None, refuse(search).hint)
    return Followed(point(search.problem, answer.plan, answer.worth))


def why_not(job: Job, reason: Reason, run: Run) -> WhyNot:
    """Return the best plan that does one face one way, wherever the line then runs.

    Raises
    ------
    UnknownName
        If the job has no such face.
    """
    asked = reckoned(job, run)
    problem = asked.problem
    number = problem.face_numbers.get(reason.face)
    if number is None:
        raise UnknownName(f"There is no face {reason.face!r}.", code="web.no-face")
    others = [i for i, o in enumerate(problem.faces[number].options) if o.way != reason.way]
    if len(others) == len(problem.faces[number].options):
        texts = [" ".join(o.why_not) for o in asked.options if (o.face, o.way) == (reason.face, reason.way)]
        return WhyNot(reason, None, texts[0] if texts else "")

    def rows(columns: Columns) -> Sequence[Row]:
        return [({columns.x[number] + i: 1.0 for i in others}, 0.0, 0.0)] if others else []

    search = Search(problem, run)
    answer = best_plan(search, rows)
    if answer.plan is None:
        fault: NoPlan = refuse(search)
        return WhyNot(reason, None, fault.what)
    return WhyNot(reason, point(problem, answer.plan, answer.worth))
