"""Pieces and quick layouts behind the board ways: counts, cuts, seams, sheets."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from snugbay.base import Run
from snugbay.job import Job
from snugbay.materials import Rates
from snugbay.pieces import BoardChoice, Piece, PieceSet, Seam, pieces_for_face
from snugbay.sheets.cutting.rounds import without_bites
from snugbay.survey import Point, Survey
from snugbay.ways.conditions import learning
from snugbay.ways.triple import ONE, Triple, total

FLUSH = 0.003
"""Edges this near a factory edge need no cut. [m]"""
ROUND_MARK = 1e-3
"""A bite's centre and radius are rounded to this; only their number counts here. [m]"""
FAMILY = 0.025
"""Pieces whose sides agree to this count as one shape family. [m]"""


def pieces_for(job: Job, survey: Survey, choice: BoardChoice, run: Run) -> PieceSet:
    """Return the pieces of the boards of one face; the one place where the rooms of ways and pieces meet.

    Raises
    ------
    NoFit
        If a layer does not fit its face, or no seams bring its pieces through the way in.
    """
    return pieces_for_face(job, survey, choice, run)


@dataclass(frozen=True)
class Blank:
    """A piece as the sheet sees it.

    Attributes
    ----------
    long, short : float
        Smallest box round it, along one of its edges. [m]
    extra_cuts : int
        Straight edges that do not lie on the box.
    extra_length : float
        Their length. [m]
    notches : int
        Notches and holes.
    bevels : int
        Edges that are not square.
    notch_length : float
        Of the sides of its notches and holes. [m]
    """

    long: float
    short: float
    extra_cuts: int
    extra_length: float
    notches: int
    bevels: int
    notch_length: float = 0.0


@dataclass(frozen=True)
class Cutting:
    """Cutting of the pieces of one face, its share of rows that other faces' pieces lie in too.

    Attributes
    ----------
    sheets : float
        Sheets used, by share.
    cuts : float
        Straight cuts, by share.
    cut_length : float
        [m]
    notches, bevels, pieces : int
        Counts.
    area : float
        Of the pieces. [m²]
    learned : Triple
        Mean time of a piece over the first one's. [-]
    notch_length : float
        Of the sides of notches and holes. [m]
    laid : float or None
        Marking and cutting as the sheets count them, once they are laid. [min]
    """

    sheets: float
    cuts: float
    cut_length: float
    notches: int
    bevels: int
    pieces: int
    area: float
    learned: Triple
    notch_length: float = 0.0
    laid: float | None = None

    def __add__(self, other: Cutting) -> Cutting:
        n = max(self.pieces + other.pieces, 1)
        return Cutting(
            self.sheets + other.sheets,
            self.cuts + other.cuts,
            self.cut_length + other.cut_length,
            self.notches + other.notches,
            self.bevels + other.bevels,
            self.pieces + other.pieces,
            self.area + other.area,
            self.learned * (self.pieces / n) + other.learned * (other.pieces / n),
            self.notch_length + other.notch_length,
        )


