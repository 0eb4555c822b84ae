"""The way in: a rigid plate through a rectangular opening with a wall behind it.

The opening goes through a wall of some thickness, its sill at some height over the floor behind; behind it lies a space
with a clear run straight ahead and a clear height, open sideways; in front of it nothing is in the way. A plate is
carried in turned (yaw, pitch, roll) and pushed along one of its own axes without turning further. What it sweeps is
then a prism along that axis: in each plane through the wall the same section, shifted by the slant. So three things
decide, in closed form and for every instant of the motion: the sections at both faces of the wall lie in the opening;
the plate, once behind, is no deeper than the run; and it lies between floor and clear height. Hence a "yes" always
comes with a motion that works.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from math import ceil, floor, pi

import numpy as np
from numpy.typing import NDArray

from snugbay.job import Access
from snugbay.pieces.rates import typical

Array = NDArray[np.float64]

Size = tuple[float, float, float]

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
        Height over the floor at which the pushed axis leaves the wall; half way through it the axis is at the middle of
        the opening's width. [m]
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
class Gate:
    """The way in.

    Attributes
    ----------
    width, height : float
        Of the opening. [m]
    run, tall : float
        Clear run and clear height behind it. [m]
    sill : float
        Lower edge of the opening over the floor behind. [m]
    deep : float
        Thickness of the wall it passes through. [m]
    """

    width: float
    height: float
    run: float
    tall: float
    sill: float = 0.0
    deep: float = 0.0


@dataclass(frozen=True)
class Verdict:
    """Whether a plate passes, and how or why not."""

    passes: bool
    how: str
    motion: Motion | None = None


@dataclass(frozen=True)
class Turns:
    """Ways to hold a plate, and what each needs of room per metre of the plate.

    Attributes
    ----------
    angles : array of shape (n, 3)
        Yaw, pitch, roll. [rad]
    u, v, n : array of shape (n, 3)
        Size of the components of the pushed axis, the axis across and the thin axis. [-]
    v_cut, n_cut : array of shape (n, 2)
        Sideways and upward size of the section by the opening's plane for a unit of width and thickness. [-]
    climb, aside : array of shape (n,)
        Rise of the pushed axis, and its size sideways, for a unit straight ahead. [-]
    """

    angles: Array
    u: Array
    v: Array
    n: Array
    v_cut: Array
    n_cut: Array
    climb: Array
    aside: Array

    def take(self, which: NDArray[np.bool_]) -> Turns:
        """Return some of the ways."""
        return Turns(*(getattr(self, f)[which] for f in ("angles", "u", "v", "n", "v_cut", "n_cut", "climb", "aside")))


def rotation(angles: Array) -> tuple[Array, Array, Array]:
    """Return the pushed axis u, the axis across v and the thin axis n as unit vectors, shape (n, 3).

    World x runs sideways, y up, z straight ahead through the opening; ``angles`` are yaw, pitch, roll. [rad]
    """
    (sy, sp, sr), (cy, cp, cr) = np.sin(angles).T, np.cos(angles).T
    u = np.column_stack([sy * cp, sp, cy * cp])
    up = np.column_stack([-sy * sp, cp, -cy * sp])
    side = np.column_stack([cy, np.zeros_like(cy), -sy])
    return u, cr[:, None] * up + sr[:, None] * side, cr[:, None] * side - sr[:, None] * up


def turns_of(angles: Array) -> Turns:
    """Return what each way to hold a plate needs."""
    u, v, n = rotation(angles)
    ahead = u[:, 2]
    v_cut = v[:, :2] - u[:, :2] * (v[:, 2] / ahead)[:, None]
    n_cut = n[:, :2] - u[:, :2] * (n[:, 2] / ahead)[:, None]
    return Turns(
        angles, np.abs(u), np.abs(v), np.abs(n), np.abs(v_cut), np.abs(n_cut), u[:, 1] / ahead, np.abs(u[:, 0]) / ahead
    )


@lru_cache(maxsize=1)
def _grid() -> tuple[Turns, Turns]:
    """Return the plain ways (level, or flat, or on edge) and all ways of the grid."""
    yaw, pitch, roll = np.meshgrid(GRID_YAW, GRID_PITCH, GRID_ROLL, indexing="ij")
    every = turns_of(np.column_stack([yaw.ravel(), pitch.ravel(), roll.ravel()]))
    plain = (every.angles[:, 1] == 0.0) | (np.abs(np.sin(2 * every.angles[:, 2])) < 1e-9)
    return every.take(plain), every


def clearance(size: Size, gate: Gate, turns: Turns) -> tuple[Array, Array]:
    """Return the least room left by each turn, and the height at which its axis leaves the wall.

    Parameters
    ----------
    size : (float, float, float)
        Plate along the pushed axis, across, and thin. [m]
    gate : Gate
        The way in.
    turns : Turns
        Ways to hold it.

    Returns
    -------
    (array of shape (n,), array of shape (n,))
        Room [m], negative where it does not pass, and height [m].
    """
    section = size[1] * turns.v_cut + size[2] * turns.n_cut
    box = size[0] * turns.u + size[1] * turns.v + size[2] * turns.n
    wide, half = section[:, 0] + turns.aside * gate.deep, section[:, 1] / 2
    # height of the axis where it leaves the wall: from the sections at both its faces, and from the plate once behind
    before = -turns.climb * gate.deep
    rise = turns.climb * box[:, 2] / 2
    low = np.maximum(gate.sill + half - np.minimum(before, 0.0), box[:, 1] / 2 - rise)
    top = np.minimum(gate.sill + gate.height - half - np.maximum(before, 0.0), gate.tall - half)
    top = np.minimum(top, gate.tall - box[:, 1] / 2 - rise)
    room = np.minimum(np.minimum(gate.width - wide, gate.run - box[:, 2]), top - low)
    return room, (low + top) / 2


def _motion(axis: int, turn: Array, height: float, room: float) -> Motion:
    return Motion(axis, float(turn[0]), float(turn[1]), float(turn[2]), float(height), float(room))


def _search(plate: Size, gate: Gate, enough: float) -> Motion | None:
    plain, every = _grid()
    best: Motion | None = None
    starts: list[tuple[float, int, Array]] = []
    for stage in (plain, every):
        for axis, (i, j, k) in enumerate(AXES):
            room, height = clearance((plate[i], plate[j], plate[k]), gate, stage)
            at = int(np.argmax(room))
            if best is None or room[at] > best.clearance:
                best = _motion(axis, stage.angles[at], height[at], room[at])
            if room[at] >= enough:
                return best
            if stage is every:
                starts += [(float(room[s]), axis, stage.angles[s]) for s in np.argpartition(room, -4)[-4:]]
    for axis in range(len(AXES)):
        mine = sorted((s for s in starts if s[1] == axis), key=lambda s: -s[0])
        size = (plate[AXES[axis][0]], plate[AXES[axis][1]], plate[AXES[axis][2]])
        if mine[0][0] < -HOPELESS * (size[0] + size[1]):
            continue
        found = _refined(axis, size, gate, np.array([s[2] for s in mine]), enough)
        if best is None or found.clearance > best.clearance:
            best = found
        if best.clearance >= enough:
            break
    return best


HOPELESS = 0.12
"""Where the best turn of the grid lacks more than this share of the plate's size, a finer search finds none."""

