"""The stage: what the log and the thermometer prove."""

from __future__ import annotations

from dataclasses import replace

from snugbay.base import Finding, Outcome, Run
from snugbay.job import Job
from snugbay.pieces import PieceSet
from snugbay.prove.ask import judged_faces, to_read
from snugbay.prove.forecast import forecast, learned, unexplained
from snugbay.prove.judge import judge
from snugbay.prove.log import Record, read_log, slips
from snugbay.prove.model import build, learning_of
from snugbay.prove.onward import onward
from snugbay.prove.sampler import Draws, prior_draws, sample
from snugbay.prove.values import Forecast, LearnedFactor, ProveAnswer, Replan
from snugbay.prove.work import Work, planned_work
from snugbay.survey import Survey
from snugbay.ways.found import ground
from snugbay.ways.resources import rates_of
from snugbay.weigh import Weighing

PROVENANCE = (
    "Hours: log-normal worker, element, face and learning over the plan's spreads; noise with heavy tails.",
    "Readings: steady heat balance run backwards (ISO 6946 films widened); plates by ISO 9869-1:2014, 7.1 and 7.2.",
)


def _pace(
    job: Job, weighing: Weighing, pieces: PieceSet | None, run: Run
) -> tuple[Work, Record, tuple[LearnedFactor, ...], Forecast, Draws]:
    rates = rates_of(job)
    work = planned_work(job, weighing, pieces)
    record = read_log(job.log, work)
    curve = learning_of(rates["time_model.learning_curve.slope"], rates["time_model.learning_curve.plateau"])
    model = build(work, record, curve)
    draws = sample(model, run, run.rng("prove log"))
    prior = prior_draws(model, draws.theta.shape[0], run.rng("prove prior"))
    hours = forecast(work, record, model, draws, run.rng("prove forecast"))
    record = replace(record, findings=(*record.findings, *slips(unexplained(record, model, draws))))
    return work, record, learned(work, record, model, draws, prior), hours, draws


def prove(
    job: Job, survey: Survey, weighing: Weighing, run: Run, pieces: PieceSet | None = None
) -> Outcome[ProveAnswer]:
    """Say what the log and the readings prove.

    Parameters
    ----------
    job : Job
        With its log and its readings, either of them empty.
    survey : Survey
        Adjusted faces.
    weighing : Weighing
        The plan that is followed.
    run : Run
        Seed, progress, stop.
    pieces : PieceSet, optional
        The pieces of the plan, so that log entries can name them.

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
    work, record, factors, hours, draws = _pace(job, weighing, pieces, run)
    run.progress("prove", 0.3)
    again: Replan | None
    again, more = onward(job, survey, weighing, run.within("prove", 0.3, 0.6), work, record, hours)
    base = ground(job, survey)
    seen = judge(base, weighing, run.within("prove", 0.6, 1.0))
    findings: tuple[Finding, ...] = (*record.findings, *more, *seen.findings)
    judged = {p.face for p in seen.faces if p.when == "after"}
    asked = to_read(job, weighing, base.air, (f for f in judged_faces(job, weighing) if f not in judged))
    run.progress("prove", 1.0)
    answer = ProveAnswer(
        factors, hours, again, seen.faces, seen.seams, asked, seen.saving, weighing.plan.saving, findings
    )
    return Outcome(answer, findings, PROVENANCE, draws.finished and seen.finished)
