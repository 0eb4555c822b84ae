"""Figures out of an hourly balance: the rooms' loss, ventilation by weather, frost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from snugbay.base import Finding, Weight
from snugbay.base.facts import Name, Span, Temperature
from snugbay.physics._num import Array, arr
from snugbay.physics.buffer.hourly import HourlyBalance
from snugbay.physics.buffer.network import Network
from snugbay.physics.climate.hourly import MONTH_OF_HOUR


def heat_from(
    balance: HourlyBalance, net: Network, zone: str, series: Mapping[str, Array], *, to: Sequence[str] | None = None
) -> Array:
    """Heat that a zone of given temperature loses to its neighbours, by month.

    Parameters
    ----------
    balance : HourlyBalance
        A run without varying ventilation between these zones.
    net : Network
        The network of the run.
    zone : str
        The fixed zone, ``inside``.
    series : Mapping
        The driving series of the run.
    to : sequence of str, optional
        Neighbours to count; all if None.

    Returns
    -------
    array, shape (..., 12)
        Mean power of the months; exact, since it is linear in the temperatures. [W]
    """
    own = _monthly(series[zone])
    total = np.zeros((*balance.model.shape, 12))
    for other in net.zones if to is None else to:
        if other == zone:
            continue
        k = np.asarray(net.conductance[..., net.index(zone), net.index(other)])
        there = balance.of(other) if other in balance.model.zones else _monthly(series[other])
        total = total + k[..., None] * (own - there)
    return np.asarray(total)


def _monthly(values: Array) -> Array:
    v = np.broadcast_to(arr(values), (8760,)) if arr(values).ndim == 0 else arr(values)
    month = np.tile(MONTH_OF_HOUR, v.size // 8760)
    return np.bincount(month, v, 12) / np.bincount(month, minlength=12)


def wind_stack_factor(
    temp_difference: Array,
    wind: Array,
    *,
    mean_difference: float = 10.0,
    mean_wind: float = 3.5,
    stack_share: float = 0.5,
) -> Array:
    """Factor of a space's ventilation by the hour's stack and wind, 1 at the means. [-]

    Parameters
    ----------
    temp_difference : array
        Space (or roof) less outdoors. [K]
    wind : array
        Wind speed. [m/s]
    mean_difference, mean_wind : float
        Values at which the air change rate was stated.
    stack_share : float
        Share of the squared flow that stack drives at the means. [-] (assumption ½)

    Returns
    -------
    array
        √(s·|ΔT|/ΔT₀ + (1 − s)·(v/v₀)²), flow through openings of one size by both drives.
    """
    dt, v = np.abs(arr(temp_difference)), arr(wind)
    return np.sqrt(stack_share * dt / mean_difference + (1.0 - stack_share) * (v / mean_wind) ** 2)


def check_frost(balance: HourlyBalance, zone: str, *, pipes: bool) -> tuple[Finding, ...]:
    """Findings on frost in a space, one variant at a time.

    Parameters
    ----------
    balance : HourlyBalance
        A run of one variant.
    zone : str
        The space.
    pipes : bool
        Whether water pipes run in it.

    Returns
    -------
    tuple of Finding
        A stop where pipes would freeze, a note where the space falls below zero without pipes.
    """
    hours, least = float(balance.of(zone, "frost_hours")), float(balance.of(zone, "least_c"))
    if not hours > 0:
        return ()
    frost, coldest = Span(hours), Temperature(least)
    source = "hourly heat balance of the space; ISO13789:2017"
    if pipes:
        found = Finding.of(
            "buffer.pipes-freeze", Weight.STOP, (), source, zone=Name(zone), frost=frost, coldest=coldest
        )
    else:
        found = Finding.of("buffer.frost", Weight.NOTE, (), zone=Name(zone), frost=frost, coldest=coldest)
    return (found,)
