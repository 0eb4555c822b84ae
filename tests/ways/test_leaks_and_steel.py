"""Steel through boards, open joist bays, what a space passes on, and the blower door: all of it in the offer."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import pytest
from tests.ways.house import EAVES, HATCH, OPEN, RAFTERS, STUDS, face, job, surveyed

from snugbay.base import Effort, Run
from snugbay.job import Face, Job, Part, PriceOverride, SheetStock, Stock, Zone, ZoneKind
from snugbay.physics.air import ela_from_blower_door
from snugbay.survey import Survey
from snugbay.ways import Option
from snugbay.ways.balance import zone_kinds
from snugbay.ways.found import ground
from snugbay.ways.leaks import joist_leak
from snugbay.ways.offer import offers
from snugbay.ways.reading import all_ways

RUN = Run(effort=Effort.QUICK)
BOARD = Stock((SheetStock("polyiso-2in", 0.0508, 1.2192, 2.4384),))
KNEE = face("K", Part.KNEE_WALL, "rooms", "eaves", "eaves", framing=STUDS, headroom=0.9)
FLOOR = face("F", Part.FLOOR, "rooms", "eaves", "eaves", tilt=0.0, framing=RAFTERS, headroom=0.9)
SIZES = {"K": (4.2, 1.15), "F": (4.2, 1.5)}


def offered(made: Job, taped: Survey, way: str, name: str = "K") -> Option:
    base = ground(made, taped)
    ways = tuple(w for w in all_ways((), base.rates) if w.id == way)
    return next(o for o in offers(base, taped, RUN, ways).value if o.face == name and o.way.startswith(way))


def eaves(*faces: Face, zone: Zone = EAVES, **place: object) -> tuple[Job, Survey]:
    made = job(*faces, stock=BOARD, access=HATCH)
    zones = tuple(zone if z.id == "eaves" else z for z in made.zones)
    made = replace(made, zones=zones, place=replace(made.place, **place))  # type: ignore[arg-type]
    return made, surveyed(**{f.id: SIZES[f.id] for f in faces})


def test_steel_through_the_boards_by_the_standard() -> None:
    """ISO 6946 Annex F.3: alpha 0.8, steel of 50 W/(m·K), plain screws of 5 mm; d0 and R1 of the board itself.

    12 screws on a sheet of 32 ft2 (trade table) and the fasteners of the cover are some 8 a square metre.
    """
    wall = face("K", Part.WALL, "rooms", "out", "rooms")
    taped = surveyed(K=(4.0, 2.4))
    none = PriceOverride("ways.screw.diameter_mm", 0.0, 0.0, 0.0)
    made = job(wall, stock=BOARD, access=OPEN)
    option = offered(made, taped, "boards-on-face")
    bare = offered(replace(made, stock=replace(BOARD, prices=(none,))), taped, "boards-on-face")
    boxes = {"screw-3in": 50, "screw-6in": 50, "gypsum-screw-3in": 100, "cover-screw": 50}
    held = {"screw-short": 1, "screw-long": 1, **boxes}
    count = sum(n.typical * held[n.item] for n in option.needs if n.item in held) / (4.0 * 2.4)
    assert 4 < count < 14
    board = bare.r_typical - (0.13 + 0.04 + 0.0127 / 0.25)  # films and gypsum taken off
    expected = 0.8 * 50 * (pi / 4 * 0.005**2) * count / 0.0508 * (board / bare.r_typical) ** 2
    assert 1 / option.r_typical - 1 / bare.r_typical == pytest.approx(expected, rel=0.05)
    assert option.r_high < bare.r_high
    assert 1.03 < bare.r_typical / option.r_typical < 1.25


def test_open_joist_bays_leak_until_they_are_blocked() -> None:
    """60 cm2 a bay open, 5 blocked and sealed (own assumption of the leak table)."""
    with_floor = eaves(KNEE, FLOOR, zone=replace(EAVES, air_changes=400.0))
    bays = ground(*with_floor).by_id["F"].bays
    assert bays >= 10
    before = ground(*with_floor).loads.faces["K"]
    assert before.joist_leak == pytest.approx(joist_leak(bays, blocked=False))
    boards, batts = (offered(*with_floor, way) for way in ("boards-over", "batts"))
    assert boards.leak_after < joist_leak(bays, blocked=True) + 0.35 * before.joints_leak
    assert batts.leak_after > joist_leak(bays, blocked=False)  # nobody blocks them before batts


def test_a_space_passes_on_no_more_than_its_own_ventilation() -> None:
    """Two openings one behind the other let through less than either: leaks to a tight space cost little."""
    tight, open_ = (eaves(KNEE, FLOOR, zone=replace(EAVES, air_changes=c)) for c in (1.0, 60.0))
    leaks = [sum(load.leak for load in ground(*e).loads.faces.values()) for e in (tight, open_)]
    vents = [ground(*e).air.air_conductance for e in (tight, open_)]
    passes = [0.34 * EAVES.volume * c / v for c, v in zip((1.0, 60.0), vents, strict=True)]
    assert leaks[0] < 1.05 * passes[0]
    assert leaks[0] < 0.5 * leaks[1]
    for e in (tight, open_):
        for way in ("boards-over", "batts"):
            option = offered(*e, way)
            assert option.leak_after <= option.leak_before + 1e-12


def test_a_blower_door_makes_leaks_larger_or_smaller_and_caps_them() -> None:
    wide = replace(EAVES, air_changes=400.0)
    wall = replace(KNEE, part=Part.WALL)  # no joist bays run under it
    plain = ground(*eaves(wall, zone=wide)).loads.faces["K"].joints_leak
    for door, volume in ((1.0, 300.0), (2.0, 300.0), (1.0, 600.0)):
        made = eaves(wall, zone=wide, blower_door=door, house_volume=volume)
        found = ground(*made).loads.faces["K"].joints_leak
        assert found == pytest.approx(plain * 3600 * door / volume / 10.0)
    tiny = eaves(KNEE, FLOOR, zone=wide, blower_door=0.001, house_volume=20.0)
    whole = sum(load.joints_leak + load.joist_leak for load in ground(*tiny).loads.faces.values())
    assert whole <= float(ela_from_blower_door(0.001)) * (1 + 1e-9)


def test_the_ground_lets_no_air_through() -> None:
    wall = face("K", Part.CELLAR_WALL, "rooms", "ground", "rooms")
    made = job(wall)
    assert zone_kinds(made)["ground"] is ZoneKind.GROUND
    assert ground(made, surveyed(K=(3.0, 2.0))).loads.faces["K"].leak == 0.0
