"""Layouts carried out sheet by sheet: cut tree, cuts, marks, minutes, what is kept, and what it all costs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from snugbay.job import Offcut
from snugbay.materials import Board
from snugbay.sheets.cutting.bevels import Slope
from snugbay.sheets.cutting.carry import MOST_CUTS, MOST_INSIDE, TURNS, Blank, Carried, Carrier, rounded
from snugbay.sheets.cutting.minutes import Bench
from snugbay.sheets.cutting.patterns import Pattern, ring
from snugbay.sheets.cutting.tight import tight
from snugbay.sheets.cutting.tree import Cutter, Lying, Node, Scale
from snugbay.sheets.cutting.trims import price_of, without_needless
from snugbay.sheets.nest.instance import LaidSheet
from snugbay.sheets.values import Sheet
from snugbay.survey import Point

KEEP_SHORT, KEEP_LONG = 6 * 0.0254, 12 * 0.0254
"""Labelled offcuts over 6 x 12 in are kept until the job is done (fitting practice, assumption). [m]"""
OFFCUT_SHARE = 0.3
"""Share of the sheet's price that the area of an offcut worth keeping counts (assumption). [-]"""
SLACK = 1e-9
"""Room for pieces exactly as wide as the sheet. [m]"""
LEAST_MINUTE = 1e-3
"""A minute counts at least so much, so that of two layouts that cost the same the one sooner cut is kept. [currency]"""

PINCHED = 60.0
"""A sheet whose pieces are not parted by cuts that run from edge to edge must save so much, or a sheet (the rule of the
bench: such cuts are slow, and one slip spoils two pieces). [min]"""

Rect = tuple[float, float, float, float]


@dataclass(frozen=True)
class Worth:
    """What counts when layouts are compared.

    Attributes
    ----------
    sheet : float
        Price of a new sheet. [currency]
    minute : float
        Worth of a minute of cutting. [currency/min]
    """

    sheet: float
    minute: float


@dataclass(frozen=True)
class Done:
    """A sheet, or several, carried out.

    Attributes
    ----------
    sheets : tuple of Sheet
        Not yet numbered over the whole job.
    cost : float
        New sheets, minutes and waste that breaks, less offcuts worth keeping. [currency]
    shared : int
        Cuts that make two sides.
    crowded : int
        Cuts and marks inside a part beyond what one drawing can hold.
    """

    sheets: tuple[Sheet, ...]
    cost: float
    shared: int
    crowded: int = 0

    @property
    def rank(self) -> tuple[int, float]:
        """Order among layouts: those that hands can follow first, then the cheapest."""
        return self.crowded, self.cost


def together(parts: Sequence[Done]) -> Done:
    """Return sheets that were carried out one by one as one."""
    return Done(
        tuple(s for p in parts for s in p.sheets),
        sum(p.cost for p in parts),
        sum(p.shared for p in parts),
        sum(p.crowded for p in parts),
    )


def crowded(sheet: Sheet) -> int:
    """Return how many cuts and marks inside there are beyond what the drawing of a part of a sheet can hold.

    Those that one piece alone asks for, as one with many notches does, do not count: no layout has fewer.
    """
    blanks: dict[int, str] = {c.number: c.blank for c in sheet.cuts}
    own = {name: {p for c in sheet.cuts if c.blank == name for p in c.pieces} for name in blanks.values()}
    several = [name for name in blanks.values() if len(own[name]) > 1]
    inside = Counter(blanks[m.cut] for m in sheet.marks if m.edge == "inside")
    cuts = Counter(blanks.values())
    return sum(max(cuts[b] - MOST_CUTS, 0) + max(inside[b] - MOST_INSIDE, 0) for b in dict.fromkeys(several))


