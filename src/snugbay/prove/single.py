"""One reading by itself: what cannot be right in it, and whether it was written in the other unit."""

from __future__ import annotations

import math

from snugbay.base import Finding, Said, Weight
from snugbay.base.facts import Name, RowRef, TemperatureDifference
from snugbay.base.facts import Temperature as Temp
from snugbay.job import Temperature, TemperatureKind, Units, ZoneKind
from snugbay.physics.units import celsius_from_f, f_from_celsius
from snugbay.prove.tables import figure

Kind = TemperatureKind
AIRS = {Kind.ROOM_AIR: ZoneKind.INSIDE, Kind.BUFFER_AIR: ZoneKind.BUFFER, Kind.OUTDOOR_AIR: ZoneKind.OUTSIDE}
SURFACES = (Kind.SURFACE_INFRARED, Kind.SURFACE_CONTACT)
STAGES = ("before", "after")
_BOUNDS = {Kind.ROOM_AIR: "room", Kind.OUTDOOR_AIR: "outdoor", Kind.BUFFER_AIR: "buffer"}


def aside(said: Said, number: int) -> Finding:
    """Finding about a reading that is set aside."""
    found = Finding(said.code, weight=Weight.WARN, where=("temperatures", number), facts=said.facts)
    return found.having(reading=RowRef(number))


def other_unit(celsius: float, units: Units, low: float, high: float) -> Said | None:
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
            return Said.of("prove.said.other-unit", unit=Name(unit))
    return None


def impossible(t: Temperature, units: Units) -> Said | None:
    """Say what is impossible in a reading by itself; None where nothing is."""
    found = _wrong(t)
    if found is None:
        return None
    asked = found.code == "prove.said.cannot-be-right"
    unit = other_unit(t.value, units, *_usual(t.kind is Kind.ROOM_AIR)) if asked else None
    return Said.of("prove.reading-impossible", what=found, unit=unit)


def _usual(room: bool) -> tuple[float, float]:
    """Between which temperatures a reading usually lies. [°C]"""
    return (10.0, 30.0) if room else (-30.0, 30.0)


def _wrong(t: Temperature) -> Said | None:
    if not (math.isfinite(t.value) and math.isfinite(t.sigma)):
        return Said.of("prove.said.no-number")
    if t.kind is Kind.HEAT_FLUX:
        if t.sigma <= 0:
            return Said.of("prove.said.no-spread")
        over = abs(t.value) > figure("readings", "limits", "most_flux")
        return Said.of("prove.said.too-much-heat") if over else None
    if not 0.0 < t.sigma <= figure("readings", "limits", "widest_sigma"):
        return Said.of("prove.said.only-known-to", sigma=TemperatureDifference(t.sigma))
    name = _BOUNDS.get(t.kind, "surface")
    low, high = (figure("readings", "limits", f"{name}_{k}_c") for k in ("low", "high"))
    if not low <= t.value <= high:
        return Said.of("prove.said.cannot-be-right", read=Temp(t.value), kind=Name(t.kind.value))
    return _infrared(t) if t.kind is Kind.SURFACE_INFRARED else None


def _infrared(t: Temperature) -> Said | None:
    low, high = (figure("readings", "limits", f"surface_{k}_c") for k in ("low", "high"))
    if not (0.0 < t.emissivity <= 1.0 and 0.0 < t.meter_emissivity <= 1.0):
        return Said.of("prove.said.emissivity-outside")
    if t.reflected_c is not None and not low <= t.reflected_c <= high:
        return Said.of("prove.said.reflected-odd")
    return None
