"""The stages in order."""

from __future__ import annotations

from dataclasses import dataclass, replace

from snugbay.base import Effort, Finding, Outcome, Run, Weight, never_stop
from snugbay.base.facts import Hours, Money
from snugbay.cautions import cautions
from snugbay.fit import bill, fitting_plan, over_budget, with_uses
from snugbay.flow.checks import check_names, check_places
from snugbay.flow.cuttable import check_cuttable
from snugbay.flow.digest import job_digest
from snugbay.flow.measuring import measured
from snugbay.flow.values import JobPlan
from snugbay.job import Job
from snugbay.pieces import PieceSet, blank, pieces_that_go_in, prove_in_solids
from snugbay.prove import Followed, prove
from snugbay.sheets import SheetPlan, plan_sheets
from snugbay.survey import Survey
from snugbay.survey.needed import as_if_read
from snugbay.tape import tape_for
from snugbay.ways import all_ways, rates_of
from snugbay.ways.found import ground
from snugbay.ways.laid import as_laid
from snugbay.ways.resources import shelf
from snugbay.weigh import Afterwards, Weighing, look_ahead, weigh_again, weigh_dry
from snugbay.weigh.counted import as_counted_for, counted_again, done_of
from snugbay.weigh.points import as_shown

MOST_CHOICES = 3
"""Plans that are laid and counted at most before the best of them is kept."""

_WEIGHTS = {Weight.STOP: 0, Weight.WARN: 1, Weight.NOTE: 2}


def weighed(job: Job, run: Run, taped_by: float = 0.1, weighed_by: float = 1.0) -> Outcome[tuple[Survey, Weighing]]:
    """Survey and weigh the job, refusing first what only the whole job can check.

    Parameters
    ----------
    job : Job
        The question.
    run : Run
        Seed, effort, progress, stop.
    taped_by, weighed_by : float
        Share of the run's progress at which survey and weighing are done; a caller with stages of its own to come
        keeps the rest.
    """
    check_names(job)
    taped = measured(job, run.within("Measure", 0.0, taped_by))
    check_places(job, taped.value, taped.findings)
    answer = weigh_dry(job, as_if_read(job, taped.value), run.within("Weigh up", taped_by, weighed_by))
    return Outcome(
        (taped.value, answer.value),
        taped.findings + answer.findings,
        taped.provenance + answer.provenance,
        taped.finished and answer.finished,
    )


def cut(job: Job, taped: Survey, weighing: Weighing, run: Run) -> Outcome[tuple[PieceSet, SheetPlan]]:
    """Make the pieces of the chosen boards, prove them in solids, and lay them on sheets.

    Raises
    ------
    InputError
        If a face to be boarded is not known, joined, tied or closed: nothing is cut to a guess.
    """
    check_cuttable(job, taped, {b.face for b in weighing.boards}, weighing.plan.inside)
    made = pieces_that_go_in(job, taped, weighing.boards, run.within("Pieces", 0.0, 0.3))
    proof = prove_in_solids(job, taped, made.value, run.within("Proof", 0.3, 0.5))
    pieces = replace(made.value, proof=proof)
    laid = plan_sheets(
        tuple(blank(p) for p in pieces.pieces),
        job.stock,
        job.you.tools,
        rates_of(job),
        tape_for(job.units),
        run.within("Sheets", 0.5, 1.0),
        job.you.hour_worth,
    )
    return Outcome(
        (pieces, laid.value),
        made.findings + proof.findings + laid.findings,
        made.provenance + laid.provenance,
        made.finished and laid.finished,
    )


def as_counted(job: Job, taped: Survey, weighing: Weighing, pieces: PieceSet, sheets: SheetPlan, run: Run) -> Weighing:
    """Return a weighing with the hours, amounts and bill of its plan counted from pieces, sheets and joints."""
    base = ground(job, taped)
    things = shelf(as_counted_for(job), all_ways(job.own_ways, base.rates), base.rates)
    laid = as_laid(base, done_of(weighing), pieces, sheets, run, things)
    return counted_again(weighing, laid, things, job.you.hour_worth)


@dataclass(frozen=True)
class _Settled:
    """A plan that is still the choice once its boards are laid and counted."""

    offered: Weighing
    counted: Weighing
    cutting: Outcome[tuple[PieceSet, SheetPlan]]
    findings: tuple[Finding, ...] = ()


