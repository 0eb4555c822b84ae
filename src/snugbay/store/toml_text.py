"""Changing a TOML text to say something else, keeping its comments and the user's layout."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Mapping, MutableMapping
from datetime import date, time
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array

from snugbay.store.merge import Plain, keys_of


def dense(data: Mapping[str, Plain]) -> str:
    """Return plain data as TOML with one line for each top key: for a reader only, quickly made, and no joy to read."""
    return "".join(f"{_quoted(key)} = {_dense(value)}\n" for key, value in data.items())


def _dense(value: Plain) -> str:
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{_quoted(k)} = {_dense(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_dense, value)) + "]"
    if isinstance(value, str):
        return _quoted(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    return value.isoformat() if isinstance(value, (date, time)) else repr(value)


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def rewritten(text: str, target: Mapping[str, Plain]) -> str:
    """Return the text changed so that it reads as ``target``; comments and untouched lines stay.

    Parameters
    ----------
    text : str
        A TOML document.
    target : Mapping
        Plain data that it should say.

    Returns
    -------
    str
        A TOML document that `plain` reads as ``target``.
    """
    try:
        document = tomlkit.parse(text)
        _table(document, target)
        changed = tomlkit.dumps(document)
        if tomllib.loads(changed) == target:
            return changed
    except (TOMLKitError, tomllib.TOMLDecodeError, ValueError, KeyError, TypeError):
        pass  # a layout that cannot be changed in place: written anew below, the data being what counts
    return tomlkit.dumps(dict(target))


def _table(table: MutableMapping[str, Any], target: Mapping[str, Any]) -> None:
    for key in [k for k in table if k not in target]:
        del table[key]
    for key, value in target.items():
        if key not in table:
            table[key] = value
            continue
        old = table[key]
        if isinstance(old, MutableMapping) and isinstance(value, Mapping):
            _table(old, value)
        elif isinstance(old, (AoT, Array)) and isinstance(value, list) and _list(old, value):
            continue
        elif _bare(old) != value or type(_bare(old)) is not type(value):
            table[key] = value


def _bare(item: Any) -> Any:
    return item.unwrap() if hasattr(item, "unwrap") else item


def _list(items: AoT | Array, target: list[Any]) -> bool:
    """Change a list of tables in place; False where it has to be replaced as a whole."""
    if not target or not all(isinstance(x, Mapping) for x in target):
        return False
    old = [_bare(x) for x in items]
    if not old or not all(isinstance(x, Mapping) for x in old):
        return False
    was, now = keys_of(old), keys_of(target)
    if was is None or now is None:
        was = tuple(str(i) for i in range(len(old)))
        now = tuple(str(i) for i in range(len(target)))
    kept = [k for k in was if k in now]
    if kept != [k for k in now if k in was] or now[: len(kept)] != tuple(kept):
        return False
    for at in reversed(range(len(was))):
        if was[at] not in now:
            del items[at]
    for at, value in enumerate(target):
        if at < len(kept):
            _table(items[at], value)
        elif isinstance(items, AoT):
            items.append(tomlkit.item(dict(value)))
        else:
            inline = tomlkit.inline_table()
            inline.update(value)
            items.append(inline)
    return True
