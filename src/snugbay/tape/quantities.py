"""Temperatures, angles and resistances as people write them."""

from __future__ import annotations

import re
from math import atan2, isfinite, radians

from snugbay.base import InputError

R_SI_PER_R_IP = 0.1761101838
"""m²·K/W in one h·ft²·°F/Btu (International Table Btu)."""

_NUMBER = r"([+-]?\d+(?:[.,]\d+)?)"


def _number(raw: str | int | float, what: str, hint: str) -> float:
    if isinstance(raw, bool):
        raise InputError(f"{raw!r} is not {what}.", hint=hint, code="tape.quantity")
    try:
        value = float(str(raw).strip().replace(",", "."))
    except ValueError as error:
        raise InputError(f"{raw!r} is not {what}.", hint=hint, code="tape.quantity") from error
    if not isfinite(value):
        raise InputError(f"{raw!r} is not {what}.", hint=hint, code="tape.quantity")
    return value


def parse_temperature(raw: str | int | float, unit: str = "C") -> float:
    """Read a temperature: ``68 F``, ``20 °C``, ``20`` (then in ``unit``). Returns °C; raises `InputError`."""
    hint = "Write it as 68 F or 20 C."
    text = str(raw).strip().upper().replace("°", "").replace("−", "-")
    if text.endswith(("F", "C")):
        unit, text = text[-1], text[:-1]
    value = _number(text if isinstance(raw, str) else raw, "a temperature", hint)
    celsius = (value - 32) / 1.8 if unit == "F" else value
    if not -90 <= celsius <= 200:
        raise InputError(f"The temperature {raw!r} is {celsius:.0f} °C, which no house sees.", hint=hint)
    return celsius


def parse_angle(raw: str | int | float) -> float:
    """Read an angle: ``90``, ``90 deg``, ``33.5°``, or a roof pitch ``9/12`` or ``9 in 12``. Returns rad."""
    hint = "Write it as 90, 33.5 deg, or a pitch as 9/12."
    text = str(raw).strip().lower().replace("degrees", "").replace("deg", "").replace("°", "").strip()
    pitch = re.fullmatch(rf"{_NUMBER}\s*(?:/|in|:)\s*{_NUMBER}", text)
    if pitch:
        rise, run = (float(p.replace(",", ".")) for p in pitch.groups())
        if run <= 0:
            raise InputError(f"The pitch {raw!r} has no run.", hint=hint, code="tape.quantity")
        return atan2(rise, run)
    value = _number(text if isinstance(raw, str) else raw, "an angle", hint)
    if not -360 <= value <= 360:
        raise InputError(f"The angle {raw!r} is more than a full turn.", hint=hint, code="tape.quantity")
    return radians(value)


def parse_r_value(raw: str | int | float, unit: str = "SI") -> float:
    """Read a thermal resistance: ``R-13`` (h·ft²·°F/Btu), ``2.3`` or ``2.3 m2K/W``. Returns m²·K/W."""
    hint = "Write it as R-13 or 2.3 m2K/W."
    text = str(raw).strip().lower().replace("²", "2").replace(" ", "")
    if text.startswith("r"):
        unit, text = "IP", text[1:].lstrip("-")
    elif text.endswith("m2k/w"):
        unit, text = "SI", text[: -len("m2k/w")]
    value = _number(text if isinstance(raw, str) else raw, "a thermal resistance", hint)
    if value < 0:
        raise InputError(f"The resistance {raw!r} is negative.", hint=hint, code="tape.quantity")
    return value * R_SI_PER_R_IP if unit == "IP" else value


def temperature_text(celsius: float, units: str) -> str:
    """Print a temperature in the job's units: ``50 °F`` for ft-in jobs, ``10 °C`` for mm jobs."""
    return f"{celsius * 1.8 + 32:.0f} °F" if units == "ft-in" else f"{celsius:.0f} °C"
