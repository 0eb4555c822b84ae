"""Weigh up beside plain references: spread against a loop over draws, program against its relaxation (CPU time).

python bench/weigh.py
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent.parent))

from tests.weigh.loop import loop_of
from tests.weigh.small import question

from snugbay.base import Run
from snugbay.document import example, read
from snugbay.survey import survey
from snugbay.weigh import weigh_dry
from snugbay.weigh.alternatives import Solver, best_plan, frontier, lines, one_way, second_best, whole_cost_aim
from snugbay.weigh.breakeven import break_evens
from snugbay.weigh.cells import first_boxes
from snugbay.weigh.evaluate import Plan
from snugbay.weigh.luck import draw
from snugbay.weigh.problem import Problem
from snugbay.weigh.program import build
from snugbay.weigh.search import Search
from snugbay.weigh.solver import solve
from snugbay.weigh.spread import Spreads, simulate
from snugbay.weigh.stage import looked_at
from snugbay.weigh.table import Table
from snugbay.weigh.units import alike_groups, each_by_itself, units_of

DRAWS = 10_000


def spreads(p: Problem) -> Spreads:
    items = {k.item: (0.8 * k.price, k.price, 1.3 * k.price) for r in p.resources for k in r.packs}
    items |= {g: (0.5 * v, v, 1.5 * v) for g, v in p.gear}
    shared = {s: (1.5, h, 4.0) for s, h in p.shared}
    return Spreads(items, shared, {c: (700.0, v, 1200.0) for c, v in p.crews}, (0.8, 1.0, 1.25), 0.05, 0.2, 20.0)


def best_of(times: int, work: Callable[[], object]) -> float:
    seconds = []
    for _ in range(times):
        start = time.process_time()
        work()
        seconds.append(time.process_time() - start)
    return min(seconds)


def spread_bench() -> None:
    p = question(1, faces=40, options=4, buffers=1)
    rng = np.random.default_rng(1)
    picks = tuple(int(rng.integers(1, len(f.options))) if len(f.options) > 1 else 0 for f in p.faces)
    plan, s = Plan((), picks), spreads(p)
    kept: dict[str, object] = {}  # what the last round made, so that memory is not given back and asked for again

    def all_at_once() -> None:
        drawn = draw(p, DRAWS, np.random.default_rng(2))
        kept["out"] = simulate(p, plan, s, drawn)
        kept["drawn"] = drawn

    fast = best_of(60, all_at_once)
    d = draw(p, DRAWS, np.random.default_rng(2))
    few = 500
    drivers = 6 + len(d.methods) + len(d.items) + 2 * len(p.faces)
    short = replace(d, worker=d.worker[:few])
    start = time.process_time()
    for _ in range(few):
        for _ in range(drivers):
            random.gauss(0.0, 1.0)
    slow_out = loop_of(p, plan, s, short)
    slow = (time.process_time() - start) * DRAWS / few
    out = simulate(p, plan, s, d)
    worst = max(abs(a - b) / max(abs(b), 1.0) for a, b in zip(out.whole[:few], slow_out["whole"], strict=True))
    print(f"spread: {DRAWS} draws of a 40-face plan, drawing included")
    print(f"  all at once {fast * 1e3:8.1f} ms")
    print(f"  plain loop  {slow * 1e3:8.1f} ms (from {few} draws; {drivers} random numbers each)")
    print(f"  ratio {slow / fast:.0f} (wanted 200); largest difference of a draw {worst:.1e}")


def program_bench() -> None:
    print("program: 60 faces, 12 ways, rooms, outdoors and three buffer spaces")
    for seed in range(1, 7):
        p = question(seed, faces=60, options=12, buffers=3)
        aim = whole_cost_aim(p)
        start = time.process_time()
        search = Search(p, Run())
        answer = search.best(aim)
        whole = time.process_time() - start
        program = build(p, search.parts, first_boxes(p, search.parts))
        cost = aim.cash * program.cash + aim.hours * program.hours + aim.season * program.season
        relaxed = best_of(3, lambda m=program.matrix, c=cost: solve(m, c, relaxed=True))
        options = sum(len(f.options) for f in p.faces)
        print(
            f"  seed {seed}: {options} options, gap {answer.gap:.1g}, {answer.rounds} rounds, {whole:.2f} s; "
            f"one relaxation {relaxed * 1e3:.0f} ms; ratio {whole / relaxed:.0f} (wanted under 10, or under 5 s)"
        )


def alike_bench() -> None:
    print("rows of equal bays: 3 kinds of 14, counted together and one by one")
    for seed in range(1, 4):
        few = question(seed, faces=3, options=8, buffers=1)
        bays = [replace(f, id=f"{f.id}-{n}") for f in few.faces for n in range(14)]
        p = replace(few, faces=tuple(bays))
        apart = replace(p, told_apart=tuple(f.id for f in bays))
        seconds, values = [], []
        for asked in (p, apart):
            start = time.process_time()
            values.append(Search(asked, Run()).best(whole_cost_aim(asked)).value)
            seconds.append(time.process_time() - start)
        print(
            f"  seed {seed}: together {seconds[0]:.2f} s, one by one {seconds[1]:.2f} s, ratio "
            f"{seconds[1] / seconds[0]:.1f}; values differ by {abs(values[0] - values[1]):.1e}"
        )


def all_questions(search: Solver, notches: int) -> list[float]:
    """Ask all that a weighing asks; return the whole costs, for comparison."""
    run = Run()
    first = best_plan(search)
    assert first.plan is not None
    second = second_best(search, first.plan)
    found = [first.value, second.value, *(c.whole_cost for _, c in lines(search, run))]
    found += [c.whole_cost for _, _, c in one_way(search, run)]
    frontier(search, run)
    return [*found, *(t.value for t in break_evens(search, run, {}, notches, "USD")[0])]


def questions_bench() -> None:
    print(
        "all questions of a weighing (choice, second, lines, one way, frontier, break-evens), options reckoned before:"
    )
    for name in ("ferry-cottage", "chapel-dormers"):
        job, run = read(example(name)), Run()
        start = time.process_time()
        q = looked_at(job, survey(job, run).value, run)
        options = time.process_time() - start
        face_by_face = units_of(q.problem, each_by_itself(q.problem)).problem
        units = units_of(q.problem, alike_groups(job, q.problem)).problem
        notches = sum(len(f.notches) + len(f.holes) for f in job.faces)
        seconds, answers = [], []
        for search in (Search(face_by_face, run), Search(units, run), Table(units)):
            start = time.process_time()
            answers.append(all_questions(search, notches))
            seconds.append(time.process_time() - start)
        same = max(abs(a - b) / max(abs(b), 1e-9) for a, b in zip(answers[1], answers[2], strict=True))
        start = time.process_time()
        weigh_dry(job, survey(job, run).value, run)
        whole = time.process_time() - start
        print(
            f"  {name}: program face by face {seconds[0]:.2f} s, program with like parts alike {seconds[1]:.2f} s, "
            f"table "
            f"{seconds[2]:.2f} s; ratios {seconds[0] / seconds[2]:.0f} and {seconds[1] / seconds[2]:.0f}; program and "
            f"table differ by {same:.0e}; options {options:.2f} s, all of it judged {whole:.2f} s: "
            f"{whole / (options + seconds[0]):.2f} of options and program face by face (wanted 1.5 at most)"
        )


if __name__ == "__main__":
    spread_bench()
    program_bench()
    alike_bench()
    questions_bench()
