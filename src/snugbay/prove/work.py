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
    """

    face: str
    element: str
    hours: float
    spread: float
    family: str


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


def planned_work(job: Job, weighing: Weighing, pieces: PieceSet | None) -> Work:
    """Break the plan's hours into cells.

    Parameters
    ----------
    job : Job
        Faces and the shorthands they come from: faces of one shorthand are one run of like pieces.
    weighing : Weighing
        The plan's hours by face and element.
    pieces : PieceSet or None
        Labels and sizes, where the pieces are made.
    """
    origin = {f.id: f.from_shorthand or f.id for f in job.faces}
    cells: list[Cell] = []
    for face, rows in weighing.face_hours:
        for element, (low, mid, high) in _merged(rows).items():
            if mid > LEAST_HOURS:
                cells.append(Cell(face, element, mid, log_spread(low, mid, high), origin.get(face, face)))
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
