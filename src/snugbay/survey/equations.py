"""The equations of a network and their exact derivatives.

Each function takes the corners or frames of one block and returns what the present shape says, shape (k,) or (k, 6),
and the derivatives, shape (k, p) or (k, 6, p), in the order of the block's columns.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from snugbay.survey.network import Block, Floats, Network, RowKind, State

_TINY = 1e-12


def wrap(angle: Floats) -> Floats:
    """Return angles brought into -pi..pi. [rad]"""
    return np.asarray((angle + np.pi) % (2.0 * np.pi) - np.pi, dtype=np.float64)


def _cross(a: Floats, b: Floats) -> Floats:
    """Return the vector products of rows, shape (k, 3)."""
    return np.stack(
        [
            a[:, 1] * b[:, 2] - a[:, 2] * b[:, 1],
            a[:, 2] * b[:, 0] - a[:, 0] * b[:, 2],
            a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0],
        ],
        axis=1,
    )


def _length(v: Floats) -> Floats:
    return np.asarray(np.maximum(np.sqrt(np.einsum("ki,ki->k", v, v)), _TINY))


def distance(block: Block, state: State) -> tuple[Floats, Floats]:
    """Straight line between two corners, z included. [m]"""
    d = state.points[block.at[:, 1]] - state.points[block.at[:, 0]]
    length = _length(d)
    unit = d / length[:, None]
    return length, np.concatenate([-unit, unit], axis=1)


def angle(block: Block, state: State) -> tuple[Floats, Floats]:
    """Inside angle from the first arm counter-clockwise to the last, 0..2 pi. [rad]"""
    xy = state.points[:, :2]
    first = xy[block.at[:, 0]] - xy[block.at[:, 1]]
    last = xy[block.at[:, 2]] - xy[block.at[:, 1]]
    cross = first[:, 0] * last[:, 1] - first[:, 1] * last[:, 0]
    value = np.arctan2(cross, np.einsum("ki,ki->k", first, last)) % (2.0 * np.pi)
    by_first = _turning(first)
    by_last = _turning(last)
    return value, np.concatenate([-by_first, by_first - by_last, by_last], axis=1)


def _turning(v: Floats) -> Floats:
    """Derivative of the direction of v: how fast it turns as its end moves. [rad/m]"""
    square = np.maximum(np.einsum("ki,ki->k", v, v), _TINY**2)
    return np.asarray(np.stack([-v[:, 1], v[:, 0]], axis=1) / square[:, None])


def along(block: Block, state: State) -> tuple[Floats, Floats]:
    """Distance along the line P-Q from P to the foot of R. [m]"""
    return _station(block, state, square=False)


def offset(block: Block, state: State) -> tuple[Floats, Floats]:
    """Distance of R square to the line P-Q, to its left positive. [m]"""
    return _station(block, state, square=True)


def _station(block: Block, state: State, *, square: bool) -> tuple[Floats, Floats]:
    xy = state.points[:, :2]
    p, q, r = (xy[block.at[:, i]] for i in range(3))
    base, arm = q - p, r - p
    length = _length(base)
    ahead = base / length[:, None]
    left = np.stack([-ahead[:, 1], ahead[:, 0]], axis=1)
    x, y = np.einsum("ki,ki->k", ahead, arm), np.einsum("ki,ki->k", left, arm)
    to, other, sign = (left, x, -1.0) if square else (ahead, y, 1.0)
    # turning the base by d turns the arm's parts: dx = y d, dy = -x d, with d = left . dbase / length
    by_base = sign * (other / length)[:, None] * left
    return (y if square else x), np.concatenate([-to - by_base, by_base, to], axis=1)


def lean(block: Block, state: State) -> tuple[Floats, Floats]:
    """Angle of P-Q from the face's y, clockwise positive. [rad]"""
    xy = state.points[:, :2]
    d = xy[block.at[:, 1]] - xy[block.at[:, 0]]
    turning = _turning(d)
    return np.arctan2(d[:, 0], d[:, 1]), np.concatenate([turning, -turning], axis=1)


def twist(block: Block, state: State) -> tuple[Floats, Floats]:
    """Distance of a corner out of the plane. [m]"""
    return state.points[block.at[:, 0], 2], np.ones((len(block.rows), 1))


