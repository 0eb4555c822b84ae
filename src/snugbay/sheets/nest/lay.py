"""Lay the pieces of an instance on sheets: the way through the search."""

from __future__ import annotations

import time
from dataclasses import dataclass, replace

import numpy as np

from snugbay.base import NoFit, Outcome, Run
from snugbay.sheets.nest.budget import Budget
from snugbay.sheets.nest.crew import Crew, Gate, Worker
from snugbay.sheets.nest.glue import Rules, glue
from snugbay.sheets.nest.instance import Instance, Laid, LaidSheet, Layout, SheetSize, box, turned
from snugbay.sheets.nest.items import Item, single_items
from snugbay.sheets.nest.leftover import spread_out
from snugbay.sheets.nest.problem import Problem, area_bound, pose, read_back, translate
from snugbay.sheets.nest.search import Lay, copy_lay, empty_one
from snugbay.sheets.nest.table import kinds_of
from snugbay.sheets.nest.turns import free_turns

GLUED_SHARE = 0.5
"""Share of the work for pieces put together beforehand, where some were; the rest goes to single pieces."""
TIDY_SHARE = 0.12
"""Share of the work for a light last sheet, where no sheet can be saved any more."""
LEFTOVER_SHARE = 0.025
"""Further work, as a share, for the lay of the last sheet that leaves the largest rectangle."""
FREE_SHARE = 0.5
"""Further work with all angles, as a share of that for quarter turns."""


@dataclass(frozen=True)
class Found:
    """A lay and the problem it belongs to."""

    problem: Problem
    lay: Lay
    leftover: tuple[float, float, float, float]
    spent: int

    @property
    def new_sheets(self) -> int:
        """New sheets in use."""
        return sum(1 for s in range(int(self.lay.sheets[0])) if self.lay.size[s] == 0 and self.lay.pieces[s] > 0)


def lay(instance: Instance, budget: Budget, run: Run) -> Outcome[Layout]:
    """Lay all pieces on as few sheets as the budget finds.

    Parameters
    ----------
    instance : Instance
        Pieces, sheet, kerf, turns; offcuts are used before new sheets, spoiled zones are kept free.
    budget : Budget
        Work, and the clock as a safety cap. The clock starts once the compiled code is loaded.
    run : Run
        Seed, progress, stop.

    Returns
    -------
    Outcome of Layout
        `Layout.ended` says what ended the search; `finished` is False where it was stopped.

    Raises
    ------
    NoFit
        If a piece is too large for the sheet in every allowed turn; the place is its number.
    """
    warm()
    deadline = None if budget.cap_seconds is None else time.monotonic() + budget.cap_seconds
    gate = Gate(run, deadline)
    found, lower = _search(instance, budget, gate)
    sheets = read_back(found.problem, found.lay)
    run.progress("sheets", 1.0)
    ended = gate.why or ("bound" if found.new_sheets <= lower else "work")
    layout = Layout(instance.name, sheets, lower, ended, found.spent, found.leftover)
    how = f"{len(sheets)} sheets, at least {lower} needed by area; search ended by {ended} after {found.spent} units"
    return Outcome(layout, provenance=(how,), finished=gate.why != "stopped")


def _search(instance: Instance, budget: Budget, gate: Gate) -> tuple[Found, int]:
    items = single_items(instance)
    if instance.free:
        return _search_free(instance, items, budget, gate)
    single = pose(instance, items)
    lower = area_bound(instance)
    spent = 0
    if instance.kerf == 0.0 and not instance.offcuts:
        joined = glue(items, Rules(instance.sheet.width, instance.sheet.height, instance.rotations))
        if len(joined) < len(items):
            found = _solve(pose(instance, joined), int(budget.work * GLUED_SHARE), gate, lower, (0.0, GLUED_SHARE))
            if found.new_sheets <= lower or gate.why:
                return found, lower
            spent = found.spent
            other = _solve(single, budget.work - spent, gate, lower, (GLUED_SHARE, 1.0), spent)
            return replace(min(found, other, key=lambda f: f.new_sheets), spent=other.spent), lower
    return _solve(single, budget.work, gate, lower, (0.0, 1.0)), lower


def _search_free(instance: Instance, items: list[Item], budget: Budget, gate: Gate) -> tuple[Found, int]:
    """Search in quarter turns with the work such a search would get, then go on with more angles: never worse."""
    extra = free_turns(kinds_of(item.outline for item in items)[0], instance.sheet)
    more = pose(instance, items, extra)
    lower = area_bound(instance)
    try:
        plain = pose(instance, items)
    except NoFit:
        return _solve(more, budget.work, gate, lower, (0.0, 1.0)), lower
    found = _solve(plain, budget.work, gate, lower, (0.0, 0.7))
    if found.new_sheets <= lower or gate.why:
        return found, lower
    start = translate(plain, found.lay, more)
    other = _solve(more, int(budget.work * FREE_SHARE), gate, lower, (0.7, 1.0), found.spent, start)
    return other, lower


