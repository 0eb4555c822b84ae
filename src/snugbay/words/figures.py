"""Figures as people read them, in one system of units: one rounding for each kind of quantity at every door."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import degrees, isfinite

from snugbay.tape import FOOT_M, INCH_M, R_SI_PER_R_IP, Rounding, tape_for

SIGNS = {"USD": "$", "CAD": "CA$", "AUD": "A$", "NZD": "NZ$", "GBP": "£", "EUR": "€"}
KG_PER_LB = 0.45359237
"""International pound, by definition (NIST SP 811, B.8)."""
M_PER_MILE = 1609.344
"""International mile, by definition (NIST SP 811, B.8)."""
BTU_H_FT2_PER_W_M2 = 0.3169983306
"""Btu/(h·ft²) in one W/m² (International Table Btu, NIST SP 811, B.8)."""
SQUARE_FOOT = FOOT_M**2
LEAST_MARK_M = INCH_M / 32
"""Half a sixteenth of an inch: less than that no tape shows. [m]"""
NONE = "-"
"""What stands for a figure that is not there."""
_METRIC = re.compile(r"\d (?:mm|m|km|m²|cm²|m³|°C|K|kg|kg/m²|m²K/W|W/m²|m/s)(?![\w/²³])")
_INCH = re.compile(r"\d(?:\"|'(?!\w)| (?:in|ft|mi|ft²|in²|ft³|°F|lb|lb/ft²|mph|Btu/\(h ft²\))(?![\w/²³]))|\bR-\d")


def number(value: float, digits: int = 0) -> str:
    """Write a figure with its thousands parted and no zeros behind, ``digits`` decimals at most; never ``-0``."""
    if not isfinite(value):
        return NONE
    text = f"{value:,.{max(digits, 0)}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def significant(value: float, whole_from: float = 19.95, extra: int = 0) -> str:
    """Write a figure whole where it is large, to a tenth below 20, to hundredths below 1."""
    size = abs(value)
    return number(value, (0 if size >= whole_from else 1 if size >= 0.995 else 2) + extra)


def other_system(text: str, units: str) -> str:
    """Return the first figure in a text that is in units of the other system than the job's; empty where none is."""
    found = (_METRIC if units == "ft-in" else _INCH).search(text)
    return found[0] if found else ""


