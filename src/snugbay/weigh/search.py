"""Solve the question to a proved optimum: program, true reckoning, finer boxes, until both agree."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from heapq import heappop, heappush
from itertools import product

import numpy as np

from snugbay.weigh.asking import CLOSE, MOST_STEPS, Aim, Among, Answer, Asking, Floats
from snugbay.weigh.cells import Box, component_loss, split, whole_box
from snugbay.weigh.evaluate import Plan, conductance
from snugbay.weigh.problem import Limits
from snugbay.weigh.program import Columns, Fewer, Program, Row, fewer, fewer_row, plan_of

MOST_ROUNDS = 60
MOST_BOXES = 2000
LOOSE = 2e-3
"""Gap of the rounds before the buffer temperatures have settled; the last round has none."""


class Search(Asking):
    """Solves a question for many aims and limits; boxes once split stay split for all of them."""

    def best(self, aim: Aim, limits: Limits | None = None, among: Among | None = None) -> Answer:
        """Find the plan of least value.

        Parameters
        ----------
        aim : Aim
            What to minimise.
        limits : Limits, optional
            Instead of the job's.
        among : Among, optional
            Which plans are looked at. Of plans to be left out one at most; changing places among faces that are alike
            makes no other plan.
        """
        ask = among or Among()
        if not ask.but:
            return self._best(aim, limits, ask)
        (but,) = ask.but
        tries = (self._best(aim, limits, ask, condition) for condition in fewer(self.problem, but))
        return min(tries, key=lambda a: a.value)

    def _rows(self, ask: Among, condition: Fewer | None) -> Callable[[Columns], Sequence[Row]] | None:
        if not ask.only and condition is None:
            return None

        def rows(c: Columns) -> list[Row]:
            out: list[Row] = [] if condition is None else [fewer_row(c, condition)]
            for n, options in ask.only.items():
                others = {c.x[n] + k: 1.0 for k in range(len(self.problem.faces[n].options)) if k not in options}
                out.append((others, 0.0, 0.0))
            return out

        return rows

    def _best(self, aim: Aim, limits: Limits | None, ask: Among, condition: Fewer | None = None) -> Answer:
        """Find the plan of least value among some, where a condition holds.

        Notes
        -----
        The place of the line is branched on first: each choice of spaces brought inside has its linear relaxation
        solved, and those that cannot beat the best plan so far are left out.
        """
        keep = limits or self.problem.limits
        rows = self._rows(ask, condition)
        waiting = []
        for inside in self._lines():
            if ask.inside is not None and inside != ask.inside:
                continue
            boxes = [b for b in self.boxes if self._matches(b, inside)]
            relaxed = self._solve(self._program(inside, rows, boxes), aim, keep, relaxed=True)
            if relaxed.x is not None:
                waiting.append((relaxed.value, inside))
        waiting.sort()
        best = Answer(None, None, float("inf"), float("inf"), 0)
        firsts: dict[tuple[int, ...], Answer] = {}
        if len(waiting) > 1 and any(len(b.low) > 1 for b in self.boxes):
            # a good plan on any line saves much work on all others
            known = float("inf")
            for bound, inside in waiting:
                if bound < known:
                    firsts[inside] = self._first(inside, aim, keep, rows)
                    known = min(known, firsts[inside].value)
            waiting = sorted((max(b, firsts[i].bound) if i in firsts else b, i) for b, i in waiting)
        beat = min((f.value for f in firsts.values()), default=float("inf"))
        for bound, inside in waiting:
            most = min(best.value, beat)
            if bound > most + CLOSE * max(abs(most), 1.0) or bound >= best.value - CLOSE * max(abs(best.value), 1.0):
                # the rest cannot be better: their bounds are higher still
                return replace(best, bound=min(best.bound, bound))
            found = self._best_on_line(inside, aim, keep, rows, most, firsts.get(inside))
            rounds = max(best.rounds, found.rounds)
            finished = best.finished and found.finished
            lowest = min(best.bound, max(found.bound, bound))
            better = found if found.value < best.value else best
            best = replace(better, bound=min(lowest, better.value), rounds=rounds, finished=finished)
            if self.run.stop():
                return replace(best, finished=False)
        return best

    def _first(
        self,
        inside: tuple[int, ...],
        aim: Aim,
        keep: Limits,
        rows: Callable[[Columns], Sequence[Row]] | None,
    ) -> Answer:
        """A good plan with these spaces inside, and a first bound."""
        boxes = [b for b in self.boxes if self._matches(b, inside)]
        program = self._program(inside, rows, boxes)
        solved = self._solve(program, aim, keep, gap=LOOSE)
        none = Answer(None, None, float("inf"), solved.bound, 1)
        if solved.x is None:
            return none
        plan = plan_of(self.problem, program.columns, solved.x)
        best = self._better(none, aim, keep, plan, program, solved.x)
        return self._settled(best, inside, aim, keep, rows, plan) if aim.season > 0 else best

    def _lines(self) -> list[tuple[int, ...]]:
        movable = self.problem.movable
        return [
            tuple(z for z, f in zip(movable, flags, strict=True) if f)
            for flags in product((False, True), repeat=len(movable))
        ]

    def _best_on_line(
        self,
        inside: tuple[int, ...],
        aim: Aim,
        keep: Limits,
        rows: Callable[[Columns], Sequence[Row]] | None,
        beat: float,
        first: Answer | None,
    ) -> Answer:
        """Best plan with these spaces inside; once the bound passes ``beat`` the search there is over."""
        if first is not None and first.plan is not None and aim.season > 0:
            return self._branched(inside, aim, keep, rows, first, beat)
        best: Answer = Answer(None, None, float("inf"), -float("inf"), 0)
        boxes = [b for b in self.boxes if self._matches(b, inside)]
        wide, loose = any(len(b.low) > 1 for b in boxes), LOOSE
        for n in range(1, MOST_ROUNDS + 1):
            program = self._program(inside, rows, boxes)
            solved = self._solve(program, aim, keep, gap=loose)
            if solved.x is None:
                if solved.status == "infeasible":
                    # the boxes only ever loosen the season's heat, so no plan keeps the limits
                    return replace(best, bound=best.value, rounds=n)
                return replace(best, bound=max(best.bound, solved.bound), rounds=n, finished=False)
            plan = plan_of(self.problem, program.columns, solved.x)
            best = self._better(best, aim, keep, plan, program, solved.x)
            best = replace(best, bound=min(max(best.bound, solved.bound), best.value), rounds=n)
            slack = CLOSE * max(abs(best.value), 1.0)
            if best.value - best.bound <= slack or best.bound >= beat - slack:
                return best
            if self.run.stop() or solved.status == "limit":
                return replace(best, finished=False)
            if wide and aim.season > 0:
                best = self._settled(best, inside, aim, keep, rows, plan)
                return self._branched(inside, aim, keep, rows, best, beat)
            split_boxes = self._refined(boxes, plan, program, solved.x)
            if split_boxes is None and loose == 0.0:
                return best
            if split_boxes is None or best.value - best.bound < 4 * loose * abs(best.value):
                loose = 0.0
            boxes = split_boxes or boxes
            self._keep(inside, boxes)
        return replace(best, finished=False)

    def _branched(
        self,
        inside: tuple[int, ...],
        aim: Aim,
        keep: Limits,
        rows: Callable[[Columns], Sequence[Row]] | None,
        best: Answer,
        beat: float,
    ) -> Answer:
        """Branch on the conductances where several of them vary: one box for each space, narrowed, solved, split.

        Notes
        -----
        A box is first narrowed to what plans no dearer than the best one can reach, by linear relaxations; within a
        narrow box the corners are nearly the loss itself. Boxes whose bound passes the best plan are done with.
        """
        start = [whole_box(self.problem, self.parts, n, self._config(n, inside)) for n in range(len(self.parts))]
        waiting: list[tuple[float, int, list[Box]]] = [(best.bound, 0, start)]
        done = 0
        while waiting:
            bound, _, boxes = heappop(waiting)
            most = min(best.value, beat)
            slack = CLOSE * max(abs(most), 1.0)
            if bound >= most - slack and best.plan is not None and bound >= best.value - slack:
                break
            if bound > most + slack:
                break
            if self.run.stop() or done >= MOST_BOXES:
                return replace(best, bound=min(bound, best.value), finished=False)
            done += 1
            narrowed = self._narrowed(inside, aim, keep, rows, most, boxes)
            if narrowed is None:
                continue
            program = self._program(inside, rows, narrowed)
            solved = self._solve(program, aim, keep)
            if solved.x is None:
                if solved.status != "infeasible":
                    return replace(best, bound=min(bound, best.value), finished=False)
                continue
            plan = plan_of(self.problem, program.columns, solved.x)
            best = self._better(best, aim, keep, plan, program, solved.x)
            lowest = max(bound, solved.bound)
            if lowest >= min(best.value, beat) - slack:
                continue
            for child in self._halves(narrowed, plan, program, solved.x):
                heappush(waiting, (lowest, done * 2 + len(waiting), child))
        open_bound = min((w[0] for w in waiting), default=float("inf"))
        proved = min(best.value, beat, max(open_bound, min(best.value, beat)))
        return replace(best, bound=min(proved, best.value), rounds=best.rounds + done)

    def _halves(self, boxes: list[Box], plan: Plan, program: Program, x: Floats) -> list[list[Box]]:
        """Split the box that promises too little most, at the plan found; halves where the plan lies on its edge."""
        c = conductance(self.problem, plan)
        missing = []
        for old, col in zip(boxes, program.columns.boxes, strict=True):
            bound = float(x[col + 1 : col + 1 + len(old.loss)] @ old.loss)
            missing.append(component_loss(self.problem, self.parts[old.component], c) - bound)
        k = int(np.argmax(missing))
        old = boxes[k]
        part = self.parts[old.component]
        parts = split(self.problem, self.parts, old, c[list(part.pairs)])
        if len(parts) == 1:
            middle = part.configs[old.config].low.copy()
            middle[list(part.configs[old.config].varies)] = 0.5 * (old.low + old.high)
            parts = split(self.problem, self.parts, old, middle)
        if len(parts) == 1:
            return []
        return [[*boxes[:k], new, *boxes[k + 1 :]] for new in parts]

    def _settled(
        self,
        best: Answer,
        inside: tuple[int, ...],
        aim: Aim,
        keep: Limits,
        rows: Callable[[Columns], Sequence[Row]] | None,
        plan: Plan,
    ) -> Answer:
        """Iterate to a fixed point: the best plan at the temperatures of the last one, until it is the same plan.

        Notes
        -----
        The heat lost is the least over all temperatures of a form that is linear in the conductances, so each step
        lowers the true cost or ends (for a network between two temperatures).
        """
        for _ in range(MOST_STEPS):
            c = conductance(self.problem, plan)
            boxes = [b for b in self.boxes if self._matches(b, inside)]
            program = self._program(inside, rows, boxes, at=c)
            solved = self._solve(program, aim, replace(keep, season_kwh=np.inf), gap=LOOSE)
            if solved.x is None:
                return best
            found = plan_of(self.problem, program.columns, solved.x)
            best = self._better(best, aim, keep, found, program, solved.x)
            if found == plan or self.run.stop():
                return best
            plan = found
        return best

    def _refined(self, boxes: Sequence[Box], plan: Plan, program: Program, x: Floats) -> list[Box] | None:
        """Split the boxes that the answer lies in; None where that changes nothing."""
        c = conductance(self.problem, plan)
        new: list[Box] = []
        changed = False
        for old, col in zip(boxes, program.columns.boxes, strict=True):
            if x[col] < 0.5:
                new.append(old)
                continue
            part = self.parts[old.component]
            bound = float(x[col + 1 : col + 1 + len(old.loss)] @ old.loss)
            true = component_loss(self.problem, part, c)
            parts = [old]
            if true - bound > CLOSE * max(true, 1e-3):
                parts = split(self.problem, self.parts, old, c[list(part.pairs)])
            changed |= len(parts) > 1
            new += parts
        return new if changed else None

    def _keep(self, inside: tuple[int, ...], boxes: Sequence[Box]) -> None:
        """Keep split boxes for later questions; boxes narrowed to one question are not kept."""
        self.boxes = [*(b for b in self.boxes if not self._matches(b, inside)), *boxes]
