"""Make the pieces of the chosen boards."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from shapely.geometry import LineString, Polygon

from snugbay.base import Finding, InputError, Outcome, Run, Stopped, Weight
from snugbay.base.facts import Count, FaceRef, Length, LongLength, Name
from snugbay.job import Job, Join
from snugbay.pieces.corners import Ending, end_plane, end_sigma, opening_of
from snugbay.pieces.cutting import NONE_LATER, Cell, Laid, cut_layer, framing_of, outer_of, with_label
from snugbay.pieces.dice import Dice
from snugbay.pieces.fitgap import Array, Wanted, draws, edge_sigma
from snugbay.pieces.hands import hands_area
from snugbay.pieces.intruders import intruders
from snugbay.pieces.limits import Limits, blanks_of
from snugbay.pieces.meeting import MITRE, meeting_of, nearly_flat
from snugbay.pieces.obstacles import Obstacle, obstacles
from snugbay.pieces.plug import default_sill, plug_findings, plug_layers
from snugbay.pieces.rates import cut_sigma, rate
from snugbay.pieces.regions import Region, Site, bay_regions, cover_regions, edge_numbers, whole_region
from snugbay.pieces.rows import Row, promise_of
from snugbay.pieces.sealing import edge_seams, gasket_seams, name_neighbours
from snugbay.pieces.seams import Segment, least_offset
from snugbay.pieces.stack import Slab, slabs
from snugbay.pieces.values import BoardChoice, Fitting, Piece, PieceSet, Seam, WayIn
from snugbay.pieces.wayin import verdict_on
from snugbay.pieces.words import foil_reason, front_text, label, up_of
from snugbay.survey import AdjustedFace, Point, Survey


@dataclass(frozen=True)
class Corners:
    """How the boards of all faces meet.

    Attributes
    ----------
    order : tuple of str
        Order in which the first layers are placed; even layers take the reverse.
    endings : Mapping of str to Mapping of (layer, edge number) to Ending
        For each face.
    findings : tuple of Finding
        What was found.
    """

    order: tuple[str, ...]
    endings: Mapping[str, Mapping[tuple[int, int], Ending]]
    findings: tuple[Finding, ...]


def make_pieces(
    job: Job,
    survey: Survey,
    choices: tuple[BoardChoice, ...],
    run: Run,
    neighbours: tuple[BoardChoice, ...] = (),
    later: Mapping[Cell, int] = NONE_LATER,
    *,
    promised: bool = True,
) -> Outcome[PieceSet]:
    """Make the pieces of every chosen face.

    Parameters
    ----------
    job : Job
        Faces, joins, access, tools.
    survey : Survey
        The adjusted faces.
    choices : tuple of BoardChoice
        The boards of each face that is to be boarded, one choice a face.
    run : Run
        Seed, progress, stop.
    neighbours : tuple of BoardChoice
        Boards assumed on other faces: they shape the corners, but no pieces are made for them.
    later : Mapping of (face, layer, bay) to int
        For a region, how many of the cuttings that should go in are passed over; see `pieces_that_go_in`.
    promised : bool
        False where the pieces are only priced: gaps are then those of the whole region as one piece, and no promise is
        made of the rows.

    Returns
    -------
    Outcome of PieceSet
        Pieces in fitting order within a face, joints to seal, a verdict of the way in for each piece. The proof in
        solids is a call of its own, `prove_in_solids`.

    Raises
    ------
    InputError
        If a face has two choices, or boards are wanted in bays that it does not have.
    NoFit
        If a layer does not fit its face, or no seams bring its pieces through the way in.
    OutOfRange
        If a size or an angle is out of range.
    Stopped
        If the run was stopped before the first face was done.
    """
    ids = [c.face for c in (*choices, *neighbours)]
    if len(set(ids)) != len(ids):
        raise InputError("A face has two board choices.", hint="Give each face one choice.")
    choices, neighbours = (tuple(_wished(job, c) for c in every) for every in (choices, neighbours))
    stacks = {c.face: slabs(job.face(c.face), c) for c in (*choices, *neighbours)}
    corners = corners_of(job, survey, stacks)
    normals = draws(run)
    pieces: list[Piece] = []
    seams: list[Seam] = []
    verdicts: list[WayIn] = []
    findings = list(corners.findings)
    finished = True
    rows: list[tuple[Row, tuple[str, ...]]] = []
    dice = Dice(run) if promised else None
    for done, choice in enumerate(choices):
        if run.stop():
            if not pieces:
                raise Stopped("The pieces were stopped before the first face was done.")
            finished = False
            break
        made, own_rows = _face_pieces(job, survey, choice, stacks, corners, normals, later, dice)
        rows += own_rows
        pieces += made.pieces
        seams += made.seams
        verdicts += made.way_in
        findings += (*made.findings, *plug_findings(job, job.face(choice.face)))
        run.progress("pieces", (done + 1) / len(choices))
    provenance = (
        foil_reason(job.wishes.foil),
        f"Gaps are chosen so that a piece goes in with 95 %, cut with the {job.you.tools[0].value}.",
    )
    promise = promise_of(rows, pieces) if rows else None
    whole = PieceSet(tuple(pieces), tuple(seams), tuple(verdicts), None, tuple(findings), promise)
    return Outcome(whole, tuple(findings), provenance, finished)


def pieces_for_face(
    job: Job, survey: Survey, choice: BoardChoice, run: Run, neighbours: tuple[BoardChoice, ...] = ()
) -> PieceSet:
    """Return the pieces of one face, with the boards of its neighbours assumed; see `make_pieces`."""
    others = tuple(n for n in neighbours if n.face != choice.face)
    return make_pieces(job, survey, (choice,), run, others, promised=False).value


def _wished(job: Job, choice: BoardChoice) -> BoardChoice:
    """Return a choice with what the user wishes for all faces."""
    wishes = job.wishes
    bays_only = all(where is Fitting.IN_BAYS for _, where in choice.layers)
    covers = choice.covers or (wishes.covers if bays_only else 0.0)
    in_hands = choice.in_hands or wishes.in_hands
    return replace(choice, covers=covers, plug=choice.plug or wishes.plug, in_hands=in_hands)


def corners_of(job: Job, survey: Survey, stacks: Mapping[str, tuple[Slab, ...]]) -> Corners:
    """Return how the boards of all faces end at their joins."""
    meeting = meeting_of(job, survey, stacks)
    found: dict[str, dict[tuple[int, int], Ending]] = {f: {} for f in stacks}
    more: list[Finding] = list(meeting.findings)
    for join in job.joins:
        if join.a not in stacks and join.b not in stacks:
            continue
        opening = opening_of(join, survey)
        theta = opening.angle
        more += opening.findings
        mitred = nearly_flat(theta) or frozenset((join.a, join.b)) in meeting.mitres
        if mitred and join.runs_past not in ("", MITRE):
            more.append(_too_flat(join))
        for own, edge, other in _sides(join):
            if own not in stacks:
                continue
            for slab in stacks[own]:
                first = _is_first(meeting.order, own, other, slab)
                beside = stacks.get(other, ())
                ending = end_plane(theta, mitred, slab, beside, first, job.face(other))
                ending = replace(ending, sigma=end_sigma(theta, opening.sigma, slab, beside, ending))
                for number in edge_numbers(job.face(own), edge):
                    found[own].setdefault((slab.layer, number), ending)
    return Corners(meeting.order, MappingProxyType({k: MappingProxyType(v) for k, v in found.items()}), tuple(more))


def _too_flat(join: Join) -> Finding:
    return Finding.of(
        "pieces.flat-corner", Weight.NOTE, ("joins", join.name or f"{join.a}/{join.b}"), a=Name(join.a), b=Name(join.b)
    )


def _sides(join: Join) -> tuple[tuple[str, tuple[str, str], str], ...]:
    return (join.a, join.edge_a, join.b), (join.b, join.edge_b, join.a)


def _is_first(order: Sequence[str], own: str, other: str, slab: Slab) -> bool:
    """Return whether a slab is placed before the other face's of the same rank: every second layer swaps."""
    if other not in order:
        return True
    first = order.index(own) < order.index(other)
    return first if slab.surface_rank % 2 == 1 or slab.surface_rank == 0 else not first


