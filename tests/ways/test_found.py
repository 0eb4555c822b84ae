"""The state as found: resistances, zone temperatures, the ranking."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.ways.house import DECK, EAVES, GROUND, GYPSUM, OUT, ROOMS, STUDS, eaves_job, face, job, surveyed

from snugbay.base import InputError, Run, UnknownName
from snugbay.job import Face, Layer, Opening, Part, Place, ZoneKind
from snugbay.materials import Rates, material
from snugbay.physics.heat import HeatFlow
from snugbay.ways import as_found
from snugbay.ways.balance import Graph, season_loss_of, temperatures, zone_kinds
from snugbay.ways.buildup import Added, ground_r, open_depth, resistance
from snugbay.ways.found import ground
from snugbay.ways.measure import bay_count, measure


def measured(f: Face, width: float = 4.0, height: float = 2.0):  # type: ignore[no-untyped-def]
    return measure(f, surveyed(X=(width, height)).faces[0])


def test_bare_knee_wall_by_hand() -> None:
    """One gypsum board between two sheltered films: 0.13 + 0.0127/0.21 + 0.13 (ISO 6946 table 7, materials table)."""
    wall = measured(face("X", Part.KNEE_WALL, "rooms", "eaves", "eaves", framing=STUDS))
    r = resistance(wall, zone_kinds(job(wall.face)), Rates())
    assert r.total == pytest.approx(0.26 + 0.0127 / 0.21)
    assert r.upper == pytest.approx(r.lower)


def test_air_listed_in_open_bays_is_no_layer() -> None:
    """Bays open to the eaves hold no still air: the same wall with and without the air written down is the same."""
    plain = face("X", Part.KNEE_WALL, "rooms", "eaves", "eaves", framing=STUDS)
    listed = replace(plain, layers=(GYPSUM, Layer("air", 0.089, True)))
    closed = replace(listed, framing=replace(STUDS, exposed=False))
    kinds = zone_kinds(job(plain))
    bare, with_air, shut = (resistance(measured(f), kinds, Rates()).total for f in (plain, listed, closed))
    assert with_air == pytest.approx(bare)
    assert shut > bare + 0.1
    assert open_depth(measured(listed)) == pytest.approx(0.089)


def test_knee_wall_with_batts_and_board_by_the_combined_method() -> None:
    """Check case `6946-knee-combined`: gypsum 12.5/0.25, board 50/0.024, 140 mm bridged 0.23 of 0.13; R_T 4.8888.

    Source: EN ISO 6946:2017 6.7.2, computed from the formula of the standard. Our studs are taken at 0.12, so the
    case's own conductivity is put in by its thickness.
    """
    wood = material("softwood").conductivity
    assert wood == 0.12
    framing = replace(STUDS, spacing=1.0, width=0.23, depth=0.14)
    layers = (Layer("gypsum", 0.0125, resistance=0.0125 / 0.25),)
    wall = measured(face("X", Part.KNEE_WALL, "rooms", "eaves", "eaves", layers=layers, framing=framing))
    batt = Added(3.5, 3.5, 3.5, 0.14 * 0.12 / 0.13, True, "fibreglass-batt")
    board = Added(0.05 / 0.024, 0.05 / 0.024, 0.05 / 0.024, 0.05, False, "polyiso")
    framed = replace(wall, face=replace(wall.face, framing=replace(framing, depth=batt.thickness)))
    r = resistance(framed, zone_kinds(job(wall.face)), Rates(), (batt, board), work=True)
    assert r.total == pytest.approx(4.8888, abs=1e-3)
    assert r.upper == pytest.approx(5.0779, abs=1e-3)
    assert r.lower == pytest.approx(4.6998, abs=1e-3)


def test_films_follow_the_way_heat_goes() -> None:
    """Floor over a warm room: heat goes up, 0.10 each side; floor over a cold crawl space: down, 0.17 (ISO 6946)."""
    above = face("X", Part.FLOOR, "rooms", "eaves", "eaves", tilt=0.0)
    below = face("X", Part.CEILING, "rooms", "eaves", "eaves", tilt=0.0, overhead=True)
    assert measured(above).flow is HeatFlow.UP
    assert measured(below).flow is HeatFlow.DOWN
    kinds = zone_kinds(job(above))
    gypsum = 0.0127 / 0.21
    assert resistance(measured(above), kinds, Rates()).total == pytest.approx(0.2 + gypsum)
    assert resistance(measured(below), kinds, Rates()).total == pytest.approx(0.34 + gypsum)


def test_under_a_vented_deck_nothing_beyond_the_gap_counts() -> None:
    slope = face(
        "X", Part.SLOPE, "eaves", "out", "eaves", tilt=0.6, overhead=True, layers=DECK, framing=STUDS, vent_space=True
    )
    kinds = zone_kinds(job(slope))
    shaped = measured(slope)
    bare = resistance(shaped, kinds, Rates()).total
    assert bare == pytest.approx(0.10 + 0.04 + 0.019 / 0.12 + 0.006 / 0.08)
    added = (Added(2.0, 2.0, 2.0, 0.05, False, "polyiso"),)
    lined = resistance(shaped, kinds, Rates(), added, work=True)
    # two sheltered films and the board; outdoor air passes through the bays, which count no more than the deck
    assert lined.total == pytest.approx(0.10 + 0.10 + 2.0)


def test_soil_adds_what_the_standard_says() -> None:
    """ISO 13370 (from memory) cellar wall 2 m deep, λ 2, R 0.5 + 0.04: d_w = 1.08; floor bare within 0.3 m: d_t = 0.72.

    U = 2·2/(π·2)·(1 + 0.36/2.72)·ln(2/1.08 + 1) = 0.755; with d_w in place of d_t it would be 0.78, and 0.33 for 0.28
    behind R 3.
    """
    wall = measured(face("X", Part.CELLAR_WALL, "rooms", "ground", "rooms"), 4.0, 2.0)
    assert 1 / ground_r(wall, 0.5, 2.0) == pytest.approx(4 / (2 * pi) * (1 + 0.36 / 2.72) * np.log(2 / 1.08 + 1))
    assert 1 / ground_r(wall, 3.0, 2.0) == pytest.approx(4 / (2 * pi) * (1 + 0.36 / 2.72) * np.log(2 / 6.08 + 1))
    floor = measured(face("X", Part.FLOOR, "rooms", "ground", "rooms", tilt=0.0), 10.0, 8.0)
    b = 80 / 18
    dt = 0.3 + 2 * 0.54
    assert 1 / ground_r(floor, 0.5, 2.0) == pytest.approx(4 / (pi * b + dt) * np.log(pi * b / dt + 1), rel=1e-9)
    assert ground_r(floor, 3.0, 2.0) > ground_r(floor, 0.5, 2.0) > 0.5


@pytest.mark.parametrize(
    ("across", "first", "expected"), [(4.0, 0.2, 11), (4.0, 0.019, 10), (0.36, 0.78, 1), (1.22, 0.2, 4)]
)
def test_bays_are_counted_with_the_parts_at_the_ends(across: float, first: float, expected: int) -> None:
    """Members 38 mm wide at 0.4064 m: counted on paper."""
    assert bay_count(replace(STUDS, first=first), across, 2.0) == expected


EAVES_CASE = {"sides": 6 * 1.5 + 4 * 1.2 + 0, "out": 9 * 2.0 + 1 * 1.8}


def _eaves_net() -> Graph:
    return Graph(("in", "out", "b"), (ZoneKind.INSIDE, ZoneKind.OUTSIDE, ZoneKind.BUFFER), ((0, 2), (1, 2)))


@pytest.mark.parametrize(
    ("h_iu", "h_ue", "t_u", "loss"),
    [(13.8, 24.39, 4.034, 220.33), (2.5, 24.39, -2.676, 56.69), (13.8, 2.459, 16.219, 52.18)],
)
def test_eaves_space_by_the_standard(h_iu: float, h_ue: float, t_u: float, loss: float) -> None:
    """Check cases `13789-eaves` and `13789-eaves-options`: 20 °C inside, -5 °C outside (ISO 13789:2017 7.6).

    Computed there from the formula of the standard.
    """
    net = _eaves_net()
    c = np.array([h_iu, h_ue])
    held = {ZoneKind.INSIDE: 20.0, ZoneKind.OUTSIDE: -5.0, ZoneKind.GROUND: 8.0}
    temp = temperatures(net, c, held)[2]
    assert temp == pytest.approx(t_u, abs=0.01)
    assert h_iu * (20 - temp) == pytest.approx(loss, abs=0.1)
    drop = {ZoneKind.INSIDE: 0.0, ZoneKind.OUTSIDE: 25.0, ZoneKind.GROUND: 12.0}
    assert 1000 * season_loss_of(net, c, drop) == pytest.approx(loss, abs=0.1)


@given(st.lists(st.floats(0.01, 200), min_size=6, max_size=6), st.integers(0, 5), st.floats(0.0, 0.99))
@settings(max_examples=150, deadline=None)
def test_less_conductance_never_raises_the_loss(c: list[float], which: int, share: float) -> None:
    """Two spaces joined with each other, the rooms and outdoors (Rayleigh's monotonicity of networks)."""
    kinds = (ZoneKind.INSIDE, ZoneKind.OUTSIDE, ZoneKind.BUFFER, ZoneKind.BUFFER)
    net = Graph(("i", "o", "a", "b"), kinds, ((0, 1), (0, 2), (0, 3), (1, 2), (1, 3), (2, 3)))
    drop = {ZoneKind.INSIDE: 0.0, ZoneKind.OUTSIDE: 80_000.0}
    before = np.array(c)
    after = before.copy()
    after[which] *= share
    assert season_loss_of(net, after, drop) <= season_loss_of(net, before, drop) * (1 + 1e-9)


def test_weakest_part_first_and_sums_agree() -> None:
    j, s = eaves_job()
    state = as_found(j, s, Run()).value
    assert [f.season_kwh for f in state.faces] == sorted((f.season_kwh for f in state.faces), reverse=True)
    rooms = [f for f in state.faces if "rooms" in (f.warm, f.cold)]
    assert state.season_kwh == pytest.approx(sum(f.season_kwh for f in rooms), rel=1e-9)
    outer = [f for f in state.faces if "out" in (f.warm, f.cold)]
    assert sum(f.season_kwh for f in outer) == pytest.approx(state.season_kwh, rel=1e-6)  # nothing is lost on the way
    temps = dict(state.zone_temps_c)
    assert temps["out"] < temps["eaves"] < temps["rooms"] == 20.0
    design = dict(state.zone_design_c)
    assert design["eaves"] < temps["eaves"]
    assert state.season_cost == pytest.approx(state.season_kwh / 0.82 * 0.0914)


def test_ventilation_of_the_space_is_shared_over_its_skin() -> None:
    """4 changes of 6 m³: 0.34·24 = 8.16 W/K over slope and gable by area, whatever the faces."""
    j, s = eaves_job()
    base = ground(j, s)
    leaks = sum(base.loads.faces[f].leak for f in ("S", "G")) * base.air.air_conductance
    assert leaks == pytest.approx(0.34 * 24, rel=1e-9)


def test_doors_count_and_get_colder_faces_hot() -> None:
    j, s = eaves_job()
    hatch = Opening("hatch", 0.2, 0.1, 0.56, 0.76, plug=True)
    with_hatch = replace(j, faces=(replace(j.faces[0], openings=(hatch,)), *j.faces[1:]))
    plain, more = (as_found(k, s, Run()).value for k in (j, with_hatch))
    heat = {f.face: f for f in more.faces}["K"]
    assert heat.area == pytest.approx(4.2 * 1.15 - 0.56 * 0.76)
    assert heat.leak > {f.face: f for f in plain.faces}["K"].leak


def test_wrong_zones_and_climates_are_named() -> None:
    j, s = eaves_job()
    with pytest.raises(UnknownName, match="nowhere"):
        as_found(replace(j, faces=(replace(j.faces[0], cold="nowhere"),)), s, Run())
    with pytest.raises(InputError, match="climate"):
        as_found(replace(j, place=Place("", j.place.fuel)), s, Run())
    knee = replace(j, faces=j.faces[:1])
    with pytest.raises(InputError, match="outside"):
        as_found(replace(knee, zones=(ROOMS, EAVES, GROUND)), s, Run())
    gable = replace(j, faces=j.faces[3:])
    with pytest.raises(InputError, match="inside"):
        as_found(replace(gable, zones=(OUT, EAVES, GROUND)), s, Run())


def test_a_space_without_a_skin_is_said_to_be() -> None:
    j = job(face("X", Part.KNEE_WALL, "rooms", "eaves", "eaves"), zones=(ROOMS, OUT, replace(EAVES, air_changes=0.0)))
    state = as_found(j, surveyed(X=(4.0, 1.0)), Run()).value
    assert any(f.code == "weigh.no-skin" for f in state.findings)
