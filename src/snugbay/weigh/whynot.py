"""Why not: for any face and way, the best plan that has it, and what that changes."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import replace

from snugbay.base import Outcome, Run, Said, UnknownName
from snugbay.base.facts import FaceRef, Listed, Name
from snugbay.job import Job
from snugbay.survey import Survey
from snugbay.ways.found import found_state, ground
from snugbay.ways.limits import matches
from snugbay.ways.reading import all_ways
from snugbay.ways.resources import shelf
from snugbay.weigh.alternatives import best_plan
from snugbay.weigh.asking import Among
from snugbay.weigh.choosing import Chooser
from snugbay.weigh.evaluate import Plan
from snugbay.weigh.points import point
from snugbay.weigh.problem import Problem
from snugbay.weigh.question import problem
from snugbay.weigh.stage import Question
from snugbay.weigh.values import PlanPoint, Weighing, WhyNot


def question_again(job: Job, survey: Survey, weighing: Weighing) -> Question:
    """Put the question together again from the options of a weighing, without making pieces anew."""
    base = ground(job, survey)
    things = shelf(job, all_ways(job.own_ways, base.rates), base.rates)
    asked, found = problem(base, weighing.options, things)
    return Question(base, things, found_state(base), weighing.options, asked, found)


def why_not(
    job: Job, survey: Survey, weighing: Weighing, face: str, way: str, run: Run, done: Container[str] = ()
) -> Outcome[WhyNot]:
    """Say what one way on one face would change.

    Parameters
    ----------
    job, survey : Job, Survey
        As weighed.
    weighing : Weighing
        The answer of `weigh` for this job.
    face, way : str
        Face id; way id, with its variant (``"kit/3in"``) or without (``"kit"``: the best of its variants).
    run : Run
        Seed, effort, stop.
    done : container of str
        Faces that are finished: they keep their way, and stand with the same cost on both sides.

    Returns
    -------
    Outcome of WhyNot
        The best plan with that way on that face, the rest chosen anew.

    Raises
    ------
    UnknownName
        If there is no such face or way.
    """
    own = [o for o in weighing.options if o.face == face]
    if not own:
        raise UnknownName(f"There is no face {face!r}.", hint="Faces: " + ", ".join(f.id for f in job.faces) + ".")
    named = [o for o in own if matches(o.way, way)]
    if not named:
        raise UnknownName(f"There is no way {way!r}.", hint="Ways: " + ", ".join(o.way for o in own) + ".")
    title = named[0].title
    if not any(o.fits for o in named):
        reasons = tuple(dict.fromkeys(r for o in named for r in o.why_not))
        why = Listed(tuple(Name(r) if isinstance(r, str) else r for r in reasons), "semicolon")
        said = Said.of("weigh.does-not-fit", way=Name(title), face=FaceRef(face), reasons=why)
        return Outcome(WhyNot(face, way, False, reasons, None, text=said))
    q = question_again(job, survey, weighing)
    if face in done:
        return Outcome(WhyNot(face, way, True, (), None, text=f"{face} is finished: its way stays."))
    marks = tuple("asked" if f.id == face else "done" if f.id in done else "" for f in q.problem.faces)
    p = replace(q.problem, told_apart=marks)
    held = {n: (_pick(p, f.id, weighing),) for n, f in enumerate(p.faces) if f.id in done}
    number = p.face_numbers[face]
    ok = tuple(i for i, o in enumerate(p.faces[number].options) if matches(o.way, way))
    answer = best_plan(Chooser(q.base, p, run), Among(only={**held, number: ok}))
    if answer.plan is None:
        text = f"With {title} on {face} no plan keeps the limits and the rules of the line."
        return Outcome(WhyNot(face, way, True, (), None, text=text), finished=answer.finished)
    forced = point(p, answer.plan, answer.worth)
    inside = tuple(n for n, z in enumerate(p.net.zones) if z in weighing.plan.inside)
    now = point(p, Plan(inside, tuple(_pick(p, f.id, weighing) for f in p.faces)))
    return Outcome(_compared(weighing, now, forced, face, way, job.place.currency), finished=answer.finished)


def _pick(p: Problem, face: str, weighing: Weighing) -> int:
    """Number of the option that the plan has on a face."""
    way = weighing.plan.way(face)
    return next(i for i, o in enumerate(p.faces[p.face_numbers[face]].options) if o.way == way)


def _compared(weighing: Weighing, now: PlanPoint, then: PlanPoint, face: str, way: str, currency: str) -> WhyNot:
    before, after = dict(now.ways), dict(then.ways)
    title = weighing.option(face, after[face]).title
    others = tuple(
        (f, weighing.option(f, before[f]).title, weighing.option(f, after[f]).title)
        for f in before
        if f != face and before[f] != after[f]
    )
    cash, hours = then.cash - now.cash, then.hours - now.hours
    saving, whole = then.saving - now.saving, then.whole_cost - now.whole_cost
    if before[face] == after[face]:
        text = f"{title} is what the plan has on {face}."
    else:
        parts = [_more("cash", cash, 0, currency), _more("own hours", hours, 1, "h")]
        parts.append(_more("saving a year", saving, 0, currency))
        text = (
            f"{title} on {face}: " + ", ".join(parts) + f"; over the years {_more('whole cost', whole, 0, currency)}."
        )
        if then.inside != now.inside:
            text += " The line would run elsewhere."
        if others:
            many = "1 other face" if len(others) == 1 else f"{len(others)} other faces"
            text += f" {many} would change with it."
    return WhyNot(face, way, True, (), then, cash, hours, saving, whole, others, text)


def _more(what: str, value: float, digits: int, unit: str) -> str:
    if abs(value) < 0.5 * 10**-digits:
        return f"{what} the same"
    return f"{what} {'+' if value > 0 else '-'}{abs(value):,.{digits}f} {unit}"
