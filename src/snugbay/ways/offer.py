"""What every way would need and give on every face."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from snugbay.base import Effort, Finding, NoFit, Outcome, OutOfRange, Run, Told, Weight
from snugbay.base.facts import FaceRef, Name, names
from snugbay.job import Job, Units
from snugbay.materials import Board, Rate, Rates, material, money_rate
from snugbay.physics.heat import corrected_u, fastener_correction, fastener_section
from snugbay.survey import Survey
from snugbay.ways.balance import zone_kinds
from snugbay.ways.buildup import Added, FaceR, resistance
from snugbay.ways.conditions import Conditions, conditions_at
from snugbay.ways.crawl import crawl_needs
from snugbay.ways.edges import edge_heat
from snugbay.ways.faceloads import Load, doors_heat
from snugbay.ways.fillwork import Amount, fitting_products
from snugbay.ways.found import Ground, ground
from snugbay.ways.in_use import STATEMENT, in_use
from snugbay.ways.leaks import airtight_as_found, joist_leak, opening_leak
from snugbay.ways.limits import AS_FOUND, matches, why_not
from snugbay.ways.made import make
from snugbay.ways.measure import Measured
from snugbay.ways.moisture import vapour_reasons
from snugbay.ways.parts import Desk, Parts, Variant, parts_of
from snugbay.ways.reading import all_ways
from snugbay.ways.resources import shelf
from snugbay.ways.table import Product, Way, figure
from snugbay.ways.triple import Triple, of
from snugbay.ways.values import HourElement, Need, Option

MOST_KINDS = {Effort.QUICK: 2, Effort.NORMAL: 4, Effort.THOROUGH: 99}
"""Board kinds tried where the job does not name its own."""


def options(job: Job, survey: Survey, run: Run) -> Outcome[tuple[Option, ...]]:
    """Reckon every way for every face.

    Parameters
    ----------
    job : Job
        The job.
    survey : Survey
        Adjusted faces.
    run : Run
        Effort (how many board kinds), progress, stop.

    Returns
    -------
    Outcome of tuple of Option
        For each face: as found, then each way that fits in each of its variants, and each that does not with reasons.
        ``finished`` is False where the run was stopped; faces not reached then have only the state as found.

    Raises
    ------
    InputError
        If the climate, a zone, a material or an own way is wrong.
    """
    base = ground(job, survey)
    ways = all_ways(job.own_ways, base.rates)
    return offers(base, survey, run, ways)


def offers(base: Ground, survey: Survey, run: Run, ways: tuple[Way, ...]) -> Outcome[tuple[Option, ...]]:
    """Reckon every way for every face on ground already laid."""
    things = shelf(base.job, ways, base.rates)
    heights = {f.id: conditions_at(base.clear.over(f.face), base.job.you, base.rates) for f in base.faces}
    made = make(base, survey, run.within("ways", 0.0, 0.8), ways, things.boards, heights)
    desk = Desk(base, run, things, made)
    out: list[Option] = []
    findings: list[Finding] = [*_must_findings(base.job, ways), *made.findings]
    finished = made.finished
    for done, face in enumerate(base.faces):
        out.append(_as_found(face, base.loads.faces[face.id], airtight=False))
        if run.stop():
            finished = False
            continue
        for way in ways:
            out.extend(_way_options(desk, face, way, heights[face.id]))
        run.progress("ways", 0.8 + 0.2 * (done + 1) / len(base.faces))
    return Outcome(
        tuple(out),
        tuple(findings),
        ("Rates and prices: bundled tables, your own figures first.", STATEMENT),
        finished,
    )


def _must_findings(job: Job, ways: Sequence[Way]) -> Iterable[Finding]:
    for face in job.faces:
        for name in (face.must, *face.never):
            if name and not any(matches(name, w.id) or w.id == name for w in ways) and name != AS_FOUND:
                known = names(w.id for w in ways)
                where = ("faces", face.id)
                yield Finding.of("ways.unknown", Weight.NOTE, where, face=FaceRef(face.id), way=Name(name), known=known)


def _as_found(face: Measured, load: Load, *, airtight: bool) -> Option:
    u = 1.0 / load.r.total
    return Option(
        face.id,
        AS_FOUND,
        "left as found",
        True,
        r_low=load.r.total,
        r_typical=load.r.total,
        r_high=load.r.total,
        u_before=u,
        u_after=u,
        leak_before=load.leak,
        leak_after=load.leak,
        air_barrier=airtight,
        heat_before=load.heat,
        heat_low=load.heat,
        heat_after=load.heat,
        heat_high=load.heat,
        group=AS_FOUND,
    )


def _boards_to_try(desk: Desk, way: Way) -> tuple[Board, ...]:
    rule = way.boards
    if rule is None:
        return ()
    kinds = desk.shelf.boards
    if rule.thin:
        least = min(b.thickness for b in kinds)
        return tuple(b for b in kinds if b.thickness <= least + 1e-6)[:1]
    if desk.job.stock.sheets:
        return kinds
    return kinds[: MOST_KINDS[desk.run.effort]]


def _thickness_id(metres: float, units: Units) -> str:
    return f"{metres / 0.0254:.3g}in" if units is Units.FT_IN else f"{metres * 1000:.0f}mm"


def _variants(desk: Desk, face: Measured, way: Way, kinds: tuple[Board, ...] = ()) -> list[Variant]:
    products: tuple[Product | None, ...] = (None,)
    if way.fill is not None:
        products = fitting_products(way.fill, face, desk.rates)
    boards: tuple[Board | None, ...] = kinds or _boards_to_try(desk, way) or (None,)
    out = []
    for product in products:
        for board in boards:
            parts, words = [], []
            if board is not None:
                parts.append(board.key)
                words.append(board.name)
            if product is not None and (len(products) > 1 or way.fill is None):
                size = _thickness_id(product.thickness, desk.job.units)
                parts.append(size)
                words.append(size)
            name = "-".join(parts)
            title = f"{way.title} ({', '.join(words)})" if words else way.title
            out.append(Variant(way, f"{way.id}/{name}" if name else way.id, title, board, product))
    return out


def _refused(face: Measured, way: str, title: str, group: str, reasons: tuple[Told, ...], load: Load) -> Option:
    plain = _as_found(face, load, airtight=False)
    return replace(plain, way=way, title=title, fits=False, why_not=reasons, group=group)


def _way_options(desk: Desk, face: Measured, way: Way, here: Conditions) -> list[Option]:
    load = desk.base.loads.faces[face.id]
    reasons = why_not(desk.job, face, way, here, desk.rates)
    if not reasons and way.boards is None and way.fill is None and not airtight_as_found(face):
        reasons = ("the face has no airtight layer whose joints could be sealed",)
    if reasons:
        return [_refused(face, way.id, way.title, way.group, reasons, load)]
    made = [_option(desk, face, v, here) for v in _variants(desk, face, way)]
    return list({o.way: o for o in made}.values())  # strips that are foamed are alike for all boards of a thickness


def option_of(desk: Desk, face: Measured, option: Option, ways: Sequence[Way], here: Conditions) -> Option:
    """Reckon an option again at another desk, whose boards are laid."""
    way = next(w for w in ways if matches(option.way, w.id))
    kinds = [b for b in desk.shelf.boards if option.boards is not None and b.key == option.boards.material]
    found = [v for v in _variants(desk, face, way, tuple(kinds)) if v.id == option.way]
    return _option(desk, face, found[0], here)


def _option(desk: Desk, face: Measured, v: Variant, here: Conditions) -> Option:
    load = desk.base.loads.faces[face.id]
    try:
        parts = parts_of(desk, face, v, here)
    except (NoFit, OutOfRange) as error:
        return _refused(face, v.id, v.title, v.way.group, (error.said or str(error),), load)
    if isinstance(parts, tuple):
        return _refused(face, v.id, v.title, v.way.group, parts, load)
    reasons = vapour_reasons(desk.base, face, parts.layers)
    if reasons:
        return _refused(face, v.id, v.title, v.way.group, reasons, load)
    return _assembled(desk, face, v, here, load, parts)


def _leak_left(way: Way, face: Measured, rates: Rates) -> Triple:
    left = of(figure(way.leak_left, rates))
    if way.seals_first and airtight_as_found(face):
        sealed = of(rates["ways.leak_left.sealed_first"])
        if sealed.typical < left.typical:
            return sealed
    return left


def _leaks_after(way: Way, load: Load, left: Triple) -> Triple:
    """Leaks left beside the openings, no more than there were: joints as the way has them, joist bays blocked or open.

    Leaks that are left are small beside what a space behind passes on, so that they count whole.
    """
    joists = load.joist_leak
    if joists > 0 and way.air_barrier == "yes":
        joists *= joist_leak(1, blocked=True) / joist_leak(1, blocked=False)
    most = load.leak - load.opening_leak
    low, middle, high = (min(x * load.joints_leak + joists, most) for x in (left.low, left.typical, left.high))
    return Triple(low, middle, high, left.assumed)


def _barrier(way: Way, face: Measured) -> bool:
    return way.air_barrier == "yes" or (way.air_barrier == "sealed" and airtight_as_found(face))


def _again(hours: tuple[HourElement, ...], desk: Desk) -> tuple[HourElement, ...]:
    """Add what coming back another day takes: looking where it stopped, laying out again."""
    day = Triple(*(sum(getattr(h, c) for h in hours) / desk.job.you.hours_per_day for c in ("low", "typical", "high")))
    more = of(desk.rates["ways.trips.again_h"]) * day
    if more.high <= 0:
        return hours
    return (*hours, HourElement("set-up", more.low, more.typical, more.high, False, "coming back another day", True))


def _sessions(hours: tuple[HourElement, ...], here: Conditions, *, sprayed: bool) -> tuple[HourElement, ...]:
    """Add setting up and clearing up each session in a tight space; a kit is sprayed in one go, its prep is its own."""
    if sprayed:
        return hours
    inside = Triple(
        sum(h.low for h in hours if h.inside),
        sum(h.typical for h in hours if h.inside),
        sum(h.high for h in hours if h.inside),
    )
    more = inside * here.session
    if more.high <= 0:
        return hours
    note = "set up and clear up each session in the tight space"
    return (*hours, HourElement("set-up", more.low, more.typical, more.high, True, note, True))


def _needs(desk: Desk, amounts: Sequence[Amount]) -> tuple[Need, ...]:
    out: dict[str, Need] = {}
    for a in amounts:
        main = desk.shelf.main(a.resource)
        low, mid, high = (x / main.amount for x in (a.amount.low, a.amount.typical, a.amount.high))
        old = out.get(main.id)
        if old is None:
            out[main.id] = Need(main.id, low, mid, high, a.why)
        else:
            why = old.why if a.why in old.why else f"{old.why}; {a.why}"
            out[main.id] = Need(main.id, old.low + low, old.typical + mid, old.high + high, why)
    return tuple(out.values())


THROUGH = frozenset({"cover-screw", "cover-anchor", "gypsum-screw-3in"})
"""What holds a cover through the foam."""
STEEL = 50.0
"""Conductivity. [W/(m·K)] ISO 6946 Annex F"""


def _fastened(desk: Desk, face: Measured, layers: tuple[Added, ...], parts: Parts, pick: str, bare: FaceR) -> float:
    """Resistance with the steel that goes through the boards. [m²·K/W]

    References
    ----------
    [ISO6946:2017] Annex F.3, by `physics.heat.fastener_correction`; the section is that of a plain screw (rate
    ``ways.screw.diameter_mm``), few of them where the resistance is high.
    """
    column = {"r_low": "high", "r": "typical", "r_high": "low"}[pick]
    over = [k for k in layers if not k.between]
    count = sum(getattr(a.amount, column) for a in parts.amounts if a.resource in THROUGH)
    if parts.board_work is not None:
        count += getattr(parts.board_work.through, column)
    layer = float(sum(getattr(k, pick) for k in over))
    if count <= 0 or layer <= 0:
        return bare.total
    section = fastener_section(getattr(desk.rates["ways.screw.diameter_mm"], column) / 1000.0)
    thick = sum(k.thickness for k in over)
    more = fastener_correction(section, STEEL, count / face.area, thick, layer, max(bare.upper, layer))
    return 1.0 / float(corrected_u(1.0 / bare.total, more))


def _heat(face: Measured, r: float, edges: float, leak: float, door_u: float, air: float) -> float:
    return face.area / r + edges + doors_heat(face, door_u) + leak * air


def _assembled(desk: Desk, face: Measured, v: Variant, here: Conditions, load: Load, parts: Parts) -> Option:
    way, rates, base = v.way, desk.rates, desk.base
    kinds = zone_kinds(desk.job)
    layers, working = in_use(base, face, parts.layers)
    r_low, r_mid, r_high = (
        _fastened(desk, face, layers, parts, pick, resistance(face, kinds, rates, layers, pick=pick, work=bool(layers)))
        for pick in ("r_low", "r", "r_high")
    )
    edges = edge_heat(face, base.corners[face.id], kinds, layers, work=bool(layers))
    left = _leak_left(way, face, rates)
    doors = min(opening_leak(face, sealed=True), load.opening_leak) if load.opening_leak > 0 else 0.0
    leaks = _leaks_after(way, load, left)
    plug_r = desk.shelf.boards[0].thickness / (material(desk.shelf.boards[0].material).conductivity or 0.03)
    door_u = 1.0 / (1.0 / load.opening_u + plug_r)
    air = base.air.air_conductance
    sprayed = any(f is not None and f.sprayed for f in (way.fill, way.second))
    hours = _again(_sessions(parts.hours, here, sprayed=sprayed), desk)
    charge = parts.charge
    minimum = _minimum(way, desk)
    notches = parts.cut.notches if parts.cut is not None else 0
    gear, once, before = crawl_needs(desk.job, face.face, rates, insulated=bool(layers))
    return Option(
        face.id,
        parts.id or v.id,
        parts.title or v.title,
        True,
        r_low=r_low,
        r_typical=r_mid,
        r_high=r_high,
        u_before=1.0 / load.r.total,
        u_after=1.0 / r_mid,
        leak_before=load.leak,
        leak_after=leaks.typical + doors,
        thickness=sum(k.thickness for k in parts.layers),
        hours=hours,
        needs=_needs(desk, parts.amounts),
        gear=(*way.gear, *way.hire, *gear),
        charge_low=charge.low,
        charge=charge.typical,
        charge_high=charge.high,
        shared=(
            *(s.id for s in way.shared),
            *(s for s, _ in once),
            *(("crew-minimum",) if minimum.typical > 0 else ()),
        ),
        first=(*before, *parts.extra.first),
        after=parts.extra.after,
        cover=parts.extra.cover,
        boards=parts.choice,
        joints=parts.board_work.joints if parts.board_work is not None else (),
        pieces=parts.cut.pieces if parts.cut is not None else 0,
        cuts=round(parts.cut.cuts) if parts.cut is not None else 0,
        sprayed=sprayed,
        air_barrier=_barrier(way, face),
        cautions=way.cautions,
        findings=working,
        group=way.group,
        heat_before=load.heat,
        heat_low=_heat(face, r_high, edges, leaks.low + doors, door_u, air),
        heat_after=_heat(face, r_mid, edges, leaks.typical + doors, door_u, air),
        heat_high=_heat(face, r_low, edges, leaks.high + doors, door_u, air),
        minimum_low=minimum.low,
        minimum=minimum.typical,
        minimum_high=minimum.high,
        shared_hours=(*((s.id, _shared(s.element, figure(s.hours, rates), here)) for s in way.shared), *once),
        notch_hours=_notch_hours(desk, here) if notches else 0.0,
        notches=notches,
        edges=edges,
        layers=parts.layers,
    )


def _minimum(way: Way, desk: Desk) -> Triple:
    if isinstance(way.minimum, str):
        return of(money_rate(way.minimum, desk.job.place.currency, desk.rates))
    return of(figure(way.minimum, desk.rates))


def _shared(element: str, rate: Rate, here: Conditions) -> HourElement:
    del here
    return HourElement(element, rate.low, rate.typical, rate.high, False, "once for the job", rate.assumed)


def _notch_hours(desk: Desk, here: Conditions) -> float:
    mark = desk.rates["time_model.marking.mark_corner_notch"].typical
    cut = desk.rates["time_model.cutting.curve_or_notch"].typical
    factor = here.inside if desk.job.access.cut_inside else here.outside
    return (mark + cut) * factor.typical / 60.0
