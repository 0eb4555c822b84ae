"""Second thoughts: why not another way, and the plan for what is left half-way."""

from __future__ import annotations

from snugbay.base import Outcome, Run
from snugbay.job import Job
from snugbay.survey import survey
from snugbay.weigh import Replan, WhyNot, replan, weigh, why_not


def asked_why_not(job: Job, face: str, way: str, run: Run) -> Outcome[WhyNot]:
    """Weigh the job and say what one way on one face would change; raises `UnknownName` for other names."""
    job.face(face)
    taped = survey(job, run.within("Measure", 0.0, 0.1))
    weighing = weigh(job, taped.value, run.within("Weigh up", 0.1, 0.8))
    return why_not(job, taped.value, weighing.value, face, way, run.within("Why not", 0.8, 1.0))


def replanned(job: Job, run: Run) -> Outcome[Replan]:
    """Weigh the job and plan what is left after the log; sunk costs stay sunk."""
    taped = survey(job, run.within("Measure", 0.0, 0.1))
    weighing = weigh(job, taped.value, run.within("Weigh up", 0.1, 0.7))
    return replan(job, taped.value, weighing.value, run.within("Re-plan", 0.7, 1.0))
