"""Nothing unjoined, untied, open or guessed is cut: what bars a board plan, where it is, and how it is mended."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from snugbay.base import Finding, InputError, Problems, Said, SnugbayError, Weight, Where
from snugbay.base.facts import Count, Length, Listed, Name, ReadingRef
from snugbay.job import Job, Zone
from snugbay.survey import Survey
from snugbay.survey.enclosure import enclosure_findings
from snugbay.survey.needed import Needed, needed
from snugbay.survey.unjoined import unjoined, unjoined_said
from snugbay.survey.untied import untied_findings

TOLD = 8
"""Readings named in one sentence. [-]"""


def check_cuttable(job: Job, survey: Survey, boarded: Collection[str], inside: Collection[str]) -> None:
    """Refuse a board plan whose faces are not known, joined, tied and closed.

    Parameters
    ----------
    job, survey
        The job as measured.
    boarded : collection of str
        Faces that get boards.
    inside : collection of str
        Buffer spaces that the plan brings inside the line.

    Raises
    ------
    InputError
        (`Problems` where there are several) naming the place and the way to mend it.
    """
    faults = [*_unjoined(job, survey, boarded), *_untied(job, survey, boarded)]
    faults += [*_open(job, survey, boarded, inside), *_guessed(job, survey, boarded)]
    if len(faults) == 1:
        raise faults[0]
    if faults:
        raise Problems(faults)


def _unjoined(job: Job, survey: Survey, boarded: Collection[str]) -> list[SnugbayError]:
    return [
        _refused(unjoined_said(one), ("faces", one.a), Said.of("flow.said.write-the-join"))
        for one in unjoined(job, survey)
        if one.a in boarded and one.b in boarded
    ]


def _untied(job: Job, survey: Survey, boarded: Collection[str]) -> list[SnugbayError]:
    return [
        _refused(found.said, found.where)
        for found in untied_findings(job, survey)
        for box in (str(found.where[1]),)
        if any(face == box or face.startswith(f"{box}-") for face in boarded)
    ]


def _open(job: Job, survey: Survey, boarded: Collection[str], inside: Collection[str]) -> list[SnugbayError]:
    return [
        _refused(found.said, found.where, Said.of("flow.said.write-the-walls"))
        for found in enclosure_findings(job, survey)
        if found.where[1] in inside and any(_bounds(job, face, job.zone(str(found.where[1]))) for face in boarded)
    ]


def _refused(why: Said, where: Where, cure: Said | None = None) -> SnugbayError:
    error = InputError.of(Said.of("flow.no-board", why=why), where=where, cure=cure)
    error.code = why.code
    return error


def _bounds(job: Job, face_id: str, zone: Zone) -> bool:
    face = job.face(face_id)
    return zone.id in (face.warm, face.cold)


def _guessed(job: Job, survey: Survey, boarded: Collection[str]) -> list[SnugbayError]:
    asked = needed(job, survey, boarded)
    if not asked:
        return []
    error = InputError.of(
        Said.of("survey.guess", n=Count(len(asked)), readings=readings_said(asked)),
        where=("faces", asked[0].faces[0]),
        cure=Said.of("flow.said.write-readings", name=Name(asked[0].name)),
    )
    return [error]


def readings_said(asked: Sequence[Needed]) -> Listed:
    """Return readings to take, each with what it should come to."""
    return Listed(
        tuple(Said.of("flow.said.about", reading=ReadingRef(n.name), expected=Length(n.expected)) for n in asked),
        "semicolon",
        TOLD,
    )


def readings_needed(job: Job, survey: Survey, faces: Collection[str]) -> frozenset[str]:
    """Return the names of the readings missing before faces may be cut to; of faces that were surveyed."""
    known = {f.id for f in survey.faces} & {f.id for f in job.faces}
    return frozenset(n.name for n in needed(job, survey, known & set(faces)))


def needed_findings(job: Job, survey: Survey) -> tuple[Finding, ...]:
    """Return a note that lists the readings missing before any face of the job's spaces may be cut to."""
    asked = needed(job, survey, [f.id for f in job.faces])
    if not asked:
        return ()
    where = ("faces", asked[0].faces[0])
    n, readings = Count(len(asked)), readings_said(asked)
    return (Finding.of("survey.needed", Weight.NOTE, where, n=n, readings=readings),)
