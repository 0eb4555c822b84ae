"""The stage that judges: log and thermometer against the plan."""

from __future__ import annotations

from snugbay.base import Outcome, Run
from snugbay.flow.whole import weighed
from snugbay.job import Job
from snugbay.pieces import PieceSet, pieces_that_go_in
from snugbay.prove import ProveAnswer, prove


def proved(job: Job, run: Run) -> Outcome[ProveAnswer]:
    """Weigh the job as planned and hold its log and its readings against the plan.

    Parameters
    ----------
    job : Job
        With its log and temperatures, both of which may be empty.
    run : Run
        Seed, effort, progress, stop.
    """
    planned = weighed(job, run, weighed_by=0.7)
    taped, weighing = planned.value
    pieces = pieces_that_go_in(job, taped, weighing.boards, run.within("Pieces", 0.7, 0.8))
    answer = prove(job, taped, weighing, run.within("Prove", 0.8, 1.0), pieces.value)
    return Outcome(
        answer.value,
        answer.findings,
        answer.provenance,
        planned.finished and pieces.finished and answer.finished,
    )


def planned_pieces(job: Job, run: Run) -> Outcome[PieceSet]:
    """Weigh the job as planned and make its pieces: what a log entry may name."""
    planned = weighed(job, run, weighed_by=0.8)
    taped, weighing = planned.value
    pieces = pieces_that_go_in(job, taped, weighing.boards, run.within("Pieces", 0.8, 1.0))
    return Outcome(pieces.value, pieces.findings, pieces.provenance, planned.finished and pieces.finished)
