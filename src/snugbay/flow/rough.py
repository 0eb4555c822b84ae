"""The rough answer at the hatch: the same engine on a space of which only a few numbers are known.

Ways are reckoned once, at what the numbers say. What nobody read is then drawn together with the luck of prices, pace
and winters: hours, material and heat of a face go with its size. So the spread shows what is not known yet, and each
unknown shows what knowing it would be worth.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from snugbay.base import InputError, Run, Stopped
from snugbay.cautions.tables import gates
from snugbay.flow.checks import check_joins, check_names
from snugbay.job import Job
from snugbay.job.space import Number, Solid, Space
from snugbay.job.space.expand import copies_of, face_id, numbers_of, solid_of
from snugbay.job.space.put import axes_of
from snugbay.survey import survey
from snugbay.survey.needed import as_if_read
from snugbay.weigh.alternatives import best_plan, one_way
from snugbay.weigh.choosing import Chooser
from snugbay.weigh.evaluate import Plan
from snugbay.weigh.likely import spreads_of
from snugbay.weigh.luck import Draws, draw
from snugbay.weigh.points import point, words_for
from snugbay.weigh.problem import FaceChoices, Problem
from snugbay.weigh.spread import Outcomes, band, season_before, simulate
from snugbay.weigh.stage import Question, looked_at, unsolved
from snugbay.weigh.values import AS_FOUND, Band

Floats = NDArray[np.float64]

SHAPES, LUCKS = 48, 64
"""Draws of the numbers that nobody read, and draws of luck for each of them."""
HOURS_WITH_SIZE = 0.9
"""Hours of a face go with this power of its size: a little of them is the same for a small and a large one."""
BADLY = 0.10
"""A way is regretted where another would have cost less by more than this share of its whole cost. [-]"""
HOUR_SPREAD = 1.6
"""What an hour is worth to a person who has not said: the usual worth by or times this, one standard deviation."""
LEAST_WORTH = 1.0
"""Knowing a thing is worth telling where it saves so much in the mean. [currency]"""
STOPS = 4

LUCKY = {
    "prices": "what boards, kits and a crew cost where you are: ask for two prices",
    "found": "what is there now: insulation, gaps and draughts in the faces",
    "worker": "your own pace: do one small piece and look at the clock",
    "methods": "how well the way goes in this space: try it on its smallest face",
    "hour": "what an hour of yours is worth to you",
}
"""Drivers of the luck that a person can find out, in words; winters, energy prices and what is reached cannot be."""


@dataclass(frozen=True)
class RoughWay:
    """One way through the whole space.

    Attributes
    ----------
    name : str
        In words.
    hours, cash, saving, whole : Band
        Own hours [h], money now, saving a year, whole cost over the years. [currency]
    regret : float
        Chance that another of the ways would have cost less by more than `BADLY`. [0..1]
    inside, line : tuple of str
        As of a plan.
    ways : tuple of (str, tuple of str)
        What is done, in words, and the faces it is done to; faces left as found are not among them.
    """

    name: str
    hours: Band
    cash: Band
    saving: Band
    whole: Band
    regret: float
    inside: tuple[str, ...] = ()
    line: tuple[str, ...] = ()
    ways: tuple[tuple[str, tuple[str, ...]], ...] = ()


@dataclass(frozen=True)
class FindOut:
    """Something to find out before deciding.

    Attributes
    ----------
    name : str
        Key of the number, or of the driver.
    text : str
        In words.
    worth : float
        What knowing it saves in the mean. [currency]
    changes : float
        How often it changes the choice. [0..1]
    """

    name: str
    text: str
    worth: float
    changes: float


@dataclass(frozen=True)
class Tip:
    """Where the choice tips: of which driver, at what value, to which way, and on which side of the value."""

    name: str
    value: float
    above: bool
    to: str


@dataclass(frozen=True)
class Danger:
    """What must be looked for before anybody crawls in."""

    title: str
    text: str
    clears: str
    stop: bool


@dataclass(frozen=True)
class RoughAnswer:
    """The rough answer.

    Attributes
    ----------
    best : RoughWay
        The way that costs least over the years in the mean of all draws.
    ways : tuple of RoughWay
        Every way looked at, the best first; leaving it as found among them.
    find_out : tuple of FindOut
        What to find out first, the most telling first.
    tips : tuple of Tip
        Where the choice tips.
    dangers : tuple of Danger
        Before the first crawl.
    defaults : tuple of (Number, float)
        Numbers that nobody said.
    space : Space
        As understood.
    draws : int
        Number of draws.
    """

    best: RoughWay
    ways: tuple[RoughWay, ...]
    find_out: tuple[FindOut, ...]
    tips: tuple[Tip, ...]
    dangers: tuple[Danger, ...]
    defaults: tuple[tuple[Number, float], ...]
    space: Space
    draws: int


def rough(job: Job, space: Space, run: Run, *, hour_said: bool) -> RoughAnswer:
    """Return what a few numbers already tell.

    Parameters
    ----------
    job : Job
        What the space comes to with the numbers as they are.
    space : Space
        The space itself.
    run : Run
        Seed, effort, progress, stop.
    hour_said : bool
        Whether the person said what an hour is worth.

    Raises
    ------
    NoPlan
        If no plan keeps the limits.
    Stopped
        If the run was stopped before there was an answer.
    """
    job = replace(job, wishes=replace(job.wishes, layers=1))
    check_names(job)
    check_joins(job)
    taped = as_if_read(job, survey(job, run.within("Measure", 0.0, 0.05)).value)
    q = looked_at(job, taped, run.within("Weigh up", 0.05, 0.8))
    search = Chooser(q.base, q.problem, run, by_hour=False)
    answer = best_plan(search)
    if answer.plan is None:
        raise unsolved(q, search, answer)
    plans: dict[str, Plan | None] = {"the best mixture": answer.plan}
    for group, plan, _ in one_way(search, run):
        if plan == answer.plan:
            plans = {words_for(group): plan, **{n: p for n, p in plans.items() if p != plan}}
        else:
            plans[words_for(group)] = plan
    plans["leave it as found"] = None
    if run.stop():
        raise Stopped("The rough answer was stopped.")
    drawn = _drawn(q, space, list(plans.values()), run, hour_said)
    run.progress("Draws", 0.95)
    return _answer(q, space, plans, drawn)


@dataclass(frozen=True)
class _Drawn:
    """Figures of all plans, arrays of shape (plans, draws), and the drivers behind them, shape (draws,)."""

    hours: Floats
    cash: Floats
    saving: Floats
    whole: Floats
    drivers: Mapping[str, Floats]
    values: Mapping[str, Floats]


def sizes(space: Space, numbers: Mapping[str, float]) -> dict[str, float]:
    """Return the area of each face of a space by its id, as some numbers make it. [m²]"""
    solid = solid_of(space.kind, numbers)
    return {face_id(space, f.name): _area(solid, f.name) for f in solid.faces}


def _first(space: Space, face: str) -> str:
    """Return the id of a face without its number among equal ones."""
    return face.rsplit("-", 1)[0] if copies_of(space, numbers_of(space.kind, space.numbers)) > 1 else face


def _area(solid: Solid, name: str) -> float:
    face = solid.face(name)
    axes = axes_of(solid, face)
    flat = [axes.flat(solid.at[c]) for c in face.loop]
    return abs(sum(p[0] * r[1] - r[0] * p[1] for p, r in zip(flat, (*flat[1:], flat[0]), strict=True))) / 2.0


def unknown(space: Space) -> tuple[Number, ...]:
    """Return the numbers of a space that nobody said and that may well be otherwise."""
    return tuple(n for n in space.kind.numbers if n.name not in space.numbers and n.sigma > 0)


def drawn_numbers(space: Space, rng: np.random.Generator) -> dict[str, float]:
    """Return the numbers of a space with the unknown ones drawn by their spread, so that they still make a body."""
    known = numbers_of(space.kind, space.numbers)
    for _ in range(50):
        out = dict(known)
        for n in unknown(space):
            value = float(np.clip(rng.normal(n.guess, n.sigma), n.least, n.most))
            out[n.name] = max(round(value), 1.0) if n.unit == "count" else value
        try:
            solid_of(space.kind, out)
        except InputError:
            continue
        return out
    return known


def _drawn(q: Question, space: Space, plans: Sequence[Plan | None], run: Run, hour_said: bool) -> _Drawn:
    rng = run.rng("rough")
    spreads = spreads_of(q)
    base = sizes(space, numbers_of(space.kind, space.numbers))
    open_ = unknown(space)
    rows: list[list[Outcomes]] = []
    luck: list[Draws] = []
    drawn: list[dict[str, float]] = []
    for _ in range(SHAPES):
        numbers = drawn_numbers(space, rng) if open_ else numbers_of(space.kind, space.numbers)
        now = sizes(space, numbers)
        ratio = {f: now.get(f, a) / a for f, a in base.items() if a > 0}
        p = sized(q.problem, {f.id: ratio.get(_first(space, f.id), 1.0) for f in q.problem.faces})
        d = draw(p, LUCKS, rng)
        before = season_before(p, spreads, d)
        rows.append([simulate(p, plan, spreads, d, before) for plan in plans])
        luck.append(d)
        drawn.append(numbers)
    hours, cash, saving, whole = (
        np.array([np.concatenate([np.asarray(getattr(row[k], name)) for row in rows]) for k in range(len(plans))])
        for name in ("hours", "cash", "saving", "whole")
    )
    names = ("prices", "found", "worker", "energy", "winter", "resistance")
    drivers = {n: np.concatenate([np.asarray(getattr(d, n), dtype=float) for d in luck]) for n in names}
    groups = list(luck[0].methods)
    if groups:
        drivers["methods"] = np.concatenate([np.asarray(d.methods[groups[0]], dtype=float) for d in luck])
    values: dict[str, Floats] = {}
    for n in open_:
        values[n.name] = np.repeat(np.array([x[n.name] for x in drawn]), LUCKS)
        drivers[n.name] = (values[n.name] - n.guess) / n.sigma
    if not hour_said:
        z: Floats = np.asarray(rng.standard_normal(whole.shape[1]))
        drivers["hour"] = z
        values["hour"] = np.asarray(q.problem.worth * np.power(HOUR_SPREAD, z))
        whole = whole + (values["hour"] - q.problem.worth) * hours
    return _Drawn(hours, cash, saving, whole, drivers, values)


def sized(p: Problem, ratio: Mapping[str, float]) -> Problem:
    """Return the question with its faces of another size: work, material and heat go along.

    Parameters
    ----------
    p : Problem
        The question.
    ratio : Mapping of str to float
        Area of a face over what it was, by its id; faces that are not named stay. [-]
    """
    return replace(p, faces=tuple(_sized(f, ratio.get(f.id, 1.0)) for f in p.faces))


def _sized(face: FaceChoices, ratio: float) -> FaceChoices:
    if ratio == 1.0:
        return face
    work = ratio**HOURS_WITH_SIZE
    options = tuple(
        replace(
            o,
            hours=tuple(replace(h, low=h.low * work, typical=h.typical * work, high=h.high * work) for h in o.hours),
            needs=tuple(replace(n, low=n.low * ratio, typical=n.typical * ratio, high=n.high * ratio) for n in o.needs),
            charge_low=o.charge_low * ratio,
            charge=o.charge * ratio,
            charge_high=o.charge_high * ratio,
            heat_before=o.heat_before * ratio,
            heat_low=o.heat_low * ratio,
            heat_after=o.heat_after * ratio,
            heat_high=o.heat_high * ratio,
        )
        for o in face.options
    )
    needs = tuple({r: amount * ratio for r, amount in need.items()} for need in face.needs)
    return replace(
        face,
        options=options,
        heat=face.heat * ratio,
        hours=face.hours * work,
        charge=face.charge * ratio,
        needs=needs,
    )


def _answer(q: Question, space: Space, plans: Mapping[str, Plan | None], drawn: _Drawn) -> RoughAnswer:
    names = list(plans)
    mean = drawn.whole.mean(axis=1)
    order = [int(k) for k in np.argsort(mean, kind="stable")]
    least = drawn.whole.min(axis=0)
    ways = tuple(_way(q, names[k], plans[names[k]], drawn, k, least) for k in order)
    worth = _worth(space, drawn, order[0])
    return RoughAnswer(
        ways[0],
        ways,
        worth,
        _tips(q, space, names, drawn, order[0]),
        dangers(space.kind.look_round),
        tuple((n, n.guess) for n in space.kind.numbers if n.name not in space.numbers),
        space,
        drawn.whole.shape[1],
    )


def _way(q: Question, name: str, plan: Plan | None, drawn: _Drawn, k: int, least: Floats) -> RoughWay:
    regret = float(np.mean(drawn.whole[k] > least * (1.0 + BADLY)))
    bands = (band(drawn.hours[k]), band(drawn.cash[k]), band(drawn.saving[k]), band(drawn.whole[k]))
    if plan is None:
        return RoughWay(name, *bands, regret)
    pt = point(q.problem, plan)
    return RoughWay(name, *bands, regret, pt.inside, pt.line, _done(q, pt.ways))


def _done(q: Question, ways: Sequence[tuple[str, str]]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return what a plan does, faces that are done alike together."""
    titles = {(f.id, o.way): o.title for f in q.problem.faces for o in f.options}
    done: dict[str, list[str]] = {}
    for face, way in ways:
        if way != AS_FOUND:
            done.setdefault(titles[face, way], []).append(face)
    return tuple((title, tuple(faces)) for title, faces in done.items())


