"""The whole stage on small invented jobs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from tests.said import said
from tests.ways.house import EAVES, OUT, ROOMS, eaves_job, face, job, surveyed
from tests.ways.house import EAVES as SPACE

from snugbay.base import Effort, NoPlan, Outcome, Run, Said, Stopped, UnknownName
from snugbay.base.facts import Listed, Money
from snugbay.job import Hole, Job, Notch, Objective, Part, PriceOverride, SheetStock, Stock, Wishes, You
from snugbay.survey import Survey
from snugbay.weigh import Progress, Weighing, replan, weigh, why_not
from snugbay.weigh.learned import Learned

QUICK = Run(seed=3, effort=Effort.QUICK)
TWO = Stock((SheetStock("polyiso-2in", 0.0508, 1.2192, 2.4384), SheetStock("polyiso-1in", 0.0254, 1.2192, 2.4384)))


def small(**more: object) -> tuple[Job, Survey]:
    return eaves_job(**{"stock": TWO, "you": You(20.0, hours_per_day=6.0), **more})


@cache
def plain() -> Outcome[Weighing]:
    return weigh(*small(), QUICK)


def test_the_plan_is_proved_and_hangs_together() -> None:
    j, _ = small()
    out = plain()
    w = out.value
    assert out.finished
    assert w.gap == 0.0
    assert w.plan.whole_cost <= min(c.whole_cost for c in w.candidates) + 1e-6
    assert all(w.plan.whole_cost <= c.whole_cost + 1e-6 for _, c in w.single_way)
    assert w.second is not None
    assert w.second.whole_cost >= w.plan.whole_cost - 1e-6
    assert w.second.ways != w.plan.ways
    assert {c.inside for c in w.candidates} == {(), ("eaves",)}
    for f, way in w.plan.ways:
        o = w.option(f, way)
        assert o.fits
        # the air barrier closes: every face of the line is airtight, no other is touched
        assert o.air_barrier == (f in w.plan.line)
    assert set(w.plan.line) == ({"S", "G"} if w.plan.inside else {"K", "F"})
    assert {f.id for f in j.faces} == {f for f, _ in w.plan.ways}


def test_cash_is_the_purchases_and_hours_are_the_elements() -> None:
    w = plain().value
    assert sum(b.total for b in w.purchases) == pytest.approx(w.plan.cash)
    assert all(b.units == int(b.units) and b.total == pytest.approx(b.units * b.price) for b in w.purchases)
    assert sum(h.typical for h in w.hours) == pytest.approx(w.plan.hours)
    assert all(b.status for b in w.purchases)
    on_faces = sum(h.typical for _, hours in w.face_hours for h in hours)
    shared = {s: h.typical for f, way in w.plan.ways for s, h in w.option(f, way).shared_hours}
    assert on_faces + sum(shared.values()) == pytest.approx(w.plan.hours)


def test_what_holds_and_seals_is_bought() -> None:
    j, s = small(
        zones=(ROOMS, OUT, replace(SPACE, may_come_inside=False)), wishes=Wishes(ways_never=_all_but("boards-over"))
    )
    w = weigh(j, s, QUICK).value
    bought = {b.item for b in w.purchases}
    assert {"foil-tape", "gear-board"} <= bought
    assert bought & {"screw-3in", "screw-6in"}


def _all_but(*kept: str) -> tuple[str, ...]:
    from snugbay.materials import Rates
    from snugbay.ways import all_ways

    return tuple(w.id for w in all_ways((), Rates()) if w.id not in kept)


def test_saving_temperatures_and_spread_agree() -> None:
    w = plain().value
    before = w.as_found.season_kwh
    assert w.plan.saving_kwh < before
    assert w.plan.saving == pytest.approx(w.plan.saving_kwh / 0.82 * 0.0914)
    for zone, was, becomes in w.zone_temps_c:
        if zone == "eaves":
            assert (becomes > was) == bool(w.plan.inside)
        else:
            assert becomes == pytest.approx(was)
    for b in (w.spread.hours, w.spread.cash, w.spread.saving, w.spread.payback_years):
        assert b.p10 <= b.p50 <= b.p90
    assert w.spread.hours.p10 < w.plan.hours < w.spread.hours.p90
    assert all(0 <= chance <= 1 for _, chance in w.spread.beats)
    assert w.money.flow[0] == pytest.approx(-w.plan.cash)


def test_frontier_and_progress() -> None:
    seen: list[float] = []
    j, s = small()
    out = weigh(j, s, replace(QUICK, progress=lambda _, share: seen.append(share)))
    assert seen == sorted(seen)
    assert seen[-1] == 1.0
    points = out.value.frontier
    assert len(points) >= 2
    for a in points:
        for b in points:
            assert a is b or a.cash < b.cash or a.hours < b.hours or a.saving_kwh > b.saving_kwh
    assert out.value.plan == plain().value.plan


def test_must_never_and_limits() -> None:
    j, s = small()
    forced = replace(j, faces=tuple(replace(f, must="kit") if f.id == "K" else f for f in j.faces))
    assert weigh(forced, s, QUICK).value.plan.way("K").startswith("kit/")
    best = plain().value.plan
    used = {way.split("/")[0] for _, way in best.ways} - {"as-found"}
    other = weigh(*small(wishes=Wishes(ways_never=tuple(used))), QUICK).value.plan
    assert not {way.split("/")[0] for _, way in other.ways} & used
    assert other.whole_cost >= best.whole_cost - 1e-6
    impossible = replace(j, faces=tuple(replace(f, must="loose-fill") if f.id == "K" else f for f in j.faces))
    out = weigh(impossible, s, QUICK)
    assert any(f.code == "weigh.must-not-fit" for f in out.findings)


def _amounts(said: Said | None) -> Iterator[Money]:
    """Every amount of money in a phrase, however deep."""
    waiting: list[object] = [said]
    while waiting:
        one = waiting.pop()
        if isinstance(one, Money):
            yield one
        elif isinstance(one, Said):
            waiting += [fact for _, fact in one.facts]
        elif isinstance(one, Listed):
            waiting += one.items


def test_no_plan_names_the_limit_to_loosen_and_how_far() -> None:
    with pytest.raises(NoPlan, match="raise-budget") as error:
        weigh(*small(wishes=Wishes(budget=2.0)), QUICK)
    assert "budget raised to at least" in said(error.value.cure or "")
    least = next(m.amount for m in _amounts(error.value.cure))
    assert error.value.where == ("wishes", "budget")
    assert weigh(*small(wishes=Wishes(budget=least)), QUICK).value.plan.cash <= least
    with pytest.raises(NoPlan, match="raise-hours") as error:
        weigh(*small(you=You(20.0, days=0.02)), QUICK)
    assert error.value.where == ("you", "days")
    with pytest.raises(NoPlan, match="raise-hours"):
        weigh(*small(wishes=Wishes(hours=0.2)), QUICK)


def test_objectives_order_the_plans() -> None:
    plans = {}
    for aim in Objective:
        limits = {"budget": 900.0, "hours": 30.0}
        plans[aim] = weigh(*small(wishes=Wishes(objective=aim, **limits)), QUICK).value.plan  # type: ignore[arg-type]
    assert plans[Objective.LEAST_CASH].cash <= min(p.cash for a, p in plans.items() if a is not Objective.WHOLE_COST)
    assert plans[Objective.FEWEST_HOURS].hours <= plans[Objective.LEAST_CASH].hours + 1e-6
    assert plans[Objective.WARMEST].saving_kwh >= max(p.saving_kwh for p in plans.values()) - 1e-6
    assert plans[Objective.WHOLE_COST].whole_cost <= min(p.whole_cost for p in plans.values()) + 1e-6
    assert all(p.cash <= 900 * (1 + 1e-6) and p.hours <= 30 * (1 + 1e-6) for p in plans.values())


def test_a_wished_resistance_is_reached_or_said_to_be_out_of_reach() -> None:
    w = weigh(*small(wishes=Wishes(target_r=3.0)), QUICK).value
    for f in w.plan.line:
        assert w.option(f, w.plan.way(f)).r_typical >= 3.0 - 1e-9
    out = weigh(*small(wishes=Wishes(target_r=60.0)), QUICK)
    assert {f.code for f in out.findings} >= {"weigh.target-out-of-reach"}


def test_own_prices_and_stock_on_hand_change_the_cash() -> None:
    dear = replace(TWO, prices=(PriceOverride("polyiso-2in", 470.0, 470.0, 470.0),))
    assert weigh(*small(stock=dear), QUICK).value.plan.cash > plain().value.plan.cash - 1e-6
    free = Stock(
        tuple(replace(k, on_hand=40) for k in TWO.sheets), on_hand=(("gear-board", 1.0), ("gear-foam-gun", 1.0))
    )
    only = Wishes(ways_never=_all_but("boards-over"))
    had = weigh(*small(stock=free, wishes=only), QUICK).value
    without = weigh(*small(wishes=only), QUICK).value
    assert had.plan.cash < without.plan.cash
    assert all(b.units == 0 for b in had.purchases if b.item.startswith("gear"))
    assert not any(b.item.startswith("polyiso") and b.units for b in had.purchases)


def test_pipes_in_a_space_that_gets_colder() -> None:
    cold = replace(EAVES, may_come_inside=False, pipes=True)
    out = weigh(*small(zones=(ROOMS, OUT, cold)), QUICK)
    assert any(f.code == "weigh.pipes-freeze" for f in out.findings)


def test_stopped_at_once_there_is_no_plan_and_stopped_later_the_best_is_kept() -> None:
    j, s = small()
    with pytest.raises(Stopped):
        weigh(j, s, replace(QUICK, stop=lambda: True))
    shares_seen: list[float] = []
    watched = replace(QUICK, progress=lambda _, share: shares_seen.append(share))
    late = replace(watched, stop=lambda: bool(shares_seen) and shares_seen[-1] > 0.55)
    out = weigh(j, s, late)
    assert not out.finished
    assert out.value.plan.ways == plain().value.plan.ways


def test_the_same_seed_the_same_answer() -> None:
    again = weigh(*small(), QUICK).value
    assert again.plan == plain().value.plan
    assert again.spread == plain().value.spread
    other = weigh(*small(), replace(QUICK, seed=4)).value
    assert other.plan.whole_cost == pytest.approx(again.plan.whole_cost)
    assert other.spread != again.spread


def test_why_not_leaves_what_is_finished_and_names_ways_as_people_do() -> None:
    j, s = small()
    w = plain().value
    face = w.plan.line[0]
    rest = {f for f, _ in w.plan.ways} - {face}
    held = why_not(j, s, w, face, "crew", QUICK, rest).value
    assert held.plan is not None
    assert not held.others
    assert {f: way for f, way in held.plan.ways if f in rest} == {f: way for f, way in w.plan.ways if f in rest}
    assert w.option(face, held.plan.way(face)).title in said(held.text)
    assert f" {j.place.currency}" in said(held.text)
    free = why_not(j, s, w, face, "crew", QUICK).value
    titles = {o.title for o in w.options}
    assert all({now, then} <= titles for _, now, then in free.others)
    assert "finished" in said(why_not(j, s, w, face, "crew", QUICK, {face}).value.text)


def test_why_not_says_the_difference_of_two_plans() -> None:
    j, s = small()
    w = plain().value
    on_line = w.plan.line[0]
    for way in ("kit", "crew", "boards-over"):
        told = why_not(j, s, w, on_line, way, QUICK).value
        if told.plan is None:
            assert told.reasons or "no plan" in said(told.text)
            continue
        assert told.plan.way(on_line).split("/")[0] == way
        assert told.whole_cost == pytest.approx(told.plan.whole_cost - w.plan.whole_cost)
        assert told.whole_cost >= -1e-6
        assert told.cash == pytest.approx(told.plan.cash - w.plan.cash)
    same = why_not(j, s, w, on_line, w.plan.way(on_line), QUICK).value
    assert same.whole_cost == pytest.approx(0.0, abs=1e-6)
    refused = why_not(j, s, w, "K", "loose-fill", QUICK).value
    assert not refused.fits
    assert "does not stay on a wall" in said(refused.text)
    with pytest.raises(UnknownName):
        why_not(j, s, w, "nowhere", "kit", QUICK)
    with pytest.raises(UnknownName):
        why_not(j, s, w, "K", "kitt", QUICK)


def begun(w: Weighing, hours: float, share: float, **more: Mapping[str, float]) -> Progress:
    worked = next(f for f, hs in w.face_hours)
    return Progress({worked: share}, hours, more.get("used", {}), more.get("opened", {}))


def at_pace(w: Weighing, pace: float) -> Learned:
    """A log that taught one pace of all work, for sure."""
    sure = np.full(400, pace)
    return Learned(dict.fromkeys(("", *(face for face, _ in w.face_hours)), sure), sure, np.zeros(400))


def test_replan_counts_nothing_that_is_spent() -> None:
    j, s = small()
    w = plain().value
    worked, elements = w.face_hours[0]
    planned = sum(h.typical for h in elements)
    out = replan(j, s, w, QUICK, begun(w, 0.5 * planned, 0.5), at_pace(w, 1.0)).value
    assert out.gap == 0.0
    assert out.sunk_hours == pytest.approx(0.5 * planned)
    assert out.sunk_cash == pytest.approx(w.plan.cash)
    assert out.pace == pytest.approx(1.0)
    assert dict(out.done)[worked] == 0.5
    assert out.carry_on is not None
    assert out.carry_on.cash == pytest.approx(0.0)  # all of it was bought
    assert out.carry_on.hours < w.plan.hours - 0.4 * planned
    back = sum(money for _, _, money in out.returned)
    assert out.plan.whole_cost - back <= out.carry_on.whole_cost + 1e-6
    assert "count for neither" in said(out.text)
    earlier = replace(begun(w, 0.5 * planned, 0.5), paid=100.0)
    assert replan(j, s, w, QUICK, earlier, at_pace(w, 1.0)).value.sunk_cash == pytest.approx(w.plan.cash + 100.0)


def test_a_finished_face_is_done_and_a_slow_pace_shows() -> None:
    j, s = small()
    w = plain().value
    worked, _ = w.face_hours[0]
    slow, usual = (replan(j, s, w, QUICK, begun(w, 3.0, 1.0), at_pace(w, pace)).value for pace in (2.5, 1.0))
    assert (slow.pace, usual.pace) == (2.5, 1.0)
    assert slow.plan.way(worked) == w.plan.way(worked)
    assert slow.hours_left.p50 >= usual.hours_left.p50


def test_an_opened_kit_goes_off() -> None:
    j, s = small(wishes=Wishes(ways_never=_all_but("kit")))
    w = weigh(j, s, QUICK).value
    kit = next(b for b in w.purchases if b.item.startswith("kit-"))
    for age, code in ((10.0, "replan.kit-days"), (45.0, "replan.kit-gone")):
        state = begun(w, 1.0, 0.3, used={kit.item: 0.4}, opened={kit.item: age})
        out = replan(j, s, w, QUICK, state, at_pace(w, 1.0)).value
        assert {f.code for f in out.findings} - {"replan.half-way"} == {code}
        assert out.carry_on is not None
        assert (out.carry_on.cash > 0) == (age > 30)  # another kit for the rest


def test_over_the_limits_there_is_still_a_plan_for_the_rest() -> None:
    j, s = small(wishes=Wishes(hours=plain().value.plan.hours * 1.05))
    w = weigh(j, s, QUICK).value
    out = replan(j, s, w, QUICK, begun(w, w.plan.hours * 1.04, 0.2), at_pace(w, 1.0)).value
    assert any(f.code == "replan.limits" for f in out.findings)
    assert out.plan.hours > 0


def test_a_job_without_buffer_spaces() -> None:
    wall = face("W", Part.WALL, "rooms", "out", "rooms", notches=(Notch("tie", ("C", "D"), 1.0, 0.05, 0.1),))
    more = replace(wall, id="V", notches=(), holes=(Hole("pipe", 1.0, 1.0, 0.05, 0.05),))
    j = job(wall, more, zones=(ROOMS, OUT), stock=TWO)
    w = weigh(j, surveyed(W=(4.0, 2.2), V=(3.0, 2.2)), QUICK).value
    assert w.gap == 0.0
    assert w.plan.inside == ()
    assert set(w.plan.line) == {"W", "V"}
    assert len(w.candidates) == 1
