"""Whether another way for the rest of the work would now win."""

from __future__ import annotations

from dataclasses import replace

from snugbay.base import Finding, NoPlan, Run, Weight
from snugbay.job import Job, Log, LogEntry
from snugbay.prove.log import Record
from snugbay.prove.values import Forecast, Replan
from snugbay.prove.work import Work
from snugbay.survey import Survey
from snugbay.weigh import Weighing, replan

SURE = 0.8
"""Chance from which a switch is advised."""
LEAST_PACE, MOST_PACE = 0.1, 10.0


def log_by_faces(log: Log, work: Work, record: Record) -> Log:
    """The log as one entry for each face: the share of its planned hours that is done, element by element.

    All hours spent stand on the first entry; what is done once for the job belongs to no face.
    """
    entries: list[LogEntry] = []
    for face in dict.fromkeys(c.face for c in work.cells if c.face):
        own = [(c.hours, d) for c, d in zip(work.cells, record.done, strict=True) if c.face == face]
        share = sum(h * d for h, d in own) / sum(h for h, _ in own)
        if share > 0:
            entries.append(LogEntry(0.0, face=face, share_done=min(share, 1.0)))
    if entries:
        entries[0] = replace(entries[0], hours=record.spent)
    return replace(log, entries=tuple(entries))


def onward(
    job: Job, survey: Survey, weighing: Weighing, run: Run, work: Work, record: Record, hours: Forecast
) -> tuple[Replan | None, tuple[Finding, ...]]:
    """Plan the rest again at the learned pace.

    Returns
    -------
    Replan or None
        None where nothing was learned or nothing is left.
    tuple of Finding
        Why there is no answer, and what the re-plan found.
    """
    left = work.planned * (1.0 - hours.done)
    if not record.worked or left <= 1e-6:
        return None, ()
    pace = hours.remaining.median / left
    if not LEAST_PACE <= pace <= MOST_PACE:
        text = f"The log says {pace:.1f} times the planned hours: look it over before planning anew from it."
        return None, (Finding("prove.pace-odd", text, Weight.WARN, ("log", "entries"), numbers={"pace": pace}),)
    try:
        answer = replan(replace(job, log=log_by_faces(job.log, work, record)), survey, weighing, run, pace=pace)
    except NoPlan as error:
        return None, (Finding("prove.no-replan", f"The rest cannot be planned anew: {error}", Weight.WARN, ("log",)),)
    found = answer.value
    chance = found.chance if found.switch else 0.0
    advised = found.switch and chance >= SURE
    head = "Plan the rest anew: " if advised else ""
    return Replan(chance, advised, head + found.text), answer.findings
