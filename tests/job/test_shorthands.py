"""Shorthands expand to plain faces and joins; field sheets ask for what fills them and for what checks them."""

import math
from collections.abc import Callable, Mapping
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from snugbay.base import InputError, UnknownName
from snugbay.job import Face, Join, Layer, Opening, Part, ReadingKind
from snugbay.job.outlines import (
    BY_EYE,
    Length,
    by_eye_squares,
    letters,
    polygon,
    read_key,
    rectangle,
    stations,
)
from snugbay.job.shorthands import (
    Common,
    Expanded,
    Precision,
    Taped,
    cellar_wall,
    dormer_cheek,
    field_readings,
    gable_triangle,
    knee_wall_run,
    niche_box,
    rafter_slope,
    rim_joist_row,
    sheet_kinds,
)

ZONES: dict[str, Any] = {"warm": "inside", "cold": "eaves"}
CORNERS = {
    "back": {"A": (0, 0, 0), "B": (1, 0, 0), "C": (1, 0, 1), "D": (0, 0, 1)},
    "left": {"A": (0, 1, 0), "B": (0, 0, 0), "C": (0, 0, 1), "D": (0, 1, 1)},
    "right": {"A": (1, 0, 0), "B": (1, 1, 0), "C": (1, 1, 1), "D": (1, 0, 1)},
    "top": {"A": (0, 0, 1), "B": (1, 0, 1), "C": (1, 1, 1), "D": (0, 1, 1)},
    "bottom": {"A": (0, 1, 0), "B": (1, 1, 0), "C": (1, 0, 0), "D": (0, 0, 0)},
}
"""Corners of a unit box: x to the right of a person who faces the back, y away from them, z up."""


def box(**extra: Any) -> Expanded:
    return niche_box(id="N", width=0.9, height=1.2, depth=0.6, **ZONES, **extra)


def lengths(face: Face) -> dict[str, float]:
    return {r.name: r.value for r in face.readings if r.kind is ReadingKind.DISTANCE}


def test_the_faces_of_a_box_are_seen_from_outside_and_joined_edge_to_edge() -> None:
    """Every face runs counter-clockwise as seen from outside, and joined edges are the same edge, run both ways."""
    expanded = box()
    assert [f.id for f in expanded.faces] == ["N-back", "N-left", "N-right", "N-top", "N-bottom"]
    for face in expanded.faces:
        p = CORNERS[face.id[2:]]
        u = [b - a for a, b in zip(p["A"], p["B"], strict=True)]
        v = [b - a for a, b in zip(p["B"], p["C"], strict=True)]
        normal = (u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0])
        middle = [sum(c[k] for c in p.values()) / 4 - 0.5 for k in range(3)]
        assert sum(a * b for a, b in zip(normal, middle, strict=True)) > 0
        assert face.board_side == "eaves"
        assert face.from_shorthand == "niche-box"
    assert len(expanded.joins) == 8
    for join in expanded.joins:
        a, b = CORNERS[join.a[2:]], CORNERS[join.b[2:]]
        assert (a[join.edge_a[0]], a[join.edge_a[1]]) == (b[join.edge_b[1]], b[join.edge_b[0]])
        assert join.opening == pytest.approx(3 * math.pi / 2)


def test_no_length_of_a_box_is_written_twice() -> None:
    found = [name for f in box().faces for name in lengths(f)]
    assert sorted(found) == ["A-B", "A-B", "D-A"]
    faces = {f.id: lengths(f) for f in box().faces}
    assert faces["N-back"] == {"A-B": 0.9, "D-A": 1.2}
    assert faces["N-left"] == {"A-B": 0.6}


def test_a_box_on_the_floor_under_the_slope_has_three_faces() -> None:
    expanded = box(top=False, bottom=False)
    assert [f.part for f in expanded.faces] == [Part.BOX_BACK, Part.BOX_SIDE, Part.BOX_SIDE]
    assert lengths(expanded.faces[2]) == {"A-B": 0.6}
    assert len(expanded.joins) == 2


def test_more_readings_go_to_the_face_they_name() -> None:
    expanded = box(more={"right C-D": Taped(0.61, 0.004, "24 in", "tape by hand"), "top A-B-C": 1.55})
    right = next(f for f in expanded.faces if f.id == "N-right")
    reading = next(r for r in right.readings if r.name == "C-D")
    assert (reading.value, reading.sigma, reading.written, reading.instrument) == (0.61, 0.004, "24 in", "tape by hand")
    top = next(f for f in expanded.faces if f.id == "N-top")
    angle = next(r for r in top.readings if r.instrument == "bevel gauge")
    assert (angle.kind, angle.corners, angle.sigma) == (ReadingKind.ANGLE, ("A", "B", "C"), Precision().angle)


@pytest.mark.parametrize("key", ["lid A-B", "back A-Z", "back A", "back A-A", "back A-B-C-D", "back"])
def test_keys_that_name_nothing_are_refused(key: str) -> None:
    with pytest.raises(InputError) as caught:
        box(more={key: 1.0})
    assert caught.value.hint


