"""Pieces on sheets: layouts tried, the cheapest to buy and cut kept, with cuts, marks, minutes and offcuts."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

from shapely.geometry import Polygon

from snugbay.base import Effort, Finding, NoFit, Outcome, Run, SnugbayError, Weight
from snugbay.job import Offcut, Stock, Tool
from snugbay.materials import Board, Rates, board
from snugbay.pieces import Piece
from snugbay.sheets.cutting.bevels import Slope
from snugbay.sheets.cutting.carry import TURNS, Blank, Carried, Carrier
from snugbay.sheets.cutting.minutes import Bench
from snugbay.sheets.cutting.patterns import Pattern, pattern, ring
from snugbay.sheets.cutting.tight import tight
from snugbay.sheets.cutting.tree import Cutter, Lying, Node, Scale
from snugbay.sheets.cutting.trims import price_of, without_needless
from snugbay.sheets.nest.budget import Budget
from snugbay.sheets.nest.instance import Instance, LaidSheet, SheetSize
from snugbay.sheets.nest.lay import lay, shelves
from snugbay.sheets.values import Sheet, SheetPlan
from snugbay.survey import Point
from snugbay.tape import Tape

KEEP_SHORT, KEEP_LONG = 6 * 0.0254, 12 * 0.0254
"""Labelled offcuts over 6 x 12 in are kept until the job is done (fitting practice, assumption). [m]"""
OFFCUT_SHARE = 0.3
"""Share of the sheet's price that the area of an offcut worth keeping counts (assumption). [-]"""
SLACK = 1e-9
"""Room for pieces exactly as wide as the sheet. [m]"""


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
class Laid:
    """One layout, carried out.

    Attributes
    ----------
    sheets : tuple of Sheet
        Not yet numbered over the whole job.
    cost : float
        New sheets and minutes, less offcuts worth keeping. [currency]
    shared : int
        Cuts that make two sides.
    rounding : float
        Furthest that a mark was rounded. [m]
    """

    sheets: tuple[Sheet, ...]
    cost: float
    shared: int
    rounding: float


def plan_sheets(
    pieces: tuple[Piece, ...],
    stock: Stock,
    tools: tuple[Tool, ...],
    rates: Rates,
    tape: Tape,
    run: Run,
    hour_worth: float = 25.0,
) -> Outcome[SheetPlan]:
    """Lay pieces on sheets and give the cuts in order with their marks.

    Parameters
    ----------
    pieces : tuple of Piece
        Pieces; ``material`` is the key of their board.
    stock : Stock
        Offcuts and sheets on hand, prices stated.
    tools : tuple of Tool
        The first one cuts.
    rates : Rates
        Minutes, kerf, depth of a pass.
    tape : Tape
        Marks of the tape.
    run : Run
        Seed, effort, progress, stop.
    hour_worth : float
        What an hour of cutting is worth against money. [currency/h]

    Returns
    -------
    Outcome of SheetPlan
        Offcuts first, then new sheets. Pieces are rounded inwards to the marks once; nothing is ever larger than its
        place. No piece is mirrored.

    Raises
    ------
    NoFit
        If a piece comes out of no sheet of its board.
    """
    groups: dict[str, list[Piece]] = defaultdict(list)
    for piece in pieces:
        groups[piece.material].append(piece)
    sheets: list[Sheet] = []
    shared, rounding, findings, finished = 0, 0.0, [], True
    mark = float(tape.mark)
    for done, (key, group) in enumerate(groups.items()):
        row = board(key)
        bench = Bench(tools[0] if tools else Tool.KNIFE, rates, row.thickness)
        patterns = [pattern(p, mark, (row.length, row.width)) for p in group]
        findings += [_off_grid(p) for p in patterns if not p.on_grid]
        worth = Worth(_price(key, row, stock), hour_worth / 60)
        part = run.within("Sheets", done / len(groups), (done + 1) / len(groups))
        best, complete = _best(patterns, row, stock, bench, worth, mark, part)
        finished = finished and complete
        sheets += _sourced(best.sheets, key, stock)
        shared += best.shared
        rounding = max(rounding, best.rounding)
    numbered = tuple(replace(s, number=n) for n, s in enumerate(sheets, start=1))
    cuts = [c for s in numbered for c in s.cuts]
    findings += [_strips(s) for s in numbered if any(c.strip for c in s.cuts)]
    plan = SheetPlan(
        numbered,
        sum(((c.end[0] - c.start[0]) ** 2 + (c.end[1] - c.start[1]) ** 2) ** 0.5 for c in cuts),
        len(cuts),
        shared,
        rounding,
        sum(s.minutes for s in numbered),
    )
    return Outcome(plan, tuple(findings), (), finished)


