"""The choice: the best plan that stays dry, like parts alike; where no dry way is left, none is planned."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from snugbay.base import Fact, Finding, NoPlan, Outcome, Run, Said, SnugbayError, Weight
from snugbay.base.facts import FaceRef, Money, Name, faces, names, told_all
from snugbay.job import Job, Objective
from snugbay.materials import money_rate
from snugbay.survey import Survey
from snugbay.ways import Option
from snugbay.ways.limits import AS_FOUND
from snugbay.weigh.alternatives import best_plan
from snugbay.weigh.asking import Answer
from snugbay.weigh.by_hour import by_hour
from snugbay.weigh.choosing import Chooser, Wet
from snugbay.weigh.evaluate import Plan
from snugbay.weigh.hourly import ByHour
from snugbay.weigh.problem import Problem
from snugbay.weigh.question import problem
from snugbay.weigh.report import chosen
from snugbay.weigh.stage import Question, looked_at, unsolved, weighing
from snugbay.weigh.units import Group, each_by_itself
from snugbay.weigh.values import Weighing
from snugbay.weigh.whynot import question_again

WET = "weigh.said.wet"

LIKE_PARTS = "ways.like_parts.gain"
"""Rate: what it must save to do like parts in different ways. [currency]"""

MOST_NODES = 1000
"""Of the tree of the program that asks what doing each face in its own way would gain."""

Reasons = Mapping[tuple[str, str], Fact]
"""Why a way on a face does not stay dry, by face and way."""


@dataclass(frozen=True)
class Choice:
    """A choice and what the hours say of it.

    Attributes
    ----------
    question : Question
        With the ways that were left out marked as not fitting.
    chooser, answer
        The proved choice.
    findings : tuple of Finding
        What was left out and what could not be.
    parting : float
        What doing each face in its own way would gain at most over doing like parts alike. [currency]
    """

    question: Question
    chooser: Chooser
    answer: Answer
    findings: tuple[Finding, ...] = ()
    parting: float = 0.0

    @property
    def options(self) -> tuple[Option, ...]:
        """What is done on each face."""
        assert self.answer.plan is not None
        return chosen(self.question.problem, self.answer.plan)


def weigh_dry(job: Job, survey: Survey, run: Run) -> Outcome[Weighing]:
    """Weigh a job up, by months and then by the hour: plans that get wet are no plans.

    Parameters and errors are those of `weigh`.

    Returns
    -------
    Outcome of Weighing
        With its build-ups by the hour. Ways that were left out do not fit any more, with the reason; findings say what
        was left out, where no way stays dry, and what would be dry where the job insists on a wet way.
    """
    q = looked_at(job, survey, run)
    return _told(q, choose(q, run), run)


def weigh_again(job: Job, survey: Survey, counted: Weighing, run: Run) -> Outcome[Weighing] | None:
    """Choose again once the chosen ways are counted from what is laid; None where no plan keeps the limits then.

    Parameters
    ----------
    job, survey
        As weighed.
    counted : Weighing
        Its chosen ways counted from pieces, sheets and joints (`counted.counted_again`); all others as offered.
    run : Run
        Seed, effort, stop.

    Notes
    -----
    Where the counted ways leave no plan within the limits, the choice stays and the limits are told to be overrun.
    """
    q = question_again(job, survey, counted)
    try:
        choice = choose(q, run)
    except NoPlan:
        return None
    assert choice.answer.plan is not None
    return _told(q, choice, run)


def _told(q: Question, choice: Choice, run: Run) -> Outcome[Weighing]:
    """Say everything about a choice."""
    findings = (*choice.findings, *_left_bare(choice), *_insisted(choice, run))
    asked = replace(choice.question, findings=(*q.findings, *findings))
    assert choice.answer.plan is not None
    hours = _hours(asked, choice.answer.plan, run)
    answer = weighing(asked, choice.chooser, choice.answer, run, choice.parting)
    return replace(answer, value=replace(answer.value, by_hour=hours))


def choose(q: Question, run: Run) -> Choice:
    """Choose the best plan that stays dry, like parts alike unless parting them gains enough.

    Raises
    ------
    NoPlan, Stopped
        Where nothing can be chosen at all.
    """
    spared: frozenset[str] = frozenset()
    findings: list[Finding] = []
    while True:
        chooser = Chooser(q.base, q.problem, run, spared=spared)
        answer = best_plan(chooser)
        if answer.plan is not None:
            break
        apart = _apart(chooser)
        if (answer := best_plan(apart)).plan is not None:
            chooser = apart
            break
        exhausted = _exhausted(q, (*chooser.wet, *apart.wet))
        if not exhausted:
            raise unsolved(q, chooser, answer)
        insisted = {w.face for w in exhausted if q.base.job.face(w.face).must}
        spared |= insisted
        q = _without(q, {(w.face, w.way): w.reason for w in exhausted if w.face not in insisted})
    chooser, answer, gain, parting = _parted(chooser, answer)
    findings += _left_out(q.options, {(w.face, w.way): w.reason for w in chooser.wet})
    findings += gain
    marked = _without(q, {(w.face, w.way): w.reason for w in chooser.wet}, again=False)
    return Choice(marked, chooser, answer, tuple(findings), parting)


def _apart(chooser: Chooser) -> Chooser:
    """The same question with every face by itself."""
    return replace(chooser, groups=each_by_itself(chooser.problem), wet=list(chooser.wet), nodes=MOST_NODES)


def _exhausted(q: Question, wet: Sequence[Wet]) -> list[Wet]:
    """Return the wet ways of faces that have no other way which the rules of the line let them have.

    Where there are none, all wet ways: together they leave no plan.
    """
    gone: dict[str, set[str]] = {}
    for w in wet:
        gone.setdefault(w.face, set()).add(w.way)
    stuck = set()
    for face in q.problem.faces:
        good = face.airtight if q.problem.air_barrier and face.airtight.any() else face.deep
        ways = {o.way for o, ok in zip(face.options, good, strict=True) if ok or face.must}
        if face.id in gone and ways <= gone[face.id]:
            stuck.add(face.id)
    return [w for w in wet if w.face in stuck] or list(wet)


def _parted(chooser: Chooser, answer: Answer) -> tuple[Chooser, Answer, list[Finding], float]:
    """Part like faces where that gains enough: the question, its answer, what to say, what more could be gained."""
    p, base, run = chooser.problem, chooser.base, chooser.run
    if all(len(g) == 1 for g in chooser.groups) or p.objective is not Objective.WHOLE_COST or run.stop():
        return chooser, answer, [], 0.0
    least = money_rate(LIKE_PARTS, base.job.place.currency, base.rates).typical
    free = best_plan(_apart(chooser))
    bound = max(answer.value - free.bound, 0.0)
    if free.plan is None or answer.value - free.value <= least:
        return chooser, answer, [], bound
    groups = _by_choice(chooser.groups, free.plan)
    parted = replace(chooser, groups=groups, wet=list(chooser.wet))
    better = best_plan(parted)
    if better.plan is None or answer.value - better.value <= least:
        return chooser, answer, [], bound
    parts, saved = _differing(p, chooser.groups, better.plan), Money(answer.value - better.value)
    found = [Finding.of("weigh.parts-differ", Weight.NOTE, (), parts=parts, saved=saved)]
    return parted, better, found, max(better.value - free.bound, 0.0)


def _by_choice(groups: Sequence[Group], plan: Plan) -> tuple[Group, ...]:
    """Split groups into the faces that a plan does alike."""
    out: list[Group] = []
    for group in groups:
        same: dict[int, list[int]] = {}
        for face in group:
            same.setdefault(plan.picks[face], []).append(face)
        out += [tuple(faces) for faces in same.values()]
    return tuple(out)


def _differing(p: Problem, groups: Sequence[Group], plan: Plan) -> Fact:
    rows: list[Said] = []
    for group in groups:
        parts = _by_choice((group,), plan)
        if len(parts) > 1:
            rows += [
                Said.of(
                    "weigh.said.by-way",
                    faces=faces(p.faces[n].id for n in part),
                    way=Name(p.faces[part[0]].options[plan.picks[part[0]]].title),
                )
                for part in parts
            ]
    return told_all(rows, "semicolon")


def _hours(q: Question, plan: Plan, run: Run) -> ByHour | None:
    """Look at a choice by the hour; None where it cannot be reckoned, which the look ahead tells."""
    inside = tuple(q.problem.net.zones[z] for z in plan.inside)
    try:
        return by_hour(q.base, chosen(q.problem, plan), inside, run.within("weigh", 0.5, 0.55))
    except SnugbayError:
        return None


def _without(q: Question, out: Reasons, *, again: bool = True) -> Question:
    """Mark some ways as not fitting, and put the question again without them unless it is answered already."""
    options = tuple(
        replace(o, fits=False, why_not=(Said.of(WET, reason=out[o.face, o.way]),)) if (o.face, o.way) in out else o
        for o in q.options
    )
    return replace(q, options=options, problem=problem(q.base, options, q.shelf)[0] if again else q.problem)


def _by_title(options: Sequence[Option], out: Reasons) -> dict[tuple[str, Fact], list[str]]:
    """Gather faces by the title of their way and the reason against it."""
    groups: dict[tuple[str, Fact], list[str]] = {}
    for o in options:
        if (o.face, o.way) in out:
            groups.setdefault((o.title, out[o.face, o.way]), []).append(o.face)
    return groups


def _left_out(options: Sequence[Option], out: Reasons) -> list[Finding]:
    return [
        Finding.of(
            "weigh.left-out-wet",
            Weight.NOTE,
            ("faces", ids[0]),
            faces=names(ids),
            title=Name(title),
            reason=reason,
        )
        for (title, reason), ids in _by_title(options, out).items()
    ]


def _left_bare(choice: Choice) -> list[Finding]:
    """Say which faces are left as found because every way that insulates them gets wet."""
    gone = {o.face for o in choice.question.options if any(isinstance(r, Said) and r.code == WET for r in o.why_not)}
    bare = [
        o.face
        for o in choice.options
        if o.face in gone
        and not o.layers
        and not any(k.face == o.face and k.fits and k.layers for k in choice.question.options)
    ]
    if not bare:
        return []
    return [Finding.of("weigh.no-dry-way", Weight.WARN, ("faces", bare[0]), faces=faces(bare))]


def _insisted(choice: Choice, run: Run) -> list[Finding]:
    """Name a dry way for the faces whose wet way is the job's own wish."""
    q, chooser = choice.question, choice.chooser
    assert choice.answer.plan is not None
    judged = replace(chooser, spared=frozenset())
    forced = [w for w in judged.wet_of(choice.answer.plan) if w.way != AS_FOUND]
    if not forced or run.stop():
        return []
    mine = {w.face for w in forced}
    free = replace(q.base.job, faces=tuple(replace(f, must="") if f.id in mine else f for f in q.base.job.faces))
    base = replace(q.base, job=free)
    asked = replace(q, base=base, problem=problem(base, q.options, q.shelf)[0])
    try:
        dry = {o.face: o.title for o in choose(asked, run).options if o.way != AS_FOUND}
    except SnugbayError:
        dry = {}
    out = []
    for w in forced:
        title = next(o.title for o in choice.options if o.face == w.face)
        known = w.face in dry
        instead = Said.of("weigh.said.dry-would-be", way=Name(dry[w.face])) if known else Said.of("weigh.said.none-dry")
        out.append(
            Finding.of(
                "weigh.must-is-wet",
                Weight.WARN,
                ("faces", w.face, "must"),
                face=FaceRef(w.face),
                title=Name(title),
                reason=w.reason,
                instead=instead,
            )
        )
    return out