class Yard:
    """Where sheets of one board are cut.

    Parameters
    ----------
    patterns : sequence of Pattern
        By number.
    row : Board
        The board.
    offcuts : sequence of Offcut
        On hand, by their number in layouts.
    bench : Bench
        Tool and rates.
    worth : Worth
        What counts.
    mark : float
        Distance between two marks of the tape. [m]
    """

    def __init__(
        self,
        patterns: Sequence[Pattern],
        row: Board,
        offcuts: Sequence[Offcut],
        bench: Bench,
        worth: Worth,
        mark: float,
    ) -> None:
        self.patterns = patterns
        self.row = row
        self.offcuts = offcuts
        self.bench = bench
        self.minute = max(worth.minute, LEAST_MINUTE)
        self.sheet_price = worth.sheet
        self.mark = mark
        per_metre = bench.per_metre() * self.minute
        self.area_worth = OFFCUT_SHARE * worth.sheet / (row.length * row.width)
        set_up = bench.set_up() * self.minute / per_metre
        self.scale = Scale(set_up, self.area_worth / per_metre, KEEP_SHORT, KEEP_LONG)
        self._known: dict[LaidSheet, Done] = {}

    def carried(self, laid: LaidSheet) -> Done:
        """Return one sheet carried out."""
        if laid not in self._known:
            self._known[laid] = self._carried(laid)
        return self._known[laid]

    def _carried(self, laid: LaidSheet) -> Done:
        size, bench, mark = laid.size, self.bench, self.mark
        slack = SLACK if laid.offcut is None else 0.0
        width, height = size.width - slack, size.height - slack
        tree = Cutter(bench.kerf, mark, self.scale).tree(self._lying(laid), width, height, size.spoiled)
        if not size.spoiled:
            tree = tight(tree, width, height, bench.kerf, mark)
            tree = without_needless(tree, self._price)
        carried = Carrier(self.patterns, bench, mark).walk(tree, Blank(0.0, 0.0, "sheet", 0))
        source = "new" if laid.offcut is None else self.offcuts[laid.offcut].name
        sheet = self._sheet(carried, width, height, source, size.spoiled)
        cost = self.sheet_price if laid.offcut is None else 0.0
        cost += (sheet.minutes + bench.set_up() * sum(c.strip > 0 for c in sheet.cuts)) * self.minute
        cost -= self.area_worth * sum(w * h for _, _, w, h in sheet.keep)
        cost += PINCHED * self.minute * bool(carried.pinched)
        return Done((sheet,), cost, carried.shared, crowded(sheet))

    def measured(self, sheet: Sheet) -> Sheet:
        """Return a sheet with what rounding takes off each of its pieces."""
        patterns = {p.piece.id: p for p in self.patterns}
        return replace(sheet, placements=tuple(rounded(p, patterns[p.piece]) for p in sheet.placements))

    def _price(self, node: Node) -> float:
        return price_of(Carrier(self.patterns, self.bench, self.mark), node, self.scale, self.bench.per_metre())

    def _lying(self, laid: LaidSheet) -> tuple[Lying, ...]:
        out = []
        for one in laid.laid:
            found = self.patterns[one.piece]
            turn = round(one.angle_deg / 90) % 4
            shape, bare = (_turned(p, turn) for p in (found.shape, found.bare))
            slits = tuple((_corner(a, turn), _corner(b, turn)) for a, b in found.slits)
            slopes = tuple(Slope(_corner(s.start, turn), _corner(s.end, turn), s.bevel) for s in found.slopes)
            rounds = tuple(r.turned(*TURNS[turn]) for r in found.rounds)
            origin = _corner(found.origin, turn)
            out.append(Lying(one.piece, shape, turn, bare, slits, slopes, rounds, origin).moved(one.x, one.y))
        return tuple(out)

    def _sheet(self, carried: Carried, length: float, width: float, source: str, damaged: tuple[Rect, ...]) -> Sheet:
        keep = tuple(r for e in carried.empty if _worth_keeping(r := _sound_part(e, damaged)))
        rest = [Polygon(_ring(e)).difference(_union(keep)) for e in carried.empty]
        waste = [p for r in rest for p in getattr(r, "geoms", [r]) if isinstance(p, Polygon) and p.area > 1e-9]
        area = sum(Polygon(p.outline, p.holes).area for p in carried.placements)
        handling = self.bench.rates["time_model.handling.sheet_handling"].typical
        return Sheet(
            number=0,
            material=self.row.key,
            thickness=self.row.thickness,
            width=width,
            length=length,
            source=source,
            placements=tuple(sorted(carried.placements, key=lambda p: p.piece)),
            cuts=tuple(carried.cuts),
            marks=tuple(carried.marks),
            damaged=damaged,
            waste=tuple(ring(w) for w in (*waste, *carried.scraps)),
            keep=keep,
            used=area / (length * width),
            minutes=handling + sum(c.minutes for c in carried.cuts),
        )


def _corner(point: Point, turn: int) -> Point:
    c, s = TURNS[turn]
    return c * point[0] - s * point[1], s * point[0] + c * point[1]


def _turned(shape: Polygon, turn: int) -> Polygon:
    holes = [[_corner(p, turn) for p in h.coords] for h in shape.interiors]
    return Polygon([_corner(p, turn) for p in shape.exterior.coords], holes)


def _ring(rect: Rect) -> tuple[Point, ...]:
    x, y, w, h = rect
    return ((x, y), (x + w, y), (x + w, y + h), (x, y + h))


def _union(rects: Sequence[Rect]) -> BaseGeometry:
    return unary_union([Polygon(_ring(r)) for r in rects])


def _worth_keeping(rect: Rect) -> bool:
    return min(rect[2:]) >= KEEP_SHORT and max(rect[2:]) >= KEEP_LONG


def _sound_part(rect: Rect, damaged: Sequence[Rect]) -> Rect:
    """Return the largest part of a rectangle beside, below or above its damaged zones."""
    for dx, dy, dw, dh in damaged:
        x, y, w, h = rect
        if dx >= x + w or dx + dw <= x or dy >= y + h or dy + dh <= y:
            continue
        parts = [
            (x, y, max(dx - x, 0.0), h),
            (dx + dw, y, max(x + w - dx - dw, 0.0), h),
            (x, y, w, max(dy - y, 0.0)),
            (x, dy + dh, w, max(y + h - dy - dh, 0.0)),
        ]
        rect = max(parts, key=lambda p: p[2] * p[3])
    return rect
