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

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import ceil, floor, pi

import numpy as np
from numpy.typing import NDArray

from snugbay.base import Said, Told
from snugbay.base.facts import Length
from snugbay.job import Access
from snugbay.pieces.rates import typical

Array = NDArray[np.float64]

Size = tuple[float, float, float]
Sides = tuple[float | Array, float | Array, float | Array]

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
    how: Told
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
    """Return the plain ways (level, or flat, or on edge; straight ones finely) and all ways of the grid."""
    yaw, pitch, roll = np.meshgrid(GRID_YAW, GRID_PITCH, GRID_ROLL, indexing="ij")
    every = turns_of(np.column_stack([yaw.ravel(), pitch.ravel(), roll.ravel()]))
    plain = (every.angles[:, 1] == 0.0) | (np.abs(np.sin(2 * every.angles[:, 2])) < 1e-9)
    fine = np.linspace(0.0, pi, 1801)
    straight = np.column_stack([np.zeros_like(fine), np.zeros_like(fine), fine])
    return turns_of(np.vstack([every.angles[plain], straight])), every


def clearance(size: Sides, gate: Gate, turns: Turns) -> tuple[Array, Array]:
    """Return the least room left by each turn, and the height at which its axis leaves the wall.

    Parameters
    ----------
    size : three floats, or arrays of shape (n,)
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
    along, across, thin = (np.asarray(x)[..., None] for x in size)
    section = across * turns.v_cut + thin * turns.n_cut
    box = along * turns.u + across * turns.v + thin * turns.n
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
    """Return the best of all ways that are looked at, or the first kind of way that leaves enough room.

    Notes
    -----
    The ways depend on the way in alone, never on the plate, and in each of them a smaller plate has more room: so a
    plate passes wherever a larger one does.
    """
    plain, every = _grid()
    best: Motion | None = None
    for stage in ((plain,) * len(AXES), (every,) * len(AXES), None):
        for axis, (i, j, k) in enumerate(AXES):
            turns = _border_turns(gate, enough)[axis] if stage is None else stage[axis]
            room, height = clearance((plate[i], plate[j], plate[k]), gate, turns)
            at = int(np.argmax(room))
            if best is None or room[at] > best.clearance:
                best = _motion(axis, turns.angles[at], height[at], room[at])
        if best is not None and best.clearance >= enough:
            return best
    return best


BORDER_LENGTHS = (0.4, 0.6, 0.75, 0.9, 1.05, 1.2, 1.4, 1.6, 1.9, 2.2, 2.44)
"""Lengths for which the ways that take the widest plate are looked for. [m]"""

BORDER_THICKNESSES = (0.05, 0.1)
"""Thicknesses for the same. [m]"""

_NEAR = np.stack(np.meshgrid(*[np.array([-1.0, -0.5, 0.0, 0.5, 1.0])] * 3, indexing="ij"), axis=-1).reshape(-1, 3)


@lru_cache(maxsize=64)
def _border_turns(gate: Gate, play: float) -> tuple[Turns, ...]:
    """Return, for each axis, the ways that take the widest plates of some lengths and thicknesses through."""
    yaw, pitch, roll = np.meshgrid(GRID_YAW[::2], GRID_PITCH[::2], GRID_ROLL[::2], indexing="ij")
    coarse = turns_of(np.column_stack([yaw.ravel(), pitch.ravel(), roll.ravel()]))
    found: list[Turns] = []
    for axis in range(len(AXES)):
        ways = [coarse.angles[:1]]
        for thickness in BORDER_THICKNESSES:
            for length in BORDER_LENGTHS:
                widest = _widest(axis, length, thickness, gate, coarse, play)
                starts = coarse.angles[np.argpartition(widest, -6)[-6:]]
                if widest.max() > 0.0:
                    ways.append(_refined(axis, length, thickness, gate, starts, play))
        found.append(turns_of(np.unique(np.round(np.vstack(ways), 6), axis=0)))
    return tuple(found)


def _refined(axis: int, length: float, thickness: float, gate: Gate, starts: Array, play: float) -> Array:
    """Search finer and finer about a few turns, all at once, for those that take the widest plate; shape (k, 3)."""
    here, step = starts, 8 * pi / 180
    for _ in range(9):
        near = np.clip(here[:, None, :] + step * _NEAR, [-1.5, -1.5, -9.0], [1.5, 1.5, 9.0])
        wide = _widest(axis, length, thickness, gate, turns_of(near.reshape(-1, 3)), play)
        rows = wide.reshape(len(here), -1).argmax(axis=1) + np.arange(len(here)) * near.shape[1]
        here, step = near.reshape(-1, 3)[rows], step * 0.55
    return here


def _widest(axis: int, length: float, thickness: float, gate: Gate, turns: Turns, play: float) -> Array:
    """Return the widest plate of a length and thickness that each turn takes, shape (n,); 0 where none. [m]

    The room is the least of several that shrink in a straight line as the plate grows: a few chords reach the border.
    """
    order = AXES[axis]
    low, high = np.zeros(len(turns.angles)), np.full(len(turns.angles), 3.0)

    def rooms(width: Array) -> Array:
        plate = (width, np.full_like(width, length), np.full_like(width, thickness))
        return clearance((plate[order[0]], plate[order[1]], plate[order[2]]), gate, turns)[0] - play

    at_low, at_high = rooms(low), rooms(high)
    never = at_low < 0.0
    for _ in range(7):
        chord = low + (high - low) * np.clip(at_low / np.maximum(at_low - at_high, 1e-12), 0.0, 1.0)
        middle = np.where(at_high >= 0.0, high, np.clip(chord, low, high))
        at = rooms(middle)
        good = at >= 0.0
        low, at_low = np.where(good, middle, low), np.where(good, at, at_low)
        high, at_high = np.where(good, high, middle), np.where(good, at_high, at)
    return np.where(never, 0.0, low)


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
    """Return whether a plate passes, with the motion in words or the reason why not; see `verdict_on`.

    Parameters
    ----------
    width, length, thickness : float
        [m]
    access : Access
        The way in.
    """
    return verdict_on([(width, length)], thickness, access)


def verdict_on(blanks: Sequence[tuple[float, float]], thickness: float, access: Access) -> Verdict:
    """Return whether a piece passes as the best of the rectangles round it, with the motion or the reason why not.

    Parameters
    ----------
    blanks : sequence of (float, float)
        Sides of the rectangles round it, the narrowest first. [m]
    thickness : float
        [m]
    access : Access
        The way in.
    """
    for a, b in blanks:
        motion = can_pass(a, b, thickness, access)
        if motion is not None:
            return Verdict(True, _in_words(motion), motion)
    a, b = blanks[0]
    return Verdict(False, _why_not(min(a, b), max(a, b), thickness, access))


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


def _why_not(width: float, length: float, thickness: float, access: Access) -> Said:
    """Return which limit stops the plate: the opening, the run or the height behind, and what would pass."""
    wide = replace(access, clear_run=50.0, clear_height=50.0)
    size = Said.of("pieces.said.plate", width=Length(width), length=Length(length), thickness=Length(thickness))
    wall = Said.of("pieces.said.in-a-wall", thick=Length(access.wall_thickness)) if access.wall_thickness else None
    hole = Said.of("pieces.said.way-in", width=Length(access.width), height=Length(access.height), wall=wall)
    if can_pass(width, length, thickness, wide) is None:
        low, high = 0.0, width
        while high - low > 0.005:
            middle = (low + high) / 2
            if can_pass(middle, length, thickness, wide):
                low = middle
            else:
                high = middle
        return Said.of("pieces.said.does-not-pass", size=size, hole=hole, would=Length(low))
    best = longest(width, thickness, access, length)
    tall = replace(access, clear_height=50.0)
    reason = (
        Said.of("pieces.said.no-run", run=Length(access.clear_run))
        if can_pass(width, length, thickness, tall) is None
        else Said.of("pieces.said.no-height", height=Length(access.clear_height))
    )
    rest = Said.of("pieces.said.long-would", best=Length(best)) if best > 0 else None
    return Said.of("pieces.said.passes-but", size=size, hole=hole, reason=reason, rest=rest)
