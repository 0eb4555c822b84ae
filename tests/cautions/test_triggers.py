"""Triggers speak of what the job says, and gas comes before all else."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from snugbay.base import Effort, Run
from snugbay.cautions.choose import gate_cautions
from snugbay.cautions.triggers import TRIGGERS, Facts, facts
from snugbay.document import example, read
from snugbay.job import Hazard
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
    return TRIGGERS["tighter"](replace(f, job=job, done=tighter))


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
