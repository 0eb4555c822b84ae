"""Dates and times as loggers write them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import UTC, datetime

from snugbay.base import InputError

PLAIN = ("%d.%m.%Y", "%d.%m.%y", "%Y/%m/%d", "%Y.%m.%d", "%d-%b-%Y", "%d %b %Y")
"""Dates that can be read one way only."""
HOURS = ("%H:%M:%S", "%H:%M", "%I:%M:%S %p", "%I:%M %p")
TWO_WAYS = re.compile(r"^(\d{1,2})([/-])(\d{1,2})\2(\d{4}|\d{2})$")
DATED = re.compile(r"^\s*\d{1,4}[-./]\d{1,2}[-./]\d{1,4}")
HINT = "Write times as 2026-01-31 18:00."


def _hours(text: str) -> datetime | None:
    plain = re.sub(r"\.\d+$", "", text.strip()).upper().replace("A.M.", "AM").replace("P.M.", "PM")
    plain = re.sub(r"(?<=\d)(AM|PM)$", r" \1", plain)
    for pattern in HOURS:
        try:
            return datetime.strptime(plain, pattern)
        except ValueError:
            continue
    return None


def _split(text: str) -> tuple[str, str]:
    plain = " ".join(text.replace(",", " ").split())
    date, _, hours = plain.partition(" ")
    if hours and not re.match(r"^\d{1,2}:", hours):  # a date of three words: 31 Jan 2026
        words = plain.split(" ")
        date, hours = " ".join(words[:3]), " ".join(words[3:])
    return date, hours


def looks_like_time(text: str) -> bool:
    """Whether a cell holds a date, alone or with the hour, good or slipped."""
    return bool(DATED.match(text)) or _plain(_split(text)[0]) is not None


def _iso(text: str) -> datetime | None:
    try:
        made = datetime.fromisoformat(text.strip())
        return made.astimezone(UTC).replace(tzinfo=None) if made.tzinfo is not None else made
    except (ValueError, OverflowError):  # no time, or one whose zone leads out of the calendar
        return None


def _plain(date: str) -> datetime | None:
    for pattern in PLAIN:
        try:
            return datetime.strptime(date, pattern)
        except ValueError:
            continue
    return None


def day_first(texts: Sequence[str], said: str) -> bool | None:
    """Whether dates such as 31/01/2026 have the day first: as said, else by the only order that fits them all.

    Returns
    -------
    bool or None
        None where both orders fit, or neither.
    """
    if said:
        return said == "day first"
    found = [m for t in texts if (m := TWO_WAYS.match(_split(t)[0]))]
    late_first = any(int(m[1]) > 12 for m in found)
    late_second = any(int(m[3]) > 12 for m in found)
    return late_first if late_first != late_second else None


def read_time(text: str, line: int, first: bool | None) -> datetime:
    """Read a time; one with a zone becomes UTC.

    Parameters
    ----------
    text : str
        As written; a date alone is its midnight.
    line : int
        Of the file, for the error.
    first : bool or None
        Whether dates with strokes have the day first; None where that is not known.

    Raises
    ------
    InputError
        If it cannot be read, or could be read two ways.
    """
    iso = _iso(text)
    if iso is not None:
        return iso
    date, hours = _split(text)
    clock = _hours(hours) if hours else datetime(1900, 1, 1)
    two = TWO_WAYS.match(date)
    if two and first is None:
        raise InputError(
            f"The date {date!r} could be read two ways.",
            line=line,
            hint='Say so in the job document: dates = "day first" or dates = "month first".',
        )
    day = _plain(date)
    try:
        if two:
            a, b, year = int(two[1]), int(two[3]), int(two[4])
            day = datetime(year + 2000 if year < 100 else year, b if first else a, a if first else b)
    except ValueError:
        day = None
    if day is None or clock is None:
        raise InputError(f"The time {text!r} cannot be read.", line=line, hint=HINT)
    return day.replace(hour=clock.hour, minute=clock.minute, second=clock.second)
