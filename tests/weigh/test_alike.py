"""Rows of equal bays: one choice of how many get which way, the same answer as choosing for each bay by itself."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from tests.weigh.small import every_plan, question

from snugbay.base import Effort, Run
from snugbay.weigh.alternatives import best_plan, second_best
from snugbay.weigh.evaluate import Plan, whole_cost, worth
from snugbay.weigh.problem import FaceChoices, Problem
from snugbay.weigh.program import build
from snugbay.weigh.search import Search

QUICK = Run(effort=Effort.QUICK)


def _renamed(face: FaceChoices, name: str) -> FaceChoices:
    return replace(face, id=name, options=tuple(replace(o, face=name) for o in face.options))


def rows_of_bays(seed: int, counts: tuple[int, ...] = (3, 2, 1)) -> Problem:
    """A question whose faces come in rows of equal ones, not next to each other."""
    p = question(seed, faces=len(counts), options=2, buffers=1)
    most = max(counts)
    faces = [
        _renamed(face, f"{face.id}-{n}") for n in range(most) for face, k in zip(p.faces, counts, strict=True) if n < k
    ]
    return replace(p, faces=tuple(faces))


def kinds(p: Problem, plan: Plan) -> tuple[frozenset[tuple[int, int]], ...]:
    """How many of each group of alike faces get which option."""
    return tuple(frozenset(Counter(plan.picks[n] for n in group).items()) for group in p.groups)


def apart(p: Problem) -> Problem:
    return replace(p, told_apart=tuple(f.id for f in p.faces))


@pytest.mark.parametrize("seed", range(20))
def test_the_best_plan_is_that_of_trying_every_plan(seed: int) -> None:
    p = rows_of_bays(seed)
    assert sorted(map(len, p.groups)) == [1, 2, 3]
    answer = best_plan(Search(p, QUICK))
    assert answer.plan is not None
    assert answer.gap == 0.0
    assert answer.value == pytest.approx(min(whole_cost(p, worth(p, plan)) for plan in every_plan(p)), rel=1e-7)
    assert answer.value == pytest.approx(best_plan(Search(apart(p), QUICK)).value, rel=1e-7)


@pytest.mark.parametrize("seed", range(20, 40))
def test_the_second_best_is_more_than_a_change_of_places(seed: int) -> None:
    p = rows_of_bays(seed)
    search = Search(p, QUICK)
    first = best_plan(search)
    assert first.plan is not None
    own = kinds(p, first.plan)
    left = [whole_cost(p, worth(p, plan)) for plan in every_plan(p) if kinds(p, plan) != own]
    second = second_best(search, first.plan)
    if not left:
        assert second.plan is None
        return
    assert second.plan is not None
    assert kinds(p, second.plan) != own
    assert second.value == pytest.approx(min(left), rel=1e-7)


@pytest.mark.parametrize("seed", range(40, 50))
def test_the_second_best_of_a_mixed_row(seed: int) -> None:
    p = rows_of_bays(seed, (3, 1))
    mixed = next((q for q in every_plan(p) if any(len(k) > 1 for k in kinds(p, q))), None)
    if mixed is None:
        return
    own = kinds(p, mixed)
    left = [whole_cost(p, worth(p, q)) for q in every_plan(p) if kinds(p, q) != own]
    assert second_best(Search(p, QUICK), mixed).value == pytest.approx(min(left), rel=1e-7)


def test_equal_bays_cost_the_program_no_columns() -> None:
    few, many = rows_of_bays(3, (1, 1)), rows_of_bays(3, (40, 1))
    sizes = [build(p, s.parts, s.boxes).columns.size for p in (few, many) for s in (Search(p, QUICK),)]
    assert sizes[0] == sizes[1]
    assert build(apart(many), Search(many, QUICK).parts, ()).columns.size > 2 * sizes[1]


def test_what_tells_faces_apart_keeps_them_apart() -> None:
    p = rows_of_bays(5)
    assert len(apart(p).groups) == len(p.faces)
    one = replace(p, told_apart=("asked", *[""] * (len(p.faces) - 1)))
    assert (0,) in one.groups
    slower = replace(p.faces[0], hours=p.faces[0].hours * (1 + 1e-12) + 1e-12)
    assert (0,) in replace(p, faces=(slower, *p.faces[1:])).groups
