"""Laying the rest again: which pieces are still to be cut, from what stock, and the sheets that come of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import dist

from snugbay.base import Run
from snugbay.flow import JobPlan
from snugbay.job import Job, SheetStock, Stock
from snugbay.pieces import Piece
from snugbay.sheets import Sheet, SheetPlan
from snugbay.web.views import cut_key


@dataclass(frozen=True)
class Rest:
    """What is still to be cut.

    Attributes
    ----------
    pieces : tuple of Piece
        To be laid again.
    kept : tuple of Sheet
        Sheets that stay as they are: finished, or begun and whole.
    stock : Stock
        What is left in the shed.
    first : int
        Number of the first new sheet.
    """

    pieces: tuple[Piece, ...]
    kept: tuple[Sheet, ...]
    stock: Stock
    first: int


def rest_of(
    plan: JobPlan,
    sheets: SheetPlan,
    *,
    cuts: frozenset[str],
    pieces: frozenset[str],
    wrong: frozenset[str],
    broken: frozenset[str],
) -> Rest:
    """Return what is still to be cut.

    A sheet that was begun and is whole stays as it is; one that is untouched is laid again together with the pieces
    that came out wrong and those that a broken sheet did not give.

    Parameters
    ----------
    plan : JobPlan
        With the pieces and the stock.
    sheets : SheetPlan
        As they lie now.
    cuts, pieces, wrong, broken : frozenset of str
        Ticks: cuts made, pieces finished, pieces that came out wrong, numbers of broken sheets.
    """
    kept = tuple(s for s in sheets.sheets if str(s.number) not in broken and _begun(s, cuts, pieces))
    lost = tuple(s for s in sheets.sheets if str(s.number) in broken)
    safe = {p.piece for s in kept for p in s.placements} | (pieces - wrong)
    again = tuple(p for p in plan.pieces.pieces if p.id in wrong or p.id not in safe)
    first = max((s.number for s in sheets.sheets), default=0) + 1
    return Rest(again, kept, _left(plan.job.stock, (*kept, *lost)), first)


def _begun(sheet: Sheet, cuts: frozenset[str], pieces: frozenset[str]) -> bool:
    return any(cut_key(sheet, c) in cuts for c in sheet.cuts) or any(p.piece in pieces for p in sheet.placements)


def _left(stock: Stock, used: tuple[Sheet, ...]) -> Stock:
    """Return the stock without the sheets and offcuts that are used up."""
    gone = [s.source for s in used]
    offcuts = []
    for offcut in stock.offcuts:
        if offcut.name and offcut.name in gone:
            gone.remove(offcut.name)
        else:
            offcuts.append(offcut)
    sheets = tuple(replace(kind, on_hand=max(0, kind.on_hand - _from_shed(kind, used))) for kind in stock.sheets)
    return replace(stock, offcuts=tuple(offcuts), sheets=sheets)


def _from_shed(kind: SheetStock, used: tuple[Sheet, ...]) -> int:
    return sum(
        s.source == "on hand"
        and (s.material, s.thickness, s.width, s.length) == (kind.material, kind.thickness, kind.width, kind.length)
        for s in used
    )


def lay_rest(job: Job, rest: Rest, run: Run) -> SheetPlan:
    """Lay what is still to be cut and put it behind the sheets that stay.

    Totals are those of all sheets; the cuts of the sheets that stay count by their own lengths and minutes.
    """
    from snugbay.flow import rates_of
    from snugbay.sheets import plan_sheets
    from snugbay.tape import tape_for

    laid = plan_sheets(rest.pieces, rest.stock, job.you.tools, rates_of(job), tape_for(job.units), run).value
    fresh = tuple(replace(sheet, number=rest.first + n) for n, sheet in enumerate(laid.sheets))
    cuts = [c for s in rest.kept for c in s.cuts if c.kind != "factory edge"]
    return replace(
        laid,
        sheets=(*rest.kept, *fresh),
        cut_length=laid.cut_length + sum(dist(c.start, c.end) for c in cuts),
        set_ups=laid.set_ups + len(cuts),
        shared_cuts=laid.shared_cuts + sum(len(c.pieces) > 1 for c in cuts),
        minutes=laid.minutes + sum(s.minutes for s in rest.kept),
    )
