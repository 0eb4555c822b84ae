"""The planned work as cells (a face and an element), and how each cell is shared out over pieces."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from snugbay.job import Job
from snugbay.prove.tables import words

if TYPE_CHECKING:  # what is read of a plan, without the rooms that make one: a log entry is written in no time
    from snugbay.pieces import Piece, PieceSet
    from snugbay.prove.values import Closed
    from snugbay.ways import HourElement
    from snugbay.weigh import Weighing

WHOLE = ""
"""Face id of work that is done once for the job."""
Z95 = 1.6448536269514722
LEAST_HOURS = 1e-6
MOST_SPREAD = 1.5
"""Log-spread taken where the low figure is zero or nearly so. (assumption)"""


@dataclass(frozen=True)
class Cell:
    """Hours planned for one element of the work on one face.

    Attributes
    ----------
    face : str
        Face id, empty for work done once for the job.
    element : str
        Element of the hours.
    hours : float
        Typical, as planned. [h]
    spread : float
        Standard deviation of the logarithm of the hours. [-]
    family : str
        Run of like pieces over which the hand learns.
    of : float
        Share of the face's work that the cell stands for: of a face whose way was changed half-way there are two.
        [0..1]
    since, until : int
        Entries of the log, by number, that may be for it: from ``since`` on, and before ``until`` (-1: no end). What a
        plan left undone when it was changed is not to come any more.
    """

    face: str
    element: str
    hours: float
    spread: float
    family: str
    of: float = 1.0
    since: int = 0
    until: int = -1

    @property
    def closed(self) -> bool:
        """True where no more of it is to come."""
        return self.until >= 0

    def takes(self, entry: int) -> bool:
        """Tell whether an entry of the log may be for it."""
        return self.since <= entry and (not self.closed or entry < self.until)


@dataclass(frozen=True)
class Work:
    """All planned work.

    Attributes
    ----------
    cells : tuple of Cell
        Only those with hours.
    pieces : Mapping of str to tuple of Piece
        Pieces by face, where they are known.
    counts : Mapping of str to int
        Number of pieces by face: as made, else as the way reckons.
    runs : Mapping of str to int
        Number of pieces in each family.
    faces : tuple of str
        Every face id of the job.
    """

    cells: tuple[Cell, ...]
    pieces: Mapping[str, tuple[Piece, ...]]
    counts: Mapping[str, int]
    runs: Mapping[str, int]
    faces: tuple[str, ...]

    @property
    def planned(self) -> float:
        """Typical hours of all of it. [h]"""
        return float(sum(c.hours for c in self.cells))

    def face_of(self, label: str) -> str | None:
        """Return the face of a piece, None where no piece has this label."""
        return next((f for f, own in self.pieces.items() if any(p.id == label for p in own)), None)


def log_spread(low: float, typical: float, high: float) -> float:
    """Standard deviation of the logarithm of a three-point figure, low and high its 5th and 95th percentile. [-]"""
    if typical <= 0 or high <= 0:
        return 0.0
    if low <= 0:
        return min(max(math.log(high / typical) / Z95, 0.0), MOST_SPREAD)
    return min(max(math.log(high / low) / (2 * Z95), 0.0), MOST_SPREAD)


def _merged(rows: Sequence[HourElement]) -> dict[str, tuple[float, float, float]]:
    out: dict[str, tuple[float, float, float]] = {}
    for h in rows:
        low, mid, high = out.get(h.element, (0.0, 0.0, 0.0))
        out[h.element] = (low + h.low, mid + h.typical, high + h.high)
    return out


def _rest(weighing: Weighing) -> dict[str, tuple[float, float, float]]:
    """Hours of the whole plan that belong to no face."""
    whole = _merged(weighing.hours)
    for _, rows in weighing.face_hours:
        for element, (low, mid, high) in _merged(rows).items():
            a, b, c = whole.get(element, (0.0, 0.0, 0.0))
            whole[element] = (a - low, b - mid, c - high)
    return {e: v for e, v in whole.items() if v[1] > LEAST_HOURS}


def planned_work(job: Job, weighing: Weighing, pieces: PieceSet | None, closed: Sequence[Closed] = ()) -> Work:
    """Break the plan's hours into cells.

    Parameters
    ----------
    job : Job
        Faces and the shorthands they come from: faces of one shorthand are one run of like pieces.
    weighing : Weighing
        The plan's hours by face and element.
    pieces : PieceSet or None
        Labels and sizes, where the pieces are made.
    closed : sequence of Closed
        What was done on faces before their way was changed; the plan's hours of these are for the rest.
    """
    origin = {f.id: f.from_shorthand or f.id for f in job.faces}
    cells: list[Cell] = []
    began, left = {c.face: c.entries for c in closed}, dict.fromkeys((c.face for c in closed), 1.0)
    for c in closed:
        left[c.face] -= c.share
        for element, (low, mid, high) in _merged(c.hours).items():
            if mid > LEAST_HOURS:
                spread = log_spread(low, mid, high)
                family = f"{origin.get(c.face, c.face)} until {c.entries}"
                first = max((e.entries for e in closed if e.face == c.face and e.entries < c.entries), default=0)
                cells.append(Cell(c.face, element, mid, spread, family, c.share, first, c.entries))
    for face, rows in weighing.face_hours:
        for element, (low, mid, high) in _merged(rows).items():
            if mid > LEAST_HOURS:
                spread, family = log_spread(low, mid, high), origin.get(face, face)
                cells.append(Cell(face, element, mid, spread, family, left.get(face, 1.0), began.get(face, 0)))
    for element, (low, mid, high) in _rest(weighing).items():
        cells.append(Cell(WHOLE, element, mid, log_spread(low, mid, high), WHOLE))
    by_face: dict[str, list[Piece]] = {}
    for p in pieces.pieces if pieces is not None else ():
        by_face.setdefault(p.face, []).append(p)
    ways = dict(weighing.plan.ways)
    reckoned = {o.face: o.pieces for o in weighing.options if ways.get(o.face) == o.way}
    counts = {f: len(by_face[f]) if f in by_face else reckoned.get(f, 0) for f, _ in weighing.face_hours}
    runs: dict[str, int] = {}
    for f, n in counts.items():
        runs[origin.get(f, f)] = runs.get(origin.get(f, f), 0) + n
    for cell in cells:
        if cell.closed:
            runs[cell.family] = max(runs.get(cell.family, 0), counts.get(cell.face, 0))
    return Work(tuple(cells), {f: tuple(v) for f, v in by_face.items()}, counts, runs, tuple(f.id for f in job.faces))


def _edge_length(p: Piece) -> float:
    return sum(math.dist(a, b) for a, b in zip(p.outline, (*p.outline[1:], p.outline[0]), strict=True))


def piece_shares(work: Work, face: str, element: str, labels: Sequence[str]) -> dict[str, float]:
    """Share of a face's hours of an element that falls on each of the named pieces. [0..1]

    Where the pieces are not made, each counts alike.
    """
    own = work.pieces.get(face)
    if not own:
        n = work.counts.get(face, 0)
        return dict.fromkeys(labels, 1.0 / n if n else 0.0)
    if element in words("learning", "weights", "edge"):
        size = {p.id: _edge_length(p) for p in own}
    elif element in words("learning", "weights", "each"):
        size = {p.id: 1.0 for p in own}
    else:
        size = {p.id: p.area for p in own}
    total = sum(size.values())
    return {k: size[k] / total for k in labels if k in size and total > 0}
