"""Merging two changes of one document."""

from __future__ import annotations

import copy
import tomllib
from typing import Any

import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from snugbay.store import MISSING, dense, merge, merged_text, rewritten

BASE = """# our cottage
name = "ferry"
units = "ft-in"

[[faces]]
id = "N1" # the north knee wall
outline = { shape = "rectangle", width = "88 1/2", height = "46" }

[[faces]]
id = "N2"
outline = { shape = "polygon", corners = ["A", "B", "C"], readings = [
    { side = "A-B", length = "40" }, # pulled twice
    { side = "B-C", length = "30" },
    { side = "C-A", length = "50" },
] }
"""


def test_different_fields_are_both_kept_with_comments() -> None:
    mine = BASE.replace('"88 1/2"', '"88 5/8"')
    theirs = BASE.replace('{ side = "B-C", length = "30" }', '{ side = "B-C", length = "30 1/4" }')
    joined = merged_text(BASE, theirs, mine)
    assert isinstance(joined, str)
    assert '"88 5/8"' in joined
    assert '"30 1/4"' in joined
    assert "# our cottage" in joined
    assert "# the north knee wall" in joined
    assert "# pulled twice" in joined


def test_same_field_is_a_conflict_that_names_it_and_both_values() -> None:
    mine, theirs = BASE.replace('length = "30"', 'length = "31"'), BASE.replace('length = "30"', 'length = "29"')
    conflicts = merged_text(BASE, theirs, mine)
    assert not isinstance(conflicts, str)
    (conflict,) = conflicts
    assert conflict.where == ("faces", "N2", "outline", "readings", "side B-C", "length")
    assert (conflict.base, conflict.theirs, conflict.mine) == ("30", "29", "31")


def test_removing_what_the_other_changed_is_a_conflict() -> None:
    base = {"faces": [{"id": "a", "w": 1}, {"id": "b", "w": 2}]}
    theirs = {"faces": [{"id": "a", "w": 1}, {"id": "b", "w": 3}]}
    mine = {"faces": [{"id": "a", "w": 1}]}
    merged, conflicts = merge(base, theirs, mine)
    assert merged == theirs
    assert [c.where for c in conflicts] == [("faces", "b")]
    assert conflicts[0].mine is MISSING


def test_two_new_faces_and_two_log_lines_are_all_kept() -> None:
    base: dict[str, Any] = {"faces": [{"id": "a"}], "log": [{"hours": 1}]}
    theirs: dict[str, Any] = {"faces": [{"id": "a"}, {"id": "b"}], "log": [{"hours": 1}, {"hours": 2}]}
    mine: dict[str, Any] = {"faces": [{"id": "c"}, {"id": "a"}], "log": [{"hours": 1}, {"hours": 2.5}]}
    merged, conflicts = merge(base, theirs, mine)
    assert conflicts == ()
    assert merged == {
        "faces": [{"id": "c"}, {"id": "a"}, {"id": "b"}],
        "log": [{"hours": 1}, {"hours": 2}, {"hours": 2.5}],
    }


def test_moving_faces_both_ways_is_a_conflict_of_the_order() -> None:
    def faces(order: str) -> dict[str, Any]:
        return {"faces": [{"id": c} for c in order]}

    merged, conflicts = merge(faces("abc"), faces("bac"), faces("acb"))
    assert merged == faces("bac")
    assert [c.where for c in conflicts] == [("faces", "order")]
    assert merge(faces("abc"), faces("abc"), faces("cab")) == (faces("cab"), ())


def test_a_text_that_is_no_toml_conflicts_as_a_whole() -> None:
    conflicts = merged_text(BASE, BASE.replace('"ferry"', '"ferry'), BASE.replace('"ft-in"', '"mm"'))
    assert not isinstance(conflicts, str)
    assert conflicts[0].where == ("document",)


def _any(value: object) -> Any:
    return value


