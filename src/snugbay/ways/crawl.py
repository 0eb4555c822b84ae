"""Spaces over bare soil, and water pipes: what has to be there before anybody insulates round them."""

from __future__ import annotations

import math

from snugbay.job import Face, Job, Units, Zone, ZoneKind
from snugbay.materials import Item, Rate, Rates, currency_factor, material
from snugbay.tape import FOOT_M
from snugbay.ways.conditions import conditions
from snugbay.ways.measure import LEVEL
from snugbay.ways.triple import Triple, of
from snugbay.ways.values import HourElement

FT2 = FOOT_M**2
COVER, SLEEVES = "ground-cover", "pipe-sleeves"
BARE, COVERED = 150.0, 1500.0
"""Floor area over the free area of the vents, bare and with a ground cover (IRC R408.1, from memory). [-]"""
KEEPS_WATER = frozenset({"sheet", "masonry"})
"""Kinds of material that keep the soil's water down."""
BEFORE_ALL = "before anything else"
"""How what comes first in a space over soil begins."""
NAMES = ("crawl", "under floor", "underfloor")
"""In the name of a space over the soil whose floor is not among the faces."""


def over_soil(job: Job, zone: Zone) -> bool:
    """Tell whether a buffer space lies over bare soil: a floor without concrete or cover, or a name that says so."""
    if zone.kind is not ZoneKind.BUFFER:
        return False
    floors = [f for f in job.faces if zone.id in (f.warm, f.cold) and f.tilt < LEVEL and _ground(job, f)]
    if floors:
        return any(not _kept_down(f) for f in floors)
    return any(name in f"{zone.id} {zone.title}".lower() for name in NAMES)


def _ground(job: Job, face: Face) -> bool:
    return ZoneKind.GROUND in (job.zone(face.warm).kind, job.zone(face.cold).kind)


def _kept_down(face: Face) -> bool:
    return any(material(k.material).kind in KEEPS_WATER or k.material.startswith("concrete") for k in face.layers)


def soil(zone: Zone) -> float:
    """Area of the soil under a space, from its volume and height. [m²]"""
    return zone.volume / max(zone.height, 0.3)


def vents_text(zone: Zone, units: Units) -> str:
    """Say how large the free area of a crawl space's vents has to be, and what it is with a ground cover."""
    bare, covered = soil(zone) / BARE, soil(zone) / COVERED
    if units is Units.FT_IN:
        return (
            f"vents of {bare / FT2 * 144:.0f} in2 free area for bare soil, {covered / FT2 * 144:.0f} in2 once covered"
        )
    return f"vents of {bare * 1e4:.0f} cm2 free area for bare soil, {covered * 1e4:.0f} cm2 once covered"


def _costed(job: Job, rates: Rates, item: str, name: str, amount: Triple, rate: str) -> Item:
    price = of(rates[rate]) * amount * currency_factor(job.place.currency, rates)
    row = rates[rate]
    return Item(item, name, item, "set", 1.0, "set", "gear", Rate(
        row.id, price.low, price.typical, price.high, f"{job.place.currency} for the job", row.source, row.status
    ))  # fmt: skip


def crawl_items(job: Job, rates: Rates) -> tuple[Item, ...]:
    """Ground covers and pipe insulation that the spaces of a job may need, priced for the whole of each space."""
    out = []
    for zone in job.zones:
        title = zone.title or zone.id
        if over_soil(job, zone):
            ft2 = soil(zone) / FT2
            name = f"ground cover for {title}: polyethylene 6 mil, tape for its laps"
            out.append(
                _costed(job, rates, f"{COVER}-{zone.id}", name, Triple(ft2, ft2, ft2), "ways.ground.cover_price")
            )
        if zone.kind is ZoneKind.BUFFER and zone.pipes:
            name = f"pipe insulation for {title}, elbows and tape"
            run = of(rates["ways.pipe.run"]) * _along(zone)
            out.append(_costed(job, rates, f"{SLEEVES}-{zone.id}", name, run, "ways.pipe.sleeve_price"))
    return tuple(out)


def _along(zone: Zone) -> float:
    """Length of a space as wide as long. [m]"""
    return math.sqrt(soil(zone))


def crawl_needs(
    job: Job, face: Face, rates: Rates, *, insulated: bool
) -> tuple[tuple[str, ...], tuple[tuple[str, HourElement], ...], tuple[str, ...]]:
    """Return what a way on a face asks of the space that it is worked from or makes colder.

    Parameters
    ----------
    job : Job
        The job.
    face : Face
        The face.
    rates : Rates
        Rates with the user's own figures.
    insulated : bool
        True where layers are added.

    Returns
    -------
    gear : tuple of str
        Item ids, bought once for the space.
    shared_hours : tuple of (str, HourElement)
        Worked once for the space.
    first : tuple of str
        In words.
    """
    gear: list[str] = []
    hours: list[tuple[str, HourElement]] = []
    first: list[str] = []
    sides = [job.zone(z) for z in dict.fromkeys((face.board_side, face.warm, face.cold))]
    for zone in sides if insulated else ():
        here = conditions(max(zone.height, 0.4), job.you, rates)
        if over_soil(job, zone):
            once = of(rates["ways.ground.cover_labour"]) * (soil(zone) / FT2) * here.inside
            note = f"{soil(zone):.0f} m2 of soil covered, laps taped, turned up the walls"
            gear.append(f"{COVER}-{zone.id}")
            hours.append((f"{COVER}-{zone.id}", _prep(once, note)))
            first.append(
                f"{BEFORE_ALL} cover the bare ground of {zone.title or zone.id} and check its vents: "
                f"{vents_text(zone, job.units)}"
            )
        colder = zone.kind is ZoneKind.BUFFER and ZoneKind.INSIDE in {z.kind for z in sides}
        if zone.pipes and colder:
            once = of(rates["ways.pipe.run"]) * _along(zone)
            once = of(rates["ways.pipe.sleeve_min"]) * once * here.inside * (1.0 / 60.0)
            gear.append(f"{SLEEVES}-{zone.id}")
            hours.append((f"{SLEEVES}-{zone.id}", _prep(once, "water pipes insulated, elbows and valves too")))
            first.append(f"insulate the water pipes of {zone.title or zone.id}: the space gets colder")
    return tuple(gear), tuple(hours), tuple(first)


def _prep(h: Triple, note: str) -> HourElement:
    return HourElement("prep", h.low, h.typical, h.high, True, f"once for the job: {note}", True)
