"""Laying the rest again: which pieces are still to be cut, from what stock, and the sheets that come of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from snugbay.base import Run
from snugbay.flow.values import JobPlan, Supply
from snugbay.job import Job, Offcut, SheetStock, Stock
from snugbay.pieces import Piece, blank
from snugbay.sheets import Cut, Sheet, SheetPlan, plan_sheets
from snugbay.tape import tape_for
from snugbay.ways import rates_of

WHOLE = ("new", "on hand")
"""Sources of whole sheets; any other is the name of an offcut."""


def cut_key(sheet: Sheet, cut: Cut) -> str:
    """Return the name of a cut among the ticks; sheets that are laid again get new numbers, so it stays its own."""
    return f"{sheet.number}/{cut.number}"


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
    lost: tuple[Sheet, ...] = (),
    wanted: Sequence[Piece] | None = None,
) -> Rest:
    """Return what is still to be cut.

    A sheet that was begun and is whole stays as it is; one that is untouched is laid again together with the pieces
    that came out wrong and those that a broken sheet did not give.

    Parameters
    ----------
    plan : JobPlan
        With the pieces and the stock, and the sheets that were bought for it.
    sheets : SheetPlan
        As they lie now.
    cuts, pieces, wrong, broken : frozenset of str
        Ticks: cuts made, pieces finished, pieces that came out wrong, numbers of broken sheets.
    lost : tuple of Sheet
        Sheets that broke before, of earlier layings.
    wanted : sequence of Piece, optional
        The pieces to be had in the end, where they are not those of the plan.
    """
    kept = tuple(s for s in sheets.sheets if str(s.number) not in broken and _begun(s, cuts, pieces))
    lost = (*lost, *(s for s in sheets.sheets if str(s.number) in broken))
    safe = {p.piece for s in kept for p in s.placements} | (pieces - wrong)
    asked = plan.pieces.pieces if wanted is None else wanted
    again = tuple(p for p in asked if p.id in wrong or p.id not in safe)
    first = last_sheet(plan, sheets) + 1
    return Rest(again, kept, _left(plan, kept, lost), first)


def last_sheet(plan: JobPlan, sheets: SheetPlan) -> int:
    """Return the highest number that a sheet has had so far: none is given again."""
    before = plan.onward.last_sheet if plan.onward is not None else 0
    return max((before, *(s.number for s in (*plan.sheets.sheets, *sheets.sheets))))


def _begun(sheet: Sheet, cuts: frozenset[str], pieces: frozenset[str]) -> bool:
    return any(cut_key(sheet, c) in cuts for c in sheet.cuts) or any(p.piece in pieces for p in sheet.placements)


def broken_before(layings: Sequence[SheetPlan], now: SheetPlan, broken: frozenset[str]) -> tuple[Sheet, ...]:
    """Return the sheets that broke and lie in no laying any more, each once."""
    here = {s.number for s in now.sheets}
    found = {s.number: s for plan in layings for s in plan.sheets if str(s.number) in broken and s.number not in here}
    return tuple(found.values())


def _left(plan: JobPlan, kept: tuple[Sheet, ...], lost: tuple[Sheet, ...]) -> Stock:
    """Return what is in the house: sheets bought and not begun, offcuts, and what the sheets that stay leave over."""
    stock = plan.job.stock
    gone = Counter(_part_key(s.source, s) for s in (*kept, *lost) if s.source not in WHOLE)
    rests = (Offcut(s.material, s.thickness, h, w, (), rest_name(s.number)) for s in kept for _, _, w, h in s.keep)
    offcuts = []
    for offcut in (*stock.offcuts, *rests):
        key = _part_key(offcut.name, offcut)
        if gone[key] > 0:
            gone[key] -= 1
        else:
            offcuts.append(offcut)
    return replace(stock, sheets=_whole_left(plan, (*kept, *lost)), offcuts=tuple(offcuts))


def _part_key(name: str, part: Offcut | Sheet) -> tuple[str, str, float, float]:
    return (name, part.material, round(part.length, 4), round(part.width, 4))


def _whole_left(plan: JobPlan, gone: Iterable[Sheet]) -> tuple[SheetStock, ...]:
    """Return the stock of whole sheets with what was bought for the plan in it, less what is begun or broken."""
    had, used = _had(plan), _whole(gone)
    sizes = {s.material: s for s in plan.sheets.sheets if s.source in WHOLE}
    known = {kind.material for kind in plan.job.stock.sheets}
    bought = (SheetStock(s.material, s.thickness, s.width, s.length) for s in sizes.values() if s.material not in known)
    out: list[SheetStock] = []
    seen: set[str] = set()
    for kind in (*plan.job.stock.sheets, *bought):
        left = 0 if kind.material in seen else max(0, had[kind.material] - used[kind.material])
        seen.add(kind.material)
        out.append(replace(kind, on_hand=left))
    return tuple(out)


def rest_name(number: int) -> str:
    """Return the name of what a sheet leaves over."""
    return f"rest of sheet {number}"


def supplies(plan: JobPlan, now: SheetPlan, lost: tuple[Sheet, ...]) -> tuple[Supply, ...]:
    """Hold the sheets that are needed now against those that were bought for the plan or lay in the shed.

    Parameters
    ----------
    plan : JobPlan
        Whose buying list was followed.
    now : SheetPlan
        Sheets as they are laid now.
    lost : tuple of Sheet
        Broken sheets that lie in no laying any more.
    """
    planned, had = _whole(plan.sheets.sheets), _had(plan)
    used = _whole((*now.sheets, *lost))
    return tuple(Supply(key, had[key], used[key]) for key in sorted({*planned, *used}))


def _had(plan: JobPlan) -> Counter[str]:
    """Whole sheets in the house once the plan's list was bought: those it is laid on, or what the shed held if more."""
    if plan.onward is not None:
        return Counter({s.material: max(s.had, s.used) for s in plan.onward.supplies})
    shed = Counter[str]()
    for kind in plan.job.stock.sheets:
        shed[kind.material] += kind.on_hand
    return _whole(plan.sheets.sheets) | shed


def _whole(sheets: Iterable[Sheet]) -> Counter[str]:
    return Counter(s.material for s in sheets if s.source in WHOLE)


def lay_rest(job: Job, rest: Rest, run: Run) -> SheetPlan:
    """Lay what is still to be cut and put it behind the sheets that stay.

    Totals are those of all sheets; the cuts of the sheets that stay count by their own lengths and minutes.
    """
    laid = plan_sheets(
        tuple(blank(p) for p in rest.pieces),
        rest.stock,
        job.you.tools,
        rates_of(job),
        tape_for(job.units),
        run,
        job.you.hour_worth,
    ).value
    fresh = tuple(replace(sheet, number=rest.first + n) for n, sheet in enumerate(laid.sheets))
    cuts = [c for s in rest.kept for c in s.cuts if c.kind != "factory edge"]
    return replace(
        laid,
        sheets=(*rest.kept, *fresh),
        cut_length=laid.cut_length + sum(c.length for c in cuts),
        set_ups=laid.set_ups + sum(not c.radius for c in cuts),
        shared_cuts=laid.shared_cuts + sum(len(c.pieces) > 1 for c in cuts),
        minutes=laid.minutes + sum(s.minutes for s in rest.kept),
    )
