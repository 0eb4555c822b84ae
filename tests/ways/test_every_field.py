"""Every field of a job that is accepted has an effect: each is changed and some answer must move."""

from __future__ import annotations

import tomllib
from copy import deepcopy
from functools import cache
from typing import Any

import pytest
import tomlkit
from pydantic import BaseModel
from tests.ways.everything import RUN

from snugbay.document import read
from snugbay.document.models import AccessDoc, PlaceDoc, WishesDoc, YouDoc, ZoneDoc
from snugbay.document.shapes import DetailFields
from snugbay.job import Job
from snugbay.pieces import BoardChoice, Fitting, pieces_for_face
from snugbay.survey import survey
from snugbay.ways.found import found_state, ground
from snugbay.ways.offer import offers
from snugbay.ways.reading import all_ways
from snugbay.ways.resources import shelf
from snugbay.weigh.money import money
from snugbay.weigh.question import problem
from snugbay.weigh.values import PlanPoint

PLAIN = """
version = 1
name = "fields"
units = "mm"
[place]
climate = "Portland, ME"
currency = "USD"
blower_door_m3h = 3000
[[zones]]
id = "rooms"
kind = "inside"
[[zones]]
id = "eaves"
title = "Eaves"
kind = "buffer"
volume_m3 = 6
[[zones]]
id = "out"
kind = "outside"
[access]
width = 560
height = 760
clear_run = 1500
[stock]
sheets = [{ board = "polyiso-2in" }, { board = "polyiso-1in" }]
[you]
days = 9
[[faces]]
id = "K"
part = "knee wall"
between = ["rooms", "eaves"]
layers = [{ material = "gypsum", thickness = 13 }]
framing = { spacing = 400, width = 38, depth = 140 }
openings = [{ name = "hatch", x = 1500, y = 100, width = 560, height = 760, plug = true }]
[faces.outline]
shape = "rectangle"
width = 2600
height = 1170
right = 1170
top = 2600
diagonal = 2851
other_diagonal = 2851
[[faces]]
id = "S"
part = "rafter slope"
between = ["eaves", "out"]
board_side = "eaves"
tilt = "40"
layers = [{ material = "board-sheathing", thickness = 19 }]
framing = { spacing = 400, width = 38, depth = 140 }
[faces.outline]
shape = "rectangle"
width = 2600
height = 1800
right = 1800
top = 2600
diagonal = 3162
other_diagonal = 3162
"""

PLACE: dict[str, object] = {
    "climate": "Boston, MA",
    "months": [{"temperature": f"{t} C", "humidity": 80} for t in (-9, -8, -3, 3, 9, 14, 18, 17, 12, 6, 1, -6)],
    "indoor": "17 C",
    "humidity_class": 5,
    "fuel": "electricity",
    "fuel_price": 0.5,
    "efficiency": 0.5,
    "carbon": 1.0,
    "code_zone": "8",
    "design_temperature": "-30 C",
    "blower_door_m3h": 1500,
    "house_volume_m3": 900,
    "storeys": 3,
    "shielding": 1,
    "currency": "GBP",
}
ZONE: dict[str, object] = {
    "volume_m3": 12,
    "air_changes": 9,
    "may_come_inside": True,
    "pipes": True,
    "storage": True,
    "height": 500,
}
ACCESS: dict[str, object] = {
    "width": 300,
    "height": 400,
    "clear_run": 700,
    "clear_height": 450,
    "sill": 300,
    "wall_thickness": 400,
    "carry": 40000,
    "cut_inside": True,
}
YOU: dict[str, object] = {
    "hour_worth": 90,
    "hands": 2,
    "tools": ["reciprocating saw"],
    "days": 3,
    "hours_per_day": 3,
    "skill": "practised",
    "sprays": False,
}
WISHES: dict[str, object] = {
    "objective": "fewest hours",
    "years": 5,
    "discount_percent": 9,
    "budget": 400,
    "hours": 12,
    "air_barrier": False,
    "foil": "cold",
    "layers": 1,
    "target_r": "R-30",
    "incentive": 100,
    "never": ["kit"],
    "price_growth_percent": 5,
    "in_hands": True,
    "plug_edges": "all four",
    "cover_strips": 25,
}
FACE: dict[str, object] = {
    "layers": [{"material": "plywood", "thickness": 18}],
    "framing": {"spacing": 600, "width": 38, "depth": 89},
    "fasten_to": "masonry",
    "depth": 60,
    "headroom": 500,
    "vent_space": True,
    "in_front": "drawers",
    "old_insulation": True,
    "must": "kit",
    "never": ["batts"],
    "rough_edges": ["A-B"],
    "notches": [{"name": "tie", "edge": "C-D", "at": 500, "width": 40, "depth": 90}],
    "holes": [{"name": "pipe", "x": 400, "y": 500, "width": 60, "height": 60}],
    "openings": [],
}
TABLES = {"place": PLACE, "zones": ZONE, "access": ACCESS, "you": YOU, "wishes": WISHES, "faces": FACE}
MODELS: dict[str, type[BaseModel]] = {
    "place": PlaceDoc,
    "zones": ZoneDoc,
    "access": AccessDoc,
    "you": YouDoc,
    "wishes": WishesDoc,
    "faces": DetailFields,
}
NAMES = {("zones", n) for n in ("id", "title", "kind")} | {("place", "weather_file")}
"""Fields that name a thing; a weather file takes the place of the climate when it is read from beside the document."""
AT = {"zones": 1, "faces": 0}
ROOF = frozenset({"vent_space"})
"""Fields that mean something on a roof alone."""


def changed(table: str, field: str, value: object) -> str:
    data: dict[str, Any] = deepcopy(tomllib.loads(PLAIN))
    held = data.setdefault(table, {})
    if table in AT:
        held = held[1 if field in ROOF else AT[table]]
    held[field] = value
    if field == "months":
        del held["climate"]
    return tomlkit.dumps(data)


def answers(job: Job) -> tuple[object, ...]:
    """What the survey, the offers, the question and the pieces say of a job."""
    taped = survey(job, RUN).value
    base = ground(job, taped)
    ways = all_ways((), base.rates)
    found = offers(base, taped, RUN, ways).value
    p, told = problem(base, found, shelf(job, ways, base.rates))
    point = PlanPoint((), (), (), 900.0, 20.0, 100.0, 1000.0, 2000.0)
    try:
        choice = BoardChoice("K", "polyiso-2in", ((0.0508, Fitting.IN_BAYS),), 1.2192, 2.4384, job.wishes.covers)
        pieces: object = pieces_for_face(job, taped, choice, RUN)
    except Exception as error:
        pieces = str(error)
    limits = (p.limits, p.worth, p.kwh_worth, p.objective, p.air_barrier, p.deal, p.movable, p.drop)
    deep = tuple(tuple(f.deep) for f in p.faces)
    return found, limits, deep, found_state(base), money(job, point), pieces, tuple(f.code for f in told)


@cache
def plain() -> tuple[object, ...]:
    return answers(read(PLAIN))


def test_no_field_is_forgotten() -> None:
    for table, model in MODELS.items():
        fields = {f for f in model.model_fields if (table, f) not in NAMES}
        assert fields == set(TABLES[table]), table


@pytest.mark.parametrize(("table", "field"), [(t, f) for t, fields in TABLES.items() for f in fields])
def test_changing_a_field_changes_an_answer(table: str, field: str) -> None:
    job = read(changed(table, field, TABLES[table][field]))
    assert answers(job) != plain()
