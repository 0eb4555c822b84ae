"""Pieces on sheets: layouts tried, the cheapest to buy and cut kept, with cuts, marks, minutes and offcuts."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from snugbay.base import Effort, NoFit, Outcome, Run, SnugbayError
from snugbay.job import Offcut, Stock, Tool
from snugbay.materials import Board, Rates, board
from snugbay.pieces import Piece
from snugbay.sheets.cutting.boxes import Box, Boxer, packings, shelved
from snugbay.sheets.cutting.gate import faults
from snugbay.sheets.cutting.lines import ROUND
from snugbay.sheets.cutting.minutes import Bench, bench_tool, finishing
from snugbay.sheets.cutting.notes import finished_by_hand, off_grid, out_of_reach, strips
from snugbay.sheets.cutting.patterns import Pattern, pattern
from snugbay.sheets.cutting.yard import SLACK, Done, Worth, Yard, together
from snugbay.sheets.nest.budget import Budget
from snugbay.sheets.nest.instance import Instance, LaidSheet, SheetSize
from snugbay.sheets.nest.lay import lay
from snugbay.sheets.values import Sheet, SheetPlan
from snugbay.tape import Tape


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
        The first one that reaches through a board cuts it. A circular saw never stops or plunges in a board: there the
        next tool cuts, or a knife.
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
    shared, findings, finished = 0, [], True
    mark = float(tape.mark)
    for done, (key, group) in enumerate(groups.items()):
        row = _own_size(board(key), stock)
        own = bench_tool(tools or (Tool.KNIFE,), row.thickness, rates)
        bench = Bench(own, rates, row.thickness, finishing(tools), tools)
        patterns = [pattern(p, mark, (row.length, row.width)) for p in group]
        findings += [off_grid(p) for p in patterns if not p.on_grid]
        worth = Worth(_price(key, row, stock), hour_worth / 60)
        offcuts = tuple(o for o in stock.offcuts if o.material == key)
        yard = Yard(patterns, row, offcuts, bench, worth, mark)
        part = run.within("Sheets", done / len(groups), (done + 1) / len(groups))
        best, complete = _best(patterns, yard, tape, part)
        finished = finished and complete
        sheets += _sourced(best.sheets, key, stock)
        shared += best.shared
    numbered = tuple(replace(s, number=n) for n, s in enumerate(sheets, start=1))
    cuts = [c for s in numbered for c in s.cuts]
    findings += [finding for s in numbered for finding in strips(s, rates)]
    findings += finished_by_hand(numbered, tools)
    findings += out_of_reach(numbered, tools, rates)
    plan = SheetPlan(
        numbered,
        sum(c.length for c in cuts),
        sum(c.kind != ROUND for c in cuts),
        shared,
        max((p.body for s in numbered for p in s.placements), default=0.0),
        sum(s.minutes for s in numbered),
    )
    return Outcome(plan, tuple(findings), (), finished)


def _own_size(row: Board, stock: Stock) -> Board:
    """Return a board in the size of the sheets that the stock states."""
    stated = next((s for s in stock.sheets if s.material == row.key), None)
    return row if stated is None else replace(row, width=stated.width, length=stated.length)


def _price(key: str, row: Board, stock: Stock) -> float:
    stated = [s.price for s in stock.sheets if s.material == key and s.price is not None]
    return stated[0] if stated else row.price


@dataclass(frozen=True)
class Search:
    """How much is tried for an effort; all of it counted, none of it timed.

    Attributes
    ----------
    effort : Effort
        Whose work the layout engine gets.
    seeds : int
        Searches of the layout engine among which its work is shared: they differ in their seed, and so in how they
        can be cut.
    orders : int
        Orders by chance in which boxes are laid in rows.
    rows : int
        Layouts in rows that are carried out.
    again : int
        Other layouts of one sheet's pieces that are carried out.
    sheets : int
        Sheets of one board that are laid again at most.
    """

    effort: Effort
    seeds: int
    orders: int
    rows: int
    again: int
    sheets: int


SEARCHES = (
    Search(Effort.QUICK, 1, 2, 2, 3, 40),
    Search(Effort.NORMAL, 2, 6, 5, 5, 160),
    Search(Effort.THOROUGH, 4, 16, 12, 8, 600),
)


def _searches(effort: Effort) -> tuple[Search, ...]:
    """Return the searches of an effort: those of the lesser ones first, so that more effort finds nothing dearer."""
    efforts = [search.effort for search in SEARCHES]
    return SEARCHES[: efforts.index(effort) + 1]


def _best(patterns: list[Pattern], yard: Yard, tape: Tape, run: Run) -> tuple[Done, bool]:
    """Try layouts, every sheet of them also in rows, and keep what is cheapest to buy and cut."""
    sizes = tuple(_size(o) for o in yard.offcuts)
    outlines = tuple(p.outline for p in patterns)
    sheet = SheetSize(yard.row.length + SLACK, yard.row.width + SLACK)
    instance = Instance(yard.row.key, sheet, outlines, yard.bench.kerf, offcuts=sizes)
    again = _Again(yard, Boxer(patterns, yard.bench.kerf, sheet), _searches(run.effort), tape, run)
    layouts: list[tuple[LaidSheet, ...]] = []
    finished = True
    try:
        for layout, complete in _layouts(instance, again, run):
            finished = finished and complete
            layouts.append(layout)
            again.tried(layout)
            if run.stop():
                break
    except NoFit as error:
        raise _named(error, patterns) from None
    return again.best(layouts), finished and not run.stop()


def _better(one: Done, two: Done) -> bool:
    """True for the layout that hands can follow, of two such the cheaper one."""
    return one.crowded < two.crowded or (one.crowded == two.crowded and one.cost < two.cost - 1e-9)


class _Again:
    """Lays one sheet's pieces again in rows, and keeps the best that passes the saw's gate."""

    def __init__(self, yard: Yard, boxer: Boxer, searches: tuple[Search, ...], tape: Tape, run: Run) -> None:
        self.yard = yard
        self.tape = tape
        self.faults: tuple[str, ...] = ()
        self.boxer = boxer
        self.searches = searches
        self.run = run
        self.left = sum(search.sheets for search in searches)
        self._known: dict[LaidSheet, list[Done]] = {}

    def sets(self, numbers: Sequence[int]) -> tuple[tuple[Box, ...], ...]:
        """Return the ways to put pieces in boxes."""
        pairs = (self.boxer.paired(numbers, of_a_face=first) for first in (True, False))
        return tuple(dict.fromkeys((*pairs, self.boxer.alone(numbers))))

    def tried(self, layout: Sequence[LaidSheet]) -> None:
        """Carry out the sheets of a layout, each as it is laid and in rows, the best first."""
        for laid in layout:
            if laid not in self._known:
                self._known[laid] = sorted(self._tries(laid), key=lambda d: d.rank)

    def best(self, layouts: Sequence[tuple[LaidSheet, ...]]) -> Done:
        """Return the best of the layouts that were tried whose every sheet passes the saw's gate.

        Raises
        ------
        NoFit
            If none does.
        """
        while True:
            found: Done | None = None
            for layout in layouts:
                ways = [self._known[laid] for laid in layout]
                if all(ways):
                    whole = together([way[0] for way in ways])
                    found = whole if found is None or _better(whole, found) else found
            if found is None:
                raise self.refused()
            measured = tuple(self.yard.measured(s) for s in found.sheets)
            wrong = [s for s, m in zip(found.sheets, measured, strict=True) if not self._sawn(m)]
            if not wrong:
                return replace(found, sheets=measured)
            for tries in self._known.values():
                tries[:] = [done for done in tries if not any(done.sheets[0] is s for s in wrong)]

    def _sawn(self, sheet: Sheet) -> bool:
        """Saw a sheet by its instructions alone, and answer whether the pieces come out."""
        pieces = [p.piece for p in self.yard.patterns]
        found = faults(sheet, pieces, self.yard.bench.rates, self.tape)
        self.faults = found or self.faults
        return not found

    def refused(self) -> NoFit:
        """Say why no layout can be sawn as it would be printed."""
        why = "; ".join(self.faults)
        return NoFit(
            f"No way was found to saw the pieces of {self.yard.row.key} out of their sheets by marks: {why}.",
            where=("pieces",),
            code="sheets.not-sawn",
            hint="Try --effort thorough, another tool under you.tools, or measure that piece's face in two parts.",
        )

    def _tries(self, laid: LaidSheet) -> Iterator[Done]:
        yield self.yard.carried(laid)
        if self.left <= 0 or self.run.stop():
            return
        self.left -= 1
        numbers = sorted(one.piece for one in laid.laid)
        kerf, size = self.yard.bench.kerf, laid.size
        for boxes in self.sets(numbers):
            alone = [p.sheets[0] for p in shelved(boxes, size, kerf) if len(p.sheets) == 1]
            yield from (self.yard.carried(replace(one, offcut=laid.offcut)) for one in alone)
        for search in self.searches:
            dice = self.run.rng(f"sheet in rows {numbers}")
            rows = packings(self.sets(numbers), size, (size,), kerf, dice, search.orders, most=0)
            for packing in rows[: search.again]:
                (only,) = packing.sheets
                yield self.yard.carried(replace(only, size=size, offcut=laid.offcut))


def _layouts(instance: Instance, again: _Again, run: Run) -> Iterator[tuple[tuple[LaidSheet, ...], bool]]:
    """Yield layouts to choose from: what the layout engine finds, and rows of boxes, which are easy to cut."""
    count = len(again.searches)
    sets = again.sets(range(len(instance.pieces)))
    if not instance.offcuts:
        for boxes in sets:
            yield from ((p.sheets, True) for p in shelved(boxes, instance.sheet, instance.kerf))
    for level, search in enumerate(again.searches):
        part = run.within("Sheets", level / count, (level + 1) / count)
        budget = Budget.of_effort(search.effort)
        share = replace(budget, work=budget.work // search.seeds)
        for number in range(search.seeds):
            one = part.within("Sheets", number / search.seeds, (number + 1) / search.seeds)
            found = lay(instance, share, replace(one, seed=run.seed + number))
            yield found.value.sheets, found.finished
        dice = run.rng("sheets in rows")
        rows = packings(sets, instance.sheet, instance.offcuts, instance.kerf, dice, search.orders)
        for packing in rows[: search.rows]:
            yield packing.sheets, True


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
