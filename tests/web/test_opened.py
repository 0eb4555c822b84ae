"""A document however unfinished: what can be read of it, what is wrong, and changing single fields."""

from __future__ import annotations

import copy
import tomllib
from typing import Any

import pytest
import tomlkit
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.told_by_faces import COTTAGE_BY_FACES

from snugbay.base import InputError
from snugbay.document import EXAMPLES, example, read
from snugbay.web.forms import read_value, spec_at, specs
from snugbay.web.opened import canonical, follow, index_of, narrowed, open_text
from snugbay.web.pointer import as_text, changed, place, pointer

COTTAGE = COTTAGE_BY_FACES


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_whole_document_reads_as_the_reader_reads_it(name: str) -> None:
    opened = open_text(example(name))
    assert opened.whole
    assert opened.job == read(example(name))


@pytest.mark.parametrize("text", ["", "x = ", "not toml at all", "faces = 3", 'version = 1\nname = "x"\n', "\x00"])
def test_nothing_a_user_can_type_breaks_it(text: str) -> None:
    opened = open_text(text)
    assert opened.faults
    assert not opened.whole


def test_a_reading_that_cannot_be_read_leaves_the_rest() -> None:
    text = COTTAGE.replace('top = "14\' 2-1/8"', 'top = "14\' 2-1/"')
    opened = open_text(text)
    where = ("faces", "K1", "outline", "top")
    assert [f.line for f in opened.faults_at(where)] != [None]
    assert opened.job is not None
    assert len(opened.job.faces) == len(read(COTTAGE).faces)
    assert not opened.faults_at(("faces", "F1"))


def test_a_face_that_cannot_be_read_leaves_the_others() -> None:
    opened = open_text(COTTAGE.replace('part = "gable"', 'part = "turret"'))
    assert opened.job is not None
    assert "G1" not in {f.id for f in opened.job.faces}
    assert opened.faults_at(("faces", "G1"))


