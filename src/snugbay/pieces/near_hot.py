"""Boards of one face that come too near to a hot thing of another: a flue in the floor, a hand from the wall."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import manifold3d
import numpy as np

from snugbay.base import Finding, Said, Weight
from snugbay.base.facts import FaceRef, Length, Name, PieceRef
from snugbay.job import Job
from snugbay.pieces.obstacles import obstacles
from snugbay.pieces.values import Piece, PieceKind
from snugbay.survey import Survey
from snugbay.survey.hot import hot_items, kept_clear
from snugbay.survey.untied import untied

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
                own = piece.face == face.id and piece.kind is not PieceKind.PLUG  # cut to keep clear
                if not own and (solid ^ placed).volume() > LEAST:
                    found.append(_finding(piece, face.id, item.name, far))
    return found + _beside_untied(job, survey, tops)


def _beside_untied(job: Job, survey: Survey, tops: Mapping[str, float]) -> list[Finding]:
    """Return a STOP for each hot thing beside an opening that a box, tied to none, would fill with boards round it.

    Notes
    -----
    Where the box stands in space nothing says; but its boards lie round the opening, as thick as on any of its faces.
    """
    found = []
    for one in untied(job, survey):
        face, thick = job.face(one.face), max((tops.get(f, 0.0) for f in one.faces), default=0.0)
        if thick <= 0.0:
            continue
        things = obstacles(face, survey.face(face.id), 0.0, 0.0)
        hole = next(t.bare for t in things if t.opening == one.opening)
        for item, thing in zip(hot_items(face), (t for t in things if t.hot), strict=True):
            far = kept_clear(item) or 0.0
            if hole.distance(thing.bare) < thick + far:
                found.append(
                    Finding.of(
                        "pieces.hot-box-near",
                        Weight.STOP,
                        ("shapes", one.box),
                        box=Name(one.box),
                        clear=Length(far),
                        item=Name(item.name),
                        face=FaceRef(face.id),
                        opening=Name(one.opening.name),
                    )
                )
    return found


def _finding(piece: Piece, face: str, name: str, far: float) -> Finding:
    own = piece.face == face
    what = (
        Said.of("pieces.said.plug-beside")
        if own
        else Said.of("pieces.said.write-it-too", item=Name(name), own=FaceRef(piece.face))
    )
    return Finding.of(
        "pieces.hot-near",
        Weight.STOP,
        ("faces", piece.face),
        piece=PieceRef(piece.id),
        clear=Length(far),
        item=Name(name),
        face=FaceRef(face),
        what=what,
    )