def _site(
    job: Job, survey: Survey, choice: BoardChoice, slab: Slab, corners: Corners, normals: Array, dice: Dice | None
) -> Site:
    face = job.face(choice.face)
    rough = frozenset(n for edge in face.rough_edges for n in edge_numbers(face, edge))
    cut = edge_sigma(cut_sigma(job.you.tools[0]), slab.thickness)
    sheet = (min(choice.sheet_width, choice.sheet_length), max(choice.sheet_width, choice.sheet_length))
    return Site(face, survey.face(face.id), corners.endings[face.id], rough, cut, normals, sheet, dice)


def _face_pieces(
    job: Job,
    survey: Survey,
    choice: BoardChoice,
    stacks: Mapping[str, tuple[Slab, ...]],
    corners: Corners,
    normals: Array,
    later: Mapping[Cell, int],
    dice: Dice | None,
) -> tuple[PieceSet, list[tuple[Row, tuple[str, ...]]]]:
    face = job.face(choice.face)
    stack = stacks[face.id]
    adjusted = survey.face(face.id)
    up, front = up_of(adjusted), front_text(face, job.wishes.foil)
    endings = corners.endings[face.id]
    grown = _grown(endings, stack)
    pieces: list[Piece] = []
    seams: list[Seam] = []
    findings: list[Finding] = []
    beneath: tuple[Segment, ...] = ()
    rows: list[tuple[Row, tuple[str, ...]]] = []
    for slab in stack:
        site = _site(job, survey, choice, slab, corners, normals, dice)
        things = obstacles(face, adjusted, grown, site.cut)
        if slab.surface_rank:
            things += intruders(job, survey, stacks, face.id, site.cut)
        limits = Limits(site.sheet, slab.thickness, job.access, hands_area(job, survey, face, choice, slab))
        laid, more = _cut_slab(site, slab, things, limits, beneath, later)
        findings += (*more, *laid.findings)
        findings += _stagger(face.id, slab, least_offset(laid.seams, beneath))
        findings += _off_framing(site, slab, laid)
        beneath = laid.seams if slab.surface_rank else ()
        labelled = [
            with_label(d, label(face.id, slab.layer, k), choice.material, up, front).piece
            for k, d in enumerate(laid.drafts)
        ]
        at = 0
        for row in laid.rows:
            rows.append((row, tuple(p.id for p in labelled[at : at + row.count])))
            at += row.count
        named, tight = name_neighbours(labelled)
        pieces += named
        seams += tight
        hot = [t.bare for t in things if t.hot]
        by_face: dict[str, list[Ending]] = {}
        for (layer, _), ending in endings.items():
            if layer == slab.layer:
                by_face.setdefault(ending.other, []).append(ending)
        for piece in named:
            seams += edge_seams(piece, by_face, hot)
    plugs, plug_seams = _plugs(job, choice, adjusted, stack, pieces, up, front)
    pieces += plugs
    seams += plug_seams
    verdicts = tuple(verdict_of(p, job) for p in pieces)
    return PieceSet(tuple(pieces), tuple(seams), verdicts, None, tuple(findings)), rows


