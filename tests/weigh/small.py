"""Small random questions, and their answer by trying every plan."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import combinations, product

import numpy as np

from snugbay.job import Objective, ZoneKind
from snugbay.ways import HourElement, Need, Option
from snugbay.ways.balance import Graph
from snugbay.weigh.asking import Aim
from snugbay.weigh.evaluate import Plan, Worth, allowed, within, worth
from snugbay.weigh.problem import FaceChoices, Limits, Pack, Problem, Resource
from snugbay.weigh.pruning import without_dominated

GROUPS = ("boards", "kit", "crew", "batts")
UNITS: dict[str, Callable[[float], tuple[str, float, float, float]]] = {
    "sheet": lambda a: ("sheet", 0.9 * a, a, 1.2 * a),
    "can": lambda a: ("can", 0.7 * a, a, 1.4 * a),
    "foam": lambda a: ("kit-600", 0.8 * a / 600, a / 600, 1.25 * a / 600),
    "bag": lambda a: ("bag", 0.95 * a, a, 1.05 * a),
}


def option(rng: np.random.Generator, face: str, n: int, before: float) -> tuple[Option, dict[str, float]]:
    group = GROUPS[int(rng.integers(len(GROUPS)))]
    needs: dict[str, float] = {}
    if group == "boards":
        needs = {"sheet": float(rng.uniform(0.2, 3)), "can": float(rng.uniform(0, 0.6))}
    elif group == "kit":
        needs = {"foam": float(rng.uniform(20, 260))}
    elif group == "batts":
        needs = {"bag": float(rng.uniform(0.1, 1.5))}
    crew = group == "crew"
    after = before * float(rng.uniform(0.05, 0.8))
    charge = float(rng.uniform(80, 700)) if crew else 0.0
    hours = HourElement("fitting", 0.1, float(rng.uniform(0.2, 6)), 9.0)
    made = Option(
        face,
        f"{group}/{n}",
        group,
        True,
        r_typical=float(rng.uniform(1, 6)),
        hours=() if crew else (hours,),
        needs=tuple(Need(*UNITS[r](amount)) for r, amount in needs.items()),
        gear=(f"gear-{group}",) if not crew else (),
        charge_low=0.7 * charge,
        charge=charge,
        charge_high=1.5 * charge,
        minimum_low=700.0 if crew else 0.0,
        minimum_high=1200.0 if crew else 0.0,
        minimum=900.0 if crew else 0.0,
        shared=(f"{group}-setup",),
        shared_hours=((f"{group}-setup", HourElement("set-up", 0.0, 2.5, 4.0)),),
        thickness=0.05,
        air_barrier=bool(rng.random() < 0.7),
        group=group,
        heat_before=before,
        heat_low=0.8 * after,
        heat_after=after,
        heat_high=min(1.4 * after, before),
    )
    return made, needs


def as_found(face: str, heat: float) -> Option:
    return Option(
        face,
        "as-found",
        "as found",
        True,
        r_typical=0.4,
        group="as-found",
        heat_before=heat,
        heat_after=heat,
        heat_low=heat,
        heat_high=heat,
    )


def question(seed: int, *, faces: int = 4, options: int = 3, buffers: int = 1, ground: bool = False) -> Problem:
    rng = np.random.default_rng(seed)
    kinds = [ZoneKind.INSIDE, ZoneKind.OUTSIDE, *[ZoneKind.BUFFER] * buffers]
    names = ["in", "out", *(f"b{i}" for i in range(buffers))]
    if ground:
        kinds.append(ZoneKind.GROUND)
        names.append("ground")
    pairs = {(0, 1)} | {(0, 2 + i) for i in range(buffers)} | {(1, 2 + i) for i in range(buffers)}
    if buffers > 1:
        pairs |= {(2 + i, 3 + i) for i in range(buffers - 1)}
    if ground:
        pairs |= {(2 + i, 2 + buffers) for i in range(buffers)}
    ordered = tuple(sorted(pairs))
    net = Graph(tuple(names), tuple(kinds), ordered)
    base = np.array([float(rng.uniform(0.5, 8)) if 1 in pair and pair != (0, 1) else 0.0 for pair in ordered])
    rows = []
    for n in range(faces):
        k = int(rng.integers(len(ordered)))
        before = float(rng.uniform(3, 40))
        found = Option(
            f"F{n}",
            "as-found",
            "as found",
            True,
            r_typical=0.4,
            heat_before=before,
            heat_after=before,
            group="as-found",
        )
        made = [option(rng, f"F{n}", i, before) for i in range(options)]
        all_options = (found, *(o for o, _ in made))
        rows.append(
            FaceChoices(
                f"F{n}",
                k,
                ordered[k],
                all_options,
                np.array([o.heat_after for o in all_options]),
                np.array([o.hours_typical for o in all_options]),
                np.array([o.charge for o in all_options]),
                ({}, *(needs for _, needs in made)),
                np.array([o.air_barrier for o in all_options]),
                np.array([o.thickness > 0 for o in all_options]),
            )
        )
    resources = (
        Resource("sheet", (Pack("sheet", 1.0, float(rng.uniform(25, 70))),), float(rng.choice([0.0, 0.4, 2.0]))),
        Resource("can", (Pack("can", 1.0, 15.0),)),
        Resource("foam", (Pack("kit-600", 600.0, 900.0), Pack("kit-200", 200.0, 400.0))),
        Resource("bag", (Pack("bag", 1.0, 70.0),)),
    )
    return Problem(
        tuple(without_dominated(f) for f in rows),
        resources,
        tuple((f"gear-{g}", float(rng.uniform(30, 250))) for g in GROUPS if g != "crew"),
        tuple((f"{g}-setup", 2.5) for g in GROUPS),
        (("crew", 900.0),),
        net,
        base,
        {ZoneKind.INSIDE: 0.0, ZoneKind.OUTSIDE: 90_000.0, ZoneKind.GROUND: float(rng.uniform(30_000, 60_000))},
        tuple(range(2, 2 + buffers)),
        float(rng.uniform(5, 40)),
        float(rng.uniform(0.3, 2.5)),
        0.1,
        Limits(),
        Objective.WHOLE_COST,
        bool(rng.random() < 0.5),
    )


def every_plan(p: Problem) -> Iterator[Plan]:
    for n in range(len(p.movable) + 1):
        for inside in combinations(p.movable, n):
            for picks in product(*(range(len(f.options)) for f in p.faces)):
                plan = Plan(tuple(inside), picks)
                if allowed(p, plan):
                    yield plan


def best_by_trying(p: Problem, aim: Aim) -> tuple[Plan, Worth, float] | None:
    best: tuple[Plan, Worth, float] | None = None
    for plan in every_plan(p):
        w = worth(p, plan)
        if within(p, w) and (best is None or aim.value(w) < best[2]):
            best = (plan, w, aim.value(w))
    return best
