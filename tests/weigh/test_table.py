"""The table of all plans: the same answers as trying every plan in plain code and as the integer program."""

from __future__ import annotations

from dataclasses import replace
from math import inf

import numpy as np
import pytest
from tests.weigh.small import every_plan
from tests.weigh.small import question as plain

from snugbay.base import Run
from snugbay.weigh.asking import Aim, Among
from snugbay.weigh.evaluate import allowed, worth
from snugbay.weigh.problem import Limits, Pack, Problem
from snugbay.weigh.search import Search
from snugbay.weigh.table import Table, blocks_of, fits
from snugbay.weigh.units import units_of

AIMS = (Aim(1.0, 20.0, 1.5), Aim(1.0, 0.0, 0.0), Aim(0.0, 1.0, 0.0), Aim(1e-4, 1e-4, 1.0))


def question(seed: int, **more: object) -> Problem:
    """A small question in which cans need a gun, and the first two of them may be tubes instead."""
    p = plain(seed, **more)  # type: ignore[arg-type]
    can = (Pack("tube", 0.3, 6.0, most=2), Pack("can", 1.0, 15.0, "gun", 20.0))
    return replace(p, resources=tuple(replace(r, packs=can) if r.id == "can" else r for r in p.resources))


def figures(p: Problem) -> list[tuple[float, float, float]]:
    return sorted((w.cash, w.hours, w.season_kwh) for w in (worth(p, plan) for plan in every_plan(p)))


@pytest.mark.parametrize("seed", range(12))
def test_the_table_holds_every_plan_with_the_figures_of_the_direct_reckoning(seed: int) -> None:
    p = question(seed, faces=3, options=3, buffers=seed % 3, ground=seed % 2 == 1)
    rows = []
    for block in blocks_of(p):
        assert all(allowed(p, block.plan(row)) for row in range(block.rows))
        rows += list(zip(block.cash, block.hours, block.season, strict=True))
    assert np.array(sorted(rows)) == pytest.approx(np.array(figures(p)))


@pytest.mark.parametrize("seed", range(20, 40))
def test_the_table_finds_what_the_program_finds(seed: int) -> None:
    p = question(seed, faces=4, options=3, buffers=seed % 3)
    table, search = Table(p), Search(p, Run())
    cheapest = table.best(AIMS[1]).value
    for aim in AIMS:
        for keep in (Limits(), Limits(cheapest * 1.5 + 50.0), Limits(inf, 6.0)):
            assert table.best(aim, keep).value == pytest.approx(search.best(aim, keep).value, rel=1e-6)
    best = table.best(AIMS[0])
    assert best.plan is not None
    for ask in (Among(but=(best.plan,)), Among(only={0: (0,)}), Among(inside=())):
        assert table.best(AIMS[0], None, ask).value == pytest.approx(search.best(AIMS[0], None, ask).value, rel=1e-6)
    dear = Aim(1.0, 20.0, 1.5, dearer=(("foam", 0.3), ("sheet", 2.0)))
    assert table.best(dear).value == pytest.approx(search.best(dear).value, rel=1e-6)


def test_notches_cost_the_hours_they_say_in_both() -> None:
    p = question(3, faces=4, options=3, buffers=1)
    faces = tuple(
        replace(
            f, options=tuple(replace(o, notches=3, notch_hours=0.2) if o.group == "boards" else o for o in f.options)
        )
        for f in p.faces
    )
    p = replace(p, faces=faces)
    for more in (-1.0, 0.5, 4.0):
        aim = Aim(1.0, 20.0, 1.5, notches=more)
        assert Table(p).best(aim).value == pytest.approx(Search(p, Run()).best(aim).value, rel=1e-6)


def test_rows_that_are_ruled_out_are_no_answers() -> None:
    table = Table(question(5, faces=3, options=3, buffers=1))
    seen = []
    while (answer := table.best(AIMS[0])).plan is not None:
        seen.append(answer.value)
        table.rule_out_plan(answer.plan)
    assert seen == sorted(seen)
    assert len(seen) == sum(b.rows for b in table.blocks)


def test_a_large_question_goes_to_the_program() -> None:
    assert fits(question(1, faces=4, options=3))
    assert not fits(question(1, faces=40, options=8, buffers=1))


def test_units_are_the_sum_of_their_faces_and_keep_one_way() -> None:
    p = question(8, faces=2, options=4, buffers=1)
    first = p.faces[0]
    twin = replace(first, id="twin", options=tuple(replace(o, face="twin") for o in first.options))
    p = replace(p, faces=(*p.faces, twin))
    units = units_of(p, ((0, 2), (1,)))
    assert len(units.problem.faces) == 2
    for block in blocks_of(units.problem):
        for row in range(block.rows):
            plan = units.by_face(block.plan(row))
            assert plan.picks[0] == plan.picks[2]
            w = worth(p, plan)
            assert (block.cash[row], block.hours[row], block.season[row]) == pytest.approx(
                (w.cash, w.hours, w.season_kwh)
            )
            assert units.by_unit(plan) == block.plan(row)
    # what may be ruled out beats nothing
    doubted = units_of(p, ((0, 2), (1,)), {first.id: {o.way for o in first.options}})
    assert len(doubted.problem.faces[0].options) == len(first.options)
