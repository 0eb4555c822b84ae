"""Mould index of a surface from its temperature and humidity, hour by hour (VTT model)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from snugbay.base import InputError, OutOfRange
from snugbay.physics.transient.hygro import MouldClass

Floats = NDArray[np.float64]

VISIBLE = 3.0
"""Index at which mould is seen with the naked eye, some tenth of the surface; the usual limit (ASHRAE 160, memory)."""


@dataclass(frozen=True)
class MouldRates:
    """Constants of one sensitivity class.

    Attributes
    ----------
    first, later : float
        Growth factor k1 while the index is under 1, and from 1 on; a negative ``later`` stands for the original law of
        Hukka and Viitanen.
    highest : tuple of three floats
        A, B, C of the highest index that a humidity allows: A + B·r - C·r², r = (RHc - RH)/(RHc - 100).
    least_humidity : float
        Humidity under which nothing grows. [%]
    """

    first: float
    later: float
    highest: tuple[float, float, float]
    least_humidity: float


RATES = {
    MouldClass.VERY: MouldRates(1.0, 2.0, (1.0, 7.0, 2.0), 80.0),
    MouldClass.SENSITIVE: MouldRates(0.578, 0.386, (0.3, 6.0, 1.0), 80.0),
    MouldClass.MEDIUM: MouldRates(0.072, 0.097, (0.0, 5.0, 1.5), 85.0),
    MouldClass.RESISTANT: MouldRates(0.033, 0.014, (0.0, 3.0, 1.0), 85.0),
}
"""Classes of the improved model (Ojanen, Viitanen and Peuhkuri 2010); from memory, in agreement with a published
implementation that was read."""

ORIGINAL = MouldRates(1.0, -1.0, (1.0, 7.0, 2.0), 80.0)
"""Pine sapwood after Hukka and Viitanen (1999): k1 = 2/(t_v/t_m - 1) from index 1 on; from memory."""


def mould_index(
    temp_c: ArrayLike,
    humidity: ArrayLike,
    *,
    rates: MouldRates | MouldClass = MouldClass.SENSITIVE,
    hours: float = 1.0,
    start: float = 0.0,
    decline: float = 1.0,
    spruce: bool = False,
    kiln_dried: bool = False,
) -> Floats:
    """Mould index after each interval.

    Parameters
    ----------
    temp_c, humidity : array_like, shape (n,)
        Surface temperature [°C] and relative humidity there, as a share (over 1 counts as 1).
    rates : MouldRates or MouldClass
        Sensitivity of the surface.
    hours : float
        Length of an interval. [h]
    start : float
        Index at the start, 0 to 6.
    decline : float
        How fast the index falls in dry or cold spells, as a share of that of pine sapwood.
    spruce, kiln_dried : bool
        Species and surface quality of the original law (W and SQ).

    Returns
    -------
    ndarray, shape (n,)
        0 nothing, 1 begins under the microscope, 3 seen with the naked eye, 6 all covered. Nan from the first nan on.

    Raises
    ------
    InputError, OutOfRange
        If the arrays do not fit each other, or a parameter is impossible.

    Notes
    -----
    Growth per day: k1·k2/(7·t_m), t_m = exp(-0.68 ln T - 13.9 ln RH + 0.14 W - 0.33 SQ + 66.02) weeks, where
    RH ≥ RHc = max(-0.00267 T³ + 0.160 T² - 3.13 T + 100, least) and 0 < T < 50 °C; k2 = max(1 - exp(2.3 (M - Mmax)),
    0).
    Else decline: 0.032 a day for the first 6 hours, none up to 24, then 0.016 a day. RH in percent.

    References
    ----------
    Hukka and Viitanen (1999), Wood Science and Technology 33, 475; Ojanen, Viitanen and Peuhkuri (2010). From memory,
    compared with a published implementation.
    """
    t, h = np.asarray(temp_c, float), np.asarray(humidity, float)
    if t.ndim != 1 or t.shape != h.shape:
        raise InputError("Temperature and humidity are not two series of one length.", where=("humidity",))
    if not (hours > 0 and 0 <= start <= 6 and decline >= 0) or (h < 0).any():
        raise OutOfRange("A humidity, the start or the decline is out of range.", where=("mould",))
    from snugbay.physics.transient import kernel

    chosen = rates if isinstance(rates, MouldRates) else RATES[rates]
    out = np.empty(len(t))
    kernel.mould_index(
        t, 100 * h, hours, chosen.first, chosen.later, float(spruce), float(kiln_dried), *chosen.highest,
        chosen.least_humidity, decline, start, out,
    )  # fmt: skip
    gap = np.isnan(t) | np.isnan(h)
    out[np.maximum.accumulate(gap)] = np.nan
    return out


def mould_limit(temp_c: ArrayLike, least: float = 80.0) -> Floats:
    """Humidity from which mould grows, given time.

    Parameters
    ----------
    temp_c : array_like
        [°C]
    least : float
        Floor of the class. [%]

    Returns
    -------
    ndarray
        [%]; 100 at and below 0 °C.

    References
    ----------
    Hukka and Viitanen (1999), from memory.
    """
    t = np.asarray(temp_c, float)
    curve = -0.00267 * t**3 + 0.160 * t**2 - 3.13 * t + 100.0
    return np.asarray(np.where(t <= 0, 100.0, np.where(t > 20, least, np.maximum(curve, least))) + 0 * t)
