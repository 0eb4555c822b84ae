"""Shorthands under a roof: a gable triangle, a rafter slope, a dormer cheek."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from snugbay.base import InputError
from snugbay.job.expanded import (
    PLAIN,
    PLUMB,
    Common,
    Expanded,
    Plan,
    squares_note,
)
from snugbay.job.outlines import (
    BY_EYE,
    USUAL,
    Length,
    Outline,
    Precision,
    Taped,
    more_readings,
    rectangle,
    taped,
)
from snugbay.job.surfaces import Corner, Framing, Part, Reading, ReadingKind


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
