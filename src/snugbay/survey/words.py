"""How the survey names readings, and the phrases that it says of them."""

from __future__ import annotations

from snugbay.base import Fact, Said
from snugbay.base.facts import Angle, FaceRef, Length, ReadingRef
from snugbay.job import Face, Reading, ReadingKind
from snugbay.job.outlines import reading_name


def named(reading: Reading) -> str:
    """Return a reading's name for people."""
    return reading.name or reading_name(reading.kind, reading.corners)


def angular(reading: Reading) -> bool:
    """Return whether a reading is an angle."""
    return reading.kind in {ReadingKind.ANGLE, ReadingKind.LEAN}


def amount(reading: Reading, value: float) -> Fact:
    """Return a value of a reading's kind."""
    return Angle(value) if angular(reading) else Length(value)


def longer(reading: Reading, blunder: float) -> Said:
    """Return ``50 mm too long`` or ``2° too wide`` for what a reading is out by."""
    size = amount(reading, abs(blunder))
    if angular(reading):
        return (
            Said.of("survey.said.too-wide", size=size) if blunder > 0 else Said.of("survey.said.too-narrow", size=size)
        )
    if reading.kind is ReadingKind.DISTANCE:
        return (
            Said.of("survey.said.too-long", size=size) if blunder > 0 else Said.of("survey.said.too-short", size=size)
        )
    return Said.of("survey.said.too-large", size=size) if blunder > 0 else Said.of("survey.said.too-small", size=size)


def pull_again(face: Face, reading: Reading, blunder: float, slip: Said | None) -> Said:
    """Return the phrase for one reading that is wrong beyond doubt."""
    verb = Said.of("survey.said.read") if angular(reading) else Said.of("survey.said.pull")
    return Said.of(
        "survey.said.pull-again",
        face=FaceRef(face.id),
        verb=verb,
        reading=ReadingRef(named(reading)),
        read=amount(reading, reading.value),
        should=amount(reading, reading.value - blunder),
        out=longer(reading, blunder),
        slip=slip,
    )


def option(reading: Reading, blunder: float, slip: Said | None, whose: Face | None = None) -> Said:
    """Return one suspect of several, with what it should read if it is the wrong one."""
    return Said.of(
        "survey.said.option",
        face=FaceRef(whose.id) if whose is not None else None,
        reading=ReadingRef(named(reading)),
        read=amount(reading, reading.value),
        should=amount(reading, reading.value - blunder),
        out=longer(reading, blunder),
        slip=slip,
    )


def listed(names: tuple[str, ...] | list[str], last: str = "and") -> str:
    """Return ``"A, B and C"``."""
    names = list(names)
    if len(names) < 2:
        return "".join(names)
    return ", ".join(names[:-1]) + f" {last} " + names[-1]
