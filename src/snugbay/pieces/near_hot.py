"""Boards of one face that come too near to a hot thing of another: a flue in the floor, a hand from the wall."""

from __future__ import annotations

from collections.abc import Sequence

import manifold3d
import numpy as np

from snugbay.base import Finding, Weight
from snugbay.job import Job
from snugbay.pieces.obstacles import obstacles
from snugbay.pieces.values import Piece
from snugbay.survey import Survey
from snugbay.survey.hot import distance, hot_items, kept_clear
from snugbay.tape import tape_for

BEHIND = 0.02
"""The thing is looked at from this far behind its face. [m]"""

LEAST = 1000.0
"""Shared space under this is the trouble of corners that just touch. [mm³]"""


def near_hot(job: Job, survey: Survey, pieces: Sequence[Piece], solids: Sequence[manifold3d.Manifold]) -> list[Finding]:
    """Return a STOP for each piece that comes too near to a hot thing of another face.

    Notes
    -----
    The thing, with its safe distance all round, is taken to stand square to its face, from behind it to as far before
    it as the boards there and the distance reach; where it leans or turns off further out, nobody knows.
    """
    found = []
    tops: dict[str, float] = {}
    for piece in pieces:
        tops[piece.face] = max(tops.get(piece.face, 0.0), piece.depth + piece.thickness)
    for face in job.faces:
        adjusted, items = survey.face(face.id), hot_items(face)
        if adjusted.frame is None or not items:
            continue
        frame = adjusted.frame
        placing = np.column_stack([frame.ex, frame.ey, frame.normal, np.asarray(frame.origin) * 1000.0])
        hot = [t for t in obstacles(face, adjusted, 0.0, 0.0) if t.hot]
        for item, thing in zip(items, hot, strict=True):
            far = kept_clear(item) or 0.0
            ring = thing.bare.buffer(far).simplify(1e-3).exterior
            corners = list(ring.coords)[:-1] if ring.is_ccw else list(ring.coords)[:0:-1]
            section = manifold3d.CrossSection([[(x * 1000, y * 1000) for x, y in corners]])
            tall = (tops.get(face.id, 0.0) + far + BEHIND) * 1000.0
            body = manifold3d.Manifold.extrude(section, tall).translate((0.0, 0.0, -BEHIND * 1000.0))
            placed = body.transform(placing)
            for piece, solid in zip(pieces, solids, strict=True):
                if piece.face != face.id and (solid ^ placed).volume() > LEAST:
                    text = distance(far, tape_for(job.units).text)
                    found.append(_finding(piece, face.id, item.name, text, far))
    return found


def _finding(piece: Piece, face: str, name: str, text: str, far: float) -> Finding:
    return Finding(
        "pieces.hot-near",
        f"{piece.id} comes within {text} of {name} in {face}: write {name} as a notch or a hole of {piece.face} too, "
        "so that its boards keep clear.",
        Weight.STOP,
        ("faces", piece.face),
        numbers={"clear_m": far},
    )
