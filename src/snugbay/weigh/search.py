"""Solve the question to a proved optimum: program, true reckoning, finer boxes, until both agree."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from snugbay.base import Effort, Run
from snugbay.weigh.cells import Box, Component, component_loss, components, first_boxes, split
from snugbay.weigh.evaluate import Plan, Worth, conductance, worth
from snugbay.weigh.problem import Limits, Problem
from snugbay.weigh.program import Columns, Program, Row, build, plan_of
from snugbay.weigh.solver import INF, Solved, solve

Floats = NDArray[np.float64]
NODES = {Effort.QUICK: 20_000, Effort.NORMAL: 100_000, Effort.THOROUGH: 1_000_000}
MOST_ROUNDS = 60
CLOSE = 1e-7
"""Share of the answer within which bound and answer count as equal."""


@dataclass(frozen=True)
class Aim:
    """What to minimise: weights of cash, hours and season heat.

    Attributes
    ----------
    cash, hours, season : float
        Weights. [1, currency/h, currency/kWh for the whole cost]
    prices : tuple of (str, float)
        Prices of items that replace the problem's.
    """

    cash: float
    hours: float
    season: float
    prices: tuple[tuple[str, float], ...] = ()

    def value(self, w: Worth) -> float:
        """Weighted sum."""
        return self.cash * w.cash + self.hours * w.hours + self.season * w.season_kwh


@dataclass(frozen=True)
class Answer:
    """A plan and its proof.

    Attributes
    ----------
    plan : Plan or None
        None where no plan keeps the limits.
    worth : Worth or None
        Of the plan, by the direct reckoning.
    value, bound : float
        Of the aim; no plan can have a lower value than the bound.
    rounds : int
        Rounds over the buffer temperatures.
    finished : bool
        False where a limit of work or the user stopped it.
    """

    plan: Plan | None
    worth: Worth | None
    value: float
    bound: float
    rounds: int
    finished: bool = True

    @property
    def gap(self) -> float:
        """Proved gap, 0 where the plan is the best there is. [-]"""
        if self.plan is None:
            return 0.0
        gap = (self.value - self.bound) / max(abs(self.value), 1e-9)
        return 0.0 if gap < CLOSE else gap


@dataclass
class Search:
    """Solves a question for many aims and limits; boxes once split stay split for all of them.

    Attributes
    ----------
    problem : Problem
        The question.
    run : Run
        Seed, effort, stop.
    parts : tuple of Component
        Buffer spaces.
    boxes : list of Box
        Boxes of their conductances.
    solves : int
        Programs solved so far.
    """

    problem: Problem
    run: Run
    parts: tuple[Component, ...] = ()
    boxes: list[Box] = field(default_factory=list)
    solves: int = 0

    def __post_init__(self) -> None:
        if not self.boxes:
            self.parts = components(self.problem)
            self.boxes = first_boxes(self.problem, self.parts)

    def best(
        self,
        aim: Aim,
        limits: Limits | None = None,
        *,
        rows: Callable[[Columns], Sequence[Row]] | None = None,
    ) -> Answer:
        """Find the plan of least value.

        Parameters
        ----------
        aim : Aim
            What to minimise.
        limits : Limits, optional
            Instead of the job's.
        rows : callable, optional
            Makes further rows from the columns.
        """
        keep = limits or self.problem.limits
        best: Answer = Answer(None, None, float("inf"), -float("inf"), 0)
        for n in range(1, MOST_ROUNDS + 1):
            program = self._program(rows)
            solved = self._solve(program, aim, keep)
            if solved.x is None:
                if solved.status == "infeasible":
                    # the boxes only ever loosen the season's heat, so no plan keeps the limits
                    return replace(best, bound=best.value, rounds=n)
                return replace(best, bound=max(best.bound, solved.bound), rounds=n, finished=False)
            plan = plan_of(self.problem, program.columns, solved.x)
            w = worth(self.problem, plan)
            value = self._value(aim, plan, w, program, solved.x)
            bound = max(best.bound, solved.bound)
            if value < best.value - 1e-12 and w.season_kwh <= keep.season_kwh * (1 + CLOSE) + 1e-9:
                best = Answer(plan, w, value, bound, n)
            best = replace(best, bound=min(bound, best.value), rounds=n)
            if best.value - bound <= CLOSE * max(abs(best.value), 1.0) or not self._refine(plan, program, solved.x):
                return best
            if self.run.stop() or solved.status == "limit":
                return replace(best, finished=False)
        return replace(best, finished=False)

    def _program(self, rows: Callable[[Columns], Sequence[Row]] | None) -> Program:
        plain = build(self.problem, self.parts, self.boxes)
        if rows is None:
            return plain
        return build(self.problem, self.parts, self.boxes, rows(plain.columns))

    def _cost(self, aim: Aim, program: Program) -> Floats:
        cash = program.cash
        if aim.prices:
            cash = cash.copy()
            for item, price in aim.prices:
                if item in program.columns.item:
                    cash[program.columns.item[item]] = price
        return aim.cash * cash + aim.hours * program.hours + aim.season * program.season

    def _solve(self, program: Program, aim: Aim, keep: Limits) -> Solved:
        m = program.matrix
        high = m.row_high.copy()
        for row, most in zip((-3, -2, -1), (keep.cash, keep.hours, keep.season_kwh), strict=True):
            high[row] = most if np.isfinite(most) else INF
        self.solves += 1
        return solve(
            replace(m, row_high=high),
            self._cost(aim, program),
            seed=self.run.seed,
            nodes=NODES[self.run.effort],
        )

    def _value(self, aim: Aim, plan: Plan, w: Worth, program: Program, x: Floats) -> float:
        del plan
        if not aim.prices:
            return aim.value(w)
        cash = float(self._cost(Aim(1.0, 0.0, 0.0, aim.prices), program) @ x)
        return aim.value(replace(w, cash=cash))

    def _refine(self, plan: Plan, program: Program, x: Floats) -> bool:
        """Split the boxes that the answer lies in; False where that changes nothing."""
        c = conductance(self.problem, plan)
        new: list[Box] = []
        changed = False
        for old, col in zip(self.boxes, program.columns.boxes, strict=True):
            if x[col] < 0.5:
                new.append(old)
                continue
            part = self.parts[old.component]
            bound = float(x[col + 1 : col + 1 + len(old.loss)] @ old.loss)
            true = component_loss(self.problem, part, c)
            parts = (
                split(self.problem, self.parts, old, c[list(part.pairs)])
                if true - bound > CLOSE * max(true, 1e-3)
                else [old]
            )
            changed |= len(parts) > 1
            new += parts
        self.boxes = new
        return changed
