"""Hours and days as people type them from the booklet's table."""

from __future__ import annotations

import re
from datetime import date, datetime

from snugbay.base import InputError

MOST_AT_ONCE = 16.0
"""Nobody works longer at one go: a slip of the pen, or a clock left running. [h]"""


def _minutes(text: str, which: str) -> int:
    found = re.match(r"^\s*(\d{1,2})(?:[:.h]\s*(\d{2}))?\s*(am|pm)?\s*$", text.lower())
    if found is None:
        raise InputError(f"{text!r} is not a time of day.", where=(which,), hint="Write it as 18:30, or 6:30 pm.")
    hour, minute, half = int(found[1]), int(found[2] or 0), found[3]
    if half:
        if not 1 <= hour <= 12:
            raise InputError(f"{text!r} is not a time of day.", where=(which,), hint="Write it as 18:30, or 6:30 pm.")
        hour = hour % 12 + (12 if half == "pm" else 0)
    if hour > 24 or minute > 59 or hour * 60 + minute > 1440:
        raise InputError(f"{text!r} is not a time of day.", where=(which,), hint="Write it as 18:30, or 6:30 pm.")
    return hour * 60 + minute


def between(begun: str, ended: str, pause: float) -> float:
    """Hours from one time of day to another, over midnight if need be, less a pause in minutes. [h]

    Raises
    ------
    InputError
        If a time is missing or cannot be read, or the hours cannot be right.
    """
    if not begun or not ended:
        raise InputError("--from and --to go together.", where=("to" if begun else "from",))
    minutes = (_minutes(ended, "to") - _minutes(begun, "from")) % 1440
    hours = (minutes - pause) / 60.0
    if not 0.0 < hours <= MOST_AT_ONCE:
        hint = "Check both times and the break, or give --hours."
        raise InputError(f"From {begun} to {ended} are {hours:.1f} h.", where=("from",), hint=hint)
    return round(hours, 2)


def day_of(text: str, now: datetime) -> str:
    """Return a day in ISO 8601; today where none is given.

    Raises
    ------
    InputError
        If it cannot be read, or is still to come.
    """
    if not text:
        return now.date().isoformat()
    try:
        day = date.fromisoformat(text.strip())
    except ValueError:
        hint = "Write it as 2026-01-31."
        raise InputError(f"{text!r} is not a day.", where=("day",), hint=hint) from None
    if day > now.date():
        raise InputError(f"{text} is still to come.", where=("day",), hint="Check the year and the month.")
    return day.isoformat()
