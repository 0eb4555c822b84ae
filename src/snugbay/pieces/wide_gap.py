"""A gap that no gun foam fills: the outline is known too loosely for boards, and what to measure instead of cutting."""

from __future__ import annotations

from math import ceil

from snugbay.base import Finding, Weight
from snugbay.job import Face, ReadingKind
from snugbay.pieces.rates import typical

WIDE_GAP = "pieces.wide-gap"
"""Code of the finding."""


def wide_gap(face: Face, bay: str, gap: float) -> Finding:
    """Return the STOP for a face whose boards would need this gap [m] to go in for sure."""
    most = typical("foam_max_gap")
    return Finding(
        WIDE_GAP,
        f"{face.id}{f', {bay}' if bay else ''}: as measured, boards need a gap of {ceil(gap * 1000)} mm to go in "
        f"for sure, and gun foam fills {most * 1000:.0f} mm at most: no board is to be cut to it yet. "
        f"{to_measure(face)}, or scribe a template of the face and cut to that.",
        Weight.STOP,
        ("faces", face.id),
        numbers={"gap_m": gap, "most_m": most},
    )


def to_measure(face: Face) -> str:
    """Return the readings that would hold the outline: its sides, and diagonals from its first corner."""
    taken = {frozenset(r.corners) for r in face.readings if r.kind is ReadingKind.DISTANCE}
    corners = face.corners
    sides = [(a, b) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True) if frozenset((a, b)) not in taken]
    fan = [(corners[0], c) for c in corners[2:-1] if frozenset((corners[0], c)) not in taken]
    parts = [_listed(word, pairs) for word, pairs in (("side", sides), ("diagonal", fan)) if pairs]
    return "Pull " + " and ".join(parts) if parts else "Pull its sides and diagonals again"


def _listed(word: str, pairs: list[tuple[str, str]]) -> str:
    names = ["-".join(p) for p in pairs]
    return f"the {word}{'s' if len(names) > 1 else ''} {', '.join(names)}"