@dataclass(frozen=True)
class Figures:
    """Writes quantities.

    Attributes
    ----------
    units : str
        ``"ft-in"`` or ``"mm"``.
    currency : str
        ISO 4217 code.

    Notes
    -----
    ``extra`` is a number of decimals more than usual, for two figures of one sentence that would read alike.
    """

    units: str = "mm"
    currency: str = "EUR"

    @property
    def inch(self) -> bool:
        """True for a job in feet and inches."""
        return self.units == "ft-in"

    def length(self, metres: float, extra: int = 0, rounding: Rounding = Rounding.NEAREST) -> str:
        """Write a length as the job's tape reads it, with its unit."""
        if not isfinite(metres):
            return NONE
        if self.inch:
            fine = extra or 0 < abs(metres) < LEAST_MARK_M
            if fine and rounding is Rounding.NEAREST:
                return f'{number(metres / INCH_M, 2 + max(extra - 1, 0))}"'
            return tape_for(self.units).text(metres, rounding)
        mm = metres * 1000.0
        if rounding is not Rounding.NEAREST:
            return f"{tape_for(self.units).text(metres, rounding)} mm"
        return f"{number(mm, (1 if abs(mm) < 9.95 else 0) + extra).replace(',', '')} mm"

    def bare(self, metres: float) -> str:
        """Write a length on the job's tape as drawings letter it, whose sheet names the unit."""
        return tape_for(self.units).text(metres)

    def long_length(self, metres: float, extra: int = 0) -> str:
        """Write a length of joints, cuts or pipe, or a height above the sea."""
        if self.inch:
            return f"{significant(metres / FOOT_M, 4.95, extra)} ft"
        return f"{significant(metres, 19.95, extra)} m"

    def distance(self, metres: float, extra: int = 0) -> str:
        """Write a distance on the map."""
        if self.inch:
            return f"{significant(metres / M_PER_MILE, 9.95, extra)} mi"
        return f"{significant(metres / 1000.0, 9.95, extra)} km"

    def area(self, square_metres: float, extra: int = 0) -> str:
        """Write an area; a small one in square inches or centimetres."""
        if self.inch:
            feet = square_metres / SQUARE_FOOT
            if 0 < abs(feet) < 0.95:
                return f"{significant(feet * 144.0, 0.95, extra)} in²"
            return f"{significant(feet, 9.95, extra)} ft²"
        if 0 < abs(square_metres) < 0.0995:
            return f"{significant(square_metres * 1e4, 0.95, extra)} cm²"
        return f"{significant(square_metres, 99.5, extra)} m²"

    def volume(self, cubic_metres: float, extra: int = 0) -> str:
        """Write a volume."""
        if self.inch:
            return f"{significant(cubic_metres / FOOT_M**3, 9.95, extra)} ft³"
        return f"{significant(cubic_metres, 19.95, extra)} m³"

    def angle(self, radians: float, extra: int = 0) -> str:
        """Write an angle in degrees, to a tenth."""
        return f"{number(degrees(radians), 1 + extra)}°"

    def temperature(self, celsius: float, extra: int = 0) -> str:
        """Write a temperature in whole degrees."""
        if self.inch:
            return f"{number(celsius * 1.8 + 32.0, extra)} °F"
        return f"{number(celsius, extra)} °C"

    def difference(self, kelvin: float, extra: int = 0) -> str:
        """Write a difference of temperatures: a difference of 10 K is one of 18 °F."""
        there = kelvin * 1.8 if self.inch else kelvin
        return f"{significant(there, 2.95, extra)} {'°F' if self.inch else 'K'}"

    def resistance(self, m2k_w: float, extra: int = 0) -> str:
        """Write a thermal resistance as labels do: ``R-13`` in h·ft²·°F/Btu, or m²K/W."""
        if self.inch:
            return f"R-{number(m2k_w / R_SI_PER_R_IP, 1 + extra)}"
        return f"{number(m2k_w, 2 + extra)} m²K/W"

    def mass(self, kg: float, extra: int = 0) -> str:
        """Write a mass."""
        return f"{significant(kg / KG_PER_LB, 9.95, extra)} lb" if self.inch else f"{significant(kg, 9.95, extra)} kg"

    def mass_per_area(self, kg_m2: float, extra: int = 0) -> str:
        """Write a mass on an area."""
        if self.inch:
            return f"{significant(kg_m2 * SQUARE_FOOT / KG_PER_LB, 19.95, extra)} lb/ft²"
        return f"{significant(kg_m2, 19.95, extra)} kg/m²"

    def energy(self, kwh: float, extra: int = 0) -> str:
        """Write an amount of energy; kWh in both systems, as meters and bills have it."""
        return f"{significant(kwh, 9.95, extra)} kWh"

    def heat_flux(self, w_m2: float, extra: int = 0) -> str:
        """Write heat through an area."""
        if self.inch:
            return f"{significant(w_m2 * BTU_H_FT2_PER_W_M2, 9.95, extra)} Btu/(h ft²)"
        return f"{significant(w_m2, 9.95, extra)} W/m²"

    def speed(self, m_s: float, extra: int = 0) -> str:
        """Write a speed of wind."""
        if self.inch:
            return f"{significant(m_s * 3600.0 / M_PER_MILE, 9.95, extra)} mph"
        return f"{significant(m_s, 9.95, extra)} m/s"

    def pressure(self, pa: float, extra: int = 0) -> str:
        """Write a pressure; pascals in both systems, as a blower door has them."""
        return f"{significant(pa, 9.95, extra)} Pa"

    def money(self, amount: float, extra: int = 0) -> str:
        """Write an amount with its currency: whole from 20 up, two decimals below."""
        if not isfinite(amount):
            return NONE
        pence = (0 if abs(amount) >= 19.995 or round(amount, 2) == round(amount) else 2) + 2 * bool(extra)
        digits = f"{abs(amount):,.{min(pence, 2)}f}"
        sign = "-" if amount < 0 and digits.strip("0.,") else ""
        mark = SIGNS.get(self.currency)
        return f"{sign}{mark}{digits}" if mark else f"{sign}{self.currency} {digits}"

    def hours(self, hours: float, extra: int = 0) -> str:
        """Write time that work takes: minutes below one hour, tenths below 20 hours, whole ones above."""
        if abs(hours) < 0.95:
            return f"{number(hours * 60.0, extra)} min"
        return f"{significant(hours, 19.95, extra)} h"

    def span(self, hours: float, extra: int = 0) -> str:
        """Write time that goes by, in hours."""
        return f"{significant(hours, 9.95, extra)} h"

    def days(self, days: float, extra: int = 0) -> str:
        """Write days."""
        text = significant(days, 1.95, extra)
        return f"{text} {'day' if text == '1' else 'days'}"

    def years(self, years: float, extra: int = 0) -> str:
        """Write years; a dash where there are none."""
        if not isfinite(years):
            return NONE
        text = significant(years, 9.95, extra)
        return f"{text} {'year' if text == '1' else 'years'}"

    def share(self, share: float, extra: int = 0) -> str:
        """Write a share of one as a percentage: whole from 10 % up and where it is none, to a tenth below."""
        return f"{significant(share * 100.0, 9.95, extra)} %"

    def number(self, value: float, extra: int = 0) -> str:
        """Write a bare figure."""
        return significant(value, 99.5, extra)
