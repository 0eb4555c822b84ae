from __future__ import annotations

from dataclasses import replace
from math import atan, cos, pi, radians, sin, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon
from tests.booklet.plan_fixture import PIECE_SET, PIECES
from tests.draw.looking import outside, overlapping, words

from snugbay.draw import Area, Stroke, piece_drawing, pieces_overview
from snugbay.draw.piece import size_words
from snugbay.draw.scene import groups
from snugbay.draw.solid import back_outline, is_bevelled, is_plain
from snugbay.pieces import Edge, EdgeKind, Piece, PieceSet
from snugbay.tape import format_length


def inch(metres: float) -> str:
    return format_length(metres, "ft-in")


def mm(metres: float) -> str:
    return format_length(metres, "mm")


def board(outline: tuple[tuple[float, float], ...], bevels: tuple[float, ...], thickness: float = 0.05) -> Piece:
    return Piece("N1-1", "N1", 1, "polyiso-2in", thickness, outline, tuple(Edge(EdgeKind.ROUGH, 0, b) for b in bevels))


ALL = pytest.mark.parametrize("piece", PIECES, ids=[p.id for p in PIECES])


@ALL
def test_running_dimensions_reach_every_corner_from_the_datum(piece: Piece) -> None:
    scene = piece_drawing(piece, inch)
    said = words(scene)
    left = min(x for x, _ in piece.outline)
    low = min(y for _, y in piece.outline)
    for ring in (piece.outline, *piece.holes):
        for x, y in ring:
            assert x - left < 0.0012 or any(inch(x - left + d) in said for d in (0, 0.0012, -0.0012))
            assert y - low < 0.0012 or any(inch(y - low + d) in said for d in (0, 0.0012, -0.0012))
    assert overlapping(scene) == []
    assert outside(scene) == []
    assert len(groups(scene, "datum")) == 1
    assert f"front: {piece.front}" in said


@ALL
def test_front_is_drawn_to_scale(piece: Piece) -> None:
    scene = piece_drawing(piece, inch)
    area = groups(scene, "piece")[0].items[0]
    assert isinstance(area, Area)
    mm = 1000 / float(scene.note("scale").removeprefix("1:"))
    meant = Polygon(piece.outline, piece.holes)
    assert Polygon(area.rings[0], area.rings[1:]).area == pytest.approx(meant.area * mm**2)


def test_a_plug_prints_both_its_faces() -> None:
    plug = next(p for p in PIECES if p.id == "K1-P")
    said = " ".join(words(piece_drawing(plug, inch)))
    grow = 2 * plug.thickness * tan(radians(6))
    assert f"front {inch(0.3556)} x {inch(0.7492)}, back {inch(0.3556 + grow)} x {inch(0.7492 + grow)}" in said
    assert said.count("6° back larger") == 4


@given(st.floats(0.1, 2), st.floats(0.1, 2), st.floats(-0.6, 0.6), st.floats(0.01, 0.1))
def test_back_of_an_evenly_bevelled_rectangle(width: float, height: float, bevel: float, thickness: float) -> None:
    """Closed form: every side of the back moves out by t tan(bevel)."""
    by = thickness * tan(bevel)
    if min(width, height) + 2 * by < 0.01:
        return
    piece = board(((0, 0), (width, 0), (width, height), (0, height)), (bevel,) * 4, thickness)
    back = back_outline(piece)
    assert back[0] == pytest.approx((-by, -by), abs=1e-12)
    assert back[2] == pytest.approx((width + by, height + by), abs=1e-12)


def test_back_of_a_mitre_on_one_edge_only() -> None:
    piece = board(((0, 0), (1, 0), (1, 0.5), (0, 0.5)), (0, atan(0.5), 0, 0), 0.04)
    for seen, meant in zip(back_outline(piece), ((0, 0), (1.02, 0), (1.02, 0.5), (0, 0.5)), strict=True):
        assert seen == pytest.approx(meant)
    assert is_bevelled(piece)
    assert not is_plain(piece)
    assert size_words(piece, lambda m: f"{1000 * m:.0f}") == ("1020", "500")


