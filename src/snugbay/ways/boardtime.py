"""Hours and things used up for boards, from the real pieces, cuts and seams."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from snugbay.job import Job
from snugbay.materials import Rates
from snugbay.pieces import EdgeKind, Piece, Seam
from snugbay.tape import FOOT_M
from snugbay.ways.bench import bench_time
from snugbay.ways.boardset import Cutting, seam_lengths
from snugbay.ways.conditions import TIGHT, Conditions
from snugbay.ways.joints import CLOSED, Joined, Means, sealer
from snugbay.ways.measure import Measured
from snugbay.ways.triple import NOTHING, Triple, of, total
from snugbay.ways.values import HourElement, Need

SMALL_HATCH = 1.2
"""Openings narrower than this are passed piece by piece. [m]"""
SHEET_FT2 = 32.0


@dataclass(frozen=True)
class BoardWork:
    """What the pieces of one face ask for.

    Attributes
    ----------
    hours : tuple of HourElement
        Element by element.
    needs : tuple of Need
        Without the sheets.
    joints : tuple of Joined
        Joints of the boards and what closes them, in ``needs`` too.
    through : Triple
        Screws and anchors that go through boards that lie over the framing or on the face.
    """

    hours: tuple[HourElement, ...]
    needs: tuple[Need, ...]
    joints: tuple[Joined, ...] = ()
    through: Triple = NOTHING


def _element(name: str, minutes: Triple, factor: Triple, note: str, *, inside: bool) -> HourElement:
    hours = minutes * factor * (1.0 / 60.0)
    return HourElement(name, hours.low, hours.typical, hours.high, inside, note, hours.assumed)


def board_work(
    job: Job,
    face: Measured,
    pieces: Sequence[Piece],
    seams: Sequence[Seam],
    cut: Cutting,
    here: Conditions,
    rates: Rates,
    *,
    edges: str,
    occupied: bool,
) -> BoardWork:
    """Reckon hours and small things for the boards of one face.

    Parameters
    ----------
    job : Job
        Tools, access.
    face : Measured
        The face.
    pieces, seams : sequence
        Real pieces and seams of this face.
    cut : Cutting
        How they come out of sheets.
    here : Conditions
        Headroom, skill, rest.
    rates : Rates
        Rates.
    edges : str
        ``"gun foam"``, ``"kit foam"`` or ``"none"``.
    occupied : bool
        True where a cover goes over the boards: cured foam is then trimmed flush, as it is under a further layer.

    Returns
    -------
    BoardWork
        Marking and cutting at the cutting place; measuring, trial fits, re-trims, fixing and sealing inside.
    """
    n = len(pieces)
    sheets = cut.sheets
    learn = cut.learned
    at_bench = here.inside if job.access.cut_inside else here.outside
    hours: list[HourElement] = []
    m = {k: of(rates[f"time_model.{k}"]) for k in _RATES}
    tight = edges == "none" or all(e.kind is not EdgeKind.ROUGH for p in pieces for e in p.edges)
    dims = sum(len(p.outline) for p in pieces) if tight else 2 * n
    hours.append(
        _element(
            "measuring",
            m["marking.measure_dimension"] * dims * learn,
            here.inside,
            f"{dims} dimensions",
            inside=True,
        )
    )
    bench = bench_time(job, cut, max((p.thickness for p in pieces), default=0.0), rates)
    feet = cut.cut_length / FOOT_M
    notes = f"{cut.cuts:.0f} lines, {cut.notches} notches", f"{cut.cuts:.0f} cuts, {feet:.0f} ft, {cut.notches} notches"
    for name, minutes, note in zip(("marking", "cutting"), (bench.marking, bench.cutting), notes, strict=True):
        hours.append(_element(name, minutes, at_bench, note, inside=job.access.cut_inside))
    fit = m["handling.carry_and_trial_fit"]
    if here.height < TIGHT:
        fit = fit + of(rates["ways.tight.turn_min"])
    hours.extend(_carrying(job, n, sheets, learn, here, m, rates))
    hours.append(_element("fitting", fit * n * learn, here.inside, f"{n} pieces tried", inside=True))
    again = m["handling.retrim_time"]
    if not job.access.cut_inside:
        again = again + _there_and_back(job, m, rates)
    chance = m["handling.retrim_probability_tight" if tight else "handling.retrim_probability_foam_gap"]
    hours.append(
        _element(
            "re-trimming",
            chance * again * n * learn,
            here.inside,
            f"{n} pieces, {chance.typical:.0%} of them" + ("" if job.access.cut_inside else ", carried out and back"),
            inside=True,
        )
    )
    fixing, needs, through = _fixing(face, pieces, cut, here, rates, m)
    hours.append(fixing)
    sealing, joints, more = _sealing(job, face, seams, here, rates, m, edges, occupied)
    hours.extend(sealing)
    needs.extend((*joint_needs(joints), *more))
    return BoardWork(tuple(h for h in hours if h.high > 0), tuple(needs), joints, through)


_RATES = (
    "marking.measure_dimension",
    "handling.carry_and_trial_fit",
    "handling.trip_to_cutting_station",
    "handling.pass_through_hatch",
    "handling.retrim_probability_tight",
    "handling.retrim_probability_foam_gap",
    "handling.retrim_time",
    "handling.sheet_handling",
    "fixing.screw_and_washer",
    "fixing.masonry_anchor",
    "fixing.temporary_batten",
    "sealing.gun_setup_and_purge",
    "sealing.per_penetration",
)


USUAL_CARRY = 6.1
"""Distance to the cutting place that the rates of trips and trial fits hold for, 20 ft. [m]"""


def _farther(job: Job, rates: Rates) -> Triple:
    """Minutes to walk the way beyond the usual distance, there and back."""
    more = max(job.access.carry - USUAL_CARRY, 0.0)
    return Triple(2 * more, 2 * more, 2 * more).per(of(rates["ways.carry.walk"]))


def _there_and_back(job: Job, m: dict[str, Triple], rates: Rates) -> Triple:
    """Minutes to the cutting place and back with one piece, through the opening where it is small."""
    trip = m["handling.trip_to_cutting_station"] * 2 + _farther(job, rates)
    return trip + m["handling.pass_through_hatch"] if job.access.width < SMALL_HATCH else trip


def _carrying(
    job: Job, n: int, sheets: float, learn: Triple, here: Conditions, m: dict[str, Triple], rates: Rates
) -> list[HourElement]:
    minutes = (m["handling.sheet_handling"] + _farther(job, rates)) * sheets
    notes = [f"{sheets:.1f} sheets"]
    if not job.access.cut_inside and job.access.width < SMALL_HATCH:
        minutes = minutes + _there_and_back(job, m, rates) * n * learn
        notes.append(f"{n} pieces through the opening, there and back")
    return [_element("carrying", minutes, here.outside, ", ".join(notes), inside=False)]


def _fixing(
    face: Measured, pieces: Sequence[Piece], cut: Cutting, here: Conditions, rates: Rates, m: dict[str, Triple]
) -> tuple[HourElement, list[Need], Triple]:
    depth = max((p.depth + p.thickness for p in pieces), default=0.0)
    in_bays = [p for p in pieces if p.bay or _bay_piece(p)]
    top = max((p.layer for p in in_bays), default=0)
    flat = cut.area - sum(p.area for p in in_bays)
    # the layer on top holds what is under it until the foam is hard
    per_bay = of(rates["fasteners.per_bay_piece"]) * sum(p.layer == top for p in in_bays)
    overhead = face.face.overhead
    masonry = face.face.substrate == "masonry"
    per_sheet = of(
        rates[
            "methods.rigid_board_over_framing.fasteners_per_sheet_masonry"
            if masonry
            else ("fasteners.per_sheet_ceiling" if overhead else "fasteners.per_sheet_walls")
        ]
    )
    on_face = per_sheet * (flat / FOOT_M**2 / SHEET_FT2)
    each = m["fixing.masonry_anchor"] if masonry else m["fixing.screw_and_washer"]
    minutes = each * on_face + m["fixing.temporary_batten"] * per_bay
    item = "anchor" if masonry else ("screw-short" if depth <= 0.045 else "screw-long")
    count = on_face if masonry else on_face + per_bay
    needs = [Need(item, count.low, count.typical, count.high, "to hold the boards")] if count.high > 0 else []
    note = f"{count.typical:.0f} fasteners"
    return _element("fixing", minutes, here.inside, note, inside=True), needs, on_face


def _bay_piece(piece: Piece) -> bool:
    return bool(piece.edges) and all(e.kind is EdgeKind.ROUGH for e in piece.edges)


def _sealing(
    job: Job,
    face: Measured,
    seams: Sequence[Seam],
    here: Conditions,
    rates: Rates,
    m: dict[str, Triple],
    edges: str,
    occupied: bool,
) -> tuple[list[HourElement], tuple[Joined, ...], list[Need]]:
    """Hours at the joints, the joints as they are closed, and what edges take from a kit."""
    if edges == "none":
        return [], (), []
    kit = edges == "kit foam"
    joints = sealer(job, rates).close(seams, occupied=occupied, foamed=not kit)
    hours: list[HourElement] = []
    needs: list[Need] = []
    if kit:
        lengths = seam_lengths(seams)
        edge = sum(lengths.get(k.value, 0.0) for k in CLOSED)
        bead = rates["ways.hybrid_kit.bead"]
        got = rates["methods.two_component_kit.real_yield"]
        label = [edge / FOOT_M * b**2 / 12 for b in (bead.low, bead.typical, bead.high)]
        needs.append(
            Need("kit-foam", label[0] / got.high, label[1] / got.typical, label[2] / got.low, "edges of the boards")
        )
        minutes = of(rates["ways.hybrid_kit.edge_min"]) * edge
        if edge > 0:
            hours.append(_element("sealing", minutes, here.inside, f"{edge:.0f} m of edge", inside=True))
    filled = [j for j in joints if j.means is not Means.TAPE]
    minutes = total(j.minutes for j in filled)
    if here.height < TIGHT:
        minutes = minutes + of(rates["ways.tight.wipe_min"]) * sum(j.length for j in filled)
    if any(j.means is Means.FOAM for j in filled):
        per = m["sealing.gun_setup_and_purge"].per(of(rates["time_model.session.length"]) * 60.0)
        minutes = minutes * per.plus(1.0)
    if filled:
        by = {means: sum(j.length for j in filled if j.means is means) for means in Means}
        note = ", ".join(f"{length:.0f} m with {means.value}" for means, length in by.items() if length > 0)
        hours.append(_element("sealing", minutes, here.inside, note, inside=True))
    taped = [j for j in joints if j.means is Means.TAPE]
    if taped:
        note = f"{sum(j.length for j in taped):.0f} m of seam"
        hours.append(_element("taping", total(j.minutes for j in taped), here.inside, note, inside=True))
    pipes = len(face.face.holes)
    if pipes:
        hours.append(
            _element(
                "sealing", m["sealing.per_penetration"] * pipes, here.inside, f"{pipes} pipes and wires", inside=True
            )
        )
    return hours, joints, needs


RESOURCES = {Means.FOAM: "gun-foam", Means.SEALANT: "sealant", Means.TAPE: "foil-tape"}
WHY = {Means.FOAM: "gaps round the boards", Means.SEALANT: "gaps round the boards", Means.TAPE: "seams between boards"}


def joint_needs(joints: Sequence[Joined]) -> list[Need]:
    """What the joints of a face take, one need for each means."""
    out = []
    for means in Means:
        own = total(j.amount for j in joints if j.means is means)
        if own.high > 0:
            out.append(Need(RESOURCES[means], own.low, own.typical, own.high, WHY[means]))
    return out