def _settled(job: Job, taped: Survey, weighing: Weighing, run: Run) -> _Settled:
    """Cut, count, and choose again while the count makes another plan better; each plan is counted once."""
    seen: dict[tuple[tuple[str, str], ...], _Settled] = {}
    known = weighing
    found: tuple[Finding, ...] = ()
    while True:
        cutting = cut(job, taped, weighing, _hurried(run).within("Cut", 0.9 * len(seen) / MOST_CHOICES, 0.9))
        counted = as_counted(job, taped, _with_counts(weighing, known), *cutting.value, run)
        here = seen[weighing.plan.ways] = _Settled(weighing, counted, cutting, found)
        if run.stop() or len(seen) == MOST_CHOICES or not weighing.boards:
            return min(seen.values(), key=lambda s: s.counted.plan.whole_cost)
        again = weigh_again(as_counted_for(job), as_if_read(job, taped), counted, run)
        if again is None:
            return here
        if again.value.plan.ways == counted.plan.ways:  # all that is said comes from the same counted figures
            return replace(here, counted=again.value)
        if again.value.plan.ways in seen:
            return seen[again.value.plan.ways]
        known, weighing = counted, again.value
        found = (*found, _chosen_again(here))


def _with_counts(weighing: Weighing, known: Weighing) -> Weighing:
    """Keep what was counted of ways that another plan had."""
    return replace(weighing, options=known.options) if known is not weighing else weighing


def _chosen_again(before: _Settled) -> Finding:
    offered, counted = before.offered.plan, before.counted.plan
    return Finding.of(
        "weigh.chosen-again",
        Weight.NOTE,
        (),
        hours=Hours(counted.hours),
        cash=Money(counted.cash),
        hours_offered=Hours(offered.hours),
        cash_offered=Money(offered.cash),
    )


def whole_job(job: Job, run: Run) -> Outcome[JobPlan]:
    """Plan a whole job.

    Parameters
    ----------
    job : Job
        The question.
    run : Run
        Seed, effort, progress, stop.

    Returns
    -------
    Outcome of JobPlan
        The same for the same job, seed and effort; ``finished`` is False where it was stopped and this is the best so
        far. No files, clocks, screens or networks are touched.

    Raises
    ------
    SnugbayError
        Of the stage that cannot go on; the message says where and what to do.
    """
    answered = weighed(job, run, taped_by=0.05, weighed_by=0.5)
    taped, weighing = answered.value
    stopped = run.stop()
    settled = _settled(job, taped, weighing, run.within("Cut", 0.5, 0.9))
    offered, weighing, cutting = settled.offered, settled.counted, settled.cutting
    pieces, sheets = cutting.value
    ahead = look_ahead(job, taped, weighing, run.within("Look ahead", 0.9, 0.95))
    weighing = _with_carbon(weighing, ahead.value)
    warned = cautions(job, taped, weighing, ahead.findings)
    codes = tuple(c.code for c in warned)
    rates = rates_of(job)
    list_ = weighing.purchases
    fitting = fitting_plan(job, as_shown(weighing), pieces, codes, rates)
    fitting = with_uses(fitting, pieces, sheets, list_, shelf(job, all_ways(job.own_ways, rates), rates))
    found = answered.findings + settled.findings + ahead.findings + cutting.findings
    findings = in_order(found + over_budget(job, bill(offered, list_)))
    proof = None
    if job.log.entries or job.temperatures or job.loggers:
        proof = prove(Followed(job, taped, weighing, pieces), _hurried(run).within("Prove", 0.95, 1.0)).value
    finished = answered.finished and ahead.finished and cutting.finished and not stopped
    plan = JobPlan(
        job=job,
        survey=taped,
        weighing=weighing,
        pieces=pieces,
        sheets=sheets,
        fitting=fitting,
        buying=list_,
        cautions=warned,
        findings=findings,
        defaults=job.defaults,
        seed=run.seed,
        digest=job_digest(job, run),
        finished=finished,
        proof=proof,
        afterwards=ahead.value,
        effort=run.effort.value,
    )
    run.progress("Done", 1.0)
    return Outcome(plan, findings, answered.provenance + ahead.provenance + cutting.provenance, finished)


def _with_carbon(weighing: Weighing, ahead: Afterwards) -> Weighing:
    """Return a weighing whose carbon is the middle of its spread, where that was reckoned: one figure everywhere."""
    if ahead.carbon_kg.p50 <= 0:
        return weighing
    return replace(weighing, money=replace(weighing.money, carbon=ahead.carbon_kg.p50))


def _hurried(run: Run) -> Run:
    """Return the run as it is, or, once it was stopped, one that brings the best so far home with little search."""
    return replace(run, stop=never_stop, effort=Effort.QUICK) if run.stop() else run


def in_order(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Return findings once each, weightiest first."""
    unique = {(f.code, f.where, f.facts): f for f in findings}
    return tuple(sorted(unique.values(), key=lambda f: _WEIGHTS[f.weight]))
