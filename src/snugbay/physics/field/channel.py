"""Boards set loosely: cold air that moves through the channel behind them, and what it leaves of their resistance."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from snugbay.base import Finding, OutOfRange, Weight
from snugbay.base.facts import Length, TemperatureDifference
from snugbay.physics.field.airgap import still_air_conductance

Floats = NDArray[np.float64]

GRAVITY = 9.81
"""[m/s²]"""

AIR_HEAT = 1006.0
"""Specific heat of air. [J/(kg·K)]"""

ENTRY_EXIT = 1.5
"""Loss of a gap by entry and exit, in velocity heads; from memory (Baker, Sharples and Ward 1987)."""

TURBULENT = 2300.0
"""Reynolds number, on twice the depth, over which the channel is rough going."""

HALVINGS = 80
"""Halvings of the interval in which the flow is sought."""


@dataclass(frozen=True, eq=False)
class LooseBoard:
    """What a board is worth as it stands. Arrays of the shape that the inputs broadcast to.

    Attributes
    ----------
    resistance_set : ndarray
        What board and channel add to the bare back as the board is set, edges open. [m²·K/W]
    resistance_sealed : ndarray
        The same with the edges sealed and the air in the channel still. [m²·K/W]
    resistance_fixed : ndarray
        The board alone, fixed hard against the back and sealed. [m²·K/W]
    share : ndarray
        resistance_set / resistance_fixed, nan for a board without resistance. [-]
    air_flow : ndarray
        Air through the channel per metre of width, upward positive. [m³/(s·m)]
    pressure : ndarray
        Pressure that drives it, upward positive. [Pa]
    temp_channel_c : ndarray
        Mean temperature of the air in the channel. [°C]
    findings : tuple of Finding
        What the user must know.
    """

    resistance_set: Floats
    resistance_sealed: Floats
    resistance_fixed: Floats
    share: Floats
    air_flow: Floats
    pressure: Floats
    temp_channel_c: Floats
    findings: tuple[Finding, ...] = ()


class _Setting(NamedTuple):
    """All inputs, broadcast to one shape."""

    gap_low: Floats
    gap_high: Floats
    gap_depth: Floats
    channel_depth: Floats
    height: Floats
    length: Floats
    board: Floats
    back: Floats
    film: Floats
    warm: Floats
    cold: Floats
    wind: Floats


class _Heat(NamedTuple):
    """Heat in the channel: shares of the temperature difference, and conductances."""

    rest: Floats
    """Share of the difference at which still or long-warmed air settles. [-]"""
    uptake: Floats
    """Conductance from both faces, as tied to both sides, to the air. [W/(m²·K)]"""
    loss_still: Floats
    """Loss of the warm side per kelvin with the air at rest. [W/(m²·K)]"""
    loss_cold: Floats
    """Extra loss for a whole kelvin of cooling of the channel air under ``rest``. [W/(m²·K)]"""


def loose_board(
    *,
    gap_low: ArrayLike,
    gap_high: ArrayLike,
    channel_depth: ArrayLike,
    height: ArrayLike,
    board_resistance: ArrayLike,
    back_resistance: ArrayLike,
    temp_warm_c: ArrayLike,
    temp_cold_c: ArrayLike,
    wind_pressure: ArrayLike = 0.0,
    length: ArrayLike | None = None,
    gap_depth: ArrayLike = 0.05,
    film_resistance: ArrayLike = 0.13,
    emissivities: tuple[float, float] = (0.9, 0.9),
) -> LooseBoard:
    """Effective resistance of a board that stands off its back with open edges.

    Parameters
    ----------
    gap_low, gap_high : array_like
        Width of the open edge gap at the lower and the upper end of the channel; 0 is sealed. [m]
    channel_depth : array_like
        Depth of the channel between back and board. [m]
    height : array_like
        Rise of the channel between its two ends; 0 for a level board. [m]
    board_resistance : array_like
        Resistance of the board. [m²·K/W]
    back_resistance : array_like
        Everything from the warm air to the face behind the board, inside film included. [m²·K/W]
    temp_warm_c, temp_cold_c : array_like
        Air on the warm side, and in the cold space that the gaps open to. [°C]
    wind_pressure : array_like
        Pressure at the lower gap over that at the upper one, from wind and fans. [Pa]
    length : array_like or None
        Way of the air along the channel; None for the height. [m]
    gap_depth : array_like
        Way of the air through each gap, usually the board's thickness. [m]
    film_resistance : array_like
        Film between the board and the cold space. [m²·K/W]
    emissivities : tuple of two floats
        Of the back's and the board's faces in the channel; 0.05 for clean foil.

    Returns
    -------
    LooseBoard

    Raises
    ------
    OutOfRange
        If a size or resistance is negative, or the channel has no depth or length.

    Notes
    -----
    Cold air enters at one end, is warmed by both faces and leaves at the other. Heat: film conductance of each face
    2·ha (so that still air gives the airspace of ISO 6946), radiation between the faces, both sides' resistances; the
    air then warms exponentially along the way. Flow: buoyancy of the mean channel temperature plus the wind against the
    loss of both gaps (plane crack, 12 μ z/w³ · Q + 1.5 velocity heads) and of the channel (laminar, or Blasius'
    friction over a Reynolds number of 2300). Both are solved together by halving. Per metre of width; air exchange
    through the side edges and the foil's own leaks are left out: a board open at its sides too is worth no more.

    Air properties at the mean of both temperatures. Valid for channels of about 2 to 50 mm and |ΔT| up to 50 K; wider
    channels circulate within themselves, and the still-air term stands for that only roughly (a finding says so).

    Nan in, nan out.

    References
    ----------
    Own model from the parts named; ISO 6946:2017 airspaces and Baker, Sharples and Ward (1987), air flow through
    cracks, both from memory. No measured series was at hand; that foil-faced boards of R-13 set loosely give a few R
    is common practice, no source.
    """
    way = height if length is None else length
    inputs = (gap_low, gap_high, gap_depth, channel_depth, height, way, board_resistance, back_resistance)
    more = (film_resistance, temp_warm_c, temp_cold_c, wind_pressure)
    arrays = np.broadcast_arrays(*(np.asarray(a, float) for a in (*inputs, *more)))
    setting = _Setting(*arrays)
    _check(setting)
    heat = _heat(setting, emissivities)
    flow, pressure = _flow(setting, heat)
    cooled = _cooling(setting, heat, np.abs(flow))
    sealed = 1 / heat.loss_still - setting.back - setting.film
    worth = 1 / (heat.loss_still + heat.loss_cold * cooled) - setting.back - setting.film
    bounded = np.where(worth < 0, 0.0, worth)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(setting.board > 0, bounded / setting.board, np.nan)
    mean = setting.cold + (setting.warm - setting.cold) * (heat.rest - cooled)
    blank = np.where(np.isnan(np.sum(arrays, axis=0)), np.nan, 0.0)
    return LooseBoard(
        bounded + blank,
        sealed + blank,
        setting.board + blank,
        share + blank,
        flow + blank,
        pressure + blank,
        mean + blank,
        tuple(_findings(setting, worth)),
    )


def _check(setting: _Setting) -> None:
    for name in ("gap_low", "gap_high", "height", "board", "back", "film", "gap_depth"):
        if (getattr(setting, name) < 0).any():
            raise OutOfRange(f"The {name.replace('_', ' ')} is negative.", where=(name,), hint="Give zero or more.")
    for name in ("channel_depth", "length"):
        if (getattr(setting, name) <= 0).any():
            raise OutOfRange(
                f"The {name.replace('_', ' ')} of the channel is not positive.",
                where=(name,),
                hint="A board hard against its back has no channel; a level one needs its length.",
            )


def _heat(s: _Setting, emissivities: tuple[float, float]) -> _Heat:
    """Solve both faces for 1 K on the warm side and 0 K on the cold one, as straight lines of the air's share."""
    still, radiative = still_air_conductance(
        s.channel_depth, emissivities=emissivities, mean_temp_c=(s.warm + s.cold) / 2
    )
    film = 2 * still
    inner, outer = 1 / s.back, 1 / (s.board + s.film)
    a, b = inner + film + radiative, outer + film + radiative
    det = a * b - radiative**2
    back_fixed, back_air = inner * b / det, film * (b + radiative) / det
    board_fixed, board_air = inner * radiative / det, film * (a + radiative) / det
    uptake = film * (2 - back_air - board_air)
    rest = film * (back_fixed + board_fixed) / uptake
    return _Heat(rest, uptake, inner * (1 - back_fixed - back_air * rest), inner * back_air)


