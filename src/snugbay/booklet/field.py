"""Blank field sheets: empty sketches and lines to write readings on, in writing order."""

from __future__ import annotations

from collections.abc import Sequence

from snugbay.base import InputError
from snugbay.booklet.texts import catalogue, say
from snugbay.booklet.typesetting import pdf
from snugbay.draw import Scene
from snugbay.draw.blank import blank_sketch
from snugbay.job import Units
from snugbay.job.field_sheets import FieldSheet, field_readings, sheet_kinds


def field_sheet_pdf(kinds: Sequence[str], units: str) -> bytes:
    """Print blank field sheets for a set of shorthands, one after another.

    Parameters
    ----------
    kinds : sequence of str
        Shorthands, ``"niche-box"``, ``"gable-triangle"``; a name given twice gives two sheets.
    units : str
        ``"ft-in"`` (letter paper) or ``"mm"`` (A4).

    Raises
    ------
    UnknownName
        If a shorthand has no field sheet.
    InputError
        If no shorthand is named or the units are unknown.
    """
    if not kinds:
        raise InputError("No field sheet is named.", hint="Sheets: " + ", ".join(sheet_kinds()) + ".")
    try:
        inch = Units(units) is Units.FT_IN
    except ValueError as error:
        raise InputError(f"{units!r} are no units.", hint="Write ft-in or mm.") from error
    scenes: dict[str, Scene] = {}
    pages = [_page(field_readings(kind), n, scenes) for n, kind in enumerate(kinds)]
    data = {
        "title": ", ".join(str(p["title"]) for p in pages),
        "inch": inch,
        "t": {"field": dict(catalogue()["field"])},
        "units": say("field.units-ft-in" if inch else "field.units-mm"),
        "pages": pages,
    }
    return pdf("field.typ", data, scenes)


def _page(sheet: FieldSheet, number: int, scenes: dict[str, Scene]) -> dict[str, object]:
    names = []
    for k, face in enumerate(sheet.faces):
        name = f"sketch-{number}-{k}.svg"
        alone = len(sheet.faces) == 1
        asked = [r for r in sheet.readings if r.face == face.name]
        scenes[name] = blank_sketch(face, asked, *((130.0, 90.0) if alone else (86.0, 66.0)))
        names.append(name)
    faces = {f.name: f.title.split(",", maxsplit=1)[0] for f in sheet.faces if f.name}
    rows = [
        {"number": r.number, "key": r.key, "what": r.text, "face": faces.get(r.face, ""), "check": r.check}
        for r in sheet.readings
    ]
    return {
        "title": sheet.title,
        "head": say("field.title", title=sheet.title),
        "stand": sheet.stand,
        "sketches": names,
        "rows": rows,
        "also": list(sheet.also),
    }
