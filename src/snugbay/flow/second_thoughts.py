"""Second thoughts: why not another way, and the plan for what is left half-way."""

from __future__ import annotations

from snugbay.base import Outcome, Run
from snugbay.flow.whole import weighed
from snugbay.job import Job
from snugbay.weigh import WhyNot, why_not


def asked_why_not(job: Job, face: str, way: str, run: Run) -> Outcome[WhyNot]:
    """Weigh the job and say what one way on one face would change; raises `UnknownName` for other names."""
    job.face(face)
    taped, weighing = weighed(job, run, weighed_by=0.8).value
    return why_not(job, taped, weighing, face, way, run.within("Why not", 0.8, 1.0))
