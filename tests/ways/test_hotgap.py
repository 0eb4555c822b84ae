"""Plates and fire-rated sealant round hot things are in the offer: amounts, money and hours."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import pytest
from tests.ways.house import OPEN, face, job, surveyed

from snugbay.base import Effort, Run
from snugbay.job import Hole, HotThing, Part, Zone, ZoneKind
from snugbay.ways import Option, options
from snugbay.ways.hotgap import NOTE, ring

CHIMNEY = Hole("chimney", 0.2, 0.2, 0.5, 0.7, round=False, hot=True, hot_thing=HotThing.MASONRY)
WALL = face("X", Part.WALL, "rooms", "out", "rooms")


def option(*holes: Hole, way: str = "boards-on-face/polyiso-2in") -> Option:
    j = job(replace(WALL, holes=holes), access=OPEN)
    return next(o for o in options(j, surveyed(X=(3.0, 2.0)), Run(effort=Effort.QUICK)).value if o.way == way)


def test_a_plate_is_the_ring_round_the_thing_and_is_sealed_along_both_edges() -> None:
    """2 in kept off a masonry chimney (50.8 mm) and 1 in of lap: 0.6524 x 0.8524 less 0.5 x 0.7."""
    area, joints = ring(CHIMNEY, 0.0254)
    assert area == pytest.approx(0.6524 * 0.8524 - 0.35)
    assert joints == pytest.approx(2 * (0.5 + 0.7) + 2 * (0.6524 + 0.8524))
    round_one, _ = ring(replace(CHIMNEY, height=0.5, round=True), 0.0254)
    assert round_one == pytest.approx(0.6524**2 - pi * 0.25**2)


def test_a_chimney_costs_metal_sealant_and_hours() -> None:
    with_it, without = option(CHIMNEY), option()
    needs = {n.item: n for n in with_it.needs}
    assert needs["fire-metal"].typical == pytest.approx((0.6524 * 0.8524 - 0.35) * 1.2 / 0.3048**2 / 8)
    assert needs["fire-sealant"].typical > 0
    (told,) = (h for h in with_it.hours if h.note.startswith(NOTE))
    assert 20 / 60 < told.typical < 1.5
    assert not {"fire-metal", "fire-sealant"} & {n.item for n in without.needs}


def test_foam_in_a_space_for_service_has_its_ignition_barrier_and_the_hours_to_hang_it() -> None:
    """3/8 in gypsum over 6 m2 and 10 % waste (IRC R316.5.3, S30); it was bought and hung outside the choice."""
    eaves = Zone("eaves", "Eaves", ZoneKind.BUFFER, volume=6.0, air_changes=4.0)
    wall = face("X", Part.KNEE_WALL, "rooms", "eaves", "eaves")
    for storage, board in ((False, "ignition-barrier"), (True, "gypsum")):
        j = job(wall, access=OPEN)
        zones = tuple(replace(eaves, storage=storage) if z.id == "eaves" else z for z in j.zones)
        found = options(replace(j, zones=zones), surveyed(X=(3.0, 2.0)), Run(effort=Effort.QUICK)).value
        one = next(o for o in found if o.way == "boards-on-face/polyiso-2in")
        needs = {n.item: n.typical for n in one.needs}
        assert needs[board] == pytest.approx(6.0 / 0.3048**2 / 32 * 1.10)
        assert sum(h.typical for h in one.hours if h.note.startswith("cover: ")) > 1.0
        assert any("waives" in c for c in one.cover) is not storage
