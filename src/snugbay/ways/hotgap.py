"""The gap round hot things: closed with plates that do not burn and with fire-rated sealant."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import pi

from snugbay.job import Face, Hole, HotThing
from snugbay.materials import Rates
from snugbay.survey.hot import Hot, hot_items, kept_clear
from snugbay.tape import FOOT_M, INCH_M
from snugbay.ways.conditions import Conditions
from snugbay.ways.fillwork import Amount
from snugbay.ways.triple import Triple, of, total
from snugbay.ways.values import HourElement

METAL, SEALANT = "fire-metal", "fire-sealant"
NOTE = "plates: "
"""How notes of hours begin that are worked at the gaps round hot things."""

OPEN = frozenset({HotThing.LIGHT, HotThing.FAN_HEATER, HotThing.TRANSFORMER})
"""Things that need air round them."""


@dataclass(frozen=True)
class HotGaps:
    """What the gaps of one face take; empty where nothing hot passes through."""

    hours: tuple[HourElement, ...] = ()
    amounts: tuple[Amount, ...] = ()


def to_close(face: Face) -> tuple[Hot, ...]:
    """Hot things whose gap is to be closed; round lamps and what needs air it stays open."""
    return tuple(h for h in hot_items(face) if h.hot_thing not in OPEN)


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


def hot_gaps(face: Face, here: Conditions, rates: Rates) -> HotGaps:
    """Reckon plates and sealant round the hot things of a face that gets layers, and the hours they take.

    Parameters
    ----------
    face : Face
        With its notches and holes.
    here : Conditions
        Headroom, skill, rest.
    rates : Rates
        Lap and waste (``ways.cover``), hours (``ways.hot``).

    Notes
    -----
    A plate is the ring of the distance kept and the lap, less the thing itself; sealant runs along both its edges.
    """
    things = to_close(face)
    if not things:
        return HotGaps()
    names = ", ".join(f"{h.name} in {face.id}" for h in things)
    plates, joints = (total(_rings(things, rates, k)) for k in (0, 1))
    waste = of(rates["ways.cover.hot_waste_pct"]) * 0.01
    minutes = of(rates["ways.hot.plate_min"]) * len(things)
    minutes = minutes + of(rates["time_model.sealing.sealant_bead"]) * joints
    hours = minutes * here.inside * (1.0 / 60.0)
    note = f"{NOTE}{len(things)} cut, fixed and sealed round {names}"
    return HotGaps(
        (HourElement("cover", hours.low, hours.typical, hours.high, True, note, hours.assumed),),
        (
            Amount(METAL, waste.plus(1.0) * plates * (1.0 / FOOT_M**2), f"round {names}"),
            Amount(SEALANT, joints, f"round {names}"),
        ),
    )


def _rings(things: tuple[Hot, ...], rates: Rates, what: int) -> Iterator[Triple]:
    lap = rates["ways.cover.hot_lap"]
    for thing in things:
        low, middle, high = (ring(thing, x * INCH_M)[what] for x in (lap.low, lap.typical, lap.high))
        yield Triple(low, middle, high, lap.assumed)
