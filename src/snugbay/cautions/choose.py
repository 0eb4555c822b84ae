"""The cautions of a job, weightiest first."""

from __future__ import annotations

from snugbay.base import Finding, Weight
from snugbay.cautions.tables import Row, gates, rules
from snugbay.cautions.triggers import TRIGGERS, facts
from snugbay.cautions.values import Caution
from snugbay.job import Job
from snugbay.survey import Survey
from snugbay.weigh import Weighing

_ORDER = {Weight.STOP: 0, Weight.WARN: 1, Weight.NOTE: 2}


def _caution(row: Row, trigger: str) -> Caution:
    return Caution(
        row.code, row.weight, row.title, row.text, trigger, row.clears, row.protection, row.source, row.status
    )


def gate_cautions(job: Job) -> tuple[Caution, ...]:
    """Return the gates that the look-round closed; known before anything is planned."""
    seen = {h.value for h in job.hazards}
    return tuple(_caution(row, "Seen in the look-round.") for row in gates() if row.trigger in seen)


def cautions(job: Job, survey: Survey, weighing: Weighing) -> tuple[Caution, ...]:
    """Return every caution that the job's own facts bring up.

    Parameters
    ----------
    job, survey, weighing
        The question, the adjusted faces, the chosen plan.

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
    found.extend(_from_finding(f) for o in gathered.done for f in o.findings if f.weight is not Weight.NOTE)
    unique = {(c.code, c.trigger): c for c in found}
    return tuple(sorted(unique.values(), key=lambda c: _ORDER[c.weight]))


def _from_finding(finding: Finding) -> Caution:
    return Caution(
        finding.code,
        finding.weight,
        "From the physics of the build-up",
        finding.text,
        "Face " + ", ".join(str(s) for s in finding.where) if finding.where else "",
        source=finding.source,
        status="computed",
    )
