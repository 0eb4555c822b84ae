"""Adjustment of a 60-face job beside scipy's dense least squares on the same residuals: python bench/survey.py

The same equations, weights and starting shapes are handed to `scipy.optimize.least_squares` with a dense Jacobian, once
with the exact one and once with scipy's own differences. The aim is to take less than a fifth of scipy's time.
Times are processor time on one thread: more threads only spin on matrices of this size, and would flatter us.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
from scipy import optimize

from snugbay.base import Run
from snugbay.job import Face, Join
from snugbay.job.shorthands import gable_triangle, knee_wall_run, niche_box, rafter_slope
from snugbay.survey import SurveyOptions, adjust
from snugbay.survey.equations import misclosure, moved
from snugbay.survey.network import Network, State, framed, groups, lay_out
from snugbay.survey.shapes import start_state
from snugbay.survey.solve import jacobian, pattern, solve, weights

OPTIONS = SurveyOptions()
ZONES = {"warm": "inside", "cold": "eaves"}


def attic(rng: np.random.Generator, boxes: int) -> tuple[list[Face], list[Join]]:
    """Return 60 faces of boxes, knee walls with floors, gables and slopes, with noisy spare readings."""
    faces: list[Face] = []
    joins: list[Join] = []
    for k in range(boxes):
        w, h, d = 0.9 + 0.01 * k, 1.2, 0.6
        more = {
            "back B-C": h,
            "back C-D": w,
            "back A-C": np.hypot(w, h),
            "left A-C": np.hypot(d, h),
            "top A-C": np.hypot(w, d),
        }
        parts = [
            niche_box(id=f"B{k}", width=w, height=h, depth=d, more=more, **ZONES),
            knee_wall_run(
                id=f"K{k}", length=4.0, height=1.2, floor=1.4, more={"wall A-C": np.hypot(4.0, 1.2)}, **ZONES
            ),
            gable_triangle(id=f"G{k}", base=3.0, left=2.0, right=2.0, height=np.sqrt(4.0 - 2.25), **ZONES),
            rafter_slope(id=f"S{k}", width=4.0, rafter=2.2, pitch=0.7, more={"A-C": np.hypot(4.0, 2.2)}, **ZONES),
        ]
        for part in parts:
            faces += part.faces
            joins += part.joins
    shaken = [
        replace(f, readings=tuple(replace(r, value=r.value + float(rng.normal()) * r.sigma) for r in f.readings))
        for f in faces
    ]
    return shaken[:60], [j for j in joins if {j.a, j.b} <= {f.id for f in shaken[:60]}]


def strip(rng: np.random.Generator, count: int) -> tuple[list[Face], list[Join]]:
    """Return one joined group: a row of rectangles side by side, each with its own diagonals."""
    faces: list[Face] = []
    joins: list[Join] = []
    for k in range(count):
        more = {"A-C": np.hypot(1.0, 2.0), "B-D": np.hypot(1.0, 2.0), "C-D": 1.0}
        face = rafter_slope(id=f"S{k:02d}", width=1.0, rafter=2.0, pitch=0.7, more=more, **ZONES).faces[0]
        readings = tuple(replace(r, value=r.value + float(rng.normal()) * r.sigma) for r in face.readings)
        faces.append(replace(face, readings=readings))
        if k:
            joins.append(Join(f"S{k - 1:02d}", ("B", "C"), f"S{k:02d}", ("D", "A"), np.pi))
    return faces, joins


def best_of(work: Callable[[], object], times: int) -> float:
    took = []
    for _ in range(times):
        started = time.process_time()
        work()
        took.append(time.process_time() - started)
    return min(took)


def laid(faces: Sequence[Face], joins: Sequence[Join]) -> list[tuple[Network, State]]:
    out = []
    for numbers in groups(faces, joins):
        own = [faces[i] for i in numbers]
        ids = {f.id for f in own}
        net = lay_out(own, [j for j in joins if j.a in ids], OPTIONS)
        state = start_state(net, OPTIONS, np.random.default_rng(1)).state
        out.append((framed(net, state), state))
    return out


def stacked(
    nets: Sequence[tuple[Network, State]],
) -> tuple[Callable[[np.ndarray], np.ndarray], Callable[[np.ndarray], np.ndarray], int]:
    """Return residuals and dense exact Jacobian of all groups together, by steps from the start, and the unknowns."""
    sizes = [net.unknowns for net, _ in nets]
    ends = np.cumsum([0, *sizes])

    def residuals(x: np.ndarray) -> np.ndarray:
        parts = []
        for k, (net, state) in enumerate(nets):
            parts.append(misclosure(net, moved(net, state, x[ends[k] : ends[k + 1]]))[0] * weights(net))
        return np.concatenate(parts)

    def dense(x: np.ndarray) -> np.ndarray:
        rows = sum(len(net.rows) for net, _ in nets)
        out = np.zeros((rows, int(ends[-1])))
        row = 0
        for k, (net, state) in enumerate(nets):
            _, slopes = misclosure(net, moved(net, state, x[ends[k] : ends[k + 1]]))
            J = jacobian(net, pattern(net), slopes).toarray() * weights(net)[:, None]
            out[row : row + len(net.rows), ends[k] : ends[k + 1]] = J
            row += len(net.rows)
        return out

    return residuals, dense, int(ends[-1])


def compare(title: str, faces: Sequence[Face], joins: Sequence[Join]) -> None:
    nets = laid(faces, joins)
    residuals, dense, unknowns = stacked(nets)
    rows = sum(len(net.rows) for net, _ in nets)
    ours = best_of(lambda: [solve(net, state, weights(net)) for net, state in nets], 5)
    cost = sum(solve(net, state, weights(net)).cost for net, state in nets)
    whole = best_of(lambda: adjust(faces, joins, OPTIONS, Run()), 3)
    print(f"{title}: {len(faces)} faces, {len(joins)} joins, {unknowns} unknowns, {rows} equations, cost {cost:.4f}")
    print(f"  ours, solution only {1000 * ours:.1f} ms; whole survey with tests and words {1000 * whole:.0f} ms")
    for name, jac, method in (
        ("exact, trf", dense, "trf"),
        ("exact, lm", dense, "lm"),
        ("2-point, trf", "2-point", "trf"),
    ):
        started = time.process_time()
        found = optimize.least_squares(residuals, np.zeros(unknowns), jac=jac, method=method)
        took = time.process_time() - started
        print(
            f"  scipy dense {name}: {1000 * took:.0f} ms, cost {2 * found.cost:.4f}; ours / (scipy / 5) = "
            f"{ours / (took / 5):.3f}; whole survey / (scipy / 5) = {whole / (took / 5):.2f}"
        )


def main() -> None:
    rng = np.random.default_rng(5)
    compare("attic", *attic(rng, 7))
    compare("strip", *strip(rng, 60))


if __name__ == "__main__":
    if os.environ.get("OPENBLAS_NUM_THREADS") != "1":
        os.environ["OPENBLAS_NUM_THREADS"] = "1"
        os.execv(sys.executable, [sys.executable, *sys.argv])
    main()
