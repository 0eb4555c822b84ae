"""From the regions of a layer to its pieces: obstacles out, seams, edges named, slits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from math import erf, hypot, sqrt, tan
from types import MappingProxyType

import numpy as np
from shapely.geometry import Point as ShapelyPoint
from shapely.geometry import Polygon
from shapely.ops import nearest_points

from snugbay.base import Finding, NoFit, Said, Weight
from snugbay.base.facts import Area, Count, FaceRef, Length
from snugbay.job import Face
from snugbay.pieces.fitgap import Fit
from snugbay.pieces.limits import Limits, blank_of
from snugbay.pieces.necks import neck_seams, parted, without_legs
from snugbay.pieces.obstacles import Obstacle, opened_to_edge
from snugbay.pieces.overlay import shared, together, without
from snugbay.pieces.patterns import asked, patterns
from snugbay.pieces.placing import Held, order_to_fit, rows_from_the_bottom
from snugbay.pieces.plane import FREE, Line, LineBook, holes_of, offset_outline, polygons, ring, tidy
from snugbay.pieces.rates import rate, typical
from snugbay.pieces.regions import Region, Site, member_centres
from snugbay.pieces.rows import Row, row_of
from snugbay.pieces.scribing import can_stay_open, widened
from snugbay.pieces.seams import Ask, Cutting, Segment, cut_region
from snugbay.pieces.stack import Slab
from snugbay.pieces.values import Edge, EdgeKind, Piece, PieceKind
from snugbay.survey import Point

Cell = tuple[str, int, str]
"""A region of boards: face, layer, bay (empty where the face has none)."""

NONE_LATER: Mapping[Cell, int] = MappingProxyType({})
"""Every region gets the first cutting that should go in."""


@dataclass(frozen=True)
class Laid:
    """What a layer is cut into.

    Attributes
    ----------
    drafts : tuple of Draft
        Pieces.
    seams : tuple of Segment
        Where they are parted.
    findings : tuple of Finding
        What was found.
    rows : tuple of Row
        What its boards promise, in the order of the drafts; empty where nobody asked.
    """

    drafts: tuple[Draft, ...] = ()
    seams: tuple[Segment, ...] = ()
    findings: tuple[Finding, ...] = ()
    rows: tuple[Row, ...] = ()

    def and_then(self, more: Laid) -> Laid:
        """Return both."""
        return Laid(
            self.drafts + more.drafts, self.seams + more.seams, self.findings + more.findings, self.rows + more.rows
        )


@dataclass(frozen=True)
class Draft:
    """A piece before it has its label.

    Attributes
    ----------
    piece : Piece
        All but its id, and the neighbours of its seams.
    outer : Polygon
        Front and back together. [m]
    """

    piece: Piece
    outer: Polygon


def back_of(outline: Sequence[Point], edges: Sequence[Edge], thickness: float) -> list[Point]:
    """Return the outline of the back of a piece, point for point with its front. [m]

    Raises
    ------
    ValueError
        If neighbouring edges in one line have different bevels.
    """
    points, _ = offset_outline(outline, [-thickness * tan(e.bevel) for e in edges])
    if len(points) != len(outline):
        raise ValueError("Neighbouring edges in one line have different bevels.")
    return points


def outer_of(outline: Sequence[Point], edges: Sequence[Edge], thickness: float) -> Polygon:
    """Return front and back of a piece together, as the blank must hold them. [m]"""
    front = Polygon(outline)
    if all(abs(e.bevel) < 1e-9 for e in edges):
        return front
    back, _ = offset_outline(outline, [-thickness * tan(e.bevel) for e in edges])
    return together([front, Polygon(back)]).convex_hull if not front.is_empty else front


def cut_layer(
    site: Site,
    slab: Slab,
    regions: Sequence[Region],
    things: Sequence[Obstacle],
    limits: Limits,
    beneath: tuple[Segment, ...],
    later: Mapping[Cell, int] = NONE_LATER,
) -> Laid:
    """Cut every region of a layer into pieces.

    Parameters
    ----------
    site : Site
        The face.
    slab : Slab
        The layer.
    regions : sequence of Region
        Shapes to fill.
    things : sequence of Obstacle
        What is left out.
    limits : Limits
        What one piece may measure.
    beneath : tuple of Segment
        Seams of the layer beneath.
    later : Mapping of (face, layer, bay) to int
        How many of the cuttings that should go in are passed over, because the trial found that they do not.

    Returns
    -------
    Laid
        Pieces, seams of this layer, what was found, and what its rows promise.

    Raises
    ------
    NoFit
        If no seams make the pieces small enough for the sheet and the way in.
    """
    laid = Laid()
    for region in regions:
        findings: list[Finding] = []
        left = region.front
        near = [opened_to_edge(t, region.front) for t in things]
        for thing, opened in zip(things, near, strict=True):
            bridge = shared(without(opened.shape, thing.shape), region.front)
            findings += [_sliver(site.face, slab, p, thing.hot) for p in polygons(bridge, 1e-3)]
        for thing in near:
            if left.intersects(thing.shape):
                left = without(left, thing.shape)
        for whole in polygons(left):
            if whole.buffer(-typical("min_strip") / 2).is_empty:
                findings.append(_sliver(site.face, slab, whole))
                continue
            parts, off = without_legs(whole)
            findings += [_sliver(site.face, slab, leg) for leg in off]
            for part in parts:
                passed = later.get((site.face.id, slab.layer, "" if slab.covers else region.bay), 0)
                laid = laid.and_then(_cut_part(site, slab, region, part, near, off, limits, beneath, passed))
        laid = laid.and_then(Laid(findings=tuple(findings)))
    return laid


def _cut_part(
    site: Site,
    slab: Slab,
    region: Region,
    part: Polygon,
    things: Sequence[Obstacle],
    off: Sequence[Polygon],
    limits: Limits,
    beneath: tuple[Segment, ...],
    passed: int,
) -> Laid:
    near = [t for t in things if t.shape.intersects(region.front)]
    lines = [*region.lines, *(ln for t in near for ln in t.lines()), *_foam_lines(off)]
    outline, found = _lined(part, LineBook(lines))
    ask = Ask(
        part,
        outer_of(outline, [ln.edge for ln in found], slab.thickness),
        limits,
        _welcome(part, near),
        framing_of(site, slab),
        beneath,
        _bevelled_corners(outline, [ln.edge for ln in found], slab.thickness),
    )
    trials: list[_Trial] = []
    small = False
    for pattern in patterns(site.face, region, near, passed > 0):
        cutting = cut_region(asked(ask, pattern, near))
        if cutting is None or any(cutting.parts == t.cutting.parts for t in trials):
            continue
        trial = _trial(_at_necks(cutting, ask), lines, slab.thickness)
        small = small or trial is None
        if trial is not None:
            trials.append(trial)
            if trial.order is not None and not passed:
                break
    if not trials:
        raise _no_corner(site.face, slab) if small else _no_fit(site.face, slab, ask)
    trials.sort(key=lambda t: t.order is None)
    best = trials[min(passed, len(trials) - 1)]
    order = best.order or [(k, STUCK) for k in rows_from_the_bottom(best.held)]
    boards = [best.held[k] for k, _ in order]
    drafts = [_draft(site, slab, region, held, near, way) for held, (_, way) in zip(boards, order, strict=True)]
    thin = tuple(_sliver(site.face, slab, p) for p in best.thin if blank_of(p)[0] > BARELY)
    rows: tuple[Row, ...] = ()
    if site.dice is not None:
        where = (site.face.id, slab.layer, region.bay)
        clears = [_holes_clear(site, held.part, near) for held in boards]
        alone = [d.piece.fits for d in drafts]
        free = not any(way for _, way in order) and not slab.covers and not region.bay
        holds = partial(_blank_holds, boards, slab.thickness, limits) if free else None
        row = row_of(boards, alone, clears, site.adjusted, site.cut, site.dice, where, region.lines, holds)
        drafts = [replace(d, piece=replace(d.piece, fits=f)) for d, f in zip(drafts, row.fits, strict=True)]
        for opened in row.last:
            draft = drafts[opened.board]
            drafts[opened.board] = replace(draft, piece=replace(draft.piece, scribe=opened.scribe))
        drafts.sort(key=lambda d: d.piece.scribe is not None)
        rows = (row,)
    return Laid(tuple(drafts), tuple(best.cutting.lines), thin, rows)


def _blank_holds(
    boards: Sequence[Held], thickness: float, limits: Limits, board: int, edge: int, allowance: float
) -> bool:
    """Return whether a board can be cut last at an edge: a square seam, and its blank can be had."""
    if not can_stay_open(boards[board], edge):
        return False
    outline = widened(boards[board].outline, edge, (allowance, allowance))
    outer = outer_of(outline, [ln.edge for ln in boards[board].lines], thickness)
    return bool(outer.is_valid) and limits.fits_shape(outer)


BARELY = 0.003
"""Slivers narrower than this vanish in the gap beside them. [m]"""


@dataclass(frozen=True)
class _Trial:
    """A cutting: its pieces, the slivers left to foam, and an order in which the pieces should go in, if any."""

    cutting: Cutting
    held: list[Held]
    thin: list[Polygon]
    order: list[tuple[int, str]] | None


def _trial(cutting: Cutting, lines: Sequence[Line], thickness: float) -> _Trial | None:
    """Return a cutting with its pieces, None where one of them could not be cut with its bevels."""
    thin = [p for p in cutting.parts if p.buffer(-rate("min_strip").low / 2).is_empty]
    book = LineBook([*lines, *_seam_lines(cutting.lines), *_foam_lines(thin)])
    held = [Held(p, *_lined(p, book)) for p in cutting.parts if p not in thin]
    if not all(sound(h.outline, [ln.edge for ln in h.lines], thickness) for h in held):
        return None
    return _Trial(cutting, held, thin, order_to_fit(held, thickness))


BESIDE = 0.01
"""Seams keep this far from a bevelled corner, beyond where its front and back corners lie. [m]"""


def _bevelled_corners(
    outline: Sequence[Point], edges: Sequence[Edge], thickness: float
) -> tuple[tuple[tuple[float, float], ...], tuple[tuple[float, float], ...]]:
    """Return the stretches along x and y in which a seam would part the front of a corner but not its back."""
    back, _ = offset_outline(outline, [-thickness * tan(e.bevel) for e in edges])
    if len(back) != len(outline):
        return (), ()
    found: tuple[list[tuple[float, float]], list[tuple[float, float]]] = ([], [])
    for k, (p, q) in enumerate(zip(outline, back, strict=True)):
        if abs(edges[k].bevel) > 1e-9 or abs(edges[k - 1].bevel) > 1e-9:
            for axis in (0, 1):
                found[axis].append((min(p[axis], q[axis]) - BESIDE, max(p[axis], q[axis]) + BESIDE))
    return tuple(found[0]), tuple(found[1])


def sound(outline: Sequence[Point], edges: Sequence[Edge], thickness: float) -> bool:
    """Return whether a piece has a simple front and back, edge for edge, so that it can be cut with its bevels."""
    points, _ = offset_outline(outline, [-thickness * tan(e.bevel) for e in edges])
    if len(points) != len(outline):
        return False
    for k, (p, q) in enumerate(zip(points, [*points[1:], points[0]], strict=True)):
        a, b = outline[k], outline[(k + 1) % len(outline)]
        if (q[0] - p[0]) * (b[0] - a[0]) + (q[1] - p[1]) * (b[1] - a[1]) <= 0.0:
            return False
    front, back = Polygon(outline), Polygon(points)
    return bool(front.is_valid and back.is_valid and front.exterior.is_ccw and back.exterior.is_ccw)


def _at_necks(cutting: Cutting, ask: Ask) -> Cutting:
    """Cut the pieces further at their weak necks."""
    parts: list[Polygon] = []
    lines = list(cutting.lines)
    for part in cutting.parts:
        seams = neck_seams(part, ask.good)
        left = [part]
        for seam in seams:
            left = [p for q in left for p in parted(q, seam)]
        parts += left
        lines += seams
    return Cutting(tuple(parts), tuple(lines), cutting.cost)


def _foam_lines(off: Sequence[Polygon]) -> list[Line]:
    """Return the lines where legs were taken off, the board to their left."""
    found = []
    for leg in off:
        wide, _ = blank_of(leg)
        points = ring(leg)[::-1]
        edge = Edge(EdgeKind.ROUGH, wide, 0.0, "foam")
        found += [Line(p, q, edge, name="foam") for p, q in zip(points, [*points[1:], points[0]], strict=True)]
    return found


STUCK = "may not go in as cut: leave a wider gap for foam where something leans over it"


def _seam_lines(segments: Sequence[Segment]) -> list[Line]:
    edge = Edge(EdgeKind.SEAM)
    found = []
    for k, (p, q) in enumerate(segments):
        found += [Line(p, q, edge, name=f"seam {k}"), Line(q, p, edge, name=f"seam {k}")]
    return found


def _lined(part: Polygon, book: LineBook) -> tuple[list[Point], list[Line]]:
    """Return the outline of a part and the line that each of its edges lies on."""
    points = ring(part)
    found = [book.find(p, q) for p, q in zip(points, [*points[1:], points[0]], strict=True)]
    points, tags = tidy(points, found)
    ends = zip(points, [*points[1:], points[0]], strict=True)
    return points, [book.lines[t] if t is not None else Line(p, q, FREE) for t, (p, q) in zip(tags, ends, strict=True)]


def _draft(site: Site, slab: Slab, region: Region, held: Held, things: Sequence[Obstacle], way: str) -> Draft:
    part, outline, lines = held.part, held.outline, held.lines
    edges = [ln.edge for ln in lines]
    holes = holes_of(part)
    touched = _touched(part, things)
    slits = tuple(_slit(part, t) for t in touched if t.threaded and _round_a_hole(t, holes))
    wide, _ = blank_of(part)
    strip = bool(region.bay) and wide < typical("filler_width")
    kind = PieceKind.COVER if slab.covers else PieceKind.STRIP if strip else PieceKind.BOARD
    piece = Piece(
        "",
        site.face.id,
        slab.layer,
        "",
        slab.thickness,
        tuple(outline),
        tuple(edges),
        tuple(tuple(h) for h in holes),
        slits,
        kind,
        depth=slab.back,
        fits=_fits(site, region, part, outline, lines, touched),
        bay="" if slab.covers else region.bay,
        note=way[:1].upper() + way[1:] + "." if way else "",
    )
    return Draft(piece, outer_of(outline, edges, slab.thickness))


def _touched(part: Polygon, things: Sequence[Obstacle]) -> list[Obstacle]:
    """Return the things that a piece goes round, openings left out."""
    return [t for t in things if t.opening is None and part.distance(t.shape) < 1e-6]


def _fits(
    site: Site, region: Region, part: Polygon, outline: list[Point], lines: list[Line], things: Sequence[Obstacle]
) -> float:
    """Return the probability that a piece goes in for itself: its rough edges, corners and notches."""
    if not things and part.equals(region.front):
        return region.fits
    fit = Fit(lines, list(zip(outline, [*outline[1:], outline[0]], strict=True)), site.cut, site.adjusted, site.normals)
    chance = fit.probability(np.array([ln.edge.gap for ln in lines]))
    reckoned = {lines[i].name for i in range(len(lines)) if i not in fit.left_out}
    for thing in things:
        if thing.name not in reckoned:
            chance *= _clears(thing, site.cut)
    return chance


def _holes_clear(site: Site, part: Polygon, things: Sequence[Obstacle]) -> float:
    """Return the probability that the holes in a piece clear what runs through them."""
    chance, holes = 1.0, holes_of(part)
    for thing in _touched(part, things):
        if _round_a_hole(thing, holes):
            chance *= _clears(thing, site.cut)
    return chance


def _round_a_hole(thing: Obstacle, holes: Sequence[Sequence[Point]]) -> bool:
    return any(Polygon(h).intersects(thing.shape.centroid) for h in holes)


def _clears(thing: Obstacle, cut: float) -> float:
    """Return the probability that a cut-out clears its thing on both sides."""
    sigma = hypot(thing.sigma, cut)
    return erf(thing.clearance / sigma / sqrt(2)) if sigma > 0 else 1.0


def _slit(part: Polygon, thing: Obstacle) -> tuple[Point, Point]:
    """Return the shortest slit from the outline to a hole."""
    centre = thing.shape.centroid
    edge, _ = nearest_points(part.exterior, centre)
    hole = next(Polygon(h) for h in holes_of(part) if Polygon(h).intersects(centre))
    end, _ = nearest_points(hole.exterior, edge)
    return (float(edge.x), float(edge.y)), (float(end.x), float(end.y))


def _welcome(part: Polygon, things: Sequence[Obstacle]) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return where seams are welcome: sides of notches and openings, middles of holes, inner corners of the outline."""
    xs: list[float] = []
    ys: list[float] = []
    for thing in things:
        x0, y0, x1, y1 = thing.shape.bounds
        if thing.opening is None and part.envelope.contains(ShapelyPoint(thing.shape.centroid)) and thing.threaded:
            xs.append((x0 + x1) / 2)
            ys.append((y0 + y1) / 2)
        else:
            xs += [x0, x1]
            ys += [y0, y1]
    points = ring(part)
    for k, (x, y) in enumerate(points):
        (px, py), (qx, qy) = points[k - 1], points[(k + 1) % len(points)]
        if (x - px) * (qy - y) - (y - py) * (qx - x) < -1e-9:
            xs.append(x)
            ys.append(y)
    return tuple(xs), tuple(ys)


