"""Nothing unjoined, untied, open or guessed is cut: what bars a board plan, where it is, and how it is mended."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from snugbay.base import Finding, InputError, Problems, SnugbayError, Weight
from snugbay.job import Job, Zone
from snugbay.survey import Survey
from snugbay.survey.enclosure import enclosure_findings
from snugbay.survey.needed import Needed, needed
from snugbay.survey.options import SurveyOptions
from snugbay.survey.unjoined import unjoined, unjoined_text
from snugbay.survey.untied import untied_findings
from snugbay.tape import tape_for

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
        InputError(
            f"No board is cut: {unjoined_text(one)}",
            where=("faces", one.a),
            hint="Write the join, or mend the reading that moves one of the two.",
            code="survey.unjoined",
        )
        for one in unjoined(job, survey)
        if one.a in boarded and one.b in boarded
    ]


def _untied(job: Job, survey: Survey, boarded: Collection[str]) -> list[SnugbayError]:
    out: list[SnugbayError] = []
    for found in untied_findings(job, survey):
        box = str(found.where[1])
        if any(face == box or face.startswith(f"{box}-") for face in boarded):
            what, _, mend = found.text.partition(". Write ")
            out.append(
                InputError(f"No board is cut: {what}.", where=found.where, hint=f"Write {mend}", code=found.code)
            )
    return out


def _open(job: Job, survey: Survey, boarded: Collection[str], inside: Collection[str]) -> list[SnugbayError]:
    options = SurveyOptions(format_length=tape_for(job.units).text)
    return [
        InputError(
            f"No board is cut: {found.text}",
            where=found.where,
            hint="Write the walls that are missing, or say may_come_inside = false.",
            code=found.code,
        )
        for found in enclosure_findings(job, survey, options)
        if found.where[1] in inside and any(_bounds(job, face, job.zone(str(found.where[1]))) for face in boarded)
    ]


def _bounds(job: Job, face_id: str, zone: Zone) -> bool:
    face = job.face(face_id)
    return zone.id in (face.warm, face.cold)


def _guessed(job: Job, survey: Survey, boarded: Collection[str]) -> list[SnugbayError]:
    asked = needed(job, survey, boarded)
    if not asked:
        return []
    faces = tuple(dict.fromkeys(f for n in asked for f in n.faces))
    return [
        InputError(
            f"No board is cut to a guess: {len(asked)} reading{'s are' if len(asked) > 1 else ' is'} still needed. "
            f"Take them in this order: {readings_text(job, asked)}.",
            where=("faces", faces[0]),
            hint='Write them under the space: readings = { "' + asked[0].name + '" = ... }.',
            code="survey.guess",
        )
    ]


def readings_text(job: Job, asked: Sequence[Needed]) -> str:
    """Return readings to take, each with what it should come to, in the job's units."""
    text = tape_for(job.units).text
    parts = [f"{n.name} (about {text(n.expected)})" for n in asked[:TOLD]]
    more = len(asked) - TOLD
    return "; ".join(parts) + (f"; and {more} more" if more > 0 else "")


def needed_findings(job: Job, survey: Survey) -> tuple[Finding, ...]:
    """Return a note that lists the readings missing before any face of the job's spaces may be cut to."""
    asked = needed(job, survey, [f.id for f in job.faces])
    if not asked:
        return ()
    text = (
        f"Before boards are cut {len(asked)} reading{'s are' if len(asked) > 1 else ' is'} needed, the most telling "
        f"first: {readings_text(job, asked)}. Until then what was not read is a guess: good enough to choose by."
    )
    return (Finding("survey.needed", text, Weight.NOTE, ("faces", asked[0].faces[0])),)
