"""Three-way merge of job documents, field by field.

Two people (or two tabs) start from the same version. Where they touched different fields both changes are kept; where
they touched the same field differently nothing is chosen in silence: the field is reported with both values.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from snugbay.base import Where

Plain = object
"""Text, number, truth, list or dict, as TOML reads them."""


class _Missing:
    """Stands for a field that is not there."""

    def __repr__(self) -> str:
        return "MISSING"


MISSING: Final = _Missing()

_KEYS = ("id", "name", "face", "item", "board")
_READING = ("side", "diagonal", "angle", "square", "along", "offset", "plumb", "level", "twist")


@dataclass(frozen=True)
class Conflict:
    """One field that both sides changed, each in its own way.

    Attributes
    ----------
    where : Where
        The field.
    base, theirs, mine : object
        What both started from, what is saved now, what came in; `MISSING` for a field that is not there.
    """

    where: Where
    base: Plain
    theirs: Plain
    mine: Plain


def identity(table: object) -> str | None:
    """Return what tells a table apart from its neighbours in a list, or None.

    An ``id``, ``name``, ``face``, ``item`` or ``board``; a reading by what it measures (``"side A-B"``); a join by its
    two edges.
    """
    if not isinstance(table, Mapping):
        return None
    for key in _KEYS:
        if isinstance(table.get(key), str):
            return str(table[key])
    for key in _READING:
        if isinstance(table.get(key), str):
            return " ".join(str(x) for x in (key, table[key], table.get("to", "")) if x)
    a, b = table.get("a"), table.get("b")
    if isinstance(a, Sequence) and isinstance(b, Sequence):
        return f"{' '.join(map(str, a))} / {' '.join(map(str, b))}"
    return None


def keys_of(items: Sequence[object]) -> tuple[str, ...] | None:
    """Return the identities of a list of tables, or None where one is missing or two are the same."""
    keys = tuple(identity(item) for item in items)
    if any(k is None for k in keys) or len(set(keys)) != len(keys):
        return None
    return tuple(str(k) for k in keys)


def merge(base: Plain, theirs: Plain, mine: Plain) -> tuple[Plain, tuple[Conflict, ...]]:
    """Merge two changes of the same document.

    Parameters
    ----------
    base, theirs, mine : object
        Plain data as TOML reads it.

    Returns
    -------
    merged : object
        With both sides' changes; where they conflict, with theirs.
    conflicts : tuple of Conflict
        Every field that both changed differently.
    """
    conflicts: list[Conflict] = []
    merged = _value(base, theirs, mine, (), conflicts)
    return merged, tuple(conflicts)


def _same(a: Plain, b: Plain) -> bool:
    """Equal, and of the same kind: 1 is not 1.0 and not true."""
    if isinstance(a, Mapping) and isinstance(b, Mapping):
        return a.keys() == b.keys() and all(_same(a[k], b[k]) for k in a)
    if isinstance(a, list) and isinstance(b, list):
        return len(a) == len(b) and all(_same(x, y) for x, y in zip(a, b, strict=True))
    return type(a) is type(b) and a == b


def _value(base: Plain, theirs: Plain, mine: Plain, where: Where, conflicts: list[Conflict]) -> Plain:
    if _same(mine, base) or _same(mine, theirs):
        return theirs
    if _same(theirs, base):
        return mine
    if isinstance(theirs, Mapping) and isinstance(mine, Mapping):
        return _tables(base if isinstance(base, Mapping) else {}, theirs, mine, where, conflicts)
    if isinstance(theirs, list) and isinstance(mine, list):
        return _lists(base if isinstance(base, list) else [], theirs, mine, where, conflicts)
    conflicts.append(Conflict(where, base, theirs, mine))
    return theirs


def _tables(
    base: Mapping[str, Plain],
    theirs: Mapping[str, Plain],
    mine: Mapping[str, Plain],
    where: Where,
    conflicts: list[Conflict],
) -> dict[str, Plain]:
    merged: dict[str, Plain] = {}
    for key in (
        *theirs,
        *(k for k in mine if k not in theirs),
        *(k for k in base if k not in theirs and k not in mine),
    ):
        value = _value(
            base.get(key, MISSING), theirs.get(key, MISSING), mine.get(key, MISSING), (*where, key), conflicts
        )
        if value is not MISSING:
            merged[key] = value
    return merged


def _lists(
    base: list[Plain], theirs: list[Plain], mine: list[Plain], where: Where, conflicts: list[Conflict]
) -> list[Plain]:
    keys = [keys_of(items) for items in (base, theirs, mine)]
    if all(k is not None for k in keys):
        return _keyed(base, theirs, mine, where, conflicts)
    tables = all(isinstance(x, Mapping) for x in (*base, *theirs, *mine))
    if tables and _starts(theirs, base) and _starts(mine, base):
        return [*theirs, *mine[len(base) :]]
    if tables and len(base) == len(theirs) == len(mine):
        return [
            _value(b, t, m, (*where, i), conflicts) for i, (b, t, m) in enumerate(zip(base, theirs, mine, strict=True))
        ]
    conflicts.append(Conflict(where, base, theirs, mine))
    return theirs


def _starts(items: list[Plain], head: list[Plain]) -> bool:
    return len(items) >= len(head) and _same(items[: len(head)], head)


def _keyed(
    base: list[Plain], theirs: list[Plain], mine: list[Plain], where: Where, conflicts: list[Conflict]
) -> list[Plain]:
    in_base, in_theirs, in_mine = ({str(identity(x)): x for x in items} for items in (base, theirs, mine))
    order = _order(
        list(in_base),
        list(in_theirs),
        list(in_mine),
        lambda: conflicts.append(Conflict((*where, "order"), list(in_base), list(in_theirs), list(in_mine))),
    )
    merged = []
    for key in order:
        value = _value(
            in_base.get(key, MISSING), in_theirs.get(key, MISSING), in_mine.get(key, MISSING), (*where, key), conflicts
        )
        if value is not MISSING:
            merged.append(value)
    return merged


def _order(base: list[str], theirs: list[str], mine: list[str], clash: Callable[[], None]) -> list[str]:
    """Order of the merged list: the side that moved things wins; both moving them differently is a clash."""
    common = {k for k in base if k in theirs and k in mine}
    was, t, m = ([k for k in keys if k in common] for keys in (base, theirs, mine))
    lead, other = (mine, theirs) if t == was and m != was else (theirs, mine)
    if len({tuple(t), tuple(m), tuple(was)}) == 3:
        clash()
    order = list(lead)
    for at, key in enumerate(other):
        if key not in order:  # after the neighbour it follows in its own list
            before = next((k for k in reversed(other[:at]) if k in order), None)
            order.insert(order.index(before) + 1 if before is not None else 0, key)
    return [*order, *(k for k in base if k not in order)]
