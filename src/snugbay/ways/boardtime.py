"""Hours and things used up for boards, from the real pieces, cuts and seams."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from snugbay.job import Job, Tool
from snugbay.materials import Rates
from snugbay.pieces import EdgeKind, Piece, Seam
from snugbay.sheets.cutting.minutes import bench_tool, reach
from snugbay.tape import FOOT_M, INCH_M
from snugbay.ways.boardset import Cutting, seam_lengths
from snugbay.ways.conditions import Conditions
from snugbay.ways.measure import Measured
from snugbay.ways.triple import NOTHING, Triple, of
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
    """

    hours: tuple[HourElement, ...]
    needs: tuple[Need, ...]


def _tool(job: Job, thickness: float, rates: Rates) -> Tool:
    """Return what cuts a board: as on the sheets, a tool that reaches through it."""
    return bench_tool(job.you.tools or (Tool.KNIFE,), thickness, rates)


def cut_minutes(job: Job, thickness: float, rates: Rates) -> tuple[Triple, Triple]:
    """Minutes a foot of cut and extra minutes a cut; from both sides where the tool reaches only half through."""
    tool = _tool(job, thickness, rates)
    if tool is Tool.KNIFE:
        depth = rates["time_model.cutting.knife_pass_depth"]
        rate = rates["time_model.cutting.knife_pass_rate"]
        inches = thickness / INCH_M

        def passes(d: float) -> int:
            return max(1, math.ceil(inches / d - 1e-6))

        foot = Triple(
            rate.low * passes(depth.high),
            rate.typical * passes(depth.typical),
            rate.high * passes(depth.low),
            rate.assumed,
        )
        return foot, NOTHING
    name = {
        Tool.RECIPROCATING: "reciprocating_saw",
        Tool.JIGSAW: "jigsaw_knife_blade",
        Tool.HAND_SAW: "insulation_hand_saw",
        Tool.CIRCULAR: "table_or_circular_saw",
    }[tool]
    dust = of(rates["time_model.cutting.table_saw_dust_penalty"]) if tool is Tool.CIRCULAR else NOTHING
    foot = of(rates[f"time_model.cutting.{name}"])
    if thickness <= reach(tool, rates) + 1e-9:
        return foot, dust
    again = of(rates["time_model.cutting.cut_setup"]) + of(rates["time_model.marking.mark_line"])
    return foot * 2, dust * 2 + again


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
    dims = 3 * n if tight and any(p.bay for p in pieces) else 2 * n
    hours.append(
        _element(
            "measuring",
            m["marking.measure_dimension"] * dims * learn,
            here.inside,
            f"{dims} dimensions",
            inside=True,
        )
    )
    marks = (
        m["marking.mark_line"] * cut.cuts
        + m["marking.mark_corner_notch"] * cut.notches
        + m["marking.bevel_transfer"] * cut.bevels
    )
    hours.append(
        _element(
            "marking",
            marks * learn,
            at_bench,
            f"{cut.cuts:.0f} lines, {cut.notches} notches",
            inside=job.access.cut_inside,
        )
    )
    hours.append(_cutting_hours(job, pieces, cut, learn, at_bench, rates, m))
    hours.extend(_carrying(job, n, sheets, learn, here, m))
    hours.append(
        _element(
            "fitting", m["handling.carry_and_trial_fit"] * n * learn, here.inside, f"{n} pieces tried", inside=True
        )
    )
    chance = m["handling.retrim_probability_tight" if tight else "handling.retrim_probability_foam_gap"]
    hours.append(
        _element(
            "re-trimming",
            chance * m["handling.retrim_time"] * n * learn,
            here.inside,
            f"{n} pieces, {chance.typical:.0%} of them",
            inside=True,
        )
    )
    fixing, needs = _fixing(face, pieces, cut, here, rates, m)
    hours.append(fixing)
    sealing, more = _sealing(face, seams, here, rates, m, edges, occupied)
    hours.extend(sealing)
    needs.extend(more)
    return BoardWork(tuple(h for h in hours if h.high > 0), tuple(needs))


_RATES = (
    "marking.measure_dimension",
    "marking.mark_line",
    "marking.mark_corner_notch",
    "marking.bevel_transfer",
    "cutting.cut_setup",
    "cutting.curve_or_notch",
    "cutting.bevel_extra",
    "cutting.blade_sharpen",
    "cutting.blade_sharpen_every",
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
    "sealing.gun_foam",
    "sealing.gun_setup_and_purge",
    "sealing.foil_tape",
    "sealing.trim_cured_foam",
    "sealing.per_penetration",
)


