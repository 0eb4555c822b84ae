"""How much of each layer is covered, and the narrowest gap: reckoned from the pieces and the survey alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import cos, inf, pi, sin, tan

import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as ShapelyPoint
from shapely.geometry.base import BaseGeometry

from snugbay.job import Face, Job, Join
from snugbay.pieces.corners import NEARLY_FLAT, opening_of
from snugbay.pieces.intruders import Stacks, intruders
from snugbay.pieces.obstacles import Obstacle, obstacles
from snugbay.pieces.overlay import mended, shared, together, without
from snugbay.pieces.plane import offset_outline, polygons
from snugbay.pieces.rates import typical
from snugbay.pieces.regions import edge_numbers, members
from snugbay.pieces.solids import middle_of
from snugbay.pieces.stack import Slab
from snugbay.pieces.values import EdgeKind, Fitting, Piece, PieceKind
from snugbay.survey import Survey

BROAD = 0.01
"""Bare spots narrower than this are the trouble of gaps meeting at corners, not missing board. [m]"""


@dataclass(frozen=True)
class Covered:
    """One layer of one face.

    Attributes
    ----------
    face : str
        Face id.
    layer : int
        Layer.
    meant : float
        Area meant for board, at the middle of its thickness. [m²]
    board : float
        Area that boards of this face or, at corners, of its neighbours cover. [m²]
    bare : float
        Area that is neither board nor a gap left on purpose. [m²]
    """

    face: str
    layer: int
    meant: float
    board: float
    bare: float


def meant_shape(job: Job, survey: Survey, face: Face, z: float, heights: dict[str, float], bays: bool) -> Polygon:
    """Return the area of a face meant for board at a height over its surface, things not yet left out.

    At an inside corner it reaches to the other face's surface; at an outside corner to the bisector, or to the front
    of the other face's boards where these are thinner.
    """
    points = survey.face(face.id).points
    insets = [0.0] * len(points)
    for join in job.joins:
        for own, edge, other in ((join.a, join.edge_a, join.b), (join.b, join.edge_b, join.a)):
            if own == face.id and not bays:
                inset = _meant_inset(join, survey, z, heights.get(other, 0.0))
                for number in edge_numbers(face, edge):
                    insets[number] = inset
    shape = Polygon(offset_outline(points, insets)[0])
    return mended(shape)


def _meant_inset(join: Join, survey: Survey, z: float, other: float) -> float:
    theta = opening_of(join, survey).angle
    if abs(sin(theta)) < NEARLY_FLAT:
        return z / tan(theta / 2)
    if theta < pi:
        return z * cos(theta) / sin(theta)
    return max(z / tan(theta / 2), (other + z * cos(theta)) / sin(theta))


def things_of(job: Job, survey: Survey, face: Face, stacks: Stacks, bays: bool) -> tuple[Obstacle, ...]:
    """Return what interrupts a layer of a face, reaching well past its edges: in front, boards of boxes as well."""
    things = obstacles(face, survey.face(face.id), 0.3, 0.0)
    return things if bays else things + intruders(job, survey, stacks, face.id, 0.0)


def stacks_of(pieces: Sequence[Piece]) -> dict[str, tuple[Slab, ...]]:
    """Return the layers of every face, as its pieces lie."""
    found: dict[str, dict[int, Slab]] = {}
    in_front: dict[str, set[int]] = {}
    for p in pieces:
        if p.kind is not PieceKind.PLUG:
            where = Fitting.IN_BAYS if p.bay else Fitting.OVER
            slab = Slab(p.layer, p.thickness, where, p.depth, p.depth + p.thickness, 0)
            found.setdefault(p.face, {})[p.layer] = slab
            if not p.bay:
                in_front.setdefault(p.face, set()).add(p.layer)
    ranks = {(f, layer): k + 1 for f, layers in in_front.items() for k, layer in enumerate(sorted(layers))}
    return {
        face: tuple(replace(slab, surface_rank=ranks.get((face, slab.layer), 0)) for slab in layers.values())
        for face, layers in found.items()
    }


def covered(
    face: Face,
    layer: int,
    meant: BaseGeometry,
    own: Sequence[Piece],
    others: BaseGeometry,
    things: Sequence[Obstacle],
    foamed: bool,
) -> Covered:
    """Return the coverage of one layer.

    Parameters
    ----------
    face : Face
        The face.
    layer : int
        The layer.
    meant : geometry
        `meant_shape` less framing between bays.
    own : sequence of Piece
        Boards of this layer.
    others : geometry
        Slice through the boards of other faces at the middle of this layer.
    things : sequence of Obstacle
        What is left out.
    foamed : bool
        True where strips too narrow for board were declared as left to foam.
    """
    bare_things = together([t.bare for t in things])
    meant = without(meant, bare_things)
    boards, reach = [], []
    for piece in own:
        outline = middle_of(piece)
        boards.append(mended(Polygon(outline, piece.holes)))
        grown, _ = offset_outline(outline, [-e.gap - e.wedge - 1e-5 for e in piece.edges])
        reach.append(without(Polygon(grown), _stray_holes(piece, things)))
    here = shared(together([*boards, others]), meant)
    missing = without(meant, together([*reach, others.buffer(1e-3)]))
    broad = missing.buffer(-BROAD / 2).buffer(BROAD / 2)
    if foamed:
        least = typical("min_strip") + 4 * typical("foam_min_gap")  # the gaps run on slanting edges too
        broad = together([p for p in polygons(broad) if not p.buffer(-least / 2).is_empty])
    return Covered(face.id, layer, float(meant.area), float(here.area), float(broad.area))


def _stray_holes(piece: Piece, things: Sequence[Obstacle]) -> BaseGeometry:
    """Return the holes of a piece that no thing explains."""
    explained = together([t.shape.buffer(1e-3) for t in things])
    return without(together([Polygon(h) for h in piece.holes]), explained)


def narrowest(own: Sequence[Piece], solid: BaseGeometry) -> float:
    """Return the narrowest gap at the rough edges of pieces, measured to what stands there; infinite without any. [m]

    Parameters
    ----------
    own : sequence of Piece
        Boards of one layer.
    solid : geometry
        Lines and shapes of what stands round the boards at their front.
    """
    least = inf
    for piece in own:
        for k, edge in enumerate(piece.edges):
            if edge.kind is not EdgeKind.ROUGH or piece.kind is PieceKind.PLUG:
                continue
            line = LineString([piece.outline[k], piece.outline[(k + 1) % len(piece.outline)]])
            if line.length < BROAD:
                continue
            for share in (0.25, 0.5, 0.75):
                at: ShapelyPoint = line.interpolate(share, normalized=True)
                least = min(least, float(at.distance(solid)) * cos(edge.bevel))
    return least


def around(survey: Survey, face: Face, meant: Polygon, things: Sequence[Obstacle], bays: bool) -> BaseGeometry:
    """Return the lines and shapes that stand round the boards of a layer at their front."""
    solids = [meant.exterior, *[t.bare for t in things if t.opening is None]]
    if bays:
        solids += members(Polygon(survey.face(face.id).points), face)
    return shapely.union_all(solids)
