"""What the chosen plan does afterwards: build-ups by the hour, spaces, comfort, corners."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from tests.said import said

from snugbay.base import Effort, Run, Stopped, Weight
from snugbay.cautions import cautions
from snugbay.document import example, read
from snugbay.job import Job
from snugbay.physics import climate, transient
from snugbay.survey import Survey, survey
from snugbay.ways.balance import mean_slope, season_drop, season_loss_of
from snugbay.ways.buildup import Added
from snugbay.ways.found import Ground, ground
from snugbay.weigh import Weighing, look_ahead, weigh
from snugbay.weigh.lasting import Case, case_of, judged, space_airs, three_years
from snugbay.weigh.sealed import sealing_worth
from snugbay.weigh.spaces import FaceState, network_of, spaces_by_hour

RUN = Run(seed=1, effort=Effort.QUICK)


@cache
def chapel() -> tuple[Job, Survey, Weighing]:
    job = read(example("chapel-dormers"))
    taped = survey(job, RUN).value
    return job, taped, weigh(job, taped, RUN).value


@cache
def laid() -> Ground:
    job, taped, _ = chapel()
    return ground(job, taped)


def test_the_chapel_is_looked_at_by_the_hour() -> None:
    job, taped, weighing = chapel()
    answer = look_ahead(job, taped, weighing, RUN)
    ahead = answer.value
    assert answer.finished
    assert ahead.build_ups
    assert {b.verdict for b in ahead.build_ups} <= {v.value for v in transient.Verdict}
    seen = [f for rows in (ahead.build_ups, ahead.not_run) for row in rows for f in row.faces]
    # every face with work has a verdict or a line why not, and has it once
    assert sorted(seen) == sorted(f for f, way in weighing.plan.ways if way != "as-found")
    assert all(n.why for n in ahead.not_run)
    (loft,) = ahead.spaces
    # work on the line takes heat from the space: it gets colder, and the hour is colder than the month
    assert loft.month_after_c < loft.month_before_c
    assert loft.least_after_c < loft.month_after_c
    assert loft.frost_after_h >= loft.frost_before_h
    for one in ahead.comfort:
        assert one.surface_after_c > one.surface_before_c
        assert one.asymmetry_after_k < one.asymmetry_before_k
    assert ahead.carbon_kg.p10 < ahead.carbon_kg.p50 < ahead.carbon_kg.p90
    # typical carbon of the return, and the middle of the band
    assert ahead.carbon_kg.p50 == pytest.approx(weighing.money.carbon, rel=0.08)
    assert any(f.where == ("zones", loft.zone) for f in ahead.findings)
    # a loft no damper than outdoor air is no warning
    assert {f.weight for f in ahead.findings if f.code.startswith("buffer.deck")} <= {Weight.NOTE}


def states(base: Ground) -> dict[str, FaceState]:
    return {i: FaceState(load.heat, load.leak, load.r.total) for i, load in base.loads.faces.items()}


def test_the_graph_by_the_hour_is_the_graph_of_the_season() -> None:
    base = laid()
    net = network_of(base, states(base), ())
    pairs = base.loads.net
    c = base.loads.conductance(base.by_id, {i: load.heat for i, load in base.loads.faces.items()})
    total = sum(float(h) for (i, j), h in zip(pairs.pairs, c, strict=True) if pairs.kinds[i] is not pairs.kinds[j])
    assert np.triu(np.asarray(net.conductance), 1).sum() == pytest.approx(total, rel=1e-9)


def test_pipes_in_a_space_that_freezes_stop_the_work() -> None:
    job, taped, weighing = chapel()
    zones = tuple(replace(z, pipes=True) if z.id == "loft" else z for z in job.zones)
    base = ground(replace(job, zones=zones), taped)
    year = climate.hourly_year(climate.find_place("Fairbanks, AK"))
    before = states(base)
    after = {i: replace(s, heat=s.heat / (8.0 if i in ("A1", "F1") else 1.0)) for i, s in before.items()}
    rows, found = spaces_by_hour(base, year, before, after, ())
    assert rows[0].frost_after_h > rows[0].frost_before_h
    frozen = [f for f in found if f.code == "buffer.pipes-freeze"]
    assert [f.weight for f in frozen] == [Weight.STOP]
    warned = [c for c in cautions(job, taped, weighing, found) if c.code == "buffer.pipes-freeze"]
    assert warned
    assert warned[0].clears == "plumber"
    assert warned[0].trigger == f"{job.zone('loft').title}."


def test_open_fibre_against_a_tight_deck_is_found_wet() -> None:
    job, taped, weighing = chapel()
    base = ground(replace(job, place=replace(job.place, climate="Duluth, MN")), taped)
    face = next(f for f in base.faces if f.id == "G1")
    option = next(o for o in weighing.options if o.face == face.id and o.fits and o.way != "as-found")
    batt = replace(option, layers=(Added(2.0, 2.6, 2.8, 0.09, True, "mineral-batt"),), air_barrier=False)
    made, _, found = three_years(base, (batt,), (face.face.warm,), {}, RUN)
    assert len(made) == 1
    assert made[0].layers[0] in {"mineral-batt", "paint"}
    # batts open to the room before cold stone: water stands on it in winter
    assert made[0].verdict == "wet"
    assert made[0].liquid > 0.5
    assert {f.where for f in found} == {("faces", face.id)}
    assert "VTT" in said(found[0])


def test_build_ups_alike_are_run_once() -> None:
    job, taped, weighing = chapel()
    base = laid()
    done = tuple(weighing.option(f, w) for f, w in weighing.plan.ways if w != "as-found")
    airs = space_airs(base, done, ())
    found = [c for c in (case_of(base, o, (), airs) for o in done) if isinstance(c, Case)]
    judged.cache_clear()
    judgements = {c.key: judged(c) for c in found}
    assert judged.cache_info().misses == len(judgements) < len(found)
    assert all(j.key == key for key, j in judgements.items())
    # the money does not enter: a dearer fuel asks for no new judgement
    dear = replace(base, job=replace(job, place=replace(job.place, fuel=replace(job.place.fuel, price_kwh=9.0))))
    assert [case_of(dear, o, (), airs) for o in done] == [case_of(base, o, (), airs) for o in done]
    with pytest.raises(Stopped):
        three_years(base, done, (), {}, replace(RUN, stop=lambda: True))
    stopped = look_ahead(job, taped, weighing, replace(RUN, stop=lambda: True))
    assert not stopped.finished
    assert stopped.value.build_ups == ()


def test_sealing_is_worth_part_of_the_saving_and_no_more_than_the_house_has() -> None:
    job, taped, weighing = chapel()
    options = tuple(weighing.option(f, w) for f, w in weighing.plan.ways)
    rows, house, found = sealing_worth(laid(), options)
    assert house is None
    assert found == ()
    assert [r.kwh for r in rows] == sorted((r.kwh for r in rows), reverse=True)
    assert 0 < sum(r.kwh for r in rows) < weighing.plan.saving_kwh
    for row in rows:
        assert row.kwh_low < row.kwh < row.kwh_high
    tight = replace(job, place=replace(job.place, blower_door=0.02))
    rows, house, found = sealing_worth(ground(tight, taped), options)
    assert house == pytest.approx(0.02 * (4 / 50) ** 0.65 * (1.2 / 8) ** 0.5)
    assert sum(r.area for r in rows) == pytest.approx(house)
    assert [f.code for f in found] == ["season.faces-exceed-house"]


def test_all_parts_of_a_saving_add_up_to_it_and_sealing_behind_a_cold_space_is_worth_less_than_outdoors() -> None:
    weighing = chapel()[2]
    base = laid()
    options = tuple(weighing.option(f, w) for f, w in weighing.plan.ways)
    net, drop = base.loads.net, season_drop(base.air)
    before = {o.face: o.heat_before for o in options}
    after = {o.face: o.heat_after for o in options}
    states = [base.loads.conductance(base.by_id, h) for h in (before, after)]
    slope = mean_slope(net, states[0], states[1], drop)
    whole = sum((before[f.id] - after[f.id]) * slope[net.pair(f.face.warm, f.face.cold)] for f in base.faces)
    saved = season_loss_of(net, states[0], drop) - season_loss_of(net, states[1], drop)
    assert whole == pytest.approx(float(saved), rel=1e-6)
    # a leak straight out costs the whole difference to outdoors; no part behind a space is worth as much
    straight = base.air.air_conductance * base.air.degree_hours_out / 1000.0
    for row in sealing_worth(base, options)[0]:
        assert row.kwh <= row.area * straight * (1 + 1e-9)
    # the order of the faces is nothing
    turned = {r.face: r.kwh for r in sealing_worth(base, options[::-1])[0]}
    assert turned == pytest.approx({r.face: r.kwh for r in sealing_worth(base, options)[0]})