def _off_grid(found: Pattern) -> Finding:
    return Finding(
        "sheets.off-grid",
        f"Piece {found.piece.id} has no pattern on the tape's marks; its marks are rounded where they are printed.",
        Weight.NOTE,
        ("pieces", found.piece.id),
    )


def _strips(sheet: Sheet) -> Finding:
    cuts = ", ".join(str(c.number) for c in sheet.cuts if c.strip)
    return Finding(
        "sheets.thin-strip",
        f"Sheet {sheet.number}: a strip narrower than 1 in (25 mm) falls off at cut {cuts}. It breaks while it is cut; "
        "hold the straightedge on the piece, not on the strip.",
        Weight.NOTE,
        ("sheets", str(sheet.number)),
    )


def _price(key: str, row: Board, stock: Stock) -> float:
    stated = [s.price for s in stock.sheets if s.material == key and s.price is not None]
    return stated[0] if stated else row.price


def _best(
    patterns: list[Pattern], row: Board, stock: Stock, bench: Bench, worth: Worth, mark: float, run: Run
) -> tuple[Laid, bool]:
    """Try layouts and keep the one that is cheapest to buy and cut."""
    offcuts = [o for o in stock.offcuts if o.material == row.key]
    sizes = tuple(_size(o) for o in offcuts)
    outlines = tuple(p.outline for p in patterns)
    instance = Instance(row.key, SheetSize(row.length + SLACK, row.width + SLACK), outlines, bench.kerf, offcuts=sizes)
    best: Laid | None = None
    finished = True
    try:
        for layout, complete in _layouts(instance, run):
            finished = finished and complete
            found = _carried(layout, patterns, row, offcuts, bench, worth, mark)
            best = found if best is None or found.cost < best.cost - 1e-9 else best
            if run.stop():
                break
    except NoFit as error:
        raise _named(error, patterns) from None
    assert best is not None
    return best, finished and not run.stop()


SEEDS = {Effort.QUICK: 1, Effort.NORMAL: 2, Effort.THOROUGH: 4}
"""Searches among which the work of an effort is shared: they differ in their seed, and so in how they can be cut."""


