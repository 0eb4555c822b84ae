"""Which pieces the log has as cut already."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from snugbay.job import Job
from snugbay.pieces import PieceSet
from snugbay.prove.log import element_name, read_log, standing
from snugbay.prove.values import Closed
from snugbay.prove.work import Work, piece_shares, planned_work
from snugbay.weigh import Weighing

CUTTING = "cutting"
BEFORE = ("marking", "set-up")
"""Work after which a piece is not cut yet."""


@dataclass(frozen=True)
class PiecesCut:
    """What is cut, as the log has it.

    Attributes
    ----------
    pieces : frozenset of str
        Labels.
    taken : tuple of (str, tuple of str)
        Of faces of which the log gives a share of the work alone: the pieces that are taken as cut for it, in the order
        in which they were made.
    """

    pieces: frozenset[str]
    taken: tuple[tuple[str, tuple[str, ...]], ...] = ()


def pieces_cut(
    job: Job, weighing: Weighing, pieces: PieceSet, closed: Sequence[Closed] = (), before: Iterable[str] = ()
) -> PiecesCut:
    """Return which pieces are cut: those that the log names, and as many more as its shares of the work say.

    Parameters
    ----------
    job, weighing, pieces, closed
        The job with its log, the plan that is followed, its pieces.
    before : iterable of str
        Pieces that were cut when the job was last planned anew: they stay cut.
    """
    work = planned_work(job, weighing, pieces, closed)
    entries, _ = standing(job.log)
    named = {p for _, e in entries if element_name(e.element) not in BEFORE for p in e.pieces}
    known = {p.id for p in pieces.pieces}
    cut = (named | set(before)) & known
    taken: list[tuple[str, tuple[str, ...]]] = []
    for face, done in _shares(job, work).items():
        more = _up_to(work, face, done, cut)
        if more:
            taken.append((face, more))
    return PiecesCut(frozenset(cut).union(*(more for _, more in taken)), tuple(taken))


def _shares(job: Job, work: Work) -> dict[str, float]:
    """Share of the cutting that is done, face by face."""
    record = read_log(job.log, work)
    return {
        c.face: d
        for c, d in zip(work.cells, record.done, strict=True)
        if c.element == CUTTING and c.face and not c.closed
    }


def _up_to(work: Work, face: str, done: float, cut: set[str]) -> tuple[str, ...]:
    """Return pieces that are whole within a share of the cutting, beside those that are cut."""
    labels = [p.id for p in work.pieces.get(face, ())]
    shares = piece_shares(work, face, CUTTING, labels)
    left = done - sum(shares[k] for k in labels if k in cut)
    more: list[str] = []
    for label in labels:
        if label in cut:
            continue
        left -= shares[label]
        if left < -1e-6:
            break
        more.append(label)
    return tuple(more)