def _places(data: Any, where: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    if isinstance(data, dict):
        return [p for k, v in data.items() for p in _places(v, (*where, k))]
    if isinstance(data, list) and data and all(isinstance(x, dict) for x in data):
        return [p for n, x in enumerate(data) for p in _places(x, (*where, n))]
    return [where]


PLACES = _places(tomllib.loads(COTTAGE))


@settings(max_examples=30, deadline=None)
@given(st.sampled_from(PLACES), st.sampled_from(["???", "", "12 34 56", "-1", [], {"a": 1}, 10**9]))
def test_any_field_broken_is_named_or_harmless(where: tuple[str | int, ...], value: Any) -> None:
    data = tomllib.loads(COTTAGE)
    node: Any = data
    for step in where[:-1]:
        node = node[step]
    node[where[-1]] = copy.deepcopy(value)
    opened = open_text(tomlkit.dumps(data))
    if opened.faults:
        near = [canonical(opened.data, f.where) for f in opened.faults]
        assert all(f.what for f in opened.faults)
        assert near
    else:
        assert opened.job is not None


def test_one_face_by_itself() -> None:
    data = tomllib.loads(COTTAGE)
    alone = narrowed(data, ("shapes", "B1"))
    assert alone.job is not None
    assert {f.id for f in alone.job.faces} == {"B1-back", "B1-left", "B1-right", "B1-top", "B1-bottom"}
    data["faces"][0]["outline"]["width"] = "14' 2-1/"
    broken = narrowed(data, ("faces", "K1"))
    assert broken.faults_at(("faces", "K1", "outline", "width"))
    assert narrowed(data, ("faces", "nobody")).job is None


@given(st.lists(st.text(min_size=1, max_size=8).filter(lambda t: t.strip() == t), min_size=1, max_size=5))
def test_a_place_reads_back(steps: list[str]) -> None:
    assert place(pointer(tuple(steps))) == tuple(steps)


@pytest.mark.parametrize("text", ["", "faces/K1", "/" + "x" * 500])
def test_what_is_no_place_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        place(text)


def test_setting_and_taking_out() -> None:
    data = {"faces": [{"id": "K1", "outline": {"width": "88"}}]}
    where = ("faces", "K1", "outline", "width")
    assert changed(data, where, "90") == {"faces": [{"id": "K1", "outline": {"width": "90"}}]}
    assert changed(data, where, None) == {"faces": [{"id": "K1"}]}
    assert changed(data, ("faces", "K1", "framing", "depth"), "5")["faces"][0]["framing"] == {"depth": "5"}
    assert changed(data, ("faces", "K1", "framing", "depth"), None) == data
    assert changed(data, ("faces", "K1"), None) == {"faces": []}
    assert data["faces"][0]["outline"] == {"width": "88"}  # the original is untouched
    for gone in (("faces", "N9", "outline", "width"), ("faces", "K1", "id", "x")):
        with pytest.raises(InputError):
            changed(data, gone, "1")


def test_items_of_a_list_go_by_name_or_number() -> None:
    items = [{"name": "rafter"}, {"name": "pipe"}]
    assert (index_of(items, "pipe"), index_of(items, "0"), index_of(items, 1)) == (1, 0, 1)
    assert (index_of(items, "nobody"), index_of(items, "7"), index_of(items, -1)) == (None, None, None)
    assert follow({"a": items}, ("a", "pipe", "name")) == "pipe"
    assert follow({"a": items}, ("a", "pipe", "name", "x")) is None


def test_what_each_field_holds() -> None:
    data = tomllib.loads(COTTAGE)
    kinds = {
        ("faces", "K1", "outline", "width"): "length",
        ("shapes", "B1", "more", "back A-C"): "length",
        ("shapes", "B1", "more", "back A-B-C"): "angle",
        ("faces", "S1", "tilt"): "angle",
        ("place", "indoor"): "temperature",
        ("wishes", "target_r"): "resistance",
        ("you", "sprays"): "yes-no",
        ("you", "tools"): "many",
        ("wishes", "never"): "list",
        ("you", "hands"): "whole",
        ("wishes", "budget"): "number",
        ("wishes", "objective"): "choice",
        ("title",): "text",
    }
    assert {w: spec_at(data, w).kind for w in kinds} == kinds
    for where in (
        ("nope",),
        ("faces", "K1", "outline", "shape"),
        ("faces", "K1", "outline", "rafter"),
        ("place", "x", "y"),
    ):
        with pytest.raises(InputError):
            spec_at(data, where)
    assert [s.name for s in specs("TriangleDoc") if s.required] == ["bottom", "right", "left"]


@pytest.mark.parametrize(
    ("where", "text", "value"),
    [
        (("faces", "K1", "outline", "width"), " 1840 ", 1840),
        (("faces", "K1", "outline", "width"), "88 1/2", "88 1/2"),
        (("faces", "K1", "outline", "width"), "2.25", "2.25"),
        (("faces", "K1", "outline", "width"), "007", "007"),
        (("faces", "K1", "outline", "width"), "", None),
        (("wishes", "budget"), "12,5", 12.5),
        (("wishes", "budget"), "lots", "lots"),
        (("you", "sprays"), "no", False),
        (("you", "sprays"), "perhaps", "perhaps"),
        (("wishes", "never"), "kit, crew ,", ["kit", "crew"]),
        (("title",), "1840", "1840"),
    ],
)
def test_what_is_typed_means(where: tuple[str, ...], text: str, value: object) -> None:
    found = read_value(spec_at(tomllib.loads(COTTAGE), where), text)
    assert found == value
    assert type(found) is type(value)


def test_values_in_fields() -> None:
    assert [as_text(v) for v in (None, True, False, 20.0, 0.5, 3, "x")] == ["", "yes", "no", "20", "0.5", "3", "x"]