def _solve(
    problem: Problem, work: int, gate: Gate, lower: int, progress: tuple[float, float], before: int = 0,
    start: Lay | None = None,
) -> Found:  # fmt: skip
    crew = Crew(problem, gate.run.seed, gate, start)
    crew.search(int(work * (1.0 - TIDY_SHARE)), lower, progress)
    slack = float(problem.sizes.area[0]) * crew.best.new_sheets - float(problem.shapes.kind_area @ problem.counts)
    if crew.best.new_sheets <= lower and slack > 1e-6 * float(problem.sizes.area[0]):
        crew.search(int(work * TIDY_SHARE), lower - 1, (progress[1], progress[1]), 0.0)
    lay_, leftover = _finish(problem, crew.best, int(work * LEFTOVER_SHARE))
    return Found(problem, lay_, leftover, before + crew.spent)


def _finish(problem: Problem, worker: Worker, effort: int) -> tuple[Lay, tuple[float, float, float, float]]:
    """Put the bag on a last sheet so that a large rectangle is left; or the emptiest sheet anew."""
    whole = worker.whole
    if worker.new_sheets == 0:
        return whole, (0.0, 0.0, 0.0, 0.0)
    rectangle = np.zeros(4)
    for start in (worker.best if worker.open else None, None):
        trial = worker.lay
        copy_lay(start if start is not None else whole, trial)
        if start is None:
            empty_one(problem.shapes, trial)
        s = int(trial.sheets[0])
        trial.size[s] = 0
        done = spread_out(
            problem.shapes, problem.sizes, worker.desk, worker.hand, effort, problem.shapes.half_kerf,
            trial, s, np.zeros((2048, 4)), np.zeros((2, len(problem.counts) + 6)), np.zeros(4), rectangle,
        )  # fmt: skip
        if done:
            trial.sheets[0] = s + 1
            trial.bag[:] = 0
            x, y, w, h = (float(v) / problem.scale for v in rectangle)
            return trial, (x, y, w, h)
    return whole, (0.0, 0.0, 0.0, 0.0)


_warm = False


def warm() -> None:
    """Load (the first time on a machine: compile) the search, so that no clock runs meanwhile."""
    global _warm  # noqa: PLW0603
    if _warm:
        return
    square = ((0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0))
    wedge = ((0.0, 0.0), (3.0, 0.0), (3.0, 3.0))
    spoiled = SheetSize(4.0, 4.0, 1, ((3.0, 3.0, 1.0, 1.0),))
    tiny = Instance("warm", SheetSize(4.0, 4.0), (square,) * 5 + (wedge,) * 2, 0.1, offcuts=(spoiled,))
    gate = Gate(Run(), None)
    _solve(pose(tiny, single_items(tiny)), 20_000, gate, 1, (0.0, 1.0))
    _warm = True


def shelves(instance: Instance) -> tuple[LaidSheet, ...]:
    """Lay the boxes of the pieces in rows: the layout to start from, always valid."""
    size, kerf = instance.sheet, instance.kerf
    boxes = []
    for number, outline in enumerate(instance.pieces):
        options = []
        for angle in instance.rotations:
            x0, y0, x1, y1 = box(turned(outline, angle))
            if x1 - x0 <= size.width and y1 - y0 <= size.height:
                options.append((y1 - y0, x1 - x0, angle, x0, y0))
        if not options:
            raise NoFit(
                f"Piece {number} is too large for a sheet of {size.width:g} by {size.height:g}.",
                where=(instance.name, "pieces", number),
                hint="Split it, or use a larger sheet.",
            )
        boxes.append((*min(options), number))
    boxes.sort(key=lambda b: (-b[0], -b[1], b[5]))
    sheets: list[list[Laid]] = []
    rows: list[list[float]] = []  # sheet, y, height, x
    tops: list[float] = []
    for height, width, angle, x0, y0, number in boxes:
        for row in rows:
            if row[3] + width <= size.width and height <= row[2]:
                break
        else:
            index = next((i for i, top in enumerate(tops) if top + height <= size.height), len(tops))
            if index == len(tops):
                tops.append(0.0)
                sheets.append([])
            row = [index, tops[index], height, 0.0]
            rows.append(row)
            tops[index] += height + kerf
        sheets[int(row[0])].append(Laid(number, row[3] - x0, row[1] - y0, float(angle)))
        row[3] += width + kerf
    return tuple(LaidSheet(size, tuple(laid)) for laid in sheets)