def framing_of(site: Site, slab: Slab) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return where seams fall on framing, for the layer that is screwed to it."""
    framing = site.face.framing
    if framing is None or not framing.exposed or slab.surface_rank != 1:
        return (), ()
    centres = tuple(member_centres(Polygon(site.adjusted.points), site.face))
    return (centres, ()) if framing.direction == "up" else ((), centres)


def _no_fit(face: Face, slab: Slab, ask: Ask) -> NoFit:
    wide, long = blank_of(ask.outer)
    said = Said.of(
        "pieces.no-seams",
        face=FaceRef(face.id),
        layer=Count(slab.layer),
        width=Length(wide),
        length=Length(long),
        thickness=Length(slab.thickness),
    )
    return NoFit.of(said, where=("faces", face.id), cure=Said.of("pieces.said.thinner-or-wider"))


def _no_corner(face: Face, slab: Slab) -> NoFit:
    face_ref, thickness = FaceRef(face.id), Length(slab.thickness)
    said = Said.of("pieces.short-edge", face=face_ref, layer=Count(slab.layer), thickness=thickness)
    return NoFit.of(said, where=("faces", face.id), cure=Said.of("pieces.said.thinner-layer"))


def _sliver(face: Face, slab: Slab, part: Polygon, hot: bool = False) -> Finding:
    x, y = part.centroid.x, part.centroid.y
    wide, long = 2 * part.area / part.length, part.length / 2
    finding = Finding.of("pieces.hot-strip" if hot else "pieces.sliver", Weight.NOTE, ("faces", face.id))
    return finding.having(
        face=FaceRef(face.id),
        layer=Count(slab.layer),
        wide=Length(wide),
        long=Length(long),
        x=Length(float(x)),
        y=Length(float(y)),
        area=Area(float(part.area)),
    )


def with_label(draft: Draft, label: str, material: str, up: Point, front: str) -> Draft:
    """Return the draft with what is written on it."""
    return replace(draft, piece=replace(draft.piece, id=label, material=material, up=up, front=front))
