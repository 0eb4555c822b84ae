"""Looks readings over before anything is reckoned: all faults of all faces together."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from snugbay.base import OutOfRange, Problems, SnugbayError, SurveyError, UnknownName, Where
from snugbay.job import Face, Join, Reading, ReadingKind
from snugbay.job.outlines import BY_EYE
from snugbay.survey.network import POINTS
from snugbay.survey.options import SurveyOptions

LONGEST = 100.0
"""Longest length that a tape job has. [m]"""


def look_over(faces: Sequence[Face], joins: Sequence[Join]) -> None:
    """Raise what is wrong with the readings as written.

    Raises
    ------
    SurveyError, UnknownName, OutOfRange
        If one thing is wrong.
    Problems
        If several are.
    """
    found: list[SnugbayError] = []
    ids = [face.id for face in faces]
    for name in sorted({i for i in ids if ids.count(i) > 1}):
        found.append(SurveyError(f"Two faces are called {name!r}.", where=("faces", name), hint="Rename one."))
    for face in faces:
        found += _face(face)
    by_id = {face.id: face for face in faces}
    for k, join in enumerate(joins):
        found += _join(k, join, by_id)
    if len(found) == 1:
        raise found[0]
    if found:
        raise Problems(found)


def _face(face: Face) -> list[SnugbayError]:
    found: list[SnugbayError] = []
    if len(face.corners) < 3:
        found.append(
            SurveyError(
                f"Face {face.id} has {len(face.corners)} corners.", where=("faces", face.id), hint="It needs three."
            )
        )
    if len(set(face.corners)) != len(face.corners):
        found.append(
            SurveyError(f"Face {face.id} names a corner twice.", where=("faces", face.id), hint="One letter a corner.")
        )
    for k, r in enumerate(face.readings):
        fault = _reading(r, face)
        if fault is not None:
            found.append(fault.at(*reading_where(face, k)))
    return found


def reading_where(face: Face, number: int) -> Where:
    """Return the place of a reading: the field in which the user wrote it, else its name on the face."""
    reading = face.readings[number]
    return ("faces", face.id, *(reading.field or ("readings", reading.name or number)))


def _reading(r: Reading, face: Face) -> SnugbayError | None:
    name = r.name or "-".join(r.corners)
    strangers = [c for c in r.corners if c not in face.corners]
    if strangers:
        return UnknownName(
            f"Reading {name!r} names corner {strangers[0]!r}, which face {face.id} does not have.",
            hint="Corners: " + ", ".join(face.corners) + ".",
        )
    if len(r.corners) != POINTS[r.kind.value] or len(set(r.corners)) != len(r.corners):
        return SurveyError(f"Reading {name!r} needs {POINTS[r.kind.value]} different corners.")
    if not (math.isfinite(r.value) and math.isfinite(r.sigma) and r.sigma > 0.0):
        return OutOfRange(f"Reading {name!r} needs a value and a precision above zero.")
    if r.kind is ReadingKind.DISTANCE and not 0.0 < r.value < LONGEST:
        return OutOfRange(f"Reading {name!r} is {r.value:g} m.", hint="Lengths are above 0 and below 100 m.")
    if r.kind in {ReadingKind.ALONG, ReadingKind.OFFSET, ReadingKind.TWIST} and abs(r.value) > LONGEST:
        return OutOfRange(f"Reading {name!r} is {r.value:g} m.", hint="Lengths are below 100 m.")
    if r.kind is ReadingKind.ANGLE and not 0.0 < r.value < 2.0 * math.pi:
        return OutOfRange(f"Reading {name!r} is no inside angle.", hint="Between 0 and 360 degrees.")
    if r.kind is ReadingKind.LEAN and abs(r.value) > 2.0 * math.pi:
        return OutOfRange(f"Reading {name!r} is no lean.", hint="Degrees from plumb, clockwise positive.")
    return None


def _join(k: int, join: Join, faces: dict[str, Face]) -> list[SnugbayError]:
    found: list[SnugbayError] = []
    where = ("joins", join.name or f"{join.a} to {join.b}")
    for face_id, edge in ((join.a, join.edge_a), (join.b, join.edge_b)):
        if face_id not in faces:
            found.append(UnknownName(f"Join {k + 1} names face {face_id!r}, which is not there.", where=where, hint=""))
        elif any(c not in faces[face_id].corners for c in edge) or edge[0] == edge[1]:
            hint = "Corners: " + ", ".join(faces[face_id].corners) + "."
            found.append(
                UnknownName(f"Join {k + 1} names edge {'-'.join(edge)} of face {face_id}.", where=where, hint=hint)
            )
    if join.a == join.b:
        found.append(SurveyError(f"Join {k + 1} joins face {join.a} to itself.", where=where))
    if not 0.0 < join.opening < 2.0 * math.pi or not join.sigma > 0.0:
        found.append(
            OutOfRange(
                f"Join {k + 1} has an opening of {math.degrees(join.opening):g} degrees.",
                where=where,
                hint="The angle of the open air between the faces: 90 in an inside corner, 270 round an outside one.",
            )
        )
    return found


def squared(face: Face, options: SurveyOptions) -> Face:
    """Return a face given by its width and height only with three weak square corners added, else the face itself."""
    if len(face.corners) != 4 or any(r.kind is not ReadingKind.DISTANCE for r in face.readings):
        return face
    a, b, c, d = face.corners
    level, upright = ({a, b}, {c, d}), ({b, c}, {d, a})
    pairs = [set(r.corners) for r in face.readings]
    if len(pairs) != 2 or not any(p in level for p in pairs) or not any(p in upright for p in pairs):
        return face
    extra = tuple(
        Reading(
            ReadingKind.ANGLE,
            three,
            math.pi / 2,
            options.square_sigma,
            name=f"square by eye at {three[1]}",
            instrument=BY_EYE,
            assumed=True,
        )
        for three in ((d, a, b), (a, b, c), (b, c, d))
    )
    return replace(face, readings=face.readings + extra)
