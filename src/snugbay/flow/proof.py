"""What stands on a plan that was printed: the proof from log and thermometer, and why not another way."""

from __future__ import annotations

from dataclasses import replace

from snugbay.base import Outcome, Run
from snugbay.flow.measuring import measured
from snugbay.flow.values import JobPlan
from snugbay.job import Job
from snugbay.prove import Followed, ProveAnswer, ToRead, prove
from snugbay.prove.ask import line_faces, to_read
from snugbay.ways.found import ground
from snugbay.weigh import Weighing, WhyNot, why_not
from snugbay.weigh.counted import as_counted_for


def under_way(plan: JobPlan, job: Job) -> Job:
    """Return the job as it was planned, with what was done and read since."""
    return replace(plan.job, log=job.log, temperatures=job.temperatures, loggers=job.loggers)


def followed(plan: JobPlan) -> Weighing:
    """Return a plan's weighing, bought for by the list that was printed: sheets as laid, joints as they are."""
    return replace(plan.weighing, purchases=plan.buying)


def proof_of(plan: JobPlan, job: Job) -> Followed:
    """Return what the log and the readings of a job are held against: the plan as printed and bought for."""
    past = plan.onward
    closed, paid = (past.closed, past.paid) if past is not None else ((), 0.0)
    return Followed(under_way(plan, job), plan.survey, followed(plan), plan.pieces, closed, paid)


def proved(plan: JobPlan, job: Job, run: Run) -> Outcome[ProveAnswer]:
    """Hold the log and the readings of a job against the plan that was printed.

    Parameters
    ----------
    plan : JobPlan
        The plan that is followed; nothing of it is planned again.
    job : Job
        As its document stands now: its log and temperatures are taken, both may be empty.
    run : Run
        Seed, effort, progress, stop.
    """
    return prove(proof_of(plan, job), run)


def to_read_unplanned(job: Job, run: Run) -> tuple[ToRead, ...]:
    """Say what to read before there is a plan: on every face between warm and cold."""
    base = ground(job, measured(job, run).value)
    return to_read(job, line_faces(job), base.air)


FINISHED = 1.0 - 1e-9
"""Share from which on a face counts as finished. [-]"""


def why_not_in(plan: JobPlan, face: str, way: str, run: Run) -> Outcome[WhyNot]:
    """Say what one way on one face would change in a plan; raises `UnknownName` for other names."""
    done = {f for f, share in plan.onward.choice.done if share >= FINISHED} if plan.onward is not None else set[str]()
    return why_not(as_counted_for(plan.job), plan.survey, plan.weighing, face, way, run, done)
