"""Steady heat balance of buffer spaces: their temperatures, and what the house loses through them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from snugbay.base import OutOfRange
from snugbay.physics._num import Array, Real, arr, out, positive
from snugbay.physics.buffer.network import Network


@dataclass(frozen=True)
class Balance:
    """Temperatures and heat flows of a steady balance.

    Attributes
    ----------
    temperatures : Mapping of str to array
        Every zone's temperature. [°C]
    loss : Mapping of str to array
        Heat that each zone of fixed temperature gives to the others. [W]
    residual : array
        Largest imbalance of a free zone, a check of the solution. [W]
    """

    temperatures: Mapping[str, Array]
    loss: Mapping[str, Array]
    residual: Array


def steady(net: Network, fixed_c: Mapping[str, Real], gains_w: Mapping[str, Real] | None = None) -> Balance:
    """Solve the temperatures of all zones that are not fixed.

    Parameters
    ----------
    net : Network
        Conductances of shape (..., n, n).
    fixed_c : Mapping
        Temperatures of the fixed zones, each a number or array of shape (...). [°C]
    gains_w : Mapping, optional
        Gains of free zones (sun, appliances), each a number or array. [W]

    Returns
    -------
    Balance
        Arrays of the broadcast shape of conductances, temperatures and gains.

    Raises
    ------
    UnknownName
        If a named zone is not in the network.
    OutOfRange
        If nothing is fixed, gains are given to a fixed zone, or a free zone is joined to no fixed one.

    References
    ----------
    [ISO13789:2017] 7.6 and Annex A (several unheated spaces: the balance of each, solved together).
    """
    gains = dict(gains_w or {})
    held = {net.index(name): arr(t) for name, t in fixed_c.items()}
    given = {net.index(name): arr(q) for name, q in gains.items()}
    if not held:
        raise OutOfRange("No zone has a known temperature.", hint="Fix at least the outside.")
    if set(held) & set(given):
        raise OutOfRange("Gains were given to a zone of fixed temperature.", hint="They belong to the season's sum.")
    n = len(net.zones)
    k = net.conductance
    shape = np.broadcast_shapes(k.shape[:-2], *(v.shape for v in (*held.values(), *given.values())))
    k = np.broadcast_to(k, (*shape, n, n))
    temps = np.zeros((*shape, n))
    for i, t in held.items():
        temps[..., i] = t
    heat = np.zeros((*shape, n))
    for i, q in given.items():
        heat[..., i] = q
    free = [i for i in range(n) if i not in held]
    if free:
        _reachable(net, list(held), free)
        temps[..., free] = free_temperatures(k, temps, list(held), free, heat)
    flow_in = (k * (temps[..., None, :] - temps[..., :, None])).sum(axis=-1) + heat
    names = net.zones
    residual = np.abs(flow_in[..., free]).max(axis=-1) if free else np.zeros(shape)
    return Balance(
        {names[i]: out(temps[..., i]) for i in range(n)},
        {names[i]: out(-flow_in[..., i]) for i in held},
        out(residual),
    )


def free_matrix(k: Array, free: Sequence[int]) -> Array:
    """Matrix of the balance of the free zones; its inverse is the kelvins that a watt in one brings to another.

    Parameters
    ----------
    k : array, shape (..., n, n)
        Conductances, zero on the diagonal. [W/K]
    free : sequence of int
        Numbers of the free zones, m of them.

    Returns
    -------
    array, shape (..., m, m)
        [W/K]
    """
    rows = k[..., list(free), :]
    matrix = np.asarray(-rows[..., :, list(free)])
    diagonal = np.arange(len(free))
    matrix[..., diagonal, diagonal] += rows.sum(axis=-1)
    return matrix


def free_temperatures(
    k: Array, temps: Array, held: Sequence[int], free: Sequence[int], heat: Array | None = None
) -> Array:
    """Temperatures of the free zones, all balances solved together.

    Parameters
    ----------
    k : array, shape (..., n, n)
        Conductances, zero on the diagonal. [W/K]
    temps : array, shape (..., n)
        Temperatures, of which those of ``held`` count; or summed differences, since all is linear.
    held, free : sequence of int
        Numbers of the zones that are held, and of the m others.
    heat : array, shape (..., n), optional
        Gains. [W]

    Returns
    -------
    array, shape (..., m)
        In the unit of ``temps``.

    References
    ----------
    [ISO13789:2017] 7.6 and Annex A.
    """
    right = (k[..., list(free), :][..., :, list(held)] * temps[..., None, list(held)]).sum(axis=-1)
    if heat is not None:
        right = right + heat[..., list(free)]
    return np.asarray(np.linalg.solve(free_matrix(k, free), right[..., None])[..., 0])


def _reachable(net: Network, held: Sequence[int], free: Sequence[int]) -> None:
    flat = net.conductance.reshape(-1, len(net.zones), len(net.zones))
    joined = np.all(~np.asarray(flat <= 0), axis=0)
    reached = set(held)
    while True:
        more = {i for i in free if i not in reached and any(joined[i, j] for j in reached)}
        if not more:
            break
        reached |= more
    lost = [net.zones[i] for i in free if i not in reached]
    if lost:
        raise OutOfRange(
            f"Nothing joins {', '.join(lost)} to a zone of known temperature.",
            hint="Give each space at least one face or some ventilation.",
        )


@dataclass(frozen=True)
class Effective:
    """What the house loses through a network, as one conductance and shares of the gains.

    Attributes
    ----------
    conductance : array
        Heat from inside to outside per kelvin, no gains. [W/K]
    b : Mapping of str to array
        Reduction factor of each free zone, (T_i − T_u)/(T_i − T_e). [-]
    gain_share : Mapping of str to array
        Part of a watt in each free zone that relieves the inside. [-]
    """

    conductance: Array
    b: Mapping[str, Array]
    gain_share: Mapping[str, Array]


def effective(net: Network, inside: str, outside: str, *, with_outside: Sequence[str] = ()) -> Effective:
    """Reduce a network to one conductance between inside and outside, linear so that months only scale it.

    Parameters
    ----------
    net : Network
        Conductances of shape (..., n, n).
    inside, outside : str
        The two fixed zones.
    with_outside : sequence of str
        Further zones held at the outside's temperature for the reduction.

    Returns
    -------
    Effective
        Arrays of shape (...).

    Raises
    ------
    UnknownName
        If a zone is not in the network.
    """
    cold = {outside: 0.0, **dict.fromkeys(with_outside, 0.0)}
    free = [z for z in net.zones if z != inside and z not in cold]
    unit = steady(net, {inside: 1.0, **cold})
    shares = {}
    for zone in free:
        warmed = steady(net, {inside: 0.0, **cold}, {zone: 1.0})
        shares[zone] = out(-arr(warmed.loss[inside]))
    return Effective(
        unit.loss[inside],
        {z: out(1.0 - arr(unit.temperatures[z])) for z in free},
        shares,
    )


def effective_u(conductance: Real, area: Real) -> Array:
    """Transmittance of a face that would lose the same straight to the outside. [W/(m²·K)]

    Parameters
    ----------
    conductance : float or array
        Heat from inside to outside through the face and the space behind it. [W/K]
    area : float or array
        Area of the face. [m²]
    """
    return out(arr(conductance) / positive("An area", area))