_SCALARS = st.one_of(st.integers(-5, 5), st.booleans(), st.text("ab ", max_size=3), st.floats(-2, 2, width=16))
_FACE: st.SearchStrategy[dict[str, Any]] = st.fixed_dictionaries(
    {"id": st.sampled_from("abcdef").map(_any)},
    optional={"w": _SCALARS, "h": _SCALARS, "more": st.lists(_SCALARS, max_size=3)},
)
_DOCS: st.SearchStrategy[dict[str, Any]] = st.fixed_dictionaries(
    {"name": _SCALARS.map(_any)},
    optional={
        "place": st.dictionaries(st.sampled_from("pqr"), _SCALARS, max_size=3),
        "faces": st.lists(_FACE, max_size=5, unique_by=lambda f: str(f["id"])),
        "log": st.lists(st.fixed_dictionaries({"hours": st.integers(0, 3)}), max_size=3),
    },
)


@given(_DOCS, _DOCS)
def test_one_sided_changes_win_whole(base: dict[str, Any], changed: dict[str, Any]) -> None:
    assert merge(base, changed, copy.deepcopy(base)) == (changed, ())
    assert merge(base, copy.deepcopy(base), changed) == (changed, ())
    assert merge(base, changed, copy.deepcopy(changed)) == (changed, ())


def _leaves(value: Any, where: tuple[str, ...] = ()) -> dict[tuple[str, ...], Any]:
    if isinstance(value, dict):
        return {k: v for key, item in value.items() for k, v in _leaves(item, (*where, key)).items()}
    if isinstance(value, list) and value and all(isinstance(x, dict) and "id" in x for x in value):
        return {k: v for x in value for k, v in _leaves(x, (*where, x["id"])).items()}
    return {where: value} if value != [] else {}


@given(_DOCS, _DOCS, _DOCS)
def test_no_change_is_lost_without_a_conflict(
    base: dict[str, Any], theirs: dict[str, Any], mine: dict[str, Any]
) -> None:
    merged, conflicts = merge(base, theirs, mine)
    at = {c.where for c in conflicts}
    was, got = _leaves(base), _leaves(merged)
    for side in (_leaves(theirs), _leaves(mine)):
        for where, value in side.items():
            if where in was and type(was[where]) is type(value) and was[where] == value:
                continue
            told = any(where[: len(c)] == c or c[: len(where)] == where for c in at)
            kept = where in got and (got[where] == value or where[0] == "log")
            assert told or kept, (where, value, merged, conflicts)
        for where in was.keys() - side.keys():
            if where[0] != "log":
                assert where not in got or any(where[: len(c)] == c or c[: len(where)] == where for c in at)
    if "log" in theirs and "log" in mine and not any(c[0] == "log" for c in at) and isinstance(merged, dict):
        kept_log = merged.get("log", [])
        for side_log in (theirs["log"], mine["log"]):
            for entry in side_log:
                assert entry in kept_log or entry in base.get("log", [])


@given(_DOCS, _DOCS)
def test_a_rewritten_text_says_the_target(old: dict[str, Any], new: dict[str, Any]) -> None:
    text = "# kept at the top\n" + tomlkit.dumps(old)
    changed = rewritten(text, new)
    assert tomllib.loads(changed) == new
    assert rewritten(text, old) == text


SIMPLE = st.one_of(
    st.text(st.characters(exclude_categories=["Cs"])),
    st.booleans(),
    st.integers(-(2**63), 2**63 - 1),
    st.floats(allow_nan=False),
    st.dates(),
    st.times(),
    st.datetimes(),
)
NESTED = st.recursive(SIMPLE, lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text("a b.\"'é#="), inner))


@given(st.dictionaries(st.text('abc ."é'), NESTED, max_size=5))
def test_dense_text_reads_back_the_same(data: dict[str, Any]) -> None:
    assert tomllib.loads(dense(data)) == data
