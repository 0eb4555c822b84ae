"""What has to be done before and after: old insulation out, joints sealed, chutes, netting, cover, plugs."""

from __future__ import annotations

from dataclasses import dataclass

from snugbay.job import Part
from snugbay.materials import Board, Rates
from snugbay.tape import FOOT_M
from snugbay.ways.buildup import Added
from snugbay.ways.conditions import Conditions
from snugbay.ways.cover import Cover, cover_of
from snugbay.ways.fillwork import Amount
from snugbay.ways.found import Ground
from snugbay.ways.hotgap import hot_gaps
from snugbay.ways.leaks import airtight_as_found, joist_bays
from snugbay.ways.limits import surface_of
from snugbay.ways.measure import Measured
from snugbay.ways.table import Way, figure
from snugbay.ways.triple import Triple, of
from snugbay.ways.values import HourElement

FT2 = FOOT_M**2
SHEET_FT2 = 32.0
OLD = "old insulation: "
"""How the note of hours begins in which old insulation comes out."""
SHORT_SCREW = 0.045
"""Thickness up to which a 3 in screw still holds. [m]"""


@dataclass(frozen=True)
class Extra:
    """Hours, things and words round the insulating itself."""

    hours: tuple[HourElement, ...]
    amounts: tuple[Amount, ...]
    first: tuple[str, ...]
    after: tuple[str, ...]
    cover: tuple[str, ...] = ()


@dataclass
class _Sums:
    hours: list[HourElement]
    amounts: list[Amount]
    first: list[str]
    after: list[str]

    def add(self, element: str, hours: Triple, note: str, *, inside: bool = True) -> None:
        self.hours.append(HourElement(element, hours.low, hours.typical, hours.high, inside, note, hours.assumed))


def extras(
    base: Ground,
    face: Measured,
    way: Way,
    here: Conditions,
    *,
    layers: tuple[Added, ...],
    board: Board,
    piece_hours: Triple,
    plugs: float | None = None,
) -> Extra:
    """Reckon what a way on a face needs before and after.

    Parameters
    ----------
    base : Ground
        The job and its rates.
    face : Measured
        The face.
    way : Way
        The way.
    here : Conditions
        Headroom, skill, rest.
    layers : tuple of Added
        Layers it adds.
    board : Board
        Board that plugs are made of.
    piece_hours : Triple
        Hours to measure, mark, cut and fit one layer of the face's boards: a cover cut to every pocket takes the same.
    plugs : float, optional
        Sheets of the plugs, where they are laid already.
    """
    s = _Sums([], [], list(way.first), list(way.after))
    rates = base.rates
    hired = way.fill is not None and of(figure(way.fill.price_bf, rates)).high > 0
    if face.face.old_insulation and layers:
        _old_out(face, here, rates, s)
    if way.seals_first and airtight_as_found(face):
        _seal_joints(face, here, rates, s)
    if face.face.vent_space and any(a.between for a in layers) and way.fill is not None and not hired:
        _chutes(face, here, rates, s)
    if (
        way.fill is not None
        and way.boards is None
        and not way.fill.sprayed
        and surface_of(face) in {"slope", "ceiling"}
    ):
        _net(face, here, rates, s)
    if way.fill is not None and way.fill.place == "face" and not way.fill.sprayed and not hired:
        _hold(face, rates, layers, s)
    over = cover_of(base, face, way, here, layers, piece_hours) if way.limits.foam and layers else Cover()
    s.hours += over.hours
    s.amounts += over.amounts
    if layers:
        gaps = hot_gaps(face.face, here, rates)
        s.hours += gaps.hours
        s.amounts += gaps.amounts
    if blocks(way, rates) and layers:
        _blocks(base, face, way, here, s)
    _plugs(face, here, rates, board, s, plugs)
    return Extra(tuple(s.hours), tuple(s.amounts), tuple(s.first), tuple(s.after), over.words)


def _old_out(face: Measured, here: Conditions, rates: Rates, s: _Sums) -> None:
    per = of(rates["methods.batts.remove_old"]) * of(rates["ways.containment_factor"])
    s.add("prep", per * (face.area / FT2) * here.inside, f"{OLD}{face.area:.1f} m2 out and bagged")
    s.first.insert(0, "old insulation out, bagged, in mask and suit")


