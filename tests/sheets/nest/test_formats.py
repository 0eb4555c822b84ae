"""The two plain formats: read with all faults named at their places, written so that they read back."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from snugbay.base import InputError, Problems, Run, SnugbayError
from snugbay.sheets import Budget, instances_from_json, lay, solution_to_json

GOOD: dict[str, Any] = {
    "name": "two",
    "sheet": [48, 96],
    "kerf": 0.125,
    "pieces": [[[0, 0], [10, 0], [10, 20], [0, 20]], [[0, 0], [0, 9], [9, 0]]],
}


def changed(**fields: object) -> dict[str, Any]:
    entry = copy.deepcopy(GOOD)
    entry.update(fields)
    return entry


def test_reads_one_or_a_list() -> None:
    assert instances_from_json(GOOD) == instances_from_json([GOOD])
    found = instances_from_json(GOOD)[0]
    assert (found.sheet.width, found.sheet.height, found.kerf, found.free) == (48.0, 96.0, 0.125, False)
    assert found.rotations == (0, 90, 180, 270)


def test_clockwise_outlines_are_turned_round() -> None:
    assert instances_from_json(GOOD)[0].pieces[1] == ((9.0, 0.0), (0.0, 9.0), (0.0, 0.0))


def test_free_and_some_quarter_turns() -> None:
    assert instances_from_json(changed(rotations="free"))[0].free
    assert instances_from_json(changed(rotations=[180, 0]))[0].rotations == (0, 180)


@pytest.mark.parametrize(
    ("fields", "place"),
    [
        ({"name": ""}, (0, "name")),
        ({"name": 3}, (0, "name")),
        ({"sheet": [48]}, (0, "sheet")),
        ({"sheet": [48, -1]}, (0, "sheet")),
        ({"kerf": -0.1}, (0, "kerf")),
        ({"kerf": "thin"}, (0, "kerf")),
        ({"rotations": [45]}, (0, "rotations")),
        ({"pieces": []}, (0, "pieces")),
        ({"pieces": [[[0, 0], [1, 0]]]}, (0, "pieces", 0)),
        ({"pieces": [[[0, 0], [1, 0], [1, float("nan")]]]}, (0, "pieces", 0, 2)),
        ({"pieces": [[[0, 0], [2, 2], [2, 0], [0, 2]]]}, (0, "pieces", 0)),
        ({"pieces": [[[0, 0], [1, 0], [2, 0]]]}, (0, "pieces", 0)),
        ({"pieces": [[[0, 0], [1, 0], True]]}, (0, "pieces", 0, 2)),
    ],
)
def test_a_fault_is_named_at_its_place(fields: dict[str, object], place: tuple[str | int, ...]) -> None:
    with pytest.raises(InputError) as caught:
        instances_from_json([changed(**fields)])
    assert caught.value.where == place
    assert caught.value.hint


def test_all_faults_together() -> None:
    with pytest.raises(Problems) as caught:
        instances_from_json([changed(kerf=-1), changed(name="b", sheet=None), 7, changed(name="c"), changed(name="c")])
    places = {e.where for e in caught.value.errors if isinstance(e, SnugbayError)}
    assert places == {(0, "kerf"), (1, "sheet"), (2,), (1, "name")} or len(places) == 4


def test_nothing_to_read() -> None:
    with pytest.raises(InputError):
        instances_from_json([])


def test_a_solution_has_every_piece_once() -> None:
    instance = instances_from_json(GOOD)[0]
    plain = solution_to_json([lay(instance, Budget(10_000), Run()).value])
    placed = [p for sheet in plain["two"]["sheets"] for p in sheet]
    assert sorted(p["piece"] for p in placed) == [0, 1]
    assert all(set(p) == {"piece", "x", "y", "angle"} for p in placed)
    assert plain["two"]["ended_by"] in {"bound", "work"}
