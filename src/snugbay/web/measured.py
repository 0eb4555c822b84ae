"""Measure: every reading of a face or shape beside what the survey says about it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import degrees
from typing import Any

from snugbay.base import SnugbayError
from snugbay.job import Job
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
    """Return the faces and shapes of a document in the order of the job's faces: shapes first, as they expand."""
    made = []
    for group in ("shapes", "faces"):
        for table in opened.data.get(group, ()) if isinstance(opened.data.get(group), list) else ():
            if isinstance(table, dict) and isinstance(table.get("id"), str):
                made.append(_item(group, table, opened.job))
    return tuple(made)


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
            or (not own and f.from_shorthand and f.id.startswith(f"{ident}-"))
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
    return tuple(_with_suspect(row, survey.suspects, told, texts, printer) for row in rows)


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
    if not row.field.value and not row.check:
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
