"""From the place that an error names to the line of the user's file: one lookup for every room's errors."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from snugbay.base import InputError, Problems, SnugbayError, Where
from snugbay.document.bounded import toml_data
from snugbay.document.lines import Lines, field_lines, line_of

Path = tuple[str | int, ...]

_NAMES = ("id", "name", "face", "item", "board", "title")
"""Fields by which an entry of a list may be named in a place."""
_READINGS = {
    "rectangle": ("width", "height", "top", "right", "diagonal", "other_diagonal"),
    "triangle": ("bottom", "right", "left", "height"),
}
"""Fields of an outline in the order in which they become readings."""


def located(error: SnugbayError, text: str) -> SnugbayError:
    """Give an error, whatever room raised it, its line in the document.

    Parameters
    ----------
    error : SnugbayError
        With the place it concerns; a place that the document does not hold leaves the line as it is.
    text : str
        The document. What is no TOML leaves the error as it is.

    Returns
    -------
    SnugbayError
        The same error, its line filled in and numbers in its place turned into the names of what they count.
    """
    try:
        data = toml_data(text)
    except InputError:
        return error
    return placed(error, data, field_lines(text))


def placed(error: SnugbayError, data: Mapping[str, Any], lines: Lines) -> SnugbayError:
    """Give an error its line, from a document already read."""
    if isinstance(error, Problems):
        return Problems(placed(e, data, lines) for e in error.errors)
    path = path_of(error.where, data)
    if error.line is None and path:
        error.line = line_of(lines, path)
    error.where = named(error.where, data)
    return error


def path_of(where: Where, data: Mapping[str, Any]) -> Path:
    """Return the deepest field of the document that a place leads to; empty where it leads nowhere."""
    deepest: Path = ()
    for start, rest in _starts(where, data):
        path = _followed(start, rest, data)
        deepest = max(deepest, path, key=len)
    return deepest


def _starts(where: Where, data: Mapping[str, Any]) -> Iterator[tuple[Path, Where]]:
    """Where a place may begin: faces stand under faces, under the shape that made them, or under changes to them."""
    yield (), where
    if len(where) < 2 or where[0] != "faces" or not isinstance(where[1], str):
        return
    face, rest = where[1], where[2:]
    for number, change in enumerate(_tables(data, "changes")):
        if change.get("face") == face:
            yield ("changes", number), rest
    for number, space in enumerate(_tables(data, "spaces")):
        ident = space.get("id", str(space.get("kind", "")).replace(" ", "-"))
        names = space.get("names")
        named_so = isinstance(names, Mapping) and face in names.values()
        for box, put in enumerate(_tables(space, "put")):
            if face.rsplit("-", 1)[0] == put.get("id"):
                yield ("spaces", number, "put", box), rest
        if named_so or face.startswith(f"{ident}-"):
            yield ("spaces", number), rest
    for number, shape in enumerate(_tables(data, "shapes")):
        ident = shape.get("id")
        if isinstance(ident, str) and (face == ident or face.startswith(f"{ident}-")):
            yield ("shapes", number), rest


def _tables(data: Mapping[str, Any], key: str) -> list[Mapping[str, Any]]:
    found = data.get(key)
    return [e if isinstance(e, Mapping) else {} for e in found] if isinstance(found, list) else []


def _followed(start: Path, rest: Where, data: Any) -> Path:
    node = data
    for step in start:
        node = node[step]
    path = list(start)
    steps = list(rest)
    while steps:
        step = steps.pop(0)
        if step == "readings" and isinstance(node, Mapping) and "readings" not in node:
            inner = _reading(node, steps[0] if steps else None)
            path += inner
            break
        at = _entry(node, step)
        if at is None:
            break
        path.append(at)
        node = node[at]
    return tuple(path)


def _reading(node: Mapping[str, Any], which: str | int | None) -> list[str | int]:
    """Return the field that one reading of a face was made from: its outline where no more is known."""
    outline = node.get("outline")
    if not isinstance(outline, Mapping):
        return []
    if "readings" in outline:
        known = isinstance(which, int) and which < len(outline["readings"])
        return ["outline", "readings", which] if known and which is not None else ["outline", "readings"]
    fields = [f for f in _READINGS.get(str(outline.get("shape")), ()) if f in outline]
    if isinstance(which, int) and which < len(fields):
        return ["outline", fields[which]]
    return ["outline"]


def _entry(node: Any, step: str | int) -> str | int | None:
    """Return the key or number under which a step stands in a table or list; None where it does not."""
    if isinstance(node, Mapping):
        return step if step in node else None
    if not isinstance(node, list):
        return None
    if isinstance(step, int):
        return step if -1 < step < len(node) else None
    entries = [(number, entry) for number, entry in enumerate(node) if isinstance(entry, Mapping)]
    for field in _NAMES:
        for number, entry in entries:
            if entry.get(field) == step:
                return number
    return next((number for number, entry in entries if _join_name(entry) == step), None)


def _join_name(entry: Mapping[str, Any]) -> str:
    """Return the name that a join without one goes by."""
    ends = [entry.get(side) for side in ("a", "b")]
    return " to ".join(str(end[0]) for end in ends if isinstance(end, list) and end)


def named(path: Where, data: Any) -> Where:
    """Put the id of a face, zone or shape in the place of its number."""
    out: list[str | int] = []
    node: Any = data
    for step in path:
        at = _entry(node, step)
        node = None if at is None else node[at]
        ident = node.get("id") if isinstance(node, Mapping) else None
        out.append(ident if isinstance(step, int) and isinstance(ident, str) and ident else step)
    return tuple(out)
