"""Surface temperature factor, indoor humidity classes, the monthly mould limit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from snugbay.base import Finding, OutOfRange, Weight
from snugbay.base.facts import Name, Number, names
from snugbay.physics._num import Array, Real, arr, need, not_negative, out
from snugbay.physics.climate.values import MONTHS
from snugbay.physics.moisture.air import R_VAPOUR, ZERO_C, dew_point, relative_humidity, saturation_pressure

CLASS_EXCESS_PA: Final = {1: 270.0, 2: 540.0, 3: 810.0, 4: 1080.0, 5: 1360.0}
"""Vapour pressure excess by humidity class at T_e ≤ 0. [Pa] [ISO13788:2012] Annex A."""

CLASS_EXCESS_KG_M3: Final = {1: 0.002, 2: 0.004, 3: 0.006, 4: 0.008, 5: 0.010}
"""Vapour concentration excess by humidity class at T_e ≤ 0. [kg/m³] [ISO13788:2012] Annex A."""

MOULD_HUMIDITY: Final = 0.8
"""Monthly mean relative humidity at a surface above which mould may grow. [-] [ISO13788:2012] 5.1"""

RSI_CORNER: Final = 0.25
"""Internal surface resistance for surface humidity. [m²·K/W] [ISO13788:2012] 4.4.1"""


def vapour_excess(outside_c: Real, humidity_class: float) -> Array:
    """Vapour pressure indoors above that outdoors.

    Parameters
    ----------
    outside_c : float or array
        Monthly mean temperature. [°C]
    humidity_class : float
        1 storage; 2 offices and dwellings with few people or fans; 3 dwellings of unknown occupancy; 4 sports halls,
        kitchens; 5 laundries, pools. Between whole numbers it interpolates.

    Returns
    -------
    array
        Full at T_e ≤ 0 °C, falling evenly to 0 at 20 °C. [Pa]

    Raises
    ------
    OutOfRange
        If the class is outside 1..5.

    References
    ----------
    [ISO13788:2012] 4.2.4, Annex A (the 2001 edition's margin of 1.10 is not used).
    """
    if not 1 <= humidity_class <= 5:
        raise OutOfRange(f"There is no humidity class {humidity_class:g}.", hint="1 dry to 5 very humid; homes 2 or 3.")
    full = float(np.interp(humidity_class, list(CLASS_EXCESS_PA), list(CLASS_EXCESS_PA.values())))
    t = arr(outside_c)
    return out(full * np.minimum(np.maximum((20.0 - t) / 20.0, 0.0), 1.0))


def excess_from_concentration(concentration: Real, inside_c: Real, outside_c: Real) -> Array:
    """Vapour pressure excess of a moisture supply given by volume, full at T_e ≤ 0 and 0 at 20 °C.

    Parameters
    ----------
    concentration : float or array
        Excess Δv at T_e ≤ 0, `CLASS_EXCESS_KG_M3`. [kg/m³]
    inside_c, outside_c : float or array
        Temperatures. [°C]

    Returns
    -------
    array
        Δv·R_v·T_i, falling evenly with T_e. [Pa]

    References
    ----------
    [ISO13788:2012] Annex A.
    """
    share = np.minimum(np.maximum((20.0 - arr(outside_c)) / 20.0, 0.0), 1.0)
    return out(not_negative("A moisture excess", concentration) * R_VAPOUR * (arr(inside_c) + ZERO_C) * share)


def excess_of_source(source_kg_s: Real, flow_m3_s: Real, inside_c: Real) -> Array:
    """Vapour pressure excess of a moisture source in a ventilated room, G·R_v·T/q. [Pa]

    Parameters
    ----------
    source_kg_s : float or array
        Moisture given off. [kg/s] A household of four gives about 10 kg a day (common practice, no source).
    flow_m3_s : float or array
        Outdoor air. [m³/s]
    inside_c : float or array
        Room. [°C]
    """
    return out(not_negative("A source", source_kg_s) * R_VAPOUR * (arr(inside_c) + ZERO_C) / arr(flow_m3_s))


def indoor_vapour_pressure(outdoor_pa: Real, outside_c: Real, humidity_class: float) -> Array:
    """Indoor vapour pressure, outdoor plus `vapour_excess`. [Pa]"""
    return out(arr(outdoor_pa) + arr(vapour_excess(outside_c, humidity_class)))


def temperature_factor(u: Real, rsi: Real = RSI_CORNER) -> Array:
    """Temperature factor of a plain element, f_Rsi = 1 − U·R_si. [-]

    Parameters
    ----------
    u : float or array
        Transmittance reckoned with the same R_si. [W/(m²·K)]
    rsi : float or array
        Surface resistance. [m²·K/W]

    References
    ----------
    [ISO13788:2012] 3.1.3, 5.4.
    """
    return out(1.0 - not_negative("A transmittance", u) * arr(rsi))


def surface_factor(resistance: Real, film: Real, rsi: Real = RSI_CORNER) -> Array:
    """Temperature factor of a plain element whose resistance was reckoned with another surface resistance. [-]

    Parameters
    ----------
    resistance : float or array
        Total, films in it. [m²·K/W]
    film : float or array
        Surface resistance of the warm side in it. [m²·K/W]
    rsi : float or array
        Surface resistance against mould, 0.25 where air hardly moves. [m²·K/W]

    Returns
    -------
    array
        1 − R_si/(R − film + R_si)

    Raises
    ------
    OutOfRange
        If the film is more than the whole.

    References
    ----------
    [ISO13788:2012] 4.4, 5.4.
    """
    r = arr(rsi)
    rest = not_negative("A resistance less its film", arr(resistance) - arr(film))
    return out(1.0 - r / (rest + r))


def factor_from_temperatures(surface_c: Real, inside_c: Real, outside_c: Real) -> Array:
    """Temperature factor of a surface, (T_si − T_e)/(T_i − T_e); NaN where T_i equals T_e. [-]"""
    i, e = arr(inside_c), arr(outside_c)
    with np.errstate(divide="ignore", invalid="ignore"):
        return out(np.where(i == e, np.nan, (arr(surface_c) - e) / (i - e)))


def surface_temperature(factor: Real, inside_c: Real, outside_c: Real) -> Array:
    """Surface temperature of a temperature factor, T_e + f·(T_i − T_e). [°C]"""
    i, e = arr(inside_c), arr(outside_c)
    return out(e + arr(factor) * (i - e))


plane_temperature = surface_temperature
"""Temperature of a plane inside a part: the factor is the share of the resistance outside of it."""


@dataclass(frozen=True)
class SurfaceFactor:
    """Least temperature factor by month.

    Attributes
    ----------
    monthly : array, shape (..., 12)
        Least f_Rsi; NaN where outdoors is already warm enough. [-]
    design : array
        Greatest of the months, what the part must reach; 0 where no month asks anything. [-]
    critical_month : int array
        Month of it, 0 January.
    indoor_pa : array, shape (..., 12)
        Indoor vapour pressure. [Pa]
    least_surface_c : array, shape (..., 12)
        Lowest surface temperature allowed. [°C]
    """

    monthly: Array
    design: Array
    critical_month: Array
    indoor_pa: Array
    least_surface_c: Array

    @property
    def critical_months(self) -> tuple[str, ...]:
        """Names of the months within 0.0005 of the design value (one place only)."""
        m, d = arr(self.monthly), arr(self.design)
        if m.ndim != 1:
            raise OutOfRange("Critical months have names for one place at a time.")
        return tuple(MONTHS[i] for i in np.flatnonzero(np.nan_to_num(m, nan=-1.0) >= d - 0.0005))


def least_temperature_factor(
    outside_c: Array,
    outdoor_pa: Array,
    inside_c: Real = 20.0,
    *,
    humidity_class: float | None = 3,
    indoor_pa: Real | None = None,
    surface_humidity: float = MOULD_HUMIDITY,
) -> SurfaceFactor:
    """Temperature factor that a surface needs against mould, month by month.

    Parameters
    ----------
    outside_c, outdoor_pa : array, shape (..., 12)
        Monthly mean temperature [°C] and vapour pressure [Pa] outdoors.
    inside_c : float or array
        Indoor temperature. [°C]
    humidity_class : float or None
        Class for the indoor humidity; unused where ``indoor_pa`` is given.
    indoor_pa : float or array, optional
        Indoor vapour pressure itself. [Pa]
    surface_humidity : float
        Limit at the surface: 0.8 mould, 0.6 corrosion, 1 condensation. [-]

    Returns
    -------
    SurfaceFactor

    Raises
    ------
    OutOfRange
        If neither class nor pressure is given, or a limit is outside 0..1.

    References
    ----------
    [ISO13788:2012] 5.2 and 5.3.
    """
    te, pe = arr(outside_c), arr(outdoor_pa)
    need(0 < surface_humidity <= 1, "A surface humidity is outside 0 to 1.")
    if indoor_pa is not None:
        pi = np.broadcast_to(arr(indoor_pa), np.broadcast_shapes(te.shape, arr(indoor_pa).shape))
    elif humidity_class is not None:
        pi = arr(indoor_vapour_pressure(pe, te, humidity_class))
    else:
        raise OutOfRange("Indoor humidity is not known.", hint="Give a humidity class or a vapour pressure.")
    least = arr(dew_point(np.maximum(pi / surface_humidity, 1e-6)))
    ti = arr(inside_c)
    ti = ti[..., None] if ti.ndim and ti.shape[-1:] != te.shape[-1:] else ti
    with np.errstate(divide="ignore", invalid="ignore"):
        f = (least - te) / (ti - te)
    asked = np.where((ti <= te) | (least <= te), np.nan, f)
    filled = np.where(np.isnan(asked), -1.0, asked)
    design = np.maximum(filled.max(axis=-1), 0.0)
    lost = np.isnan(te + pi).any(axis=-1)
    return SurfaceFactor(
        out(asked),
        out(np.where(lost, np.nan, design)),
        filled.argmax(axis=-1),
        out(pi),
        out(least),
    )


def check_mould(factor: float, needed: SurfaceFactor) -> tuple[Finding, ...]:
    """Finding where a surface's temperature factor is under what the months ask.

    Parameters
    ----------
    factor : float
        f_Rsi of the coldest spot of the surface. [-]
    needed : SurfaceFactor
        Of one place.

    Returns
    -------
    tuple of Finding
        A stop where even condensation on the surface is likely (f over 1 asked), a warning where mould is.
    """
    design = float(needed.design)
    if design > 1.0:
        return (
            Finding.of(
                "moisture.surface-hopeless",
                Weight.STOP,
                (),
                "ISO13788:2012 5.2",
                at=None,
                months=Name(needed.critical_months[0]),
                design=Number(design),
            ),
        )
    if factor < design:
        return (
            Finding.of(
                "moisture.mould",
                Weight.WARN,
                (),
                "ISO13788:2012 5.2",
                at=None,
                factor=Number(factor),
                design=Number(design),
                months=names(needed.critical_months, "comma"),
            ),
        )
    return ()


def surface_humidity(surface_c: Real, indoor_pa: Real) -> Array:
    """Relative humidity at a surface; above 1 water forms on it. [-]"""
    return relative_humidity(surface_c, indoor_pa)


def mould_risk_months(surface_c: Array, indoor_pa: Array, limit: float = MOULD_HUMIDITY) -> Array:
    """Number of months with a surface humidity over the limit.

    Parameters
    ----------
    surface_c, indoor_pa : array, shape (..., 12)
        Surface temperature [°C] and vapour pressure [Pa] by month.
    limit : float
        Relative humidity. [-]

    Returns
    -------
    array, shape (...)
    """
    return out((arr(indoor_pa) / arr(saturation_pressure(surface_c)) > limit).sum(axis=-1))
