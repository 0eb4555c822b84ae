"""Frozen values to plain JSON data and back, by their type hints; a damaged or outdated text never becomes a value."""

from __future__ import annotations

import dataclasses
import json
import math
import types
import typing
from collections.abc import Mapping
from enum import Enum
from functools import cache
from types import MappingProxyType
from typing import Any, TypeVar, Union

from snugbay.base import StoreError

T = TypeVar("T")

_WORDS = ("inf", "-inf", "nan")


def to_plain(value: Any) -> Any:
    """Return plain JSON data: dataclasses as objects, tuples as arrays, infinite numbers as words (inf, -inf, nan)."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: to_plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {str(k): to_plain(v) for k, v in value.items()}
    if isinstance(value, (tuple, list, frozenset)):
        return [to_plain(v) for v in value]
    return _scalar(value)


def _scalar(value: Any) -> Any:
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, float):
        return float(value) if math.isfinite(value) else str(float(value))
    if value is None or isinstance(value, (str, int)):
        return value
    if hasattr(value, "item"):  # a number of numpy's
        return _scalar(value.item())
    raise StoreError(f"A value of type {type(value).__name__} cannot be kept.", code="store.value")


def to_json(value: Any) -> str:
    """Return a frozen value as JSON text."""
    return json.dumps(to_plain(value), ensure_ascii=False, separators=(",", ":"), allow_nan=False)


def from_json(kind: type[T], text: str) -> T:
    """Read a frozen value back.

    Parameters
    ----------
    kind : type
        The dataclass that was kept.
    text : str
        As `to_json` wrote it.

    Raises
    ------
    StoreError
        If the text is damaged or was written for another shape of the value.
    """
    try:
        return from_plain(kind, json.loads(text))
    except ValueError as error:
        raise _outdated(kind, error) from error


def from_plain(kind: type[T], data: Any) -> T:
    """Read a frozen value back from plain data; raises as `from_json` does."""
    try:
        value = _read(kind, data)
    except (ValueError, TypeError, KeyError) as error:
        raise _outdated(kind, error) from error
    return typing.cast(T, value)


def _outdated(kind: type, error: Exception) -> StoreError:
    return StoreError(
        f"A saved {kind.__name__} does not match this version of Snugbay: {error}.",
        hint="Plan the job again.",
        code="store.outdated",
    )


@cache
def _hints(kind: type) -> dict[str, Any]:
    return typing.get_type_hints(kind)


def _read(kind: Any, data: Any) -> Any:
    if kind is Any or kind is object:
        return data
    origin = typing.get_origin(kind)
    if origin is not None:
        return _read_generic(origin, typing.get_args(kind), data)
    if dataclasses.is_dataclass(kind):
        return _read_dataclass(typing.cast(type, kind), data)
    if isinstance(kind, type) and issubclass(kind, Enum):
        return kind(data)
    return _read_simple(kind, data)


def _read_dataclass(kind: type, data: Any) -> Any:
    if not isinstance(data, dict):
        raise ValueError(f"{kind.__name__} is not an object")
    known = {f.name for f in dataclasses.fields(kind)}
    if unknown := data.keys() - known:
        raise ValueError(f"{kind.__name__} has no {sorted(unknown)[0]}")
    hints = _hints(kind)
    return kind(**{name: _read(hints[name], item) for name, item in data.items()})


def _read_simple(kind: Any, data: Any) -> Any:
    number = isinstance(data, (int, float)) and not isinstance(data, bool)
    if kind is float and (number or data in _WORDS):
        return float(data)  # reads the words too
    if (kind is int and number and isinstance(data, int)) or (kind in (str, bool) and isinstance(data, kind)):
        return data
    if kind is type(None) and data is None:
        return None
    raise ValueError(f"{data!r} is not {getattr(kind, '__name__', kind)}")


def _read_generic(origin: Any, args: tuple[Any, ...], data: Any) -> Any:
    if origin is tuple:
        if not isinstance(data, list):
            raise ValueError("a list is missing")
        if len(args) == 2 and args[1] is Ellipsis:
            return tuple(_read(args[0], x) for x in data)
        if len(args) != len(data):
            raise ValueError("a list has the wrong length")
        return tuple(_read(a, x) for a, x in zip(args, data, strict=True))
    if origin in (Union, types.UnionType):
        return _read_union(args, data)
    if isinstance(origin, type) and issubclass(origin, Mapping):
        return MappingProxyType({_read(args[0], k): _read(args[1], v) for k, v in data.items()})
    if origin is typing.Literal:
        if data not in args:
            raise ValueError(f"{data!r} is not one of {args}")
        return data
    raise ValueError(f"no way to read {origin}")


def _read_union(args: tuple[Any, ...], data: Any) -> Any:
    if data is None and type(None) in args:
        return None
    problems = []
    for arg in args:
        if arg is type(None):
            continue
        try:
            return _read(arg, data)
        except (ValueError, TypeError, KeyError) as error:
            problems.append(str(error))
    raise ValueError("; ".join(problems))