MOST_WIDENED = 3
"""Most times that a layer is cut again with the gaps that its rows were found to need. [-]"""

FINE = 0.2e-3
"""Gaps are not widened by less than this. [m]"""


def _cut_slab(
    site: Site,
    slab: Slab,
    things: Sequence[Obstacle],
    limits: Limits,
    beneath: tuple[Segment, ...],
    later: Mapping[Cell, int],
) -> tuple[Laid, list[Finding]]:
    """Cut a layer, and again with wider gaps where its boards, as they stand in a row, would go in too seldom."""
    wanted: dict[str, Wanted] = {}
    for _ in range(MOST_WIDENED + 1):
        regions, findings = _regions(replace(site, wanted=wanted), slab)
        laid = cut_layer(site, slab, regions, things, limits, beneath, later)
        more = {r.bay: r.wanted for r in laid.rows if r.wanted is not None and _wider(r.wanted, wanted.get(r.bay))}
        if not more:
            break
        wanted = {**wanted, **more}
    return laid, findings


def _wider(wanted: Wanted, before: Wanted | None) -> bool:
    return before is None or wanted.gap > before.gap + FINE


def _regions(site: Site, slab: Slab) -> tuple[list[Region], list[Finding]]:
    if slab.fitting is Fitting.IN_BAYS:
        return bay_regions(site, slab)
    if slab.covers:
        return cover_regions(site, slab)
    region, findings = whole_region(site, slab)
    return [region], findings


