"""Outlines and readings, joins and interruptions as a user writes them."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, StringConstraints, model_validator

from snugbay.document.fields import Degrees, Doc, Number, Size, Tape, Truth, Whole
from snugbay.job import HotThing

NAME_PATTERN = r"^[A-Za-z0-9][A-Za-z0-9 _.\-]*$"
CORNER_PATTERN = r"^[A-Z][0-9]*$"
EDGE_PATTERN = r"^[A-Z][0-9]*-[A-Z][0-9]*$"
ANGLE_PATTERN = r"^[A-Z][0-9]*-[A-Z][0-9]*-[A-Z][0-9]*$"

Name = Annotated[str, StringConstraints(min_length=1, max_length=40, pattern=NAME_PATTERN)]
"""A short name: letters, digits, spaces, dots and dashes."""

EdgeName = Annotated[str, StringConstraints(pattern=EDGE_PATTERN)]
"""An edge by its two corners: ``"A-B"``."""

CornerName = Annotated[str, StringConstraints(pattern=CORNER_PATTERN)]
Instrument = Literal[
    "tape", "tape hooked", "tape by hand", "laser", "rule", "bevel gauge", "protractor", "spirit level", "by eye"
]


READING_KINDS = ("side", "diagonal", "angle", "square", "along", "offset", "plumb", "level", "twist")
"""Fields of a reading of which exactly one says what is measured."""


class ReadingDoc(Doc):
    """One reading; exactly one of side, diagonal, angle, square, along, offset, plumb, level, twist says what it is."""

    side: EdgeName | None = None
    diagonal: EdgeName | None = None
    angle: Annotated[str, StringConstraints(pattern=ANGLE_PATTERN)] | None = None
    square: CornerName | None = None
    along: EdgeName | None = None
    offset: EdgeName | None = None
    plumb: EdgeName | None = None
    level: EdgeName | None = None
    twist: CornerName | None = None
    to: CornerName | None = Field(None, description="Corner that an along or offset reading belongs to.")
    length: Tape | None = None
    degrees: Degrees | None = None
    instrument: Instrument | None = None
    precision: Size | None = Field(
        None, description="Standard deviation of a length reading, overrides the instrument's."
    )
    precision_degrees: Number | None = Field(None, gt=0, le=20)

    @property
    def kind(self) -> str:
        """Name of the one field that says what is measured."""
        return next(n for n in READING_KINDS if getattr(self, n) is not None)

    @model_validator(mode="after")
    def _one_kind(self) -> Self:
        given = [n for n in READING_KINDS if getattr(self, n) is not None]
        if len(given) != 1:
            raise ValueError("give exactly one of " + ", ".join(READING_KINDS) + ".")
        kind = given[0]
        if kind in ("side", "diagonal", "along", "offset", "twist") and self.length is None:
            raise ValueError(f"a {kind} reading needs a length.")
        if kind in ("along", "offset") and self.to is None:
            raise ValueError(f"an {kind} reading needs to = a corner.")
        if kind == "angle" and self.degrees is None:
            raise ValueError("an angle reading needs degrees.")
        return self


class RectangleDoc(Doc):
    """A four-sided face: corners A lower left, B lower right, C upper right, D upper left."""

    shape: Literal["rectangle"]
    width: Size = Field(description="Bottom, A-B.")
    height: Size = Field(description="Left side, D-A.")
    top: Size | None = Field(None, description="Top, C-D.")
    right: Size | None = Field(None, description="Right side, B-C.")
    diagonal: Size | None = Field(None, description="A-C.")
    other_diagonal: Size | None = Field(None, description="B-D.")
    instrument: Instrument | None = None


class TriangleDoc(Doc):
    """A triangle by its three sides: bottom A-B, right B-C, left C-A."""

    shape: Literal["triangle"]
    bottom: Size
    right: Size
    left: Size
    height: Size | None = Field(None, description="Of C square to A-B, as a check.")
    instrument: Instrument | None = None


class StationDoc(Doc):
    """One height read off at a distance along the base line."""

    at: Tape
    height: Size


class StationsDoc(Doc):
    """A level base line from A with heights read off along it: a sloping or wavy top."""

    shape: Literal["stations"]
    base: Size = Field(description="A-B, whole length of the base line.")
    stations: Annotated[list[StationDoc], Field(min_length=2, max_length=40)]
    instrument: Instrument | None = None


class PolygonDoc(Doc):
    """Any outline: corners named with letters, counter-clockwise as seen from where the board goes, and readings."""

    shape: Literal["polygon"]
    corners: Annotated[list[CornerName], Field(min_length=3, max_length=24)]
    readings: Annotated[list[ReadingDoc], Field(min_length=3, max_length=200)]
    instrument: Instrument | None = None


OutlineDoc = Annotated[RectangleDoc | TriangleDoc | StationsDoc | PolygonDoc, Field(discriminator="shape")]


class HotFields(Doc):
    """What a thing that crosses a face is, where it is hot."""

    hot: Truth = Field(False, description="A flue, lamp or hot pipe: boards and foam keep clear.")
    hot_thing: HotThing | None = Field(None, description="What it is; until said, the widest distance is kept.")
    keep_clear: Size | None = Field(None, description="Distance that its own label or plate asks for.")

    @property
    def is_hot(self) -> bool:
        """Whether anything says that it is hot."""
        return self.hot or self.hot_thing is not None or self.keep_clear is not None

    @model_validator(mode="after")
    def _hot_or_not(self) -> Self:
        if "hot" in self.model_fields_set and not self.hot and self.is_hot:
            raise ValueError("it cannot be hot = false when hot_thing or keep_clear is given: remove one of them.")
        return self


class NotchDoc(HotFields):
    """Something that crosses an edge: rafter, pipe, tie."""

    name: str = "rafter"
    edge: EdgeName
    at: Tape = Field(description="From the first corner of the edge to the near side.")
    width: Size
    depth: Size
    skew: Degrees | None = Field(None, description="Lean of the notch sides from square to the edge.")
    far_at: Tape | None = Field(None, description="Distance to the near side at the inner end, for a skew.")
    repeat: Annotated[Whole, Field(ge=1, le=60)] = 1
    every: Size | None = Field(None, description="Distance between repeated notches.")

    @model_validator(mode="after")
    def _repeats(self) -> Self:
        if self.repeat > 1 and self.every is None:
            raise ValueError("a repeated notch needs every = the distance between them.")
        if self.skew is not None and self.far_at is not None:
            raise ValueError("give the skew or far_at, not both.")
        return self


class HoleDoc(HotFields):
    """Something that passes through a face."""

    name: str = "pipe"
    x: Tape = Field(description="Centre, along the first edge from its first corner.")
    y: Tape = Field(description="Centre, square to the first edge.")
    width: Size
    height: Size | None = Field(None, description="As wide as high unless said.")
    round: Truth | None = Field(
        None, description="Unsaid: a rectangle where width and height are given, and for a chimney; else round."
    )


class OpeningDoc(Doc):
    """A hatch, door or window in a face."""

    name: str = "hatch"
    x: Tape = Field(description="Lower left corner, along the first edge from its first corner.")
    y: Tape = Field(description="Lower left corner, square to the first edge.")
    width: Size
    height: Size
    plug: Truth = False


class JoinDoc(Doc):
    """Edge of one face meets edge of another."""

    a: Annotated[
        list[str],
        Field(min_length=2, max_length=2, description='Face and edge: ["N1", "A-B"], of stations the ends.'),
    ]
    b: Annotated[list[str], Field(min_length=2, max_length=2)]
    corner: Literal["inside", "outside"] = "inside"
    angle: Degrees | None = Field(None, description="Between the two surfaces as gauged; 90 unless said.")
    runs_past: str = ""
    name: str = ""
