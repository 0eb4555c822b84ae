"""Sentences of the plan in the units of the job."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from snugbay.base import Finding, Told
from snugbay.job import Default, Job
from snugbay.pieces import PieceSet
from snugbay.tape import in_units
from snugbay.weigh import Weighing


def in_job_units(job: Job, findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Return findings whose sentences give lengths, temperatures, areas and masses as the job is measured."""
    names = tuple(_names(job))
    return tuple(replace(f, text=in_units(f.text, job.units.value, names)) for f in findings)


def weighing_in_job_units(job: Job, weighing: Weighing) -> Weighing:
    """Return a weighing that says in the job's units why a way does not fit."""
    names = tuple(_names(job))
    options = tuple(replace(o, why_not=tuple(_in_units(w, job, names) for w in o.why_not)) for o in weighing.options)
    return replace(weighing, options=options)


def _in_units(told: Told, job: Job, names: tuple[str, ...]) -> Told:
    return in_units(told, job.units.value, names) if isinstance(told, str) else told


def proof_in_job_units(job: Job, pieces: PieceSet) -> PieceSet:
    """Return pieces whose proof is said as the job is measured."""
    if pieces.proof is None:
        return pieces
    return replace(pieces, proof=replace(pieces.proof, text=in_units(pieces.proof.text, job.units.value)))


def defaults_in_job_units(job: Job) -> tuple[Default, ...]:
    """Return the defaults that were taken, as the job is measured; what is stated by the metre stays so."""
    return tuple(
        d if "a metre" in d.value else replace(d, value=in_units(d.value, job.units.value)) for d in job.defaults
    )


def _names(job: Job) -> Iterator[str]:
    """Yield what the user calls things: a figure in a name is no measure of ours."""
    yield job.title
    yield from (zone.title for zone in job.zones)
    yield from (offcut.name for offcut in job.stock.offcuts)
    for face in job.faces:
        yield face.title
        yield from (notch.name for notch in face.notches)
        yield from (hole.name for hole in face.holes)
        yield from (opening.name for opening in face.openings)
