"""Second thoughts: why not another way, and the plan for what is left half-way."""

from __future__ import annotations

from snugbay.base import Outcome, Run
from snugbay.flow.whole import weighed
from snugbay.job import Job
from snugbay.pieces import pieces_that_go_in
from snugbay.prove import plan_rest
from snugbay.weigh import Replan, WhyNot, why_not


def asked_why_not(job: Job, face: str, way: str, run: Run) -> Outcome[WhyNot]:
    """Weigh the job and say what one way on one face would change; raises `UnknownName` for other names."""
    job.face(face)
    taped, weighing = weighed(job, run, weighed_by=0.8).value
    return why_not(job, taped, weighing, face, way, run.within("Why not", 0.8, 1.0))


def replanned(job: Job, run: Run) -> Outcome[Replan]:
    """Weigh the job and plan what is left, by what its log taught; sunk costs stay sunk.

    Raises
    ------
    InputError
        If the log says nothing of what got done, or all is done.
    NoPlan
        If nothing that fits is left to do.
    """
    planned = weighed(job, run, weighed_by=0.6)
    taped, weighing = planned.value
    pieces = pieces_that_go_in(job, taped, weighing.boards, run.within("Pieces", 0.6, 0.7))
    answer = plan_rest(job, taped, weighing, run.within("Re-plan", 0.7, 1.0), pieces.value)
    finished = planned.finished and pieces.finished and answer.finished
    return Outcome(answer.value, answer.findings, answer.provenance, finished)
