"""Zones and what joins them: a graph of heat conductances and air flows."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from snugbay.base import OutOfRange, UnknownName
from snugbay.physics._num import Array, Real, arr, need, not_negative, out

RHO_C_WH: Final = 0.34
"""Heat capacity of air by volume. [Wh/(m³·K)] Conventional 0.33 (ISO 13789) to 0.34."""


def air_conductance(volume: Real, changes_per_hour: Real, *, rho_c_wh: float = RHO_C_WH) -> Array:
    """Heat carried by ventilation of a space.

    Parameters
    ----------
    volume : float or array
        Volume. [m³]
    changes_per_hour : float or array
        Air changes. [1/h]
    rho_c_wh : float
        Heat capacity of air. [Wh/(m³·K)]

    Returns
    -------
    array
        ρ·c·n·V. [W/K]

    References
    ----------
    [ISO13789:2017] 7.6, equation 7.
    """
    return out(rho_c_wh * not_negative("A volume", volume) * not_negative("An air change rate", changes_per_hour))


@dataclass(frozen=True)
class Link:
    """What joins two zones.

    Attributes
    ----------
    a, b : str
        Names of the zones.
    transmission : float or array
        Heat transmitted per kelvin, ΣU·A + Σψ·L, the same both ways. [W/K]
    air : float or array
        Heat carried per kelvin by air exchanged both ways in equal amounts (ventilation). [W/K]
    air_a_to_b : float or array
        Heat carried by air that moves one way only, from a to b: it warms b towards a's temperature and does nothing
        to a's balance except that a must be fed from elsewhere. [W/K]
    """

    a: str
    b: str
    transmission: Real = 0.0
    air: Real = 0.0
    air_a_to_b: Real = 0.0


@dataclass(frozen=True)
class Network:
    """A graph of n zones.

    Attributes
    ----------
    zones : tuple of str
        Names in order.
    conductance : array, shape (..., n, n)
        ``conductance[..., i, j]`` is what a kelvin of zone j above zone i brings to zone i. [W/K] Symmetric except
        where air moves one way.
    """

    zones: tuple[str, ...]
    conductance: Array

    def index(self, zone: str) -> int:
        """Place of a zone in the arrays.

        Raises
        ------
        UnknownName
            If there is no such zone.
        """
        try:
            return self.zones.index(zone)
        except ValueError as error:
            raise UnknownName(f"There is no zone {zone!r}.", hint=f"Zones: {', '.join(self.zones)}.") from error

    def between(self, a: str, b: str) -> Array:
        """Conductance that brings heat of b to a. [W/K]"""
        return out(self.conductance[..., self.index(a), self.index(b)])


def network(links: Iterable[Link], zones: Sequence[str] = ()) -> Network:
    """Build the graph from links; links between the same zones add up.

    Parameters
    ----------
    links : iterable of Link
        What joins the zones; arrays broadcast.
    zones : sequence of str
        Order of the zones; zones that only links name follow after.

    Returns
    -------
    Network
        Conductances of shape (..., n, n).

    Raises
    ------
    OutOfRange
        If a conductance is negative or a link joins a zone with itself.
    """
    links = tuple(links)
    names = list(zones)
    for link in links:
        if link.a == link.b:
            raise OutOfRange(f"A link joins {link.a!r} with itself.")
        names += [z for z in (link.a, link.b) if z not in names]
    if not names:
        raise OutOfRange("There are no zones.")
    values = [[not_negative("A conductance", v) for v in (k.transmission, k.air, k.air_a_to_b)] for k in links]
    shape = np.broadcast_shapes(*(v.shape for row in values for v in row)) if values else ()
    k = np.zeros((*shape, len(names), len(names)))
    for link, (transmission, air, one_way) in zip(links, values, strict=True):
        i, j = names.index(link.a), names.index(link.b)
        k[..., i, j] += transmission + air
        k[..., j, i] += transmission + air + one_way
    return Network(tuple(names), k)


def b_factor(h_iu: Real, h_ue: Real) -> Array:
    """Reduction factor of an unheated space.

    Parameters
    ----------
    h_iu : float or array
        From the heated rooms to the space, transmission and air. [W/K]
    h_ue : float or array
        From the space to the outside, transmission and air. [W/K]

    Returns
    -------
    array
        b = H_ue/(H_iu + H_ue): 1 as cold as outdoors, 0 as warm as the rooms. [-]

    References
    ----------
    [ISO13789:2017] 7.6, equation 6.
    """
    iu, ue = not_negative("A conductance", h_iu), not_negative("A conductance", h_ue)
    need(~(iu + ue <= 0), "A space joined to nothing has no temperature.")
    return out(ue / (iu + ue))


def unheated_temperature(
    b: Real, inside_c: Real, outside_c: Real, *, gains_w: Real = 0.0, h_total: Real = 1.0
) -> Array:
    """Temperature of an unheated space, T_i − b·(T_i − T_e) + Q/(H_iu + H_ue). [°C]

    Parameters
    ----------
    b : float or array
        Reduction factor. [-]
    inside_c, outside_c : float or array
        Temperatures. [°C]
    gains_w : float or array
        Gains in the space. [W]
    h_total : float or array
        H_iu + H_ue, needed where there are gains. [W/K]

    References
    ----------
    [ISO13789:2017] 7.6; Annex A for gains.
    """
    i, e = arr(inside_c), arr(outside_c)
    return out(i - arr(b) * (i - e) + arr(gains_w) / arr(h_total))


DEFAULT_B: Final = {
    "roof_space_highly_ventilated": 1.0,
    "roof_space_other_uninsulated": 0.9,
    "roof_space_insulated": 0.7,
    "floor_above_crawl_space": 0.8,
    "basement_no_openings": 0.5,
    "basement_with_openings": 0.8,
}
"""Reduction factors where nothing is known of the space. [-] EN 12831-1, national annex defaults."""
