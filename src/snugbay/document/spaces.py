"""Spaces as a user writes them: one model a kind, made from the kinds' data files."""

from __future__ import annotations

from typing import Annotated, Any, Literal, Union

from pydantic import Field, create_model

from snugbay.document.fields import Degrees, Doc, Number, Raw, Size, Tape, Truth, Whole
from snugbay.document.outline import HotFields, Instrument, Name
from snugbay.document.shapes import SurfaceFields
from snugbay.job.space import PUT_KINDS, Kind, kinds
from snugbay.job.space import Number as KindNumber


class PutDoc(SurfaceFields, HotFields):
    """Something put into a space: a box, an opening, or what passes through."""

    what: Literal[PUT_KINDS]  # type: ignore[valid-type]
    id: Name | None = Field(None, description="Short name; what it is unless said.")
    title: str = ""
    on: str = Field("", description="The face it is in, by the kind's name; the usual one unless said.")
    at: Tape = Field(description="From the left end of the face's lower edge as you face it: left side of a box or "
                     "opening, centre of a pipe, duct or chimney.")  # fmt: skip
    up: Tape | None = Field(None, description="From the lower edge up the face; 0 unless said.")
    width: Size | None = None
    height: Size | None = None
    depth_of_box: Size | None = Field(None, description="How far a box stands out into the space.")
    plug: Truth | None = Field(None, description="Of an opening: true for a hatch unless said.")
    round: Truth | None = None
    more: dict[str, Raw] = Field(
        default_factory=dict, description='More readings of a box: {"back A-C" = "45", "right A-B" = "11"}.'
    )
    instrument: Instrument | None = None


class SpaceBase(Doc):
    """What all kinds of spaces have."""

    kind: str
    id: Name | None = Field(None, description="Short name; the kind's unless said.")
    title: str = ""
    within: str | None = Field(None, description="Zone it is part of; a zone of its own unless said.")
    readings: dict[str, Raw | list[Raw]] = Field(
        default_factory=dict,
        description='What was read besides: {"knee wall height at the right end" = "45 7/8"}; two readings as a list.',
    )
    behind: dict[str, str] = Field(
        default_factory=dict, description='What lies behind a face: {"left end" = "inside"}; "open" for nothing.'
    )
    names: dict[str, Name] = Field(default_factory=dict, description='Ids of faces: {"knee wall" = "K1"}.')
    put: list[PutDoc] = Field(default_factory=list, description="What is in it.")
    sure: list[str] = Field(default_factory=list, description="Numbers that are unusual and right all the same.")
    volume_m3: Number | None = Field(None, gt=0)
    air_changes: Number | None = Field(None, ge=0, le=100, description="With outdoors, as found. [1/h]")
    may_come_inside: Truth | None = None
    pipes: Truth | None = None
    storage: Truth = False
    instrument: Instrument | None = None


def _type(number: KindNumber) -> Any:
    plain = {"angle": Degrees, "count": Annotated[Whole, Field(ge=1, le=400)]}.get(number.unit)
    return plain or (Size if number.least > 0 else Tape)


def _model(kind: Kind) -> type[SpaceBase]:
    fields: dict[str, Any] = {"kind": (Literal[kind.name], ...)}
    for number in kind.numbers:
        said = number.title[0].upper() + number.title[1:] + "."
        kept = _type(number)
        fields[number.name] = (
            (kept, Field(description=said)) if number.main else (kept | None, Field(None, description=said))
        )
    name = "".join(word.capitalize() for word in kind.name.split()) + "SpaceDoc"
    made = create_model(name, __base__=SpaceBase, __module__=__name__, **fields)
    made.__doc__ = f"{kind.title}."
    return made


_MODELS = tuple(_model(kind) for kind in kinds().values())
SpaceDoc = Annotated[Union[_MODELS], Field(discriminator="kind")]  # type: ignore[valid-type] # noqa: UP007
"""A space of any kind."""
