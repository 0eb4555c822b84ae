"""What sealing each face of the plan is worth, with or without a blower-door figure."""

from __future__ import annotations

from snugbay.base import Finding
from snugbay.job import ZoneKind
from snugbay.physics import air, season
from snugbay.physics.climate import Climate
from snugbay.ways import Option
from snugbay.ways.balance import zone_kinds
from snugbay.ways.found import Ground
from snugbay.weigh.afterwards import SealWorth

MOST_STOREYS = 3.0
LEAST = 1e-7
"""Leakage area that counts. [m²]"""


def sealing_worth(
    base: Ground, place: Climate, done: tuple[Option, ...], line: tuple[str, ...]
) -> tuple[tuple[SealWorth, ...], float | None, tuple[Finding, ...]]:
    """Reckon what closing the leaks of each worked face brings in a year, most first.

    Parameters
    ----------
    base : Ground
        The job, measured.
    place : Climate
        Climate.
    done : tuple of Option
        What the plan does.
    line : tuple of str
        Faces that divide warm from cold in the plan: leaks of others cost no heat.

    Returns
    -------
    tuple of SealWorth, float or None, tuple of Finding
        Worth by face; leakage area of the whole house where a blower door measured it [m²]; what does not fit.

    Notes
    -----
    Leakage areas from the component table and metres of joint; half and double them for the band. With a blower-door
    figure the faces cannot claim more than the house has, and are scaled down to it. Spaces behind are taken as open to
    the outside.
    """
    kinds = zone_kinds(base.job)
    items = [
        season.SealItem(o.face, o.leak_before, o.leak_after)
        for o in done
        if o.face in line
        and o.leak_before - o.leak_after > LEAST
        and ZoneKind.GROUND not in (kinds[base.by_id[o.face].face.warm], kinds[base.by_id[o.face].face.cold])
    ]
    home = base.job.place
    measured = None if home.blower_door is None else float(air.ela_from_blower_door(home.blower_door))
    if not items:
        return (), measured, ()
    house = sum(load.leak for load in base.loads.faces.values()) if measured is None else measured
    found = season.sealing_value(
        place,
        items,
        house,
        measured=measured is not None,
        storeys=min(max(home.storeys, 1.0), MOST_STOREYS),
        shielding=home.shielding,
        set_point_c=home.setpoint_c,
    )
    money = home.fuel.price_kwh / home.fuel.efficiency
    rows = [SealWorth(v.item.name, v.area, v.kwh, v.kwh_low, v.kwh_high, v.kwh * money) for v in found.values]
    notes = found.findings if measured is not None else ()
    return tuple(sorted(rows, key=lambda r: -r.kwh)), measured, notes
