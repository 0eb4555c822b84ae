"""Comfort near a surface: radiant asymmetry, operative temperature, share of people displeased."""

from __future__ import annotations

from typing import Final, Literal

import numpy as np

from snugbay.base import Finding, OutOfRange, Weight
from snugbay.base.facts import Name, TemperatureDifference
from snugbay.physics._num import Array, Real, arr, need, not_negative, out

Side = Literal["warm ceiling", "cool wall", "cool ceiling", "warm wall"]

LIMITS_K: Final = {"warm ceiling": 5.0, "cool wall": 10.0, "cool ceiling": 14.0, "warm wall": 23.0}
"""Radiant asymmetry of categories A and B. [K] ISO 7730:2005 Table A.4, from memory."""

_LAWS: Final = {
    "warm ceiling": (2.84, 0.174, 5.5, 23.0),
    "cool wall": (6.61, 0.345, 0.0, 15.0),
    "cool ceiling": (9.93, 0.50, 0.0, 15.0),
    "warm wall": (3.72, 0.052, 3.5, 35.0),
}


def inner_surface(u: Real, inside_c: Real, outside_c: Real, *, rsi: Real = 0.13) -> Array:
    """Temperature of the inner face of a part, T_i − U·R_si·(T_i − T_e). [°C]"""
    i = arr(inside_c)
    return out(i - not_negative("A transmittance", u) * arr(rsi) * (i - arr(outside_c)))


def view_factor_parallel(width: Real, height: Real, distance: Real) -> Array:
    """View from a small plane, parallel to a rectangle and opposite one of its corners, to that rectangle. [-]

    Parameters
    ----------
    width, height : float or array
        Sides of the rectangle. [m]
    distance : float or array
        Distance. [m]

    Returns
    -------
    array
        Sum the four rectangles about the foot of the normal for a rectangle seen anywhere.

    References
    ----------
    Standard catalogue of configuration factors: 1/(2π)·[X/√(1+X²)·atan(Y/√(1+X²)) + Y/√(1+Y²)·atan(X/√(1+Y²))].
    """
    d = arr(distance)
    need(~(d <= 0), "A distance is not above zero.")
    x, y = not_negative("A width", width) / d, not_negative("A height", height) / d
    rx, ry = np.sqrt(1.0 + x * x), np.sqrt(1.0 + y * y)
    return out((x / rx * np.arctan(y / rx) + y / ry * np.arctan(x / ry)) / (2.0 * np.pi))


def view_factor_centred(width: Real, height: Real, distance: Real) -> Array:
    """View from a small plane opposite the middle of a rectangle. [-] As `view_factor_parallel`, four quarters."""
    return out(4.0 * arr(view_factor_parallel(arr(width) / 2.0, arr(height) / 2.0, distance)))


def radiant_asymmetry(view: Real, surface_c: Real, rest_c: Real) -> Array:
    """Difference between the plane radiant temperatures of two opposite directions. [K]

    Parameters
    ----------
    view : float or array
        View factor from a small plane, 0.6 m above the floor, to the surface. [-]
    surface_c : float or array
        Temperature of the surface. [°C]
    rest_c : float or array
        Temperature of all other surfaces. [°C]

    Returns
    -------
    array
        |view·(T_rest − T_surface)|; linear, good to 1 % over 20 K.

    References
    ----------
    ISO 7726, plane radiant temperature.
    """
    f = arr(view)
    need(~((f < 0) | (f > 1)), "A view factor is outside 0 to 1.")
    return out(np.abs(f * (arr(rest_c) - arr(surface_c))))


def displeased(asymmetry_k: Real, side: Side) -> Array:
    """Share of people displeased by radiant asymmetry. [-]

    Parameters
    ----------
    asymmetry_k : float or array
        Radiant asymmetry; beyond the range of the law (15, 15, 23, 35 K) the value at its end, a lower bound. [K]
    side : {"warm ceiling", "cool wall", "cool ceiling", "warm wall"}
        Where it comes from.

    References
    ----------
    ISO 7730:2005 6.5, equations 8 to 11, from memory.
    """
    if side not in _LAWS:
        raise OutOfRange(f"There is no law for a {side!r}.", hint=f"There is one for {', '.join(_LAWS)}.")
    a, b, less, top = _LAWS[side]
    d = np.minimum(not_negative("A radiant asymmetry", asymmetry_k), top)
    return out(np.maximum(100.0 / (1.0 + np.exp(a - b * d)) - less, 0.0) / 100.0)


def operative_temperature(air_c: Real, radiant_c: Real) -> Array:
    """Operative temperature in still air, the mean of air and mean radiant temperature. [°C] ISO 7730."""
    return out(0.5 * (arr(air_c) + arr(radiant_c)))


def mean_radiant(areas: Real, surfaces_c: Real) -> Array:
    """Mean radiant temperature of a room by the areas of its surfaces, over the last axis. [°C] (area-weighted)"""
    a = not_negative("An area", areas)
    return out((a * arr(surfaces_c)).sum(axis=-1) / a.sum(axis=-1))


def check_comfort(surface_c: float, inside_c: float, asymmetry_k: float, side: Side) -> tuple[Finding, ...]:
    """Findings on a cold surface for people who sit beside it.

    Parameters
    ----------
    surface_c, inside_c : float
        Surface and room. [°C]
    asymmetry_k : float
        Radiant asymmetry where they sit. [K]
    side : {"warm ceiling", "cool wall", "cool ceiling", "warm wall"}
        Where it comes from.
    """
    found = []
    if asymmetry_k > LIMITS_K[side]:
        found.append(
            Finding.of(
                "comfort.asymmetry",
                Weight.WARN,
                (),
                "ISO 7730:2005 Table A.4, from memory",
                at=None,
                side=Name(side),
                asymmetry=TemperatureDifference(asymmetry_k),
                usual=TemperatureDifference(LIMITS_K[side]),
            )
        )
    top = _LAWS[side][3]
    if asymmetry_k > top:
        found.append(
            Finding.of(
                "comfort.beyond-law",
                Weight.NOTE,
                (),
                "ISO 7730:2005 6.5, from memory",
                at=None,
                asymmetry=TemperatureDifference(asymmetry_k),
                top=TemperatureDifference(top),
            )
        )
    if inside_c - surface_c > 4.0:
        found.append(
            Finding.of(
                "comfort.cold-surface",
                Weight.NOTE,
                (),
                "common practice, no source",
                at=None,
                surface=TemperatureDifference(inside_c - surface_c),
                felt=TemperatureDifference(4.0),
            )
        )
    return tuple(found)
