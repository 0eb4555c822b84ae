"""Outlines as people give them, turned into corners and readings.

A length is a plain number in metres or a `Taped` value that keeps what was written and its own precision. Readings
that nobody took but that a person sees ("it is square by eye") are added with a weak weight and say so.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from snugbay.base import InputError
from snugbay.job.surfaces import Corner, Reading, ReadingKind

BY_EYE = "by eye"
"""Precision class of a reading that the eye took."""
GUESS = "guess"
"""Precision class of a reading that nobody took: what a space's numbers say it is, until somebody reads it."""


@dataclass(frozen=True)
class Taped:
    """One number as read.

    Attributes
    ----------
    value : float
        Length, or angle for gauges. [m or rad]
    sigma : float or None
        Standard deviation; None takes that of the instrument. [m or rad]
    written : str
        As the user wrote it.
    instrument : str
        Precision class; empty takes the shorthand's.
    field : tuple of str or int
        Where it was written, as in `Reading`.
    assumed : bool
        True where nobody measured it, as in `Reading`; what the eye took always is.
    """

    value: float
    sigma: float | None = None
    written: str = ""
    instrument: str = ""
    field: tuple[str | int, ...] = ()
    assumed: bool = False


Length = float | Taped
"""A length in metres, bare or with how it was read."""


@dataclass(frozen=True)
class Precision:
    """Standard deviations that a shorthand gives to its readings.

    Attributes
    ----------
    length : float
        Of a taped length. [m]
    angle : float
        Of a gauge's angle. [rad]
    square : float
        Of "square by eye". [rad]
    join : float
        Of the angle of a join that nobody measured, guessed from the look of it. [rad]
    instrument, gauge : str
        Precision classes of the tape and of the gauge.

    Notes
    -----
    Defaults are assumptions: 1.5 mm, half a degree, one degree, five degrees.
    """

    length: float = 0.0015
    angle: float = math.radians(0.5)
    square: float = math.radians(1.0)
    join: float = math.radians(5.0)
    instrument: str = "tape"
    gauge: str = "bevel gauge"


USUAL = Precision()
"""The usual tape and gauge."""


@dataclass(frozen=True)
class Outline:
    """Corners, counter-clockwise, and the readings of them."""

    corners: tuple[Corner, ...]
    readings: tuple[Reading, ...]


