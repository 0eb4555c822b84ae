"""The choice, made again without every way that gets wet by the hour, until it stays dry or no dry way is left."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count

from snugbay.base import Finding, Outcome, Run, SnugbayError, Weight
from snugbay.job import Face, Job, short_list
from snugbay.survey import Survey
from snugbay.ways import Option
from snugbay.ways.limits import AS_FOUND, matches
from snugbay.weigh.alternatives import best_plan
from snugbay.weigh.asking import Answer
from snugbay.weigh.by_hour import by_hour
from snugbay.weigh.evaluate import Plan
from snugbay.weigh.hourly import ByHour
from snugbay.weigh.question import problem
from snugbay.weigh.report import chosen
from snugbay.weigh.search import Search
from snugbay.weigh.stage import Question, looked_at, unsolved, weighing
from snugbay.weigh.values import Weighing

MOST_ROUNDS = 8
"""Choices made at most before what is found is told as it is."""

WET = "it does not stay dry by the hour"

Reasons = Mapping[tuple[str, str], str]
"""Why a way on a face does not stay dry, by face and way."""


@dataclass(frozen=True)
class Choice:
    """A choice and what the hours say of it.

    Attributes
    ----------
    question : Question
        With the ways that were left out marked as not fitting.
    search, answer
        The proved choice.
    hours : ByHour or None
        Its build-ups by the hour; None where they could not be reckoned.
    findings : tuple of Finding
        What was left out, round by round, and what could not be.
    """

    question: Question
    search: Search
    answer: Answer
    hours: ByHour | None
    findings: tuple[Finding, ...] = ()

    @property
    def options(self) -> tuple[Option, ...]:
        """What is done on each face."""
        assert self.answer.plan is not None
        return chosen(self.question.problem, self.answer.plan)

    @property
    def wet(self) -> dict[tuple[str, str], str]:
        """Ways of the choice that do not stay dry, with the reasons."""
        if self.hours is None:
            return {}
        ways = {o.face: o.way for o in self.options}
        return {
            (f, ways[f]): " ".join(r[:1].upper() + r[1:] for r in b.reasons)
            for b in self.hours.build_ups
            if b.verdict == "wet"
            for f in b.faces
        }


def weigh_dry(job: Job, survey: Survey, run: Run) -> Outcome[Weighing]:
    """Weigh a job up, by months and then by the hour: a way that gets wet where it was chosen is left out.

    Parameters and errors are those of `weigh`.

    Returns
    -------
    Outcome of Weighing
        With its build-ups by the hour. Ways that were left out do not fit any more, with the reason; findings say what
        was left out, where no way stays dry, and what would be dry where the job insists on a wet way.
    """
    q = looked_at(job, survey, run)
    choice = _choose(q, run)
    findings = (*choice.findings, *_left_bare(choice), *_insisted(choice, run))
    asked = replace(choice.question, findings=(*q.findings, *findings))
    answer = weighing(asked, choice.search, choice.answer, run)
    return replace(answer, value=replace(answer.value, by_hour=choice.hours))


def _choose(q: Question, run: Run) -> Choice:
    """Choose, look at the choice by the hour, leave out what gets wet, choose again.

    Raises
    ------
    NoPlan, Stopped
        Where nothing can be chosen at all.
    """
    kept: Choice | None = None
    findings: tuple[Finding, ...] = ()
    for number in count(1):
        search = Search(q.problem, run)
        answer = best_plan(search)
        if answer.plan is None and kept is None:
            raise unsolved(q, search, answer)
        if answer.plan is None:
            break
        kept = Choice(q, search, answer, _hours(q, answer.plan, run), findings)
        out = _may_go(q, kept.wet)
        if not out or run.stop():
            return kept
        if number == MOST_ROUNDS:
            break
        findings = (*findings, *_left_out(kept.options, out, number))
        q = _without(q, out)
    assert kept is not None
    return replace(kept, findings=(*kept.findings, _no_dry_plan(kept, number)))


def _hours(q: Question, plan: Plan, run: Run) -> ByHour | None:
    """Look at a choice by the hour; None where it cannot be reckoned, which the look ahead tells."""
    inside = tuple(q.problem.net.zones[z] for z in plan.inside)
    try:
        return by_hour(q.base, chosen(q.problem, plan), inside, run.within("weigh", 0.5, 0.55))
    except SnugbayError:
        return None


def _alike(a: Face, b: Face) -> bool:
    """Tell whether two faces are built alike between the same spaces: what is wet on one is wet on the other."""
    return (a.layers, a.framing, a.depth, a.warm, a.cold) == (b.layers, b.framing, b.depth, b.warm, b.cold)


def _may_go(q: Question, wet: Reasons) -> dict[tuple[str, str], str]:
    """Return the wet ways and all that are built like them, but not the last ones that a face must have."""
    job = q.base.job
    out: dict[tuple[str, str], str] = {}
    for (face, way), reason in wet.items():
        like = next(o for o in q.options if (o.face, o.way) == (face, way))
        alike = {f.id for f in job.faces if _alike(f, job.face(face))}
        for o in q.options:
            if o.fits and o.face in alike and (o.layers, o.air_barrier) == (like.layers, like.air_barrier):
                out.setdefault((o.face, o.way), reason)
    for f in job.faces:
        asked = {(o.face, o.way) for o in q.options if o.fits and o.face == f.id and f.must and matches(o.way, f.must)}
        if asked <= out.keys():
            out = {pair: reason for pair, reason in out.items() if pair not in asked}
    return out


def _without(q: Question, out: Reasons) -> Question:
    """Put the question again without some ways."""
    options = tuple(
        replace(o, fits=False, why_not=(f"{WET}: {out[o.face, o.way]}",)) if (o.face, o.way) in out else o
        for o in q.options
    )
    return replace(q, options=options, problem=problem(q.base, options, q.shelf)[0])


def _by_title(options: Sequence[Option], out: Reasons) -> dict[tuple[str, str], list[str]]:
    """Gather faces by the title of their way and the reason against it."""
    groups: dict[tuple[str, str], list[str]] = {}
    for o in options:
        if (o.face, o.way) in out:
            groups.setdefault((o.title, out[o.face, o.way]), []).append(o.face)
    return groups


def _left_out(options: Sequence[Option], out: Reasons, number: int) -> list[Finding]:
    return [
        Finding(
            "weigh.left-out-wet",
            f"Choice {number} had {short_list(faces)} with {title}, which does not stay dry by the hour: {reason} "
            "The choice was made again without it.",
            Weight.NOTE,
            ("faces", faces[0]),
        )
        for (title, reason), faces in _by_title(options, out).items()
    ]


def _no_dry_plan(kept: Choice, number: int) -> Finding:
    faces = [face for face, _ in kept.wet]
    why = (
        f"After {number} choices {short_list(faces)} still do not stay dry by the hour"
        if number == MOST_ROUNDS
        else f"Without the ways of {short_list(faces)} that get wet no plan keeps the limits and the rules of the line"
    )
    text = f"{why}: no dry plan was found. This one is stopped; loosen a limit, or ask a building physicist."
    return Finding("weigh.no-dry-plan", text, Weight.WARN, ("faces", faces[0]))


def _left_bare(choice: Choice) -> list[Finding]:
    """Say which faces are left as found because every way that insulates them gets wet."""
    gone = {o.face for o in choice.question.options if any(r.startswith(WET) for r in o.why_not)}
    bare = [
        o.face
        for o in choice.options
        if o.face in gone
        and not o.layers
        and not any(k.face == o.face and k.fits and k.layers for k in choice.question.options)
    ]
    if not bare:
        return []
    text = (
        f"No way that insulates {short_list(bare)} stays dry by the hour: no insulation is planned there. "
        "Ask a building physicist before you add any."
    )
    return [Finding("weigh.no-dry-way", text, Weight.WARN, ("faces", bare[0]))]


def _insisted(choice: Choice, run: Run) -> list[Finding]:
    """Name a dry way for the faces whose wet way is the job's own wish."""
    q = choice.question
    forced = [(face, way) for face, way in choice.wet if q.base.job.face(face).must and way != AS_FOUND]
    if not forced or run.stop():
        return []
    names = {face for face, _ in forced}
    free = replace(q.base.job, faces=tuple(replace(f, must="") if f.id in names else f for f in q.base.job.faces))
    base = replace(q.base, job=free)
    asked = replace(q, base=base, problem=problem(base, q.options, q.shelf)[0])
    try:
        other = _choose(asked, run)
        dry = {o.face: o.title for o in other.options if (o.face, o.way) not in other.wet}
    except SnugbayError:
        dry = {}
    reasons = choice.wet
    out = []
    for face, way in forced:
        title = next(o.title for o in choice.options if o.face == face)
        instead = f"Dry would be: {dry[face]}." if face in dry else "No dry way was found for it."
        out.append(
            Finding(
                "weigh.must-is-wet",
                f"{face}: you insist on {title}, which does not stay dry by the hour: {reasons[face, way]} It stays in "
                f"the plan, stopped. {instead}",
                Weight.WARN,
                ("faces", face, "must"),
            )
        )
    return out
