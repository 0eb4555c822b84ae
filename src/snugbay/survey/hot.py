"""How far boards keep off a hot thing: by what it is, by its label, or the widest where nobody said."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType

from snugbay.base import DataError, Fact, Finding, Said, Weight
from snugbay.base.facts import FaceRef, Length, Name, names
from snugbay.job import Face, Hole, HotThing, Notch
from snugbay.tape import INCH_M

Hot = Notch | Hole
Write = Callable[[float], str]
"""Writes a length in m."""


@dataclass(frozen=True)
class Clear:
    """One row of the table.

    Attributes
    ----------
    thing : HotThing
        What it is.
    clear : float
        Distance that boards and foam keep. [m]
    label : bool
        True where such things carry a label or plate with a distance of its own.
    source, status, note : str
        Where it comes from and how far it can be trusted.
    """

    thing: HotThing
    clear: float
    label: bool
    source: str
    status: str
    note: str


@cache
def clearances() -> Mapping[HotThing, Clear]:
    """Return the row of every hot thing, from ``data/survey/hot.toml``.

    Raises
    ------
    DataError
        If the bundled table is damaged or leaves a thing out.
    """
    text = resources.files("snugbay").joinpath("data/survey/hot.toml").read_text("utf-8")
    rows = {}
    for row in tomllib.loads(text)["hot"]:
        thing = HotThing(row["thing"])
        if not 0.0 < row["clear_in"] <= 36.0 or thing in rows:
            raise DataError(f"The distance from {thing.value!r} is impossible or given twice.", where=("hot", thing))
        rows[thing] = Clear(thing, row["clear_in"] * INCH_M, row["label"], row["source"], row["status"], row["note"])
    if set(rows) != set(HotThing):
        raise DataError("The table of hot things leaves some out.", where=("hot",))
    return MappingProxyType(rows)


def widest() -> float:
    """Return the greatest distance of the table, kept where nobody said what the thing is. [m]"""
    return max(row.clear for row in clearances().values())


def by_table(item: Hot) -> float:
    """Return the distance that the table asks for round a hot thing. [m]"""
    return clearances()[item.hot_thing].clear if item.hot_thing is not None else widest()


def kept_clear(item: Hot) -> float | None:
    """Return how far boards and foam keep off a thing, None where it is not hot. [m]

    Notes
    -----
    What its own label says, else the table's figure for what it is, else the widest of the table.
    """
    if not item.hot:
        return None
    return item.on_label if item.on_label is not None else by_table(item)


def hot_items(face: Face) -> tuple[Hot, ...]:
    """Return the hot things of a face."""
    items: tuple[Hot, ...] = (*face.notches, *face.holes)
    return tuple(item for item in items if item.hot)


def distance(metres: float, write: Write) -> str:
    """Return a distance with its unit, however lengths are written."""
    text = write(metres)
    return f"{text} mm" if text.replace(".", "").isdigit() else text


def hot_text(item: Hot, write: Write) -> str:
    """Return what a hot thing is and how far to keep off it, in words."""
    kept = kept_clear(item)
    assert kept is not None
    what = item.hot_thing.value if item.hot_thing is not None else "what it is nobody has said"
    by = " by its label" if item.on_label is not None else ""
    said = f"{item.name} ({what})" if what != item.name else item.name
    return f"{said}: keep {distance(kept, write)} clear{by}"


HOT_WORDS = ("flue", "chimney", "stovepipe", "stove pipe")
"""Names of things that are hot, whether the document says so or not."""


def label_is_short(item: Hot) -> bool:
    """Return whether a label is said to allow less than the table."""
    return item.on_label is not None and item.on_label < by_table(item) - 1e-6


def hot_findings(face: Face) -> tuple[Finding, ...]:
    """Return what must be found out about a face's hot things, and labels that ask for less than the table."""
    out = []
    items: tuple[Hot, ...] = (*face.notches, *face.holes)
    for item in items:
        where = ("faces", face.id, "notches" if isinstance(item, Notch) else "holes", item.name)
        own: dict[str, Fact] = {"face": FaceRef(face.id), "item": Name(item.name)}
        if not item.hot and any(word in item.name.lower() for word in HOT_WORDS):
            out.append(Finding.of("survey.hot-unsaid", Weight.WARN, where, **own))
        if item.hot and item.hot_thing is None:
            labelled = item.on_label is not None
            why = Said.of("survey.said.by-its-label") if labelled else Said.of("survey.said.widest")
            kept, things = Length(kept_clear(item) or widest()), names((t.value for t in HotThing), "comma")
            out.append(Finding.of("survey.hot-unknown", Weight.WARN, where, **own, kept=kept, why=why, things=things))
        if label_is_short(item):
            out.append(Finding.of("survey.hot-label", Weight.WARN, where, **own, **_short(item)))
    return tuple(out)


def _short(item: Hot) -> dict[str, Fact | None]:
    rare = item.hot_thing is not None and not clearances()[item.hot_thing].label
    return {
        "kept": Length(kept_clear(item) or 0.0),
        "usual": Length(by_table(item)),
        "thing": Said.of("survey.said.a-thing", thing=Name(item.hot_thing.value))
        if item.hot_thing is not None
        else Said.of("survey.said.unnamed-thing"),
        "rare": Said.of("survey.said.carries-no-label") if rare else None,
    }
