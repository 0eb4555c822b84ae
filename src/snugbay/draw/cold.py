"""Cold spots on the face where they were read: the leak that is sought first carries the number 1."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise
from math import hypot

from shapely import Polygon

from snugbay.draw.charts import paragraph
from snugbay.draw.geometry import Point, View, bounds, middle, offset, scale_for, spot_inside
from snugbay.draw.lettering import wrapped
from snugbay.draw.scene import Anchor, Area, Disc, Group, Item, Scene, Stroke, Text
from snugbay.pieces import Piece
from snugbay.pieces.overlay import shared
from snugbay.prove import ColdSeam
from snugbay.survey import AdjustedFace

LIKELY = 0.5
"""Chance of a leak from which a spot is drawn as one."""
_APART = 0.03
"""Two pieces whose edges come nearer than this share a seam. [m]"""
_UP = frozenset({"top", "upper", "head", "ceiling", "ridge", "above", "peak"})
_DOWN = frozenset({"bottom", "lower", "floor", "sill", "foot", "below", "base"})
_RADIUS, _LINE, _EM = 3.0, 4.6, 3.6


def located(spot: str, face: AdjustedFace, pieces: Sequence[Piece] = ()) -> tuple[Point, ...]:
    """Return where a spot lies on its face, as its name says it.

    Parameters
    ----------
    spot : str
        As the user named it: a side (``"A-B"``), a corner (``"C"``), one or two pieces (``"K1-1a / K1-1b"``), or words
        (``"top left corner"``, ``"sill"``).
    face : AdjustedFace
        With its corners.
    pieces : sequence of Piece
        Of this face.

    Returns
    -------
    tuple of Point
        Two ends of a line, one point, or nothing where the name does not say where. [m]
    """
    named = [p for p in pieces if re.search(rf"(?<![\w-]){re.escape(p.id)}(?![\w-])", spot)]
    if len(named) > 1:
        return _between(named[0], named[1])
    if named:
        return (spot_inside((named[0].outline, *named[0].holes))[0],)
    corners = [w for w in re.findall(r"[A-Z]\d*", re.sub(r"[a-z]+", " ", spot)) if w in face.corners]
    if len(corners) > 1:
        return (face.point(corners[0]), face.point(corners[1]))
    if corners:
        return (face.point(corners[0]),)
    return _by_words(set(re.findall(r"[a-z]+", spot.lower())), face)


def _by_words(words: set[str], face: AdjustedFace) -> tuple[Point, ...]:
    way = (("right" in words) - ("left" in words), bool(words & _UP) - bool(words & _DOWN))
    if way == (0, 0):
        return ()
    centre = Polygon(face.points).centroid

    def along(p: Point) -> float:
        return way[0] * (p[0] - float(centre.x)) + way[1] * (p[1] - float(centre.y))

    if 0 not in way or "corner" in words:
        return (max(face.points, key=along),)
    sides = list(pairwise((*face.points, face.points[0])))
    return max(sides, key=lambda side: (round(_outward(side, way), 2), along(middle(*side))))


def _outward(side: tuple[Point, Point], way: tuple[int, int]) -> float:
    """Return how far a side looks that way: corners run counter-clockwise, so that out is to the right of a side."""
    (ax, ay), (bx, by) = side
    long = hypot(bx - ax, by - ay) or 1.0
    return (way[0] * (by - ay) - way[1] * (bx - ax)) / long


def _between(a: Piece, b: Piece) -> tuple[Point, ...]:
    """Return the line along which two pieces meet; nothing where they do not."""
    both = shared(Polygon(a.outline).buffer(_APART), Polygon(b.outline).buffer(_APART))
    if both.is_empty:
        return ()
    box = list(both.minimum_rotated_rectangle.exterior.coords)[:4]
    sides = [(box[0], box[1], box[2], box[3]), (box[1], box[2], box[3], box[0])]
    p, q, r, s = min(sides, key=lambda c: hypot(c[0][0] - c[1][0], c[0][1] - c[1][1]))
    return (middle(p, q), middle(r, s))


def cold_spots(
    face: AdjustedFace,
    pieces: Sequence[Piece],
    seams: Sequence[ColdSeam],
    title: str,
    nowhere: str,
    width: float = 120.0,
) -> Scene:
    """Draw a face with the cold spots that were read on it, the likeliest leak first.

    Parameters
    ----------
    face : AdjustedFace
        As surveyed.
    pieces : sequence of Piece
        On this face; their seams are drawn thin.
    seams : sequence of ColdSeam
        Of this face, likeliest leak first.
    title : str
        Name of the face for people.
    nowhere : str
        What is said of a spot whose name does not tell where it is.
    width : float
        Of the drawing. [mm]
    """
    left, low, right, high = bounds(face.points)
    mm = 1000 / scale_for((right - left, high - low), (width - 24.0, 84.0))
    top = 17.0
    foot = top + mm * (high - low)
    view = View(mm, width / 2 - mm * (left + right) / 2, foot + mm * low)
    outline = view.all(face.points)
    own = [p for p in pieces if p.face == face.id]
    items: list[Item] = [
        Text((0, 4.0), title, 5.4, anchor=Anchor.START, bold=True),
        Group((Area((outline,), "board"),), "face", face.id, title),
        *(Stroke(view.all((*p.outline, p.outline[0])), "faint") for p in own),
        *_corner_names(face, outline),
    ]
    y = foot + 16.0
    taken: list[Point] = []
    for number, seam in enumerate(seams, start=1):
        place = view.all(located(seam.spot, face, own))
        likely = seam.chance >= LIKELY
        if place:
            items.append(_spot(number, seam, place, likely, taken))
        words = f"{seam.spot}: {seam.text}" + ("" if place else f" {nowhere}")
        items += [_badge(number, (_RADIUS + 0.5, y), likely), *paragraph(words, (10.0, y), width - 10.0, _EM)]
        y += max(2 * _RADIUS + 1.5, 1.35 * _EM * len(wrapped(words, width - 10.0, _EM)) + 2.5)
    return Scene(width, y, tuple(items), title, " ".join(f"{s.spot}: {s.text}" for s in seams))


def _corner_names(face: AdjustedFace, outline: Sequence[Point]) -> list[Item]:
    cx = sum(x for x, _ in outline) / len(outline)
    cy = sum(y for _, y in outline) / len(outline)
    made: list[Item] = []
    for name, at in zip(face.corners, outline, strict=True):
        far = hypot(at[0] - cx, at[1] - cy) or 1.0
        made.append(Text(offset(at, ((at[0] - cx) / far, (at[1] - cy) / far), 6.4), name, 4.6, "ink-halo", bold=True))
    return made


def _spot(number: int, seam: ColdSeam, place: Sequence[Point], likely: bool, taken: list[Point]) -> Group:
    """Draw a spot with its number; numbers that would lie on each other move along their line."""
    line = (Stroke(tuple(place), "crayon-line" if likely else "chalk-line"),) if len(place) > 1 else ()
    ends = place if len(place) > 1 else (place[0], offset(place[0], (1.0, 0.0), 40.0))
    shares = (0.5, 0.3, 0.7, 0.15, 0.85) if line else (0.0, 0.18, 0.36, 0.54)
    spots = [middle(ends[0], ends[1], s) for s in shares]
    at = next((s for s in spots if all(hypot(s[0] - t[0], s[1] - t[1]) > 2 * _RADIUS + 0.4 for t in taken)), spots[0])
    taken.append(at)
    return Group((*line, _badge(number, at, likely)), "spot", seam.spot, seam.text)


def _badge(number: int, at: Point, likely: bool) -> Group:
    """Return a number in a ring: filled for a likely leak, hollow for what the shape explains."""
    look, ink = ("crayon-solid", "paper-text") if likely else ("number", "ink")
    return Group((Disc(at, _RADIUS, look), Text(at, str(number), 3.8, ink, bold=True)), "mark", str(number))
