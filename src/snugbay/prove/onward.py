"""Whether another way for the rest of the work would now win."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from snugbay.base import Finding, InputError, NoPlan, Outcome, Run, Weight
from snugbay.base.facts import Fault
from snugbay.job import Job, Log
from snugbay.pieces import PieceSet
from snugbay.prove.forecast import cells_left
from snugbay.prove.log import Record
from snugbay.prove.model import Floats, Model
from snugbay.prove.sampler import Draws
from snugbay.prove.values import Closed
from snugbay.prove.work import WHOLE, Work
from snugbay.survey import Survey
from snugbay.weigh import Progress, Replan, Weighing, replan
from snugbay.weigh.learned import Learned

LEAST_PACE, MOST_PACE = 0.1, 10.0
LEAST_LEFT = 1e-6
"""Planned hours below which nothing is left. [h]"""


@dataclass(frozen=True)
class Followed:
    """The plan that is followed, as it was printed.

    Attributes
    ----------
    job : Job
        As it was planned, with what was done and read since.
    survey : Survey
        Adjusted faces.
    weighing : Weighing
        Its purchases are the list that was bought by.
    pieces : PieceSet or None
        Its pieces, so that entries of the log can name them.
    closed : tuple of Closed
        Work on faces that was done before their way was changed.
    paid : float
        Money spent by the lists of plans before this one. [currency]
    """

    job: Job
    survey: Survey
    weighing: Weighing
    pieces: PieceSet | None = None
    closed: tuple[Closed, ...] = ()
    paid: float = 0.0


@dataclass(frozen=True)
class Now:
    """The question as it stands now, where it has changed since: job, survey, and the plan over the offers of now."""

    job: Job
    survey: Survey
    weighing: Weighing


def shares_done(work: Work, record: Record) -> dict[str, float]:
    """Share of each face's planned hours that is done, of the rest of it where its way was changed. [0..1]"""
    out: dict[str, float] = {}
    open_ = [(c, d) for c, d in zip(work.cells, record.done, strict=True) if not c.closed]
    for face in dict.fromkeys(c.face for c, _ in open_):
        own = [(c.hours, d) for c, d in open_ if c.face == face]
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


def progress_of(log: Log, weighing: Weighing, work: Work, record: Record, paid: float) -> Progress:
    """Where the work stands: shares by planned hours element by element, what is spent, used up and opened."""
    shares = {f: s for f, s in shares_done(work, record).items() if f and s > 0}
    used: dict[str, float] = {}
    for item, amount in used_up(log, weighing, shares):
        used[item] = used.get(item, 0.0) + amount
    return Progress(shares, record.spent, used, dict(log.opened_days_ago), paid)


def rest(
    followed: Followed, run: Run, work: Work, record: Record, learned: Learned, now: Now | None = None
) -> Outcome[Replan]:
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
    log = followed.job.log
    state = progress_of(log, followed.weighing, work, record, followed.paid)
    asked = now or Now(followed.job, followed.survey, followed.weighing)
    answer = replan(asked.job, asked.survey, asked.weighing, run, state, learned)
    findings = answer.findings
    if len(state.used) > len({item for item, _ in log.used}):
        findings = (*findings, Finding.of("prove.used-unlogged", Weight.NOTE, ("log", "used")))
    return Outcome(replace(answer.value, findings=findings), findings, answer.provenance, answer.finished)


def onward(
    followed: Followed, run: Run, work: Work, record: Record, learned: Learned | None
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
        answer = rest(followed, run, work, record, learned)
    except InputError as error:
        return None, (Finding.of("prove.pace-odd", Weight.WARN, ("log", "entries"), fault=Fault.of(error)),)
    except NoPlan as error:
        return None, (Finding.of("prove.no-replan", Weight.WARN, ("log",), fault=Fault.of(error)),)
    return answer.value, answer.findings
