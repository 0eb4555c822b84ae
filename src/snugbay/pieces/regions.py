"""The shapes that the boards of one layer fill: the whole face, or each bay, with gaps chosen at their edges."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import atan, ceil, cos

import numpy as np
from shapely.geometry import Polygon, box

from snugbay.base import Finding, NoFit, Said, Weight
from snugbay.base.facts import Count, FaceRef, Length, Listed, Name
from snugbay.job import Face
from snugbay.pieces.corners import Ending
from snugbay.pieces.dice import Dice
from snugbay.pieces.entry import Captive, edge_to_square, way_to_put_in
from snugbay.pieces.fitgap import SURE, Array, Fit, Wanted
from snugbay.pieces.overlay import shared
from snugbay.pieces.plane import Line, LineBook, offset_outline, polygons, ring, shifted, unit
from snugbay.pieces.rates import typical
from snugbay.pieces.stack import Slab
from snugbay.pieces.values import Edge, EdgeKind, Fitting
from snugbay.pieces.wide_gap import wide_gap
from snugbay.survey import AdjustedFace, Point


@dataclass(frozen=True)
class Region:
    """A shape to be filled with boards.

    Attributes
    ----------
    front : Polygon
        Front of the boards, gaps taken off. [m]
    nominal : Polygon
        The same without gaps. [m]
    lines : tuple of Line
        Its edges.
    bay : str
        Bay it is, or empty.
    fits : float
        Probability that boards of this shape go in.
    """

    front: Polygon
    nominal: Polygon
    lines: tuple[Line, ...]
    bay: str
    fits: float


@dataclass(frozen=True)
class Site:
    """All that the boards of one face have to heed.

    Attributes
    ----------
    face : Face
        As in the job.
    adjusted : AdjustedFace
        Its corners.
    endings : Mapping of (layer, edge number) to Ending
        Where boards end at joins.
    rough : frozenset of int
        Numbers of edges that meet rough framing.
    cut : float
        Standard deviation of one cut edge. [m]
    normals : array
        Standard normal draws.
    sheet : (float, float)
        [m]
    dice : Dice or None
        Draws for the promise of each row; None where pieces are only made to price them.
    wanted : Mapping of str to Wanted
        For bays (or the whole, the empty name), the gap that their rows were found to need.
    """

    face: Face
    adjusted: AdjustedFace
    endings: Mapping[tuple[int, int], Ending]
    rough: frozenset[int]
    cut: float
    normals: Array
    sheet: tuple[float, float]
    dice: Dice | None = None
    wanted: Mapping[str, Wanted] = field(default_factory=dict)


def edge_numbers(face: Face, edge: tuple[str, str]) -> list[int]:
    """Return the numbers of the outline's edges from one corner to another, counter-clockwise."""
    n = len(face.corners)
    first, last = face.corners.index(edge[0]), face.corners.index(edge[1])
    return [(first + k) % n for k in range((last - first) % n)]


def outline_lines(site: Site, slab: Slab) -> tuple[list[Line], list[float]]:
    """Return the line of each edge of the face for one layer, before gaps, and its inset at the front. [m]"""
    face, points = site.face, site.adjusted.points
    lines: list[Line] = []
    insets: list[float] = []
    for i in range(len(points)):
        p, q = points[i], points[(i + 1) % len(points)]
        corners = (i, (i + 1) % len(points))
        ending = site.endings.get((slab.layer, i))
        inset, bevel = (ending.inset(slab.front), atan(ending.slope)) if ending else (0.0, 0.0)
        rough = i in site.rough or (slab.fitting is Fitting.IN_BAYS and (ending is None or ending.captive))
        on_board = ending is not None and ending.against_board
        wedge = ending.wedge if ending else 0.0
        if rough and not on_board:
            edge = Edge(EdgeKind.ROUGH, 0.0, bevel, ending.other if ending else "framing", wedge)
            captive = True
        elif ending is not None:
            edge = Edge(EdgeKind.CORNER, 0.0, bevel, ending.other, wedge)
            captive = ending.captive
        else:
            edge, captive = Edge(EdgeKind.FREE), False
        sigma = ending.sigma if ending else 0.0
        a, b = shifted(p, q, inset)
        overhang = ending.overhang if ending is not None and captive else 0.0
        lines.append(Line(a, b, edge, corners, captive, sigma, f"edge {face.corners[i]}", overhang))
        insets.append(inset)
    return lines, insets


