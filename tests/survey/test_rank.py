"""What can still fold is said in words, contradictions name the smallest set, faults are found together."""

import math
import pickle
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from snugbay.base import OutOfRange, Problems, Run, SurveyError, UnknownName
from snugbay.job import Face, Join, ReadingKind
from snugbay.job.outlines import Length, polygon, triangle
from snugbay.job.shorthands import niche_box
from snugbay.survey import SurveyOptions, adjust
from snugbay.survey.contradiction import smallest
from snugbay.survey.practice import angles, bare_face, diagonals, outline, read, sides
from snugbay.words import Writer

OPTIONS = SurveyOptions()


def polygon_face(readings: dict[str, Length], count: int = 4, face_id: str = "N3") -> Face:
    return replace(bare_face(face_id, count), readings=polygon(readings).readings)


def test_a_face_that_can_fold_is_told_what_holds_it() -> None:
    face = polygon_face({"A-B": 3.0, "B-C": 2.0, "C-D": 3.0, "D-A": 2.0})
    with pytest.raises(SurveyError, match="N3 can still fold") as caught:
        adjust([face], (), OPTIONS, Run())
    assert caught.value.code == "survey.folds"
    assert caught.value.where[:2] == ("faces", "N3")
    assert "diagonal" in caught.value.hint
    assert "or the angle at" in caught.value.hint


def test_the_cure_that_is_named_cures() -> None:
    """Whatever is missing of a random set of readings, adding what the hint names leaves nothing that folds."""
    rng = np.random.default_rng(3)
    for _ in range(20):
        count = int(rng.integers(4, 9))
        face, truth = bare_face("F", count), outline(rng, count, rough=0.1)
        pool = sides(face) + diagonals(face)
        keep = [pool[int(i)] for i in rng.permutation(len(pool))[: max(2, 2 * count - 3 - int(rng.integers(1, 4)))]]
        for _ in range(2 * count):
            hint = folding(read(face, truth, keep, None).face)
            if not hint:
                break
            named = [w.strip(".,") for w in hint.split(", or")[0].split() if "-" in w]
            assert named, hint
            keep += [(ReadingKind.DISTANCE, tuple(w.split("-"))) for w in named]
        assert not folding(read(face, truth, keep, None).face), "the hints never held the face"


def folding(face: Face) -> str:
    """Return the hint for a face that can fold, empty where it cannot."""
    try:
        adjust([face], (), OPTIONS, Run())
    except SurveyError as error:
        return error.hint if error.code == "survey.folds" else ""
    return ""


def test_a_corner_that_nobody_read_is_named() -> None:
    face = polygon_face({"A-B": 3.0, "B-C": 2.0, "C-A": 3.5})
    with pytest.raises(SurveyError, match="Nothing says where corner D"):
        adjust([face], (), OPTIONS, Run())


def test_a_dangling_edge_of_joined_faces_is_named() -> None:
    box = niche_box(id="N1", width=0.9, height=1.2, depth=0.6, warm="i", cold="e")
    faces = [replace(f, readings=f.readings[1:]) if f.id == "N1-back" else f for f in box.faces]
    with pytest.raises(SurveyError, match="can still fold"):
        adjust(faces, box.joins, OPTIONS, Run())


@settings(max_examples=20, deadline=None)
@given(st.floats(0.5, 2.0), st.floats(0.5, 2.0), st.floats(0.02, 0.5))
def test_a_broken_triangle_names_its_three_sides(a: float, b: float, over: float) -> None:
    face = replace(bare_face("G", 3), readings=triangle(a, b, a + b + over).readings)
    with pytest.raises(SurveyError, match=r"survey\.contradiction") as caught:
        adjust([face], (), OPTIONS, Run())
    assert "longer than the other two together" in Writer().error(caught.value)
    assert "A-B, B-C and C-A of face G cannot all be right" in Writer().error(caught.value)
    assert pickle.loads(pickle.dumps(caught.value)).where == caught.value.where


