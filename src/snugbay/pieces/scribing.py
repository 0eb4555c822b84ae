"""The board of a row that is cut last, to what is left: which one, its blank, and its cut once the tape was read."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import ceil, hypot

import numpy as np
from shapely.geometry import LineString, Polygon

from snugbay.base import InputError, OutOfRange
from snugbay.pieces.chain import Chain
from snugbay.pieces.placing import Held
from snugbay.pieces.plane import crossing, inward, shifted, unit
from snugbay.pieces.rates import typical
from snugbay.pieces.values import EdgeKind, Piece, Scribe
from snugbay.survey import Point

MOST_SCRIBED = 8
"""Most boards of one region that are cut last. [-]"""

SURE_OF_CUT = 1.96
"""Standard deviations of tape and cut by which the last board is cut less than what is left. [-]"""

GOES_IN_LAST = 0.975
"""Probability that a board goes in that was cut so. [-]"""

STEP = 0.005
"""Allowances are whole steps. [m]"""


@dataclass(frozen=True)
class Opened:
    """A board that is cut last.

    Attributes
    ----------
    board : int
        Its number.
    scribe : Scribe
        How.
    """

    board: int
    scribe: Scribe


def opened_in(
    chain: Chain,
    boards: Sequence[Held],
    cut: float,
    taken: frozenset[int],
    holds: Callable[[int, int, float], bool],
) -> Opened | None:
    """Return the board of the row that is short most often which is easiest to cut last; None where none can be.

    Parameters
    ----------
    chain : Chain
        The boards as they stand, with what is cut last already left out.
    boards : sequence of Held
        The same boards.
    cut : float
        Standard deviation of a cut edge. [m]
    taken : frozenset of int
        Boards that are cut last already.
    holds : function
        Whether the blank of a board, with an edge so much further out [m], comes out of a sheet and passes the way in.

    Notes
    -----
    Easy is: few bevels, few corners, no holes, a short cut, late in the order. Trouble is counted in minutes.
    """
    short = chain.short()
    if not short.any():
        return None
    worst = int(short.sum(axis=0).argmax())
    push = chain.sets[worst]
    less = SURE_OF_CUT * hypot(cut, typical("scribe_sigma"))
    found: list[tuple[float, int, int]] = []
    for weight, contact in zip(push, chain.contacts, strict=True):
        if weight > 1e-3 and contact.other is not None:
            found += [
                (_trouble(boards[b], e) + 0.5 * (len(boards) - 1 - b), b, e)
                for b, e in ((contact.board, contact.edge), contact.other)
                if b not in taken
            ]
    for _, b, e in sorted(set(found)):
        weight = sum(w for w, c in zip(push, chain.contacts, strict=True) if (b, e) in ((c.board, c.edge), c.other))
        left = (chain.gaps @ push - chain.loss @ push) / weight
        spread = float(left.std())
        allowance = STEP * ceil(max(2 * STEP, float(np.quantile(left, 0.995))) / STEP)
        if holds(b, e, allowance):
            return Opened(b, Scribe(e, _left_at(boards[b], e), spread, allowance, less))
    return None


def _trouble(held: Held, edge: int) -> float:
    """Return how much trouble it is to cut a board at this edge on the spot. [min]"""
    bevels = sum(abs(ln.edge.bevel) > 1e-6 for ln in held.lines)
    (p, q) = held.spans()[edge]
    return 3.0 * bevels + 1.0 * max(len(held.outline) - 4, 0) + 4.0 * len(held.part.interiors) + unit(p, q)[2]


def _left_at(held: Held, edge: int) -> tuple[float, float]:
    """Return how far it is from both ends of an edge, square to it, to what stands beyond the board. [m]"""
    p, q = held.spans()[edge]
    nx, ny = inward(p, q)
    ux, uy, long = unit(p, q)
    found = []
    for share in (0.02, 0.98):
        x, y = p[0] + share * long * ux, p[1] + share * long * uy
        ray = LineString([(x, y), (x + 9.0 * nx, y + 9.0 * ny)])
        reach = ray.intersection(Polygon(held.outline)).bounds
        far = hypot(reach[2] - reach[0], reach[3] - reach[1]) if reach else 0.0
        end = (x + far * nx, y + far * ny)
        near = min(range(len(held.lines)), key=lambda k: LineString(held.spans()[k]).distance(LineString([end, end])))
        found.append(far + held.lines[near].edge.gap)
    return found[0], found[1]


def blank(piece: Piece) -> Piece:
    """Return the piece as it is sawn from the sheet: with its allowance where it is cut last, else as it is."""
    if piece.scribe is None:
        return piece
    return _with_edge_out(piece, piece.scribe.edge, (piece.scribe.allowance, piece.scribe.allowance))


def scribed(piece: Piece, left: tuple[float, float]) -> Piece:
    """Return a board that is cut last as it is cut to what is left.

    Parameters
    ----------
    piece : Piece
        With its `Scribe`.
    left : (float, float)
        What the tape reads at the start and the end of the open edge, square to it. [m]

    Raises
    ------
    InputError
        If the piece is not one that is cut last.
    OutOfRange
        If more is left than the blank has, or less than a strip worth cutting.
    """
    scribe = piece.scribe
    if scribe is None:
        raise InputError(f"{piece.id} is cut as drawn: nothing of it stays open.", hint="Log it as cut.")
    by = tuple(read - expected - scribe.less for read, expected in zip(left, scribe.left, strict=True))
    if max(by) > scribe.allowance + 1e-9:
        raise OutOfRange(
            f"{1000 * max(left):.0f} mm are left for {piece.id}, {1000 * (max(by) - scribe.allowance):.0f} mm more "
            "than its blank has.",
            hint="Measure again. If it is right, foam what is missing, or cut another blank.",
        )
    if min(left) - scribe.less < typical("min_strip"):
        raise OutOfRange(
            f"Only {1000 * min(left):.0f} mm are left for {piece.id}: too little for a strip of board.",
            hint="Measure again. If it is right, fill the slot with foam.",
        )
    return replace(_with_edge_out(piece, scribe.edge, (by[0], by[1])), scribe=None, fits=GOES_IN_LAST)


def widened(outline: Sequence[Point], edge: int, by: tuple[float, float]) -> list[Point]:
    """Return an outline with both ends of an edge moved out, along the edges beside it. [m]"""
    n = len(outline)
    p, q = outline[edge], outline[(edge + 1) % n]
    line = (shifted(p, q, -by[0])[0], shifted(p, q, -by[1])[1])
    start = crossing((outline[edge - 1], p), line) or line[0]
    end = crossing((q, outline[(edge + 2) % n]), line) or line[1]
    points = list(outline)
    points[edge], points[(edge + 1) % n] = start, end
    return points


def _with_edge_out(piece: Piece, edge: int, by: tuple[float, float]) -> Piece:
    return replace(piece, outline=tuple(widened(piece.outline, edge, by)))


def can_stay_open(held: Held, edge: int) -> bool:
    """Return whether an edge may be cut last: a straight seam, cut square."""
    line = held.lines[edge]
    return line.edge.kind is EdgeKind.SEAM and abs(line.edge.bevel) < 1e-9


def cut_last_words(piece: Piece) -> str:
    """Return how a board that is cut last is measured and cut, in words; nothing for any other."""
    scribe = piece.scribe
    if scribe is None:
        return ""
    start, end = (1000 * d for d in scribe.left)
    expected = f"{start:.0f} mm" if abs(start - end) < 1 else f"{start:.0f} and {end:.0f} mm"
    p, q = piece.outline[scribe.edge], piece.outline[(scribe.edge + 1) % len(piece.outline)]
    return (
        f"Fit it last. Its {_side_of(piece, p, q)} edge is left {1000 * scribe.allowance:.0f} mm long: when the boards "
        f"beside it are in, measure what is left at both ends of that edge (about {expected}, give or take "
        f"{1000 * 2 * scribe.spread:.0f} mm) and cut it {1000 * scribe.less:.0f} mm less."
    )


def _side_of(piece: Piece, p: Point, q: Point) -> str:
    """Return on which side of a piece an edge lies, as its fitter sees it."""
    nx, ny = inward(p, q)
    up = piece.up
    high, right = -(nx * up[0] + ny * up[1]), -(nx * up[1] - ny * up[0])
    return ("upper" if high > 0 else "lower") if abs(high) > abs(right) else ("right" if right > 0 else "left")