def _layouts(instance: Instance, run: Run) -> Iterator[tuple[tuple[LaidSheet, ...], bool]]:
    """Yield layouts to choose from: rows of boxes, easy to cut, and what the search finds."""
    count = SEEDS[run.effort]
    budget = Budget.of_effort(run.effort)
    share = replace(budget, work=budget.work // count)
    for number in range(count):
        part = replace(run.within("Sheets", number / count, (number + 1) / count), seed=run.seed + number)
        found = lay(instance, share, part)
        yield found.value.sheets, found.finished
    if not instance.offcuts:
        for turns in (instance.rotations, (0, 180), (90, 270)):
            with suppress(NoFit):
                yield shelves(replace(instance, rotations=turns)), True


def _named(error: NoFit, patterns: list[Pattern]) -> SnugbayError:
    """Put the piece's label in the place of its number."""
    numbers = [s for s in error.where if isinstance(s, int)]
    label = patterns[numbers[0]].piece.id if numbers else ""
    return NoFit(
        f"Piece {label} does not come out of one sheet of its board.",
        where=("pieces", label),
        hint="Choose a larger board in stock.sheets, or measure the face in two parts.",
    )


def _size(offcut: Offcut) -> SheetSize:
    return SheetSize(offcut.length, offcut.width, 1, offcut.damaged, offcut.name)


def _lying(laid_sheet: LaidSheet, patterns: list[Pattern]) -> tuple[Lying, ...]:
    out = []
    for one in laid_sheet.laid:
        found = patterns[one.piece]
        turn = round(one.angle_deg / 90) % 4
        shape, bare = (_turned(p, turn) for p in (found.shape, found.bare))
        slits = tuple((_corner(a, turn), _corner(b, turn)) for a, b in found.slits)
        slopes = tuple(Slope(_corner(s.start, turn), _corner(s.end, turn), s.bevel) for s in found.slopes)
        out.append(Lying(one.piece, shape, turn, bare, slits, slopes).moved(one.x, one.y))
    return tuple(out)


def _corner(point: Point, turn: int) -> Point:
    c, s = TURNS[turn]
    return c * point[0] - s * point[1], s * point[0] + c * point[1]


def _turned(shape: Polygon, turn: int) -> Polygon:
    holes = [[_corner(p, turn) for p in h.coords] for h in shape.interiors]
    return Polygon([_corner(p, turn) for p in shape.exterior.coords], holes)


def _carried(
    layout: Sequence[LaidSheet],
    patterns: list[Pattern],
    row: Board,
    offcuts: list[Offcut],
    bench: Bench,
    worth: Worth,
    mark: float,
) -> Laid:
    per_metre = bench.per_metre() * worth.minute
    price_area = worth.sheet / (row.length * row.width)
    scale = Scale(
        bench.set_up() * worth.minute / per_metre, OFFCUT_SHARE * price_area / per_metre, KEEP_SHORT, KEEP_LONG
    )

    def price(node: Node) -> float:
        return price_of(Carrier(patterns, bench, mark), node, scale, bench.per_metre())

    sheets, cost, shared, rounding = [], 0.0, 0, 0.0
    for laid_sheet in layout:
        size = laid_sheet.size
        width, height = size.width - (SLACK if laid_sheet.offcut is None else 0), size.height
        height -= SLACK if laid_sheet.offcut is None else 0
        tree = Cutter(bench.kerf, mark, scale).tree(_lying(laid_sheet, patterns), width, height, size.spoiled)
        if not size.spoiled:
            tree = tight(tree, width, height, bench.kerf, mark)
            tree = without_needless(tree, price)
        carried = Carrier(patterns, bench, mark).walk(tree, Blank(0.0, 0.0, "sheet", 0))
        source = "new" if laid_sheet.offcut is None else offcuts[laid_sheet.offcut].name
        sheet = _sheet(carried, row, width, height, source, size.spoiled, bench)
        sheets.append(sheet)
        shared += carried.shared
        rounding = max(rounding, carried.rounding)
        kept = sum(w * h for _, _, w, h in sheet.keep)
        cost += (worth.sheet if laid_sheet.offcut is None else 0.0) + sheet.minutes * worth.minute
        cost -= OFFCUT_SHARE * price_area * kept
    return Laid(tuple(sheets), cost, shared, rounding)


def _sheet(
    carried: Carried,
    row: Board,
    length: float,
    width: float,
    source: str,
    damaged: tuple[tuple[float, float, float, float], ...],
    bench: Bench,
) -> Sheet:
    keep = tuple(
        e for e in carried.empty if min(e[2:]) >= KEEP_SHORT and max(e[2:]) >= KEEP_LONG and _sound(e, damaged)
    )
    rest = [
        Polygon([(x, y), (x + w, y), (x + w, y + h), (x, y + h)])
        for x, y, w, h in carried.empty
        if (x, y, w, h) not in keep
    ]
    area = sum(Polygon(p.outline, p.holes).area for p in carried.placements)
    handling = bench.rates["time_model.handling.sheet_handling"].typical
    return Sheet(
        number=0,
        material=row.key,
        thickness=row.thickness,
        width=width,
        length=length,
        source=source,
        placements=tuple(sorted(carried.placements, key=lambda p: p.piece)),
        cuts=tuple(carried.cuts),
        marks=tuple(carried.marks),
        damaged=damaged,
        waste=tuple(ring(w) for w in (*rest, *carried.scraps)),
        keep=keep,
        used=area / (length * width),
        minutes=handling + sum(c.minutes for c in carried.cuts),
    )


def _sound(rect: tuple[float, float, float, float], damaged: tuple[tuple[float, float, float, float], ...]) -> bool:
    x, y, w, h = rect
    return all(dx >= x + w or dx + dw <= x or dy >= y + h or dy + dh <= y for dx, dy, dw, dh in damaged)


def _sourced(sheets: tuple[Sheet, ...], key: str, stock: Stock) -> list[Sheet]:
    """Say of new sheets which ones are in the shed already."""
    left = sum(s.on_hand for s in stock.sheets if s.material == key)
    out = []
    for sheet in sheets:
        if sheet.source == "new" and left > 0:
            left -= 1
            out.append(replace(sheet, source="on hand"))
        else:
            out.append(sheet)
    return out
