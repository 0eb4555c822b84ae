"""Triggers speak of what the job says, and gas comes before all else."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from tests.said import said

from snugbay.base import Effort, Run
from snugbay.cautions.choose import gate_cautions
from snugbay.cautions.triggers import TRIGGERS, Facts, facts
from snugbay.document import example, read
from snugbay.job import Hazard, Hole, HotThing, Part, Zone, ZoneKind
from snugbay.survey import survey
from snugbay.weigh import weigh

RUN = Run(effort=Effort.QUICK)


@cache
def cellar() -> Facts:
    job = read(example("mill-cellar"))
    taped = survey(job, RUN).value
    return facts(job, taped, weigh(job, taped, RUN).value)


def told(fuel: str, seen: tuple[Hazard, ...] = (), unseen: tuple[str, ...] = ()) -> str:
    f = cellar()
    place = replace(f.job.place, fuel=replace(f.job.place.fuel, name=fuel))
    job = replace(f.job, place=place, hazards=seen, unseen=unseen)
    tighter = tuple(replace(o, leak_before=1e-3, leak_after=1e-4) for o in f.done)
    return said(TRIGGERS["tighter"](replace(f, job=job, done=tighter)))


@pytest.mark.parametrize(
    ("fuel", "seen", "unseen", "words"),
    [
        ("gas-condensing", (), (), "burns gas."),
        ("electricity", (), (), ""),
        ("heat-pump", (), (Hazard.OPEN_FLUE_APPLIANCE.value,), "nobody has said"),
        ("heat-pump", (Hazard.OPEN_FLUE_APPLIANCE,), (), "was seen"),
    ],
)
def test_only_what_burns_is_said_to_burn(
    fuel: str, seen: tuple[Hazard, ...], unseen: tuple[str, ...], words: str
) -> None:
    text = told(fuel, seen, unseen)
    assert words in text
    assert bool(text) is bool(words)
    assert "burns heat-pump" not in text
    assert "burns electricity" not in text


def test_one_face_is_spoken_of_as_one() -> None:
    assert TRIGGERS["foam-boards"](cellar()) == "Face C1 carries foam."


def test_gas_comes_first_and_a_fan_that_blows_in_stops_the_work() -> None:
    job = replace(cellar().job, hazards=(Hazard.VERMICULITE, Hazard.FAN, Hazard.GAS_SMELL))
    codes = [c.title for c in gate_cautions(job)]
    assert codes[0] == "Smell of gas, or a carbon monoxide alarm"
    assert "Moist air is blown into the space" in codes


@cache
def with_pipe(hot_thing: HotThing | None, on_label: float | None) -> Facts:
    f = cellar()
    pipe = Hole("stove pipe", 2.0, 1.5, 0.15, 0.15, hot=True, hot_thing=hot_thing, on_label=on_label)
    return replace(f, job=replace(f.job, faces=tuple(replace(face, holes=(pipe,)) for face in f.job.faces)))


@pytest.mark.parametrize(
    ("thing", "label", "told", "unknown", "short"),
    [
        (HotThing.TYPE_B_VENT, None, "stove pipe (type-B vent): keep 25 mm clear.", False, False),
        (HotThing.SINGLE_WALL, None, "keep 152 mm clear.", False, False),
        (HotThing.FACTORY_FLUE, 0.03, "keep 30 mm clear by its label.", False, True),
        (None, None, "what it is nobody has said): keep 152 mm clear.", True, False),
    ],
)
def test_hot_things_are_told_with_their_distance(
    thing: HotThing | None, label: float | None, told: str, unknown: bool, short: bool
) -> None:
    """Figures of the trade safety sheet, section 4, in millimetres."""
    f = with_pipe(thing, label)
    assert told in said(TRIGGERS["hot-interruption"](f))
    assert bool(TRIGGERS["hot-unknown"](f)) is unknown
    assert bool(TRIGGERS["hot-label"](f)) is short


@pytest.mark.parametrize(
    ("seen", "thing", "told"),
    [
        ((Hazard.FLUE,), None, ""),
        ((Hazard.FLUE,), HotThing.MASONRY, ""),
        ((Hazard.FLUE, Hazard.DOWNLIGHTS), HotThing.MASONRY, "recessed lights"),
        ((Hazard.FLUE,), HotThing.LIGHT, "flue or chimney"),
        ((), HotThing.LIGHT, ""),
    ],
)
def test_what_was_seen_hot_but_stands_in_no_face_is_told(
    seen: tuple[Hazard, ...], thing: HotThing | None, told: str
) -> None:
    f = with_pipe(thing, None)
    text = said(TRIGGERS["hot-nowhere"](replace(f, job=replace(f.job, hazards=seen))))
    assert told in text
    assert bool(text) is bool(told)


@pytest.mark.parametrize(
    ("inside", "part", "brought"), [(True, "floor", True), (True, "wall", False), (False, "floor", False)]
)
def test_a_space_over_the_soil_that_comes_inside_gets_a_ground_cover(inside: bool, part: str, brought: bool) -> None:
    f = cellar()
    low = Zone("under", "Under the hall", ZoneKind.BUFFER, 10.0)
    face = replace(f.job.faces[0], warm="inside", cold="under", part=Part(part), overhead=part == "floor")
    job = replace(f.job, zones=(*f.job.zones, low), faces=(face,))
    plan = replace(f.weighing.plan, inside=("under",) if inside else ())
    text = said(TRIGGERS["ground-inside"](replace(f, job=job, weighing=replace(f.weighing, plan=plan))))
    assert bool(text) is brought
    assert ("Under the hall" in text) is brought
