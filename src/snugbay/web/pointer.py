"""Places in a document as one text, for the names of form fields (``/faces/K1/outline/width``); setting what is there.

Steps are joined as in JSON Pointer (RFC 6901); an item of a list goes by its name where it has one, else by its number.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from snugbay.base import InputError, Where
from snugbay.web.opened import follow, index_of


def pointer(where: Where) -> str:
    """Return a place as one text."""
    return "".join("/" + str(step).replace("~", "~0").replace("/", "~1") for step in where)


def place(text: str) -> Where:
    """Read a place; raises `InputError` where it is none."""
    if not text.startswith("/") or len(text) > 400:
        raise InputError(f"{text[:60]!r} is no place in a document.", code="web.pointer")
    return tuple(step.replace("~1", "/").replace("~0", "~") for step in text[1:].split("/"))


def as_text(value: object) -> str:
    """Return a value as it stands in a form field."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return repr(value).removesuffix(".0")
    return str(value)


def changed(data: Mapping[str, Any], where: Where, value: object) -> dict[str, Any]:
    """Return a copy of a document with a value set at a place; None takes the field out.

    Tables on the way are made where they are missing; a table left empty is taken out.

    Raises
    ------
    InputError
        If the place cannot be reached: no such item, or it lies inside a plain value.
    """
    copy: dict[str, Any] = _opened(data, where)
    _set(copy, where, value, where)
    return copy


def _opened(node: Any, where: Where) -> Any:
    """Return a copy of everything on the way to a place; what lies beside the way is shared."""
    if isinstance(node, Mapping):
        copy = dict(node)
        if where and str(where[0]) in copy:
            copy[str(where[0])] = _opened(copy[str(where[0])], where[1:])
        return copy
    if not isinstance(node, list):
        return node
    items = list(node)
    at = index_of(items, where[0]) if where else None
    if at is not None:
        items[at] = _opened(items[at], where[1:])
    return items


def _set(node: Any, where: Where, value: object, whole: Where) -> None:
    step, rest = where[0], where[1:]
    if isinstance(node, dict):
        _set_in_table(node, str(step), rest, value, whole)
        return
    at = index_of(node, step) if isinstance(node, list) else None
    if at is None:
        raise InputError("That field is not there any more.", where=whole, hint="Load the page again.", code="web.gone")
    if rest:
        _set(node[at], rest, value, whole)
    elif value is None:
        del node[at]
    else:
        node[at] = value


def _set_in_table(node: dict[str, Any], key: str, rest: Where, value: object, whole: Where) -> None:
    if rest:
        inner = node.get(key)
        if inner is None and value is None:
            return
        if inner is None:
            inner = node[key] = {}
        _set(inner, rest, value, whole)
        if inner == {}:
            del node[key]
    elif value is None:
        node.pop(key, None)
    else:
        node[key] = value


def value_at(data: Mapping[str, Any], where: Where) -> object:
    """Return what stands at a place; None where there is nothing."""
    return follow(data, where)
