"""Whether another way for the rest of the work would now win."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from snugbay.base import Finding, InputError, NoPlan, Outcome, Run, Weight
from snugbay.job import Job, Log, LogEntry
from snugbay.prove.forecast import cells_left
from snugbay.prove.log import Record
from snugbay.prove.model import Floats, Model
from snugbay.prove.sampler import Draws
from snugbay.prove.values import Replan
from snugbay.prove.work import WHOLE, Work
from snugbay.survey import Survey
from snugbay.weigh import Replan as RestPlan
from snugbay.weigh import Weighing, replan
from snugbay.weigh.learned import Learned

SURE = 0.8
"""Chance from which a switch is advised."""
LEAST_PACE, MOST_PACE = 0.1, 10.0
LEAST_LEFT = 1e-6
"""Planned hours below which nothing is left. [h]"""


def shares_done(work: Work, record: Record) -> dict[str, float]:
    """Share of each face's planned hours that is done. [0..1]"""
    out: dict[str, float] = {}
    for face in dict.fromkeys(c.face for c in work.cells):
        own = [(c.hours, d) for c, d in zip(work.cells, record.done, strict=True) if c.face == face]
        out[face] = min(sum(h * d for h, d in own) / sum(h for h, _ in own), 1.0)
    return out


def used_up(log: Log, weighing: Weighing, shares: Mapping[str, float]) -> tuple[tuple[str, float], ...]:
    """What is used up so far: as logged; where nothing is logged of an item, its need in step with the work done.

    Parameters
    ----------
    log : Log
        Amounts used.
    weighing : Weighing
        Its purchases and the needs of its options.
    shares : Mapping of str to float
        Share done of each face.

    Returns
    -------
    tuple of (str, float)
        Item id and amount in selling units, logged ones first.
    """
    ways = dict(weighing.plan.ways)
    chosen = [o for o in weighing.options if ways.get(o.face) == o.way]
    out = list(log.used)
    known = {item for item, _ in out}
    for buy in weighing.purchases:
        if buy.once or buy.unit == "job" or buy.item in known or buy.need <= 0:
            continue
        own = [(sum(n.typical for n in o.needs if n.item == buy.item), shares.get(o.face, 0.0)) for o in chosen]
        if not sum(n for n, _ in own) > 0:  # sold in packs of its own: by hours
            own = [(o.hours_typical, shares.get(o.face, 0.0)) for o in chosen]
        whole = sum(n for n, _ in own)
        share = sum(n * s for n, s in own) / whole if whole > 0 else 0.0
        if share > 0:
            out.append((buy.item, buy.need * share))
    return tuple(out)


def log_by_faces(log: Log, work: Work, record: Record) -> Log:
    """The log as one entry for each face: the share of its planned hours that is done, element by element.

    All hours spent stand on the first entry; what is done once for the job belongs to no face.
    """
    entries = [LogEntry(0.0, face=f, share_done=s) for f, s in shares_done(work, record).items() if s > 0]
    if entries:
        entries[0] = replace(entries[0], hours=record.spent)
    return replace(log, entries=tuple(entries))


def learned_draws(work: Work, model: Model, draws: Draws, rng: np.random.Generator) -> Learned:
    """What the log taught of the hours to come, as draws: by face, in all, and the worker's luck.

    Parameters
    ----------
    work, model, draws
        Planned work, the learner and its draws.
    rng : Generator
        Chance of the pieces still to come.
    """
    cells = cells_left(model, draws, rng)
    faces: dict[str, Floats] = {}
    for face in dict.fromkeys(c.face for c in work.cells if c.face):
        own = [i for i, c in enumerate(work.cells) if c.face == face]
        left = float(model.left[own].sum())
        if left > LEAST_LEFT:
            faces[face] = cells[:, own].sum(axis=1) / left
    worker = draws.theta[:, model.names.index(("worker", ""))]
    once = frozenset(
        c.element for c, x in zip(work.cells, model.left, strict=True) if c.face == WHOLE and x <= LEAST_LEFT
    )
    return Learned(faces, cells.sum(axis=1) / float(model.left.sum()), worker, once)


def rest(
    job: Job, survey: Survey, weighing: Weighing, run: Run, work: Work, record: Record, learned: Learned
) -> Outcome[RestPlan]:
    """Plan what is left anew, by what the log taught.

    Raises
    ------
    NoPlan
        If nothing that fits is left to do.
    InputError
        If the log's pace cannot be right.
    """
    pace = float(np.median(learned.pace))
    if not LEAST_PACE <= pace <= MOST_PACE:
        raise InputError(
            f"The log says {pace:.1f} times the planned hours.",
            where=("log", "entries"),
            hint="Look it over before planning anew from it.",
        )
    by_faces = log_by_faces(job.log, work, record)
    used = used_up(job.log, weighing, shares_done(work, record))
    log = replace(by_faces, used=used)
    answer = replan(replace(job, log=log), survey, weighing, run, learned=learned)
    findings = answer.findings
    if len(used) > len(job.log.used):
        text = (
            "Of some materials nothing is logged as used: for the re-plan they are taken as used in step with the work."
            " Log what is used up to plan the rest with what is really in hand."
        )
        findings = (*findings, Finding("prove.used-unlogged", text, Weight.NOTE, ("log", "used")))
    return Outcome(replace(answer.value, findings=findings), findings, answer.provenance, answer.finished)


def onward(
    job: Job, survey: Survey, weighing: Weighing, run: Run, work: Work, record: Record, learned: Learned | None
) -> tuple[Replan | None, tuple[Finding, ...]]:
    """Say whether another way for the rest would now win.

    Returns
    -------
    Replan or None
        None where nothing was learned or nothing is left.
    tuple of Finding
        Why there is no answer, and what the re-plan found.
    """
    if learned is None:
        return None, ()
    try:
        answer = rest(job, survey, weighing, run, work, record, learned)
    except InputError as error:
        return None, (Finding("prove.pace-odd", f"{error.what} {error.hint}", Weight.WARN, ("log", "entries")),)
    except NoPlan as error:
        return None, (Finding("prove.no-replan", f"The rest cannot be planned anew: {error}", Weight.WARN, ("log",)),)
    found = answer.value
    chance = found.chance if found.switch else 0.0
    advised = found.switch and chance >= SURE
    head = "Plan the rest anew: " if advised else "Carry on for now: " if found.switch else ""
    return Replan(chance, advised, head + found.text), answer.findings