def whole_region(site: Site, slab: Slab) -> tuple[Region, list[Finding]]:
    """Return the face as one region for a layer over framing or on the face."""
    lines, insets = outline_lines(site, slab)
    findings = _square_one(site, slab, lines, insets)
    outline, tags = offset_outline(site.adjusted.points, insets)
    nominal = _sound(outline, site.face)
    owners = [lines[t] if t >= 0 else _step_line(outline, k) for k, t in enumerate(tags)]
    region, more = _with_gaps(site, outline, owners, nominal, "")
    return region, [*findings, *more]


SLIGHT = 0.035
"""What leans by less than this (2 degrees) is pushed past. [-]"""


def captives(lines: Sequence[Line], spans: Sequence[tuple[Point, Point]], gaps: Sequence[float]) -> list[Captive]:
    """Return the captive edges among lines, with the edge on each and its gap."""
    return [
        Captive(p, q, ln.overhang if abs(ln.overhang) > SLIGHT else 0.0, gap, ln.edge.neighbour, ln.edge.bevel == 0.0)
        for ln, (p, q), gap in zip(lines, spans, gaps, strict=True)
        if ln.captive
    ]


def _square_one(site: Site, slab: Slab, lines: list[Line], insets: list[float]) -> list[Finding]:
    """Cut one edge square, changing the lines in place, where the board could else not be hooked under what leans."""
    held = [i for i, ln in enumerate(lines) if ln.captive]
    edges = captives(lines, [(ln.start, ln.end) for ln in lines], [least_gap(ln) for ln in lines])
    if way_to_put_in(edges, slab.thickness) is not None:
        return []
    which = edge_to_square(edges, slab.thickness, typical("foam_max_gap"))
    if which is None:
        return []
    i = held[which]
    ending = site.endings[slab.layer, i]
    inset = max(ending.inset(slab.front), ending.inset(slab.back))
    wedge = abs(ending.slope) * slab.thickness or ending.wedge
    points = site.adjusted.points
    a, b = shifted(points[i], points[(i + 1) % len(points)], inset)
    lines[i] = replace(lines[i], start=a, end=b, edge=replace(lines[i].edge, bevel=0.0, wedge=wedge))
    insets[i] = inset
    return [_wedge(site.face, slab, ending.other, wedge)]


def _wedge(face: Face, slab: Slab, other: str, wedge: float) -> Finding:
    return Finding.of(
        "pieces.wedge",
        Weight.NOTE,
        ("faces", face.id),
        face=FaceRef(face.id),
        layer=Count(slab.layer),
        other=Name(other),
        wedge=Length(wedge),
    )


def cover_regions(site: Site, slab: Slab) -> tuple[list[Region], list[Finding]]:
    """Return the strips over the framing edges, each lapping over the boards in the bays on both sides."""
    region, findings = whole_region(site, slab)
    framing = site.face.framing
    assert framing is not None
    wide = framing.width + 2 * typical("cover_lap")
    strips = []
    for number, member in enumerate(
        members(Polygon(site.adjusted.points), replace(site.face, framing=replace(framing, width=wide))), 1
    ):
        for part in polygons(shared(region.front, member)):
            points = ring(part)
            book = LineBook(region.lines)
            found = [book.find(p, q) for p, q in _edges(points)]
            lines = [
                book.lines[f] if f is not None else Line(p, q, Edge(EdgeKind.FREE), name="strip")
                for f, (p, q) in zip(found, _edges(points), strict=True)
            ]
            placed = tuple(replace(ln, start=p, end=q) for ln, (p, q) in zip(lines, _edges(points), strict=True))
            strips.append(Region(part, part, placed, f"member {number}", region.fits))
    return strips, findings


def _step_line(outline: Sequence[Point], k: int) -> Line:
    a, b = outline[k], outline[(k + 1) % len(outline)]
    return Line(a, b, Edge(EdgeKind.FREE), name="step")


