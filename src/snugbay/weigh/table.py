"""The table: every plan of a small question at once, so that each further question is a look along its rows.

Once it is settled which spaces come inside, each unit has the few options that the rules of the line leave. All
combinations of them stand in the table with their cash, hours and season heat, reckoned as `evaluate` reckons one plan.
The best plan for any aim, within any limits, is then a least value over rows: proved, since no plan is missing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import product

import numpy as np
from numpy.typing import NDArray

from snugbay.ways.balance import season_loss_of
from snugbay.weigh.asking import Aim, Among, Answer
from snugbay.weigh.cells import usable
from snugbay.weigh.evaluate import EPS, Plan, worth
from snugbay.weigh.problem import Limits, Pack, Problem, Resource, crew_of

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

MOST_ROWS = 600_000
"""Plans of a question that are put into a table; larger questions go to the integer program."""

AT_ONCE = 100_000
"""Rows whose balance is solved together."""

SLACK = 1e-6
"""Share of a limit that counts as kept, as of `evaluate.within`."""


@dataclass(frozen=True)
class Block:
    """All plans with the same spaces inside.

    Attributes
    ----------
    problem : Problem
        The question, unit by unit.
    inside : tuple of int
        Numbers of the spaces inside the line.
    options : tuple of array of int
        For each unit: numbers of the options that the rules leave.
    """

    problem: Problem
    inside: tuple[int, ...]
    options: tuple[NDArray[np.intp], ...]

    @property
    def shape(self) -> tuple[int, ...]:
        """Options of each unit."""
        return tuple(len(o) for o in self.options)

    @property
    def rows(self) -> int:
        """Plans."""
        return math.prod(self.shape)

    @cached_property
    def _axes(self) -> dict[int, int]:
        """Axis of each unit that has a choice."""
        return {u: n for n, u in enumerate(u for u, k in enumerate(self.shape) if k > 1)}

    @cached_property
    def _mesh(self) -> tuple[int, ...]:
        return tuple(k for k in self.shape if k > 1)

    def _along(self, unit: int, values: NDArray[np.generic]) -> NDArray[np.generic]:
        """Lay values of a unit's options along its own axis."""
        own = values[self.options[unit]]
        place = self._axes.get(unit)
        if place is None:
            return own.reshape((1,) * len(self._mesh))
        return own.reshape(tuple(len(own) if n == place else 1 for n in range(len(self._mesh))))

    def _sum(self, values: Sequence[tuple[int, Floats]]) -> Floats:
        """Add values of units over all rows; axes of units that are not named have length one."""
        total: Floats = np.zeros((1,) * len(self._mesh))
        for unit, own in values:
            total = total + self._along(unit, own)  # type: ignore[operator]
        return total

    def _any(self, values: Sequence[tuple[int, Bools]]) -> Bools:
        some: Bools = np.zeros((1,) * len(self._mesh), dtype=np.bool_)
        for unit, own in values:
            some = some | self._along(unit, own)  # type: ignore[operator]
        return some

    def _full(self, values: Floats) -> Floats:
        return np.ascontiguousarray(np.broadcast_to(values, self._mesh)).ravel()

    def total(self, values: Sequence[tuple[int, Floats]]) -> Floats:
        """Add values of units' options over all rows, shape (rows,)."""
        return self._full(self._sum(values))

    def money_of(self, r: Resource) -> Floats:
        """Money for whole packs of one resource. [currency] Axes of units that need none of it have length one."""
        needs = [(u, np.array([n.get(r.id, 0.0) for n in f.needs])) for u, f in enumerate(self.problem.faces)]
        left = self._sum([(u, n) for u, n in needs if n.any()]) - r.on_hand
        return np.where(left <= EPS * r.packs[0].amount, 0.0, cover(r.packs, np.maximum(left, 0.0)))

    @cached_property
    def cash(self) -> Floats:
        """Money to spend now, shape (rows,). [currency]"""
        p = self.problem
        total = self._sum([(u, _charges(f)) for u, f in enumerate(p.faces)])
        for r in p.resources:
            total = total + self.money_of(r)
        for g, price in p.gear:
            users = [(u, np.array([g in o.gear for o in f.options])) for u, f in enumerate(p.faces)]
            total = total + price * self._any(users)
        for crew, least in p.crews:
            hired = [(u, np.array([crew_of(o) == crew for o in f.options])) for u, f in enumerate(p.faces)]
            asked = self._sum([(u, np.where(h, p.faces[u].charge, 0.0)) for u, h in hired])
            total = total + np.where(self._any(hired), np.maximum(asked, least), 0.0)
        return self._full(total)

    @cached_property
    def hours(self) -> Floats:
        """Own hours, shape (rows,). [h]"""
        p = self.problem
        total = self._sum([(u, f.hours) for u, f in enumerate(p.faces)])
        for s, h in p.shared:
            users = [
                (u, np.array([any(k == s for k, _ in o.shared_hours) for o in f.options]))
                for u, f in enumerate(p.faces)
            ]
            total = total + h * self._any(users)
        return self._full(total)

    @cached_property
    def notch_hours(self) -> Floats:
        """Hours of all notches, part of `hours`, shape (rows,). [h]"""
        own = [(u, np.array([o.notches * o.notch_hours for o in f.options])) for u, f in enumerate(self.problem.faces)]
        return self._full(self._sum(own))

    @cached_property
    def conductance(self) -> Floats:
        """Of each pair of zones, shape (rows, pairs). [W/K]"""
        p = self.problem
        out = np.empty((self.rows, len(p.base)))
        for pair, base in enumerate(p.base):
            own = [(u, f.heat) for u, f in enumerate(p.faces) if f.pair == pair and f.zones[0] != f.zones[1]]
            out[:, pair] = self._full(self._sum(own)) + base
        return out

    @cached_property
    def season(self) -> Floats:
        """Heat that the rooms lose in a year, shape (rows,). [kWh]"""
        p = self.problem
        parts = np.array_split(self.conductance, max(self.rows // AT_ONCE, 1))
        return np.concatenate([np.atleast_1d(season_loss_of(p.net, c, p.drop)) for c in parts])

    def has(self, unit: int, option: int) -> Bools:
        """Tell which rows have an option at a unit, shape (rows,)."""
        own = self._along(unit, np.arange(len(self.problem.faces[unit].options)) == option)
        return np.broadcast_to(own, self._mesh).ravel()

    def rows_of(self, plan: Plan) -> Bools:
        """Tell which row has the options of a plan, shape (rows,)."""
        same = np.ones(self.rows, dtype=np.bool_)
        for unit, pick in enumerate(plan.picks):
            same &= self.has(unit, pick)
        return same

    def plan(self, row: int) -> Plan:
        """Read a row."""
        index = iter(np.unravel_index(row, self._mesh) if self._mesh else ())
        picks = (int(o[next(index)] if len(o) > 1 else o[0]) for o in self.options)
        return Plan(self.inside, tuple(picks))


def _charges(face: object) -> Floats:
    options, charge = face.options, face.charge  # type: ignore[attr-defined]
    return np.array([0.0 if crew_of(o) else float(c) for o, c in zip(options, charge, strict=True)])


def cover(packs: Sequence[Pack], left: Floats) -> Floats:
    """Least money for whole packs that cover amounts, as of `evaluate.cheapest_packs`. [currency]"""
    first = packs[0]
    most = np.maximum(np.ceil(left / first.amount - EPS), 0.0)
    if len(packs) == 1:
        return np.where(most > 0, most * first.price + first.start_price, 0.0)
    best = np.full(left.shape, np.inf)
    for n in range(int(min(most.max(initial=0.0), first.most)) + 1):
        cost = first.cost(n) + cover(packs[1:], np.maximum(left - n * first.amount, 0.0))
        best = np.where(n <= most, np.minimum(best, cost), best)
    return best


def blocks_of(p: Problem) -> Iterator[Block]:
    """Blocks of a question, one for each choice of the spaces inside."""
    for flags in product((False, True), repeat=len(p.movable)):
        inside = tuple(z for z, f in zip(p.movable, flags, strict=True) if f)
        yield Block(p, inside, tuple(np.flatnonzero(usable(p, f, inside)) for f in p.faces))


def fits(p: Problem) -> bool:
    """Tell whether the whole question goes into a table."""
    rows = 0
    for block in blocks_of(p):
        rows += block.rows
        if rows > MOST_ROWS:
            return False
    return True


@dataclass
class Table:
    """Answers questions from the table of all plans.

    Attributes
    ----------
    problem : Problem
        The question, unit by unit; `fits` holds.
    blocks : tuple of Block
        All plans.
    out : dict of tuple of int to array of bool
        By spaces inside: rows that are ruled out.
    """

    problem: Problem
    blocks: tuple[Block, ...] = ()
    out: dict[tuple[int, ...], Bools] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.blocks = self.blocks or tuple(blocks_of(self.problem))

    def rule_out(self, inside: tuple[int, ...], rows: Bools) -> None:
        """Leave rows of a block out from now on."""
        self.out[inside] = self.out[inside] | rows if inside in self.out else rows

    def rule_out_plan(self, plan: Plan) -> None:
        """Leave one plan out from now on."""
        block = next(b for b in self.blocks if b.inside == plan.inside)
        self.rule_out(plan.inside, block.rows_of(plan))

    def best(self, aim: Aim, limits: Limits | None = None, among: Among | None = None) -> Answer:
        """Find the plan of least value; see `Search.best`."""
        p, keep, ask = self.problem, limits or self.problem.limits, among or Among()
        best: tuple[float, Block, int] | None = None
        for block in self.blocks:
            if ask.inside is not None and block.inside != ask.inside:
                continue
            value = self._values(block, aim)
            ok = _within(block, keep, self.out.get(block.inside), ask)
            value = np.where(ok, value, np.inf) if ok is not None else value
            row = int(np.argmin(value)) if len(value) else -1
            if row >= 0 and np.isfinite(value[row]) and (best is None or value[row] < best[0]):
                best = float(value[row]), block, row
        if best is None:
            return Answer(None, None, float("inf"), float("inf"), 1)
        value_, block, row = best
        plan = block.plan(row)
        return Answer(plan, worth(p, plan), value_, value_, 1)

    def _values(self, block: Block, aim: Aim) -> Floats:
        value = aim.cash * block.cash + aim.hours * block.hours + aim.season * block.season
        if aim.notches:
            value = value + aim.hours * aim.notches * block.notch_hours
        for scale, r in ((s, self.problem.resource_by_id[name]) for name, s in aim.dearer):
            money = np.broadcast_to(block.money_of(r), block._mesh).ravel()
            value = value + aim.cash * (scale - 1.0) * money
        return value


def _within(block: Block, keep: Limits, out: Bools | None, ask: Among) -> Bools | None:
    """Rows that may be chosen; None where all may."""
    ok = ~out if out is not None else None

    def both(more: Bools) -> Bools:
        return more if ok is None else ok & more

    for figures, most in ((block.cash, keep.cash), (block.hours, keep.hours), (block.season, keep.season_kwh)):
        if np.isfinite(most):
            ok = both(figures <= most * (1 + SLACK) + 1e-9)
    for unit, options in ask.only.items():
        some = np.zeros(block.rows, dtype=np.bool_)
        for option in options:
            some |= block.has(unit, option)
        ok = both(some)
    for plan in ask.but:  # the same work is the same plan, wherever the line is said to run
        ok = both(~block.rows_of(plan))
    return ok
