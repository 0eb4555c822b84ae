"""Find the line of a field in a TOML text, so that an error can point at it."""

from __future__ import annotations

import re
from collections.abc import Sequence

_HEADER = re.compile(r"^\s*(\[\[?)\s*([^\[\]]+?)\s*\]\]?\s*(?:#.*)?$")
_KEY = re.compile(r"^\s*(\"[^\"]+\"|'[^']+'|[A-Za-z0-9_\-]+(?:\s*\.\s*[A-Za-z0-9_\-]+)*)\s*=")


def field_lines(text: str) -> dict[tuple[str | int, ...], int]:
    """Return the line, counted from 1, of every table header and key: ``("faces", 0, "outline") -> 12``."""
    lines: dict[tuple[str | int, ...], int] = {}
    counts: dict[tuple[str | int, ...], int] = {}
    table: tuple[str | int, ...] = ()
    for number, line in enumerate(text.splitlines(), start=1):
        header = _HEADER.match(line)
        if header:
            table = _resolve(_split(header[2]), counts, is_list=header[1] == "[[")
            lines.setdefault(table, number)
            continue
        key = _KEY.match(line)
        if key:
            lines.setdefault((*table, *_split(key[1])), number)
    return lines


def _split(dotted: str) -> tuple[str, ...]:
    return tuple(part.strip().strip("\"'") for part in dotted.split("."))


def _resolve(
    names: tuple[str, ...], counts: dict[tuple[str | int, ...], int], *, is_list: bool
) -> tuple[str | int, ...]:
    """Turn a header's names into a path with the index of each array of tables on the way."""
    path: tuple[str | int, ...] = ()
    for position, name in enumerate(names):
        path = (*path, name)
        if position == len(names) - 1 and is_list:
            counts[path] = counts.get(path, -1) + 1
        if path in counts:
            path = (*path, counts[path])
    return path


def line_of(lines: dict[tuple[str | int, ...], int], path: Sequence[str | int]) -> int | None:
    """Return the line of a field, or of the nearest table or key round it."""
    for length in range(len(path), 0, -1):
        found = lines.get(tuple(path[:length]))
        if found is not None:
            return found
    return None
