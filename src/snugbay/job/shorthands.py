"""Shorthands: a niche box, a knee-wall run, a gable ... written in a few numbers, expanded to plain faces and joins.

Every function returns `Expanded`; the faces and joins are ordinary ones that the user may override. Each length that
was read once becomes one reading on one face: its neighbours get it through the joins, so no number checks itself.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from snugbay.base import InputError
from snugbay.job.expanded import (
    INSIDE_CORNER,
    MASONRY,
    OUTSIDE_CORNER,
    PLAIN,
    PLUMB,
    Common,
    Expanded,
    Plan,
    by_face,
    joined_rectangle,
    squares_note,
    value_of,
)
from snugbay.job.field_sheets import AskedReading, FieldSheet, SheetFace, field_readings, sheet_kinds
from snugbay.job.outlines import (
    BY_EYE,
    USUAL,
    Length,
    Outline,
    Precision,
    Taped,
    more_readings,
    rectangle,
    stations,
    taped,
)
from snugbay.job.surfaces import Corner, Framing, Join, Opening, Part, Reading, ReadingKind

__all__ = [
    "AskedReading",
    "Common",
    "Expanded",
    "FieldSheet",
    "Length",
    "Precision",
    "SheetFace",
    "Taped",
    "cellar_wall",
    "dormer_cheek",
    "field_readings",
    "gable_triangle",
    "knee_wall_run",
    "niche_box",
    "rafter_slope",
    "rim_joist_row",
    "sheet_kinds",
]


def niche_box(
    *,
    id: str,
    title: str = "",
    width: Length,
    height: Length,
    depth: Length,
    warm: str,
    cold: str,
    board_side: str | None = None,
    top: bool = True,
    bottom: bool = True,
    more: Mapping[str, Length] | None = None,
    precision: Precision = USUAL,
    common: Common = PLAIN,
) -> Expanded:
    """Return the faces of a box that pokes into a cold space, seen from the cold side where the boards go.

    Parameters
    ----------
    id, title : str
        Names; faces get ``-back``, ``-left``, ``-right``, ``-top``, ``-bottom``. Left and right are those of a person
        who stands in the cold space and looks at the back.
    width, height, depth : float or Taped
        Outside of the box: back A-B, back D-A, left side A-B. [m]
    warm, cold : str
        Zone ids.
    board_side : str or None
        Zone the boards are fitted from; None takes ``cold``.
    top, bottom : bool
        False where the box has no top (it runs to the slope) or stands on the floor.
    more : Mapping
        More readings by face: ``{"back A-C": 1.35, "right A-B": 0.61}``, keys as in `read_key`. [m or rad]
    precision : Precision
        Standard deviations of bare numbers.
    common : Common
        What the faces share.

    Raises
    ------
    UnknownName, InputError
        If a key of ``more`` names no face or no reading.
    """
    plan = Plan(id, title or id, warm, cold, board_side or cold, common, "niche-box")
    names = ["back", "left", "right", *(["top"] if top else []), *(["bottom"] if bottom else [])]
    extra = by_face(more, names)
    back = rectangle(width, height, precision, more=extra["back"])
    left = joined_rectangle(extra["left"], precision, width=depth)
    right = joined_rectangle(extra["right"], precision, width=None if top or bottom else depth)
    faces = [
        plan.face("back", Part.BOX_BACK, PLUMB, back),
        plan.face("left", Part.BOX_SIDE, PLUMB, left),
        plan.face("right", Part.BOX_SIDE, PLUMB, right),
    ]
    ab, bc, cd, da = ("A", "B"), ("B", "C"), ("C", "D"), ("D", "A")
    edges = [("back", da, "left", bc), ("back", bc, "right", da)]
    if top:
        faces.append(plan.face("top", Part.BOX_TOP, 0.0, joined_rectangle(extra["top"], precision)))
        edges += [("back", cd, "top", ab), ("left", cd, "top", da), ("right", cd, "top", bc)]
    if bottom:
        under = joined_rectangle(extra["bottom"], precision)
        faces.append(plan.face("bottom", Part.BOX_BOTTOM, 0.0, under, overhead=True))
        edges += [("back", ab, "bottom", cd), ("left", ab, "bottom", da), ("right", ab, "bottom", bc)]
    joins = tuple(
        Join(f"{id}-{a}", ea, f"{id}-{b}", eb, OUTSIDE_CORNER, sigma=precision.join, name=f"{a} to {b}")
        for a, ea, b, eb in edges
    )
    return Expanded(tuple(faces), joins, ("Faces and corners of the box taken as square by eye.",))


def knee_wall_run(
    *,
    id: str,
    title: str = "",
    length: Length,
    height: Length,
    height_right: Length | None = None,
    heights: Sequence[tuple[Length, Length]] = (),
    floor: Length | None = None,
    warm: str,
    cold: str,
    board_side: str | None = None,
    more: Mapping[str, Length] | None = None,
    precision: Precision = USUAL,
    common: Common = PLAIN,
) -> Expanded:
    """Return a run of knee wall, and the eaves floor in front of it if wanted, seen from the cold side.

    Parameters
    ----------
    length : float or Taped
        Along the bottom, A-B. [m]
    height, height_right : float or Taped
        At the left end (D-A) and, if taken, at the right end (B-C). [m]
    heights : sequence of (along, height)
        Stations for a sloping or wavy top; ``height`` and ``height_right`` are then the ends' own stations. [m]
    floor : float or Taped or None
        Depth of the eaves floor in front of the wall; None leaves the floor out. [m]
    id, title, warm, cold, board_side, more, precision, common
        As in `niche_box`; faces are ``wall`` and ``floor`` where there is a floor.

    Raises
    ------
    UnknownName, InputError
        If a key of ``more`` names no reading, or stations do not run from left to right.
    """
    plan = Plan(id, title or id, warm, cold, board_side or cold, common, "knee-wall-run")
    if floor is None:
        more = {key if key.startswith("wall ") else f"wall {key}": length for key, length in (more or {}).items()}
    extra = by_face(more, ["wall", "floor"])
    if heights:
        ends = [(0.0, height), *heights]
        if height_right is not None:
            ends.append((value_of(length), height_right))
        wall = stations(length, ends, precision, more=extra["wall"])
    else:
        if height_right is not None:
            extra["wall"] = {"B-C": height_right, **extra["wall"]}
        wall = rectangle(length, height, precision, more=extra["wall"])
    if floor is None:
        return Expanded((plan.face("", Part.KNEE_WALL, PLUMB, wall),), (), squares_note(wall))
    ground = joined_rectangle({"B-C": floor, **extra["floor"]}, precision)
    faces = (plan.face("wall", Part.KNEE_WALL, PLUMB, wall), plan.face("floor", Part.FLOOR, 0.0, ground))
    join = Join(
        f"{id}-wall",
        ("A", "B"),
        f"{id}-floor",
        ("C", "D"),
        INSIDE_CORNER,
        sigma=precision.join,
        name="knee wall to eaves floor",
    )
    return Expanded(faces, (join,), squares_note(wall))


def gable_triangle(
    *,
    id: str,
    title: str = "",
    base: Length,
    left: Length | None = None,
    right: Length | None = None,
    height: Length | None = None,
    peak: Length | None = None,
    warm: str,
    cold: str,
    board_side: str | None = None,
    more: Mapping[str, Length] | None = None,
    precision: Precision = USUAL,
    common: Common = PLAIN,
) -> Expanded:
    """Return a triangular gable: base A-B, peak C.

    Parameters
    ----------
    base : float or Taped
        Along the bottom, A-B. [m]
    left, right : float or Taped or None
        The rakes C-A and B-C. [m]
    height, peak : float or Taped or None
        Height of the peak over the base, and where its foot lies along the base from A. [m]
    id, title, warm, cold, board_side, more, precision, common
        As in `niche_box`; one face, keys of ``more`` without a face; boards from the warm side unless said.

    Raises
    ------
    InputError
        If fewer than two of left, right, height and peak are given.
    """
    plan = Plan(id, title or id, warm, cold, board_side or warm, common, "gable-triangle")
    corners: tuple[Corner, ...] = ("A", "B", "C")
    over = ("A", "B", "C")
    given = (
        (ReadingKind.DISTANCE, ("B", "C"), right, "right rake"),
        (ReadingKind.DISTANCE, ("C", "A"), left, "left rake"),
        (ReadingKind.OFFSET, over, height, "height of the peak"),
        (ReadingKind.ALONG, over, peak, "peak along the base"),
    )
    readings = [taped(ReadingKind.DISTANCE, ("A", "B"), base, precision, "base")]
    readings += [taped(kind, at, v, precision, name) for kind, at, v, name in given if v is not None]
    if len(readings) < 3 and not more:
        raise InputError(
            f"Gable {id!r} has its base and too little else.",
            hint="Give two of: left rake, right rake, height of the peak, where the peak stands along the base.",
        )
    outline = Outline(corners, (*readings, *more_readings(more or {}, corners, precision)))
    return Expanded((plan.face("", Part.GABLE, PLUMB, outline),))


def rafter_slope(
    *,
    id: str,
    title: str = "",
    width: Length,
    rafter: Length,
    pitch: float,
    spacing: float | None = None,
    rafter_width: float = 0.038,
    rafter_depth: float = 0.14,
    first: float = 0.0,
    warm: str,
    cold: str,
    board_side: str | None = None,
    more: Mapping[str, Length] | None = None,
    precision: Precision = USUAL,
    common: Common = PLAIN,
) -> Expanded:
    """Return a rafter slope seen from below, y up the slope, its bays open to the fitter.

    Parameters
    ----------
    width : float or Taped
        Along the eaves, A-B. [m]
    rafter : float or Taped
        Along the left rafter, D-A. [m]
    pitch : float
        Angle of the slope from level. [rad]
    spacing : float or None
        Rafters centre to centre; None takes the framing of ``common``. [m]
    rafter_width, rafter_depth, first : float
        Width and depth of a rafter, centre of the first one from the left. [m]
    id, title, warm, cold, board_side, more, precision, common
        As in `gable_triangle`.
    """
    if spacing is not None:
        framing = Framing(spacing, rafter_width, rafter_depth, "up", first, True)
        common = replace(common, framing=framing)
    plan = Plan(id, title or id, warm, cold, board_side or warm, common, "rafter-slope")
    outline = rectangle(width, rafter, precision, more=more)
    face = plan.face("", Part.SLOPE, pitch, outline, overhead=True)
    return Expanded((face,), (), squares_note(outline))


def dormer_cheek(
    *,
    id: str,
    title: str = "",
    front: Length,
    top: Length,
    rake: Length,
    back: Length | None = None,
    hand: str = "left",
    warm: str,
    cold: str,
    board_side: str | None = None,
    more: Mapping[str, Length] | None = None,
    precision: Precision = USUAL,
    common: Common = PLAIN,
) -> Expanded:
    """Return a dormer cheek: plumb front edge, top edge, rake along the main roof, and a back edge if it has one.

    Parameters
    ----------
    front, top, rake : float or Taped
        The plumb edge at the dormer's front, the top edge, the lower edge along the roof. [m]
    back : float or Taped or None
        The plumb edge at the back; None for a triangle. A diagonal in ``more`` then fixes the shape; without one
        the corner between front and top is taken as square by eye. [m]
    hand : str
        ``"left"`` where the plumb front edge is at the left of the fitter, ``"right"`` at the right.
    id, title, warm, cold, board_side, more, precision, common
        As in `gable_triangle`.

    Notes
    -----
    Hand left: A foot of the front edge, then along the rake, the last corner is the head of the front edge. Hand
    right: B foot of the front edge, C its head. The front edge counts as plumb by eye.

    Raises
    ------
    InputError
        If ``hand`` is neither left nor right.
    """
    if hand not in {"left", "right"}:
        raise InputError(
            f"A cheek's hand is left or right, not {hand!r}.", where=("hand",), hint='Write hand = "left" or "right".'
        )
    plan = Plan(id, title or id, warm, cold, board_side or warm, common, "dormer-cheek")
    corners: tuple[Corner, ...] = ("A", "B", "C") if back is None else ("A", "B", "C", "D")
    last = corners[-1]
    if hand == "left":
        foot, head, low, high = "A", last, "B", (last if back is None else "C")
        far = low if back is None else high
    else:
        foot, head, low, high = "B", "C", "A", ("A" if back is None else "D")
        far = high
    sides = [((foot, head), front, "front edge"), ((head, far), top, "top edge"), ((foot, low), rake, "rake")]
    if back is not None:
        sides.append(((low, high), back, "back edge"))
    readings: list[Reading] = [taped(ReadingKind.DISTANCE, at, v, precision, name) for at, v, name in sides]
    readings += more_readings(more or {}, corners, precision)
    plumb = Taped(0.0, precision.square, "", BY_EYE)
    readings.append(taped(ReadingKind.LEAN, (foot, head), plumb, precision, "front edge plumb by eye"))
    notes: tuple[str, ...] = ("The front edge is taken as plumb by eye.",)
    if back is not None and not more:
        square = Taped(math.pi / 2, precision.square, "", BY_EYE)
        at = (far, head, foot) if hand == "left" else (foot, head, far)
        readings.append(taped(ReadingKind.ANGLE, at, square, precision, f"square by eye at {head}"))
        notes += ("The corner between front and top is taken as square by eye.",)
    return Expanded((plan.face("", Part.CHEEK, PLUMB, Outline(corners, tuple(readings))),), (), notes)


def rim_joist_row(
    *,
    id: str,
    title: str = "",
    widths: Sequence[tuple[Length, int]],
    height: Length,
    warm: str,
    cold: str,
    board_side: str | None = None,
    precision: Precision = USUAL,
    common: Common = PLAIN,
) -> Expanded:
    """Return a row of rim-joist pockets, one small face for each pocket.

    Parameters
    ----------
    widths : sequence of (width, count)
        Clear width of a pocket and how many of it, from left to right; give a pocket by itself with count 1. [m]
    height : float or Taped
        Clear height of the pockets. [m]
    id, title, warm, cold, board_side, precision, common
        As in `gable_triangle`; faces are ``-01``, ``-02``, ...

    Raises
    ------
    InputError
        If a count is below 1 or there is no pocket.
    """
    if not widths or any(count < 1 for _, count in widths):
        raise InputError(
            "A row needs pockets, each width at least once.",
            where=("pockets",),
            hint="Write pockets = [{ width = 370, count = 12 }].",
        )
    plan = Plan(id, title or id, warm, cold, board_side or warm, common, "rim-joist-row")
    each = [width for width, count in widths for _ in range(count)]
    digits = max(2, len(str(len(each))))
    faces = []
    for number, width in enumerate(each, start=1):
        outline = rectangle(width, height, precision)
        face = plan.face(f"{number:0{digits}d}", Part.RIM, PLUMB, outline)
        a, b, c, d = outline.corners
        faces.append(replace(face, rough_edges=((a, b), (b, c), (c, d), (d, a))))
    return Expanded(tuple(faces), (), ("Pockets of one width share one reading; corners taken as square by eye.",))


def cellar_wall(
    *,
    id: str,
    title: str = "",
    length: Length,
    height: Length,
    height_right: Length | None = None,
    openings: Sequence[Opening] = (),
    warm: str,
    cold: str,
    board_side: str | None = None,
    more: Mapping[str, Length] | None = None,
    precision: Precision = USUAL,
    common: Common = MASONRY,
) -> Expanded:
    """Return a cellar wall with its openings, seen from inside.

    Parameters
    ----------
    length : float or Taped
        Along the floor, A-B. [m]
    height, height_right : float or Taped
        At the left end (D-A) and, if taken, at the right end (B-C). [m]
    openings : sequence of Opening
        Windows and doors, from A along the floor and up.
    id, title, warm, cold, board_side, more, precision, common
        As in `gable_triangle`.
    """
    plan = Plan(id, title or id, warm, cold, board_side or warm, common, "cellar-wall")
    extra = dict(more or {})
    if height_right is not None:
        extra = {"B-C": height_right, **extra}
    outline = rectangle(length, height, precision, more=extra)
    face = replace(plan.face("", Part.CELLAR_WALL, PLUMB, outline), openings=tuple(openings))
    return Expanded((face,), (), squares_note(outline))
