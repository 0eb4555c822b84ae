"""Crawl spaces: the ground is covered and the vents looked at first, pipes are insulated, gypsum passes the way in."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import pytest
from tests.ways.house import DECK, HATCH, OPEN, RAFTERS, face, job, surveyed

from snugbay.base import Effort, Run
from snugbay.job import Access, Job, Layer, Part, Units, Zone, ZoneKind
from snugbay.materials import Rates
from snugbay.survey import Survey
from snugbay.ways import Option, options
from snugbay.ways.cover import panels
from snugbay.ways.crawl import crawl_items, over_soil, vents_text
from snugbay.ways.resources import shelf
from snugbay.weigh.counted import bill_of

CRAWL = Zone("crawl", "Crawl space", ZoneKind.BUFFER, volume=24.0, air_changes=2.0, pipes=True, height=0.8)
ABOVE = face("F", Part.FLOOR, "rooms", "crawl", "crawl", tilt=0.0, overhead=True, framing=RAFTERS, headroom=0.8)
SOIL = face("G", Part.FLOOR, "crawl", "ground", "crawl", tilt=0.0, layers=(), headroom=0.8)
WALL = face("W", Part.CELLAR_WALL, "crawl", "out", "crawl", tilt=pi / 2, layers=(Layer("concrete", 0.2),), headroom=0.8)


def crawl(*more: object, zone: Zone = CRAWL, access: Access = HATCH) -> tuple[Job, Survey]:
    made = job(ABOVE, WALL, SOIL, access=access)
    zones = tuple(zone if z.id == "eaves" else z for z in made.zones)
    sizes = {"F": (3.0, 2.0), "W": (3.0, 0.8), "G": (6.0, 5.0)}
    return replace(made, zones=zones), surveyed(**sizes)


def found(face_id: str, way: str, zone: Zone = CRAWL, access: Access = HATCH) -> Option:
    made, taped = crawl(zone=zone, access=access)
    run = Run(effort=Effort.QUICK)
    return next(o for o in options(made, taped, run).value if o.face == face_id and o.way.startswith(way) and o.fits)


def test_bare_soil_is_known_by_its_floor_or_by_its_name() -> None:
    made, _ = crawl()
    assert over_soil(made, CRAWL)
    slab = replace(SOIL, layers=(Layer("concrete", 0.1),))
    assert not over_soil(replace(made, faces=(ABOVE, WALL, slab)), CRAWL)
    assert over_soil(replace(made, faces=(ABOVE, WALL)), CRAWL)  # no floor among the faces: the name tells
    assert not over_soil(replace(made, faces=(ABOVE, WALL)), replace(CRAWL, id="eaves", title="Eaves"))


def test_vents_by_the_model_code() -> None:
    """IRC R408.1 (from memory): 1/150 of the floor, 1/1500 with a ground cover. 30 m2: 2,000 and 200 cm2."""
    assert vents_text(CRAWL, Units.MM) == "vents of 2000 cm2 free area for bare soil, 200 cm2 once covered"


def test_the_ground_cover_is_in_the_choice_once_for_the_space() -> None:
    both = (found("F", "batts"), found("W", "boards-on-face"))
    made, _ = crawl()
    things = shelf(made, (), Rates())
    bought = [p for p in bill_of(both, things) if p.item == "ground-cover-crawl"]
    assert [p.units for p in bought] == [1]
    assert bought[0].total == pytest.approx(0.15 * 30 / 0.3048**2)
    for option in both:
        assert option.first[0].startswith("before anything else cover the bare ground")
        assert dict(option.shared_hours)["ground-cover-crawl"].typical > 0
    as_found = Option("F", "as-found", "left", True)
    assert not bill_of((as_found,), things)


def test_pipes_that_get_colder_are_insulated() -> None:
    """Under an insulated floor the crawl space is colder; with its walls insulated it is not."""
    assert "pipe-sleeves-crawl" in found("F", "batts").gear
    assert "pipe-sleeves-crawl" in dict(found("F", "batts").shared_hours)
    assert "pipe-sleeves-crawl" not in found("W", "boards-on-face").gear
    assert "pipe-sleeves-crawl" not in found("F", "batts", replace(CRAWL, pipes=False)).gear
    made, _ = crawl()
    assert {i.id for i in crawl_items(made, Rates())} == {"ground-cover-crawl", "pipe-sleeves-crawl"}


def test_gypsum_passes_the_hatch_or_is_cut_to_pass() -> None:
    """22 x 30 in and a clear run of 1.5 m: half sheets wide, half sheets long; a door lets them through whole."""
    made, _ = crawl(access=HATCH)
    assert panels(made, WALL) == 4
    assert panels(replace(made, access=OPEN), WALL) == 1
    room = face("R", Part.WALL, "rooms", "out", "rooms")
    assert panels(made, room) == 1  # by the house's door
    tight, wide = (found("W", "boards-on-face", access=a) for a in (HATCH, OPEN))
    hung = [sum(h.typical for h in o.hours if "hung as" in h.note) for o in (tight, wide)]
    assert hung[0] > 1.1 * hung[1]


def test_an_eaves_space_has_no_ground() -> None:
    made = job(face("S", Part.SLOPE, "eaves", "out", "eaves", layers=DECK, tilt=0.6, overhead=True))
    assert crawl_items(made, Rates()) == ()
