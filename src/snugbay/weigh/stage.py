"""Weigh up: the stage from options to the plan and all that is said about it."""

from __future__ import annotations

from dataclasses import dataclass

from snugbay.base import Finding, Outcome, Run, SnugbayError, Stopped, Weight
from snugbay.base.facts import Name, Temperature, faces, names
from snugbay.job import Job, ZoneKind
from snugbay.survey import Survey
from snugbay.ways import AsFound, Option
from snugbay.ways.found import Ground, found_state, ground
from snugbay.ways.offer import offers
from snugbay.ways.reading import all_ways
from snugbay.ways.resources import Shelf, shelf
from snugbay.weigh.alternatives import Solver, best_plan, frontier, hours_limit, lines, one_way, refuse, second_best
from snugbay.weigh.asking import Answer
from snugbay.weigh.breakeven import MOST_NODES, break_evens
from snugbay.weigh.choosing import Chooser
from snugbay.weigh.evaluate import Plan, within, worth
from snugbay.weigh.likely import likely
from snugbay.weigh.money import money
from snugbay.weigh.points import describe, point, words_for
from snugbay.weigh.problem import Problem
from snugbay.weigh.question import problem
from snugbay.weigh.report import (
    crew_purchases,
    face_hours,
    plan_boards,
    plan_hours,
    purchases,
    temps,
)
from snugbay.weigh.values import AS_FOUND, Proof, Weighing


@dataclass(frozen=True)
class Question:
    """All that the weighing stands on.

    Attributes
    ----------
    base : Ground
        The job, measured.
    shelf : Shelf
        What can be bought.
    found : AsFound
        The state now.
    options : tuple of Option
        All options.
    problem : Problem
        The numbers.
    findings : tuple of Finding
        What came up on the way.
    finished : bool
        False where the options were stopped.
    """

    base: Ground
    shelf: Shelf
    found: AsFound
    options: tuple[Option, ...]
    problem: Problem
    findings: tuple[Finding, ...] = ()
    finished: bool = True

    @property
    def titles(self) -> dict[str, str]:
        """Title of each zone."""
        return {z.id: z.title or z.id for z in self.base.job.zones}


def question(job: Job, survey: Survey, run: Run) -> Question:
    """Measure, reckon all options and put the question together.

    Raises
    ------
    InputError
        If something in the job cannot be used.
    """
    base = ground(job, survey)
    ways = all_ways(job.own_ways, base.rates)
    made = offers(base, survey, run, ways)
    things = shelf(job, ways, base.rates)
    asked, found = problem(base, made.value, things)
    return Question(base, things, found_state(base), made.value, asked, (*made.findings, *found), made.finished)


def _notches(job: Job) -> int:
    return sum(len(f.notches) + len(f.holes) for f in job.faces)


def _line_findings(q: Question, plan: Plan) -> list[Finding]:
    """What the user must know about the chosen plan."""
    out = []
    p, job = q.problem, q.base.job
    open_faces = [
        f.id
        for f, i in zip(p.faces, plan.picks, strict=True)
        if p.air_barrier and not f.airtight.any() and _dividing(p, plan, f.zones)
    ]
    if open_faces:
        out.append(Finding.of("weigh.barrier-open", Weight.WARN, ("wishes", "air_barrier"), faces=faces(open_faces)))
    cold = temps(q.base, p, plan, q.base.air.design_c)
    for zone_id, before, after in cold:
        zone = job.zone(zone_id)
        if zone.kind is ZoneKind.BUFFER and zone.pipes and after < 2.0 and after < before:
            out.append(
                Finding.of(
                    "weigh.pipes-freeze",
                    Weight.WARN,
                    ("zones", zone_id),
                    zone=Name(zone.title or zone_id),
                    after=Temperature(after),
                    before=Temperature(before),
                )
            )
    return out


def _dividing(p: Problem, plan: Plan, zones: tuple[int, int]) -> bool:
    warm = [p.net.kinds[z] is ZoneKind.INSIDE or z in plan.inside for z in zones]
    return warm[0] != warm[1]