def _sound(outline: Sequence[Point], face: Face) -> Polygon:
    shape = Polygon(outline)
    if not shape.is_valid or not shape.exterior.is_ccw or shape.area < 1e-4:
        raise NoFit(
            f"Face {face.id} is too small, or has an edge too short, for boards this thick at its corners.",
            where=("faces", face.id),
            hint="Take a thinner layer, or let the other face's boards run past.",
        )
    return shape


def bay_regions(site: Site, slab: Slab) -> tuple[list[Region], list[Finding]]:
    """Return each bay between the framing as a region; bays too narrow for a strip are reported and left to foam."""
    lines, insets = outline_lines(site, slab)
    outline, tags = offset_outline(site.adjusted.points, insets)
    face = site.face
    whole = _sound(outline, face)
    book = [replace(lines[t], start=outline[k], end=outline[(k + 1) % len(outline)]) for k, t in enumerate(tags)]
    regions: list[Region] = []
    findings: list[Finding] = []
    narrow: list[Said] = []
    for number, (shape, sides) in enumerate(bays(whole, face, Polygon(site.adjusted.points)), 1):
        for k, part in enumerate(polygons(shared(whole, shape))):
            name = f"bay {number}" + (f" part {k + 1}" if k else "")
            points = ring(part)
            finder = LineBook([*book, *sides])
            found = [finder.find(p, q) for p, q in _edges(points)]
            owners = [finder.lines[f] if f is not None else _step_line(points, i) for i, f in enumerate(found)]
            wide = _width(part, face)
            if wide < typical("min_strip") + 2 * typical("foam_min_gap"):
                narrow.append(Said.of("pieces.said.bay-wide", bay=Name(name), width=Length(wide)))
                continue
            region, more = _with_gaps(site, points, owners, part, name)
            regions.append(region)
            findings += more
    if narrow:
        findings.append(
            Finding.of(
                "pieces.narrow-bay",
                Weight.NOTE,
                ("faces", face.id, "framing"),
                face=FaceRef(face.id),
                narrow=Listed(tuple(narrow), "comma"),
            )
        )
    return regions, findings


def member_centres(outline: Polygon, face: Face) -> list[float]:
    """Return the centres of the framing members across a face, along its spacing direction. [m]

    ``outline`` is that of the face as surveyed, for the first member is measured from its end: where boards stop short
    of a corner or run past it, the members stay where they are.
    """
    framing = face.framing
    if framing is None or framing.spacing <= 0:
        return []
    axis = 0 if framing.direction == "up" else 1
    first, high = outline.bounds[axis] + framing.first, outline.bounds[axis + 2] + framing.width / 2
    return [first + k * framing.spacing for k in range(max(0, ceil((high - first) / framing.spacing)))]


def members(outline: Polygon, face: Face) -> list[Polygon]:
    """Return the framing members as strips across the bounds of a face as surveyed. [m]"""
    framing = face.framing
    if framing is None:
        return []
    x0, y0, x1, y1 = outline.bounds
    half = framing.width / 2
    if framing.direction == "up":
        return [box(c - half, y0 - 1, c + half, y1 + 1) for c in member_centres(outline, face)]
    return [box(x0 - 1, c - half, x1 + 1, c + half) for c in member_centres(outline, face)]


