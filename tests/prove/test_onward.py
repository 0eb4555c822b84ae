"""From the log to another plan for the rest: the chance is that of what the log taught."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.stats import norm
from tests.prove.cases import RUN, logged, mill

from snugbay.base import InputError, Outcome
from snugbay.job import Job, LogEntry, PriceOverride
from snugbay.prove import Followed, plan_rest, prove
from snugbay.weigh import Progress, Replan, replan
from snugbay.weigh.learned import Learned
from snugbay.words import writer_of


@cache
def _dear() -> Job:
    """The mill's wall, done by somebody whose hour is dear."""
    job = mill()[0]
    return replace(job, you=replace(job.you, hour_worth=200.0, days=None))


def _begun(pace: float, pieces: int = 3) -> Job:
    """Set-up and the first pieces, each at a multiple of its planned hours."""
    _, _, weighing, made = mill()
    names = [p.id for p in made.pieces if p.face == "C1"]
    whole = sum(h.typical for h in dict(weighing.face_hours)["C1"])
    entries = [LogEntry(pace * whole / len(names), "all", "C1", (n,)) for n in names[:pieces]]
    return logged(_dear(), LogEntry(1.5, "set-up", share_done=1.0), *entries)


def _rest(job: Job) -> Outcome[Replan]:
    _, taped, weighing, pieces = mill()
    return plan_rest(Followed(job, taped, weighing, pieces), RUN)


def test_from_the_log_to_another_way_for_the_rest() -> None:
    """Log, learned pace, another way wins with at least 80 %, and the re-plan lays out the rest with it."""
    _, taped, weighing, pieces = mill()
    job = _begun(4.0, 4)
    answer = prove(Followed(job, taped, weighing, pieces), RUN).value
    assert answer.replan is not None
    assert answer.replan.chance >= 0.8
    assert answer.replan.advised
    assert answer.replan.text.startswith("Plan the rest anew")
    left = _rest(job).value
    assert left.switch
    assert left.chance == pytest.approx(answer.replan.chance, abs=0.03)
    assert dict(left.plan.ways) != dict(weighing.plan.ways)
    assert 0.0 < dict(left.done)["C1"] < 1.0
    assert left.purchases
    assert left.carry_on is not None
    assert left.plan.whole_cost < left.carry_on.whole_cost
    usual = prove(Followed(_begun(1.0), taped, weighing, pieces), RUN).value.replan
    assert usual is not None
    assert not usual.advised


def test_the_hours_left_of_the_rest_are_those_of_the_forecast() -> None:
    """Carrying on, the re-plan and the forecast stand on the same draws: the same band within sampling."""
    _, taped, weighing, pieces = mill()
    job = _begun(1.6)
    left = _rest(job).value
    told = prove(Followed(job, taped, weighing, pieces), RUN).value.forecast.remaining
    assert dict(left.plan.ways) == dict(weighing.plan.ways)
    assert left.plan.hours == pytest.approx(told.median, rel=0.05)
    for mine, theirs in ((left.hours_left.p10, told.low80), (left.hours_left.p90, told.high80)):
        assert mine == pytest.approx(theirs, rel=0.06)
    assert sum(h.typical for h in left.hours) == pytest.approx(left.plan.hours, rel=0.02)


def _stated(job: Job, rate: str, value: float) -> Job:
    stock = replace(job.stock, prices=(*job.stock.prices, PriceOverride(rate, value, value, value)))
    return replace(job, stock=stock)


def _at_pace(pace: float) -> Learned:
    """A log that taught one pace of all work, for sure."""
    sure = np.full(400, pace)
    return Learned({"C1": sure, "": sure}, sure, np.zeros(400))


def test_a_face_begun_goes_on_unless_the_gain_beats_the_stated_worth() -> None:
    """Boards at many times their hours: changing is worth it, unless a change half-way is said to be worth more."""
    _, taped, weighing, _ = mill()
    begun = weighing.option("C1", weighing.plan.way("C1"))
    so_far = Progress({"C1": 0.3}, 20.0, {}, {})
    free = replan(_dear(), taped, weighing, RUN, so_far, _at_pace(6.0)).value
    assert free.plan.way("C1") != begun.way
    (told,) = [f for f in free.findings if f.code == "replan.half-way"]
    assert told.figure("gain") > told.figure("least") == 2.0 * 200.0
    assert "change half-way" in writer_of(_dear()).finding(told)
    kept = replan(_stated(_dear(), "ways.replan.half_way", 1000.0), taped, weighing, RUN, so_far, _at_pace(6.0)).value
    there = weighing.option("C1", kept.plan.way("C1")).boards
    assert there is not None
    assert begun.boards is not None
    assert (there.material, there.layers) == (begun.boards.material, begun.boards.layers)
    assert not [f for f in kept.findings if f.code == "replan.half-way"]


def test_what_is_not_needed_goes_back_to_the_shop() -> None:
    """Whole sheets over come back at the stated share of their price, and not at all where the shop takes none."""
    job, taped, weighing, _ = mill()
    sheet = next(b for b in weighing.purchases if b.unit == "sheet" and b.item.startswith("pir"))
    more = replace(
        weighing, purchases=tuple(replace(b, units=b.units + 5) if b is sheet else b for b in weighing.purchases)
    )
    so_far = Progress({"C1": 0.3}, 2.0, {}, {})
    out = replan(job, taped, more, RUN, so_far, _at_pace(1.0)).value
    units, money = next((n, m) for item, n, m in out.returned if item == sheet.item)
    assert 5 <= units <= sheet.units + 5
    assert money == pytest.approx(0.8 * units * sheet.price)
    none = _stated(job, "ways.replan.returned", 0.0)
    assert replan(none, taped, more, RUN, so_far, _at_pace(1.0)).value.returned == ()


def test_the_chance_is_that_of_what_was_learned() -> None:
    """A pace known sharply gives a sharper chance than the same pace known badly; the middle is the same."""
    _, taped, weighing, _ = mill()
    job = logged(_dear(), LogEntry(3.0, "all", "C1", share_done=0.2))
    job = replace(job, you=replace(job.you, hour_worth=85.0))
    job = _stated(_stated(job, "ways.replan.returned", 0.0), "ways.replan.half_way", 0.0)
    luck = norm.ppf((np.arange(2000) + 0.5) / 2000)

    def chance(spread: float) -> Replan:
        pace = 3.1 * np.exp(spread * luck)
        told = Learned({"C1": pace, "": pace}, pace, luck)
        so_far = Progress({"C1": 0.2}, 3.0, {}, {})
        return replan(job, taped, weighing, RUN, so_far, told).value

    sharp, vague = chance(0.02), chance(0.6)
    assert sharp.pace == pytest.approx(vague.pace, rel=0.05)
    assert sharp.switch
    assert vague.switch
    assert sharp.chance > 0.9
    assert 0.6 < vague.chance < 0.85


def test_what_cannot_be_planned_anew_is_refused() -> None:
    with pytest.raises(InputError, match="what got done"):
        _rest(logged(_dear(), LogEntry(5.0)))
    with pytest.raises(InputError, match="is done"):
        _rest(logged(_dear(), LogEntry(15.0, "all", share_done=1.0)))
    with pytest.raises(InputError, match="times the planned hours"):
        _rest(_begun(300.0, 8))
