"""Temperatures, differences and counts in the words and units of the job."""

from __future__ import annotations

from snugbay.job import Units
from snugbay.physics.units import R_IP_PER_R_SI, f_from_celsius

F_PER_K = 1.8


def temp(celsius: float, units: Units) -> str:
    """Write a temperature given in °C."""
    if units is Units.FT_IN:
        return f"{float(f_from_celsius(celsius)):.1f} °F"
    return f"{celsius:.1f} °C"


def diff(kelvin: float, units: Units, digits: int = 1) -> str:
    """Write a difference of temperatures given in K."""
    return f"{kelvin * F_PER_K:.{digits}f} °F" if units is Units.FT_IN else f"{kelvin:.{digits}f} K"


def film(resistance: float, units: Units) -> str:
    """Write the resistance of the air at a surface given in m²·K/W."""
    return f"R-{resistance * R_IP_PER_R_SI:.1f}" if units is Units.FT_IN else f"{resistance:.2f} m²·K/W"


def counted(n: int, one: str, many: str = "") -> str:
    """Write a number of things: ``1 entry``, ``3 entries``."""
    return f"{n} {one if n == 1 else many or one + 's'}"
