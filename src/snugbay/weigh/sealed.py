"""What sealing each face of the plan is worth: its part of the saving that the balance of the zones gives."""

from __future__ import annotations

import numpy as np

from snugbay.base import Finding, Weight
from snugbay.base.facts import Area
from snugbay.physics import air
from snugbay.ways import Option
from snugbay.ways.balance import mean_slope, season_drop
from snugbay.ways.found import Ground
from snugbay.weigh.afterwards import SealWorth

SPREAD = 2.0
"""Leakage areas of tables scatter by a factor of about two either way. (assumption)"""

LEAST = 1e-7
"""Leakage area that counts. [m²]"""


def sealing_worth(
    base: Ground, options: tuple[Option, ...]
) -> tuple[tuple[SealWorth, ...], float | None, tuple[Finding, ...]]:
    """Reckon what closing the leaks of each worked face brings in a year, most first.

    Parameters
    ----------
    base : Ground
        The job, measured.
    options : tuple of Option
        What the plan has on each face, one for every face.

    Returns
    -------
    tuple of SealWorth, float or None, tuple of Finding
        Worth by face; leakage area of the whole house where a blower door measured it [m²]; what does not fit.

    Notes
    -----
    Parts of the plan's own saving: sealing and insulating all faces grow together (`mean_slope`), so that all parts add
    up to the saving and none depends on the order. The band is that of leaks half and twice those of the table. With a
    blower-door figure the faces cannot claim more than the house has, and are scaled down to it.
    """
    home = base.job.place
    measured = None if home.blower_door is None else float(air.ela_from_blower_door(home.blower_door))
    closed = {o.face: o.leak_before - o.leak_after for o in options if o.leak_before - o.leak_after > LEAST}
    claimed = sum(closed.values())
    found: tuple[Finding, ...] = ()
    scale = 1.0
    if measured is not None and claimed > measured:
        scale = measured / claimed
        facts = {"claimed": Area(claimed), "house": Area(measured)}
        found = (Finding.of("season.faces-exceed-house", Weight.NOTE, (), **facts),)
    usual, low, high = (_parts(base, options, closed, k * scale) for k in (1.0, 1.0 / SPREAD, SPREAD))
    price = home.fuel.price_kwh / home.fuel.efficiency
    rows = [
        SealWorth(
            face,
            scale * area,
            usual[face],
            min(low[face], usual[face]),
            max(high[face], usual[face]),
            usual[face] * price,
        )
        for face, area in closed.items()
        if usual[face] > 0
    ]
    return tuple(sorted(rows, key=lambda r: -r.kwh)), measured, found


def _parts(base: Ground, options: tuple[Option, ...], closed: dict[str, float], factor: float) -> dict[str, float]:
    """Part of the saving that sealing has on each face, all leaks so many times what was reckoned. [kWh]"""
    net, by_id, per_m2 = base.loads.net, base.by_id, base.air.air_conductance
    more = (factor - 1.0) * per_m2
    before = {o.face: o.heat_before + more * o.leak_before for o in options}
    after = {o.face: o.heat_after + more * o.leak_after for o in options}
    states = [np.asarray(base.loads.conductance(by_id, heat)) for heat in (before, after)]
    slope = mean_slope(net, states[0], states[1], season_drop(base.air))
    out = {}
    for face, area in closed.items():
        warm, cold = by_id[face].face.warm, by_id[face].face.cold
        out[face] = float(slope[net.pair(warm, cold)]) * area * factor * per_m2 if warm != cold else 0.0
    return out
