"""The field solver against a direct sparse solve of the very matrix of its last net.

Run by hand: ``python -m bench.field``. The matrix is that of the last, doubled net; it is solved for the same number of
right-hand sides by the direct solver with its default order of unknowns (``spsolve``'s own). Against it stand

- *net*: numbering, assembly, films, solution and exchange of that one net, which is the solver on the same matrix;
- *whole*: the answer from the section: checks, triangles, all nets on the way, the comparison with the doubled net;
- *own order*: the whole against the direct solver with the order of unknowns that the field uses itself.

The goal is a ratio of at most 1.5 against the direct solve. One net keeps it from a few thousand unknowns up. The whole
keeps it on sections along the axes that do not end in singular corners; with held temperatures at a re-entrant corner,
and on slanting sections, the nets on the way and the triangles cost up to as much again as the last net, and small
sections (under 2,000 unknowns, some 10 ms) pay mostly for setting up.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import partial
from typing import Any

import numpy as np
from scipy.sparse.linalg import splu
from tests.physics.field.cases import Case, case_2d_corner, case_2d_stud_ci, case_10211_a2

from snugbay.physics.field import Accuracy, Facing, Section, rectangle, solve_section
from snugbay.physics.field.unit import assembled, factorised, unit_fields


def knee_wall(bays: int = 3) -> Case:
    """A stretch of wall with several studs of its own width, boards and a slot: many re-entrant corners."""
    wide = 0.4064 * bays
    regions = [
        rectangle(0, 0, wide, 0.0127, 0.16), rectangle(0, 0.0127, wide, 0.1016, 0.04),
        rectangle(0, 0.1016, wide, 0.1516, 0.024),
    ]  # fmt: skip
    for k in range(bays):
        x = 0.4064 * (k + 0.5)
        regions.append(rectangle(x - 0.019, 0.0127, x + 0.019 + 0.003 * k, 0.1016, 0.12))
    regions.append(rectangle(0.55, 0.1016, 0.555, 0.1516, 0.09))
    facings = (Facing((0, 0), (wide, 0), "in", 0.13), Facing((0, 0.1516), (wide, 0.1516), "out", 0.13))
    return Case(Section(tuple(regions), facings), {"in": 20.0, "out": -5.0})


def best_of(work: Callable[[], object], times: int = 5) -> float:
    seen = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        seen.append(time.perf_counter() - start)
    return min(seen)


def _solved_by(factorise: Callable[[Any], Any], matrix: Any, right: Any) -> Any:
    return factorise(matrix).solve(right)


def main() -> None:
    cases = {
        "ISO 10211 case 2": case_10211_a2(),
        "corner": case_2d_corner(),
        "stud and board": case_2d_stud_ci(),
        "knee wall, 3 bays": knee_wall(3),
        "ISO 10211 case 2, turned": Case(case_10211_a2().section.moved(0.3), case_10211_a2().temps_c),
    }
    heads = f"{'direct s':>9}{'net s':>8}{'ratio':>7}{'whole s':>9}{'ratio':>7}{'own order s':>12}{'ratio':>7}"
    print(f"{'case':26}{'accuracy':>9}{'unknowns':>9}{heads}")
    for name, case in cases.items():
        for wanted in (3e-4, 1e-5, 1e-6):
            accuracy = Accuracy(wanted, wanted, 400_000)
            result = solve_section(case.section, case.temps_c, accuracy=accuracy)
            matrix, right = assembled(result.fields.net)
            times = 5 if result.unknowns < 50_000 else 2
            field = best_of(partial(solve_section, case.section, case.temps_c, accuracy=accuracy), times)
            direct = best_of(partial(_solved_by, splu, matrix, right), times)
            one = best_of(partial(unit_fields, result.fields.net), times)
            ours = best_of(partial(_solved_by, factorised, matrix, right), times)
            print(
                f"{name:26}{wanted:9.0e}{result.unknowns:9d}{direct:9.3f}{one:8.3f}{one / direct:7.2f}"
                f"{field:9.3f}{field / direct:7.2f}"
                f"{ours:12.3f}{field / ours:7.2f}"
            )
            assert np.isfinite(result.total_flow)


if __name__ == "__main__":
    main()
