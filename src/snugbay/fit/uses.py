"""What each step uses, in the units that the list buys: sheets as laid, kits of the sizes that are bought."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from snugbay.fit.values import FittingPlan, Sealing, Step
from snugbay.pieces import PieceSet
from snugbay.sheets import SheetPlan
from snugbay.ways.resources import Shelf
from snugbay.weigh import Purchase

LEAST = 1e-9
"""Amounts below are nothing. [selling units]"""


@dataclass
class _Pack:
    """What is left of the units of one size. [measure of the resource]"""

    item: str
    size: float
    left: float


class _Store:
    """What is bought and in the shed, taken out step by step: of each resource the largest size is opened first."""

    def __init__(self, buying: Iterable[Purchase], things: Shelf) -> None:
        self._things = things
        self._packs: defaultdict[str, list[_Pack]] = defaultdict(list)
        for bought in buying:
            thing = things.items.get(bought.item)
            units = bought.units + bought.on_hand
            if thing is not None and units > 0 and not bought.once:
                self._packs[thing.resource].append(_Pack(thing.id, thing.amount, units * thing.amount))
        for packs in self._packs.values():
            packs.sort(key=lambda p: -p.size)

    def take(self, item: str, amount: float) -> Iterable[tuple[str, float]]:
        """Return an amount of an item in the sizes that are there; as it was where none is."""
        thing = self._things.items.get(item)
        packs = self._packs.get(thing.resource, []) if thing is not None else []
        if thing is None or not packs:
            return ((item, amount),)
        wanted = amount * thing.amount
        out: dict[str, float] = {}
        for pack in packs:
            part = min(wanted, pack.left)
            if part > LEAST * pack.size:
                out[pack.item] = part / pack.size
                pack.left -= part
                wanted -= part
        if wanted > LEAST * packs[-1].size:  # a typical need over what was bought: the last one is stretched
            out[packs[-1].item] = out.get(packs[-1].item, 0.0) + wanted / packs[-1].size
        return tuple(out.items())


def with_uses(
    fitting: FittingPlan, pieces: PieceSet, sheets: SheetPlan, buying: Sequence[Purchase], things: Shelf
) -> FittingPlan:
    """Return the order of work with what its steps use counted as it is laid and bought.

    Parameters
    ----------
    fitting : FittingPlan
        Uses as the weighing reckoned them, in the units in which needs are stated.
    pieces, sheets : PieceSet, SheetPlan
        Each whole sheet is shared out over the steps by the area of the pieces that come out of it, so that all steps
        together use the sheets that are laid; offcuts count for nothing.
    buying : sequence of Purchase
        The list, with what is in the shed.
    things : Shelf
        What each unit holds.
    """
    laid = _sheet_shares(pieces, sheets)
    boards = {p.material for p in pieces.pieces}
    store = _Store(buying, things)
    lines = _as_bought(fitting.sealing, buying, things)
    return replace(fitting, steps=tuple(_counted(step, laid, boards, store) for step in fitting.steps), sealing=lines)


def _as_bought(lines: Sequence[Sealing], buying: Sequence[Purchase], things: Shelf) -> tuple[Sealing, ...]:
    """Return the sealing list in the one size that was bought of each: foam out of straw cans, not out of gun cans."""
    sizes: dict[str, set[str]] = defaultdict(set)
    for b in buying:
        if b.item in things.items and b.units + b.on_hand > 0 and not b.once:
            sizes[things.items[b.item].resource].add(b.item)
    out = []
    for line in lines:
        thing = things.items[line.item]
        only = sizes.get(thing.resource, set())
        if len(only) == 1 and line.item not in only:
            other = things.items[next(iter(only))]
            out.append(replace(line, item=other.id, amount=line.amount * thing.amount / other.amount))
        else:
            out.append(line)
    return tuple(out)


def _sheet_shares(pieces: PieceSet, sheets: SheetPlan) -> dict[str, tuple[str, float]]:
    """Board and share of a whole sheet for each piece that lies on one; no share for those on offcuts."""
    area = {p.id: p.area for p in pieces.pieces}
    out: dict[str, tuple[str, float]] = {}
    for sheet in sheets.sheets:
        whole = sum(area[p.piece] for p in sheet.placements)
        share = 1.0 if sheet.source in ("new", "on hand") else 0.0
        out |= {p.piece: (sheet.material, share * area[p.piece] / whole) for p in sheet.placements}
    return out


def _counted(step: Step, laid: dict[str, tuple[str, float]], boards: set[str], store: _Store) -> Step:
    known = bool(step.pieces) and all(label in laid for label in step.pieces)
    uses: defaultdict[str, float] = defaultdict(float)
    if known:
        for material, share in (laid[label] for label in step.pieces):
            uses[material] += share
    for item, amount in step.uses:
        if known and item in boards:
            continue
        for bought, units in store.take(item, amount):
            uses[bought] += units
    return replace(step, uses=tuple((item, amount) for item, amount in uses.items() if amount > LEAST))