def _cutting_hours(
    job: Job,
    pieces: Sequence[Piece],
    cut: Cutting,
    learn: Triple,
    factor: Triple,
    rates: Rates,
    m: dict[str, Triple],
) -> HourElement:
    thickness = max((p.thickness for p in pieces), default=0.0)
    foot, extra = cut_minutes(job, thickness, rates)
    feet = cut.cut_length / FOOT_M
    bevelled = min(cut.bevels / cut.cuts, 1.0) if cut.cuts else 0.0
    slope = m["cutting.bevel_extra"].plus(-1.0) * bevelled
    minutes = (
        m["cutting.cut_setup"] * cut.cuts * slope.plus(1.0)
        + foot * feet * slope.plus(1.0)
        + extra * cut.cuts
        + m["cutting.curve_or_notch"] * cut.notches
    )
    sharpen = m["cutting.blade_sharpen"].per(m["cutting.blade_sharpen_every"]) * feet
    if _tool(job, thickness, rates) is Tool.KNIFE:
        minutes = minutes + sharpen
    return _element(
        "cutting",
        minutes * learn,
        factor,
        f"{cut.cuts:.0f} cuts, {feet:.0f} ft of cut, {cut.notches} notches",
        inside=job.access.cut_inside,
    )


def _carrying(
    job: Job, n: int, sheets: float, learn: Triple, here: Conditions, m: dict[str, Triple]
) -> list[HourElement]:
    minutes = m["handling.sheet_handling"] * sheets
    notes = [f"{sheets:.1f} sheets"]
    if not job.access.cut_inside and job.access.width < SMALL_HATCH:
        minutes = minutes + (m["handling.trip_to_cutting_station"] * 2 + m["handling.pass_through_hatch"]) * n * learn
        notes.append(f"{n} pieces through the opening, there and back")
    return [_element("carrying", minutes, here.outside, ", ".join(notes), inside=False)]


def _fixing(
    face: Measured, pieces: Sequence[Piece], cut: Cutting, here: Conditions, rates: Rates, m: dict[str, Triple]
) -> tuple[HourElement, list[Need]]:
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
    return _element("fixing", minutes, here.inside, note, inside=True), needs


def _bay_piece(piece: Piece) -> bool:
    return bool(piece.edges) and all(e.kind is EdgeKind.ROUGH for e in piece.edges)


def _sealing(
    face: Measured,
    seams: Sequence[Seam],
    here: Conditions,
    rates: Rates,
    m: dict[str, Triple],
    edges: str,
    occupied: bool,
) -> tuple[list[HourElement], list[Need]]:
    if edges == "none":
        return [], []
    lengths = seam_lengths(seams)
    rough = lengths.get(EdgeKind.ROUGH.value, 0.0)
    corner = lengths.get(EdgeKind.CORNER.value, 0.0)
    taped = lengths.get(EdgeKind.SEAM.value, 0.0)
    last = max((k.layer for k in seams), default=0)
    foamed = [k for k in seams if k.kind in (EdgeKind.ROUGH, EdgeKind.CORNER)]
    covered = sum(k.length for k in foamed if k.layer < last or occupied)
    hours: list[HourElement] = []
    needs: list[Need] = []
    if edges == "kit foam":
        minutes = of(rates["ways.hybrid_kit.edge_min"]) * (rough + corner)
        bead = rates["ways.hybrid_kit.bead"]
        got = rates["methods.two_component_kit.real_yield"]
        feet = (rough + corner) / FOOT_M
        label = Triple(
            feet * bead.low**2 / 12 / got.high,
            feet * bead.typical**2 / 12 / got.typical,
            feet * bead.high**2 / 12 / got.low,
        )
        needs.append(Need("kit-foam", label.low, label.typical, label.high, "edges of the boards"))
        note = f"{rough + corner:.0f} m of edge"
    else:
        minutes = m["sealing.gun_foam"] * (rough + corner) + m["sealing.trim_cured_foam"] * covered
        volume = sum(_volume(s) for s in seams if s.kind in (EdgeKind.ROUGH, EdgeKind.CORNER))
        got = rates["gun_foam.real_yield_fraction"]
        if volume > 0:
            needs.append(
                Need("gun-foam", volume / got.high, volume / got.typical, volume / got.low, "gaps round the boards")
            )
            per = m["sealing.gun_setup_and_purge"].per(of(rates["time_model.session.length"]) * 60.0)
            minutes = minutes * per.plus(1.0)
        note = f"{rough + corner:.0f} m of gap foamed, {covered:.0f} m trimmed"
    if rough + corner > 0:
        hours.append(_element("sealing", minutes, here.inside, note, inside=True))
    if taped > 0:
        hours.append(
            _element("taping", m["sealing.foil_tape"] * taped, here.inside, f"{taped:.0f} m of seam", inside=True)
        )
        needs.append(Need("foil-tape", taped, taped * 1.05, taped * 1.15, "seams between boards"))
    pipes = len(face.face.holes)
    if pipes:
        hours.append(
            _element(
                "sealing", m["sealing.per_penetration"] * pipes, here.inside, f"{pipes} pipes and wires", inside=True
            )
        )
    return hours, needs


def _volume(seam: Seam) -> float:
    return seam.length * max(seam.width, 0.006) * seam.depth
