"""The two plain formats: a list of instances, and the solution of several. Dicts in and out, no files."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import shapely

from snugbay.base import InputError, Problems, SnugbayError, Where
from snugbay.sheets.nest.instance import QUARTERS, Instance, Layout, Outline, SheetSize, area

Plain = Mapping[str, Any]
LARGEST_NUMBER = 1e9
"""No sheet is larger, in whatever unit."""


def instances_from_json(obj: object) -> tuple[Instance, ...]:
    """Read instances from what a JSON reader gave.

    Parameters
    ----------
    obj : object
        A list of instances, or one: mappings with ``name``, ``sheet`` [w, h], ``pieces`` (lists of [x, y]) and
        optionally ``kerf``, ``rotations`` (list of quarter turns or ``"free"``) and ``optimum_sheets``.

    Returns
    -------
    tuple of Instance
        In the order given.

    Raises
    ------
    InputError
        With the place of the fault; `Problems` where there are several.
    """
    entries = obj if isinstance(obj, list) else [obj]
    faults: list[SnugbayError] = []
    found: list[Instance] = []
    if not entries:
        raise InputError("There are no instances in the file.", hint="Give a list with at least one.", code="nest.none")
    for i, entry in enumerate(entries):
        found += _instance(entry, (i,), faults)
    seen: set[str] = set()
    for i, instance in enumerate(found):
        if instance.name in seen:
            faults.append(_fault(f"The name {instance.name!r} is used twice.", (i, "name"), "Give each its own name."))
        seen.add(instance.name)
    if faults:
        raise faults[0] if len(faults) == 1 else Problems(faults)
    return tuple(found)


def solution_to_json(layouts: Iterable[Layout]) -> dict[str, Any]:
    """Give layouts as plain dicts: ``{name: {"sheets": [[{"piece", "x", "y", "angle"}, ..], ..], ..}}``."""
    return {
        layout.name: {
            "sheets": [
                [{"piece": p.piece, "x": p.x, "y": p.y, "angle": p.angle_deg} for p in sheet.laid]
                for sheet in layout.sheets
            ],
            "lower_bound_sheets": layout.lower_bound,
            "largest_leftover_rectangle": list(layout.leftover),
            "ended_by": layout.ended,
            "work": layout.work,
        }
        for layout in layouts
    }


def _fault(what: str, where: Where, hint: str) -> InputError:
    return InputError(what, where=where, hint=hint, code="nest.malformed")


def _instance(entry: object, where: Where, faults: list[SnugbayError]) -> list[Instance]:
    before = len(faults)
    if not isinstance(entry, Mapping):
        faults.append(_fault("An instance must be an object with fields.", where, "See the reference page."))
        return []
    name = entry.get("name")
    if not isinstance(name, str) or not name:
        faults.append(_fault("The name is missing or is no text.", (*where, "name"), "Name it."))
    sheet = _pair(entry.get("sheet"), (*where, "sheet"), faults)
    if sheet is not None and min(sheet) <= 0:
        faults.append(_fault("A sheet must be wider and longer than nothing.", (*where, "sheet"), "Give [w, h]."))
    kerf = entry.get("kerf") or 0.0
    if not _number(kerf) or kerf < 0:
        faults.append(_fault("The kerf must be a number, 0 or more.", (*where, "kerf"), "Give the width of the cut."))
    rotations, free = _rotations(entry.get("rotations"), (*where, "rotations"), faults)
    optimum = entry.get("optimum_sheets")
    pieces = _pieces(entry.get("pieces"), (*where, "pieces"), faults)
    if len(faults) > before or sheet is None:
        return []
    known = optimum if isinstance(optimum, int) else None
    return [Instance(str(name), SheetSize(*sheet), pieces, float(kerf), rotations, free, optimum=known)]


def _number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) <= LARGEST_NUMBER


def _pair(value: object, where: Where, faults: list[SnugbayError]) -> tuple[float, float] | None:
    if isinstance(value, Sequence) and not isinstance(value, str) and len(value) == 2 and all(map(_number, value)):
        return float(value[0]), float(value[1])
    faults.append(_fault("Two numbers are needed here.", where, "Give them as [x, y]."))
    return None


def _rotations(value: object, where: Where, faults: list[SnugbayError]) -> tuple[tuple[int, ...], bool]:
    if value is None:
        return QUARTERS, False
    if value == "free":
        return QUARTERS, True
    if isinstance(value, Sequence) and not isinstance(value, str) and value and all(v in QUARTERS for v in value):
        return tuple(sorted({int(v) for v in value})), False
    faults.append(_fault("Turns are a list of 0, 90, 180, 270, or the word free.", where, "Leave it out for all four."))
    return QUARTERS, False


def _pieces(value: object, where: Where, faults: list[SnugbayError]) -> tuple[Outline, ...]:
    if not isinstance(value, Sequence) or isinstance(value, str) or not value:
        faults.append(_fault("There are no pieces.", where, "Give a list of outlines."))
        return ()
    return tuple(_outline(piece, (*where, i), faults) for i, piece in enumerate(value))


def _outline(value: object, where: Where, faults: list[SnugbayError]) -> Outline:
    if not isinstance(value, Sequence) or isinstance(value, str) or len(value) < 3:
        faults.append(_fault("An outline needs at least three corners.", where, "Give a list of [x, y]."))
        return ()
    before = len(faults)
    points = [_pair(p, (*where, j), faults) for j, p in enumerate(value)]
    if len(faults) > before:
        return ()
    outline = tuple(p for p in points if p is not None)
    shape = shapely.Polygon(outline)
    if not shape.is_valid or shape.area <= 0:
        why = shapely.is_valid_reason(shape)
        faults.append(_fault(f"The outline crosses itself or encloses nothing ({why}).", where, "Check its corners."))
        return ()
    return outline if area(outline) > 0 else tuple(reversed(outline))
