from __future__ import annotations

from dataclasses import replace
from math import hypot, pi, radians, tan

import pytest
from tests.booklet.plan_fixture import JOB, SURVEY
from tests.draw.looking import outside, overlapping, words

from snugbay.base import UnknownName
from snugbay.draw import Area, Disc, Group, SketchPage, Stroke, face_sketch
from snugbay.draw.face import notch_outline, reading_words
from snugbay.draw.scene import groups, walk
from snugbay.job import Face, Job, Part, Reading, ReadingKind
from snugbay.survey import AdjustedFace, AdjustedReading, Survey
from snugbay.tape import format_length


def inch(metres: float) -> str:
    return format_length(metres, "ft-in")


FACES = pytest.mark.parametrize("face", [f.id for f in JOB.faces])


@FACES
def test_every_reading_stands_once_where_it_was_taken(face: str) -> None:
    scene = face_sketch(JOB, SURVEY, face, inch)
    adjusted = SURVEY.face(face)
    assert sorted(g.name for g in groups(scene, "reading")) == sorted(r.reading.name for r in adjusted.readings)
    for found in adjusted.readings:
        assert sum(reading_words(found, inch) in w for w in words(scene)) >= 1
    assert overlapping(scene) == []
    assert outside(scene) == []
    assert [g.name for g in groups(scene, "corner")] == list(adjusted.corners)


def test_suspects_are_told_by_shape_not_only_by_colour() -> None:
    scene = face_sketch(JOB, SURVEY, "N1", inch)
    by_name = {g.name: g for g in groups(scene, "reading")}
    looks = {i.look for _, i in walk(by_name["B-D"].items) if not isinstance(i, Group)}
    assert {"warn-box", "crayon-solid"} <= looks
    plain = {i.look for _, i in walk(by_name["A-C"].items) if not isinstance(i, Group)}
    assert not {"warn-box", "crayon-solid"} & plain
    assert any(isinstance(i, Disc) for i in by_name["square at A"].items)


def test_interruptions_and_rough_edges_are_drawn() -> None:
    scene = face_sketch(JOB, SURVEY, "K1", inch)
    assert {g.name for g in groups(scene, "interruption")} == {"rafter", "cold pipe", "hatch"}
    assert [g.name for g in groups(scene, "rough")] == ["A-B"]


def test_notch_outline_is_what_the_tape_says() -> None:
    points = ((0.0, 0.0), (2.0, 0.0), (2.0, 1.0), (0.0, 1.0))
    near, deep, far, end = notch_outline(points, ("A", "B", "C", "D"), ("A", "B"), (0.5, 0.1, 0.2, radians(10)))
    assert near == pytest.approx((0.5, 0.0))
    assert end == pytest.approx((0.6, 0.0))
    assert deep == pytest.approx((0.5 + 0.2 * tan(radians(10)), 0.2))
    assert far == pytest.approx((0.6 + 0.2 * tan(radians(10)), 0.2))


def gable() -> tuple[Job, Survey]:
    """A leaning gable with stations, an angle, a lean and a twist."""
    points = {"A": (0.0, 0.0), "B": (3.2, 0.0), "C": (2.6, 1.1), "D": (1.4, 1.9), "E": (0.3, 0.8)}
    names = tuple(points)

    def reading(
        kind: ReadingKind, corners: tuple[str, ...], value: float, name: str, unchecked: bool
    ) -> AdjustedReading:
        read = Reading(kind, corners, value, 0.0015, "", name)
        return AdjustedReading(read, value + 0.002, 0.002, 0.0 if unchecked else 0.4, 0.5, 0.01)

    taken = [
        reading(ReadingKind.DISTANCE, ("A", "B"), 3.2, "A-B", False),
        reading(ReadingKind.DISTANCE, ("B", "D"), 2.6, "B-D", False),
        reading(ReadingKind.DISTANCE, ("A", "C"), 2.82, "A-C", True),
        reading(ReadingKind.ANGLE, ("E", "A", "B"), 1.2, "angle at A", False),
        reading(ReadingKind.LEAN, ("A", "E"), radians(2), "lean", True),
        reading(ReadingKind.TWIST, ("C",), 0.006, "twist at C", True),
    ]
    for k, corner in enumerate("CDE"):
        x, y = points[corner]
        taken.append(reading(ReadingKind.ALONG, ("A", "B", corner), x, f"station {k + 1}", False))
        taken.append(reading(ReadingKind.OFFSET, ("A", "B", corner), y, f"station {k + 1} height", k == 1))
    face = Face("G1", "gable", Part.GABLE, "room", "eaves", "eaves", pi / 2, names, tuple(t.reading for t in taken))
    fitted = AdjustedFace("G1", names, tuple(points.values()), ((0.0,) * 10,) * 10, tuple(taken), 3.9)
    return replace(JOB, faces=(face,), joins=()), replace(SURVEY, faces=(fitted,))


def test_stations_angles_leans_and_twists_find_room() -> None:
    job, survey = gable()
    scene = face_sketch(job, survey, "G1", inch)
    assert len(groups(scene, "reading")) == 12
    assert overlapping(scene) == []
    assert outside(scene) == []
    offset = {g.name: g for g in groups(scene, "reading")}["station 2 height"]
    line = next(i for i in offset.items if isinstance(i, Stroke))
    (x0, y0), (x1, y1) = line.points[0], line.points[-1]
    assert abs(x0 - x1) < 1e-9
    outline = groups(scene, "face")[0].items[0]
    assert isinstance(outline, Area)
    a, b = outline.rings[0][0], outline.rings[0][1]
    mm = hypot(b[0] - a[0], b[1] - a[1]) / 3.2
    assert abs(y0 - y1) == pytest.approx(1.9 * mm)


def test_small_sketches_for_a_screen_stay_readable() -> None:
    scene = face_sketch(JOB, SURVEY, "N1", inch, SketchPage(132.0, 104.0))
    assert scene.width == 132.0
    assert overlapping(scene) == []


def test_unknown_face_is_named() -> None:
    with pytest.raises(UnknownName, match="Z9"):
        face_sketch(JOB, SURVEY, "Z9", inch)
