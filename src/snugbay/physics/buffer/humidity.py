"""Humidity of a buffer space: room air that leaks in, outdoor air that dries, and the cold roof deck."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from snugbay.base import Finding, Weight
from snugbay.base.facts import Name, Span
from snugbay.physics._num import Array, Real, arr, need, not_negative, out
from snugbay.physics.moisture.air import saturation_pressure


def mixed_vapour(
    indoor_pa: Real, outdoor_pa: Real, flow_from_room: Real, flow_from_outside: Real, *, source_kg_s: Real = 0.0
) -> Array:
    """Vapour pressure of a space between room and outdoors, by the mixing of its air.

    Parameters
    ----------
    indoor_pa, outdoor_pa : float or array
        Vapour pressures. [Pa]
    flow_from_room, flow_from_outside : float or array
        Air into the space. [m³/s]
    source_kg_s : float or array
        Moisture given off in the space. [kg/s]

    Returns
    -------
    array
        [Pa] The temperature's small effect on the volume is left out.

    Raises
    ------
    OutOfRange
        If no air flows at all.
    """
    a, b = not_negative("An air flow", flow_from_room), not_negative("An air flow", flow_from_outside)
    need(~(a + b <= 0), "Without any air flow a space has no humidity of its own.")
    return out((a * arr(indoor_pa) + b * arr(outdoor_pa) + arr(source_kg_s) * 461.5 * 283.0) / (a + b))


def deck_temperature(space_c: Real, outer_c: Real, u_roof: Real, *, rsi: Real = 0.10) -> Array:
    """Temperature of a roof's inner face, T_u − U·R_si·(T_u − T_outer). [°C]

    Parameters
    ----------
    space_c : float or array
        Air of the space. [°C]
    outer_c : float or array
        Outdoor, or sol-air, temperature. [°C]
    u_roof : float or array
        Transmittance of the roof. [W/(m²·K)]
    rsi : float or array
        Surface resistance, upwards. [m²·K/W]
    """
    t = arr(space_c)
    return out(t - arr(u_roof) * arr(rsi) * (t - arr(outer_c)))


@dataclass(frozen=True)
class DeckYear:
    """Dampness of a surface in a space over a year.

    Attributes
    ----------
    wet_hours : array
        Hours with condensation. [h]
    damp_hours : array
        Hours over 80 % humidity at the surface and above 0 °C, when mould can grow. [h]
    mean_humidity : array, shape (..., 12)
        Mean relative humidity at the surface by month. [-]
    """

    wet_hours: Array
    damp_hours: Array
    mean_humidity: Array


def deck_year(surface_c: Array, vapour_pa: Array) -> DeckYear:
    """Judge a surface by its hourly temperature and the vapour pressure beside it.

    Parameters
    ----------
    surface_c, vapour_pa : array, shape (..., 8760)
        [°C], [Pa]

    Returns
    -------
    DeckYear
    """
    from snugbay.physics.climate.hourly import MONTH_OF_HOUR

    t, p = np.broadcast_arrays(arr(surface_c), arr(vapour_pa))
    rh = p / arr(saturation_pressure(t))
    held = np.minimum(rh, 1.0)
    months = np.stack([held[..., np.equal(MONTH_OF_HOUR, m)].mean(axis=-1) for m in range(12)], axis=-1)
    return DeckYear(out((rh >= 1.0).sum(axis=-1)), out(((rh > 0.8) & (t > 0.0)).sum(axis=-1)), np.asarray(months))


def check_deck(year: DeckYear, zone: str) -> tuple[Finding, ...]:
    """Findings on a roof deck, one variant at a time; over 200 wet hours is called wet (own limit)."""
    wet, damp = float(year.wet_hours), float(year.damp_hours)
    if wet > 200:
        return (
            Finding.of(
                "buffer.deck-wet",
                Weight.WARN,
                (),
                "hourly balance of the space's air and roof deck; own limits",
                zone=Name(zone),
                wet=Span(wet),
            ),
        )
    if damp > 1500:
        return (
            Finding.of(
                "buffer.deck-damp",
                Weight.WARN,
                (),
                "hourly balance of the space's air and roof deck; own limits",
                zone=Name(zone),
                damp=Span(damp),
            ),
        )
    return ()