def _cooling(s: _Setting, heat: _Heat, flow: Floats) -> Floats:
    """Mean share by which air that enters cold stays under the share at rest."""
    carried = _density(s) * AIR_HEAT * flow
    units = heat.uptake * s.length
    ratio = np.divide(carried, units)
    with np.errstate(divide="ignore", over="ignore"):
        gone = np.where(ratio > 0, -np.expm1(-1 / np.where(ratio > 0, ratio, 1.0)), 1.0)
    return np.asarray(heat.rest * ratio * gone)


def _kelvin(s: _Setting) -> Floats:
    return np.asarray((s.warm + s.cold) / 2 + 273.15)


def _density(s: _Setting) -> Floats:
    return np.asarray(353.05 / _kelvin(s))


def _viscosity(s: _Setting) -> Floats:
    """Dynamic viscosity of air, Sutherland's formula. [Pa·s]"""
    return np.asarray(1.458e-6 * _kelvin(s) ** 1.5 / (_kelvin(s) + 110.4))


def _buoyancy(s: _Setting, heat: _Heat, flow: Floats) -> Floats:
    cold = s.cold + 273.15
    mean = cold + (s.warm - s.cold) * (heat.rest - _cooling(s, heat, flow))
    return np.asarray(353.05 * GRAVITY * s.height * (1 / cold - 1 / mean))