def test_the_smallest_contradicting_set_of_many_readings() -> None:
    """Five corners, all sides and two diagonals, one triangle of them impossible."""
    face = polygon_face({"A-B": 1.0, "B-C": 1.0, "C-A": 2.2, "C-D": 1.2, "D-E": 1.1, "E-A": 1.3, "C-E": 1.5}, 5)
    points = np.array([[0, 0, 0], [1, -0.3, 0], [2, 0, 0], [2, 1, 0], [0.5, 1.2, 0]], dtype=float)
    found = [face.readings[i].name for i in smallest(face, points, OPTIONS)]
    assert found == ["A-B", "B-C", "C-A"]
    with pytest.raises(SurveyError) as caught:
        adjust([face], (), OPTIONS, Run())
    assert "A-B, B-C and C-A" in Writer().error(caught.value)


def test_readings_that_agree_contradict_nothing() -> None:
    face = polygon_face({"A-B": 3.0, "B-C": 2.0, "C-D": 3.0, "D-A": 2.0, "A-C": math.hypot(3, 2)})
    points = np.array([[0, 0, 0], [3, 0, 0], [3, 2, 0], [0, 2, 0]], dtype=float)
    assert smallest(face, points, OPTIONS) == ()


def test_all_faults_are_found_together() -> None:
    good = polygon_face({"A-B": 3.0, "B-C": 2.0, "C-D": 3.0, "D-A": 2.0, "A-C": 3.6}, face_id="X")
    first = good.readings[0]
    bad = replace(good, id="Y", readings=(replace(first, corners=("A", "Z")), replace(first, sigma=0.0)))
    with pytest.raises(Problems) as caught:
        adjust([good, bad], [Join("X", ("A", "B"), "W", ("A", "B"), 1.5)], OPTIONS, Run())
    kinds = [type(e) for e in caught.value.errors]
    assert kinds == [UnknownName, OutOfRange, UnknownName]
    assert caught.value.errors[0].where == ("faces", "Y", "readings", "A-B")


@pytest.mark.parametrize(
    ("kind", "corners", "value"),
    [
        (ReadingKind.DISTANCE, ("A", "B"), -1.0),
        (ReadingKind.DISTANCE, ("A", "B"), 1000.0),
        (ReadingKind.DISTANCE, ("A", "B"), math.nan),
        (ReadingKind.ANGLE, ("A", "B", "C"), 7.0),
        (ReadingKind.OFFSET, ("A", "B", "C"), 500.0),
        (ReadingKind.LEAN, ("A", "B"), 10.0),
    ],
)
def test_impossible_values_are_refused(kind: ReadingKind, corners: tuple[str, ...], value: float) -> None:
    face = polygon_face({"A-B": 3.0, "B-C": 2.0, "C-D": 3.0, "D-A": 2.0, "A-C": 3.6})
    reading = replace(face.readings[0], kind=kind, corners=corners, value=value)
    with pytest.raises(OutOfRange):
        adjust([replace(face, readings=(*face.readings, reading))], (), OPTIONS, Run())


def test_several_faces_that_fold_are_told_together() -> None:
    faces = [polygon_face({"A-B": 3.0, "B-C": 2.0, "C-D": 3.0, "D-A": 2.0}, face_id=name) for name in ("P", "Q")]
    with pytest.raises(Problems) as caught:
        adjust(faces, (), OPTIONS, Run())
    assert [e.where[1] for e in caught.value.errors] == ["P", "Q"]


def test_angles_alone_give_no_size() -> None:
    face, truth = bare_face("F", 3), np.array([[0.0, 0.0], [1.0, 0.0], [0.4, 0.8]])
    made = read(face, truth, angles(face), None).face
    with pytest.raises(SurveyError, match="can still fold") as caught:
        adjust([made], (), OPTIONS, Run())
    assert "side" in caught.value.hint