def _reflex(points: Sequence[Point], *, closed: bool = True) -> int:
    n, count = len(points), 0
    for i in range(n) if closed else (1,):
        a, b, c = points[i - 1], points[i], points[(i + 1) % n]
        cross = (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
        count += cross < -1e-9
    return count


def blank(piece: Piece) -> Blank:
    """Reckon the smallest box of a piece along one of its edges, and what must be cut besides.

    Notes
    -----
    A notch in an edge adds two corners that turn inwards, one at a corner of the piece one; both count as one notch.
    So does a round bite, whatever the corners of its rim.
    """
    points, bites = without_bites(piece.outline, ROUND_MARK)
    n = len(points)
    best: tuple[float, float, float, float] | None = None
    for i in range(n):
        (ax, ay), (bx, by) = points[i], points[(i + 1) % n]
        length = math.hypot(bx - ax, by - ay)
        if length < 1e-6:
            continue
        ux, uy = (bx - ax) / length, (by - ay) / length
        along = [p[0] * ux + p[1] * uy for p in points]
        across = [-p[0] * uy + p[1] * ux for p in points]
        w, h = max(along) - min(along), max(across) - min(across)
        if best is None or w * h < best[0] - 1e-9:
            best = (w * h, w, h, math.atan2(uy, ux))
    if best is None:
        return Blank(0.0, 0.0, 0, 0.0, 0, 0)
    _, w, h, angle = best
    reflex = _reflex(points)
    notches = math.ceil(reflex / 2) + len(piece.holes) + len(bites)
    extra, extra_length = _off_the_box(points, angle)
    bevels = sum(abs(e.bevel) > 1e-3 for e in piece.edges)
    return Blank(max(w, h), min(w, h), extra, extra_length, notches, bevels, _notch_length(points, piece.holes))


def _notch_length(points: Sequence[Point], holes: Sequence[Sequence[Point]]) -> float:
    """Length of the sides that end in a corner that turns inwards, and of all rims of holes. [m]"""
    n = len(points)
    inward = [_reflex((points[i - 1], points[i], points[(i + 1) % n]), closed=False) > 0 for i in range(n)]
    sides = (math.dist(points[i], points[(i + 1) % n]) for i in range(n) if inward[i] or inward[(i + 1) % n])
    rims = (math.dist(a, b) for hole in holes for a, b in zip(hole, (*hole[1:], hole[0]), strict=True))
    return sum(sides) + sum(rims)


def _off_the_box(points: Sequence[Point], angle: float) -> tuple[int, float]:
    """Straight edges that are askew to the box: each is a cut of its own."""
    c, s = math.cos(angle), math.sin(angle)
    count, length = 0, 0.0
    for (ax, ay), (bx, by) in zip(points, (*points[1:], points[0]), strict=True):
        dx, dy = (bx - ax) * c + (by - ay) * s, -(bx - ax) * s + (by - ay) * c
        if min(abs(dx), abs(dy)) > FLUSH:
            count += 1
            length += math.hypot(dx, dy)
    return count, length


def cuttings(
    faces: Mapping[str, Sequence[Piece]], sheet_length: float, sheet_width: float, rates: Rates
) -> dict[str, Cutting]:
    """Lay the boxes of all faces' pieces in rows along the sheets and share out what is cut.

    Parameters
    ----------
    faces : mapping of str to sequence of Piece
        Pieces of each face, one thickness.
    sheet_length, sheet_width : float
        [m]
    rates : Rates
        For learning.

    Returns
    -------
    dict of str to Cutting
        A rip for each row whose edge is not the sheet's (shared by the pieces of the row), a crosscut for each piece
        that does not end flush, a rip for each piece that is narrower than its row, and a cut for each askew edge.
        Pieces larger than the sheet count as if they were cut from it in the length they have. Learning runs over
        like pieces of all faces.
    """
    items = [_Item(face, p, blank(p)) for face, pieces in faces.items() for p in pieces]
    items.sort(key=lambda i: (-i.blank.short, -i.blank.long))
    sheets: list[_Sheet] = []
    for item in items:
        b = item.blank
        long, short = (b.long, b.short) if b.short <= sheet_width + FLUSH else (b.short, b.long)
        row = _place(sheets, long, short, sheet_length, sheet_width)
        row.items.append((item, long))
        item.crosscut(row, short, long)
    used = sum(long * r.height for s in sheets for r in s.rows for _, long in r.items)
    whole = max(len(sheets) - 1, 0) + (_share(sheets[-1], sheet_length, sheet_width) if sheets else 0.0)
    for sheet in sheets:
        for row in sheet.rows:
            length = sum(long for _, long in row.items)
            for item, long in row.items:
                part = long / length if length > 0 else 1.0
                item.sheets = whole * long * row.height / used if used > 0 else 0.0
                if not row.flush:
                    item.cuts += part
                    item.length += part * sheet_length
    learned = _learned(items, rates)
    return {face: _sum(face, items, learned) for face in faces}


@dataclass
class _Item:
    face: str
    piece: Piece
    blank: Blank
    cuts: float = 0.0
    length: float = 0.0
    sheets: float = 0.0

    @property
    def family(self) -> tuple[int, int, int]:
        return round(self.blank.long / FAMILY), round(self.blank.short / FAMILY), self.blank.notches

    def crosscut(self, row: _Row, short: float, long: float) -> None:
        self.cuts += self.blank.extra_cuts
        self.length += self.blank.extra_length
        if row.left > FLUSH:
            self.cuts += 1
            self.length += row.height
        if row.height - short > FLUSH:
            self.cuts += 1
            self.length += long


def _learned(items: Sequence[_Item], rates: Rates) -> dict[tuple[int, int, int], Triple]:
    counts = Counter(i.family for i in items)
    return {family: learning(n, rates) for family, n in counts.items()}


def _sum(face: str, items: Sequence[_Item], learned: Mapping[tuple[int, int, int], Triple]) -> Cutting:
    own = [i for i in items if i.face == face]
    factor = total(learned[i.family] for i in own) * (1.0 / len(own)) if own else ONE
    return Cutting(
        sum(i.sheets for i in own),
        sum(i.cuts for i in own),
        sum(i.length for i in own),
        sum(i.blank.notches for i in own),
        sum(i.blank.bevels for i in own),
        len(own),
        sum(i.piece.area for i in own),
        factor,
        sum(i.blank.notch_length for i in own),
    )


class _Row:
    def __init__(self, height: float, left: float, flush: bool) -> None:
        self.height, self.left, self.flush = height, left, flush
        self.items: list[tuple[_Item, float]] = []


class _Sheet:
    def __init__(self) -> None:
        self.rows: list[_Row] = []
        self.top = 0.0


def _place(sheets: list[_Sheet], long: float, short: float, sheet_length: float, sheet_width: float) -> _Row:
    for sheet in sheets:
        for row in sheet.rows:
            if row.left >= long - FLUSH and short <= row.height + FLUSH:
                row.left -= long
                return row
    for sheet in sheets:
        if sheet.top + short <= sheet_width + FLUSH:
            break
    else:
        sheet = _Sheet()
        sheets.append(sheet)
    flush = abs(sheet.top + short - sheet_width) <= FLUSH
    row = _Row(short, sheet_length - long, flush)
    sheet.top += short
    sheet.rows.append(row)
    return row


def _share(sheet: _Sheet, sheet_length: float, sheet_width: float) -> float:
    return sum((sheet_length - max(r.left, 0.0)) * r.height for r in sheet.rows) / (sheet_length * sheet_width)


def seam_lengths(seams: Sequence[Seam]) -> dict[str, float]:
    """Total length of seams by kind. [m]"""
    out: dict[str, float] = {}
    for s in seams:
        out[s.kind.value] = out.get(s.kind.value, 0.0) + s.length
    return out