def test_collinear_edges_keep_their_corner() -> None:
    piece = board(((0, 0), (0.5, 0), (1, 0), (1, 1), (0, 1)), (0.1, 0.1, 0, 0, 0))
    by = 0.05 * tan(0.1)
    assert back_outline(piece)[1] == pytest.approx((0.5, -by))


def test_size_is_that_of_the_drawing_whichever_way_the_arrow_points() -> None:
    """A turned box was listed: nobody found its width and height on the drawing or among the marks."""
    piece = Piece("A", "A", 1, "b", 0.05, ((0, 0), (2, 0), (2, 1), (0, 1)), (Edge(EdgeKind.FREE),) * 4, up=(1.0, 0.0))
    assert size_words(piece, lambda m: f"{m:.1f}") == ("2.0", "1.0")
    skew = replace(piece, up=(0.6, 0.8))
    assert size_words(skew, lambda m: f"{m:.1f}") == ("2.0", "1.0")


def test_only_plain_rectangles_go_without_a_card() -> None:
    assert [p.id for p in PIECES if not is_plain(p)] == ["K1-1a", "K1-1b", "K1-P"]
    square = (0.0,) * 4
    assert is_plain(board(((0, 0), (1, 0.0015), (1, 0.5), (0, 0.5)), square))
    assert not is_plain(board(((0, 0), (1, 0.003), (1, 0.5), (0, 0.5)), square))
    assert not is_plain(board(((0, 0), (1, 0), (0.8, 0.5), (0.2, 0.5)), square))


def test_overview_shows_every_piece_once_at_one_scale() -> None:
    scene = pieces_overview(PIECE_SET, inch)
    assert sorted(g.name for g in groups(scene, "piece")) == sorted(p.id for p in PIECES)
    assert overlapping(scene) == []
    assert outside(scene) == []
    mm = 1000 / float(scene.note("scale").removeprefix("1:"))
    by_id = {p.id: p for p in PIECES}
    for group in groups(scene, "piece"):
        area = group.items[0]
        assert isinstance(area, Area)
        meant = Polygon(by_id[group.name].outline, by_id[group.name].holes).area
        assert Polygon(area.rings[0], area.rings[1:]).area == pytest.approx(meant * mm**2)
    assert any(isinstance(i, Stroke) for g in groups(scene, "piece") for i in g.items)


def test_overview_of_nothing_says_so() -> None:
    assert pieces_overview(PieceSet((), (), ()), inch).items


def pipe(x: float, y: float, r: float) -> tuple[tuple[float, float], ...]:
    return tuple((x + r * cos(-pi * k / 12), y + r * sin(-pi * k / 12)) for k in range(24))


@pytest.mark.parametrize(("x", "y"), [(0.4, 0.3), (0.4, 0.02), (0.03, 0.03)])
def test_a_round_hole_is_given_by_its_centre_and_diameter(x: float, y: float) -> None:
    """Every corner of its polygon got a running dimension: a dozen figures on each other, some over the title."""
    whole = Polygon([(0.0, 0.0), (1.0, 0.0), (1.0, 0.7), (0.0, 0.7)]).difference(Polygon(pipe(x, y, 0.1)))
    ring = [(float(a), float(b)) for a, b in whole.exterior.coords[:-1]]
    outline = tuple(ring if whole.exterior.is_ccw else ring[::-1])
    holes = tuple(tuple((float(a), float(b)) for a, b in h.coords[:-1]) for h in whole.interiors)
    one = replace(board(outline, (0.0,) * len(outline)), holes=holes)
    scene = piece_drawing(one, mm)
    said = words(scene)
    assert {mm(x), mm(y)} <= set(said)
    assert any(w.startswith("dia. ") and mm(0.2) in w for w in said)
    numbers = [w for w in said if w.isdigit()]
    assert len(numbers) <= 2 + 2 + 4 * (not holes), "the box, the centre, and the ends of a bite"
    assert overlapping(scene) == []
    assert outside(scene) == []