def equal_length(block: Block, state: State) -> tuple[Floats, Floats]:
    """Length of a join's edge on one face less that on the other. [m]"""
    at = block.at
    a = state.points[at[:, 1]] - state.points[at[:, 0]]
    b = state.points[at[:, 3]] - state.points[at[:, 2]]
    la, lb = _length(a), _length(b)
    ua, ub = a / la[:, None], b / lb[:, None]
    return la - lb, np.concatenate([-ua, ua, ub, -ub], axis=1)


def _in_space(state: State, faces: Floats | np.ndarray, at: np.ndarray) -> tuple[Floats, Floats]:
    """Return points in space and their derivatives by own coordinates, place and turn, shape (k, 3, 9)."""
    turn = state.turn[faces]
    p = state.points[at]
    world = np.einsum("kij,kj->ki", turn, p) + state.place[faces]
    k = len(at)
    d = np.empty((k, 3, 9))
    d[:, :, :3] = turn
    d[:, :, 3:6] = np.eye(3)
    # turning by small t: turn (t x p) = -turn [p]x t
    cross = np.zeros((k, 3, 3))
    cross[:, 0, 1], cross[:, 0, 2] = -p[:, 2], p[:, 1]
    cross[:, 1, 0], cross[:, 1, 2] = p[:, 2], -p[:, 0]
    cross[:, 2, 0], cross[:, 2, 1] = -p[:, 1], p[:, 0]
    d[:, :, 6:] = -np.einsum("kij,kjl->kil", turn, cross)
    return world, d


def meet(block: Block, state: State) -> tuple[Floats, Floats]:
    """Gaps in space between the two ends of a join's edges, shape (k, 6). [m]

    First the difference of the lengths, then the middle along, into and out of face a, then the turn into and out of
    it; sums and differences are divided by the root of two, so that all parts have the standard deviation of one end.
    """
    gaps, slopes = [], []
    for end in (0, 2):
        a, da = _in_space(state, block.faces[:, 0], block.at[:, end])
        b, db = _in_space(state, block.faces[:, 1], block.at[:, end + 1])
        gaps.append(np.einsum("kij,kj->ki", block.frames, a - b))
        slopes.append(np.einsum("kij,kjl->kil", block.frames, np.concatenate([da, -db], axis=2)))
    half = 0.5**0.5
    middle, turn = half * (gaps[1] + gaps[0]), half * (gaps[1] - gaps[0])
    by_middle = half * np.concatenate(slopes, axis=2)
    by_turn = half * np.concatenate([-slopes[0], slopes[1]], axis=2)
    value = np.concatenate([turn[:, :1], middle, turn[:, 1:]], axis=1)
    return value, np.concatenate([by_turn[:, :1], by_middle, by_turn[:, 1:]], axis=1)


def opening(block: Block, state: State) -> tuple[Floats, Floats]:
    """Angle of the open air between two faces along their join, 0..2 pi. [rad]

    With e the edge of face a, t = n_a x e into face a: sin = n_b . t, cos = -n_b . n_a.
    """
    xy = state.points[:, :2]
    e = xy[block.at[:, 1]] - xy[block.at[:, 0]]
    length = _length(e)
    u = e / length[:, None]
    turn_a, turn_b = state.turn[block.faces[:, 0]], state.turn[block.faces[:, 1]]
    zero, one = np.zeros(len(u)), np.ones(len(u))
    t_own = np.stack([-u[:, 1], u[:, 0], zero], axis=1)
    n_own = np.stack([zero, zero, one], axis=1)
    n_b = turn_b[:, :, 2]
    # n_b as face a sees it
    seen = np.einsum("kji,kj->ki", turn_a, n_b)
    s = np.einsum("ki,ki->k", seen, t_own)
    c = -seen[:, 2]
    # by the edge: t turns with the edge
    turning = _turning(e)
    ahead = np.stack([u[:, 0], u[:, 1], zero], axis=1)
    ds_edge = -np.einsum("ki,ki->k", seen, ahead)[:, None] * turning
    # by the turn of a: d(turn_a v) = turn_a (w x v), n_b . that = w . (v x seen)
    ds_a = _cross(t_own, seen)
    dc_a = -_cross(n_own, seen)
    # by the turn of b: d(n_b) = turn_b (w x z)
    t_b = np.einsum("kji,kj->ki", turn_b, np.einsum("kij,kj->ki", turn_a, t_own))
    z_a = np.einsum("kji,kj->ki", turn_b, turn_a[:, :, 2])
    ds_b = _cross(n_own, t_b)
    dc_b = -_cross(n_own, z_a)
    square = np.maximum(s * s + c * c, _TINY)[:, None]
    s_, c_ = s[:, None], c[:, None]
    by_edge = c_ * ds_edge / square
    by_a = (c_ * ds_a - s_ * dc_a) / square
    by_b = (c_ * ds_b - s_ * dc_b) / square
    return np.arctan2(s, c) % (2.0 * np.pi), np.concatenate([-by_edge, by_edge, by_a, by_b], axis=1)


