"""In which order the cuts inside a blank are made, and where each must stop.

A tool runs on to the next edge of the part in hand wherever nothing that is wanted lies in its way: on both faces, over
the whole width that it takes, and for a circular saw as far as its blade reaches past that edge. Elsewhere it stops at
its mark. A piece that is parted already lies in no tool's way, so what must stop depends on the order.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.prepared import PreparedGeometry, prep

from snugbay.sheets.cutting.lines import KINDS, THREAD, Line, Saw, Swath, swath, taken
from snugbay.sheets.cutting.tree import Leaf, Lying
from snugbay.sheets.values import RUNS, End

GRAZE = 5 * THREAD
"""A tool may graze a piece by so much. [m]"""


def ended(line: Line, part: BaseGeometry, saw: Saw, staying: Iterable[PreparedGeometry]) -> Line:
    """Return a cut with what the tool does at its ends.

    Parameters
    ----------
    line : Line
        The cut.
    part : Polygon
        The part in hand. [m]
    saw : Saw
        The tool.
    staying : iterable of prepared Polygon
        Pieces in that part, a little smaller than they are. [m]
    """
    found, pieces = line, tuple(staying)
    ways = [(saw.kerf, saw.sweep, False), *([(saw.inside, 0.0, True)] if saw.sweep else [])]
    for kerf, sweep, by_hand in ways:
        took = Swath(line.start, line.end, kerf, saw.lean(line.bevel))
        ends, reaches = [], []
        for last in (False, True):
            end, reach = _end(took, part, pieces, sweep, saw.overrun, last=last)
            ends.append(end)
            reaches.append(reach)
        kind = KINDS[sum(end is not End.RUN for end in ends)]
        stops, reach_ = (ends[0], ends[1]), (reaches[0], reaches[1])
        found = replace(line, kind=kind, stops=stops, reach=reach_, by_hand=by_hand or kind != KINDS[0])
        if stops == RUNS:
            break
    return found


def _end(
    took: Swath, part: BaseGeometry, pieces: Sequence[PreparedGeometry], sweep: float, overrun: float, *, last: bool
) -> tuple[End, float]:
    """Return what a tool does at one end of a cut, and how far it goes past its mark. [m]"""
    reach = took.runs(part, last=last)
    way = took.beyond(GRAZE, max(reach, 2 * GRAZE) + max(sweep, overrun), last=last)
    if not any(piece.intersects(way) for piece in pieces):
        return End.RUN, reach
    past = took.beyond(GRAZE, overrun + 2 * GRAZE, last=last)
    return (End.UPRIGHT, 0.0) if any(piece.intersects(past) for piece in pieces) else (End.STOP, overrun)


class Board:
    """A blank while it is being cut: which pieces still hang together."""

    def __init__(self, leaf: Leaf, saw: Saw, mark: float) -> None:
        self.leaf = leaf
        self.saw = saw
        self.mark = mark
        self.spots = {p.number: p.shape.representative_point() for p in leaf.lying}
        self.staying = {p.number: prep(p.shape.buffer(-GRAZE)) for p in leaf.lying}
        self.parts: list[tuple[Polygon, frozenset[int]]] = [
            (box(0.0, 0.0, leaf.width, leaf.height), frozenset(self.spots))
        ]
        self._known: dict[int, tuple[Polygon, Line]] = {}

    def part(self, number: int) -> tuple[Polygon, frozenset[int]]:
        """Return the part that holds a piece, and what hangs together with it."""
        return next(part for part in self.parts if number in part[1])

    def ended(self, key: int, line: Line) -> Line:
        """Return a cut with its ends as the board is now; a piece that gives way to it is in its way no more."""
        shape, held = self.part(line.numbers[0])
        known = self._known.get(key)
        if known is None or known[0] is not shape:
            giving = frozenset(line.numbers[1:]) if line.partners else frozenset()
            staying = [self.staying[n] for n in sorted(held - giving)] + [self._given(n, line) for n in sorted(giving)]
            found = ended(line, shape, self.saw, staying)
            if found.stops != RUNS and len(held) > 1:
                alone = ended(line, shape, self.saw, [self.staying[n] for n in line.numbers])
                found = replace(found, pinched=alone.stops != found.stops)
            known = shape, found
            self._known[key] = known
        return known[1]

    def _given(self, number: int, line: Line) -> PreparedGeometry:
        """Return what a shared cut leaves of its second piece."""
        shape = next(p.shape for p in self.leaf.lying if p.number == number)
        return prep(shape.difference(taken(self.leaf, line, self.saw.kerf, self.mark)).buffer(-GRAZE))

    def cut(self, line: Line) -> None:
        """Take a cut out of the part that it belongs to."""
        gone = swath(self.leaf, line, self.saw.inside if line.by_hand else self.saw.kerf)
        parts = []
        for shape, held in self.parts:
            if not held & set(line.numbers):
                parts.append((shape, held))
                continue
            rest = shape.difference(gone)
            for one in getattr(rest, "geoms", [rest]):
                inside = frozenset(n for n in held if one.intersects(self.spots[n]))
                if inside:
                    parts.append((one, inside))
        self.parts = parts


def in_order(leaf: Leaf, lines: Sequence[Line], saw: Saw, mark: float) -> list[Line]:
    """Return cuts in the order in which fewest must stop: next always one with the fewest stops, the longest."""
    board = Board(leaf, saw, mark)
    left = list(range(len(lines)))
    done: list[Line] = []
    while left:
        now = {i: board.ended(i, lines[i]) for i in left}
        best = min(left, key=lambda i: (KINDS.index(now[i].kind), now[i].by_hand, -now[i].length, i))
        left.remove(best)
        done.append(now[best])
        board.cut(now[best])
    return done


def freed(piece: Lying, line: Line, saw: Saw) -> Line:
    """Return a cut on a piece that lies free already, with its ends; only the piece itself can be in the way."""
    return ended(line, piece.shape, saw, (prep(piece.shape.buffer(-GRAZE)),))
