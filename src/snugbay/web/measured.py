"""Measure: every reading of a face or shape beside what the survey says about it."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from math import degrees
from typing import Any

from snugbay.base import SnugbayError
from snugbay.document.spacing import own_id, put_name
from snugbay.flow import readings_needed
from snugbay.job import Job
from snugbay.job.space import kinds
from snugbay.survey import AdjustedReading, Survey, Suspect, Unchecked
from snugbay.web.opened import Opened, canonical
from snugbay.web.pointer import place
from snugbay.web.printing import Printer
from snugbay.web.taped import ANGLE, LEAN, LENGTH, Item, Key, Row, State, taped_rows
from snugbay.web.texts import Texts
from snugbay.words import writer_for

CHECKED_FROM = 0.01
"""Redundancy number from which a reading counts as checked (the survey's own option)."""

LEAST_STEPS = 3
"""A fault at a place of no more steps is about a whole face or its outline, not about one reading."""


def items_of(opened: Opened) -> tuple[Item, ...]:
    """Return the spaces, shapes and faces of a document in this order."""
    spaces = [s if isinstance(s, dict) else {} for s in _listed(opened.data.get("spaces"))]
    made = [_space(table, number, spaces, opened.job) for number, table in enumerate(spaces)]
    for group in ("shapes", "faces"):
        for table in _listed(opened.data.get(group)):
            if isinstance(table, dict) and isinstance(table.get("id"), str):
                made.append(_item(group, table, opened.job))
    return tuple(made)


def _listed(value: object) -> list[Any]:
    return value if isinstance(value, list) else []


def _space(table: Mapping[str, Any], number: int, spaces: Sequence[Mapping[str, Any]], job: Job | None) -> Item:
    kind = str(table.get("kind", ""))
    ident = own_id(spaces, number)
    names = table.get("names")
    named = set(names.values()) if isinstance(names, Mapping) else set()
    puts = [p if isinstance(p, Mapping) else {} for p in _listed(table.get("put"))]
    boxes = {put_name(puts, n) for n in range(len(puts))}
    title = str(table.get("title") or (kinds()[kind].title if kind in kinds() else ident))
    faces = [f for f in job.faces if f.from_shorthand] if job is not None else []
    sides = [f.id for f in faces if f.id in named or (f.measures and f.id.startswith(f"{ident}-"))]
    walls = [f.id for f in faces if not f.measures and f.id.rpartition("-")[0] in boxes]
    by = table.get("id")
    return Item(("spaces", by if isinstance(by, str) else str(number)), ident, title, kind, (*sides, *walls))


def _item(group: str, table: Mapping[str, Any], job: Job | None) -> Item:
    ident = str(table["id"])
    outline = table.get("outline") if group == "faces" else table
    shape = str(outline.get("shape", "")) if isinstance(outline, Mapping) else ""
    faces: tuple[str, ...] = ()
    if job is not None:
        own = group == "faces"
        faces = tuple(
            f.id
            for f in job.faces
            if (f.id == ident and bool(f.from_shorthand) != own)
            or (not own and f.from_shorthand and not f.measures and f.id.startswith(f"{ident}-"))
        )
    return Item((group, ident), ident, str(table.get("title") or ident), shape, faces)


def rows_of(item: Item, opened: Opened, texts: Texts, survey: Survey | None, printer: Printer) -> tuple[Row, ...]:
    """Return every reading of an item in the order in which it is taped.

    Parameters
    ----------
    item : Item
        The face or shape.
    opened : Opened
        The document.
    texts, printer
        For people.
    survey : Survey or None
        What the survey says; None where there is none yet.
    """
    told = {} if survey is None else _told(survey, item)
    rows = [replace(row, state=_state(row, told, texts, printer)) for row in taped_rows(item, opened, texts)]
    if survey is None:
        return tuple(rows)
    if item.where[0] == "spaces" and opened.job is not None:
        asked = readings_needed(opened.job, survey, item.faces)
        rows = [_as_asked(row, asked, texts) for row in rows]
    return tuple(_with_suspect(row, survey.suspects, told, texts, printer) for row in rows)


def _as_asked(row: Row, asked: Collection[str], texts: Texts) -> Row:
    """Say of an edge of a space that it is still to be taped only where the survey cannot do without it."""
    if row.field.value or row.key is None or row.field.faults or len(row.key[2]) != 1:
        return row
    wanted = row.key[2][0] in asked
    return replace(row, state=State("wanted", texts("measure.wanted")) if wanted else State("empty", ""))


# --- what the survey says ------------------------------------------------------------------------------------------


def _told(survey: Survey, item: Item) -> dict[Key, AdjustedReading]:
    found: dict[Key, AdjustedReading] = {}
    for face in survey.faces:
        if face.id in item.faces:
            for reading in face.readings:
                found.setdefault(_normal((face.id, reading.reading.kind, reading.reading.corners)), reading)
                found.setdefault((face.id, reading.reading.kind, (reading.reading.name,)), reading)
    return found


def _normal(key: Key) -> Key:
    """Return the key with its corners in one order, where either order means the same."""
    face, kind, corners = key
    if kind in (LENGTH, ANGLE) and corners and corners[0] > corners[-1]:
        return (face, kind, corners[::-1])
    return key


def _state(row: Row, told: Mapping[Key, AdjustedReading], texts: Texts, printer: Printer) -> State:
    if row.field.faults:
        if all(f.code == "document.missing" for f in row.field.faults):
            return State("wanted", texts("measure.wanted"))
        return State("fault", " ".join(fault_text(f) for f in row.field.faults))
    if not row.field.value and not row.check and not row.optional:
        return State("wanted", texts("measure.wanted"))
    found = told.get(_normal(row.key)) if row.key is not None else None
    if found is None or (not row.field.value and found.reading.assumed):
        waiting = row.field.value and row.key is not None
        return State("waiting" if waiting else "empty", texts("measure.waiting") if waiting else "")
    return State(*_words(found, texts, printer))


def _words(found: AdjustedReading, texts: Texts, printer: Printer) -> tuple[str, str]:
    if found.redundancy < CHECKED_FROM:
        return "unchecked", texts("measure.unchecked")
    if found.reading.kind in (ANGLE, LEAN):
        read, fitted = (f"{degrees(x):.1f}°" for x in (found.reading.value, found.adjusted))
    else:
        read, fitted = printer.length(found.reading.value), printer.length(found.adjusted)
    if read == fitted:
        return "checked", texts("measure.agrees")
    return "checked", texts("measure.adjusted", value=fitted)


def _with_suspect(
    row: Row, suspects: Sequence[Suspect], told: Mapping[Key, AdjustedReading], texts: Texts, printer: Printer
) -> Row:
    found = told.get(_normal(row.key)) if row.key is not None and not row.field.faults else None
    for suspect in suspects:
        if found is not None and row.key is not None and suspect.face == row.key[0]:
            should = dict(suspect.should_read).get(found.reading.name)
            if found.reading.name in suspect.readings or should is not None:
                return replace(row, state=State("suspect", _should(found, should, texts, printer)))
    return row


def _should(found: AdjustedReading, should: float | None, texts: Texts, printer: Printer) -> str:
    if should is None:
        return texts("measure.in-doubt")
    angular = found.reading.kind in (ANGLE, LEAN)
    return texts("measure.should-read", value=f"{degrees(should):.1f}°" if angular else printer.length(should))


def still_to_tape(fault: SnugbayError, rows: Sequence[Row], opened: Opened) -> bool:
    """Tell whether a fault only says that something was not typed yet: a field is missing, or a reading is empty."""
    if fault.code == "document.missing":
        return True
    where = canonical(opened.data, fault.where)
    empty = (canonical(opened.data, place(row.field.at)) for row in rows if not row.field.value)
    return len(where) > LEAST_STEPS and any(at[: len(where)] == where for at in empty)


def unchecked_of(item: Item, survey: Survey) -> tuple[Unchecked, ...]:
    """Return what nothing checks on an item's faces."""
    return tuple(u for u in survey.unchecked if u.face in item.faces)


def suspects_of(item: Item, survey: Survey) -> tuple[Suspect, ...]:
    """Return the suspects on an item's faces."""
    return tuple(s for s in survey.suspects if s.face in item.faces)


def fault_text(fault: SnugbayError) -> str:
    """Return what is wrong and what to do, without the place (the text stands beside the field)."""
    return writer_for(fault).error(fault)
