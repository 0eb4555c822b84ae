"""Whether all the boards of a region go in together, as they really stand in a row.

Every board is rigid and may shift and turn a little. Its captive edges must stay on their side of what stands there,
and neighbours must stay on their own side of the seam between them. What is uncertain: the corners of the face, the
place of framing and of things, the bow of long edges, and each cut edge for itself: a row of seven boards has fourteen.
The boards go in unless some balanced set of pushes, through as many boards as it takes, finds too little room (Farkas).
The sets that matter are found by a linear program for the worst draws in turn, and then serve all draws at once.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import hypot

import numpy as np
from numpy.typing import NDArray

from snugbay.pieces.fitgap import LONG_EDGE, SHEET_LENGTH, SURE
from snugbay.pieces.linear import INF, Linear
from snugbay.pieces.placing import Held
from snugbay.pieces.plane import Line, inward, unit
from snugbay.pieces.rates import typical
from snugbay.pieces.values import EdgeKind
from snugbay.survey import AdjustedFace, Point

Array = NDArray[np.float64]
Bools = NDArray[np.bool_]

FAR = 0.2
"""Room beyond which nothing is looked for. [m]"""

FIRST = 64
"""Draws whose set of pushes is looked for at first, whatever room they have. [-]"""

PATIENCE = 24
"""So many worst draws in a row that go in end the search for sets of pushes. [-]"""

MOST_SETS = 400
"""Most draws that are tried by the linear program. [-]"""

LEAST_SEAM = 0.005
"""Seams shorter than this do not push. [m]"""


@dataclass(frozen=True)
class Contact:
    """Where a board may push: against what stands there, or against its neighbour.

    Attributes
    ----------
    board, edge : int
        Whose edge.
    at, out : Point
        Where, and the outward normal.
    line : Line
        What the edge lies on.
    share : float
        Place along the face's edge, where the line came from one.
    other : (int, int) or None
        The neighbour's board and edge.
    bow : float
        Standard deviation of the bow there. [m]
    """

    board: int
    edge: int
    at: Point
    out: Point
    line: Line
    other: tuple[int, int] | None = None
    bow: float = 0.0


def contacts_of(boards: Sequence[Held]) -> list[Contact]:
    """Return every place where the boards may push against what stands there or against each other."""
    found: list[Contact] = []
    seams: dict[str, list[tuple[int, int, Point, Point]]] = {}
    for b, held in enumerate(boards):
        crowd: dict[str, int] = {}
        for line in held.lines:
            crowd[line.name] = crowd.get(line.name, 0) + 1
        for e, (line, (p, q)) in enumerate(zip(held.lines, held.spans(), strict=True)):
            if p == q:
                continue
            nx, ny = inward(p, q)
            if line.edge.kind is EdgeKind.SEAM:
                seams.setdefault(line.name, []).append((b, e, p, q))
            if not line.captive:
                continue
            long = unit(p, q)[2]
            bowed = long > LONG_EDGE
            for s in (0.5,) if crowd[line.name] > 8 else (0.0, 0.5, 1.0) if bowed else (0.0, 1.0):
                at = (p[0] + s * (q[0] - p[0]), p[1] + s * (q[1] - p[1]))
                bow = typical("edge_bow_sigma") * (min(long, SHEET_LENGTH) / SHEET_LENGTH) ** 2
                found.append(Contact(b, e, at, (-nx, -ny), line, None, bow if bowed and s == 0.5 else 0.0))
    for sides in seams.values():
        for k, (b, e, p, q) in enumerate(sides):
            ux, uy, long = unit(p, q)
            for c, f, r, t in sides[k + 1 :]:
                if c == b or (t[0] - r[0]) * ux + (t[1] - r[1]) * uy > 0:
                    continue
                low, high = sorted((x - p[0]) * ux + (y - p[1]) * uy for x, y in (r, t))
                low, high = max(low, 0.0), min(high, long)
                if high - low < LEAST_SEAM:
                    continue
                nx, ny = inward(p, q)
                for s in (low, high):
                    at = (p[0] + s * ux, p[1] + s * uy)
                    found.append(Contact(b, e, at, (-nx, -ny), boards[b].lines[e], (c, f)))
    return found


class Chain:
    """The boards of one part of a region, and which draws let them in.

    Parameters
    ----------
    boards : sequence of Held
        As cut.
    face : AdjustedFace
        Gives the covariance of the corners.
    cut : float
        Standard deviation of a cut edge. [m]
    corners : array of shape (DRAWS, 2n)
        Standard normal draws of the face's corners, the same for everything on it.
    own : array of shape (DRAWS, k)
        Standard normal draws of the rest, at least as many columns as `needs`.
    scribed : sequence of (int, int)
        Board and edge that are cut last to what is left, so that they add nothing up.
    """

    def __init__(
        self,
        boards: Sequence[Held],
        face: AdjustedFace,
        cut: float,
        corners: Array,
        draw: Callable[[int], Array],
        scribed: Sequence[tuple[int, int]] = (),
    ) -> None:
        open_edges = frozenset(scribed)
        contacts = [c for c in contacts_of(boards) if not open_edges & {(c.board, c.edge), c.other}]
        self.contacts = contacts
        self.boards = len(boards)
        self.gaps = np.array([c.line.edge.gap if c.other is None else 0.0 for c in contacts])
        self.sets = np.zeros((0, len(contacts)))
        self.loss = _loss(contacts, face, cut, corners, draw)
        if contacts:
            self._program = _program(_system(boards, contacts))
            self._look(self.gaps)

    def _look(self, gaps: Array) -> None:
        """Find the sets of pushes that matter with these gaps."""
        room = gaps - self.loss
        left = np.min(room @ self.sets.T, axis=1) if len(self.sets) else np.full(len(room), np.inf)
        known = np.zeros(len(room), dtype=bool)
        quiet, first = 0, 0 if len(self.sets) else FIRST
        found = [self.sets]
        for turn in range(MOST_SETS):
            if turn < first:
                k = turn * (len(room) // FIRST)
            else:
                open_draws = ~known & (left >= 0.0)
                if quiet >= PATIENCE or not open_draws.any():
                    break
                k = int(np.argmin(np.where(open_draws, left, np.inf)))
            known[k] = True
            answer = self._program.least(room[k])
            if answer is None:
                continue
            cost, _, push = answer
            quiet = 0 if cost > 0.0 or turn < first else quiet + 1
            if push.sum() > 0.5:  # else there is room enough, whatever pushes
                push = push / push.sum()
                found.append(push[None, :])
                left = np.minimum(left, room @ push)
        self.sets = np.vstack(found)

    def short(self, gaps: Array | None = None) -> Bools:
        """Return which sets find too little room in which draws, shape (DRAWS, sets)."""
        if not len(self.sets):
            return np.zeros((len(self.loss), 0), dtype=bool)
        return np.asarray((self.gaps if gaps is None else gaps) @ self.sets.T - self.loss @ self.sets.T < -1e-9)

    def goes_in(self) -> Bools:
        """Return the draws in which every board goes in untrimmed, shape (DRAWS,)."""
        return np.asarray(~self.short().any(axis=1))

    def of_boards(self) -> list[float]:
        """Return for each board the probability that nothing pushes it. [-]"""
        short = self.short()
        return [1.0 - float(short[:, self._touches(b)].any(axis=1).mean()) for b in range(self.boards)]

    def trims(self) -> Array:
        """Return how many boards have to be trimmed in each draw: sets that are short and share no board."""
        short = self.short()
        touched = np.array([self._touches(b) for b in range(self.boards)])  # (boards, sets)
        count = np.zeros(len(short))
        room = self.gaps @ self.sets.T - self.loss @ self.sets.T
        for k in np.flatnonzero(short.any(axis=1)):
            free = np.ones(self.boards, dtype=bool)
            for s in np.argsort(room[k]):
                if not short[k, s]:
                    break
                if free[touched[:, s]].all():
                    free[touched[:, s]] = False
                    count[k] += 1
        return count

    def _touches(self, board: int) -> Bools:
        """Return which sets push a board."""
        mine = np.array([c.board == board or (c.other is not None and c.other[0] == board) for c in self.contacts])
        return np.asarray((self.sets[:, mine] > 1e-6).any(axis=1)) if len(self.contacts) else np.zeros(0, dtype=bool)

    def gap(self, free: Bools, sure: float = SURE) -> float | None:
        """Return the gap at the free contacts with which all go in with this probability; None where none does. [m]

        Notes
        -----
        With other gaps other sets matter: the search goes on until no more are found.
        """
        if not len(self.contacts):
            return 0.0
        wanted = 0.0
        for _ in range(4):
            counts = self.sets @ free.astype(float)
            use = counts > 1e-6
            fixed = self.sets @ np.where(free, 0.0, self.gaps)
            never = (self.loss @ self.sets[~use].T > fixed[~use] + 1e-9).any(axis=1)
            if never.mean() > 1.0 - sure:
                return None
            if not use.any():
                return 0.0
            need = ((self.loss @ self.sets[use].T - fixed[use]) / counts[use]).max(axis=1)
            need[never] = np.inf
            now = float(np.partition(need, int(sure * len(need)))[int(sure * len(need))])
            before = len(self.sets)
            self._look(np.where(free, now, self.gaps))
            if len(self.sets) == before or abs(now - wanted) < 1e-4:
                return now
            wanted = now
        return wanted


def _loss(
    contacts: Sequence[Contact], face: AdjustedFace, cut: float, corners: Array, draw: Callable[[int], Array]
) -> Array:
    """Return the room lost at each contact in each draw, shape (draws, contacts). [m]"""
    out = np.zeros((len(corners), len(contacts)))
    if not contacts:
        return out
    normals = np.array([c.out for c in contacts])
    points = np.asarray(face.points)
    covariance = np.asarray(face.covariance, dtype=float)
    if len(covariance):
        values, vectors = np.linalg.eigh(covariance)
        shift = corners @ (vectors * np.sqrt(np.maximum(values, 0.0))).T
        for k, c in enumerate(contacts):
            if c.other is None and c.line.corners is not None:
                a, b = c.line.corners
                edge = points[b] - points[a]
                s = float((np.array(c.at) - points[a]) @ edge / (edge @ edge))
                moved = (1 - s) * shift[:, 2 * a : 2 * a + 2] + s * shift[:, 2 * b : 2 * b + 2]
                out[:, k] -= moved @ normals[k]
    own: dict[tuple[int, int], list[int]] = {}
    solids: dict[str, list[int]] = {}
    for k, c in enumerate(contacts):
        own.setdefault((c.board, c.edge), []).append(k)
        if c.other is not None:
            own.setdefault(c.other, []).append(k)
        elif c.line.sigma > 0:
            solids.setdefault(c.line.name, []).append(k)
    bowed = [k for k, c in enumerate(contacts) if c.bow > 0]
    z = draw(len(own) + 2 * len(solids) + len(bowed))
    at = 0
    for mine in own.values():
        out[:, mine] += cut * z[:, at : at + 1]
        at += 1
    for mine in solids.values():
        sigma = np.array([contacts[k].line.sigma for k in mine])
        out[:, mine] -= (z[:, at : at + 2] @ normals[mine].T) * sigma
        at += 2
    for k in bowed:
        out[:, k] += contacts[k].bow * z[:, at]
        at += 1
    return out


def _system(boards: Sequence[Held], contacts: Sequence[Contact]) -> Array:
    """Return what small shifts and turns of the boards take up at each contact, shape (contacts, 3 boards)."""
    out = np.zeros((len(contacts), 3 * len(boards)))
    middles, sizes = [], []
    for held in boards:
        x0, y0, x1, y1 = held.part.bounds
        middles.append(((x0 + x1) / 2, (y0 + y1) / 2))
        sizes.append(hypot(x1 - x0, y1 - y0) / 2)
    for k, c in enumerate(contacts):
        for board, sign in ((c.board, 1.0), *(((c.other[0], -1.0),) if c.other is not None else ())):
            arm = (c.at[0] - middles[board][0], c.at[1] - middles[board][1])
            turn = (arm[0] * c.out[1] - arm[1] * c.out[0]) / sizes[board]
            out[k, 3 * board : 3 * board + 3] += sign * np.array((c.out[0], c.out[1], turn))
    return out


def _program(system: Array) -> Linear:
    """Return the linear program of the shifts and turns that leave the most room everywhere."""
    rows, columns = system.shape
    high = np.append(np.full(columns, INF), FAR)
    cost = np.append(np.zeros(columns), -1.0)
    return Linear(cost, np.column_stack([system, np.ones(rows)]), np.full(columns + 1, -INF), high)