def _seal_joints(face: Measured, here: Conditions, rates: Rates, s: _Sums) -> None:
    length = 0.5 * face.perimeter
    s.add("sealing", of(rates["ways.seal.joint_min"]) * (length / 60.0) * here.inside, f"{length:.1f} m of joints")
    if face.face.holes:
        n = len(face.face.holes)
        s.add("sealing", of(rates["time_model.sealing.per_penetration"]) * (n / 60.0) * here.inside, f"{n} pipes")
    s.amounts.append(Amount("sealant", Triple(length * 0.8, length, length * 1.5, True), "joints sealed first"))
    s.first.append("seal every joint and hole in the layer that stops the air")


def _chutes(face: Measured, here: Conditions, rates: Rates, s: _Sums) -> None:
    n = max(face.bays, 1)
    s.add("prep", of(rates["methods.loose_fill.baffle_min_each"]) * (n / 60.0) * here.inside, f"{n} vent chutes")
    s.amounts.append(Amount("chute", Triple(n, n, n), "ventilated space kept open"))
    s.first.append("vent chutes in every bay, from the eaves up")


def _hold(face: Measured, rates: Rates, layers: tuple[Added, ...], s: _Sums) -> None:
    """Fasteners of rigid fibre boards; the time to set them is in their labour rate. None on a floor."""
    if surface_of(face) == "floor":
        return
    masonry = face.face.substrate == "masonry"
    overhead = "fasteners.per_sheet_ceiling" if face.face.overhead else "fasteners.per_sheet_walls"
    rate = "methods.rigid_board_over_framing.fasteners_per_sheet_masonry" if masonry else overhead
    thick = sum(k.thickness for k in layers) > SHORT_SCREW
    item = "anchor" if masonry else ("screw-long" if thick else "screw-short")
    s.amounts.append(Amount(item, of(rates[rate]) * (face.area / FT2 / SHEET_FT2), "to hold the boards"))


def _net(face: Measured, here: Conditions, rates: Rates, s: _Sums) -> None:
    s.add("cover", of(rates["ways.net.labour"]) * (face.area / FT2) * here.inside, "netting so that nothing falls")
    ft2 = face.area / FT2
    s.amounts.append(Amount("net", Triple(ft2, ft2 * 1.05, ft2 * 1.1), "netting"))


def blocks(way: Way, rates: Rates) -> bool:
    """Tell whether joist bays are blocked in the course of a way by own hand: the air barrier runs through them."""
    hired = way.fill is not None and of(figure(way.fill.price_bf, rates)).high > 0
    return way.air_barrier == "yes" and not hired


def _blocks(base: Ground, face: Measured, way: Way, here: Conditions, s: _Sums) -> None:
    """Joist bays blocked: the air barrier runs through them. A kit foams the edges, so half the sealing time goes."""
    n = joist_bays(base.faces, face)
    if n == 0:
        return
    share = 0.5 if way.fill is not None and way.fill.sprayed else 1.0
    minutes = of(base.rates["ways.block.each_min"]) * (n * share / 60.0)
    s.add("prep", minutes * here.inside, f"{n} joist bays blocked and sealed")
    if share == 1.0:
        s.amounts.append(Amount("sealant", Triple(n * 0.8, n * 1.2, n * 1.8, True), "blocks in joist bays"))
    place = "under the wall" if face.face.part is Part.KNEE_WALL else "at the eaves"
    s.first.append(f"block and seal every joist bay {place}")


def _plugs(face: Measured, here: Conditions, rates: Rates, board: Board, s: _Sums, laid: float | None) -> None:
    doors = [o for o in face.face.openings if o.plug]
    if not doors:
        return
    n = len(doors)
    s.add("fitting", of(rates["ways.opening.plug_h"]) * n * here.outside, f"{n} plugs made and hung", inside=False)
    s.amounts.append(Amount("plug-parts", Triple(n, n, n), "plugs"))
    area = sum(o.width * o.height for o in doors) / (board.width * board.length)
    sheets = Triple(area, area * 1.1, area * 1.3) if laid is None else Triple(laid, laid, laid)
    if sheets.high > 0:
        s.amounts.append(Amount(board.key, sheets, "plugs"))
