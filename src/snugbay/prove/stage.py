"""The stage: what the log and the thermometer prove."""

from __future__ import annotations

from dataclasses import dataclass, replace

from snugbay.base import Finding, InputError, Outcome, Run, Weight
from snugbay.base.facts import Name
from snugbay.job import Job
from snugbay.prove.ask import judged_faces, to_read
from snugbay.prove.forecast import forecast, learned, unexplained
from snugbay.prove.judge import judge
from snugbay.prove.log import Record, read_log, slips
from snugbay.prove.model import Model, build, learning_of
from snugbay.prove.onward import LEAST_LEFT, Followed, Now, learned_draws, onward, rest
from snugbay.prove.sampler import Draws, prior_draws, sample
from snugbay.prove.values import ProveAnswer
from snugbay.prove.work import Work, planned_work
from snugbay.ways.found import ground
from snugbay.ways.resources import rates_of
from snugbay.weigh import Replan
from snugbay.weigh.learned import Learned

PROVENANCE = (
    "Hours: log-normal worker, element, face and learning over the plan's spreads; noise with heavy tails.",
    "Readings: steady heat balance run backwards (ISO 6946 films widened); plates by ISO 9869-1:2014, 7.1 and 7.2.",
)


@dataclass(frozen=True)
class _Told:
    """What the log tells: planned work, the log as read, the learner and its draws."""

    work: Work
    record: Record
    model: Model
    draws: Draws

    def learned(self, run: Run) -> Learned | None:
        """Return what was learned of the hours to come; None where nothing was, or nothing is left."""
        if not self.record.worked or float(self.model.left.sum()) <= LEAST_LEFT:
            return None
        return learned_draws(self.work, self.model, self.draws, run.rng("prove learned"))


def _told(followed: Followed, run: Run) -> _Told:
    job = followed.job
    rates = rates_of(job)
    work = planned_work(job, followed.weighing, followed.pieces, followed.closed)
    record = read_log(job.log, work)
    curve = learning_of(rates["time_model.learning_curve.slope"], rates["time_model.learning_curve.plateau"])
    model = build(work, record, curve)
    draws = sample(model, run, run.rng("prove log"))
    record = replace(record, findings=(*record.findings, *slips(unexplained(record, model, draws))))
    return _Told(work, record, model, draws)


def plan_rest(followed: Followed, run: Run, now: Now | None = None) -> Outcome[Replan]:
    """Plan what is left of the work, by what its log taught.

    Parameters
    ----------
    followed : Followed
        The plan that is followed, with the log.
    run : Run
        Seed, effort, progress, stop.
    now : Now, optional
        The question as it stands now, where the document has changed since.

    Raises
    ------
    InputError
        If nothing is logged, if the log says nothing of what got done, if all is done, or if its pace cannot be right.
    NoPlan
        If nothing that fits is left to do.
    """
    told = _told(followed, run)
    learned_so_far = told.learned(run)
    if learned_so_far is None:
        done = bool(told.record.worked)
        raise InputError(
            "All planned work is done." if done else "The log does not say yet what got done in the hours.",
            where=("log",),
            hint="" if done else "Name pieces, or the share of a face, with snugbay log.",
        )
    answer = rest(followed, run, told.work, told.record, learned_so_far, now)
    found = (*told.record.findings, *answer.findings)
    return Outcome(replace(answer.value, findings=found), found, PROVENANCE, answer.finished and told.draws.finished)


def unread_loggers(job: Job) -> tuple[Finding, ...]:
    """What was found when the loggers' files were read; a warning for one that nobody read."""
    out: list[Finding] = []
    for number, logger in enumerate(job.loggers):
        out.extend(logger.findings)
        if not logger.read:
            out.append(Finding.of("prove.logger-unread", Weight.WARN, ("loggers", number), file=Name(logger.file)))
    return tuple(out)


def prove(followed: Followed, run: Run) -> Outcome[ProveAnswer]:
    """Say what the log and the readings prove.

    Parameters
    ----------
    followed : Followed
        The plan that is followed, with the log and the readings, either of them empty.
    run : Run
        Seed, progress, stop.

    Returns
    -------
    Outcome of ProveAnswer
        Also where nothing is logged or read: the forecast is then that of the built-in rates, and ``to_read`` says
        what to read and when.

    Raises
    ------
    InputError
        If the job cannot be reckoned at all (no climate, unknown material).
    """
    job, weighing = followed.job, followed.weighing
    told = _told(followed, run)
    work, record, draws = told.work, told.record, told.draws
    prior = prior_draws(told.model, draws.theta.shape[0], run.rng("prove prior"))
    hours = forecast(work, record, told.model, draws, run.rng("prove forecast"))
    run.progress("prove", 0.3)
    again, more = onward(followed, run.within("prove", 0.3, 0.6), work, record, told.learned(run))
    base = ground(job, followed.survey)
    seen = judge(base, weighing, run.within("prove", 0.6, 1.0))
    findings: tuple[Finding, ...] = (*record.findings, *more, *unread_loggers(job), *seen.findings)
    asked = to_read(job, judged_faces(job, weighing), base.air, ((p.face, p.when) for p in seen.faces))
    run.progress("prove", 1.0)
    answer = ProveAnswer(
        learned(work, record, told.model, draws, prior),
        hours,
        again,
        seen.faces,
        seen.seams,
        asked,
        seen.saving,
        weighing.plan.saving,
        findings,
    )
    return Outcome(answer, findings, PROVENANCE, draws.finished and seen.finished)