_NEAR = np.stack(np.meshgrid(*[np.array([-1.0, -0.5, 0.0, 0.5, 1.0])] * 3, indexing="ij"), axis=-1).reshape(-1, 3)


def _refined(axis: int, size: Size, gate: Gate, starts: Array, enough: float) -> Motion:
    """Search finer and finer about a few turns, all at once."""
    here, step = starts, 6 * pi / 180
    best = Motion(axis, 0.0, 0.0, 0.0, 0.0, -np.inf)
    for _ in range(9):
        near = np.clip(here[:, None, :] + step * _NEAR, [-1.5, -1.5, -9.0], [1.5, 1.5, 9.0])
        room, height = clearance(size, gate, turns_of(near.reshape(-1, 3)))
        rows = room.reshape(len(here), -1).argmax(axis=1) + np.arange(len(here)) * near.shape[1]
        here, step = near.reshape(-1, 3)[rows], step * 0.55
        at = rows[int(np.argmax(room[rows]))]
        if room[at] > best.clearance:
            best = _motion(axis, near.reshape(-1, 3)[at], height[at], room[at])
        if best.clearance >= enough:
            break
    return best


Tenths = tuple[int, int, int, int, int, int]
"""Width, height, run, clear height, sill and thickness of a way in, in tenths of a millimetre."""


@lru_cache(maxsize=20000)
def _passes(width: int, length: int, thick: int, access: Tenths, play: int) -> Motion | None:
    """Search with whole tenths of millimetres, so that the memory is of use."""
    mm = 1e-4
    plate = (width * mm, length * mm, thick * mm)
    gate = Gate(*(x * mm for x in access))
    shortest = sorted(plate)
    beyond = shortest[1] ** 2 > gate.width**2 + gate.height**2
    if beyond or shortest[0] > min(max(gate.width, gate.height), max(gate.run, gate.tall)):
        return None
    best = _search(plate, gate, play * mm)
    return best if best is not None and best.clearance >= play * mm - 1e-12 else None


def can_pass(width: float, length: float, thickness: float, access: Access) -> Motion | None:
    """Return a motion that brings a plate in with the play that a person needs, or None. [m]

    Sizes and the wall's thickness are rounded up and the rest of the way in down to 0.1 mm.
    """
    w, ln = sorted((width, length))
    held = (access.width, access.height, access.clear_run, access.clear_height, access.sill)
    a, b, run, tall, sill = (floor(x * 1e4 + 1e-6) for x in held)
    deep = ceil(access.wall_thickness * 1e4 - 1e-6)
    play = ceil(typical("way_in_play") * 1e4 - 1e-6)
    sizes = (ceil(x * 1e4 - 1e-6) for x in (w, ln, thickness))
    return _passes(*sizes, (a, b, run, tall, sill, deep), play)


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
    wide = replace(access, clear_run=50.0, clear_height=50.0)
    size = f"{width * 1000:.0f} x {length * 1000:.0f} x {thickness * 1000:.0f} mm"
    hole = f"{access.width * 1000:.0f} x {access.height * 1000:.0f} mm opening"
    if access.wall_thickness:
        hole += f" in a wall {access.wall_thickness * 1000:.0f} mm thick"
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
    tall = replace(access, clear_height=50.0)
    reason = (
        f"cannot turn in the clear run of {access.clear_run * 1000:.0f} mm behind it"
        if can_pass(width, length, thickness, tall) is None
        else f"cannot turn under the clear height of {access.clear_height * 1000:.0f} mm behind it"
    )
    rest = f"; {best * 1000:.0f} mm long would" if best > 0 else ""
    return f"{size} passes the {hole} but {reason}{rest}"
