"""A gap that no gun foam fills: the outline is known too loosely for boards, and what to measure instead of cutting."""

from __future__ import annotations

from snugbay.base import Finding, Said, Weight
from snugbay.base.facts import FaceRef, Length, Listed, Name, ReadingRef
from snugbay.job import Face, ReadingKind
from snugbay.pieces.rates import typical

WIDE_GAP = "pieces.wide-gap"
"""Code of the finding."""


def wide_gap(face: Face, bay: str, gap: float) -> Finding:
    """Return the STOP for a face whose boards would need this gap [m] to go in for sure."""
    most = typical("foam_max_gap")
    return Finding.of(
        "pieces.wide-gap",
        Weight.STOP,
        ("faces", face.id),
        face=FaceRef(face.id),
        bay=Said.of("pieces.said.bay", bay=Name(bay)) if bay else None,
        gap=Length(gap),
        most=Length(most),
        pull=to_measure(face),
    )


def to_measure(face: Face) -> Said:
    """Return the readings that would hold the outline: its sides, and diagonals from its first corner."""
    taken = {frozenset(r.corners) for r in face.readings if r.kind is ReadingKind.DISTANCE}
    corners = face.corners
    sides = [(a, b) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True) if frozenset((a, b)) not in taken]
    fan = [(corners[0], c) for c in corners[2:-1] if frozenset((corners[0], c)) not in taken]
    parts = []
    if sides:
        parts.append(Said.of("pieces.said.sides", which=_listed(sides)))
    if fan:
        parts.append(Said.of("pieces.said.diagonals", which=_listed(fan)))
    if not parts:
        return Said.of("pieces.said.pull-again")
    return Said.of("pieces.said.pull", what=Listed(tuple(parts)))


def _listed(pairs: list[tuple[str, str]]) -> Listed:
    return Listed(tuple(ReadingRef("-".join(p)) for p in pairs), "comma")
