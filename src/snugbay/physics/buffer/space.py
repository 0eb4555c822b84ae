"""A year in one buffer space: how cold, frost on pipes, damp on the deck; before and after a measure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from snugbay.base import Finding, OutOfRange, Weight
from snugbay.base.facts import Name, Span, Temperature, TemperatureDifference
from snugbay.physics._num import Array, Real, arr
from snugbay.physics.buffer.figures import check_frost, heat_from
from snugbay.physics.buffer.hourly import hourly_model, run_hourly
from snugbay.physics.buffer.humidity import DeckYear, check_deck, deck_temperature, deck_year, mixed_vapour
from snugbay.physics.buffer.network import Network
from snugbay.physics.climate.hourly import MONTH_OF_HOUR, HourlyYear
from snugbay.physics.climate.sun import on_plane
from snugbay.physics.moisture.mould import indoor_vapour_pressure


@dataclass(frozen=True)
class Roof:
    """The outer face of a space.

    Attributes
    ----------
    area : float
        [m²]
    u : float
        Transmittance. [W/(m²·K)]
    slope_deg, azimuth_deg : float
        Slope, 0 level; direction it faces, clockwise from north. [deg]
    absorptance : float
        Of sunlight. [-]
    """

    area: float
    u: float
    slope_deg: float
    azimuth_deg: float
    absorptance: float = 0.85


@dataclass(frozen=True)
class SpaceYear:
    """A buffer space through a year.

    Attributes
    ----------
    zone : str
        The space.
    monthly_c : array, shape (12,)
        Mean temperatures. [°C]
    least_c, frost_hours : float
        Coldest hour [°C], hours below 0 °C [h].
    house_loss_w : array, shape (12,)
        Heat that the rooms lose to all their neighbours, by month. [W]
    deck : DeckYear or None
        Dampness of the roof's inner face, where air flows were given.
    hours_c : array, shape (8760,)
        Hourly temperatures. [°C]
    findings : tuple of Finding
        Frost and damp.
    """

    zone: str
    monthly_c: Array
    least_c: float
    frost_hours: float
    house_loss_w: Array
    deck: DeckYear | None
    hours_c: Array
    findings: tuple[Finding, ...]


def space_year(
    net: Network,
    zone: str,
    year: HourlyYear,
    *,
    inside_c: float = 20.0,
    inside: str = "inside",
    outside: str = "outside",
    fixed: dict[str, Real] | None = None,
    capacity: Real = 2.0e5,
    roof: Roof | None = None,
    from_room: float | None = None,
    from_outside: float | None = None,
    humidity_class: float = 3,
    pipes: bool = False,
) -> SpaceYear:
    """Run one variant through a year and judge one space of it.

    Parameters
    ----------
    net : Network
        Conductances of one variant.
    zone : str
        The space to judge.
    year : HourlyYear
        The weather.
    inside_c : float
        Rooms. [°C]
    inside, outside : str
        Names of those zones.
    fixed : dict, optional
        Further zones of given temperature, numbers or series. [°C]
    capacity : float
        Heat capacity of every free zone. [J/K]
    roof : Roof, optional
        Outer face with sun on it; its conductance must already be in the network.
    from_room, from_outside : float, optional
        Air into the space from the rooms and from outside, for its humidity. [m³/s]
    humidity_class : float
        Of the rooms.
    pipes : bool
        Whether water pipes run in it.

    Returns
    -------
    SpaceYear

    Raises
    ------
    OutOfRange
        If the network holds several variants, or an air flow is given without the other or without a roof.
    """
    if net.conductance.ndim != 2:
        raise OutOfRange("A space is judged one variant at a time.")
    given = {inside: inside_c, outside: year.t, **(fixed or {})}
    held = [z for z in given if z in net.zones]
    free = [z for z in net.zones if z not in held]
    series: dict[str, Array] = {k: arr(given[k]) for k in held}
    sources = {}
    if roof is not None:
        sources["sun"] = {zone: roof.area * roof.u * 0.04 * roof.absorptance}
        series["sun"] = arr(
            on_plane(year.ghi, year.dhi, year.path, slope_deg=roof.slope_deg, azimuth_deg=roof.azimuth_deg)
        )
    model = hourly_model(net, held, dict.fromkeys(free, capacity), sources)
    run = run_hourly(model, series, keep=True)
    found = list(check_frost(run, zone, pipes=pipes))
    deck = None
    if from_room is not None or from_outside is not None:
        if roof is None or from_room is None or from_outside is None:
            raise OutOfRange("The damp of a space needs its roof and both air flows.")
        outer = year.t + 0.04 * roof.absorptance * series["sun"]
        face = deck_temperature(run.of(zone, "history_c"), outer, roof.u)
        room = indoor_vapour_pressure(year.vapour_pa, _held_mean(year), humidity_class)
        deck = deck_year(face, mixed_vapour(room, year.vapour_pa, from_room, from_outside))
        found += check_deck(deck, zone)
    return SpaceYear(
        zone,
        run.of(zone),
        float(run.of(zone, "least_c")),
        float(run.of(zone, "frost_hours")),
        heat_from(run, net, inside, series),
        deck,
        np.asarray(run.of(zone, "history_c")),
        tuple(found),
    )


def _held_mean(year: HourlyYear) -> Array:
    """Monthly mean outdoor temperature for every hour: humidity classes are laws of monthly means."""
    return np.asarray(year.monthly_mean(year.t)[MONTH_OF_HOUR])


def compare_space(before: SpaceYear, after: SpaceYear) -> tuple[Finding, ...]:
    """Findings on what a measure does to the space behind it.

    Parameters
    ----------
    before, after : SpaceYear
        One space in one weather.

    Returns
    -------
    tuple of Finding
        How much colder it grows, and damp or frost that the measure brings; a warning where it does.
    """
    drop = float(before.monthly_c.min() - after.monthly_c.min())
    found = []
    if drop > 0.5:
        worse = after.frost_hours - before.frost_hours
        found.append(
            Finding.of(
                "buffer.colder",
                Weight.WARN if worse > 24 else Weight.NOTE,
                (),
                "hourly heat balance of the space; ISO13789:2017",
                zone=Name(after.zone),
                drop=TemperatureDifference(drop),
                coldest=Temperature(float(after.monthly_c.min())),
                frost=Span(worse),
            )
        )
    if before.deck is not None and after.deck is not None:
        more = float(after.deck.wet_hours) - float(before.deck.wet_hours)
        if more > 24:
            found.append(
                Finding.of(
                    "buffer.damper",
                    Weight.WARN,
                    (),
                    "hourly balance of the space's air and roof deck",
                    wet=Span(more),
                    zone=Name(after.zone),
                )
            )
    return tuple(found)
