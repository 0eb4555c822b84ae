"""Shorthands: a niche box, a knee-wall run, a gable ... written in a few numbers, expanded to plain faces and joins.

Every function returns `Expanded`; the faces and joins are ordinary ones that the user may override. Each length that
was read once becomes one reading on one face: its neighbours get it through the joins, so no number checks itself.
"""

from __future__ import annotations

from collections.abc import Mapping

from snugbay.job.expanded import (
    OUTSIDE_CORNER,
    PLAIN,
    PLUMB,
    Common,
    Expanded,
    Plan,
    by_face,
    joined_rectangle,
)
from snugbay.job.field_sheets import AskedReading, FieldSheet, SheetFace, field_readings, sheet_kinds
from snugbay.job.outlines import (
    USUAL,
    Length,
    Precision,
    Taped,
    rectangle,
)
from snugbay.job.roofs import dormer_cheek, gable_triangle, rafter_slope
from snugbay.job.surfaces import Join, Part
from snugbay.job.walls import cellar_wall, knee_wall_run, rim_joist_row

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
        Join(
            f"{id}-{a}",
            ea,
            f"{id}-{b}",
            eb,
            OUTSIDE_CORNER,
            sigma=precision.join,
            name=f"{a} to {b}",
            gauged=False,
        )
        for a, ea, b, eb in edges
    )
    return Expanded(tuple(faces), joins, ("Faces and corners of the box taken as square by eye.",))
