"""Climate zone reckoned from degree days: a hint, not a code's table."""

from __future__ import annotations

from typing import Final

import numpy as np

from snugbay.physics._num import Array, Real, arr, out

_BY_CDD10: Final = ((6000.0, 0), (5000.0, 1), (3500.0, 2))
_BY_HDD18: Final = ((2000.0, 3), (3000.0, 4), (4000.0, 5), (5000.0, 6), (7000.0, 7))


def zone_number(cdd10: Real, hdd18: Real) -> Array:
    """Number of the thermal climate zone, 0 (very hot) to 8 (subarctic).

    Parameters
    ----------
    cdd10 : float or array
        Cooling degree days to 10.0 °C. [K·d]
    hdd18 : float or array
        Heating degree days to 18.0 °C. [K·d]

    Returns
    -------
    array
        Zone number, NaN where an input is NaN. For inch-pound degree days divide by 1.8 first (50 and 65 °F).

    References
    ----------
    ANSI/ASHRAE 169, thresholds from memory.
    """
    c, h = np.broadcast_arrays(arr(cdd10), arr(hdd18))
    zone = np.full(c.shape, 8.0)
    for limit, number in reversed(_BY_HDD18):
        zone = np.where(h <= limit, float(number), zone)
    for limit, number in reversed(_BY_CDD10):
        zone = np.where(c > limit, float(number), zone)
    return out(np.where(np.isnan(c) | np.isnan(h), np.nan, zone))


def zone_number_ip(cdd50: Real, hdd65: Real) -> Array:
    """Number of the thermal climate zone, limits 10800, 9000, 6300; 3600 … 12600. Degree days to 50 and 65 °F. [°F·d]

    See `zone_number`; the limits are the same figures in °F·d (IECC R301.3).
    """
    return zone_number(np.asarray(arr(cdd50) / 1.8), np.asarray(arr(hdd65) / 1.8))


def moisture_letter(t: Array, rain: Array, lat: float) -> str:
    """Moisture letter of a climate: ``A`` moist, ``B`` dry, ``C`` marine.

    Parameters
    ----------
    t, rain : array, shape (12,)
        Monthly mean temperature [°C] and precipitation [mm]. Unknown rain cannot tell dry from moist: then ``A``.
    lat : float
        Latitude; its sign tells the warm half-year. [deg]

    References
    ----------
    ANSI/ASHRAE 169, from memory.
    """
    temps, r = arr(t), arr(rain)
    if not np.all(np.isfinite(r)):
        return "A"
    north_warm = np.array([False] * 3 + [True] * 6 + [False] * 3)
    warm_half = north_warm if lat >= 0 else ~north_warm
    mild = -3.0 < temps.min() <= 18.0 and temps.max() < 22.0 and (temps > 10.0).sum() >= 4
    if mild and r[~warm_half].max() >= 3.0 * r[warm_half].min():
        return "C"
    total, mean = float(r.sum()), float(temps.mean())
    share = float(r[warm_half].sum()) / total if total > 0 else 0.5
    offset = 14.0 if share >= 0.7 else (7.0 if share >= 0.3 else 0.0)
    return "B" if total < 20.0 * (mean + offset) else "A"


def zone_name(cdd10: float, hdd18: float, t: Array, rain: Array, lat: float) -> str:
    """Zone with its letter, ``5A``; zones 7 and 8 have none, and marine exists in zones 3 to 5 only.

    Parameters
    ----------
    cdd10, hdd18 : float
        As for `zone_number`. [K·d]
    t, rain, lat
        As for `moisture_letter`.
    """
    number = int(zone_number(cdd10, hdd18))
    if number >= 7:
        return str(number)
    letter = moisture_letter(t, rain, lat)
    if letter == "C" and not 3 <= number <= 5:
        letter = "A"
    return f"{number}{letter}"