def letters(count: int) -> tuple[Corner, ...]:
    """Return corner names A, B, ... Z, A2, B2, ..."""
    return tuple(chr(65 + i % 26) + ("" if i < 26 else str(i // 26 + 1)) for i in range(count))


def taped(
    kind: ReadingKind, corners: tuple[Corner, ...], length: Length, precision: Precision, name: str = ""
) -> Reading:
    """Return one reading; a bare number takes its sigma and instrument from ``precision``.

    Parameters
    ----------
    kind : ReadingKind
        What is measured.
    corners : tuple of str
        Where, see `ReadingKind`.
    length : float or Taped
        What was read. [m or rad]
    precision : Precision
        Standard deviations of bare numbers.
    name : str
        Name for people; the corners joined by dashes if empty.
    """
    read = length if isinstance(length, Taped) else Taped(length)
    angular = kind in {ReadingKind.ANGLE, ReadingKind.LEAN}
    sigma = read.sigma if read.sigma is not None else (precision.angle if angular else precision.length)
    tool = read.instrument or (precision.gauge if angular else precision.instrument)
    called = name or reading_name(kind, corners)
    assumed = read.assumed or tool == BY_EYE
    return Reading(kind, corners, read.value, sigma, read.written, called, tool, read.field, assumed)


def reading_name(kind: ReadingKind, corners: tuple[Corner, ...]) -> str:
    """Return the usual name of a reading: ``A-C``, ``angle at B``, ``height of C over A-B``."""
    if kind is ReadingKind.DISTANCE:
        return "-".join(corners)
    if kind is ReadingKind.ANGLE:
        return f"angle at {corners[1]} ({'-'.join(corners)})"
    if kind is ReadingKind.ALONG:
        return f"{corners[2]} along {corners[0]}-{corners[1]}"
    if kind is ReadingKind.OFFSET:
        return f"height of {corners[2]} over {corners[0]}-{corners[1]}"
    if kind is ReadingKind.LEAN:
        return f"lean of {corners[0]}-{corners[1]}"
    return f"twist at {corners[0]}"


def square_by_eye(corners: tuple[Corner, Corner, Corner], precision: Precision) -> Reading:
    """Return the weak reading that the corner in the middle of ``corners`` is square."""
    return taped(
        ReadingKind.ANGLE,
        corners,
        Taped(math.pi / 2, precision.square, "", BY_EYE),
        precision,
        f"square by eye at {corners[1]}",
    )


def by_eye_squares(corners: tuple[Corner, ...], precision: Precision) -> tuple[Reading, ...]:
    """Return three weak square corners of a four-cornered face; the fourth would follow from them and check nothing."""
    a, b, c, d = corners
    return tuple(square_by_eye(three, precision) for three in ((d, a, b), (a, b, c), (b, c, d)))


def read_key(key: str) -> tuple[ReadingKind, tuple[Corner, ...]]:
    """Return what a reading's key asks for.

    ``"A-C"`` is a distance, ``"A-B-C"`` the inside angle at B, ``"A-B lean"`` a lean, ``"A-B along C"`` and
    ``"A-B off C"`` the two parts of a station.

    Raises
    ------
    InputError
        If the key is none of these.
    """
    words = key.split()
    names = tuple(words[0].split("-")) if words else ()
    if all(names):
        match (len(names), words[1:]):
            case (2, []):
                return ReadingKind.DISTANCE, names
            case (3, []):
                return ReadingKind.ANGLE, names
            case (2, ["lean"]):
                return ReadingKind.LEAN, names
            case (2, ["along", third]):
                return ReadingKind.ALONG, (*names, third)
            case (2, ["off", third]):
                return ReadingKind.OFFSET, (*names, third)
            case _:
                pass
    raise InputError(
        f"{key!r} names no reading.",
        where=(key,),
        hint="Write A-C for a length, A-B-C for the angle at B, A-B lean, A-B along C or A-B off C.",
    )


def more_readings(
    more: Mapping[str, Length], corners: Sequence[Corner], precision: Precision, where: str = ""
) -> tuple[Reading, ...]:
    """Return the readings that ``more`` adds to a face, keys as in `read_key`.

    Raises
    ------
    InputError
        If a key names no reading or a corner that the face does not have.
    """
    out = []
    for key, length in more.items():
        kind, names = read_key(key)
        strangers = [n for n in names if n not in corners]
        if strangers or len(set(names)) != len(names):
            raise InputError(
                f"{key!r} names corner {strangers[0]!r}, which is not there."
                if strangers
                else f"{key!r} names one corner twice.",
                where=(where, key) if where else (key,),
                hint="Corners: " + ", ".join(corners) + ".",
            )
        out.append(taped(kind, names, length, precision))
    return tuple(out)


def rectangle(
    width: Length,
    height: Length | None,
    precision: Precision = USUAL,
    *,
    more: Mapping[str, Length] | None = None,
    by_eye: bool = True,
) -> Outline:
    """Return a rectangle A (lower left), B, C, D by its width A-B and its height D-A.

    Parameters
    ----------
    width, height : float or Taped
        Width along the bottom, height at the left; a None height comes from a join. [m]
    precision : Precision
        Standard deviations.
    more : Mapping
        More readings, keys as in `read_key`.
    by_eye : bool
        Add three weak square corners, so that the shape is determined although nothing checks it.
    """
    corners = letters(4)
    readings = [taped(ReadingKind.DISTANCE, ("A", "B"), width, precision)]
    if height is not None:
        readings.append(taped(ReadingKind.DISTANCE, ("D", "A"), height, precision))
    readings.extend(more_readings(more or {}, corners, precision))
    if by_eye:
        readings.extend(by_eye_squares(corners, precision))
    return Outline(corners, tuple(readings))


def triangle(
    ab: Length,
    bc: Length,
    ca: Length,
    precision: Precision = USUAL,
    *,
    more: Mapping[str, Length] | None = None,
) -> Outline:
    """Return a triangle by its three sides, A lower left, B lower right, C on top. [m]"""
    corners = letters(3)
    sides = ((("A", "B"), ab), (("B", "C"), bc), (("C", "A"), ca))
    readings = tuple(taped(ReadingKind.DISTANCE, pair, length, precision) for pair, length in sides)
    return Outline(corners, readings + more_readings(more or {}, corners, precision))


def polygon(
    readings: Mapping[str, Length], precision: Precision = USUAL, *, corners: Sequence[Corner] | None = None
) -> Outline:
    """Return any polygon by sides, diagonals and angles, keys as in `read_key`.

    Corners are those that the readings name, in the order of the alphabet, unless ``corners`` gives the order.
    """
    if corners is None:
        named = {name for key in readings for name in read_key(key)[1]}
        corners = sorted(named, key=lambda n: (len(n), n))
    return Outline(tuple(corners), more_readings(readings, corners, precision))


def stations(
    base: Length,
    heights: Sequence[tuple[Length, Length]],
    precision: Precision = USUAL,
    *,
    more: Mapping[str, Length] | None = None,
) -> Outline:
    """Return a face with a sloping or wavy top by heights read off along its base line A-B.

    Parameters
    ----------
    base : float or Taped
        Length of the base line A-B. [m]
    heights : sequence of (along, height)
        Stations from left to right: distance from A along the base, height square to it. [m]
    precision : Precision
        Standard deviations.
    more : Mapping
        More readings, keys as in `read_key`.

    Returns
    -------
    Outline
        A, B, then the tops from right to left, so that the outline runs counter-clockwise.

    Raises
    ------
    InputError
        If there is no station, or the stations do not run from left to right.
    """
    places = [a.value if isinstance(a, Taped) else a for a, _ in heights]
    if not places or any(b <= a for a, b in itertools.pairwise(places)):
        raise InputError(
            "Stations must run from left to right, each farther along than the one before.",
            where=("stations",),
            hint="Put them in the order in which the tape passes them; the ends count as stations too.",
        )
    corners = letters(2 + len(heights))
    readings = [taped(ReadingKind.DISTANCE, ("A", "B"), base, precision)]
    for number, (corner, (along, height)) in enumerate(zip(reversed(corners[2:]), heights, strict=True), start=1):
        at = ("A", "B", corner)
        readings.append(taped(ReadingKind.ALONG, at, along, precision, f"station {number} along"))
        readings.append(taped(ReadingKind.OFFSET, at, height, precision, f"station {number} height"))
    return Outline(corners, (*readings, *more_readings(more or {}, corners, precision)))
