"""Write a job document as TOML."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import tomlkit
from tomlkit.items import InlineTable, Item

from snugbay.document.models import JobDoc


def write(doc: JobDoc) -> str:
    """Return the document as TOML text; reading it gives the same document."""
    data = doc.model_dump(mode="json", exclude_defaults=True)
    head = {"version": doc.version, "name": doc.name, "title": doc.title, "units": doc.units}
    out = tomlkit.document()
    for key, value in {**head, **{k: v for k, v in data.items() if k not in head}}.items():
        out.add(key, _top(value))
    return tomlkit.dumps(out)


def _top(value: Any) -> Item:
    if isinstance(value, Mapping):
        table = tomlkit.table()
        for key, inner in value.items():
            table.add(key, _value(inner))
        return table
    if isinstance(value, list) and value and all(isinstance(v, Mapping) for v in value):
        tables = tomlkit.aot()
        for entry in value:
            table = tomlkit.table()
            for key, inner in entry.items():
                table.add(key, _value(inner))
            tables.append(table)
        return tables
    return _value(value)


def _value(value: Any) -> Item:
    if isinstance(value, Mapping):
        inline: InlineTable = tomlkit.inline_table()
        for key, inner in value.items():
            inline.append(key, _value(inner))
        return inline
    if isinstance(value, list):
        array = tomlkit.array()
        for inner in value:
            array.append(_value(inner))
        if value and isinstance(value[0], Mapping):
            array.multiline(True)
        return array
    made: Item = tomlkit.item(value)
    return made
