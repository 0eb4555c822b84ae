"""The survey of a document, however unfinished: faces that cannot be surveyed are left out and their faults kept."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from snugbay.base import Finding, Run, SnugbayError
from snugbay.job import Job
from snugbay.survey import Survey, SurveyOptions, adjust
from snugbay.tape import format_length
from snugbay.web.opened import errors_of
from snugbay.web.printing import Printer

QUICK_STEPS = 12
"""Steps of one least-squares solution while somebody types."""


@dataclass(frozen=True)
class Surveyed:
    """What the survey says of a document, however unfinished.

    Attributes
    ----------
    job : Job or None
        The faces that could be surveyed.
    survey : Survey or None
        None where no face could be.
    findings : tuple of Finding
        What the user must know.
    faults : tuple of SnugbayError
        Why faces were left out.
    """

    job: Job | None
    survey: Survey | None
    findings: tuple[Finding, ...] = ()
    faults: tuple[SnugbayError, ...] = ()


def printer_of(job: Job | None, data: Mapping[str, Any]) -> Printer:
    """Return how a job's quantities are printed."""
    if job is not None:
        return Printer(job.units.value, job.place.currency)
    units = "ft-in" if data.get("units") == "ft-in" else "mm"
    return Printer(units, "USD" if units == "ft-in" else "EUR")


def survey_options(units: str) -> SurveyOptions:
    """Return the survey's usual options, its sentences written on the job's tape."""
    return SurveyOptions(format_length=lambda metres: _length_words(metres, units))


def _length_words(metres: float, units: str) -> str:
    text = format_length(abs(metres), units)
    return ("-" if metres < 0 else "") + (text if units == "ft-in" else f"{text} mm")


def quick_options(units: str) -> SurveyOptions:
    """Return options for a sketch while somebody types: no search for the wrong reading, and not to the last micron."""
    return replace(survey_options(units), most_blunders=0, most_iterations=QUICK_STEPS)


def survey_of(
    job: Job | None, options: Callable[[str], SurveyOptions] = survey_options, near: Survey | None = None
) -> Surveyed:
    """Survey a job; faces that cannot be surveyed are left out and their faults kept.

    Parameters
    ----------
    job : Job or None
        With its faces and joins.
    options : callable
        Makes the survey's options from the job's units.
    near : Survey or None
        What the faces were a moment ago, to start from.
    """
    faults: tuple[SnugbayError, ...] = ()
    while job is not None and job.faces:
        try:
            outcome = adjust(job.faces, job.joins, options(job.units.value), Run(), near)
            return Surveyed(job, outcome.value, outcome.findings, faults)
        except SnugbayError as error:
            found = errors_of(error)
        bad = {str(step) for fault in found for step in fault.where[:2]} & {f.id for f in job.faces}
        faults += found
        if not bad:
            break
        job = without(job, bad)
    return Surveyed(None, None, (), faults)


def joined_parts(job: Job) -> tuple[Job, ...]:
    """Return the job in parts whose faces no join ties to another part's, in the job's order."""
    part: dict[str, str] = {face.id: face.id for face in job.faces}
    for join in job.joins:
        a, b = part.get(join.a), part.get(join.b)
        if a is not None and b is not None and a != b:
            part = {face: a if at == b else at for face, at in part.items()}
    return tuple(only(job, [f for f, at in part.items() if at == name]) for name in dict.fromkeys(part.values()))


def put_together(job: Job, parts: Sequence[Surveyed]) -> Surveyed:
    """Return the surveys of a job's parts as one: faces in the job's order, each part in a frame of its own.

    The limit of the global test is the sum of the parts' own.
    """
    faults = tuple(f for p in parts for f in p.faults)
    good = [p for p in parts if p.job is not None and p.survey is not None]
    surveys = [p.survey for p in good if p.survey is not None]
    if not surveys:
        return Surveyed(None, None, (), faults)
    faces = {face.id: face for s in surveys for face in s.faces}
    survey = Survey(
        faces=tuple(faces[f.id] for f in job.faces if f.id in faces),
        suspects=tuple(x for s in surveys for x in s.suspects),
        unchecked=tuple(x for s in surveys for x in s.unchecked),
        joins=tuple(x for s in surveys for x in s.joins),
        chi2=sum(s.chi2 for s in surveys),
        chi2_limit=sum(s.chi2_limit for s in surveys),
        freedom=sum(s.freedom for s in surveys),
        significance=surveys[0].significance,
    )
    findings = tuple(f for p in good for f in p.findings)
    return Surveyed(only(job, list(faces)), survey, findings, faults)


def without(job: Job, faces: set[str]) -> Job:
    """Return the job without some faces and their joins."""
    return replace(
        job,
        faces=tuple(f for f in job.faces if f.id not in faces),
        joins=tuple(j for j in job.joins if j.a not in faces and j.b not in faces),
    )


def only(job: Job, faces: Sequence[str]) -> Job:
    """Return the job with some faces only and the joins between them."""
    return without(job, {f.id for f in job.faces} - set(faces))


def faces_key(job: Job | None) -> Hashable:
    """Return what a survey depends on."""
    return None if job is None else (job.units, job.faces, job.joins)
