"""Field types at the edge: text in the user's own notation, read once into SI."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Annotated, Any

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainSerializer,
    PlainValidator,
    ValidationInfo,
    WithJsonSchema,
)

from snugbay.base import InputError
from snugbay.tape import Length, parse_angle, parse_length, parse_r_value, parse_temperature


class Doc(BaseModel):
    """Base of the document's models: no unknown fields, frozen."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)


Number = Annotated[float, Field(strict=True, allow_inf_nan=False)]
"""A number; no text and no true or false in its place."""

Whole = Annotated[int, Field(strict=True)]
"""A whole number."""

Truth = Annotated[bool, Field(strict=True)]
"""true or false."""


class Written(Doc):
    """A quantity as written, and what it means in SI."""

    model_config = ConfigDict(frozen=True, arbitrary_types_allowed=True)
    value: float
    written: str | int | float

    def __float__(self) -> float:
        return self.value


def _unit(info: ValidationInfo) -> str:
    return "in" if (info.context or {}).get("units") == "ft-in" else "mm"


LONGEST_SIDE = 100.0
"""No side of a job that is taped is longer. [m]"""


def _length(raw: Any, info: ValidationInfo) -> Length:
    if isinstance(raw, Length):
        return raw
    if not isinstance(raw, (str, int, float)) or isinstance(raw, bool):
        shown = {True: "true", False: "false"}.get(raw, "This") if isinstance(raw, bool) else "This"
        raise InputError(f"{shown} is not a length.", hint="Write it as 7' 4-1/2\", 88 1/2, 2.25 m or 1840 mm.")
    return parse_length(raw, _unit(info))


def _size(length: Length) -> Length:
    if not 0 < float(length) < LONGEST_SIDE:
        raise InputError(
            f"{length.written} is no size that a house has.",
            hint="Sizes are above 0 and below 100 m; check number and unit.",
        )
    return length


def _written(read: Callable[[Any], float], raw: Any, what: str) -> Written:
    if isinstance(raw, Written):
        return raw
    if not isinstance(raw, (str, int, float)) or isinstance(raw, bool):
        raise InputError(f"This is not {what}.", hint="Write a number, or text with its unit in quotes.")
    return Written(value=read(raw), written=raw)


def _temperature(raw: Any, info: ValidationInfo) -> Written:
    unit = "F" if (info.context or {}).get("units") == "ft-in" else "C"
    return _written(lambda r: parse_temperature(r, unit), raw, "a temperature")


def _r_value(raw: Any, info: ValidationInfo) -> Written:
    unit = "IP" if (info.context or {}).get("units") == "ft-in" else "SI"
    return _written(lambda r: parse_r_value(r, unit), raw, "a resistance")


def _bare(length: Length) -> str | int:
    """Write a length back as the user wrote it; whole numbers stay numbers."""
    return int(length.written) if length.written.isdigit() else length.written


_TEXT_OR_NUMBER = {"anyOf": [{"type": "string"}, {"type": "number"}]}


def _raw(raw: Any) -> str | int | float:
    if isinstance(raw, bool) or not isinstance(raw, (str, int, float)):
        raise InputError("This is not a reading.", hint="Write a number, or text with its unit in quotes.")
    return raw


Raw = Annotated[str | int | float, PlainValidator(_raw), WithJsonSchema(_TEXT_OR_NUMBER)]
"""A reading whose kind only its key tells: text or number as it stands."""

Tape = Annotated[
    Length,
    BeforeValidator(_length),
    PlainSerializer(_bare),
    WithJsonSchema({**_TEXT_OR_NUMBER, "title": "length", "examples": ["7' 4-1/2\"", "2.25 m", 1840]}),
]
"""A length in any notation; a number without a unit is inches or millimetres, by the job's units."""

Size = Annotated[Tape, AfterValidator(_size)]
"""A length that is more than nothing."""

Degrees = Annotated[
    Written,
    BeforeValidator(lambda raw: _written(parse_angle, raw, "an angle")),
    PlainSerializer(lambda w: w.written),
    WithJsonSchema({**_TEXT_OR_NUMBER, "title": "angle", "examples": [90, "33.5 deg", "9/12"]}),
]
"""An angle in degrees or as a roof pitch."""


def _slope(angle: Written) -> Written:
    if not 0.0 <= angle.value <= math.pi / 2:
        raise InputError(
            f"{angle.written} is no slope.",
            hint="Measure from the level: between 0 and 90 degrees, or a pitch as 9/12.",
        )
    return angle


Slope = Annotated[Degrees, AfterValidator(_slope)]
"""The angle of a face from the level."""

Temp = Annotated[
    Written,
    BeforeValidator(_temperature),
    PlainSerializer(lambda w: w.written),
    WithJsonSchema({**_TEXT_OR_NUMBER, "title": "temperature", "examples": ["68 F", "20 C"]}),
]
"""A temperature; without a unit °F in ft-in jobs and °C in mm jobs."""

RValue = Annotated[
    Written,
    BeforeValidator(_r_value),
    PlainSerializer(lambda w: w.written),
    WithJsonSchema({**_TEXT_OR_NUMBER, "title": "thermal resistance", "examples": ["R-13", "2.3 m2K/W"]}),
]
"""A thermal resistance; without a unit R (IP) in ft-in jobs and m²K/W in mm jobs."""
