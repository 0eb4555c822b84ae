"""Readings taken together: their wind, their times, and whether they are as old as the work they judge."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime

from snugbay.base import Fact, Finding, Said, Weight
from snugbay.base.facts import FaceRef, Name, Span
from snugbay.job import Job, Temperature
from snugbay.prove.log import standing
from snugbay.prove.single import aside
from snugbay.prove.tables import figure, words

SetKey = tuple[str, str]
"""When, set."""


@dataclass(frozen=True)
class Sets:
    """What holds for whole sets.

    Attributes
    ----------
    windy : frozenset of (when, set)
        Sets of a windy night.
    left_out : Mapping of int to Finding
        Readings that are set aside for their time or their wind, by number.
    """

    windy: frozenset[SetKey]
    left_out: Mapping[int, Finding]


def time_of(text: str) -> datetime | None:
    """Return a time as written, in ISO 8601, without its zone; None where it cannot be read.

    A zone is turned into UTC: times of one job either all have one or none.
    """
    try:
        made = datetime.fromisoformat(text.strip())
        return made.astimezone(UTC).replace(tzinfo=None) if made.tzinfo is not None else made
    except (ValueError, OverflowError):  # no time, or one whose zone leads out of the calendar
        return None


def winds(readings: Sequence[Temperature]) -> tuple[frozenset[SetKey], frozenset[SetKey]]:
    """Sets of a windy night, and sets that say both windy and calm.

    What a reading says of the wind counts for its set; where none says anything, a set named after the wind is windy.
    """
    said: dict[SetKey, set[str]] = {}
    for t in readings:
        own = said.setdefault((t.when, t.set), set())
        if t.wind:
            own.add(t.wind)
    named = {
        k for k, v in said.items() if not v and any(w in k[1].lower() for w in words("readings", "words", "windy"))
    }
    windy = {k for k, v in said.items() if "windy" in v} | named
    both = {k for k, v in said.items() if len(v) > 1}
    return frozenset(windy - both), frozenset(both)


def looked_over(job: Job, series: frozenset[int]) -> Sets:
    """Look over the sets of a job.

    Parameters
    ----------
    job : Job
        With its readings and its log.
    series : frozenset of int
        Readings that belong to a plate series, which runs over days.
    """
    windy, both = winds(job.temperatures)
    out: dict[int, Finding] = {}
    times: dict[SetKey, list[datetime]] = {}
    for number, t in enumerate(job.temperatures):
        fault = stale(job, number, t)
        if t.wind and (t.when, t.set) in both:
            fault = _of_set(Said.of("prove.wind-both", set=Name(t.set or t.when)), number)
        if fault is not None:
            out[number] = fault
        elif number not in series and t.time:
            at = time_of(t.time)
            if at is None:
                out[number] = aside(Said.of("prove.reading-time", time=Name(t.time)), number)
            else:
                times.setdefault((t.when, t.set), []).append(at)
    _apart(job, series, times, out)
    return Sets(windy, out)


def _apart(
    job: Job, series: frozenset[int], times: Mapping[SetKey, Sequence[datetime]], out: dict[int, Finding]
) -> None:
    """Set aside whole sets whose readings lie hours apart."""
    for key, at in times.items():
        hours = (max(at) - min(at)).total_seconds() / 3600.0
        if hours <= figure("readings", "limits", "together_hours"):
            continue
        for number, t in enumerate(job.temperatures):
            if (t.when, t.set) == key and number not in series and number not in out:
                said = Said.of("prove.times-apart", set=Name(key[1] or key[0]), hours=Span(round(hours)))
                out[number] = _of_set(said, number)


def _of_set(said: Said, number: int) -> Finding:
    """Finding about a set, found at one of its readings."""
    return Finding(said.code, weight=Weight.WARN, where=("temperatures", number), facts=said.facts)


def _day(text: str) -> date | None:
    made = time_of(text) if text else None
    return made.date() if made is not None else None


def stale(job: Job, number: int, t: Temperature) -> Finding | None:
    """Finding where a reading after the work is older than the work, or one before it is younger."""
    read = _day(t.time)
    if read is None or not t.face:
        return None
    entries, _ = standing(job.log)
    worked = [d for _, e in entries if e.hours > 0 and e.face == t.face and (d := _day(e.day))]
    if t.when == "after" and worked and read < max(worked):
        facts: dict[str, Fact] = {"face": FaceRef(t.face), "set": Name(t.set or t.when), "read": Name(str(read))}
        return _of_set(Said.of("prove.stale", **facts, worked=Name(str(max(worked)))), number)
    if t.when == "before" and worked and read > min(worked):
        facts = {"face": FaceRef(t.face), "set": Name(t.set or t.when), "read": Name(str(read))}
        return _of_set(Said.of("prove.stale-before", **facts, worked=Name(str(min(worked)))), number)
    return None