ON_MEMBER = 0.01
"""A seam this near to the middle of a member can be screwed on both sides. [m]"""


def _off_framing(site: Site, slab: Slab, laid: Laid) -> list[Finding]:
    """Report seams along the framing that fall between its members: there is nothing to screw the edges to."""
    centres = framing_of(site, slab)
    axis = 0 if centres[0] else 1
    if not centres[axis]:
        return []
    fronts = [Polygon(d.piece.outline) for d in laid.drafts]
    off = 0.0
    for p, q in laid.seams:
        along = abs(q[axis] - p[axis]) < 1e-6
        if along and min(abs(c - p[axis]) for c in centres[axis]) > ON_MEMBER:
            line = LineString([p, q])
            off += sum(float(line.intersection(f.boundary).length) for f in fronts) / 2
    if off < 0.05:
        return []
    return [
        Finding.of(
            "pieces.off-framing",
            Weight.NOTE,
            ("faces", site.face.id),
            face=FaceRef(site.face.id),
            layer=Count(slab.layer),
            seams=LongLength(off),
        )
    ]


def _stagger(face: str, slab: Slab, offset: float) -> list[Finding]:
    """Report seams that lie too near to those of the layer beneath."""
    least = rate("stagger").low
    if offset >= least - 1e-6:
        return []
    return [
        Finding.of(
            "pieces.stagger",
            Weight.NOTE,
            ("faces", face),
            face=FaceRef(face),
            layer=Count(slab.layer),
            offset=Length(offset),
            least=Length(least),
        )
    ]


def _grown(endings: Mapping[tuple[int, int], Ending], stack: Sequence[Slab]) -> float:
    """Return the furthest that a board reaches past an edge of its face. [m]"""
    at = {s.layer: s for s in stack}
    reach = [-min(e.inset(at[n].front), e.inset(at[n].back)) for (n, _), e in endings.items()]
    return max([0.0, *reach])


def verdict_of(piece: Piece, job: Job) -> WayIn:
    """Return whether a piece passes the way in."""
    blanks = blanks_of(outer_of(piece.outline, piece.edges, piece.thickness))
    verdict = verdict_on(blanks, piece.thickness, job.access)
    return WayIn(piece.id, verdict.passes, verdict.how)


def _plugs(
    job: Job,
    choice: BoardChoice,
    adjusted: AdjustedFace,
    stack: tuple[Slab, ...],
    made: Sequence[Piece],
    up: Point,
    front: str,
) -> tuple[list[Piece], list[Seam]]:
    """Return the plugs of a face's openings, labelled after the boards, and the gasket joints round them."""
    face = job.face(choice.face)
    counts = {s.layer: sum(p.layer == s.layer for p in made) for s in stack}
    solid = _glued(stack)
    pieces: list[Piece] = []
    seams: list[Seam] = []
    for thing in obstacles(face, adjusted, 0.0, 0.0):
        if thing.opening is None or not thing.opening.plug:
            continue
        for slab, panel in plug_layers(job, face, thing, solid, choice.plug or default_sill(face)):
            name = label(face.id, slab.layer, counts[slab.layer])
            counts[slab.layer] += 1
            pieces.append(replace(panel, id=name, material=choice.material, up=up, front=front))
        seams += gasket_seams(pieces[-1], thing.opening.name)
    return pieces, seams


def _glued(stack: tuple[Slab, ...]) -> tuple[Slab, ...]:
    """Return the layers of a plug: those of the face, with no air between them."""
    level = max(s.front for s in stack)
    found: list[Slab] = []
    for slab in sorted(stack, key=lambda s: -s.front):
        found.append(replace(slab, back=level - slab.thickness, front=level))
        level -= slab.thickness
    return tuple(reversed(found))