def _fitted(z: Floats, difference: Floats) -> Floats:
    """Return what a driver alone lets one expect of the differences, shape (plans, draws): a parabola in it."""
    if float(z.std()) < 1e-9:
        return np.repeat(difference.mean(axis=1)[:, None], difference.shape[1], axis=1)
    basis = np.stack([np.ones_like(z), z, z * z])
    coefficients = np.linalg.lstsq(basis.T, difference.T, rcond=None)[0]
    return np.asarray((basis.T @ coefficients).T)


def _worth(space: Space, drawn: _Drawn, best: int) -> tuple[FindOut, ...]:
    """Return what it is worth to know each thing that can be found out, the most telling first.

    The expected value of perfect information on one driver: the mean of what the better choice saves where the driver
    is known; see J. E. Oakley, Journal of the Royal Statistical Society D 58 (2009) on regression estimates (from
    memory).
    """
    difference = drawn.whole - drawn.whole[best]
    titles = {n.name: n.title for n in unknown(space)}
    found = []
    for name, z in drawn.drivers.items():
        if name not in titles and name not in LUCKY:
            continue
        fitted = _fitted(z, difference)
        least = fitted.min(axis=0)
        text = f"read {name}: {titles[name]}" if name in titles else LUCKY[name]
        swing = float(np.abs(fitted - fitted.mean(axis=1, keepdims=True)).mean())
        found.append((FindOut(name, text, float(np.mean(-least)), float(np.mean(least < -LEAST_WORTH))), swing))
    found.sort(key=lambda f: (-round(f[0].worth, 2), -f[1]))
    return tuple(f for f, _ in found)


