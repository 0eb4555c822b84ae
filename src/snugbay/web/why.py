"""Why not another way: the whole question weighed again with one face held to it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from snugbay.base import NoPlan, Run, UnknownName
from snugbay.job import Job
from snugbay.weigh import PlanPoint


@dataclass(frozen=True)
class Reason:
    """What is asked: this face, done this way."""

    face: str
    way: str


@dataclass(frozen=True)
class WhyNot:
    """What it would change.

    Attributes
    ----------
    reason : Reason
        What was asked.
    point : PlanPoint or None
        The best plan that does the face that way; None where there is none.
    text : str
        Why there is none.
    """

    reason: Reason
    point: PlanPoint | None
    text: str = ""


def held(job: Job, reason: Reason) -> Job:
    """Return the job with one face held to a way; raises `UnknownName` where there is no such face."""
    if reason.face not in {f.id for f in job.faces}:
        raise UnknownName(f"There is no face {reason.face!r}.", code="web.no-face")
    faces = tuple(
        replace(f, must=reason.way, never=tuple(n for n in f.never if n != reason.way)) if f.id == reason.face else f
        for f in job.faces
    )
    return replace(job, faces=faces)


def why_not(job: Job, reason: Reason, run: Run) -> WhyNot:
    """Weigh the job with one face held to a way.

    Raises
    ------
    SnugbayError
        As weighing does, but for a plan that cannot be.
    """
    from snugbay.flow import weighed

    try:
        _, weighing = weighed(held(job, reason), run).value
    except NoPlan as error:
        return WhyNot(reason, None, f"{error.what} {error.hint}".strip())
    return WhyNot(reason, weighing.plan)
