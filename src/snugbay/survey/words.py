"""How the survey talks about readings."""

from __future__ import annotations

from snugbay.job import Face, Reading, ReadingKind
from snugbay.job.outlines import reading_name
from snugbay.survey.options import SurveyOptions


def named(reading: Reading) -> str:
    """Return a reading's name for people."""
    return reading.name or reading_name(reading.kind, reading.corners)


def angular(reading: Reading) -> bool:
    """Return whether a reading is an angle."""
    return reading.kind in {ReadingKind.ANGLE, ReadingKind.LEAN}


def amount(reading: Reading, value: float, options: SurveyOptions) -> str:
    """Return a value of a reading's kind as text."""
    return options.format_angle(value) if angular(reading) else options.format_length(value)


def longer(reading: Reading, blunder: float, options: SurveyOptions) -> str:
    """Return ``"50 mm too long"`` or ``"2.0° too wide"`` for what a reading is out by."""
    size = amount(reading, abs(blunder), options)
    if angular(reading):
        return f"{size} too {'wide' if blunder > 0 else 'narrow'}"
    if reading.kind is ReadingKind.DISTANCE:
        return f"{size} too {'long' if blunder > 0 else 'short'}"
    return f"{size} too {'large' if blunder > 0 else 'small'}"


def listed(names: tuple[str, ...] | list[str], last: str = "and") -> str:
    """Return ``"A, B and C"``."""
    names = list(names)
    if len(names) < 2:
        return "".join(names)
    return ", ".join(names[:-1]) + f" {last} " + names[-1]


def pull_again(face: Face, reading: Reading, should: float, blunder: float, options: SurveyOptions) -> str:
    """Return the sentence for one reading that is wrong beyond doubt."""
    name = named(reading)
    if reading.assumed:
        return (
            f"{face.id}: {name} does not hold: by the other readings it is {amount(reading, should, options)}, "
            f"not {amount(reading, reading.value, options)}. It is left out."
        )
    verb = "Read" if angular(reading) else "Pull"
    return (
        f"{face.id}: {verb} {name} again. It reads {_written(reading, options)}, by the others it should be "
        f"{amount(reading, should, options)} ({longer(reading, blunder, options)}). It is left out until then."
    )


def one_of(face_names: list[str], parts: list[str]) -> str:
    """Return the sentence for readings of which one is wrong and the readings cannot tell which."""
    where = " and ".join(dict.fromkeys(face_names))
    return f"{where}: one of these is wrong, the readings cannot tell which: {'; '.join(parts)}."


def either(face_name: str, parts: list[str]) -> str:
    """Return the sentence for sets of readings of which one set is wrong and the readings cannot tell which."""
    return f"{face_name}: several are wrong, and the readings cannot tell which: either {', or '.join(parts)}."


def option_text(reading: Reading, should: float, blunder: float, options: SurveyOptions) -> str:
    """Return one suspect of several, with what it should read if it is the wrong one."""
    return (
        f"{named(reading)} (reads {_written(reading, options)}, should then be {amount(reading, should, options)}, "
        f"{longer(reading, blunder, options)})"
    )


def _written(reading: Reading, options: SurveyOptions) -> str:
    return reading.written or amount(reading, reading.value, options)
