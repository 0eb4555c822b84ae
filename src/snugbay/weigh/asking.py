"""One question as linear programs: what is aimed at, within which limits, over which boxes of conductances."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix, vstack

from snugbay.base import Effort, Run
from snugbay.weigh.cells import Box, Component, box, components, first_boxes
from snugbay.weigh.evaluate import Plan, Worth, worth
from snugbay.weigh.problem import Limits, Problem
from snugbay.weigh.program import Columns, Program, Row, build, columns
from snugbay.weigh.solver import INF, Solved, solve

Floats = NDArray[np.float64]
NODES = {Effort.QUICK: 20_000, Effort.NORMAL: 100_000, Effort.THOROUGH: 1_000_000}
MOST_STEPS = 4
STILL = 0.85
"""Boxes are narrowed again while a step takes away more than the rest of this share."""
CLOSE = 1e-7
"""Share of the answer within which bound and answer count as equal."""


@dataclass(frozen=True)
class Aim:
    """What to minimise: weights of cash, hours and season heat.

    Attributes
    ----------
    cash, hours, season : float
        Weights. [1, currency/h, currency/kWh for the whole cost]
    dearer : tuple of (str, float)
        Resources whose packs cost so many times what the problem says.
    notches : float
        Further notches for each one that there is; their hours count as all hours.
    """

    cash: float
    hours: float
    season: float
    dearer: tuple[tuple[str, float], ...] = ()
    notches: float = 0.0

    def value(self, w: Worth) -> float:
        """Weighted sum."""
        return self.cash * w.cash + self.hours * w.hours + self.season * w.season_kwh


@dataclass(frozen=True)
class Among:
    """Which plans are looked at; all of them where nothing is said.

    Attributes
    ----------
    inside : tuple of int or None
        Spaces inside the line, where that is settled.
    only : Mapping of int to tuple of int
        Faces (or units) that must have one of some options.
    but : tuple of Plan
        Plans that are left out.
    """

    inside: tuple[int, ...] | None = None
    only: Mapping[int, tuple[int, ...]] = field(default_factory=dict)
    but: tuple[Plan, ...] = ()


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
class Asking:
    """One question put as programs: for an aim, within limits, over boxes of conductances.

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
    nodes : int or None
        Most nodes for one program; None takes what the effort allows.
    ruled_out : dict
        By the spaces inside: faces (or units) and options of theirs that are ruled out there.
    """

    problem: Problem
    run: Run
    parts: tuple[Component, ...] = ()
    boxes: list[Box] = field(default_factory=list)
    solves: int = 0
    nodes: int | None = None
    ruled_out: dict[tuple[int, ...], set[tuple[int, int]]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if not self.boxes:
            self.parts = components(self.problem)
            self.boxes = first_boxes(self.problem, self.parts)

    def _config(self, part: int, inside: tuple[int, ...]) -> int:
        own = self.parts[part]
        wanted = set(own.zones) & set(inside)
        return next(m for m, c in enumerate(own.configs) if set(c.inside) == wanted)

    def _better(self, best: Answer, aim: Aim, keep: Limits, plan: Plan, program: Program, x: Floats) -> Answer:
        """Take a plan if it keeps the limit of heat by the true reckoning and is better."""
        w = worth(self.problem, plan)
        value = self._value(aim, w, program, x)
        if value < best.value - 1e-12 and w.season_kwh <= keep.season_kwh * (1 + CLOSE) + 1e-9:
            return replace(best, plan=plan, worth=w, value=value)
        return best

    def _narrowed(
        self,
        inside: tuple[int, ...],
        aim: Aim,
        keep: Limits,
        rows: Callable[[Columns], Sequence[Row]] | None,
        most: float,
        start: list[Box],
    ) -> list[Box] | None:
        """Boxes only as wide as plans no dearer than ``most`` may reach; None where there are no such plans."""
        boxes = list(start)
        if not np.isfinite(most):
            return boxes
        for _ in range(MOST_STEPS):
            program = self._program(inside, rows, boxes)
            cost = self._cost(aim, program)
            before = sum(float((b.high - b.low).sum()) for b in boxes)
            for k, old in enumerate(boxes):
                new = self._narrow_box(program, cost, keep, most * (1 + CLOSE), old)
                if new is None:
                    return None
                boxes[k] = new
            if sum(float((b.high - b.low).sum()) for b in boxes) > STILL * before:
                break
        return boxes

    def _narrow_box(self, program: Program, cost: Floats, keep: Limits, most: float, old: Box) -> Box | None:
        part = self.parts[old.component]
        choice = part.configs[old.config]
        low, high = old.low.copy(), old.high.copy()
        for n, place in enumerate(choice.varies):
            heat = np.zeros(program.columns.size)
            pair = part.pairs[place]
            for first, f in zip(program.columns.x, self.problem.faces, strict=True):
                if f.pair == pair and f.zones[0] != f.zones[1]:
                    heat[first : first + len(f.options)] = f.heat
            for sign in (1.0, -1.0):
                solved = self._solve_with(program, sign * heat, keep, (cost, most))
                if solved.x is None:
                    return None
                reach = sign * solved.value + float(self.problem.base[pair])
                room = 1e-6 * max(abs(reach), 1.0)
                if sign > 0:
                    low[n] = max(low[n], reach - room)
                else:
                    high[n] = min(high[n], reach + room)
        high = np.maximum(high, low)
        return box(self.problem, self.parts, old.component, old.config, low, high)

    def _program(
        self,
        inside: tuple[int, ...],
        rows: Callable[[Columns], Sequence[Row]] | None,
        boxes: Sequence[Box],
        at: Floats | None = None,
    ) -> Program:
        out = self.ruled_out.get(inside)
        if rows is None and not out:
            return build(self.problem, self.parts, boxes, inside=inside, at=at)
        c = columns(self.problem, boxes)
        more = [*(rows(c) if rows is not None else ()), *(({c.x[n] + k: 1.0}, 0.0, 0.0) for n, k in sorted(out or ()))]
        return build(self.problem, self.parts, boxes, more, inside=inside, at=at)

    def _matches(self, box: Box, inside: tuple[int, ...]) -> bool:
        part = self.parts[box.component]
        return set(part.configs[box.config].inside) == set(part.zones) & set(inside)

    def _cost(self, aim: Aim, program: Program) -> Floats:
        cash, hours = program.cash, program.hours
        if aim.dearer:
            cash = cash.copy()
            for resource, scale in aim.dearer:
                for pack in self.problem.resource_by_id[resource].packs:
                    cash[program.columns.item[pack.item]] *= scale
        if aim.notches:
            hours = hours.copy()
            for first, face in zip(program.columns.x, self.problem.faces, strict=True):
                own = [o.notches * o.notch_hours * aim.notches for o in face.options]
                hours[first : first + len(own)] = face.hours + own
        return aim.cash * cash + aim.hours * hours + aim.season * program.season

    def _solve(self, program: Program, aim: Aim, keep: Limits, *, gap: float = 0.0, relaxed: bool = False) -> Solved:
        m = program.matrix
        high = m.row_high.copy()
        for row, most in zip((-3, -2, -1), (keep.cash, keep.hours, keep.season_kwh), strict=True):
            high[row] = most if np.isfinite(most) else INF
        self.solves += not relaxed
        return solve(
            replace(m, row_high=high),
            self._cost(aim, program),
            seed=self.run.seed,
            nodes=NODES[self.run.effort] if self.nodes is None else self.nodes,
            gap=gap,
            relaxed=relaxed,
            stop=self.run.stop,
        )

    def _value(self, aim: Aim, w: Worth, program: Program, x: Floats) -> float:
        if not aim.dearer and not aim.notches:
            return aim.value(w)
        cash = float(self._cost(Aim(1.0, 0.0, 0.0, aim.dearer), program) @ x)
        hours = float(self._cost(Aim(0.0, 1.0, 0.0, notches=aim.notches), program) @ x)
        return aim.value(replace(w, cash=cash, hours=hours))

    def _solve_with(self, program: Program, cost: Floats, keep: Limits, most: tuple[Floats, float]) -> Solved:
        """Linear relaxation with another objective while the cost stays under a value."""
        m = program.matrix
        high = m.row_high.copy()
        for row, limit in zip((-3, -2, -1), (keep.cash, keep.hours, keep.season_kwh), strict=True):
            high[row] = limit if np.isfinite(limit) else INF
        a = vstack([m.a, csr_matrix(most[0])]).tocsr()
        capped = replace(m, a=a, row_low=np.append(m.row_low, -INF), row_high=np.append(high, most[1]))
        return solve(capped, cost, seed=self.run.seed, relaxed=True)
