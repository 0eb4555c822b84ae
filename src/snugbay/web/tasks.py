"""What the worker can do: each task is a name, a job and what else it needs."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from snugbay.base import InputError, Run
from snugbay.job import Job

if TYPE_CHECKING:
    from snugbay.flow import JobPlan


@dataclass(frozen=True)
class Task:
    """One piece of long work.

    Attributes
    ----------
    name : str
        A key of `TASKS`.
    job : Job
        The question.
    extra : tuple
        What else the task needs.
    """

    name: str
    job: Job
    extra: tuple[object, ...] = ()


def plan(task: Task, run: Run) -> object:
    """Plan the whole job; returns its `JobPlan`."""
    from snugbay.flow import whole_job

    return whole_job(task.job, run).value


def _plan_of(task: Task) -> JobPlan:
    from snugbay.flow import JobPlan

    plan = task.extra[0]
    if not isinstance(plan, JobPlan):
        raise InputError("There is no plan to go by.")
    return plan


def why(task: Task, run: Run) -> object:
    """Weigh a plan's options again with one face held to a way; returns a `WhyNot`."""
    from snugbay.web.weighing import Reason, why_not

    plan, reason = _plan_of(task), task.extra[1]
    if not isinstance(reason, Reason):
        raise InputError("That question is none.")
    return why_not(plan, reason, run)


def follow(task: Task, run: Run) -> object:
    """Weigh a plan's options again with other limits; returns a `Followed`."""
    from snugbay.web.follow import Limits
    from snugbay.web.weighing import followed

    plan, limits = _plan_of(task), task.extra[1]
    if not isinstance(limits, Limits):
        raise InputError("Those limits are none.")
    return followed(plan, limits, run)


def relay(task: Task, run: Run) -> object:
    """Lay what is left on sheets again; returns a `SheetPlan`."""
    from snugbay.flow.relay import Rest, lay_rest

    rest = task.extra[0]
    if not isinstance(rest, Rest):
        raise InputError("There is nothing to lay.")
    return lay_rest(task.job, rest, run)


def prove(task: Task, run: Run) -> object:
    """Hold the log and the readings of a job against the plan that is followed; returns a `ProveAnswer`."""
    from snugbay.flow import proved

    return proved(_plan_of(task), task.job, run).value


def rough(task: Task, run: Run) -> object:
    """Say what a few numbers of a space already tell; returns a `RoughAnswer`."""
    from snugbay.flow.rough import rough as answer
    from snugbay.job.space import Space

    space, hour_said = task.extra
    if not isinstance(space, Space):
        raise InputError("There is no space to answer for.")
    return answer(task.job, space, run, hour_said=bool(hour_said))


_ALL: dict[str, Callable[[Task, Run], object]] = {
    "plan": plan,
    "why": why,
    "follow": follow,
    "relay": relay,
    "prove": prove,
    "rough": rough,
}

TASKS: Mapping[str, Callable[[Task, Run], object]] = MappingProxyType(_ALL)


def check(task: Task) -> None:
    """Raise `InputError` for a task that nobody can do."""
    if task.name not in TASKS:
        raise InputError(f"There is no work called {task.name!r}.")
