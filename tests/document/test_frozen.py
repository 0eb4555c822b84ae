"""Frozen values kept as JSON and read back the same."""

from __future__ import annotations

import math
import types
import typing
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import cache
from typing import Any, Union

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from snugbay.base import StoreError
from snugbay.document.frozen import from_json, to_json
from snugbay.flow import JobPlan
from snugbay.job import Job
from snugbay.sheets import SheetPlan
from snugbay.survey import AdjustedReading, Survey


def _strategy(kind: Any) -> st.SearchStrategy[Any]:
    """Strategy for any frozen value, by its hints; tuples at most two long."""
    simple: dict[Any, st.SearchStrategy[Any]] = {
        str: st.text(max_size=6),
        int: st.integers(-(10**6), 10**6),
        float: st.floats(allow_nan=False),
        bool: st.booleans(),
        type(None): st.none(),
    }
    if kind in simple:
        return simple[kind]
    origin, args = typing.get_origin(kind), typing.get_args(kind)
    if origin is tuple:
        if len(args) == 2 and args[1] is Ellipsis:
            return st.lists(_strategy(args[0]), max_size=1).map(tuple)
        return st.tuples(*(_strategy(a) for a in args))
    if origin in (Union, types.UnionType):
        return st.one_of(*(_strategy(a) for a in args))
    if isinstance(origin, type) and issubclass(origin, Mapping):
        return st.dictionaries(_strategy(args[0]), _strategy(args[1]), max_size=2).map(types.MappingProxyType)
    if isinstance(kind, type) and issubclass(kind, Enum):
        return st.sampled_from(list(kind))
    assert is_dataclass(kind)
    return _built(typing.cast(type, kind))


@cache
def _built(kind: type) -> st.SearchStrategy[Any]:
    """Strategy for a dataclass, put off until it is drawn from: a phrase may hold phrases."""
    hints = typing.get_type_hints(kind)
    assert all(_known(hint) for hint in hints.values())
    made = typing.cast(Any, kind)
    return st.deferred(lambda: st.builds(made, **{f.name: _strategy(hints[f.name]) for f in fields(made)}))


def _known(kind: Any, seen: tuple[Any, ...] = ()) -> bool:
    """Return whether a hint is of a type that can be kept, all that it holds included."""
    if kind in seen or kind in (str, int, float, bool, type(None), Ellipsis):
        return True
    inner = typing.get_args(kind) or (tuple(typing.get_type_hints(kind).values()) if is_dataclass(kind) else ())
    plain = isinstance(kind, type) and (is_dataclass(kind) or issubclass(kind, Enum))
    origin = typing.get_origin(kind)
    kept = plain or origin in (tuple, Union, types.UnionType)
    kept = kept or (isinstance(origin, type) and issubclass(origin, Mapping))
    return kept and all(_known(k, (*seen, kind)) for k in inner)


@settings(max_examples=20, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.data())
@pytest.mark.parametrize("kind", [Survey, SheetPlan, Job])
def test_what_is_kept_reads_back_the_same(kind: type, data: st.DataObject) -> None:
    value = data.draw(_strategy(kind))
    assert from_json(kind, to_json(value)) == value


def test_every_part_of_a_plan_can_be_read() -> None:
    """Build the strategy of the whole plan: fails where a new field has a type that cannot be kept."""
    assert _known(JobPlan)


def test_infinite_and_missing_numbers_survive() -> None:
    reading = '{"kind":"distance","corners":["A","B"],"value":1,"sigma":0.001}'
    text = f'{{"reading":{reading},"adjusted":1,"residual":0,"redundancy":0,"w":"nan","least_blunder":"inf"}}'
    value = from_json(AdjustedReading, text)
    assert value.least_blunder == math.inf
    assert math.isnan(value.w)
    assert isinstance(value.reading.value, float)
    assert from_json(AdjustedReading, to_json(value)).should_read is None


@pytest.mark.parametrize(
    "text",
    [
        "{",
        "[]",
        "{}",
        '{"faces":[],"suspects":[],"unchecked":[],"joins":[],"chi2":"x","chi2_limit":1,"freedom":1}',
        '{"faces":[],"suspects":[],"unchecked":[],"joins":[],"chi2":1,"chi2_limit":1,"freedom":1,"more":2}',
        '{"faces":[],"suspects":[],"unchecked":[],"joins":[],"chi2":1,"chi2_limit":1,"freedom":1.5}',
        '{"faces":{},"suspects":[],"unchecked":[],"joins":[],"chi2":1,"chi2_limit":1,"freedom":1}',
    ],
)
def test_a_damaged_or_outdated_value_is_refused(text: str) -> None:
    with pytest.raises(StoreError) as caught:
        from_json(Survey, text)
    assert caught.value.code == "store.outdated"
