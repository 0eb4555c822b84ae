"""Resistance of layered, framed parts: combined method, parallel paths, isothermal planes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product

import numpy as np

from snugbay.base import Finding, OutOfRange, Weight
from snugbay.base.facts import Number
from snugbay.physics._num import Array, Real, arr, largest, need, out
from snugbay.physics.units import r_ip_from_si, u_ip_from_si

Part = tuple[float, Real]
"""One material of a bridged layer: (share of the area, resistance in m²·K/W)."""

LayerR = Real | Sequence[Part]
"""A plain layer as its resistance, or a bridged layer as its parts."""


@dataclass(frozen=True)
class Sections:
    """A part cut into sections that run through its whole thickness.

    Attributes
    ----------
    shares : array, shape (n,)
        Share of the area of each section; they sum to 1. [-]
    resistances : array, shape (..., n, m)
        Resistance of layer j in section i, without surface films. [m²·K/W]
    """

    shares: Array
    resistances: Array

    def __post_init__(self) -> None:
        shares, r = arr(self.shares), arr(self.resistances)
        need(~(shares < 0), "A share of the area is negative.")
        total = float(shares.sum())
        if abs(total - 1.0) > 1e-6:
            raise OutOfRange(
                f"The shares of the area sum to {total:.4f}, not 1.", hint="Give every material of the layer its share."
            )
        if r.ndim < 2 or r.shape[-2] != shares.size:
            raise OutOfRange(f"Resistances of shape {r.shape} do not go with {shares.size} sections.")
        need(~(r < 0), "A resistance is negative.")
        object.__setattr__(self, "shares", shares)
        object.__setattr__(self, "resistances", r)


@dataclass(frozen=True)
class Resistance:
    """What the combined method gives.

    Attributes
    ----------
    total : array
        Total resistance R_T, films included. [m²·K/W]
    upper, lower : array
        Upper and lower limits of it. [m²·K/W]
    paths : array, shape (..., n)
        Resistance of each section, films included. [m²·K/W]
    shares : array, shape (n,)
        Share of the area of each section. [-]
    findings : tuple of Finding
        Set where the method is outside its range.
    """

    total: Array
    upper: Array
    lower: Array
    paths: Array
    shares: Array
    findings: tuple[Finding, ...] = ()

    @cached_property
    def u(self) -> Array:
        """Thermal transmittance 1/R_T. [W/(m²·K)]"""
        return out(1.0 / arr(self.total))

    @cached_property
    def total_ip(self) -> Array:
        """Total resistance in inch-pound. [h·ft²·°F/Btu]"""
        return r_ip_from_si(arr(self.total))

    @cached_property
    def u_ip(self) -> Array:
        """Thermal transmittance in inch-pound. [Btu/(h·ft²·°F)]"""
        return u_ip_from_si(self.u)

    @cached_property
    def error_bound(self) -> Array:
        """Greatest relative error of R_T, (upper − lower)/(2·R_T). [-] [ISO6946:2017] 6.7.2.5."""
        return out((arr(self.upper) - arr(self.lower)) / (2.0 * arr(self.total)))


def sections(layers: Sequence[LayerR]) -> Sections:
    """Cut layers into sections, framing of different layers crossing at random.

    Parameters
    ----------
    layers : sequence
        Each a resistance (number or array, [m²·K/W]) or a bridged layer, a sequence of ``(share, resistance)``. With
        several bridged layers the sections are all their combinations, the shares multiplied: right for battens that
        cross studs. Where framing of two layers is aligned, build `Sections` with its true shares instead.

    Returns
    -------
    Sections
        Shape (..., n, m), m the number of layers.

    Raises
    ------
    OutOfRange
        If shares do not sum to 1, or a resistance is negative, or there is no layer.

    References
    ----------
    [ISO6946:2017] 6.7.2.3.
    """
    if not layers:
        raise OutOfRange("A part without layers has no resistance.", hint="Give at least one layer.")
    parts = [_parts(layer) for layer in layers]
    rows: list[Array] = []
    shares: list[float] = []
    for combo in product(*parts):
        shares.append(float(np.prod([share for share, _ in combo])))
        columns = np.broadcast_arrays(*(arr(r) for _, r in combo))
        rows.append(np.stack(columns, axis=-1))
    stacked = np.stack(np.broadcast_arrays(*rows), axis=-2)
    _shares_whole(parts)
    return Sections(arr(shares), stacked)


def _parts(layer: LayerR) -> list[Part]:
    if isinstance(layer, (int, float, np.ndarray, np.floating)):
        return [(1.0, layer)]
    return [(float(share), r) for share, r in layer]


def _shares_whole(parts: Sequence[Sequence[Part]]) -> None:
    for j, layer in enumerate(parts):
        total = sum(share for share, _ in layer)
        if abs(total - 1.0) > 1e-6:
            raise OutOfRange(
                f"The shares of layer {j + 1} sum to {total:.4f}, not 1.", hint="Insulation and framing must make 1."
            )


def combined(layers_inside_to_outside: Sequence[LayerR] | Sections, rsi: Real = 0.13, rse: Real = 0.04) -> Resistance:
    """Total resistance by the combined method: the mean of the upper and the lower limit.

    Parameters
    ----------
    layers_inside_to_outside : sequence or Sections
        Layers as for `sections`, or ready sections.
    rsi, rse : float or array
        Surface resistances, see `surface_resistance`; against an unheated space ``rse`` is that of a room. [m²·K/W]

    Returns
    -------
    Resistance
        Arrays of the broadcast shape of the inputs. A finding is attached where upper/lower is above 1.5 (the
        standard's limit of the method).

    Raises
    ------
    OutOfRange
        If shares or resistances are impossible.

    Notes
    -----
    Not for metal that bridges insulation: use the field solution.

    Examples
    --------
    >>> wall = combined([0.05, [(0.77, 3.5), (0.23, 0.14 / 0.13)]], rsi=0.13, rse=0.13)
    >>> round(float(wall.total), 3)
    2.667

    References
    ----------
    [ISO6946:2017] 6.7.2, equations 5 to 9.
    """
    cut = (
        layers_inside_to_outside
        if isinstance(layers_inside_to_outside, Sections)
        else sections(layers_inside_to_outside)
    )
    films = _films(rsi, rse)
    paths = cut.resistances.sum(axis=-1) + films[..., None]
    upper = 1.0 / (cut.shares / paths).sum(axis=-1)
    lower = _in_planes(cut) + films
    total = 0.5 * (upper + lower)
    return Resistance(out(total), out(upper), out(lower), out(paths), cut.shares, _limits_apart(upper, lower))


def _films(rsi: Real, rse: Real) -> Array:
    a, b = arr(rsi), arr(rse)
    need(~(a < 0) & ~(b < 0), "A surface resistance is negative.")
    return np.asarray(a + b)


def _in_planes(cut: Sections) -> Array:
    """Sum over layers of the parallel value of each; a layer of zero resistance anywhere is a short circuit."""
    with np.errstate(divide="ignore"):
        conductances = (cut.shares[:, None] / cut.resistances).sum(axis=-2)
        return np.asarray((1.0 / conductances).sum(axis=-1))


def _limits_apart(upper: Array, lower: Array) -> tuple[Finding, ...]:
    ratio = largest(upper / lower)
    if not ratio > 1.5:
        return ()
    return (Finding.of("heat.limits-apart", Weight.WARN, (), "ISO6946:2017 6.7.2.1", ratio=Number(ratio)),)


def parallel_path(layers: Sequence[LayerR] | Sections, rsi: Real = 0.0, rse: Real = 0.0) -> Array:
    """Total resistance by parallel paths over the whole thickness, the usual way for wood framing.

    Parameters
    ----------
    layers : sequence or Sections
        As for `sections`. Any consistent unit of resistance may be used.
    rsi, rse : float or array
        Surface resistances; zero where the films are already among the layers.

    Returns
    -------
    array
        1/Σ(share/R_path); equal to the upper limit of the combined method. Unit of the input.

    References
    ----------
    ASHRAE Handbook of Fundamentals, parallel-path method; [ISO6946:2017] 6.7.2.3.
    """
    return combined(layers, rsi, rse).upper


def isothermal_planes(layers: Sequence[LayerR] | Sections, rsi: Real = 0.0, rse: Real = 0.0) -> Array:
    """Total resistance by isothermal planes: each bridged layer in parallel first, then all in series.

    Parameters
    ----------
    layers, rsi, rse
        As for `parallel_path`.

    Returns
    -------
    array
        Lower limit of the resistance, in the unit of the input.

    References
    ----------
    ASHRAE Handbook of Fundamentals, isothermal-planes method; [ISO6946:2017] 6.7.2.4.
    """
    return combined(layers, rsi, rse).lower


def interface_temperatures(resistances: Array, warm_c: Real, cold_c: Real) -> Array:
    """Temperatures at the faces of layers in series, from the warm side.

    Parameters
    ----------
    resistances : array, shape (..., m)
        Resistances in order from the warm side, films included. [m²·K/W]
    warm_c, cold_c : float or array, shape (...)
        Temperatures of the two sides. [°C]

    Returns
    -------
    array, shape (..., m + 1)
        Temperatures from the warm side (first) to the cold side (last). [°C]
    """
    r = arr(resistances)
    warm, cold = arr(warm_c)[..., None], arr(cold_c)[..., None]
    through = np.concatenate([np.zeros((*r.shape[:-1], 1)), np.cumsum(r, axis=-1)], axis=-1)
    return out(warm - (warm - cold) * through / through[..., -1:])


def framing_share(spacing: Real, member_width: Real, *, extra: Real = 0.0) -> Array:
    """Share of the area taken by framing members at a spacing.

    Parameters
    ----------
    spacing, member_width : float or array
        Centre distance and width of the members. [m]
    extra : float or array
        Further share for plates, sills and headers, counted from the survey. [-]

    Returns
    -------
    array
        width/spacing + extra. [-]

    Raises
    ------
    OutOfRange
        If the share is outside 0..1.
    """
    share = arr(member_width) / arr(spacing) + arr(extra)
    need(~((share < 0) | (share > 1)), "The framing would take less than nothing or more than the whole area.")
    return out(share)
