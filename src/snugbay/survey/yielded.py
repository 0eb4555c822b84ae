"""Assumptions that gave way to readings: what comes out instead, and which tape to look at if the eye was right."""

from __future__ import annotations

import math

from snugbay.base import Finding, Said, Weight
from snugbay.base.facts import FaceRef, Listed, ReadingRef
from snugbay.job import Reading, ReadingKind
from snugbay.survey import words
from snugbay.survey.options import SurveyOptions
from snugbay.survey.results import Group
from snugbay.survey.slips import slip_of
from snugbay.survey.suspects import GIVES_WAY, assumed

MOST = 3
"""Readings that are named as those to look at. [-]"""
LIKELY = 0.7
"""Readings that explain less of it than this share of what the best one does are not named. [-]"""


def yielded_findings(group: Group, options: SurveyOptions) -> tuple[Finding, ...]:
    """Return for each face with such assumptions a note where its readings check each other, else a warning."""
    net = group.net
    by_face: dict[int, list[int]] = {}
    for i in group.verdict.yielded:
        by_face.setdefault(net.rows[i].face, []).append(i)
    out = []
    for f, rows in by_face.items():
        face = net.faces[f]
        loose = _unchecked(group, f, options)
        out.append(
            Finding.of(
                "survey.out-of-square",
                Weight.WARN if loose else Weight.NOTE,
                ("faces", face.id),
                face=FaceRef(face.id),
                what=Listed(tuple(_comes_out(group, i) for i in rows)),
                then=Said.of("survey.said.if-it-looks", parts=Listed(loose, "semicolon")) if loose else None,
            )
        )
    return tuple(out)


def _comes_out(group: Group, i: int) -> Said:
    row = group.net.rows[i]
    reading = group.net.faces[row.face].readings[row.reading]
    value = words.amount(reading, reading.value + float(group.verdict.final.misclosure[i]))
    if _square(reading):
        return Said.of("survey.said.corner-out", corner=ReadingRef(reading.corners[1]), value=value)
    taken = words.amount(reading, reading.value)
    return Said.of("survey.said.comes-out", reading=ReadingRef(words.named(reading)), value=value, taken=taken)


def _square(reading: Reading) -> bool:
    return reading.kind is ReadingKind.ANGLE and math.isclose(reading.value, math.pi / 2)


def _unchecked(group: Group, f: int, options: SurveyOptions) -> tuple[Said, ...]:
    """Return the readings that no other checks and that would be out if the assumptions held, the farthest first.

    Those of other faces are named with their face: edges that meet carry a slip from one to the next.
    """
    net, verdict = group.net, group.verdict
    if verdict.eye is None:
        return ()
    w, blunder = verdict.eye.w, verdict.eye.blunder
    loose = [
        i
        for i, row in enumerate(net.rows)
        if row.reading >= 0
        and not assumed(net, i)
        and verdict.reliability.redundancy[i] < options.checked_from
        and abs(w[i]) >= GIVES_WAY
    ]
    out = []
    best = max((abs(float(w[i])) for i in loose), default=0.0)
    loose = [i for i in loose if abs(float(w[i])) >= LIKELY * best]
    for i in sorted(loose, key=lambda i: -abs(float(w[i])))[:MOST]:
        face, off = net.faces[net.rows[i].face], float(blunder[i])
        reading = face.readings[net.rows[i].reading]
        slip = slip_of(reading, off, abs(off / float(w[i])), options.units)
        out.append((slip is None, words.option(reading, off, slip, None if net.rows[i].face == f else face)))
    return tuple(said for _, said in sorted(out, key=lambda o: o[0]))
