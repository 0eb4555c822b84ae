"""One reading by itself: what cannot be right in it, and whether it was written in the other unit."""

from __future__ import annotations

import math

from snugbay.base import Finding, Weight
from snugbay.job import Temperature, TemperatureKind, Units, ZoneKind
from snugbay.physics.units import celsius_from_f, f_from_celsius
from snugbay.prove.tables import figure
from snugbay.prove.wording import diff, temp

Kind = TemperatureKind
AIRS = {Kind.ROOM_AIR: ZoneKind.INSIDE, Kind.BUFFER_AIR: ZoneKind.BUFFER, Kind.OUTDOOR_AIR: ZoneKind.OUTSIDE}
SURFACES = (Kind.SURFACE_INFRARED, Kind.SURFACE_CONTACT)
STAGES = ("before", "after")
_BOUNDS = {Kind.ROOM_AIR: "room", Kind.OUTDOOR_AIR: "outdoor", Kind.BUFFER_AIR: "buffer"}


def aside(code: str, number: int, text: str) -> Finding:
    """Finding about a reading that is set aside."""
    return Finding(f"prove.{code}", text, Weight.WARN, ("temperatures", number))


def other_unit(celsius: float, units: Units, low: float, high: float) -> str:
    """Ask whether a temperature was read in the other unit, where it would then lie between two limits; else nothing.

    Parameters
    ----------
    celsius, low, high : float
        As taken, and where it should lie. [°C]
    units : Units
        Of the job: the unit that is tried first.
    """
    as_f, as_c = float(celsius_from_f(celsius)), float(f_from_celsius(celsius))
    tries = ((as_c, "°C"), (as_f, "°F")) if units is Units.FT_IN else ((as_f, "°F"), (as_c, "°C"))
    for value, unit in tries:
        if low <= value <= high:
            return f" Was it read in {unit}? Then write the unit with it."
    return ""


def impossible(t: Temperature, units: Units) -> str:
    """Say what is impossible in a reading by itself, to follow its number; empty where nothing is."""
    text = _wrong(t, units)
    if not text:
        return ""
    room = t.kind is Kind.ROOM_AIR
    hint = "" if not math.isfinite(t.value) or t.kind is Kind.HEAT_FLUX else other_unit(t.value, units, *_usual(room))
    return f"{text}: set aside.{hint if 'cannot be right for' in text else ''}"


def _usual(room: bool) -> tuple[float, float]:
    """Between which temperatures a reading usually lies. [°C]"""
    return (10.0, 30.0) if room else (-30.0, 30.0)


def _wrong(t: Temperature, units: Units) -> str:
    if not (math.isfinite(t.value) and math.isfinite(t.sigma)):
        return "is not a number"
    if t.kind is Kind.HEAT_FLUX:
        most = figure("readings", "limits", "most_flux")
        return "has no spread" if t.sigma <= 0 else "" if abs(t.value) <= most else "is more heat than a wall passes"
    if not 0.0 < t.sigma <= figure("readings", "limits", "widest_sigma"):
        return f"is only known to {diff(t.sigma, units)}"
    name = _BOUNDS.get(t.kind, "surface")
    low, high = (figure("readings", "limits", f"{name}_{k}_c") for k in ("low", "high"))
    if not low <= t.value <= high:
        return f"of {temp(t.value, units)} cannot be right for {t.kind.value}"
    return _infrared(t) if t.kind is Kind.SURFACE_INFRARED else ""


def _infrared(t: Temperature) -> str:
    low, high = (figure("readings", "limits", f"surface_{k}_c") for k in ("low", "high"))
    if not (0.0 < t.emissivity <= 1.0 and 0.0 < t.meter_emissivity <= 1.0):
        return "has an emissivity outside 0 to 1"
    if t.reflected_c is not None and not low <= t.reflected_c <= high:
        return "has a reflected temperature that cannot be right"
    return ""
