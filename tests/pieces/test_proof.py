"""The proof must be able to fail: overlaps, bare spots, boards that cannot be put in, boards in other faces."""

from dataclasses import replace
from math import cos, pi, sin, tan

import manifold3d
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.pieces.rooms import Corners, adjusted, box_faces, face, job_of, room, survey_of, wall
from tests.said import said

from snugbay.base import Run, Weight
from snugbay.document import example, read
from snugbay.job import Access, Hole, HotThing, Job, Opening, Part
from snugbay.pieces import (
    BoardChoice,
    Edge,
    EdgeKind,
    Fitting,
    Piece,
    PieceSet,
    Room,
    make_pieces,
    prove_in_solids,
    room_before,
    solid,
    surfaces,
    way_in,
)
from snugbay.pieces.entry import Captive, way_to_put_in
from snugbay.survey import Frame, Survey
from snugbay.survey import survey as surveyed

ON = ((0.05, Fitting.ON_FACE),)
FLAT = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


def plain() -> tuple[Job, Survey, PieceSet]:
    job, survey = room({"W": wall(4.0, 2.4)})
    return job, survey, make_pieces(job, survey, (BoardChoice("W", "polyiso-2in", ON, 1.2, 2.4),), Run()).value


def test_the_sentence() -> None:
    job, survey, made = plain()
    proof = prove_in_solids(job, survey, made, Run())
    assert said(proof.said).startswith("4 pieces, 0 overlaps, 100 % covered, no gaps")
    assert proof.order == ("W-1a", "W-1b", "W-1c", "W-1d")
    assert (proof.overlaps, proof.bare, proof.all_pass_the_way_in, proof.all_reach_place) == (0, 0.0, True, True)


def test_a_shifted_piece_overlaps_and_leaves_a_bare_spot() -> None:
    job, survey, made = plain()
    moved = replace(made.pieces[1], outline=tuple((x - 0.02, y) for x, y in made.pieces[1].outline))
    proof = prove_in_solids(job, survey, replace(made, pieces=(made.pieces[0], moved, *made.pieces[2:])), Run())
    assert proof.overlaps == 1
    assert proof.bare == pytest.approx(0.02 / 4.0, rel=0.1)
    assert {"pieces.overlap", "pieces.bare"} <= {f.code for f in proof.findings}
    assert "1 overlap," in said(proof.said)


def test_a_missing_piece_is_seen() -> None:
    job, survey, made = plain()
    proof = prove_in_solids(job, survey, replace(made, pieces=made.pieces[:3], way_in=made.way_in[:3]), Run())
    assert proof.coverage == pytest.approx(0.9, abs=0.001)
    assert proof.bare == pytest.approx(0.1, abs=0.001)


def test_a_piece_that_does_not_pass_is_seen() -> None:
    job, survey, made = plain()
    verdict = way_in(1.2, 2.4, 0.05, Access(0.5, 0.5, 1.0, 1.0))
    failing = (replace(made.way_in[0], passes=verdict.passes, how=verdict.how), *made.way_in[1:])
    proof = prove_in_solids(job, survey, replace(made, way_in=failing), Run())
    assert not proof.all_pass_the_way_in
    assert "way in" in said(proof.said)


def test_boards_thicker_than_the_space_before_another_face_stand_into_it() -> None:
    """Two walls 8 cm apart, face to face: boards of 10 cm on one stand into the other."""
    faces: dict[str, Corners] = {
        "A": wall(1.0, 1.0),
        "B": [(1, -0.08, 0), (0, -0.08, 0), (0, -0.08, 1), (1, -0.08, 1)],
    }
    job, survey = room(faces)
    made = make_pieces(job, survey, (BoardChoice("A", "polyiso-2in", ((0.1, Fitting.ON_FACE),), 2, 2),), Run()).value
    proof = prove_in_solids(job, survey, made, Run())
    assert not proof.all_reach_place
    assert [f.weight for f in proof.findings if f.code == "pieces.through"] == [Weight.STOP]


