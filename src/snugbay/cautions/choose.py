"""The cautions of a job, weightiest first."""

from __future__ import annotations

from collections.abc import Mapping

from snugbay.base import Finding, Told, Weight
from snugbay.cautions.tables import Row, gates, rules
from snugbay.cautions.triggers import TRIGGERS, facts
from snugbay.cautions.values import Caution
from snugbay.job import Job, short_list
from snugbay.survey import Survey
from snugbay.weigh import Weighing

_ORDER = {Weight.STOP: 0, Weight.WARN: 1, Weight.NOTE: 2}


def _caution(row: Row, trigger: Told) -> Caution:
    return Caution(
        row.code, row.weight, row.title, row.text, trigger, row.clears, row.protection, row.source, row.status
    )


def gate_cautions(job: Job) -> tuple[Caution, ...]:
    """Return the gates that the look-round closed; known before anything is planned."""
    seen = {h.value for h in job.hazards}
    return tuple(_caution(row, "Seen in the look-round.") for row in gates() if row.trigger in seen)


def cautions(job: Job, survey: Survey, weighing: Weighing, computed: tuple[Finding, ...] = ()) -> tuple[Caution, ...]:
    """Return every caution that the job's own facts bring up.

    Parameters
    ----------
    job, survey, weighing
        The question, the adjusted faces, the chosen plan.
    computed : tuple of Finding
        What the physics of the plan found, beyond the weighing.

    Returns
    -------
    tuple of Caution
        STOP first, then WARN, then NOTE; in the tables' order within a weight. Findings of the physics that carry a
        STOP or a WARN and a source are among them.
    """
    gathered = facts(job, survey, weighing)
    found = list(gate_cautions(job))
    for row in rules():
        reason = TRIGGERS[row.trigger](gathered)
        if reason:
            found.append(_caution(row, reason))
    physics = [f for o in gathered.done for f in o.findings]
    told = {c.code for c in found}
    loud = [f for f in (*physics, *computed) if f.weight is not Weight.NOTE and _SAID.get(f.code) not in told]
    hours = weighing.by_hour.build_ups if weighing.by_hour is not None else ()
    together = {b.faces[0]: b.faces for b in hours}
    found.extend(_from_finding(job, f, together) for f in loud)
    unique = {(c.code, c.trigger): c for c in found}
    return tuple(sorted(unique.values(), key=lambda c: _ORDER[c.weight]))


_TITLES = {
    "transient.wet": "This build-up does not stay dry",
    "transient.watch": "This build-up comes near its limits",
    "buffer.pipes-freeze": "Pipes would freeze",
    "buffer.colder": "The space behind the line gets colder",
    "buffer.damper": "The roof over the space gets damper",
    "buffer.deck-wet": "Water condenses on the roof over the space",
    "buffer.deck-damp": "The roof over the space is damp",
    "moisture.mould": "A corner cold enough for mould",
}
_SAID = {"buffer.colder": "colder-buffer", "buffer.pipes-freeze": "pipes-frost"}
"""Findings that a rule of the table tells already."""

_ANYBODY = "another way for this face, or a building physicist's own reckoning"
_CLEARS = {
    "transient.wet": _ANYBODY,
    "buffer.pipes-freeze": "plumber",
}


def _from_finding(job: Job, finding: Finding, together: Mapping[str, tuple[str, ...]]) -> Caution:
    return Caution(
        finding.code,
        finding.weight,
        _TITLES.get(finding.code, "From the physics of the plan"),
        finding.said,
        _place(job, finding, together),
        _CLEARS.get(finding.code, _ANYBODY if finding.weight is Weight.STOP else ""),
        source=finding.source,
        status="computed",
    )


def _place(job: Job, finding: Finding, together: Mapping[str, tuple[str, ...]]) -> str:
    """Name the face or the space that a finding is about; of a build-up by the hour all faces that have it."""
    match finding.where:
        case ("faces", str(face), *_):
            faces = together.get(face, (face,)) if finding.code.startswith("transient.") else (face,)
            return f"Face {face}." if len(faces) == 1 else f"Faces {short_list(list(faces))}."
        case ("zones", str(zone), *_):
            return f"{job.zone(zone).title or zone}."
        case _:
            return ""