def test_common_things_reach_every_face() -> None:
    common = Common(layers=(Layer("plywood", 0.012),), substrate="gypsum", depth=0.1, never=("kit",), headroom=0.7)
    for face in box(common=common).faces:
        assert (face.layers, face.substrate, face.depth, face.never, face.headroom) == (
            common.layers, "gypsum", 0.1, ("kit",), 0.7,
        )  # fmt: skip


def test_a_knee_wall_run_with_a_wavy_top_and_a_floor() -> None:
    run = knee_wall_run(
        id="K", length=4.0, height=1.2, height_right=1.18, heights=[(1.5, 1.22), (3.0, 1.16)], floor=1.0, **ZONES
    )
    wall, floor = run.faces
    assert wall.corners == ("A", "B", "C", "D", "E", "F")
    heights = {r.corners[2]: r.value for r in wall.readings if r.kind is ReadingKind.OFFSET}
    assert heights == {"F": 1.2, "E": 1.22, "D": 1.16, "C": 1.18}
    assert floor.part is Part.FLOOR
    join = run.joins[0]
    assert (join.edge_a, join.edge_b, join.opening) == (("A", "B"), ("C", "D"), math.pi / 2)
    alone = knee_wall_run(id="K", length=4.0, height=1.2, more={"wall A-C": 4.17, "B-D": 4.18}, **ZONES).faces[0]
    assert {"A-C", "B-D"} <= set(lengths(alone))


def test_a_gable_needs_two_more_than_its_base() -> None:
    with pytest.raises(InputError, match="too little"):
        gable_triangle(id="G", base=3.0, left=2.0, **ZONES)
    by_height = gable_triangle(id="G", base=3.0, height=1.4, peak=1.6, **ZONES).faces[0]
    assert [r.kind for r in by_height.readings] == [ReadingKind.DISTANCE, ReadingKind.OFFSET, ReadingKind.ALONG]


def test_a_rafter_slope_has_open_bays() -> None:
    face = rafter_slope(id="S", width=3.6, rafter=2.4, pitch=0.7, spacing=0.6, first=0.3, **ZONES).faces[0]
    assert face.framing is not None
    assert (face.framing.spacing, face.framing.first, face.framing.direction) == (0.6, 0.3, "up")
    assert face.overhead
    assert face.tilt == 0.7


@settings(max_examples=30, deadline=None)
@given(st.floats(0.3, 1.5), st.floats(0.5, 2.5), st.sampled_from(["left", "right"]), st.booleans())
def test_a_cheek_of_either_hand_fits_its_lengths(front: float, top: float, hand: str, pointed: bool) -> None:
    """Lay the cheek out as the notes say, plumb edge at its hand, counter-clockwise, and compare every length."""
    back = 0.0 if pointed else 0.2
    rake = math.hypot(top, front - back)
    face = dormer_cheek(
        id="D", front=front, top=top, rake=rake, back=None if pointed else back, hand=hand, **ZONES
    ).faces[0]
    left = {"A": (0.0, 0.0), "B": (top, front - back), "C": (top, front), "D": (0.0, front)}
    right = {"A": (-top, front - back), "B": (0.0, 0.0), "C": (0.0, front), "D": (-top, front)}
    places = left if hand == "left" else right
    if pointed:
        places = {"A": places["A"], "B": places["B"], "C": places["D" if hand == "left" else "C"]}
    ring = [complex(*places[c]) for c in face.corners]
    area = sum((a.conjugate() * b).imag for a, b in zip(ring, ring[1:] + ring[:1], strict=True)) / 2
    assert area > 0
    for reading in face.readings:
        p, q = (complex(*places[c]) for c in reading.corners[:2])
        if reading.kind is ReadingKind.DISTANCE:
            assert abs(q - p) == pytest.approx(reading.value)
        elif reading.kind is ReadingKind.LEAN:
            assert math.atan2((q - p).real, (q - p).imag) == pytest.approx(0.0)
        else:
            assert reading.value == pytest.approx(math.pi / 2)


def test_a_cheek_has_a_hand() -> None:
    with pytest.raises(InputError, match="left or right"):
        dormer_cheek(id="D", front=1, top=1, rake=1, hand="middle", **ZONES)


def test_a_rim_joist_row_has_one_face_for_each_pocket() -> None:
    row = rim_joist_row(id="R", widths=[(0.37, 20), (0.3, 4), (0.37, 20)], height=0.235, **ZONES)
    assert len(row.faces) == 44
    assert row.faces[0].id == "R-01"
    assert [lengths(f)["A-B"] for f in row.faces[19:25]] == [0.37, 0.3, 0.3, 0.3, 0.3, 0.37]
    assert all(len(f.rough_edges) == 4 for f in row.faces)
    for bad in ([], [(0.37, 0)]):
        with pytest.raises(InputError):
            rim_joist_row(id="R", widths=bad, height=0.2, **ZONES)