def leaning(left: float, right: float, closed: bool) -> tuple[Job, Survey]:
    """A floor between two walls at these angles, its other two sides open or closed by plumb walls."""
    a, b = left * pi / 180, right * pi / 180
    low, high = [(0, 0), (1.2, 0)], [(cos(a), sin(a)), (1.2 - cos(b), sin(b))]
    faces: dict[str, Corners] = {
        "floor": [(0, 0, 0), (1.2, 0, 0), (1.2, 1.0, 0), (0, 1.0, 0)],
        "west": [(0, 0, 0), (0, 1.0, 0), (cos(a), 1.0, sin(a)), (cos(a), 0, sin(a))],
        "east": [(1.2, 1.0, 0), (1.2, 0, 0), (1.2 - cos(b), 0, sin(b)), (1.2 - cos(b), 1.0, sin(b))],
    }
    if closed:
        ring = [low[0], high[0], high[1], low[1]]
        faces["south"] = [(x, 0.0, z) for x, z in ring]
        faces["north"] = [(x, 1.0, z) for x, z in ring[::-1]]
    return room(faces, {"floor": Part.FLOOR})


@pytest.mark.parametrize(
    ("left", "right", "closed", "count", "words"),
    [
        (90, 90, True, 1, ""),
        (120, 120, True, 1, ""),
        (60, 120, True, 1, "Slide it under west."),
        (70, 90, True, 1, "Hook it under west, then press the other side down."),
        (50, 50, False, 1, "Slide it in flat from its open side."),
        (50, 50, True, 3, "Slide it under"),
    ],
)
def test_boards_under_leaning_walls(left: float, right: float, closed: bool, count: int, words: str) -> None:
    job, survey = leaning(left, right, closed)
    made = make_pieces(job, survey, (BoardChoice("floor", "polyiso-2in", ON, 3, 3),), Run())
    pieces = made.value.pieces
    assert len(pieces) == count
    assert pieces[0].note.startswith(words)
    proof = prove_in_solids(job, survey, made.value, Run())
    assert proof.all_reach_place
    assert proof.overlaps == 0
    assert proof.bare < 1e-3


def test_one_board_between_two_leaning_walls_is_stuck_in_a_closed_room() -> None:
    """The board that is drawn in where the room is open; with plumb walls at its ends nothing moves it."""
    job, survey = leaning(50, 50, False)
    choice = (BoardChoice("floor", "polyiso-2in", ON, 3, 3),)
    made = make_pieces(job, survey, choice, Run()).value
    (whole,) = made.pieces
    shorter = tuple((x, 0.002 + 0.996 * y) for x, y in whole.outline)
    closed_job, closed_survey = leaning(50, 50, True)
    piece_set = replace(made, pieces=(replace(whole, outline=shorter),))
    proof = prove_in_solids(closed_job, closed_survey, piece_set, Run())
    assert proof.overlaps == 0
    assert not proof.all_reach_place
    assert "not to be put in" in said(proof.said)


def captive(x0: float, y0: float, x1: float, y1: float, lean: float, gap: float = 0.003) -> Captive:
    return Captive((x0, y0), (x1, y1), lean, gap, f"{x0:g}")


