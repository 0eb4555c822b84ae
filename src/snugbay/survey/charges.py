"""Charges in words: which tape to pull again, what it should read, what it does to the piece."""

from __future__ import annotations

import numpy as np

from snugbay.base import Finding, Said, Weight, Where
from snugbay.base.facts import Angle, FaceRef, Length, Listed, Name
from snugbay.survey import words
from snugbay.survey.look_over import reading_where
from snugbay.survey.network import Network, RowKind
from snugbay.survey.options import SurveyOptions
from snugbay.survey.results import Group
from snugbay.survey.slips import slip_of
from snugbay.survey.suspects import Charge
from snugbay.survey.values import Suspect

_NAMED = 6
"""Suspects of one group that are written out with their figures."""


def suspects_of(group: Group, options: SurveyOptions) -> tuple[Suspect, ...]:
    """Return the suspects of one group of faces."""
    return tuple(_suspect(group, charge, options) for charge in group.verdict.charges)


def row_name(net: Network, i: int) -> str:
    """Return the name of a row for people: a reading, or a join."""
    row = net.rows[i]
    if row.reading >= 0:
        return words.named(net.faces[row.face].readings[row.reading])
    if row.join >= 0:
        join = net.joins[row.join]
        name = join.name or f"join of {join.a} and {join.b}"
        return f"angle of {name}" if row.kind is RowKind.OPEN else f"edges at {name}"
    return f"plumb of {net.faces[row.face].id}"


def row_where(net: Network, i: int) -> Where:
    """Return the place of a row in the user's file."""
    row = net.rows[i]
    if row.reading >= 0:
        return reading_where(net.faces[row.face], row.reading)
    if row.join >= 0:
        return ("joins", net.joins[row.join].name or f"{net.joins[row.join].a}/{net.joins[row.join].b}")
    return ("faces", net.faces[row.face].id)


def _slip(net: Network, i: int, blunder: float, w: float, options: SurveyOptions) -> Said | None:
    """Return the kind of slip that a reading's blunder looks like; the blunder is w standard deviations of itself."""
    row = net.rows[i]
    if row.reading < 0 or w == 0.0:
        return None
    return slip_of(net.faces[row.face].readings[row.reading], blunder, abs(blunder / w), options.units)


def _option(net: Network, i: int, blunder: float, w: float, options: SurveyOptions, whose: bool = False) -> Said:
    row = net.rows[i]
    if row.reading >= 0:
        face = net.faces[row.face]
        slip = _slip(net, i, blunder, w, options)
        return words.option(face.readings[row.reading], blunder, slip, face if whose else None)
    name = Name(row_name(net, i))
    if row.kind is RowKind.OPEN:
        join = net.joins[row.join]
        stated, other = Angle(join.opening), Angle(join.opening - blunder)
        return Said.of("survey.said.stated", what=name, stated=stated, other=other)
    return Said.of("survey.said.differ", what=name, apart=Length(abs(blunder)))


def _single(net: Network, charge: Charge, options: SurveyOptions) -> Said:
    i, blunder = charge.rows[0], charge.blunder[0]
    row = net.rows[i]
    if row.reading >= 0:
        face = net.faces[row.face]
        slip = _slip(net, i, blunder, charge.w[0], options)
        return words.pull_again(face, face.readings[row.reading], blunder, slip)
    join = net.joins[row.join]
    return Said.of(
        "survey.said.do-not-meet",
        faces=Listed((FaceRef(join.a), FaceRef(join.b))),
        what=_option(net, i, blunder, charge.w[0], options),
    )


def _several(net: Network, charge: Charge, options: SurveyOptions) -> Said:
    """Return the phrase for readings of which one is wrong, those that look like a known slip first."""
    whose = len({net.rows[i].face for i in charge.rows}) > 1
    told = [
        (_slip(net, i, b, w, options) is None, _option(net, i, b, w, options, whose))
        for i, b, w in zip(charge.rows, charge.blunder, charge.w, strict=True)
    ]
    parts = tuple(said for _, said in sorted(told, key=lambda t: t[0]))
    faces = tuple(FaceRef(f) for f in dict.fromkeys(net.faces[net.rows[i].face].id for i in charge.rows))
    return Said.of("survey.said.one-of", faces=Listed(faces), parts=Listed(parts, "semicolon", _NAMED))


def _sets(net: Network, charge: Charge, options: SurveyOptions) -> Said:
    """Return the phrase for sets of readings of which one set is wrong."""
    out = {i: (b, w) for i, b, w in zip(charge.rows, charge.blunder, charge.w, strict=True)}
    sets = tuple(Listed(tuple(_option(net, i, *out[i], options) for i in rows)) for rows in charge.sets)
    face = FaceRef(net.faces[net.rows[charge.rows[0]].face].id)
    return Said.of("survey.said.either", face=face, sets=Listed(sets, "or"))


def _suspect(group: Group, charge: Charge, options: SurveyOptions) -> Suspect:
    net = group.net
    top = charge.rows[0]
    face = net.faces[net.rows[top].face]
    if len(charge.sets) > 1 and len(charge.sets[0]) > 1:
        what = _sets(net, charge, options)
    elif len(charge.rows) == 1:
        what = _single(net, charge, options)
    else:
        what = _several(net, charge, options)
    worst = int(np.argmax(charge.moves))
    corner, moved = face.corners[worst], charge.moves[worst]
    several = len({net.rows[k].face for k in charge.rows}) > 1
    if len(charge.rows) == 1:
        then = Said.of("survey.said.as-it-stands", corner=Name(corner), moved=Length(moved))
    else:
        then = Said.of(
            "survey.said.if-it-is",
            whose=FaceRef(face.id) if several and net.rows[top].reading >= 0 else None,
            what=Name(row_name(net, top)),
            corner=Name(corner),
            moved=Length(moved),
        )
    return Suspect(
        face=face.id,
        readings=tuple(row_name(net, i) for i in charge.rows),
        said=Said.of("survey.suspect", what=what, then=then),
        should_read=tuple(
            (row_name(net, i), float(net.observed[i]) - b) for i, b in zip(charge.rows, charge.blunder, strict=True)
        ),
        error=charge.blunder[0],
        w=charge.w[0],
        moves=moved,
        corner=corner,
    )


def suspect_findings(group: Group, options: SurveyOptions) -> tuple[Finding, ...]:
    """Return a warning for each charge."""
    return tuple(
        Finding(
            "survey.suspect", weight=Weight.WARN, where=row_where(group.net, charge.rows[0]), facts=suspect.said.facts
        )
        for charge, suspect in zip(group.verdict.charges, suspects_of(group, options), strict=True)
    )
