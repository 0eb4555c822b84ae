"""What is promised of the boards of one region, and of all: whether they go in as cut, and how many are trimmed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from snugbay.pieces.chain import Chain
from snugbay.pieces.dice import DRAWS, Dice
from snugbay.pieces.fitgap import SURE, Wanted
from snugbay.pieces.placing import Held
from snugbay.pieces.plane import Line
from snugbay.pieces.rates import typical
from snugbay.pieces.regions import least_gap
from snugbay.pieces.scribing import GOES_IN_LAST, MOST_SCRIBED, Opened, opened_in
from snugbay.pieces.values import EdgeKind, Piece, Promise
from snugbay.survey import AdjustedFace

ENOUGH = SURE - 0.005
"""Probability from which no wider gap is looked for. [-]"""


@dataclass(frozen=True)
class Row:
    """The boards of one part of a region.

    Attributes
    ----------
    face, bay : str
        Where.
    layer : int
        Where.
    count : int
        Boards, in the order of the drafts.
    good : array of bool, shape (DRAWS,)
        Draws in which all go in untrimmed.
    trims : array, shape (DRAWS,)
        Boards to be trimmed.
    fits : tuple of float
        For each board the probability that it need not be trimmed.
    wanted : Wanted or None
        The gap that is missing for 95 %.
    last : tuple of Opened
        Boards that are cut last, to what is left.
    """

    face: str
    layer: int
    bay: str
    count: int
    good: NDArray[np.bool_]
    trims: NDArray[np.float64]
    fits: tuple[float, ...]
    wanted: Wanted | None
    last: tuple[Opened, ...] = ()


def row_of(
    boards: Sequence[Held],
    alone: Sequence[float],
    clears: Sequence[float],
    adjusted: AdjustedFace,
    cut: float,
    dice: Dice,
    where: tuple[str, int, str],
    own_lines: Sequence[Line],
    holds: Callable[[int, int, float], bool] | None = None,
) -> Row:
    """Return what the boards of one part of a region promise.

    Parameters
    ----------
    boards : sequence of Held
        As cut.
    alone : sequence of float
        For each board the probability that it goes in for itself, which counts where there is only one.
    clears : sequence of float
        For each board the probability that the holes in it clear what runs through.
    adjusted, cut, dice
        As for `Chain`.
    where : (str, int, str)
        Face, layer, bay.
    own_lines : sequence of Line
        Lines of the region itself, whose gap may be chosen.
    holds : function or None
        As for `opened_in`; None where no board may be cut last, for the order of putting in is not free.

    Notes
    -----
    Where the boards go in too seldom, the gap is widened. Where it would be more than `scribe_from` over the least one,
    the easiest board of the tightest row is cut last to what is left, and so on, as long as a row is short.
    """
    spots = dice.spots(*where, len(boards))
    if len(boards) == 1:
        good = spots[:, 0] <= alone[0]
        return Row(*where, 1, good, np.where(good, 0.0, 1.0), (alone[0],), None)
    corners = dice.corners(adjusted)
    chain = Chain(boards, adjusted, cut, corners, dice.own(*where))
    clear = np.ones(DRAWS, dtype=bool)
    missed = np.zeros(DRAWS)
    for k, chance in enumerate(clears):
        bad = spots[:, k] > chance
        clear &= ~bad
        missed += bad
    own = {ln.name for ln in own_lines}
    wanted = _wanted(chain, own) if chain.goes_in().mean() < ENOUGH else None
    last: list[Opened] = []
    if holds is not None and chain.goes_in().mean() < ENOUGH and _costly(wanted, own_lines):
        tried = chain
        while len(last) < MOST_SCRIBED and tried.goes_in().mean() < ENOUGH:
            opened = opened_in(tried, boards, cut, frozenset(o.board for o in last), holds)
            if opened is None:
                break
            last.append(opened)
            edges = [(o.board, o.scribe.edge) for o in last]
            tried = Chain(boards, adjusted, cut, corners, dice.own(*where), edges)
        if last:
            chain = tried
            wanted = _wanted(chain, own) if chain.goes_in().mean() < ENOUGH else None
    fits = [a * b for a, b in zip(chain.of_boards(), clears, strict=True)]
    luck = dice.spots(*where, 2 * len(boards))[:, len(boards) :]
    for opened in last:
        bad = luck[:, opened.board] > GOES_IN_LAST
        clear &= ~bad
        missed += bad
        fits[opened.board] *= GOES_IN_LAST
    return Row(*where, len(boards), chain.goes_in() & clear, chain.trims() + missed, tuple(fits), wanted, tuple(last))


def _costly(wanted: Wanted | None, lines: Sequence[Line]) -> bool:
    """Return whether a gap would have to be so much wider that a board is rather cut last."""
    least = [least_gap(ln) for ln in lines if ln.captive]
    return wanted is None or wanted.gap > min(least, default=0.0) + typical("scribe_from")


def _wanted(chain: Chain, own: set[str]) -> Wanted | None:
    """Return the gap that is missing: at rough edges, or at all where that is less or rough edges do not help."""
    mine = np.array([c.other is None and c.line.name in own for c in chain.contacts])
    rough = mine & np.array([c.line.edge.kind is EdgeKind.ROUGH for c in chain.contacts])
    at_rough = chain.gap(rough) if rough.any() else None
    if at_rough is not None and at_rough <= typical("foam_max_gap"):
        return Wanted(at_rough, False)
    everywhere = chain.gap(mine) if mine.any() else None
    if everywhere is None:
        return None if at_rough is None else Wanted(at_rough, False)
    return Wanted(everywhere, True) if at_rough is None or everywhere < at_rough else Wanted(at_rough, False)


LIKELY = (0.1, 0.9)
"""Trims are told as the range between these quantiles of the draws in which there are some."""

MOST_NAMED = 3
"""Boards named as those most likely to be trimmed."""


def promise_of(rows: Sequence[tuple[Row, tuple[str, ...]]], pieces: Sequence[Piece]) -> Promise:
    """Return the promise for the whole job: faces are independent, layers of one face share its corners.

    Parameters
    ----------
    rows : sequence of (Row, labels)
        Every row with the labels of its boards.
    pieces : sequence of Piece
        All pieces.
    """
    chance = 1.0
    trims = np.zeros(DRAWS)
    for number, face in enumerate(dict.fromkeys(r.face for r, _ in rows)):
        mine = [r for r, _ in rows if r.face == face]
        chance *= float(np.logical_and.reduce([r.good for r in mine]).mean())
        trims += np.roll(np.sum([r.trims for r in mine], axis=0), 37 * number)
    some = trims[trims > 0]
    low, high = (round(float(q)) for q in np.quantile(some, LIKELY)) if len(some) else (0, 0)
    doubtful = sorted((p for p in pieces if p.fits < 0.995), key=lambda p: p.fits)
    return Promise(chance, float(trims.mean()), low, high, tuple(p.id for p in doubtful[:MOST_NAMED]))
