"""Cold spots: where a name says they lie, and that the drawing shows each once."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.booklet.plan_fixture import PLAN

from snugbay.draw import Medium, cold_spots, to_svg
from snugbay.draw.cold import located
from snugbay.draw.scene import Group, walk
from snugbay.prove import ColdSeam
from snugbay.survey import AdjustedFace

FACE = AdjustedFace("K1", ("A", "B", "C", "D"), ((0.0, 0.0), (4.0, 0.0), (4.0, 2.0), (0.0, 2.2)), (), (), 8.4)
A, B, C, D = FACE.points
NOWHERE = "Nobody knows where."


@pytest.mark.parametrize(
    ("spot", "where"),
    [
        ("A-B", (A, B)),
        ("side C-D", (C, D)),
        ("Joint C-B", (C, B)),
        ("corner D", (D,)),
        ("B", (B,)),
        ("sill", (A, B)),
        ("top edge", (C, D)),
        ("Top edge", (C, D)),
        ("left edge", (D, A)),
        ("right", (B, C)),
        ("top left corner", (D,)),
        ("lower right", (B,)),
        ("the nail", ()),
        ("A nail", (A,)),
        ("", ()),
    ],
)
def test_a_name_says_where_a_spot_lies(spot: str, where: tuple[tuple[float, float], ...]) -> None:
    assert located(spot, FACE) == where


def test_two_pieces_share_a_seam() -> None:
    faces = {f.id: f for f in PLAN.survey.faces}
    pieces = PLAN.pieces.pieces
    pairs = [
        (a, b)
        for n, a in enumerate(pieces)
        for b in pieces[n + 1 :]
        if (a.face, a.layer) == (b.face, b.layer) and located(f"{a.id} / {b.id}", faces[a.face], pieces)
    ]
    assert pairs
    for a, b in pairs:
        (px, py), (qx, qy) = located(f"{a.id} / {b.id}", faces[a.face], pieces)
        xs = [x for p in (a, b) for x, _ in p.outline]
        ys = [y for p in (a, b) for _, y in p.outline]
        assert min(xs) - 0.05 <= min(px, qx) <= max(px, qx) <= max(xs) + 0.05
        assert min(ys) - 0.05 <= min(py, qy) <= max(py, qy) <= max(ys) + 0.05
    one = pieces[0]
    assert len(located(one.id, faces[one.face], pieces)) == 1


@given(st.lists(st.sampled_from(["A-B", "corner C", "top", "under the rug", "B-C", "D"]), max_size=7))
def test_every_spot_is_told_and_those_with_a_place_are_drawn(names: list[str]) -> None:
    seams = [ColdSeam("K1", name, 2.0, 0.9 - 0.1 * n, f"{2 + n} K colder.") for n, name in enumerate(names)]
    scene = cold_spots(FACE, (), seams, "K1 knee wall", NOWHERE)
    groups = [item for _, item in walk(scene.items) if isinstance(item, Group)]
    assert [g.name for g in groups if g.layer == "spot"] == [n for n in names if n != "under the rug"]
    marks = [g.name for g in groups if g.layer == "mark"]
    assert all(marks.count(str(n)) == (1 if name == "under the rug" else 2) for n, name in enumerate(names, start=1))
    svg = to_svg(scene, Medium.PAGE)
    assert ("Nobody" in svg) == ("under the rug" in names)
