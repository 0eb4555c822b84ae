"""What changed in a document since it was planned, field by field, and what of the printed plan still holds."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from snugbay.base import Where, place_text
from snugbay.document.bounded import toml_data

ASIDE = ("log", "temperatures", "loggers", "title")
"""Parts of a document that do not change what is planned: what was done and read since, and its name."""

PLACED = ("faces", "shapes", "spaces", "joins", "boxes")
"""Parts that say where something is: their pieces are cut to them."""
CUT_BY = ("units", "access", "zones")
"""Parts that pieces and sheets depend on everywhere."""


@dataclass(frozen=True)
class Change:
    """One field that changed.

    Attributes
    ----------
    where : Where
        Its place; items of a list by their name.
    before, now : object
        What stood there and stands there; None for nothing.
    """

    where: Where
    before: object
    now: object

    @property
    def text(self) -> str:
        """The change in words."""
        place = place_text(self.where)
        if self.before is None:
            return f"{place} is new: {_said(self.now)}"
        if self.now is None:
            return f"{place} is gone: it was {_said(self.before)}"
        return f"{place} is {_said(self.now)}, it was {_said(self.before)}"


def _said(value: object) -> str:
    if isinstance(value, Mapping):
        name = _name(value)
        return f"{name!r}" if isinstance(name, str) else f"{len(value)} fields"
    if isinstance(value, list):
        return f"{len(value)} entries"
    return f"{value}"[:80]


def question_of(text: str) -> dict[str, Any]:
    """Return the part of a document on which its plan depends, as plain data; raises `InputError` for no TOML."""
    return {key: value for key, value in toml_data(text).items() if key not in ASIDE}


def changed(before: Mapping[str, Any], now: Mapping[str, Any]) -> tuple[Change, ...]:
    """Return every field that differs between two questions."""
    return tuple(_differences((), before, now))


def _name(item: object) -> str | None:
    if isinstance(item, Mapping):
        for key in ("id", "name", "item", "rate", "material", "file"):
            if isinstance(item.get(key), str):
                return str(item[key])
    return None


def _differences(where: Where, before: object, now: object) -> Iterator[Change]:
    before, now = (_opened(a, b) for a, b in ((before, now), (now, before)))
    if before == now:
        return
    if isinstance(before, Mapping) and isinstance(now, Mapping):
        for key in dict.fromkeys((*before, *now)):
            yield from _differences((*where, key), before.get(key), now.get(key))
    elif isinstance(before, list) and isinstance(now, list) and (old := _named(before)) and (new := _named(now)):
        for name in dict.fromkeys((*old, *new)):
            yield from _differences((*where, name), old.get(name), new.get(name))
    elif isinstance(before, list) and isinstance(now, list) and len(before) == len(now):
        for number, (a, b) in enumerate(zip(before, now, strict=True)):
            yield from _differences((*where, number), a, b)
    else:
        yield Change(where, before, now)


def _opened(one: object, other: object) -> object:
    """Return what stands on one side; where nothing does and the other has a table without a name, an empty table."""
    return {} if one is None and isinstance(other, Mapping) and _name(other) is None else one


def _named(items: Sequence[object]) -> dict[str, object]:
    """Return items by their names; empty where one has none or two share one."""
    names = [_name(item) for item in items]
    if None in names or len(set(names)) < len(names):
        return {}
    return {str(n): item for n, item in zip(names, items, strict=True)}


def touched(changes: Sequence[Change], origin: Mapping[str, str], joined: Mapping[str, Sequence[str]]) -> set[str]:
    """Return the faces whose pieces a change may alter.

    Parameters
    ----------
    changes : sequence of Change
        What changed.
    origin : Mapping of str to str
        Face id to the name of what it was written as: itself, or the shape that it comes from.
    joined : Mapping of str to sequence of str
        Face id to the faces that it meets.
    """
    out: set[str] = set()
    for change in changes:
        part = change.where[0]
        if part in CUT_BY or (part in PLACED and len(change.where) < 2):
            return set(origin)
        if part == "joins":
            said = f"{change.before} {change.now}"
            out |= {f for f in origin if f"'{f}'" in said or f"{f}" in said.replace(",", " ").split()}
        elif part in PLACED:
            own = {f for f, o in origin.items() if str(change.where[1]) in (o, f)}
            out |= own.union(*(joined.get(f, ()) for f in own)) if own else set(origin)
    return out & set(origin)


def told(changes: Sequence[Change], faces: set[str], all_faces: Sequence[str], most: int = 6) -> list[str]:
    """Say what changed since the plan was printed, what of it still holds, and what to do."""
    if not changes:
        return []
    lines = ["The document has changed since the plan was printed:"]
    lines += [f"  - {c.text}" for c in changes[:most]]
    lines += [f"  - and {len(changes) - most} more"] if len(changes) > most else []
    rest = [f for f in all_faces if f not in faces]
    if not faces:
        lines.append("Its pieces and sheets hold; its money, hours and choice are those of the figures of then.")
    elif rest:
        lines.append(
            f"Its pieces hold for {', '.join(rest)}; for {', '.join(sorted(faces))} they may not fit any more."
        )
    else:
        lines.append("Its pieces may not fit any more; what is cut keeps its name.")
    lines.append("What follows is by the plan as printed. To plan what is left anew: snugbay replan.")
    return lines