def test_a_cellar_wall_keeps_its_openings() -> None:
    window = Opening("window", 1.0, 1.2, 0.8, 0.5)
    face = cellar_wall(id="C", length=6.0, height=2.2, height_right=2.19, openings=[window], **ZONES).faces[0]
    assert face.openings == (window,)
    assert face.substrate == "masonry"
    assert face.board_side == "inside"
    assert lengths(face) == {"A-B": 6.0, "D-A": 2.2, "B-C": 2.19}


def test_three_square_corners_by_eye_and_not_four() -> None:
    """The fourth follows from the others: counting it would make the eye check itself."""
    squares = by_eye_squares(letters(4), Precision())
    assert [r.corners[1] for r in squares] == ["A", "B", "C"]
    assert all(r.instrument == BY_EYE and r.sigma == pytest.approx(math.radians(1.0)) for r in squares)
    assert not any(r.instrument == BY_EYE for r in rectangle(1.0, 1.0, by_eye=False).readings)


def test_outlines_by_keys_and_stations() -> None:
    shape = polygon({"A-B": 2.0, "B-C": 1.0, "C-A": 1.8, "A-B off C": 0.9, "A-C lean": 0.2})
    assert shape.corners == ("A", "B", "C")
    assert [r.kind for r in shape.readings[3:]] == [ReadingKind.OFFSET, ReadingKind.LEAN]
    with pytest.raises(InputError, match="left to right"):
        stations(3.0, [(1.0, 1.0), (0.5, 1.0)])
    assert letters(28)[-2:] == ("A2", "B2")
    with pytest.raises(InputError):
        read_key("A-B beside C")


SHORTHANDS: Mapping[str, Callable[..., Expanded]] = {
    "niche-box": niche_box,
    "knee-wall-run": knee_wall_run,
    "gable-triangle": gable_triangle,
    "rafter-slope": rafter_slope,
    "dormer-cheek": dormer_cheek,
    "rim-joist-row": rim_joist_row,
    "cellar-wall": cellar_wall,
}


def filled(kind: str) -> Expanded:
    """Fill a blank sheet from its own example outlines and hand it to its shorthand."""
    sheet = field_readings(kind)
    fields: dict[str, Length] = {}
    more: dict[str, Length] = {}
    for ask in sheet.readings:
        face = next(f for f in sheet.faces if f.name == ask.face)
        at = [complex(*face.points[face.corners.index(c)]) for c in ask.corners]
        if ask.kind is ReadingKind.DISTANCE:
            value = abs(at[1] - at[0])
        elif ask.kind is ReadingKind.ANGLE:
            value = abs(math.remainder(math.atan2(*_turn(at)), 2 * math.pi))
        elif ask.kind is ReadingKind.LEAN:
            value = math.atan2((at[1] - at[0]).real, (at[1] - at[0]).imag)
        else:
            part = (at[2] - at[0]) * ((at[1] - at[0]) / abs(at[1] - at[0])).conjugate()
            value = part.real if ask.kind is ReadingKind.ALONG else part.imag
        if ask.field:
            fields[ask.field.replace("-", "_")] = value
        else:
            more[ask.key] = value
    arguments: dict[str, object] = dict(fields)
    if kind == "rim-joist-row":
        arguments["widths"] = [(fields["widths"], 3)]
    else:
        arguments["more"] = more
    if kind == "rafter-slope":
        arguments["pitch"] = 0.7
    return SHORTHANDS[kind](id="X", **ZONES, **arguments)


def _turn(at: list[complex]) -> tuple[float, float]:
    turned = (at[2] - at[1]) * (at[0] - at[1]).conjugate()
    return turned.imag, turned.real


@pytest.mark.parametrize("kind", sheet_kinds())
def test_a_filled_field_sheet_fits_its_shorthand(kind: str) -> None:
    """Every blank of the sheet is a field or a key that the shorthand takes, and the readings agree with each other."""
    sheet = field_readings(kind)
    expanded = filled(kind)
    assert expanded.faces
    assert [r.number for r in sheet.readings] == list(range(1, len(sheet.readings) + 1))
    assert any(r.check for r in sheet.readings), "a sheet asks for readings that make a slip show"
    assert all(len(f.corners) == len(f.points) for f in sheet.faces)
    names = {f.name for f in sheet.faces}
    assert {r.face for r in sheet.readings} <= names
    joined: set[str] = {j.a for j in expanded.joins} | {j.b for j in expanded.joins}
    assert joined <= {f.id for f in expanded.faces}


def test_an_unknown_sheet_lists_close_names() -> None:
    with pytest.raises(UnknownName) as caught:
        field_readings("nich-box")
    assert "niche-box" in caught.value.hint


def test_joins_keep_their_own_precision() -> None:
    loose: tuple[Join, ...] = box(precision=Precision(join=math.radians(2.0))).joins
    assert all(j.sigma == pytest.approx(math.radians(2.0)) for j in loose)
