"""Offer, sheets, steps and list count from one model: what is laid is the offer's own reckoning of the real pieces."""

from __future__ import annotations

from functools import cache

import pytest

from snugbay.base import Effort, Run
from snugbay.document import read
from snugbay.flow import JobPlan, whole_job
from snugbay.ways.bench import COLUMNS, Column

RUN = Run(seed=1, effort=Effort.QUICK)
EAVES = """
version = 1
name = "eaves"
units = "ft-in"
[place]
climate = "Portland, ME"
fuel = "oil"
[[zones]]
id = "rooms"
kind = "inside"
[[zones]]
id = "eaves"
kind = "buffer"
volume_m3 = 6
height = "46"
[[zones]]
id = "out"
kind = "outside"
[access]
width = "22"
height = "30"
clear_run = "60"
[[faces]]
id = "K"
part = "knee wall"
between = ["rooms", "eaves"]
must = "boards-over/polyiso-2in"
layers = [{ material = "gypsum", thickness = "1/2" }]
framing = { spacing = "16", width = "1 1/2", depth = "3 1/2" }
openings = [{ name = "hatch", x = "70", y = "6", width = "22", height = "30", plug = true }]
[faces.outline]
shape = "rectangle"
width = "9'"
height = "45"
right = "45"
top = "9'"
diagonal = "9' 9"
other_diagonal = "9' 9"
[stock]
sheets = [{ board = "polyiso-2in" }]
[look_round]
not_there = ["flue or chimney"]
"""


@cache
def plan() -> JobPlan:
    return whole_job(read(EAVES), RUN).value


def test_the_hours_at_the_bench_are_the_sheets_minutes() -> None:
    """They were 0.51 h in the decision and 0.96 h on the sheets of one job, with no word on it."""
    p = plan()
    decided = sum(h.typical for h in p.weighing.hours if h.element in ("marking", "cutting"))
    cut = sum(c.minutes for s in p.sheets.sheets for c in s.cuts) / 60
    assert decided == pytest.approx(cut, rel=1e-9)


def test_an_offer_is_near_what_is_laid() -> None:
    """Boxes in rows against a real layout: the same functions, so that only the counts differ."""
    from snugbay.ways import options

    p = plan()
    offered = next(
        o for o in options(p.job, p.survey, RUN).value if o.face == "K" and o.way == p.weighing.plan.way("K")
    )
    laid = p.weighing.option("K", offered.way)
    assert offered.hours_typical == pytest.approx(laid.hours_typical, rel=0.15)


def test_steps_hold_all_hours_and_all_that_is_bought() -> None:
    p = plan()
    factor = p.weighing.plan.shown.hours / p.weighing.plan.hours
    assert sum(s.hours for s in p.fitting.steps) == pytest.approx(
        factor * sum(h.typical for h in p.weighing.hours), rel=1e-9
    )
    used: dict[str, float] = {}
    for item, amount in (u for s in p.fitting.steps for u in s.uses):
        used[item] = used.get(item, 0.0) + amount
    for bought in p.buying:
        if not bought.once:
            assert used.get(bought.item, 0.0) <= bought.units + bought.on_hand + 1e-6, bought.item
            assert used.get(bought.item, 0.0) > 0, bought.item
    assert set(used) <= {b.item for b in p.buying}
    assert all(s.hours > 0 for s in p.fitting.steps if not s.title.endswith(": plug"))


def test_list_and_headline_are_one_bill() -> None:
    p = plan()
    assert sum(b.total for b in p.buying) == pytest.approx(p.weighing.plan.cash)
    assert sum(b.total for b in p.weighing.purchases) == pytest.approx(p.weighing.plan.cash)


def test_the_columns_of_the_rates_are_times_short_to_long() -> None:
    deep = "time_model.cutting.knife_pass_depth"
    low, typical, high = (Column((), c)[deep].typical for c in COLUMNS)
    assert low > typical > high  # a deep pass makes few of them
    assert [Column((), c)["time_model.cutting.cut_setup"].typical for c in COLUMNS] == [0.3, 0.6, 1.0]