def _tips(q: Question, space: Space, names: Sequence[str], drawn: _Drawn, best: int) -> tuple[Tip, ...]:
    """Return where the choice tips within what may well be: of numbers not read, and of what an hour is worth."""
    out = []
    difference = drawn.whole - drawn.whole[best]
    for n in unknown(space):
        z = drawn.drivers[n.name]
        grid = np.linspace(-2.0, 2.0, 81)
        basis = np.stack([np.ones_like(z), z, z * z])
        coefficients = np.linalg.lstsq(basis.T, difference.T, rcond=None)[0]
        lines = np.stack([np.ones_like(grid), grid, grid * grid]).T @ coefficients
        for side in (1, -1):
            walk = range(40, 81) if side > 0 else range(40, -1, -1)
            at = next((i for i in walk if float(lines[i].min()) < -LEAST_WORTH), None)
            if at is not None and n.least <= n.guess + grid[at] * n.sigma <= n.most:
                to = names[int(lines[at].argmin())]
                out.append(Tip(n.name, n.guess + float(grid[at]) * n.sigma, side > 0, to))
    hours, rest = drawn.hours.mean(axis=1), (drawn.whole - drawn.hours * _hour(q, drawn)).mean(axis=1)
    for up in (True, False):
        crossing = [
            (float((rest[k] - rest[best]) / (hours[best] - hours[k])), k)
            for k in range(len(names))
            if k != best and (hours[k] < hours[best]) == up and abs(hours[k] - hours[best]) > 1e-6
        ]
        crossing = [(w, k) for w, k in crossing if w > 0 and (w > q.problem.worth) == up and math.isfinite(w)]
        if crossing:
            w, k = min(crossing) if up else max(crossing)
            if q.problem.worth / 5 < w < 5 * q.problem.worth:
                out.append(Tip("hour", w, up, names[k]))
    return tuple(out)


def _hour(q: Question, drawn: _Drawn) -> Floats:
    return drawn.values.get("hour", np.full(drawn.whole.shape[1], q.problem.worth))


def dangers(hazards: Sequence[str]) -> tuple[Danger, ...]:
    """Return what to look for before the first crawl, by the names of the look round, what stops the work first."""
    rows = {row.trigger: row for row in gates()}
    found = [
        Danger(r.title, r.text, r.clears, r.weight.value == "stop") for r in (rows[h] for h in hazards if h in rows)
    ]
    return tuple(sorted(found, key=lambda d: not d.stop))
