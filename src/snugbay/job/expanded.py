"""What shorthands expand to, and what they are built with."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from snugbay.base import UnknownName
from snugbay.job.outlines import BY_EYE, Length, Outline, Precision, Taped, rectangle
from snugbay.job.surfaces import Face, Framing, Join, Layer, Part, ReadingKind

PLUMB = math.pi / 2
INSIDE_CORNER = math.pi / 2
OUTSIDE_CORNER = 3 * math.pi / 2


@dataclass(frozen=True)
class Common:
    """What all faces of a shorthand share; fields as in `Face`."""

    layers: tuple[Layer, ...] = ()
    framing: Framing | None = None
    substrate: str = "wood"
    depth: float | None = None
    headroom: float = 2.0
    headroom_told: bool = True
    vent_space: bool = False
    in_front: str = ""
    old_insulation: bool = False
    must: str = ""
    never: tuple[str, ...] = ()


PLAIN = Common()
MASONRY = Common(substrate="masonry")


@dataclass(frozen=True)
class Expanded:
    """Plain faces and joins, and what was taken for granted, as sentences."""

    faces: tuple[Face, ...]
    joins: tuple[Join, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Plan:
    """What every face of one shorthand is built from."""

    id: str
    title: str
    warm: str
    cold: str
    board_side: str
    common: Common
    shorthand: str

    def face(self, suffix: str, part: Part, tilt: float, outline: Outline, *, overhead: bool = False) -> Face:
        """Return one face of the shorthand."""
        c = self.common
        return Face(
            id=f"{self.id}-{suffix}" if suffix else self.id,
            title=f"{self.title}, {suffix}" if suffix else self.title,
            part=part,
            warm=self.warm,
            cold=self.cold,
            board_side=self.board_side,
            tilt=tilt,
            corners=outline.corners,
            readings=outline.readings,
            overhead=overhead,
            layers=c.layers,
            framing=c.framing,
            substrate=c.substrate,
            depth=c.depth,
            headroom=c.headroom,
            headroom_told=c.headroom_told,
            vent_space=c.vent_space,
            in_front=c.in_front,
            old_insulation=c.old_insulation,
            must=c.must,
            never=c.never,
            from_shorthand=self.shorthand,
        )


def by_face(more: Mapping[str, Length] | None, names: Sequence[str]) -> dict[str, dict[str, Length]]:
    """Sort extra readings, keys ``"back A-C"``, by the face they name first."""
    out: dict[str, dict[str, Length]] = {name: {} for name in names}
    for key, length in (more or {}).items():
        head, _, rest = key.partition(" ")
        if head not in out:
            raise UnknownName(
                f"{key!r} starts with no face of this shorthand.",
                where=("more", key),
                hint="Start with one of: " + ", ".join(names) + ".",
            )
        out[head][rest] = length
    return out


def value_of(length: Length) -> float:
    """Return the number of a length, bare or as read. [m]"""
    return length.value if isinstance(length, Taped) else length


def joined_rectangle(more: Mapping[str, Length], precision: Precision, *, width: Length | None = None) -> Outline:
    """Return a rectangle whose missing sizes come from its joins."""
    whole = rectangle(width if width is not None else 1.0, None, precision, more=more)
    return whole if width is not None else replace(whole, readings=whole.readings[1:])


def squares_note(outline: Outline) -> tuple[str, ...]:
    """Return the sentence that says which corners the eye took as square."""
    corners = [r.corners[1] for r in outline.readings if r.instrument == BY_EYE and r.kind is ReadingKind.ANGLE]
    return (f"Corners {', '.join(corners)} taken as square by eye.",) if corners else ()