def weigh(job: Job, survey: Survey, run: Run) -> Outcome[Weighing]:
    """Choose where the line runs and which way each face gets.

    Parameters
    ----------
    job : Job
        The job.
    survey : Survey
        Adjusted faces.
    run : Run
        Seed, effort, progress, stop. When stopped, what is found so far is kept and ``finished`` is False.

    Returns
    -------
    Outcome of Weighing
        The plan with its proved gap, what else was close, the frontier, the spread, break-evens, purchases, hours.

    Raises
    ------
    NoPlan
        If no plan keeps the limits; the hint names the limit to loosen.
    Stopped
        If the run was stopped before there was any plan.
    InputError
        If something in the job cannot be used.
    """
    q = looked_at(job, survey, run)
    search = Chooser(q.base, q.problem, run, by_hour=False)
    answer = best_plan(search)
    if answer.plan is None:
        raise unsolved(q, search, answer)
    return weighing(q, search, answer, run)


def looked_at(job: Job, survey: Survey, run: Run) -> Question:
    """Put the question together; raise `Stopped` where that ended before every face was looked at."""
    q = question(job, survey, run.within("weigh", 0.0, 0.5))
    if not q.finished and _unlooked(q):
        raise Stopped("The weighing was stopped before every face was looked at.")
    run.progress("weigh", 0.5)
    return q


def unsolved(q: Question, search: Solver, answer: Answer) -> SnugbayError:
    """Return the error for a question without a plan: stopped, or which limit to loosen."""
    if not answer.finished:
        return Stopped("The weighing was stopped before there was a plan.")
    return refuse(search, [f for f in q.findings if f.weight is not Weight.NOTE], hours_limit(q.base.job))


def _unlooked(q: Question) -> bool:
    """Tell whether a face has nothing but the state as found."""
    looked = {o.face for o in q.options if o.way != AS_FOUND}
    return any(f.id not in looked for f in q.base.job.faces)


def _open_tips(figures: tuple[str, ...], run: Run) -> list[Finding]:
    if not figures or run.stop():
        return []
    return [Finding.of("weigh.tip-open", Weight.NOTE, (), figures=names(figures))]


def weighing(q: Question, search: Chooser, answer: Answer, run: Run, parting: float = 0.0) -> Outcome[Weighing]:
    """Say everything about the plan that was found."""
    p, plan = q.problem, answer.plan
    assert plan is not None
    finished = q.finished and answer.finished
    second = second_best(search, plan)
    run.progress("weigh", 0.58)
    by_line = lines(search, run)
    groups = one_way(search, run)
    run.progress("weigh", 0.66)
    edge, whole = frontier(search, run)
    run.progress("weigh", 0.8)
    job = q.base.job
    tips, left_open = break_evens(search.hurried(MOST_NODES), run, q.titles, _notches(job), job.place.currency)
    run.progress("weigh", 0.9)
    others: list[tuple[str, Plan | None]] = [("leave everything as found", None)]
    if second.plan is not None:
        others.append(("second best plan", second.plan))
    others += [(describe(p, other, q.titles), other) for other, _ in by_line if other != plan]
    others += [(f"{words_for(g)} throughout", other) for g, other, _ in groups if other != plan]
    spread, with_middle, read = likely(q, plan, others, run)
    pt = with_middle(point(p, plan, answer.worth))
    findings = (*q.findings, *read, *_line_findings(q, plan), *_open_tips(left_open, run))
    value = Weighing(
        pt,
        with_middle(point(p, second.plan, second.worth)) if second.plan is not None else None,
        q.found,
        q.options,
        tuple(with_middle(c) for _, c in by_line),
        tuple((g, with_middle(c)) for g, _, c in groups),
        tuple(with_middle(c) for c in edge),
        spread,
        tips,
        (*purchases(p, plan, q.shelf), *crew_purchases(p, plan, _crew_names(p))),
        plan_hours(p, plan),
        face_hours(p, plan),
        plan_boards(p, plan),
        money(q.base.job, pt, spread),
        temps(q.base, p, plan, q.base.air.coldest_c),
        temps(q.base, p, plan, q.base.air.design_c),
        answer.gap,
        answer.rounds,
        findings,
        proof=Proof(finished, within(p, worth(p, plan)), search.by_hour, parting),
    )
    run.progress("weigh", 1.0)
    whole = finished and whole and not run.stop()
    provenance = (
        f"Plan: {search.proof}, gap {answer.gap:.2g}.",
        "Low, typical and high of every figure are taken as its 5th, 50th and 95th percentile.",
        f"Climate: {q.base.air.title}",
    )
    return Outcome(value, (*q.found.findings, *findings), provenance, whole)


def _crew_names(p: Problem) -> dict[str, str]:
    return {o.group: o.title.split(" (")[0] for f in p.faces for o in f.options if o.minimum > 0 or o.charge > 0}
