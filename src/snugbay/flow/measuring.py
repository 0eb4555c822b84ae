"""The survey of a job: the one way in for every door, of a finished document or of one that is still being written."""

from __future__ import annotations

from dataclasses import dataclass, replace

from snugbay.base import Finding, Outcome, Problems, Run, SnugbayError
from snugbay.flow.checks import check_joins, place_findings
from snugbay.flow.cuttable import needed_findings
from snugbay.job import Job
from snugbay.survey import Survey, SurveyOptions, survey

SKETCH_STEPS = 12
"""Steps of one least-squares solution while somebody types. [-]"""


@dataclass(frozen=True)
class Measured:
    """What the survey says of a job, however unfinished.

    Attributes
    ----------
    job : Job or None
        The faces and joins that could be surveyed.
    survey : Survey or None
        None where no face could be.
    findings : tuple of Finding
        What the user must know.
    faults : tuple of SnugbayError
        Why faces and joins were left out.
    """

    job: Job | None
    survey: Survey | None
    findings: tuple[Finding, ...] = ()
    faults: tuple[SnugbayError, ...] = ()


def measured(job: Job, run: Run) -> Outcome[Survey]:
    """Survey the job: adjusted faces, suspects, what nothing checks, and what a plan will refuse.

    Raises
    ------
    SnugbayError
        Where a face or a join cannot be surveyed.
    """
    return _surveyed(job, run, SurveyOptions(units=job.units.value))


def measured_so_far(job: Job, run: Run, near: Survey | None = None) -> Measured:
    """Survey a job of which some faces may not be measured yet.

    Parameters
    ----------
    job : Job
        With its faces and joins; those that cannot be surveyed are left out and their faults kept.
    run : Run
        Seed, stop.
    near : Survey or None
        Where the faces lay a moment ago, for a sketch while somebody types: shapes are started from there, not to the
        last micron, and no wrong reading is searched for.
    """
    options = SurveyOptions(units=job.units.value)
    if near is not None:
        options = replace(options, most_blunders=0, most_iterations=SKETCH_STEPS)
    faults: tuple[SnugbayError, ...] = ()
    while job.faces:
        try:
            outcome = _surveyed(job, run, options, near)
            return Measured(job, outcome.value, outcome.findings, faults)
        except SnugbayError as error:
            found = error.errors if isinstance(error, Problems) else (error,)
        faults += found
        smaller = _without_faulty(job, found)
        if smaller is None:
            break
        job = smaller
    return Measured(None, None, (), faults)


def only(job: Job, faces: set[str]) -> Job:
    """Return the job with some faces only, the joins between them, and the boxes whose faces are all there."""
    return replace(
        job,
        faces=tuple(f for f in job.faces if f.id in faces),
        joins=tuple(j for j in job.joins if {j.a, j.b} <= faces),
        hosts=tuple(h for h in job.hosts if {h.face, h.root, *h.faces} <= faces),
    )


def _surveyed(job: Job, run: Run, options: SurveyOptions, near: Survey | None = None) -> Outcome[Survey]:
    try:
        check_joins(job)
        taped = survey(job, run, options, near)
    except SnugbayError as error:
        raise error.in_units(job.units.value, job.place.currency) from None
    found = place_findings(job, taped.value, taped.findings) + taped.findings + needed_findings(job, taped.value)
    return replace(taped, findings=found)


def _without_faulty(job: Job, faults: tuple[SnugbayError, ...]) -> Job | None:
    """Return the job without the faces and joins that faults name; None where they name none of it."""
    steps = {tuple(str(step) for step in fault.where[:2]) for fault in faults}
    bad = {step for where in steps for step in where} & {f.id for f in job.faces}
    joins = tuple(j for j in job.joins if not {("joins", n) for n in _called(j.name, j.a, j.b)} & steps)
    if not bad and len(joins) == len(job.joins):
        return None
    return only(replace(job, joins=joins), {f.id for f in job.faces} - bad)


def _called(name: str, a: str, b: str) -> tuple[str, ...]:
    return (name, f"{a} to {b}", f"{a}/{b}")