def bays(whole: Polygon, face: Face, outline: Polygon) -> list[tuple[Polygon, list[Line]]]:
    """Return the strips between members, each with the lines of the members beside it."""
    framing = face.framing
    assert framing is not None
    up = framing.direction == "up"
    x0, y0, x1, y1 = whole.bounds
    low, high = (x0, x1) if up else (y0, y1)
    sides = [low - 1.0]
    for c in member_centres(outline, face):
        sides += [c - framing.width / 2, c + framing.width / 2]
    sides.append(high + 1.0)
    found = []
    for k in range(0, len(sides), 2):
        a, b = sides[k], sides[k + 1]
        if b - a < 1e-4 or b < low + 1e-4 or a > high - 1e-4:
            continue
        strip = box(a, y0 - 1, b, y1 + 1) if up else box(x0 - 1, a, x1 + 1, b)
        lines = []
        if k > 0:
            lines.append(_member_line(a, up, True, (y0, y1) if up else (x0, x1), k // 2))
        if k + 2 < len(sides):
            lines.append(_member_line(b, up, False, (y0, y1) if up else (x0, x1), k // 2 + 1))
        found.append((strip, lines))
    return found


def _member_line(at: float, up: bool, low_side: bool, span: tuple[float, float], number: int) -> Line:
    """Return the side of a member as a line with the bay to its left."""
    a, b = span[0] - 1, span[1] + 1
    if up:
        ends = ((at, b), (at, a)) if low_side else ((at, a), (at, b))
    else:
        ends = ((a, at), (b, at)) if low_side else ((b, at), (a, at))
    edge = Edge(EdgeKind.ROUGH, 0.0, 0.0, f"member {number}")
    return Line(*ends, edge, None, True, typical("frame_sigma"), f"member {number}")


def _width(part: Polygon, face: Face) -> float:
    framing = face.framing
    assert framing is not None
    x0, y0, x1, y1 = part.bounds
    return float(x1 - x0 if framing.direction == "up" else y1 - y0)


def _edges(points: Sequence[Point]) -> list[tuple[Point, Point]]:
    return list(zip(points, [*points[1:], points[0]], strict=True))


def least_gap(line: Line) -> float:
    """Return the least gap at an edge: enough for can foam at rough framing, a tight fit at corners. [m]

    The gap counts in the plane of the face; square to a bevelled edge it is narrower by the cosine of the bevel.
    """
    if not line.captive:
        return 0.0
    least = typical("foam_min_gap") if line.edge.kind is EdgeKind.ROUGH else typical("tight_fit")
    return least / cos(line.edge.bevel)


def _with_gaps(
    site: Site, points: Sequence[Point], owners: list[Line], nominal: Polygon, bay: str
) -> tuple[Region, list[Finding]]:
    """Choose the gaps of a region so that its boards go in with 95 %, and shrink it by them."""
    spans = _edges(points)
    fit = Fit(owners, spans, site.cut, site.adjusted, site.normals)
    least = np.array([least_gap(ln) for ln in owners])
    captive = np.array([float(ln.captive) for ln in owners])
    rough = captive * np.array([ln.edge.kind is EdgeKind.ROUGH for ln in owners])
    chosen = np.where(rough > 0, np.maximum(least, fit.gap(least, rough)), least)
    fits = fit.probability(chosen)
    if fits < SURE - 0.005 or chosen.max(initial=0.0) > typical("foam_max_gap"):
        everywhere = np.where(captive > 0, np.maximum(least, fit.gap(least, captive)), least)
        if fits < SURE - 0.005 or everywhere.max() < chosen.max():
            chosen, fits = everywhere, fit.probability(everywhere)
    wanted = site.wanted.get(bay)
    if wanted is not None:
        chosen = np.maximum(chosen, wanted.gap * (captive if wanted.everywhere else rough))
        fits = fit.probability(chosen)
    gaps = [float(g) for g in chosen]
    final = [_gapped(ln, g) for ln, g in zip(owners, gaps, strict=True)]
    outline, tags = offset_outline(points, gaps)
    shape = Polygon(outline)
    findings: list[Finding] = []
    if not shape.is_valid or shape.area < 1e-4:
        raise NoFit(
            f"{site.face.id}{f', {bay}' if bay else ''}: nothing is left of the board after its gaps.",
            where=("faces", site.face.id),
            hint="Fill it with foam, or measure it more exactly.",
        )
    if max(gaps, default=0.0) > typical("foam_max_gap"):
        findings.append(wide_gap(site.face, bay, max(gaps)))
    lines = []
    for (p, q), t in zip(_edges(outline), tags, strict=True):
        line = final[t] if t >= 0 else _step_line((p, q), 0)
        if unit(p, q)[2] > 1e-9:
            lines.append(replace(line, start=p, end=q))
    return Region(shape, nominal, tuple(lines), bay, fits), findings


def _gapped(line: Line, gap: float) -> Line:
    return replace(line, edge=replace(line.edge, gap=gap))


def uncertain(adjusted: AdjustedFace) -> float:
    """Return the largest standard deviation of a corner of a face. [m]"""
    return float(np.sqrt(np.max(np.diag(np.asarray(adjusted.covariance)), initial=0.0)))
