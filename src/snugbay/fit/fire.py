"""What fire asks for besides gypsum: ignition barriers in service spaces, metal and sealant round hot things."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import pi

from snugbay.job import Face, Hole, HotThing, Job
from snugbay.materials import Rates
from snugbay.materials.items import item
from snugbay.survey.hot import Hot, hot_items, kept_clear
from snugbay.tape import FOOT_M, INCH_M
from snugbay.ways import Need, Option
from snugbay.ways.cover import SERVICE
from snugbay.weigh import AS_FOUND, Weighing

BARRIER, METAL, SEALANT = "ignition-barrier", "fire-metal", "fire-sealant"

OPEN = frozenset({HotThing.LIGHT, HotThing.FAN_HEATER, HotThing.TRANSFORMER})
"""Things that need air round them."""


def worked(job: Job, weighing: Weighing) -> tuple[tuple[Face, Option], ...]:
    """Faces that get layers, with their ways."""
    pairs = ((job.face(f), weighing.option(f, way)) for f, way in weighing.plan.ways if way != AS_FOUND)
    return tuple((f, o) for f, o in pairs if o.layers)


def hot_gaps(faces: Sequence[Face]) -> tuple[tuple[Face, Hot], ...]:
    """Hot things whose gap is to be closed; round lamps and what needs air it stays open."""
    return tuple((f, h) for f in faces for h in hot_items(f) if h.hot_thing not in OPEN)


def ring(thing: Hot, lap: float) -> tuple[float, float]:
    """Area of the plate round a hot thing [m²] and length of its two joints [m], for a lap over the boards. [m]"""
    reach = (kept_clear(thing) or 0.0) + lap
    if isinstance(thing, Hole):
        wide, high = thing.width + 2 * reach, thing.height + 2 * reach
        own, inner = thing.width * thing.height, 2 * (thing.width + thing.height)
        if thing.round:
            own, inner = own * pi / 4, inner * pi / 4
        return wide * high - own, inner + 2 * (wide + high)
    wide, high = thing.width + 2 * reach, thing.depth + reach
    return wide * high - thing.width * thing.depth, thing.width + 2 * thing.depth + wide + 2 * high


def fire_needs(job: Job, weighing: Weighing, rates: Rates) -> tuple[Need, ...]:
    """Return what the cautions ask for and no way counts, in selling units.

    Parameters
    ----------
    job, weighing
        The question and its plan.
    rates : Rates
        Lap and waste (``ways.cover``), prices.

    Notes
    -----
    The barrier covers the whole face net of openings; a plate is the ring of the distance kept and the lap, less the
    thing itself; sealant runs along both its edges.
    """
    return tuple(n for n in (*_barrier(job, weighing, rates), *_plates(job, weighing, rates)) if n.high > 0)


def _barrier(job: Job, weighing: Weighing, rates: Rates) -> Iterator[Need]:
    area = {f.face: f.area for f in weighing.as_found.faces}
    faces = [f.id for f, o in worked(job, weighing) if SERVICE in o.cover]
    waste = rates["ways.cover.gypsum_waste_pct"]
    sheets = sum(area[f] for f in faces) / FOOT_M**2 / item(BARRIER, job.place.currency, rates).amount
    why = f"{', '.join(faces)}: over foam in a space for service only, unless the foam's own fire report waives it"
    low, typical, high = (sheets * (1 + w / 100) for w in (waste.low, waste.typical, waste.high))
    yield Need(BARRIER, low, typical, high, why)


def _plates(job: Job, weighing: Weighing, rates: Rates) -> Iterator[Need]:
    gaps = hot_gaps([f for f, _ in worked(job, weighing)])
    lap, waste = rates["ways.cover.hot_lap"], rates["ways.cover.hot_waste_pct"]
    plate = item(METAL, job.place.currency, rates).amount * FOOT_M**2
    tube = item(SEALANT, job.place.currency, rates).amount
    rings = [[ring(h, x * INCH_M) for _, h in gaps] for x in (lap.low, lap.typical, lap.high)]
    why = "round " + ", ".join(f"{h.name} in {f.id}" for f, h in gaps)
    bought = zip(rings, (waste.low, waste.typical, waste.high), strict=True)
    low, typical, high = (sum(a for a, _ in r) / plate * (1 + w / 100) for r, w in bought)
    yield Need(METAL, low, typical, high, why)
    low, typical, high = (sum(length for _, length in r) / tube for r in rings)
    yield Need(SEALANT, low, typical, high, why)
