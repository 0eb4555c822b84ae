"""How thick boards may be before they stand into a face that no join ties to theirs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import manifold3d

from snugbay.base import NoFit
from snugbay.job import Job
from snugbay.pieces.putting_in import as_manifold, into_surfaces
from snugbay.pieces.values import Piece, PieceKind
from snugbay.survey import Survey


@dataclass(frozen=True)
class Room:
    """The room before a face.

    Attributes
    ----------
    most : float
        Greatest of the thicknesses tried that stands into nothing; 0 where none does. [m]
    other : str
        The face that the next thickness stands into.
    """

    most: float
    other: str


def room_before(
    job: Job,
    survey: Survey,
    pieces: Sequence[Piece],
    walls: Mapping[str, manifold3d.Manifold],
    thicknesses: Sequence[float],
) -> Room | None:
    """Return the room before a face, None where the greatest thickness stands into nothing.

    Parameters
    ----------
    job, survey
        Joins, boxes, and where the faces stand.
    pieces : sequence of Piece
        Boards of one layer of one face, before its surface.
    walls : Mapping of str to manifold
        The surfaces of all faces (`surfaces`).
    thicknesses : sequence of float
        Thicknesses of all layers together. [m]

    Notes
    -----
    At a join the boards end on the other face's plane, so that joined faces are left out, and so are boxes that stand
    in an opening: boards are cut round theirs.
    """
    boards = [p for p in pieces if p.kind is not PieceKind.PLUG and not p.bay]
    if not boards or survey.face(boards[0].face).frame is None:
        return None
    frame = survey.face(boards[0].face).frame
    assert frame is not None
    tied = _tied(job, boards[0].face)
    others = {face: wall for face, wall in walls.items() if face not in tied}
    into = ""
    for thick in sorted(set(thicknesses), reverse=True):
        tried = [replace(p, thickness=thick, depth=0.0) for p in boards]
        try:
            solids = [as_manifold(p, frame) for p in tried]
        except (NoFit, ValueError):  # so thick, a bevelled edge eats its piece up: nobody could cut it
            continue
        found = into_surfaces(tried, solids, others)
        if not found:
            return Room(thick, into) if into else None
        into = found[0][1]
    return Room(0.0, into)


def _tied(job: Job, face: str) -> set[str]:
    """Return the faces that a face's boards are made to suit: those joined to it, and boxes with their hosts."""
    tied = {face} | {j.b for j in job.joins if j.a == face} | {j.a for j in job.joins if j.b == face}
    tied |= {f for host in job.hosts for f in host.faces}
    return tied | {host.face for host in job.hosts if face in host.faces}
