"""Whether a board can be put in past what leans over its edges: straight, slid, hooked under, or in from an open side.

In the plane of the face each captive edge has an inward normal n and an overhang m: what stands beyond the edge leans
over the board by m per height. A board that slides by d for each unit of lift comes out when d . n >= m for every
captive edge. A board hooked under one edge and turned up about it needs only a little play at the opposite edge.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from math import atan, cos, hypot, pi

from snugbay.survey import Point


@dataclass(frozen=True)
class Captive:
    """One captive edge of a board.

    Attributes
    ----------
    start, end : Point
        Its ends, the board to the left. [m]
    overhang : float
        Lean of what stands beyond it over the board, per height. [-]
    gap : float
        Gap left there. [m]
    other : str
        What stands there.
    square : bool
        True where the edge is cut square, not parallel to what stands there.
    """

    start: Point
    end: Point
    overhang: float
    gap: float
    other: str
    square: bool = False

    @property
    def normal(self) -> Point:
        """Inward unit normal."""
        dx, dy = self.end[0] - self.start[0], self.end[1] - self.start[1]
        length = hypot(dx, dy)
        return (-dy / length, dx / length)


PRESS = 0.5e-3
"""Boards may be pressed this much on the way in. [m]"""

LEAST_LIFT = 0.06
"""A board lifted this far has left its place, however thin it is. [m]"""


def way_to_put_in(edges: Sequence[Captive], thickness: float) -> str | None:
    """Return how a board is put in: ``""`` straight, words where it must be slid or hooked, None where it cannot.

    Parameters
    ----------
    edges : sequence of Captive
        Its captive edges.
    thickness : float
        [m]

    Notes
    -----
    Slid, a board must come free by one and a half times its thickness; the gaps, and what foam gives way, are play.
    """
    leaning = [e for e in edges if e.overhang > 1e-9]
    if not leaning:
        return ""
    lift = max(1.5 * thickness, LEAST_LIFT)
    if slides_out([e.normal for e in edges], [e.overhang - (e.gap + PRESS) / lift for e in edges]):
        return "slide it under " + " and ".join(dict.fromkeys(e.other for e in leaning))
    for edge in sorted(leaning, key=lambda e: -e.overhang):
        if _hooks_under(edge, edges, thickness):
            return f"hook it under {edge.other}, then press the other side down"
    if draws_in([e.normal for e in edges]):
        return "slide it in flat from its open side"
    return None


def draws_in(normals: Sequence[Point]) -> bool:
    """Return whether a board can be drawn out flat, along or away from every captive edge.

    Notes
    -----
    If there is such a direction at all, one of them runs along an edge or straight away from it.
    """
    ways = [w for x, y in normals for w in ((x, y), (-y, x), (y, -x))]
    return any(all(wx * x + wy * y >= -1e-6 for x, y in normals) for wx, wy in ways)


def edge_to_square(edges: Sequence[Captive], thickness: float, widest: float) -> int | None:
    """Return the number of the edge that, cut square, lets the board be hooked under; None where none helps.

    Parameters
    ----------
    edges : sequence of Captive
        Captive edges of a board that cannot be put in with all its bevels.
    thickness : float
        [m]
    widest : float
        Widest wedge that foam may fill. [m]
    """
    for k in sorted(range(len(edges)), key=lambda k: edges[k].overhang):
        edge = edges[k]
        if 1e-9 < edge.overhang <= widest / thickness:
            squared = replace(edge, square=True)
            if _hooks_under(squared, [*edges[:k], squared, *edges[k + 1 :]], thickness):
                return k
    return None


TURNED_UP = 1 - cos(20 * pi / 180)
"""How far, per width, a board draws towards its hook until it is turned up by 20 degrees. [-]"""


def slides_out(normals: Sequence[Point], lean: Sequence[float]) -> bool:
    """Return whether some slide d, per unit of lift, has d . n >= lean for every edge.

    Notes
    -----
    By Farkas' lemma there is one unless some two or three normals that balance each other ask for more than nothing.
    """
    for i, j in combinations(range(len(lean)), 2):
        (ax, ay), (bx, by) = normals[i], normals[j]
        if abs(ax * by - ay * bx) < 1e-6 and ax * bx + ay * by < 0 and lean[i] + lean[j] > 1e-9:
            return False
    for i, j, k in combinations(range(len(lean)), 3):
        weights = _balance(normals[i], normals[j], normals[k])
        if weights is not None and weights[0] * lean[i] + weights[1] * lean[j] + weights[2] * lean[k] > 1e-9:
            return False
    return True


def _balance(a: Point, b: Point, c: Point) -> tuple[float, float, float] | None:
    """Return the weights with which three normals balance, None where they do not."""
    weights = (b[0] * c[1] - b[1] * c[0], c[0] * a[1] - c[1] * a[0], a[0] * b[1] - a[1] * b[0])
    if all(w > 1e-9 for w in weights):
        return weights
    if all(w < -1e-9 for w in weights):
        return (-weights[0], -weights[1], -weights[2])
    return None


def _hooks_under(hook: Captive, edges: Sequence[Captive], thickness: float) -> bool:
    """Return whether a board turned up about one edge clears all others.

    Notes
    -----
    Turned up by phi, a board of width w and thickness t reaches w cos(phi) and its hooked edge needs about
    t sin(phi) / cos²(beta) more, beta being the hook's lean (0 where the edge is cut square): at most
    t² / (2 w cos⁴(beta)) is missing on the way. A far wall that leans by gamma over it takes w sin(phi) tan(gamma)
    more: at most w (1 / cos(gamma) - 1). The sum must be no more than the gaps of the two edges. Side edges that spread
    away from the hook, and notches that open towards it, are run into: the board draws back by w (1 - cos(phi)), and
    that must stay within their gap until it is turned up by 20 degrees.
    """
    nx, ny = hook.normal
    lean = 1.0 if hook.square else cos(atan(hook.overhang))
    for edge in edges:
        if edge is hook:
            continue
        ex, ey = edge.normal
        facing = nx * ex + ny * ey
        wide = max((p[0] - hook.start[0]) * nx + (p[1] - hook.start[1]) * ny for p in (edge.start, edge.end))
        if wide <= 1e-6:
            continue
        if facing > -0.2:
            if edge.overhang > 1e-9 or facing * wide * TURNED_UP > edge.gap:
                return False
            continue
        missing = thickness**2 / (2 * wide * lean**4)
        if edge.overhang > 0.0:
            missing += wide * (1 / cos(atan(edge.overhang)) - 1)
        if missing > hook.gap + edge.gap:
            return False
    return True
