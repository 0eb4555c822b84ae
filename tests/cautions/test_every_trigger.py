"""Every trigger by name, on and off: the smallest facts that bring it up, and the same without what does."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import pi

import pytest
from tests.booklet.plan_fixture import PLAN
from tests.said import said
from tests.ways.house import RAFTERS, face, job, surveyed

from snugbay.cautions.tables import rules
from snugbay.cautions.triggers import TRIGGERS, Facts
from snugbay.job import Face, Hazard, Hole, HotThing, Job, Part, Tool, You, Zone, ZoneKind
from snugbay.pieces import BoardChoice
from snugbay.ways import Need, Option

ROOM = face("W", Part.WALL, "rooms", "out", "rooms")
SLOPE = face("W", Part.SLOPE, "eaves", "out", "eaves", tilt=0.6, overhead=True, headroom=0.6)
BOARDS = Option(
    "W", "boards", "boards", True, boards=BoardChoice("W", "polyiso-2in", (), 1.2, 2.4),
    needs=(Need("gun-can", 0.4, 0.5, 0.6),), leak_before=2e-3, leak_after=1e-4,
)  # fmt: skip
WOOL = Option("W", "mineral-batts", "wool", True)
KIT = replace(WOOL, way="kit/2in", sprayed=True)
CREW = replace(KIT, way="crew/2in", charge=900.0)


@dataclass(frozen=True)
class Case:
    """What brings a trigger up, and what leaves it silent."""

    on: Facts
    off: Facts


def facts(f: Face, *done: Option, made: Callable[[Job], Job] = lambda j: j, **weighing: object) -> Facts:
    """One face, what is done on it, and changes of the job and of the weighing."""
    weighed = replace(PLAN.weighing, zone_design_c=(), plan=replace(PLAN.weighing.plan, inside=()))
    whole = made(job(f))
    return Facts(whole, surveyed(W=(2.0, 1.0)), replace(weighed, **weighing), done)  # type: ignore[arg-type]


def hole(thing: HotThing | None, label: float | None = None) -> Face:
    return replace(ROOM, holes=(Hole("pipe", 0.5, 0.5, 0.1, 0.1, hot=True, hot_thing=thing, on_label=label),))


def zones(**more: object) -> Callable[[Job], Job]:
    def change(j: Job) -> Job:
        return replace(j, zones=tuple(replace(z, **more) if z.id == "eaves" else z for z in j.zones))  # type: ignore[arg-type]

    return change


def seen(*hazards: Hazard, unseen: tuple[str, ...] = (), fuel: str = "electricity") -> Callable[[Job], Job]:
    def change(j: Job) -> Job:
        place = replace(j.place, fuel=replace(j.place.fuel, name=fuel))
        return replace(j, hazards=hazards, unseen=unseen, place=place)

    return change


def tooled(*tools: Tool) -> Callable[[Job], Job]:
    return lambda j: replace(j, you=You(20.0, tools=tools))


def cold(before: float, after: float) -> tuple[tuple[str, float, float], ...]:
    return (("eaves", before, after),)


CRAWL = face("W", Part.FLOOR, "rooms", "under", "under", tilt=0.0, overhead=True, framing=RAFTERS, headroom=0.8)


def crawl(title: str) -> Callable[[Job], Job]:
    zone = Zone("under", title, ZoneKind.BUFFER, 20.0, 2.0, height=0.8)
    return lambda j: replace(j, zones=(*j.zones, zone))


WRONG = PLAN.survey.suspects[0]

CASES = {
    "always": Case(facts(ROOM), facts(ROOM)),
    "any-work": Case(facts(ROOM, WOOL), facts(ROOM)),
    "cramped": Case(facts(SLOPE, WOOL), facts(ROOM, WOOL)),
    "boards": Case(facts(ROOM, BOARDS), facts(ROOM, WOOL)),
    "saw": Case(facts(ROOM, BOARDS, made=tooled(Tool.JIGSAW)), facts(ROOM, BOARDS, made=tooled(Tool.KNIFE))),
    "gun-foam": Case(facts(ROOM, BOARDS), facts(ROOM, replace(BOARDS, needs=()))),
    "spray-kit": Case(facts(ROOM, KIT), facts(ROOM, CREW)),
    "crew": Case(facts(ROOM, CREW), facts(ROOM, KIT)),
    "foam-in-occupied": Case(facts(ROOM, BOARDS), facts(SLOPE, BOARDS)),
    "foam-in-service": Case(facts(SLOPE, BOARDS), facts(SLOPE, BOARDS, made=zones(storage=True))),
    "foam-boards": Case(facts(ROOM, KIT), facts(ROOM, WOOL)),
    "hot-interruption": Case(facts(hole(HotThing.MASONRY), WOOL), facts(ROOM, WOOL)),
    "hot-unknown": Case(facts(hole(None), WOOL), facts(hole(HotThing.MASONRY), WOOL)),
    "hot-nowhere": Case(
        facts(ROOM, WOOL, made=seen(Hazard.FLUE)), facts(hole(HotThing.MASONRY), WOOL, made=seen(Hazard.FLUE))
    ),
    "hot-label": Case(facts(hole(HotThing.FACTORY_FLUE, 0.03), WOOL), facts(hole(HotThing.FACTORY_FLUE), WOOL)),
    "roof-space": Case(facts(SLOPE, WOOL), facts(ROOM, WOOL)),
    "colder-buffer": Case(
        facts(ROOM, WOOL, zone_design_c=cold(5.0, -2.0)), facts(ROOM, WOOL, zone_design_c=cold(5.0, 5.0))
    ),
    "pipes-frost": Case(
        facts(ROOM, WOOL, made=zones(pipes=True), zone_design_c=cold(5.0, -2.0)),
        facts(ROOM, WOOL, made=zones(pipes=True), zone_design_c=cold(5.0, 3.0)),
    ),
    "tighter": Case(facts(ROOM, BOARDS, made=seen(fuel="gas")), facts(ROOM, BOARDS, made=seen())),
    "low-headroom": Case(facts(SLOPE, WOOL), facts(replace(SLOPE, headroom=1.0), WOOL)),
    "no-go-headroom": Case(facts(replace(SLOPE, headroom=0.3), WOOL), facts(SLOPE, WOOL)),
    "unseen": Case(facts(ROOM, made=seen(unseen=("bats",))), facts(ROOM, made=seen())),
    "suspect-readings": Case(
        replace(facts(ROOM), survey=replace(surveyed(W=(2.0, 1.0)), suspects=(WRONG,))), facts(ROOM)
    ),
    "ground-inside": Case(facts(CRAWL, WOOL, made=crawl("Crawl space")), facts(CRAWL, WOOL, made=crawl("Loft"))),
    "old-insulation": Case(facts(replace(ROOM, old_insulation=True), WOOL), facts(ROOM, WOOL)),
}


def test_there_is_a_case_for_every_trigger() -> None:
    assert set(CASES) == set(TRIGGERS) == {r.trigger for r in rules()}
    assert len(CASES) == 25


@pytest.mark.parametrize("name", sorted(CASES))
def test_a_trigger_comes_up_with_what_brings_it_up(name: str) -> None:
    text = said(TRIGGERS[name](CASES[name].on))
    assert text.endswith(".")
    assert len(text) > 5


@pytest.mark.parametrize("name", sorted(set(CASES) - {"always"}))
def test_a_trigger_is_silent_without_it(name: str) -> None:
    assert TRIGGERS[name](CASES[name].off) == ""


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("foam-in-service", "entered only for service"),
        ("colder-buffer", "on a design day"),
        ("ground-inside", "bare soil"),
        ("hot-unknown", "pipe in W"),
        ("spray-kit", "You would spray W"),
    ],
)
def test_what_it_says_names_what_it_is_about(name: str, words: str) -> None:
    assert words in said(TRIGGERS[name](CASES[name].on))


def test_nobody_works_between_fifteen_inches_and_nothing() -> None:
    """15 in is the border of the two triggers on height (assumption): never both, never neither under 36 in."""
    for height in (0.2, 0.38, 0.3811, 0.9):
        f = facts(replace(SLOPE, headroom=height, tilt=pi / 2), WOOL)
        assert bool(TRIGGERS["low-headroom"](f)) is not bool(TRIGGERS["no-go-headroom"](f))
