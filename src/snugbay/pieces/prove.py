"""The proof in solids: no two pieces overlap, gaps are as meant, faces are covered, pieces come in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import manifold3d
import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from snugbay.base import Finding, Run, Said, Told, Weight
from snugbay.base.facts import Area, Count, FaceRef, Length, Listed, PieceRef, Share, as_fact
from snugbay.job import Job
from snugbay.pieces.coverage import Covered, around, covered, meant_shape, narrowest, stacks_of, things_of
from snugbay.pieces.entry import PRESS
from snugbay.pieces.near_hot import near_hot
from snugbay.pieces.overlay import mended, together, without
from snugbay.pieces.putting_in import in_their_places, into_surfaces, put_in, surfaces
from snugbay.pieces.regions import members
from snugbay.pieces.values import Piece, PieceKind, PieceSet, Promise, Proof, Tried
from snugbay.survey import Frame, Survey

LEAST_VOLUME = 1e-9
"""Overlaps smaller than this are float noise. [m³]"""


@dataclass(frozen=True)
class Overlap:
    """Two pieces that share space: labels, volume [m³] and mean depth [m]."""

    a: str
    b: str
    volume: float
    depth: float


def boxes(solids: Sequence[manifold3d.Manifold]) -> NDArray[np.float64]:
    """Return the boxes round solids, shape (n, 6): least x, y, z, then greatest. [mm]"""
    return np.array([s.bounding_box() for s in solids]).reshape(-1, 6)


def overlaps(pieces: Sequence[Piece], solids: Sequence[manifold3d.Manifold]) -> list[Overlap]:
    """Return the pairs of pieces that share more space than float noise and a press fit.

    Notes
    -----
    The mean depth of an overlap is twice its volume over its surface, right for a thin sheet.
    """
    found = []
    bounds = boxes(solids)
    for i in range(len(solids)):
        meets = (bounds[i + 1 :, :3] < bounds[i, 3:] - 1e-3) & (bounds[i + 1 :, 3:] > bounds[i, :3] + 1e-3)
        for j in np.flatnonzero(meets.all(axis=1)) + i + 1:
            shared = solids[i] ^ solids[int(j)]
            volume, surface = shared.volume() * 1e-9, shared.surface_area() * 1e-6
            if volume > LEAST_VOLUME and 2 * volume / surface > PRESS:
                found.append(Overlap(pieces[i].id, pieces[int(j)].id, volume, 2 * volume / surface))
    return found


def prove_in_solids(job: Job, survey: Survey, piece_set: PieceSet, run: Run) -> Proof:
    """Check all pieces as solids in their places.

    Parameters
    ----------
    job : Job
        Faces, access.
    survey : Survey
        The adjusted faces and where they stand; faces without a place are checked each in a space of its own.
    piece_set : PieceSet
        From `make_pieces`.
    run : Run
        Progress and stop.

    Returns
    -------
    Proof
        Counts, coverage, narrowest gap, and in words.
    """
    pieces = piece_set.pieces
    solids, frames = in_their_places(survey, pieces)
    run.progress("proof", 0.3)
    pairs = overlaps(pieces, solids)
    run.progress("proof", 0.6)
    cover, gap = _layers(job, survey, piece_set, solids, frames)
    meant, bare = sum(c.meant for c in cover), sum(c.bare for c in cover)
    share = sum(c.board for c in cover) / meant if meant else 0.0
    way = all(w.passes for w in piece_set.way_in)
    walls = surfaces(job, survey)
    through = into_surfaces(pieces, solids, walls)
    deep = {k for k, _ in through}
    tried = piece_set.tried
    if tried is None or sorted(tried.order) != sorted(p.id for p in pieces):
        putting = put_in(job, survey, pieces, solids, frames, walls)
        tried = Tried(*(tuple(pieces[k].id for k in which) for which in (putting.order, putting.stuck)))
    held = [piece for piece in tried.stuck if piece not in {pieces[k].id for k in deep}]
    findings = [_overlap_finding(o) for o in pairs]
    findings += [_bare_finding(c) for c in cover if c.bare > 1e-3 * c.meant]
    findings += [_way_finding(w.piece, w.how) for w in piece_set.way_in if not w.passes]
    findings += [_held_finding(piece) for piece in held]
    findings += [_through_finding(pieces[k].id, face) for k, face in through]
    findings += near_hot(job, survey, pieces, solids)
    run.progress("proof", 1.0)
    return Proof(
        len(pieces),
        len(pairs),
        share,
        gap,
        way,
        in_words(len(pieces), len(pairs), share, gap, way, len(held), len(deep), piece_set.promise),
        bare / meant if meant else 0.0,
        not held and not through,
        tuple(findings),
        tried.order,
    )


def _layers(
    job: Job,
    survey: Survey,
    piece_set: PieceSet,
    solids: Sequence[manifold3d.Manifold],
    frames: Mapping[str, Frame],
) -> tuple[list[Covered], float]:
    """Return the coverage of each layer of each face, and the narrowest gap."""
    pieces = piece_set.pieces
    stacks = stacks_of(pieces)
    heights = {face: max([0.0, *(s.front for s in stack)]) for face, stack in stacks.items()}
    foam = {f.where[1] for f in piece_set.findings if f.code in FOAMED and len(f.where) > 1}
    cover: list[Covered] = []
    least = float("inf")
    for face_id, layer in dict.fromkeys(
        (p.face, p.layer) for p in pieces if p.kind in (PieceKind.BOARD, PieceKind.STRIP)
    ):
        face = job.face(face_id)
        own = [p for p in pieces if p.face == face_id and p.layer == layer and p.kind is not PieceKind.PLUG]
        back, front = own[0].depth, own[0].depth + own[0].thickness
        bays = bool(own[0].bay)
        things = things_of(job, survey, face, stacks, bays)
        meant: BaseGeometry = meant_shape(job, survey, face, (back + front) / 2, heights, bays)
        if bays:
            meant = without(meant, together(members(Polygon(survey.face(face_id).points), face)))
        strangers = [s for s, p in zip(solids, pieces, strict=True) if p.face != face_id]
        slices = slice_at(strangers, frames[face_id], (back + front) / 2)
        cover.append(covered(face, layer, meant, own, slices, things, face_id in foam))
        stands = around(survey, face, meant_shape(job, survey, face, front, heights, bays), things, bays)
        least = min(least, narrowest(own, stands))
    return cover, least


FOAMED = ("pieces.sliver", "pieces.narrow-bay", "pieces.hot-strip")
"""Findings that declare strips left to foam, or open beside what is hot."""


def slice_at(solids: Sequence[manifold3d.Manifold], frame: Frame, z: float) -> BaseGeometry:
    """Return the slice of solids by the plane at a height over a face, in the plane of the face. [m]"""
    axes = np.array([frame.ex, frame.ey, frame.normal])
    move = np.column_stack([axes, -axes @ np.asarray(frame.origin) * 1000.0])
    found = []
    for body in solids:
        placed = body.transform(move)
        box = placed.bounding_box()
        if box[2] < z * 1000.0 < box[5]:
            found += [mended(Polygon(np.asarray(r) / 1000.0)) for r in placed.slice(z * 1000.0).to_polygons()]
    return together(found)


def in_words(
    count: int,
    pairs: int,
    share: float,
    gap: float,
    way: bool,
    held: int,
    deep: int,
    promise: Promise | None = None,
) -> Said:
    """Return the proof in one line."""
    return Said.of(
        "pieces.proof",
        pieces=Count(count),
        overlaps=Count(pairs),
        covered=Share(float(np.floor(share * 1000) / 1000)),
        gap=Said.of("pieces.said.narrowest", gap=Length(gap)) if np.isfinite(gap) else Said.of("pieces.said.no-gaps"),
        way=None if way else Said.of("pieces.said.not-all-pass"),
        held=Said.of("pieces.said.not-put-in", n=Count(held)) if held else None,
        deep=Said.of("pieces.said.standing-into", n=Count(deep)) if deep else None,
        promise=Said.of("pieces.said.promised", promise=promise.said) if promise is not None else None,
    )


def _overlap_finding(overlap: Overlap) -> Finding:
    pieces = Listed((PieceRef(overlap.a), PieceRef(overlap.b)))
    return Finding.of("pieces.overlap", Weight.WARN, (), pieces=pieces, depth=Length(overlap.depth))


def _bare_finding(cover: Covered) -> Finding:
    return Finding.of(
        "pieces.bare",
        Weight.WARN,
        ("faces", cover.face),
        face=FaceRef(cover.face),
        layer=Count(cover.layer),
        area=Area(cover.bare),
    )


def _held_finding(piece: str) -> Finding:
    return Finding.of("pieces.put-in", Weight.WARN, (), piece=PieceRef(piece))


def _through_finding(piece: str, face: str) -> Finding:
    return Finding.of("pieces.through", Weight.STOP, ("faces", face), piece=PieceRef(piece), face=FaceRef(face))


def _way_finding(piece: str, how: Told) -> Finding:
    return Finding.of("pieces.way-in", Weight.STOP, ("access",), piece=PieceRef(piece), how=as_fact(how))