def test_ways_to_put_a_board_in() -> None:
    south, north = (0, 0, 2, 0), (2, 1, 0, 1)
    assert way_to_put_in([captive(*south, 0.0), captive(*north, 0.0)], 0.05) == ""
    assert way_to_put_in([captive(*south, 0.5)], 0.05) == "slide it under 0"
    assert way_to_put_in([captive(*south, 0.5), captive(*north, -0.6)], 0.05) == "slide it under 0"
    assert (way_to_put_in([captive(*south, 0.5), captive(*north, 0.0)], 0.05) or "").startswith("hook it under 0")
    sides = [captive(2, 0, 2, 1, 0.0), captive(0, 1, 0, 0, 0.0)]
    assert way_to_put_in([captive(*south, 0.5), captive(*north, 0.5)], 0.05) == "slide it in flat from its open side"
    assert way_to_put_in([captive(*south, 0.5), captive(*north, 0.5), *sides], 0.05) is None
    assert way_to_put_in([captive(*south, 1.5, 0.0), captive(*north, 0.0, 0.0), *sides], 0.05) is None


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    n=st.integers(3, 7),
    turn=st.floats(0, 6.3),
    bevels=st.lists(st.floats(-0.6, 0.6), min_size=7, max_size=7),
    thickness=st.floats(0.02, 0.1),
    depth=st.floats(-0.2, 0.2),
)
def test_a_solid_is_closed_and_has_the_volume_of_its_bevels(
    n: int, turn: float, bevels: list[float], thickness: float, depth: float
) -> None:
    """A regular polygon with bevelled edges is a prismatoid: Simpson's rule over front, middle and back is exact."""
    angles = turn + 2 * pi * np.arange(n) / n
    outline = tuple((float(np.cos(w)), float(np.sin(w))) for w in angles)
    edges = tuple(Edge(EdgeKind.CORNER, 0.0, b) for b in bevels[:n])
    piece = Piece("p", "f", 1, "m", thickness, outline, edges, depth=depth)
    vertices, triangles = solid(piece, FLAT)
    body = manifold3d.Manifold(manifold3d.Mesh64(vertices * 1000.0, triangles.astype(np.uint64)))
    assert body.status() == manifold3d.Error.NoError
    assert len(vertices) == 2 * n

    def area(z: float) -> float:
        from snugbay.pieces.plane import offset_outline

        points = np.array(offset_outline(outline, [-z * tan(e.bevel) for e in edges])[0])
        x, y = points.T
        return 0.5 * float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))

    simpson = thickness / 6 * (area(0.0) + 4 * area(thickness / 2) + area(thickness))
    assert body.volume() * 1e-9 == pytest.approx(simpson, rel=1e-9)
    assert vertices[:n, 2] == pytest.approx(depth + thickness)
    assert vertices[n:, 2] == pytest.approx(depth)


def test_a_solid_with_a_hole_has_the_hole() -> None:
    job, survey = room({"W": wall(1.0, 1.0)})
    made = make_pieces(job, survey, (BoardChoice("W", "polyiso-2in", ON, 2, 2),), Run()).value
    hole = ((0.4, 0.4), (0.4, 0.6), (0.6, 0.6), (0.6, 0.4))
    piece = replace(made.pieces[0], holes=(hole,))
    frame = survey.face("W").frame
    assert frame is not None
    vertices, triangles = solid(piece, frame)
    body = manifold3d.Manifold(manifold3d.Mesh64(vertices * 1000.0, triangles.astype(np.uint64)))
    assert body.genus() == 1
    assert body.volume() * 1e-9 == pytest.approx(0.05 * 0.96)


def test_faces_without_a_place_are_proved_each_for_itself() -> None:
    one = adjusted("A", wall(2.0, 1.0))
    job = job_of([face("A", 4), face("B", 4)])
    survey = survey_of([replace(one, frame=None), replace(one, id="B", frame=None)])
    choices = tuple(BoardChoice(f, "polyiso-2in", ON, 1.2, 2.4) for f in "AB")
    proof = prove_in_solids(job, survey, make_pieces(job, survey, choices, Run()).value, Run())
    assert (proof.pieces, proof.overlaps, proof.bare) == (2, 0, 0.0)


def test_a_box_of_three_layers_is_proved() -> None:
    faces = box_faces(1.6, 1.4, 1.2, True)
    job, survey = room(faces)
    choices = tuple(BoardChoice(f, "polyiso-2in", ON * 3, 1.2, 2.4) for f in faces)
    proof = prove_in_solids(job, survey, make_pieces(job, survey, choices, Run()).value, Run())
    assert proof.overlaps == 0
    assert proof.coverage == pytest.approx(1.0, abs=1e-6)
    assert proof.all_reach_place
    assert len(proof.order) == proof.pieces


@pytest.mark.parametrize(("thing", "near"), [(HotThing.SINGLE_WALL, True), (HotThing.TYPE_B_VENT, False)])
def test_boards_of_the_wall_beside_a_flue_in_the_floor_are_seen(thing: HotThing, near: bool) -> None:
    """A flue 12 cm from a wall whose boards are 5 cm thick: 7 cm is enough for a vent, too little for a bare pipe."""
    floor: Corners = [(0, 0, 0), (3, 0, 0), (3, 2, 0), (0, 2, 0)]
    upright: Corners = [(0, 2, 0), (3, 2, 0), (3, 2, 2.2), (0, 2, 2.2)]
    job, survey = room({"F": floor, "W": upright}, {"F": Part.FLOOR})
    flue = Hole("flue", 1.5, 2.0 - 0.12 - 0.075, 0.15, 0.15, hot=True, hot_thing=thing)
    job = replace(job, faces=(replace(job.faces[0], holes=(flue,)), job.faces[1]))
    choices = tuple(BoardChoice(f, "polyiso-2in", ON, 1.2, 2.4) for f in ("F", "W"))
    made = make_pieces(job, survey, choices, Run()).value
    found = [f for f in prove_in_solids(job, survey, made, Run()).findings if f.code == "pieces.hot-near"]
    assert bool(found) is near
    assert all(f.weight is Weight.STOP and f.where == ("faces", "W") for f in found)


