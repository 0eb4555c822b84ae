"""Readings that contradict each other although no single one can be named, where the slip may be large.

A tape that only the eye checks ("square by eye") can be out by 100 mm while its test stays quiet: the corners bend and
take the slip up. The whole-set test still sees it. Where one tape alone, out by more than a board forgives, would
explain the contradiction, the shape is not known well enough to cut boards to it.
"""

from __future__ import annotations

from dataclasses import dataclass

from scipy import special

from snugbay.base import Finding, Weight
from snugbay.survey import words
from snugbay.survey.design import proposals
from snugbay.survey.options import SurveyOptions
from snugbay.survey.results import Group, rows_of
from snugbay.survey.suspects import assumed
from snugbay.survey.values import Doubt

HIDDEN = 0.01
"""A slip larger than this ruins a board; of angles at a leg of one metre (assumption). [m]"""
NEARLY = 0.8
"""Share of the misfit above the limit that a reading must take away to explain it: far slips are not linear. [-]"""
WEAK = 0.05
"""Redundancy below which little more than the eye checks a reading; better checked ones the blunder test names. [-]"""
_NAMED = 6


@dataclass(frozen=True)
class _Row:
    row: int
    w: float
    blunder: float


def _explaining(group: Group, options: SurveyOptions) -> tuple[_Row, ...]:
    """Return the readings that alone, with a slip beyond `HIDDEN`, would explain why a group fails, worst first."""
    verdict, net = group.verdict, group.net
    cost, freedom = verdict.first.cost, verdict.before.freedom
    if freedom < 1 or cost <= float(special.chdtri(freedom, options.significance)):
        return ()
    if any(not assumed(net, i) for charge in verdict.charges for i in charge.rows):
        return ()  # named as a suspect
    fewer = float(special.chdtri(freedom - 1, options.significance)) if freedom > 1 else 0.0
    found = [
        _Row(i, float(verdict.before.w[i]), float(verdict.before.blunder[i]))
        for i, row in enumerate(net.rows)
        if row.reading >= 0 and not assumed(net, i) and verdict.before.redundancy[i] < WEAK
    ]
    alone = [r for r in found if abs(r.blunder) > HIDDEN and r.w**2 >= NEARLY * (cost - fewer)]
    return tuple(sorted(alone, key=lambda r: -abs(r.w)))


def doubts_of(group: Group, options: SurveyOptions) -> tuple[Doubt, ...]:
    """Return, for each face of a group that its readings leave in doubt, what to pull; see `Doubt`."""
    net = group.net
    by_face: dict[int, list[_Row]] = {}
    for found in _explaining(group, options):
        by_face.setdefault(net.rows[found.row].face, []).append(found)
    out = []
    for f, rows in by_face.items():
        readings = [net.faces[f].readings[net.rows[r.row].reading] for r in rows]
        parts = [
            words.option_text(reading, reading.value - r.blunder, r.blunder, options)
            for reading, r in list(zip(readings, rows, strict=True))[:_NAMED]
        ]
        out.append(_doubt(group, f, tuple(words.named(r) for r in readings), parts, options))
    return tuple(out)


def _doubt(group: Group, f: int, names: tuple[str, ...], parts: list[str], options: SurveyOptions) -> Doubt:
    face = group.net.faces[f]
    best = next((p.reading for p in proposals(group, f, options)), None)
    pull = best.name if best is not None else f"{names[0]} once more"
    eye = any(assumed(group.net, i) for i in rows_of(group.net, f))
    text = (
        f"{face.id}: the readings contradict each other, and none can be named for sure. One of these is wrong: "
        f"{'; '.join(parts)}{', or the corners are less square than they look' if eye else ''}. No board is cut to "
        f"{face.id} until that is known: pull {pull}, pull the named ones again, plan anew. Buy nothing for {face.id} "
        "before: what the plan says of it leaves boards out."
    )
    return Doubt(face.id, names, pull, text)


def doubt_findings(doubts: tuple[Doubt, ...]) -> tuple[Finding, ...]:
    """Return a STOP for each face in doubt."""
    return tuple(Finding("survey.doubt", d.text, Weight.STOP, ("faces", d.face)) for d in doubts)
