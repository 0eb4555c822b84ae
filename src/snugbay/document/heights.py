"""Working height and height of spaces where nobody wrote them: from what else the document says of how high it is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from snugbay.document.models import JobDoc
from snugbay.document.outline import RectangleDoc
from snugbay.document.shapes import KneeWallDoc, NicheBoxDoc
from snugbay.job import Part

STANDING = 2.0
"""Working height where nothing limits it. [m]"""
LOW_SPACE = 1.0
"""Height of a buffer space of which nothing is known (assumption). [m]"""


@dataclass(frozen=True)
class Height:
    """A height that is assumed, as it is listed.

    Attributes
    ----------
    metres : float
        [m]
    why : str
        What it comes from.
    """

    metres: float
    why: str


UPRIGHT = Height(STANDING, "standing height")


def headrooms(doc: JobDoc) -> Mapping[str, Height]:
    """Return the working height of every zone in which nobody can be taken to stand.

    Notes
    -----
    A space is no higher than its own ``height``; where the way in leads to it, work is done under the clear height
    behind it. The way in leads to the buffer spaces, or, where there are none, to the room. A buffer space of which
    nothing is said is as high as the highest thing that stands in it, and low where nothing does.
    """
    standing = zone_heights(doc)
    buffers = {zone.id for zone in doc.zones if zone.kind == "buffer"}
    found = {}
    for zone in doc.zones:
        if zone.kind not in ("buffer", "inside"):
            continue
        given = []
        if zone.height is not None:
            given.append((float(zone.height), f"the height of {zone.id}"))
        if doc.access is not None and doc.access.clear_height is not None and (zone.id in buffers or not buffers):
            given.append((float(doc.access.clear_height), "the clear height behind the way in"))
        if zone.id in buffers and zone.height is None:
            usual = standing.get(zone.id, Height(LOW_SPACE, "a low space: nothing says how high it is"))
            given.append((usual.metres, usual.why))
        low = min(given, default=(STANDING, ""))
        if low[0] < STANDING:
            tells = "; where its floor and roof are among the faces, they tell" if zone.id in buffers else ""
            found[zone.id] = Height(low[0], low[1] + tells)
    return found


def zone_heights(doc: JobDoc) -> Mapping[str, Height]:
    """Return the height of every buffer space that things with a height of their own stand in: the highest of them."""
    found = {}
    for zone in doc.zones:
        known = list(_standing_in(doc, zone.id)) if zone.kind == "buffer" else []
        if known:
            high, what = max(known)
            found[zone.id] = Height(high, f"as high as {what}")
    return found


def _standing_in(doc: JobDoc, zone: str) -> Iterator[tuple[float, str]]:
    buffers = [z.id for z in doc.zones if z.kind == "buffer"]
    if doc.access is not None and doc.access.clear_height is not None and buffers == [zone]:
        yield float(doc.access.clear_height), "the clear height behind the way in"
    for shape in doc.shapes:
        if zone in shape.between and isinstance(shape, (NicheBoxDoc, KneeWallDoc)):
            yield float(shape.height), shape.id
            if isinstance(shape, KneeWallDoc):
                more = [shape.height_right] if shape.height_right is not None else []
                yield from ((float(h), shape.id) for h in (*more, *(s.height for s in shape.heights)))
    for face in doc.faces:
        walls = (Part.KNEE_WALL, Part.BOX_SIDE, Part.BOX_BACK)
        if zone in face.between and face.part in walls and isinstance(face.outline, RectangleDoc):
            yield float(face.outline.height), face.id
