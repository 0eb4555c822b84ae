"""Shorthands as a user writes them; `job.shorthands` expands them."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StrictFloat, StrictInt, StrictStr

from snugbay.document.fields import Degrees, Doc, RValue, Tape, Truth, Whole
from snugbay.document.outline import EdgeName, HoleDoc, Instrument, Name, NotchDoc, OpeningDoc, StationDoc

More = Annotated[
    dict[str, StrictStr | StrictInt | StrictFloat],
    Field(description='More readings: {"A-C" = "9\' 3", "A-B-C" = 91.5, "A-B lean" = 1}; boxes start with the face.'),
]


class LayerDoc(Doc):
    """One existing layer."""

    material: str
    thickness: Tape | None = None
    between_framing: Truth = False
    r: RValue | None = None


class FramingDoc(Doc):
    """Studs, rafters or joists."""

    spacing: Tape
    width: Tape
    depth: Tape
    direction: Literal["up", "across"] = "up"
    first: Tape | None = None
    exposed: Truth = True


class SurfaceFields(Doc):
    """What a face and a shorthand have in common."""

    layers: list[LayerDoc] = Field(default_factory=list, description="What is there now, warm side first.")
    framing: FramingDoc | None = None
    fasten_to: Literal["wood", "masonry", "gypsum", "metal", "none"] | None = None
    depth: Tape | None = Field(None, description="Depth available.")
    headroom: Tape | None = None
    vent_space: Truth | None = None
    old_insulation: Truth | None = None
    must: str = ""
    never: list[str] = Field(default_factory=list)


class DetailFields(SurfaceFields):
    """Interruptions and rough edges of one face."""

    rough_edges: list[EdgeName] | None = None
    notches: list[NotchDoc] = Field(default_factory=list)
    holes: list[HoleDoc] = Field(default_factory=list)
    openings: list[OpeningDoc] = Field(default_factory=list)


class ShapeBase(SurfaceFields):
    """What all shorthands have."""

    id: Name
    title: str = ""
    between: Annotated[list[str], Field(min_length=2, max_length=2, description="Warm zone, cold zone.")]
    board_side: str | None = None
    more: More = Field(default_factory=dict)
    instrument: Instrument | None = None


class NicheBoxDoc(ShapeBase):
    """A box that pokes into a cold space, measured on its outside."""

    shape: Literal["niche box"]
    width: Tape
    height: Tape
    depth_of_box: Tape
    fills: (
        Annotated[
            list[str],
            Field(min_length=2, max_length=2, description='Face and opening it fills: ["K1", "bookcase niche"].'),
        ]
        | None
    ) = None
    top: Truth = True
    bottom: Truth = True


class KneeWallDoc(ShapeBase):
    """A run of knee wall, and the eaves floor before it if wanted."""

    shape: Literal["knee wall"]
    length: Tape
    height: Tape
    height_right: Tape | None = None
    heights: list[StationDoc] = Field(default_factory=list)
    floor: Tape | None = None


class GableDoc(ShapeBase):
    """A triangular gable."""

    shape: Literal["gable triangle"]
    base: Tape
    left: Tape | None = None
    right: Tape | None = None
    height: Tape | None = None
    peak: Tape | None = None


class SlopeDoc(ShapeBase):
    """A rafter slope seen from below."""

    shape: Literal["rafter slope"]
    width: Tape
    rafter: Tape
    pitch: Degrees


class CheekDoc(ShapeBase):
    """A dormer cheek."""

    shape: Literal["dormer cheek"]
    front: Tape
    top: Tape
    rake: Tape
    back: Tape | None = None
    hand: Literal["left", "right"] = "left"


class PocketDoc(Doc):
    """Rim-joist pockets of one width."""

    width: Tape
    count: Annotated[Whole, Field(ge=1, le=200)] = 1


class RimDoc(ShapeBase):
    """A row of rim-joist pockets."""

    shape: Literal["rim joist row"]
    height: Tape
    pockets: Annotated[list[PocketDoc], Field(min_length=1)]


class CellarWallDoc(ShapeBase):
    """A cellar wall with its openings."""

    shape: Literal["cellar wall"]
    length: Tape
    height: Tape
    height_right: Tape | None = None
    openings: list[OpeningDoc] = Field(default_factory=list)


ShapeDoc = Annotated[
    NicheBoxDoc | KneeWallDoc | GableDoc | SlopeDoc | CheekDoc | RimDoc | CellarWallDoc, Field(discriminator="shape")
]
