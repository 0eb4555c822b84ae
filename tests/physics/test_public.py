"""What the room promises to others: names, documentation, findings that travel."""

from __future__ import annotations

import inspect
import pickle
from types import ModuleType

import pytest

from snugbay import physics
from snugbay.physics import air, buffer, climate, heat, insitu, moisture, season, units

FOLDERS = [air, buffer, climate, heat, moisture, season]


def test_the_room_shows_its_folders() -> None:
    assert physics.__all__ == ["air", "buffer", "climate", "heat", "insitu", "moisture", "season", "units"]
    assert physics.units is units
    assert physics.insitu is insitu


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda m: m.__name__.rsplit(".", 1)[-1])
def test_all_is_what_is_imported(folder: ModuleType) -> None:
    public = {n for n, v in vars(folder).items() if not n.startswith("_") and not inspect.ismodule(v)}
    assert public == set(folder.__all__)


@pytest.mark.parametrize("folder", [*FOLDERS, insitu, units], ids=lambda m: m.__name__.rsplit(".", 1)[-1])
def test_functions_are_documented_with_units(folder: ModuleType) -> None:
    names = getattr(folder, "__all__", [n for n in vars(folder) if not n.startswith("_")])
    for name in names:
        thing = getattr(folder, name)
        if not inspect.isfunction(thing) or not thing.__module__.startswith(folder.__name__):
            continue
        assert thing.__doc__, name
        if len(inspect.signature(thing).parameters) > 2:
            assert "Parameters" in thing.__doc__ or "[" in thing.__doc__, name


def test_results_travel_between_processes() -> None:
    things = [
        heat.combined([0.1, [(0.8, 2.0), (0.2, 1.0)]]),
        climate.find_place("Duluth, MN"),
        season.fuel("gas_old"),
        moisture.strips([(1.0, 1.0)]),
        season.heating(climate.find_place("Duluth, MN"), 10.0),
        heat.dynamic([(0.2, 1.8, 2400, 1000)]),
    ]
    for thing in things:
        assert type(pickle.loads(pickle.dumps(thing))) is type(thing)
