"""Corners against closed forms: any angle between two faces, either running past, mitred, one to three layers.

In the section square to the join, boards of heights a and b over two faces of width W that open by theta cover
(a + b) W - (a² + b²) cot(theta) / 2 - a b / sin(theta): the two strips between the faces' surfaces (or, outside, up to
the planes of the other's front), their shared parallelogram counted once. Own derivation by plane geometry.
"""

from dataclasses import replace
from itertools import combinations
from math import cos, pi, sin, tan

import manifold3d
import pytest
from tests.pieces.rooms import Corners, room

from snugbay.base import Run
from snugbay.pieces import BoardChoice, EdgeKind, Fitting, Piece, make_pieces
from snugbay.pieces.corners import NEARLY_FLAT
from snugbay.pieces.prove import overlaps
from snugbay.pieces.putting_in import as_manifold, frames_of

W, LONG = 1.0, 1.3
DEGREES = [*range(30, 331, 15), 91, 268]


def pair(degrees: float) -> dict[str, Corners]:
    """Face A on the ground, face B turned up from it by the opening, joined along the y axis."""
    t = degrees * pi / 180
    a = [(0, 0, 0), (W, 0, 0), (W, LONG, 0), (0, LONG, 0)]
    b = [(0, 0, 0), (0, LONG, 0), (W * cos(t), LONG, W * sin(t)), (W * cos(t), 0, W * sin(t))]
    return {"A": a, "B": b}


def boards(
    degrees: float, past: str, a: tuple[float, ...], b: tuple[float, ...]
) -> tuple[tuple[Piece, ...], list[manifold3d.Manifold]]:
    job, survey = room(pair(degrees))
    (join,) = job.joins
    assert join.opening == pytest.approx(degrees * pi / 180)
    job = replace(job, joins=(replace(join, runs_past=past),))
    choices = tuple(
        BoardChoice(f, "polyiso-2in", tuple((t, Fitting.ON_FACE) for t in ts), 9.0, 9.0)
        for f, ts in (("A", a), ("B", b))
        if ts
    )
    pieces = make_pieces(job, survey, choices, Run()).value.pieces
    frames = frames_of(survey, pieces)
    return pieces, [as_manifold(p, frames[p.face]) for p in pieces]


def covered(degrees: float, a: float, b: float) -> float:
    t = degrees * pi / 180
    if abs(sin(t)) < NEARLY_FLAT:
        return (a + b) * W - (a * a + b * b) / tan(t / 2) / 2
    return (a + b) * W - (a * a + b * b) * cos(t) / sin(t) / 2 - a * b / sin(t)


def gaps(pieces: tuple[Piece, ...]) -> float:
    """Section area that the meant gaps take off the boards. [m²]"""
    return sum(e.gap * p.thickness for p in pieces for e in p.edges if e.kind is EdgeKind.CORNER)


def wedges(pieces: tuple[Piece, ...], degrees: float) -> float:
    """Section area lost where a slight bevel is cut square. [m²]"""
    cot = abs(1 / tan(degrees * pi / 180))
    square = [p for p in pieces if all(e.bevel == 0 for e in p.edges)]
    return sum(cot * p.thickness**2 / 2 for p in square) if 0.001 < cot < 0.2 else 0.0


LAYERS = [
    ((0.05,), (0.05,)),
    ((0.05,), (0.08,)),
    ((0.05, 0.025), (0.04, 0.06)),
    ((0.03, 0.04, 0.05), (0.05, 0.04, 0.03)),
]


@pytest.mark.parametrize("degrees", DEGREES)
@pytest.mark.parametrize("past", ["A", "B", "mitre", ""])
def test_boards_fill_the_corner_and_never_overlap(degrees: int, past: str) -> None:
    for a, b in LAYERS:
        pieces, solids = boards(degrees, past, a, b)
        assert overlaps(pieces, solids) == []
        volume = sum(s.volume() for s in solids) * 1e-9
        assert all((s ^ o).volume() < 5.0 for s, o in combinations(solids, 2))  # mm³
        meant = covered(degrees, sum(a), sum(b)) - gaps(pieces) - wedges(pieces, degrees)
        assert volume / LONG == pytest.approx(meant, abs=2e-7)


