"""Charges in words: which tape to pull again, what it should read, what it does to the piece."""

from __future__ import annotations

import numpy as np

from snugbay.base import Finding, Weight, Where
from snugbay.survey import words
from snugbay.survey.look_over import reading_where
from snugbay.survey.network import Network, RowKind
from snugbay.survey.options import SurveyOptions
from snugbay.survey.results import Group
from snugbay.survey.suspects import Charge, assumed
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


def _option(net: Network, i: int, blunder: float, options: SurveyOptions) -> str:
    row = net.rows[i]
    if row.reading >= 0:
        reading = net.faces[row.face].readings[row.reading]
        return words.option_text(reading, reading.value - blunder, blunder, options)
    if row.kind is RowKind.OPEN:
        join = net.joins[row.join]
        stated, other = options.format_angle(join.opening), options.format_angle(join.opening - blunder)
        return f"{row_name(net, i)} ({stated} as stated, would be {other})"
    return f"{row_name(net, i)} (differ by {options.format_length(abs(blunder))})"


def _single(net: Network, i: int, blunder: float, options: SurveyOptions) -> str:
    row = net.rows[i]
    if row.reading >= 0:
        face = net.faces[row.face]
        reading = face.readings[row.reading]
        return words.pull_again(face, reading, reading.value - blunder, blunder, options)
    join = net.joins[row.join]
    return f"{join.a} and {join.b} do not meet as stated: {_option(net, i, blunder, options)}. Measure this join again."


def _together(net: Network, charge: Charge, options: SurveyOptions) -> list[str]:
    out = dict(zip(charge.rows, charge.blunder, strict=True))
    return [words.listed([_option(net, i, out[i], options) for i in rows]) for rows in charge.sets]


def _whose(net: Network, charge: Charge, i: int) -> str:
    """Return the face that a reading stands on, where a charge names readings of several faces."""
    row = net.rows[i]
    faces = {net.rows[k].face for k in charge.rows}
    return f"{net.faces[row.face].id} " if row.reading >= 0 and len(faces) > 1 else ""


def _suspect(group: Group, charge: Charge, options: SurveyOptions) -> Suspect:
    net = group.net
    top = charge.rows[0]
    face = net.rows[top].face
    if len(charge.rows) == 1:
        text = _single(net, top, charge.blunder[0], options)
    else:
        faces = [net.faces[net.rows[i].face].id for i in charge.rows]
        pairs = list(zip(charge.rows, charge.blunder, strict=True))
        parts = [_whose(net, charge, i) + _option(net, i, b, options) for i, b in pairs[:_NAMED]]
        if len(pairs) > _NAMED:
            parts.append(f"or one of {len(pairs) - _NAMED} more")
        text = words.one_of(faces, parts)
    if len(charge.sets) > 1 and len(charge.sets[0]) > 1:
        text = words.either(net.faces[face].id, _together(net, charge, options))
    worst = int(np.argmax(charge.moves))
    corner = net.faces[face].corners[worst]
    moved = charge.moves[worst]
    whose = _whose(net, charge, top)
    first = "Taken as it stands it" if len(charge.rows) == 1 else f"If it is {whose}{row_name(net, top)}, it"
    of_face = f" of {net.faces[face].id}" if whose else ""
    text += f" {first} puts corner {corner}{of_face} out by {options.format_length(moved)}."
    return Suspect(
        face=net.faces[face].id,
        readings=tuple(row_name(net, i) for i in charge.rows),
        text=text,
        should_read=tuple(
            (row_name(net, i), float(net.observed[i]) - b) for i, b in zip(charge.rows, charge.blunder, strict=True)
        ),
        error=charge.blunder[0],
        w=charge.w[0],
        moves=moved,
        corner=corner,
    )


def suspect_findings(group: Group, options: SurveyOptions) -> tuple[Finding, ...]:
    """Return a finding for each charge: a note where only the eye was wrong, a warning otherwise."""
    out = []
    for charge, suspect in zip(group.verdict.charges, suspects_of(group, options), strict=True):
        eye = all(assumed(group.net, i) for i in charge.rows)
        out.append(
            Finding(
                "survey.not-square" if eye else "survey.suspect",
                suspect.text,
                Weight.NOTE if eye else Weight.WARN,
                row_where(group.net, charge.rows[0]),
                numbers={"w": suspect.w, "error": suspect.error, "moves_m": suspect.moves},
            )
        )
    return tuple(out)