def level(block: Block, state: State) -> tuple[Floats, Floats]:
    """Rise of a face's x axis. [rad, small]"""
    up = state.turn[block.faces[:, 0]][:, 2, :]
    x = np.zeros_like(up)
    x[:, 0] = 1.0
    return up[:, 0], _cross(x, up)


def tilt(block: Block, state: State) -> tuple[Floats, Floats]:
    """Tilt of a face from level. [rad]"""
    up = state.turn[block.faces[:, 0]][:, 2, :]
    s, c = up[:, 1], block.sign * up[:, 2]
    ds = np.stack([up[:, 2], np.zeros(len(up)), -up[:, 0]], axis=1)
    dc = block.sign[:, None] * np.stack([-up[:, 1], up[:, 0], np.zeros(len(up))], axis=1)
    square = (s * s + c * c)[:, None]
    return np.arctan2(s, c), (c[:, None] * ds - s[:, None] * dc) / square


_EQUATIONS: dict[RowKind, Callable[[Block, State], tuple[Floats, Floats]]] = {
    RowKind.DISTANCE: distance,
    RowKind.ANGLE: angle,
    RowKind.ALONG: along,
    RowKind.OFFSET: offset,
    RowKind.LEAN: lean,
    RowKind.TWIST: twist,
    RowKind.LENGTH: equal_length,
    RowKind.MEET: meet,
    RowKind.OPEN: opening,
    RowKind.LEVEL: level,
    RowKind.TILT: tilt,
}


def misclosure(net: Network, state: State) -> tuple[Floats, list[Floats]]:
    """Return adjusted minus observed for all rows, shape (m,), and the derivatives of each block.

    Units [m or rad]; angles are wrapped.
    """
    out = np.empty(len(net.rows))
    derivatives = []
    for block in net.blocks:
        value, d = _EQUATIONS[block.kind](block, state)
        out[block.rows.ravel()] = value.ravel()
        derivatives.append(d)
    out -= net.observed
    out[net.angular] = wrap(out[net.angular])
    return out, derivatives


def moved(net: Network, state: State, step: Floats) -> State:
    """Return the state after a step of the unknowns, shape (unknowns,)."""
    padded = np.append(step, 0.0)  # column -1 reads the zero
    points = state.points + padded[net.free]
    if not net.spatial:
        return State(points, state.turn, state.place)
    pose = padded[net.free_pose]
    return State(points, np.einsum("fij,fjk->fik", state.turn, rotation(pose[:, 3:])), state.place + pose[:, :3])


def rotation(vector: Floats) -> Floats:
    """Return rotation matrices (f, 3, 3) of rotation vectors (f, 3). [rad] (Rodrigues' formula)"""
    size = np.sqrt(np.einsum("fi,fi->f", vector, vector))
    small = size < 1e-9
    safe = np.where(small, 1.0, size)
    a = np.where(small, 1.0, np.sin(safe) / safe)
    b = np.where(small, 0.5, (1.0 - np.cos(safe)) / safe**2)
    k = np.zeros((len(vector), 3, 3))
    k[:, 0, 1], k[:, 0, 2] = -vector[:, 2], vector[:, 1]
    k[:, 1, 0], k[:, 1, 2] = vector[:, 2], -vector[:, 0]
    k[:, 2, 0], k[:, 2, 1] = -vector[:, 1], vector[:, 0]
    out: Floats = np.eye(3) + a[:, None, None] * k + b[:, None, None] * np.einsum("fij,fjk->fik", k, k)
    return out
