"""Shorthands as a user writes them; `job.shorthands` expands them."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from snugbay.document.fields import Doc, Raw, RValue, Size, Slope, Tape, Truth, Whole
from snugbay.document.outline import EdgeName, HoleDoc, Instrument, Name, NotchDoc, OpeningDoc, StationDoc

More = Annotated[
    dict[str, Raw],
    Field(description='More readings: {"A-C" = "9\' 3", "A-B-C" = 91.5, "A-B lean" = 1}; boxes start with the face.'),
]


class LayerDoc(Doc):
    """One existing layer."""

    material: str = Field(description="One of the names under Materials.")
    thickness: Size | None = None
    between_framing: Truth = False
    r: RValue | None = None


class FramingDoc(Doc):
    """Studs, rafters or joists."""

    spacing: Size
    width: Size
    depth: Size
    direction: Literal["up", "across"] = "up"
    first: Tape | None = None
    exposed: Truth = True


class SurfaceFields(Doc):
    """What a face and a shorthand have in common."""

    layers: list[LayerDoc] = Field(default_factory=list, description="What is there now, warm side first.")
    framing: FramingDoc | None = None
    fasten_to: Literal["wood", "masonry", "gypsum", "metal", "none"] | None = None
    depth: Size | None = Field(None, description="Depth available.")
    headroom: Size | None = None
    vent_space: Truth | None = None
    in_front: Literal["open niche", "drawers", "cupboard"] | None = Field(
        None, description="What stands built in before it on the warm side; a closed front keeps the room's warmth off."
    )
    old_insulation: Truth | None = None
    must: str = Field("", description="The way that the face must get, one of the names under Ways.")
    never: list[str] = Field(default_factory=list, description="Ways that it must not get.")


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
    width: Size
    height: Size
    depth_of_box: Size
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
    length: Size
    height: Size
    height_right: Size | None = None
    heights: list[StationDoc] = Field(default_factory=list)
    floor: Size | None = None


class GableDoc(ShapeBase):
    """A triangular gable."""

    shape: Literal["gable triangle"]
    base: Size
    left: Size | None = None
    right: Size | None = None
    height: Size | None = None
    peak: Tape | None = None


class SlopeDoc(ShapeBase):
    """A rafter slope seen from below."""

    shape: Literal["rafter slope"]
    width: Size
    rafter: Size
    pitch: Slope


class CheekDoc(ShapeBase):
    """A dormer cheek."""

    shape: Literal["dormer cheek"]
    front: Size
    top: Size
    rake: Size
    back: Size | None = None
    hand: Literal["left", "right"] = "left"


class PocketDoc(Doc):
    """Rim-joist pockets of one width."""

    width: Size
    count: Annotated[Whole, Field(ge=1, le=200)] = 1


class RimDoc(ShapeBase):
    """A row of rim-joist pockets."""

    shape: Literal["rim joist row"]
    height: Size
    pockets: Annotated[list[PocketDoc], Field(min_length=1)]


class CellarWallDoc(ShapeBase):
    """A cellar wall with its openings."""

    shape: Literal["cellar wall"]
    length: Size
    height: Size
    height_right: Size | None = None
    openings: list[OpeningDoc] = Field(default_factory=list)


ShapeDoc = Annotated[
    NicheBoxDoc | KneeWallDoc | GableDoc | SlopeDoc | CheekDoc | RimDoc | CellarWallDoc, Field(discriminator="shape")
]
