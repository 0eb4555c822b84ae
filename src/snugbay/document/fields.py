"""Field types at the edge: text in the user's own notation, read once into SI."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainSerializer,
    ValidationInfo,
    WithJsonSchema,
)

from snugbay.base import InputError
from snugbay.tape import Length, parse_angle, parse_length, parse_r_value, parse_temperature


class Doc(BaseModel):
    """Base of the document's models: no unknown fields, frozen."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)


Number = Annotated[float, Field(strict=True)]
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


def _length(raw: Any, info: ValidationInfo) -> Length:
    if isinstance(raw, Length):
        return raw
    try:
        return parse_length(raw, _unit(info))
    except InputError as error:
        raise ValueError(str(error)) from error
    except (TypeError, AttributeError) as error:
        raise ValueError(f"{raw!r} is not a length. Write it as 7' 4-1/2\" or 2.25 m.") from error


def _written(read: Any, raw: Any) -> Written:
    if isinstance(raw, Written):
        return raw
    if not isinstance(raw, (str, int, float)):
        raise ValueError(f"{raw!r} is not a number or a text.")
    try:
        return Written(value=read(raw), written=raw)
    except InputError as error:
        raise ValueError(str(error)) from error


def _temperature(raw: Any, info: ValidationInfo) -> Written:
    unit = "F" if (info.context or {}).get("units") == "ft-in" else "C"
    return _written(lambda r: parse_temperature(r, unit), raw)


def _r_value(raw: Any, info: ValidationInfo) -> Written:
    unit = "IP" if (info.context or {}).get("units") == "ft-in" else "SI"
    return _written(lambda r: parse_r_value(r, unit), raw)


def _bare(length: Length) -> str | int:
    """Write a length back as the user wrote it; whole numbers stay numbers."""
    return int(length.written) if length.written.isdigit() else length.written


_TEXT_OR_NUMBER = {"anyOf": [{"type": "string"}, {"type": "number"}]}

Tape = Annotated[
    Length,
    BeforeValidator(_length),
    PlainSerializer(_bare),
    WithJsonSchema({**_TEXT_OR_NUMBER, "title": "length", "examples": ["7' 4-1/2\"", "2.25 m", 1840]}),
]
"""A length in any notation; a number without a unit is inches or millimetres, by the job's units."""

Degrees = Annotated[
    Written,
    BeforeValidator(lambda raw: _written(parse_angle, raw)),
    PlainSerializer(lambda w: w.written),
    WithJsonSchema({**_TEXT_OR_NUMBER, "title": "angle", "examples": [90, "33.5 deg", "9/12"]}),
]
"""An angle in degrees or as a roof pitch."""

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
