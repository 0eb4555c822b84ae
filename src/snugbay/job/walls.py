"""Shorthands of walls: a knee-wall run, a row of rim-joist pockets, a cellar wall."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from snugbay.base import InputError
from snugbay.job.expanded import (
    INSIDE_CORNER,
    MASONRY,
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
from snugbay.job.outlines import (
    USUAL,
    Length,
    Precision,
    rectangle,
    stations,
)
from snugbay.job.surfaces import Join, Opening, Part


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
        try:
            wall = stations(length, ends, precision, more=extra["wall"])
        except InputError as error:
            error.where = tuple("heights" if step == "stations" else step for step in error.where)
            raise
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
        gauged=False,
        name="knee wall to eaves floor",
    )
    return Expanded(faces, (join,), squares_note(wall))


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
