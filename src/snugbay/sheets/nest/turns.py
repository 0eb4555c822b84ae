"""Angles worth trying where any angle is allowed: edges along the sheet's edges, and along each other."""

from __future__ import annotations

import math

from snugbay.sheets.nest.instance import Outline, SheetSize, box, sides, turned

MOST_TURNS = 20  # besides quarter turns, for each kind
LEAST_EDGE = 0.06  # of the sheet's longer side: shorter edges are not worth lining up
SWEEP = 360  # steps of the search for an angle in which a long piece fits at all


def free_turns(kinds: list[Outline], size: SheetSize) -> list[list[float]]:
    """Give further turns (degrees) for each kind.

    First all that bring one of its edges along an edge of the sheet, the longest edges first; then those that bring
    one of its skew edges along a skew edge of another kind in a quarter turn, the most alike in length first. A kind
    that fits in none of these and no quarter turn gets an angle in which it does, if there is one.
    """
    least = LEAST_EDGE * max(size.width, size.height)
    skew = [_skew_edges(outline, least) for outline in kinds]
    found = []
    for number, outline in enumerate(kinds):
        turns: list[float] = []
        for angle, _ in skew[number]:
            _add(turns, [(90.0 * q - angle) % 360.0 for q in range(4)])
        alike = sorted(
            (abs(length - other_length) / max(length, other_length), (other - angle) % 360.0)
            for angle, length in skew[number]
            for n, edges in enumerate(skew)
            if n != number
            for other, other_length in edges
        )
        for _, angle in alike:
            if len(turns) >= MOST_TURNS:
                break
            _add(turns, [(angle + 90.0 * q) % 360.0 for q in range(4)])
        turns = turns[:MOST_TURNS]
        if not any(_fits(outline, a, size) for a in (0.0, 90.0, *turns)):
            turns += _sweep(outline, size)
        found.append(turns)
    return found


def _skew_edges(outline: Outline, least: float) -> list[tuple[float, float]]:
    """Direction (degrees) and length of the edges that lie along no axis, the longest first."""
    edges = []
    for a, b in sides(outline):
        angle, length = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])), math.dist(a, b)
        if length >= least and 1e-6 < angle % 90.0 < 90.0 - 1e-6:
            edges.append((angle % 360.0, length))
    return sorted(edges, key=lambda e: (-e[1], e[0]))


def _add(turns: list[float], more: list[float]) -> None:
    for angle in more:
        if angle % 90.0 > 1e-6 and all(abs((angle - t + 180.0) % 360.0 - 180.0) > 1e-6 for t in turns):
            turns.append(angle)


def _fits(outline: Outline, angle: float, size: SheetSize) -> bool:
    x0, y0, x1, y1 = box(turned(outline, angle))
    return x1 - x0 <= size.width * (1 + 1e-9) and y1 - y0 <= size.height * (1 + 1e-9)


def _sweep(outline: Outline, size: SheetSize) -> list[float]:
    """The angle with most room to spare, if there is room in any."""
    room = []
    for step in range(SWEEP):
        angle = 180.0 * step / SWEEP
        x0, y0, x1, y1 = box(turned(outline, angle))
        room.append((min(size.width - (x1 - x0), size.height - (y1 - y0)), -angle))
    best, angle = max(room)
    return [-angle, (-angle + 180.0) % 360.0] if best >= 0 else []
