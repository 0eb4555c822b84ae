"""Lengths, instruments and outlines: from the document's models to readings."""

from __future__ import annotations

import math
from dataclasses import replace

from snugbay.base import InputError, SnugbayError
from snugbay.document.outline import OutlineDoc, PolygonDoc, ReadingDoc, RectangleDoc, StationsDoc, TriangleDoc
from snugbay.job import Reading, ReadingKind
from snugbay.job import outlines as job_outlines
from snugbay.job.outlines import Outline, Precision, Taped
from snugbay.survey.instruments import Instrument, instrument
from snugbay.tape import Length

USUAL_TAPE = "tape"
"""Instrument of lengths for which the document names none."""


def taped(length: Length, tool: str, *field: str | int) -> Taped:
    """Return a length as read with an instrument, and the field in which it was written."""
    value = float(length)
    return Taped(value, instrument(tool).sigma(value), length.written, tool, field)


def maybe(length: Length | None, tool: str, *field: str | int) -> Taped | None:
    """Return an optional length as read with an instrument."""
    return None if length is None else taped(length, tool, *field)


def precision(tool: str | None) -> Precision:
    """Return the standard deviations of an instrument's readings (table of instruments in room survey)."""
    name = tool or USUAL_TAPE
    if instrument(name).angle:
        raise InputError(
            f"The instrument {name!r} measures angles; lengths need a tape, rule or laser.",
            where=("instrument",),
            hint="Name it at the single reading that it took.",
        )
    gauge = instrument("bevel gauge")
    return Precision(instrument(name).sigma(1.0), gauge.sigma(1.0), instrument=name, gauge=gauge.name)


def outline(doc: OutlineDoc) -> Outline:
    """Return corners and readings of an outline."""
    exact = precision(doc.instrument)
    tool = exact.instrument
    if isinstance(doc, RectangleDoc):
        more = {
            key: taped(value, tool, "outline", field)
            for key, field, value in (
                ("C-D", "top", doc.top),
                ("B-C", "right", doc.right),
                ("A-C", "diagonal", doc.diagonal),
                ("B-D", "other_diagonal", doc.other_diagonal),
            )
            if value is not None
        }
        width, height = taped(doc.width, tool, "outline", "width"), taped(doc.height, tool, "outline", "height")
        return job_outlines.rectangle(width, height, exact, more=more)
    if isinstance(doc, TriangleDoc):
        extra = {} if doc.height is None else {"A-B off C": taped(doc.height, tool, "outline", "height")}
        bottom, right, left = (
            taped(length, tool, "outline", field)
            for field, length in (("bottom", doc.bottom), ("right", doc.right), ("left", doc.left))
        )
        return job_outlines.triangle(bottom, right, left, exact, more=extra)
    if isinstance(doc, StationsDoc):
        heights = [
            (
                taped(s.at, tool, "outline", "stations", n, "at"),
                taped(s.height, tool, "outline", "stations", n, "height"),
            )
            for n, s in enumerate(doc.stations)
        ]
        return job_outlines.stations(taped(doc.base, tool, "outline", "base"), heights, exact)
    return _polygon(doc, exact)


def _polygon(doc: PolygonDoc, exact: Precision) -> Outline:
    corners = tuple(doc.corners)
    if len(set(corners)) != len(corners):
        raise InputError("A corner is named twice.", where=("corners",), hint="Give each corner its own letter.")
    readings = []
    for number, reading in enumerate(doc.readings):
        try:
            readings.append(replace(_reading(reading, corners, exact), field=("outline", "readings", number)))
        except SnugbayError as error:
            raise error.at("readings", number) from None
    return Outline(corners, tuple(readings))


def _reading(doc: ReadingDoc, corners: tuple[str, ...], exact: Precision) -> Reading:
    kind, names, value = _kind(doc, corners)
    strangers = [n for n in names if n not in corners]
    if strangers or len(set(names)) != len(names):
        which = strangers[0] if strangers else names[0]
        raise InputError(
            f"The reading names corner {which!r}, which is not there or stands twice.",
            where=(doc.kind,),
            hint="Corners: " + ", ".join(corners) + ".",
        )
    if kind in (ReadingKind.ANGLE, ReadingKind.LEAN):
        return _angle(doc, kind, names, value, exact)
    tool = _tool(doc, exact.instrument, angle=False)
    sigma = float(doc.precision) if doc.precision else tool.sigma(value)
    written = doc.length.written if doc.length else ""
    return job_outlines.taped(kind, names, Taped(value, sigma, written, tool.name), exact)


def _angle(doc: ReadingDoc, kind: ReadingKind, names: tuple[str, ...], value: float, exact: Precision) -> Reading:
    name = f"square at {names[1]}" if doc.kind == "square" else f"{doc.kind} {'-'.join(names)}"
    if doc.degrees is None:
        taken = Taped(value, exact.square, "", job_outlines.BY_EYE)
        return job_outlines.taped(kind, names, taken, exact, name)
    usual = "spirit level" if doc.kind in ("plumb", "level") else "bevel gauge"
    tool = _tool(doc, usual, angle=True)
    sigma = math.radians(doc.precision_degrees) if doc.precision_degrees else tool.sigma(value)
    return job_outlines.taped(kind, names, Taped(value, sigma, f"{doc.degrees.written}", tool.name), exact, name)


def _tool(doc: ReadingDoc, usual: str, *, angle: bool) -> Instrument:
    """Return the instrument of a reading; refuse one that measures something else."""
    tool = instrument(doc.instrument or usual)
    if tool.angle is not angle and tool.name != job_outlines.BY_EYE:
        what = "angles" if tool.angle else "lengths"
        raise InputError(
            f"The instrument {tool.name!r} measures {what}.",
            where=("instrument",),
            hint="Name the one that took this reading, or none.",
        )
    return tool


def _kind(doc: ReadingDoc, corners: tuple[str, ...]) -> tuple[ReadingKind, tuple[str, ...], float]:
    length = float(doc.length) if doc.length is not None else 0.0
    degrees = doc.degrees.value if doc.degrees is not None else None
    edge = tuple((doc.side or doc.diagonal or doc.along or doc.offset or doc.plumb or doc.level or "").split("-"))
    if doc.side or doc.diagonal:
        return ReadingKind.DISTANCE, edge, length
    if doc.along:
        return ReadingKind.ALONG, (*edge, doc.to or ""), length
    if doc.offset:
        return ReadingKind.OFFSET, (*edge, doc.to or ""), length
    if doc.plumb:
        return ReadingKind.LEAN, edge, degrees or 0.0
    if doc.level:
        return ReadingKind.LEAN, edge, math.pi / 2 - (degrees or 0.0)
    if doc.twist:
        return ReadingKind.TWIST, (doc.twist,), length
    if doc.angle:
        return ReadingKind.ANGLE, tuple(doc.angle.split("-")), degrees or 0.0
    at = corners.index(doc.square) if doc.square in corners else -1
    if at < 0:
        return ReadingKind.ANGLE, (doc.square or "",), math.pi / 2
    around = (corners[at - 1], corners[at], corners[(at + 1) % len(corners)])
    return ReadingKind.ANGLE, around, math.pi / 2