def _loss(s: _Setting, flow: Floats) -> Floats:
    """Pressure lost by a flow through both gaps and the channel. [Pa]"""
    rho, mu = _density(s), _viscosity(s)
    total = np.zeros_like(flow)
    for gap in (s.gap_low, s.gap_high):
        wide = np.where(gap > 0, gap, 1.0)
        total = total + 12 * mu * s.gap_depth / wide**3 * flow + ENTRY_EXIT * rho / 2 * (flow / wide) ** 2
    laminar = 12 * mu * s.length / s.channel_depth**3 * flow
    reynolds = np.maximum(2 * rho * flow / mu, 1e-12)
    speed = flow / s.channel_depth
    rough = 0.316 * reynolds**-0.25 * s.length / (2 * s.channel_depth) * rho / 2 * speed**2
    return np.asarray(total + np.where(reynolds > TURBULENT, np.maximum(laminar, rough), laminar))


def _flow(s: _Setting, heat: _Heat) -> tuple[Floats, Floats]:
    """Return the flow and the pressure that drives it, both upward positive."""
    start = _buoyancy(s, heat, np.zeros_like(s.height)) + s.wind
    way = np.where(start < 0, -1.0, 1.0)
    open_ = (s.gap_low > 0) & (s.gap_high > 0)

    def surplus(flow: Floats) -> Floats:
        return np.asarray(way * (_buoyancy(s, heat, flow) + s.wind) - _loss(s, flow))

    low = np.zeros_like(s.height)
    most = np.abs(_buoyancy(s, heat, low)) + np.abs(s.wind) + 1e-9
    high = np.minimum(s.gap_low, s.gap_high) * np.sqrt(2 * most / _density(s)) + 1e-12
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        more = surplus(middle) > 0
        low, high = np.where(more, middle, low), np.where(more, high, middle)
    flow = np.where(open_, (low + high) / 2, 0.0)
    return way * flow, _buoyancy(s, heat, flow) + s.wind


def _findings(s: _Setting, worth: Floats) -> list[Finding]:
    found = []
    if (worth < 0).any():
        found.append(Finding.of("field.washed", Weight.WARN))
    if ((s.channel_depth < 0.002) | (s.channel_depth > 0.05)).any() or (np.abs(s.warm - s.cold) > 50).any():
        found.append(
            Finding.of(
                "field.channel-range",
                Weight.NOTE,
                (),
                low=Length(0.002),
                high=Length(0.05),
                apart=TemperatureDifference(50.0),
            )
        )
    return found