@pytest.mark.parametrize(("gap", "near"), [(0.03, True), (0.2, False)])
def test_a_plug_beside_a_flue_of_the_same_wall_is_seen(gap: float, near: bool) -> None:
    """Boards are cut to keep clear, but an opening stays where it is, and its plug is of foam."""
    job, survey = room({"W": wall(3.0, 2.0)})
    hatch = Opening("hatch", 0.6, 0.5, 0.5, 0.7, plug=True)
    flue = Hole("flue", 1.1 + gap + 0.075, 0.9, 0.15, 0.15, hot=True, hot_thing=HotThing.SINGLE_WALL)
    job = replace(job, faces=(replace(job.faces[0], holes=(flue,), openings=(hatch,)),))
    made = make_pieces(job, survey, (BoardChoice("W", "polyiso-2in", ON, 1.2, 2.4),), Run()).value
    found = [f for f in prove_in_solids(job, survey, made, Run()).findings if f.code == "pieces.hot-near"]
    assert bool(found) is near
    assert all(f.weight is Weight.STOP and "plug" in said(f) for f in found)


@pytest.mark.parametrize(("apart", "most", "other"), [(0.08, 0.05, "B"), (0.03, 0.0, "B"), (0.25, None, "")])
def test_the_room_before_a_face_is_the_thickest_board_that_stands_into_nothing(
    apart: float, most: float | None, other: str
) -> None:
    """Two walls face to face, nothing joined: boards of 50 and 100 mm, one layer or two."""
    faces: dict[str, Corners] = {
        "A": wall(1.0, 1.0),
        "B": [(1, -apart, 0), (0, -apart, 0), (0, -apart, 1), (1, -apart, 1)],
    }
    job, survey = room(faces)
    made = make_pieces(job, survey, (BoardChoice("A", "polyiso-2in", ON, 2, 2),), Run()).value
    found = room_before(job, survey, made.pieces, surfaces(job, survey), (0.05, 0.1, 0.2))
    if most is None:
        assert found is None
    else:
        assert found == Room(most, other)


def test_joined_faces_leave_the_room_to_the_corner() -> None:
    """A wall leans 5 degrees over a floor: joined, the boards end before it; unjoined, they stand into it."""
    faces: dict[str, Corners] = {
        "F": [(0, 0, 0), (3, 0, 0), (3, 2, 0), (0, 2, 0)],
        "W": [(0, 2, 0), (3, 2, 0), (3, 1.825, 2), (0, 1.825, 2)],
    }
    job, survey = room(faces)
    for asked, expected in ((job, None), (replace(job, joins=()), Room(0.0, "W"))):
        made = make_pieces(asked, survey, (BoardChoice("F", "polyiso-2in", ON, 1.2, 2.4),), Run()).value
        assert room_before(asked, survey, made.pieces, surfaces(asked, survey), (0.05, 0.2)) == expected


def test_floor_boards_go_round_a_bare_box() -> None:
    """The cottage's window seat stands over its eaves floor; the floor's boards keep off it, boarded or not."""
    job = read(example("ferry-cottage"))
    survey = surveyed(job, Run()).value
    over = ((0.0508, Fitting.OVER),)
    made = make_pieces(job, survey, (BoardChoice("F1", "polyiso-2in", over, 1.2192, 2.4384),), Run()).value
    findings = prove_in_solids(job, survey, made, Run()).findings
    assert not any(f.code == "pieces.through" for f in findings)
    assert any("window-seat" in e.neighbour.lower() for p in made.pieces for e in p.edges)
