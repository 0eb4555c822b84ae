"""What sheets as full as the layout engine can fill them would come to, if they could be cut in fractions.

    python bench/sheets_patterns.py LISTS.json [--work UNITS] [name ...]

The linear program that covers all pieces with as few sheets as possible, each sheet one that the engine's placing can
fill, and its prices: the engine fills single sheets for the dearest pieces, what is worth more than one goes in, and
so on until the work is spent. No layout that takes its sheets from those found needs less than this, rounded up. It is
an estimate of what the search could still win, not a bound: sheets that nobody found are not in it. What is
certain: bench/sheets_bound.py.
"""

import argparse
import json
from pathlib import Path

import highspy
import numba
import numpy as np

from snugbay.base import Run
from snugbay.sheets import Instance, instances_from_json
from snugbay.sheets.nest.crew import Crew, Gate, Worker
from snugbay.sheets.nest.fill import fill, habit, roll, sort_by_key
from snugbay.sheets.nest.items import single_items
from snugbay.sheets.nest.lay import warm
from snugbay.sheets.nest.places import clear, put
from snugbay.sheets.nest.problem import Problem, area_bound, pose
from snugbay.sheets.nest.search import PATIENT, _gather, bag_cost, copy_lay, copy_sheet, keep_sheet
from snugbay.sheets.nest.table import kinds_of
from snugbay.sheets.nest.turns import free_turns

START = 500_000_000  # units of work for the layout to start from
ONE = 80_000_000  # for one dear sheet
HEAT = 0.02  # at first, of the price of a sheet


@numba.njit(nogil=True, _nrt=False)
def dear_sheet(shapes, sizes, desk, hand, price, budget, lay, best, bench):
    """Change the one sheet of a lay until the budget is spent; `best` gets the one with the dearest pieces."""
    desk.tally[2] = 0
    now = bag_cost(lay, price)
    least = now
    copy_lay(lay, best)
    trial, kept, chosen = bench.trial, bench.kept, bench.chosen
    chosen[0] = 0
    while desk.tally[2] < budget:
        part = 1.0 if roll(hand.dice) < 0.3 else 0.2 + 0.8 * roll(hand.dice)
        kinds = _gather(shapes, lay, hand, chosen, 1, part, kept)
        noise = roll(hand.dice)
        for i in range(kinds):
            hand.key[i] = -price[hand.order[i]] * (1.0 + 2.0 * noise * noise * (roll(hand.dice) - 0.5))
        sort_by_key(hand.order, hand.key, kinds)
        window = min(habit(hand), 4)
        clear(desk, sizes, 0)
        spare = sizes.area[0] + 1e-6
        for i in range(lay.pieces[0]):
            if kept[0, i]:
                put(desk, lay.variant[0, i], lay.x[0, i], lay.y[0, i])
                spare -= shapes.kind_area[shapes.variant_kind[lay.variant[0, i]]]
        fill(shapes, desk, hand, kinds, window, PATIENT, spare)
        keep_sheet(desk, shapes, trial, 0, 0)
        after = 0.0
        for i in range(kinds):
            after += hand.left[hand.order[i]] * price[hand.order[i]]
        desk.tally[2] += 300 + 5 * lay.bag.shape[0]
        heat = HEAT * (1.0 - desk.tally[2] / budget)
        if after <= now - heat * np.log(roll(hand.dice) + 1e-12):
            copy_sheet(trial, 0, lay, 0)
            for kind in range(lay.bag.shape[0]):
                lay.bag[kind] = 0
            for i in range(kinds):
                lay.bag[hand.order[i]] = hand.left[hand.order[i]]
            now = after
            if now < least - 1e-12:
                least = now
                copy_lay(lay, best)


def pattern(problem: Problem, lay, s: int) -> tuple[int, ...]:
    """Pieces of each kind on a sheet."""
    found = np.zeros(len(problem.counts), dtype=int)
    for i in range(int(lay.pieces[s])):
        found[problem.shapes.variant_kind[lay.variant[s, i]]] += 1
    return tuple(int(n) for n in found)


def program(patterns, counts) -> tuple[float, np.ndarray]:
    """Sheets needed, and the price of one piece of each kind."""
    solver = highspy.Highs()
    solver.setOptionValue("output_flag", False)
    rows = np.array(sorted(patterns), dtype=float).T
    for n in range(rows.shape[1]):
        solver.addVar(0.0, highspy.kHighsInf)
        solver.changeColCost(n, 1.0)
    for row, count in zip(rows, counts, strict=True):
        used = np.nonzero(row)[0].astype(np.int32)
        solver.addRow(float(count), highspy.kHighsInf, len(used), used, row[used])
    solver.run()
    return float(solver.getInfo().objective_function_value), np.array(solver.getSolution().row_dual)


def estimate(instance: Instance, work: int) -> tuple[int, float, int]:
    """Sheets of the layout to start from, of the program, and how many patterns it has."""
    items = single_items(instance)
    extra = free_turns(kinds_of(i.outline for i in items)[0], instance.sheet) if instance.free else None
    problem = pose(instance, items, extra)
    gate = Gate(Run(seed=0), None)
    crew = Crew(problem, 0, gate)
    crew.search(START, area_bound(instance), (0.0, 1.0))
    whole = crew.best.whole
    patterns = {pattern(problem, whole, s) for s in range(int(whole.sheets[0])) if whole.pieces[s] > 0}
    start = len(patterns)
    need, price = program(patterns, problem.counts)
    worker = Worker(problem, 5, gate)
    for _ in range(work // ONE):
        lay, best = worker.lay, worker.best
        lay.sheets[0], lay.pieces[0], lay.used[0], lay.size[0] = 1, 0, 0.0, 0
        lay.bag[:] = problem.counts
        lifted = np.maximum(price, 0.0) + 1e-5 * problem.shapes.kind_area / problem.sizes.area[0]
        dear_sheet(problem.shapes, problem.sizes, worker.desk, worker.hand, lifted, ONE, lay, best, worker.bench)
        found = pattern(problem, best, 0)
        if float(np.dot(found, price)) > 1.0 + 1e-6:
            patterns.add(found)
            need, price = program(patterns, problem.counts)
    return start, need, len(patterns)


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("lists", type=Path)
    parser.add_argument("names", nargs="*")
    parser.add_argument("--work", type=int, default=40_000_000_000)
    chosen = parser.parse_args()
    warm()
    for instance in instances_from_json(json.loads(chosen.lists.read_text())):
        if not chosen.names or instance.name in chosen.names:
            start, need, patterns = estimate(instance, chosen.work)
            print(f"{instance.name}: laid on {start} kinds of sheet; {need:.3f} sheets from {patterns}", flush=True)


if __name__ == "__main__":
    main()
