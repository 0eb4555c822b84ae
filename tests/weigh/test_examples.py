"""The four households: what wins differs, and the cellar's boards not by a hair."""

from __future__ import annotations

from functools import cache

import pytest

from snugbay.base import Effort, Run
from snugbay.document import EXAMPLES, example, read
from snugbay.survey import survey
from snugbay.weigh import Weighing, weigh


@cache
def weighed(name: str) -> Weighing:
    job, run = read(example(name)), Run(seed=1, effort=Effort.QUICK)
    return weigh(job, survey(job, run).value, run).value


def wins(w: Weighing) -> str:
    groups = {w.option(f, way).group for f, way in w.plan.ways} - {"as-found"}
    if w.plan.inside:
        return "the rafter line"
    return groups.pop() if len(groups) == 1 else "a mixture"


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_example_is_proved(name: str) -> None:
    w = weighed(name)
    assert w.gap == 0.0
    assert w.plan.saving_kwh > 0
    assert all(w.plan.whole_cost <= c.whole_cost + 1e-6 for _, c in w.single_way)


def test_what_wins_differs() -> None:
    assert len({wins(weighed(n)) for n in EXAMPLES}) == 4


def test_boards_win_the_cellar_and_not_by_a_hair() -> None:
    w = weighed("mill-cellar")
    assert wins(w) == "boards"
    others = {g: c for g, c in w.single_way if g != "boards"}
    assert others
    assert all(c.whole_cost > 1.15 * w.plan.whole_cost for c in others.values())
    rivals = [chance for name, chance in w.spread.beats if "throughout" in name]
    assert all(chance > 0.9 for chance in rivals)
