"""Forecast of the hours that are left, and what the log taught, from the learner's draws."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from snugbay.prove.log import Record, Worked, planned_done
from snugbay.prove.model import Floats, Model
from snugbay.prove.sampler import Draws, entry_logs
from snugbay.prove.tables import figure
from snugbay.prove.values import Forecast, Interval, LearnedFactor
from snugbay.prove.work import Work

LEVELS = (0.5, 0.1, 0.9, 0.025, 0.975)


def interval(values: NDArray[Any]) -> Interval:
    """Median, 80 % and 95 % limits of draws."""
    mid, a, b, c, d = (float(v) for v in np.quantile(values, LEVELS))
    return Interval(mid, a, b, c, d)


def cell_factors(model: Model, draws: Draws) -> Floats:
    """Factor on the planned hours left of each cell, shape (draws, cells), without chance of single pieces."""
    return np.asarray(np.exp(draws.theta @ model.cells.load.T + model.cells.offset))


def unexplained(record: Record, model: Model, draws: Draws) -> tuple[tuple[int, float, float], ...]:
    """Number of each entry, its hours over what is explained, and that in spreads of its noise."""
    if not record.worked:
        return ()
    gap = model.logged - np.median(entry_logs(model, draws.theta), axis=0)
    spreads = gap / (np.median(draws.scale) * np.sqrt(model.variance))
    rows = zip(record.worked, gap, spreads, strict=True)
    return tuple((w.number, float(np.exp(g)), float(s)) for w, g, s in rows)


def cells_left(model: Model, draws: Draws, rng: np.random.Generator) -> Floats:
    """Draws of the hours left of each cell, shape (draws, cells). [h]"""
    noise = rng.standard_normal((draws.theta.shape[0], model.left.size)) * np.sqrt(model.left_variance)
    return np.asarray(cell_factors(model, draws) * np.exp(draws.scale[:, None] * noise) * model.left)


def hours_left(model: Model, draws: Draws, rng: np.random.Generator) -> Floats:
    """Draws of the hours left, shape (draws,). [h]"""
    return np.asarray(cells_left(model, draws, rng).sum(axis=1))


def learned(work: Work, record: Record, model: Model, draws: Draws, prior: Draws) -> tuple[LearnedFactor, ...]:
    """Say what the log taught: you as a whole, then each element that an entry spoke about."""
    if not record.worked:
        return ()
    column = {n: i for i, n in enumerate(model.names)}
    spread = {}
    for element in dict.fromkeys(c.element for c in work.cells):
        own = [c for c in work.cells if c.element == element]
        spread[element] = sum(c.hours * c.spread for c in own) / sum(c.hours for c in own)
    mean = sum(c.hours * c.spread for c in work.cells) / work.planned
    w, e = figure("learning", "loadings", "worker"), figure("learning", "loadings", "element")

    def you(d: Draws) -> Interval:
        return interval(np.exp(mean * w * d.theta[:, column["worker", ""]]))

    def of(name: str, d: Draws) -> Interval:
        z = w * d.theta[:, column["worker", ""]] + e * d.theta[:, column["element", name]]
        return interval(np.exp(spread[name] * z))

    whole = sum(x.hours for x in record.worked)
    out = [LearnedFactor("you", you(draws), you(prior), len(record.worked), whole)]
    for element in spread:
        told = [h for x in record.worked if (h := _hours_of(work, x, element)) > 0]
        if told:
            out.append(LearnedFactor(element, of(element, draws), of(element, prior), len(told), sum(told)))
    return tuple(out)


def _hours_of(work: Work, entry: Worked, element: str) -> float:
    """Hours of an entry that fell on an element, shared out as planned. [h]"""
    planned = [(work.cells[p.cell].element, work.cells[p.cell].hours * p.share) for p in entry.parts]
    return entry.hours * sum(h for e, h in planned if e == element) / sum(h for _, h in planned)


def forecast(work: Work, record: Record, model: Model, draws: Draws, rng: np.random.Generator) -> Forecast:
    """Forecast the hours left.

    Parameters
    ----------
    work, record, model, draws
        Planned work, the log as read, the learner and its draws.
    rng : Generator
        Chance of the pieces still to come.
    """
    left = hours_left(model, draws, rng)
    planned = work.planned
    so_far = planned_done(work, record)
    done = so_far / (so_far + float(model.left.sum())) if planned > 0 else 0.0
    remaining = interval(left)
    total = interval(record.spent + left)
    text = _text(work, record, remaining, done)
    return Forecast(record.spent, min(done, 1.0), remaining, total, planned, text, draws.converged)


def _hours(x: float) -> str:
    return f"{x:.1f} h" if x < 10 else f"{x:.0f} h"


def _text(work: Work, record: Record, left: Interval, done: float) -> str:
    if work.planned <= 0:
        return "The plan has no own hours in it: there is nothing to forecast."
    band = f"{_hours(left.low80)} and {_hours(left.high80)}"
    if not record.worked:
        told = f"{_hours(record.spent)} are logged, but nothing says what got done in them. " if record.spent else ""
        return (
            f"{told}No pace is known yet. By the built-in rates {_hours(left.median)} are left (4 times in 5 between "
            f"{band})."
        )
    if done >= 1.0 - 1e-6:
        return f"All planned work is done, in {_hours(record.spent)} against {_hours(work.planned)} planned."
    plan_left = sum(c.hours * (1 - d) for c, d in zip(work.cells, record.done, strict=True) if not c.closed)
    pace = left.median / plan_left if plan_left > 0 else 1.0
    said = "as planned" if 0.95 <= pace <= 1.05 else f"{pace:.1f} times the planned hours"
    return (
        f"At this pace ({said} for what is left) {_hours(left.median)} are left, 4 times in 5 between {band}: "
        f"{_hours(record.spent + left.median)} in all against {_hours(work.planned)} planned; {done:.0%} of the work "
        "is done."
    )