@pytest.mark.parametrize("degrees", [30, 60, 75, 90, 105, 120])
def test_clearance_at_an_inside_corner_is_the_gap(degrees: int) -> None:
    """The stopping board's cut lies parallel to the other's front, at gap x cos(bevel) from it."""
    pieces, (a, b) = boards(degrees, "A", (0.05,), (0.07,))
    edge = next(e for e in pieces[1].edges if e.kind is EdgeKind.CORNER)
    assert a.min_gap(b, 100.0) * 1e-3 == pytest.approx(edge.gap * cos(edge.bevel), rel=1e-6)
    assert edge.gap * cos(edge.bevel) == pytest.approx(0.0015875, rel=1e-6)


@pytest.mark.parametrize("degrees", [225, 240, 270, 285, 315, 330])
def test_boards_touch_at_an_outside_corner(degrees: int) -> None:
    _, (a, b) = boards(degrees, "A", (0.05,), (0.07,))
    assert a.min_gap(b, 100.0) == pytest.approx(0.0, abs=1e-6)


def lengths(pieces: tuple[Piece, ...], face: str) -> list[float]:
    return [max(x for x, _ in p.outline) - min(x for x, _ in p.outline) for p in pieces if p.face == face]


def test_inside_the_stopping_board_is_short_by_the_other_and_outside_the_through_board_grows_by_it() -> None:
    inside, _ = boards(90, "A", (0.05,), (0.08,))
    (depth_b,) = {max(y for _, y in p.outline) - min(y for _, y in p.outline) for p in inside if p.face == "B"}
    tight = 0.0015875
    assert lengths(inside, "A") == pytest.approx([W - tight])
    assert depth_b == pytest.approx(W - 0.05 - tight)
    outside, _ = boards(270, "A", (0.05,), (0.08,))
    assert lengths(outside, "A") == pytest.approx([W + 0.08])


def test_the_second_layer_swaps_who_runs_past() -> None:
    pieces, _ = boards(270, "A", (0.05, 0.05), (0.05, 0.05))
    first, second = lengths(pieces, "A")
    assert (first, second) == pytest.approx((W + 0.05, W + 0.05))
    b_first, b_second = (max(y for _, y in p.outline) - min(y for _, y in p.outline) for p in pieces if p.face == "B")
    assert (b_first, b_second) == pytest.approx((W, W + 0.1))


@pytest.mark.parametrize(("degrees", "bevel"), [(90, 45), (60, 60), (150, 15), (270, -45), (300, -60), (210, -15)])
def test_a_mitre_is_cut_at_ninety_less_half_the_opening(degrees: int, bevel: float) -> None:
    """Positive bevels leave the back larger. Mitre of two equal boards: 90 - theta / 2 off square."""
    pieces, _ = boards(degrees, "mitre", (0.05,), (0.05,))
    for piece in pieces:
        (edge,) = [e for e in piece.edges if e.kind is EdgeKind.CORNER]
        assert edge.bevel * 180 / pi == pytest.approx(bevel)


@pytest.mark.parametrize(("degrees", "bevel"), [(60, 30), (75, 15), (105, -15), (270, 0), (300, -30), (255, 15)])
def test_a_butt_is_cut_parallel_to_the_other_face(degrees: int, bevel: float) -> None:
    """Fitting practice: bevel off square where a board meets another face is the corner's departure from square."""
    pieces, _ = boards(degrees, "A", (0.05,), (0.05,))
    for piece in pieces:
        (edge,) = [e for e in piece.edges if e.kind is EdgeKind.CORNER]
        assert edge.bevel * 180 / pi == pytest.approx(bevel)
