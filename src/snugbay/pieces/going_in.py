"""Pieces that are cut again until each was seen to go in."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace

from snugbay.base import Outcome, Run
from snugbay.job import Job
from snugbay.pieces.cutting import Cell
from snugbay.pieces.make import make_pieces
from snugbay.pieces.putting_in import Putting, in_their_places, into_surfaces, put_in, surfaces
from snugbay.pieces.scribing import cut_last_words
from snugbay.pieces.values import BoardChoice, Piece, PieceKind, PieceSet, Tried
from snugbay.survey import Survey

MOST_ROUNDS = 6
"""Most times that the boards are cut anew. [-]"""

NO_WAY = "No way was found to put it in as cut: trim it, or cut it in two on the spot."


def pieces_that_go_in(job: Job, survey: Survey, choices: tuple[BoardChoice, ...], run: Run) -> Outcome[PieceSet]:
    """Make the pieces of every chosen face and try each one's way to its place; cut anew what does not go in.

    Parameters
    ----------
    job, survey, choices, run
        As for `make_pieces`, which also says what is raised.

    Returns
    -------
    Outcome of PieceSet
        Each piece's note says how it is put in, as the trial found it, or that no way was found. Labels and the
        order within a face are those of `make_pieces`; the order of putting in is in `Proof.order`.

    Notes
    -----
    The regions whose boards stick get their next cutting, until all go in or no cutting is left; the round with the
    fewest stuck boards is kept.
    """
    later: Counter[Cell] = Counter()
    best: tuple[int, Outcome[PieceSet], Putting] | None = None
    seen: set[tuple[Piece, ...]] = set()
    for number in range(MOST_ROUNDS):
        made = make_pieces(job, survey, choices, run.within("Pieces", 0.0, 0.7), later=later)
        if made.value.pieces in seen:
            break
        seen.add(made.value.pieces)
        putting, deep = _tried(job, survey, made.value.pieces)
        stuck = set(putting.stuck) - deep
        run.progress("pieces", 0.7 + 0.3 * (number + 1) / MOST_ROUNDS)
        if best is None or len(stuck) < best[0]:
            best = (len(stuck), made, putting)
        if not stuck or not made.finished or run.stop():
            break
        later.update({_cell(made.value.pieces[k]) for k in stuck})
    assert best is not None
    _, outcome, putting = best
    return replace(outcome, value=_noted(outcome.value, putting))


def _tried(job: Job, survey: Survey, pieces: tuple[Piece, ...]) -> tuple[Putting, set[int]]:
    """Return how the pieces go in, and the numbers of those that stand into another face, which no cutting helps."""
    solids, frames = in_their_places(survey, pieces)
    walls = surfaces(job, survey)
    deep = {k for k, _ in into_surfaces(pieces, solids, walls)}
    return put_in(job, survey, pieces, solids, frames, walls), deep


def _cell(piece: Piece) -> Cell:
    return piece.face, piece.layer, piece.bay


def _noted(made: PieceSet, putting: Putting) -> PieceSet:
    """Return the pieces with how they are put in."""
    pieces = tuple(_with_way(p, putting.ways, k) for k, p in enumerate(made.pieces))
    order, stuck = (tuple(pieces[k].id for k in which) for which in (putting.order, putting.stuck))
    return replace(made, pieces=pieces, tried=Tried(order, stuck))


def _with_way(piece: Piece, ways: Mapping[int, str], number: int) -> Piece:
    if piece.kind is PieceKind.PLUG:
        return piece
    way = ways.get(number, NO_WAY)
    return replace(piece, note=" ".join(part for part in (cut_last_words(piece), way) if part))
