"""The stage that judges: log and thermometer against the plan."""

from __future__ import annotations

from snugbay.base import Outcome, Run
from snugbay.job import Job
from snugbay.pieces import make_pieces
from snugbay.prove import ProveAnswer, prove
from snugbay.survey import survey
from snugbay.weigh import weigh


def proved(job: Job, run: Run) -> Outcome[ProveAnswer]:
    """Weigh the job as planned and hold its log and its readings against the plan.

    Parameters
    ----------
    job : Job
        With its log and temperatures, both of which may be empty.
    run : Run
        Seed, effort, progress, stop.
    """
    taped = survey(job, run.within("Measure", 0.0, 0.1))
    weighing = weigh(job, taped.value, run.within("Weigh up", 0.1, 0.7))
    pieces = make_pieces(job, taped.value, weighing.value.boards, run.within("Pieces", 0.7, 0.8))
    answer = prove(job, taped.value, weighing.value, run.within("Prove", 0.8, 1.0), pieces.value)
    return Outcome(
        answer.value,
        answer.findings,
        answer.provenance,
        taped.finished and weighing.finished and pieces.finished and answer.finished,
    )
