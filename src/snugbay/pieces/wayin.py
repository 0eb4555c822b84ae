"""The way in: a rigid plate through a rectangular opening with a wall behind it.

The opening stands in a thin plane, its sill level with the floor behind; behind it lies a space with a clear run
straight ahead and a clear height, open sideways; in front of it nothing is in the way. A plate is carried in turned
(yaw, pitch, roll) and pushed along one of its own axes without turning further. Its section by the opening's plane
then stands still, so that three things decide, in closed form and for every instant of the motion: the section lies in
the opening; the plate, once behind, is no deeper than the run; and no higher than the clear height. Hence a "yes"
always comes with a motion that works.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import ceil, floor, pi

import numpy as np
from numpy.typing import NDArray

from snugbay.job import Access
from snugbay.pieces.rates import typical

Array = NDArray[np.float64]

AXES = ((1, 0, 2), (0, 1, 2), (2, 0, 1))
"""Which of (width, length, thickness) is pushed along, lies across, and is thin."""

GRID_YAW = np.linspace(0.0, 80.0, 17) * pi / 180
GRID_PITCH = np.linspace(-75.0, 75.0, 21) * pi / 180
GRID_ROLL = np.linspace(0.0, 175.0, 36) * pi / 180


@dataclass(frozen=True)
class Motion:
    """How a plate goes in.

    Attributes
    ----------
    axis : int
        Number in `AXES`: pushed along its length, its width, or its thickness.
    yaw, pitch, roll : float
        Turn of the pushed axis sideways and upwards from straight ahead, and of the plate about it; at roll 0 the
        second axis stands upright. [rad]
    height : float
        Height at which the pushed axis crosses the opening. [m]
    clearance : float
        Least room left: in the opening (both ways), behind and above. [m]
    """

    axis: int
    yaw: float
    pitch: float
    roll: float
    height: float
    clearance: float


@dataclass(frozen=True)
class Verdict:
    """Whether a plate passes, and how or why not."""

    passes: bool
    how: str
    motion: Motion | None = None


def rotation(yaw: Array, pitch: Array, roll: Array) -> tuple[Array, Array, Array]:
    """Return the pushed axis u, the axis v and the thin axis n as unit vectors, shape (..., 3).

    World x runs sideways, y up, z straight ahead through the opening.
    """
    sy, cy, sp, cp = np.sin(yaw), np.cos(yaw), np.sin(pitch), np.cos(pitch)
    u = np.stack([sy * cp, sp + 0 * sy, cy * cp], axis=-1)
    up = np.stack([-sy * sp, cp + 0 * sy, -cy * sp], axis=-1)
    side = np.stack([cy + 0 * sp, 0 * sy + 0 * sp, -sy + 0 * sp], axis=-1)
    sr, cr = np.sin(roll)[..., None], np.cos(roll)[..., None]
    return u, cr * up + sr * side, -sr * up + cr * side


def clearance(
    size: tuple[float, float, float], opening: tuple[float, float], space: tuple[float, float], turns: Array
) -> tuple[Array, Array]:
    """Return the least room left by each turn, and the height at which its axis crosses the opening.

    Parameters
    ----------
    size : (float, float, float)
        Plate along the pushed axis, across, and thin. [m]
    opening : (float, float)
        Width and height. [m]
    space : (float, float)
        Clear run and clear height behind. [m]
    turns : array of shape (n, 3)
        Yaw, pitch, roll. [rad]

    Returns
    -------
    (array of shape (n,), array of shape (n,))
        Room [m], negative where it does not pass, and height [m].
    """
    u, v, n = rotation(turns[:, 0], turns[:, 1], turns[:, 2])
    ahead = u[:, 2]
    vp = v[:, :2] - u[:, :2] * (v[:, 2] / ahead)[:, None]
    np_ = n[:, :2] - u[:, :2] * (n[:, 2] / ahead)[:, None]
    section = size[1] * np.abs(vp) + size[2] * np.abs(np_)
    box = size[0] * np.abs(u) + size[1] * np.abs(v) + size[2] * np.abs(n)
    high = min(opening[1], space[1])
    # height of the axis in the opening: from the section, and from the whole plate once it is behind
    rise = u[:, 1] / ahead * box[:, 2] / 2
    low = np.maximum(section[:, 1] / 2, box[:, 1] / 2 - rise)
    top = np.minimum(high - section[:, 1] / 2, space[1] - box[:, 1] / 2 - rise)
    room = np.minimum.reduce([opening[0] - section[:, 0], space[0] - box[:, 2], top - low])
    return room, (low + top) / 2


def _motion(axis: int, turn: Array, height: float, room: float) -> Motion:
    return Motion(axis, float(turn[0]), float(turn[1]), float(turn[2]), float(height), float(room))


def _search(
    plate: tuple[float, float, float], opening: tuple[float, float], space: tuple[float, float], enough: float
) -> Motion | None:
    best: Motion | None = None
    yaw, pitch, roll = np.meshgrid(GRID_YAW, GRID_PITCH, GRID_ROLL, indexing="ij")
    coarse = np.column_stack([yaw.ravel(), pitch.ravel(), roll.ravel()])
    simple = coarse[(coarse[:, 1] == 0.0) | (coarse[:, 2] % (pi / 2) < 1e-9)]
    for stage in (simple, coarse):
        for axis, (i, j, k) in enumerate(AXES):
            size = (plate[i], plate[j], plate[k])
            room, height = clearance(size, opening, space, stage)
            at = int(np.argmax(room))
            found = _motion(axis, stage[at], height[at], room[at])
            if found.clearance < enough:
                found = _refined(found, size, opening, space, stage, room)
            if best is None or found.clearance > best.clearance:
                best = found
            if best.clearance >= enough:
                return best
    return best


def _refined(
    found: Motion,
    size: tuple[float, float, float],
    opening: tuple[float, float],
    space: tuple[float, float],
    turns: Array,
    room: Array,
) -> Motion:
    """Search finer and finer about the best few turns."""
    offsets = np.stack(np.meshgrid(*[np.array([-1.0, -0.5, 0.0, 0.5, 1.0])] * 3, indexing="ij"), axis=-1).reshape(-1, 3)
    best = found
    for start in np.argsort(room)[-4:]:
        here, step = turns[start], 6 * pi / 180
        for _ in range(9):
            near = here + step * offsets
            near = near[np.abs(near[:, 0]) < 1.5]
            near = near[np.abs(near[:, 1]) < 1.5]
            got, height = clearance(size, opening, space, near)
            at = int(np.argmax(got))
            here, step = near[at], step * 0.55
            if got[at] > best.clearance:
                best = _motion(found.axis, here, height[at], got[at])
    return best


@lru_cache(maxsize=20000)
def _passes(width: int, length: int, thick: int, access: tuple[int, int, int, int], play: int) -> Motion | None:
    """Search with whole tenths of millimetres, so that the memory is of use."""
    mm = 1e-4
    plate = (width * mm, length * mm, thick * mm)
    opening = (access[0] * mm, access[1] * mm)
    space = (access[2] * mm, access[3] * mm)
    shortest = sorted(plate)
    if shortest[1] ** 2 > opening[0] ** 2 + opening[1] ** 2 or shortest[0] > min(max(opening), max(space)):
        return None
    best = _search(plate, opening, space, play * mm)
    return best if best is not None and best.clearance >= play * mm - 1e-12 else None


def can_pass(width: float, length: float, thickness: float, access: Access) -> Motion | None:
    """Return a motion that brings a plate in with the play that a person needs, or None. [m]

    Sizes are rounded up and the way in down to 0.1 mm.
    """
    w, ln = sorted((width, length))
    ways = tuple(floor(x * 1e4 + 1e-6) for x in (access.width, access.height, access.clear_run, access.clear_height))
    play = ceil(typical("way_in_play") * 1e4 - 1e-6)
    sizes = (ceil(x * 1e4 - 1e-6) for x in (w, ln, thickness))
    return _passes(*sizes, (ways[0], ways[1], ways[2], ways[3]), play)


def longest(width: float, thickness: float, access: Access, most: float = 4.0) -> float:
    """Return the greatest length that passes with this width, to a centimetre; 0 where none does. [m]"""
    if can_pass(width, most, thickness, access):
        return most
    low, high = 0.0, most
    while high - low > 0.01:
        middle = (low + high) / 2
        if can_pass(width, middle, thickness, access):
            low = middle
        else:
            high = middle
    return low


def way_in(width: float, length: float, thickness: float, access: Access) -> Verdict:
    """Return whether a plate passes, with the motion in words or the reason why not.

    Parameters
    ----------
    width, length, thickness : float
        The smallest rectangle round the piece, and its thickness. [m]
    access : Access
        The way in.
    """
    motion = can_pass(width, length, thickness, access)
    if motion is None:
        return Verdict(False, _why_not(min(width, length), max(width, length), thickness, access))
    return Verdict(True, _in_words(motion), motion)


def _in_words(motion: Motion) -> str:
    """Return the motion in words."""
    end = ("lengthways", "sideways on", "face first")[motion.axis]
    turn = motion.roll % pi
    tilt = abs(min(turn, pi - turn) if motion.axis != 2 else 0.0) * 180 / pi
    if tilt < 0.5:
        how = "on edge"
    elif tilt > 89.5:
        how = "flat"
    else:
        how = f"tilted {tilt:.0f} degrees from upright"
    words = [end] if motion.axis == 2 else [how, end]
    if abs(motion.yaw) > 0.01:
        words.append(f"pushed in slantwise, {abs(motion.yaw) * 180 / pi:.0f} degrees to the side")
    if abs(motion.pitch) > 0.01:
        words.append(f"far end {'up' if motion.pitch > 0 else 'down'} {abs(motion.pitch) * 180 / pi:.0f} degrees")
    return ", ".join(words)


def _why_not(width: float, length: float, thickness: float, access: Access) -> str:
    """Return which limit stops the plate: the opening, the run or the height behind, and what would pass."""
    wide = Access(access.width, access.height, 50.0, 50.0)
    size = f"{width * 1000:.0f} x {length * 1000:.0f} x {thickness * 1000:.0f} mm"
    hole = f"{access.width * 1000:.0f} x {access.height * 1000:.0f} mm opening"
    if can_pass(width, length, thickness, wide) is None:
        low, high = 0.0, width
        while high - low > 0.005:
            middle = (low + high) / 2
            if can_pass(middle, length, thickness, wide):
                low = middle
            else:
                high = middle
        return f"{size} does not pass the {hole} even tilted; at this length and thickness {low * 1000:.0f} mm would"
    best = longest(width, thickness, access, length)
    tall = Access(access.width, access.height, access.clear_run, 50.0)
    reason = (
        f"cannot turn in the clear run of {access.clear_run * 1000:.0f} mm behind it"
        if can_pass(width, length, thickness, tall) is None
        else f"cannot turn under the clear height of {access.clear_height * 1000:.0f} mm behind it"
    )
    rest = f"; {best * 1000:.0f} mm long would" if best > 0 else ""
    return f"{size} passes the {hole} but {reason}{rest}"
