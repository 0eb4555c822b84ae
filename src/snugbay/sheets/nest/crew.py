"""Two search threads with a share of the work each, compared at fixed points: the same answer on any machine."""

from __future__ import annotations

import time
from concurrent.futures import ThreadPoolExecutor, wait
from dataclasses import dataclass, field

import numpy as np

from snugbay.base import Run
from snugbay.sheets.nest.fill import Hand, new_hand
from snugbay.sheets.nest.places import Desk, new_desk
from snugbay.sheets.nest.problem import Problem
from snugbay.sheets.nest.search import (
    HEAT,
    PATIENT,
    Lay,
    bag_cost,
    copy_lay,
    empty_one,
    first_lay,
    improve,
    new_bench,
    new_lay,
)
from snugbay.sheets.nest.table import Floats, Ints

WORKERS = 2
STRETCHES = (1 / 256, 1 / 128, 1 / 64, 1 / 32, *([1 / 16] * 15))
"""Shares of the work between two comparisons; short at first, so that easy lists end soon."""
POLL = 0.03
LOOK_AHEAD = 40
"""With very many kinds, a sheet counts as full in the first lay after so many kinds in a row that do not fit."""


@dataclass
class Gate:
    """When to end: the caller's stop, the clock; and where progress goes.

    `halt` is read by the compiled search.
    """

    run: Run
    deadline: float | None
    halt: Ints = field(default_factory=lambda: np.zeros(1, dtype=np.int64))
    why: str = ""

    def check(self) -> bool:
        """Look at stop and clock; True where the search must end."""
        if not self.why:
            if self.run.stop():
                self.why = "stopped"
            elif self.deadline is not None and time.monotonic() > self.deadline:
                self.why = "clock"
            if self.why:
                self.halt[0] = 1
        return bool(self.why)


class Worker:
    """One thread's desk, dice and lays."""

    def __init__(self, problem: Problem, seed: int, gate: Gate) -> None:
        kinds = len(problem.counts)
        sheets = int(problem.counts.sum()) + len(problem.sizes.area) + 1
        self.problem = problem
        self.gate = gate
        self.desk: Desk = new_desk(len(problem.shapes.variant_kind), problem.most + 1, problem.sizes)
        self.hand: Hand = new_hand(kinds, seed)
        self.cost: Floats = problem.shapes.kind_area / problem.sizes.area[0]
        self.whole: Lay = new_lay(sheets, problem.most + 1, kinds)  # all pieces laid
        self.lay: Lay = new_lay(sheets, problem.most + 1, kinds)  # one new sheet fewer, the rest in the bag
        self.best: Lay = new_lay(sheets, problem.most + 1, kinds)
        self.bench = new_bench(problem.most + 1, kinds)
        self.open = False  # whether there is a sheet fewer to try for
        self.spent = 0

    def begin(self) -> None:
        """Make a first lay."""
        problem = self.problem
        self.whole.bag[:] = problem.counts
        patience = PATIENT if len(problem.counts) <= 4 * LOOK_AHEAD else LOOK_AHEAD
        self.spent += first_lay(
            problem.shapes, problem.sizes, self.desk, self.hand, problem.offcuts, patience, self.whole
        )
        self.try_fewer()

    def adopt(self, whole: Lay) -> None:
        """Go on from another's lay."""
        copy_lay(whole, self.whole)
        self.try_fewer()

    def try_fewer(self) -> None:
        """Take the emptiest new sheet away."""
        copy_lay(self.whole, self.lay)
        self.open = bool(empty_one(self.problem.shapes, self.lay)) and int(self.lay.sheets[0]) > 0
        copy_lay(self.lay, self.best)

    @property
    def new_sheets(self) -> int:
        """New sheets of the whole lay."""
        return sum(1 for s in range(int(self.whole.sheets[0])) if self.whole.size[s] == 0)

    @property
    def rank(self) -> tuple[int, float]:
        """Fewer sheets are better, then a lighter bag for one fewer still."""
        return self.new_sheets, float(bag_cost(self.best, self.cost))

    def work(self, budget: int, hot: float, cold: float, lower: int) -> None:
        """Search for so much work, or until no sheet can be saved."""
        left = budget
        while left > 0 and self.open and self.new_sheets > lower and self.gate.halt[0] == 0:
            spent = improve(
                self.problem.shapes, self.problem.sizes, self.desk, self.hand, self.cost, left, hot, cold,
                self.lay, self.best, self.bench, self.gate.halt,
            )  # fmt: skip
            left -= spent
            self.spent += spent
            if not self.best.bag.any():
                copy_lay(self.best, self.whole)
                self.try_fewer()


class Crew:
    """The workers on one problem."""

    def __init__(self, problem: Problem, seed: int, gate: Gate, start: Lay | None = None) -> None:
        self.gate = gate
        self.workers = [Worker(problem, seed * 1000 + n + 1, gate) for n in range(WORKERS)]
        if start is None:
            self.workers[0].begin()
        else:
            self.workers[0].adopt(start)
        for worker in self.workers[1:]:
            worker.adopt(self.workers[0].whole)

    @property
    def best(self) -> Worker:
        """The one that got furthest, the first of equals."""
        return min(self.workers, key=lambda w: w.rank)

    @property
    def spent(self) -> int:
        """Work done by the busiest."""
        return max(w.spent for w in self.workers)

    def search(self, budget: int, lower: int, progress: tuple[float, float], heat: float = HEAT) -> None:
        """Spend a budget of work (each) on fewer sheets, until there are only `lower` new ones."""
        done = 0.0
        with ThreadPoolExecutor(WORKERS) as pool:
            for share in STRETCHES:
                leader = self.best
                if leader.new_sheets <= lower or not leader.open or self.gate.check():
                    break
                for worker in self.workers:
                    if worker.new_sheets > leader.new_sheets:
                        worker.adopt(leader.whole)
                hot, cold = heat * (1.0 - done), heat * (1.0 - done - share)
                jobs = [pool.submit(w.work, int(budget * share), hot, cold, lower) for w in self.workers]
                while wait(jobs, timeout=POLL).not_done:
                    self.gate.check()
                for job in jobs:
                    job.result()
                done += share
                self.gate.run.progress("sheets", progress[0] + (progress[1] - progress[0]) * min(done, 1.0))
