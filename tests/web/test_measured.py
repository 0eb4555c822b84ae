"""Measure: each reading beside what the survey says about it."""

from __future__ import annotations

import pytest
from tests.told_by_faces import COTTAGE_BY_FACES

from snugbay.base import Run
from snugbay.document import EXAMPLES, example
from snugbay.flow import measured_so_far, only
from snugbay.survey import Survey
from snugbay.web.measured import items_of, rows_of, still_to_tape, suspects_of, unchecked_of
from snugbay.web.opened import Opened, open_text
from snugbay.web.surveying import printer_of
from snugbay.web.taped import Row
from snugbay.web.texts import texts

COTTAGE = COTTAGE_BY_FACES


def surveyed(text: str) -> tuple[Opened, Survey]:
    opened = open_text(text)
    assert opened.job is not None
    found = measured_so_far(opened.job, Run())
    assert found.survey is not None
    return opened, found.survey


def rows(opened: Opened, survey: Survey | None, ident: str) -> dict[str, Row]:
    item = next(i for i in items_of(opened) if i.id == ident)
    made = rows_of(item, opened, texts(), survey, printer_of(opened.job, opened.data))
    return {r.field.at.rpartition("/")[2]: r for r in made}


@pytest.mark.parametrize("name", [*EXAMPLES, "by faces"])
def test_every_reading_that_was_taken_has_a_row_and_a_verdict(name: str) -> None:
    opened, survey = surveyed(COTTAGE_BY_FACES if name == "by faces" else example(name))
    items = items_of(opened)
    assert {f for i in items for f in i.faces} == {f.id for f in opened.job.faces} if opened.job else False
    for item in items:
        for row in rows_of(item, opened, texts(), survey, printer_of(opened.job, opened.data)):
            if row.field.value and row.key is not None:
                assert row.state.kind in ("checked", "unchecked", "suspect"), row
            if not row.field.value:
                assert row.state.kind in ("empty", "wanted"), row
        assert len({r.field.at for r in rows_of(item, opened, texts(), survey, printer_of(None, {}))}) > 0


def test_the_wrong_tape_is_told_beside_its_field() -> None:
    opened, survey = surveyed(COTTAGE.replace('top = "14\' 2-1/8"', 'top = "14\' 5-1/8"'))
    found = rows(opened, survey, "K1")
    assert found["top"].state.kind == "suspect"
    assert "14' 2-1/16\"" in found["top"].state.text
    assert found["width"].state.kind == "checked"
    item = next(i for i in items_of(opened) if i.id == "K1")
    assert suspects_of(item, survey)[0].readings == ("C-D",)


def test_what_nothing_checks_is_told_beside_its_field() -> None:
    opened, survey = surveyed(COTTAGE)
    found = rows(opened, survey, "B2")
    assert found["depth_of_box"].state.kind == "unchecked"
    item = next(i for i in items_of(opened) if i.id == "B2")
    assert unchecked_of(item, survey)


def test_a_reading_that_cannot_be_read_says_so_beside_its_field() -> None:
    opened, survey = surveyed(COTTAGE.replace('top = "14\' 2-1/8"', 'top = "14\' 2-1/"'))
    found = rows(opened, survey, "K1")
    assert found["top"].state.kind == "fault"
    assert "14' 2-1/" in found["top"].state.text
    assert "Write it as" in found["top"].state.text


def test_a_shape_without_readings_asks_for_them_in_tape_order() -> None:
    text = COTTAGE + '\n[[shapes]]\nshape = "gable triangle"\nid = "G9"\nbetween = ["inside", "eaves-n"]\n'
    opened, survey = surveyed(text)
    found = rows(opened, survey, "G9")
    assert list(found) == ["base", "left", "right", "height", "peak", "C-A-B"]
    assert found["base"].state.kind == "wanted"
    assert found["left"].check
    assert all(r.state.kind == "empty" for k, r in found.items() if k != "base")


def test_readings_under_other_keys_are_found() -> None:
    text = COTTAGE.replace('"back A-C" = "45"', '"back C-A" = "45"').replace(
        '"right A-B" = "11" }', '"right A-B" = "11", "top A-B" = "36" }'
    )
    opened, survey = surveyed(text)
    found = rows(opened, survey, "B1")
    assert found["back C-A"].state.kind == "checked"
    assert "back A-C" not in found
    assert found["top A-B"].state.kind == "checked"


def test_a_floor_is_asked_for_only_where_there_is_one() -> None:
    shape = (
        '\n[[shapes]]\nshape = "knee wall"\nid = "K9"\nbetween = ["inside", "eaves-n"]\nlength = "120"\nheight = "40"\n'
    )
    opened, survey = surveyed(COTTAGE + shape)
    assert not any(k.startswith("floor ") for k in rows(opened, survey, "K9"))
    opened, survey = surveyed(COTTAGE + shape + 'floor = "50"\n')
    assert any(k.startswith("floor ") for k in rows(opened, survey, "K9"))


def test_polygons_stations_and_pockets() -> None:
    text = example("chapel-dormers")
    opened, survey = surveyed(text)
    for item in items_of(opened):
        for row in rows_of(item, opened, texts(), survey, printer_of(opened.job, opened.data)):
            if row.field.value and row.key:
                assert row.state.kind != "waiting", row
    opened, survey = surveyed(example("bakery-rim"))
    item = items_of(opened)[0]
    keys = [r.key for r in rows_of(item, opened, texts(), survey, printer_of(opened.job, opened.data)) if r.key]
    assert len({k[0] for k in keys}) > 1  # each width is judged on the first pocket that has it


FOLDS = """
[[faces]]
id = "Q1"
part = "wall"
between = ["inside", "outside"]
[faces.outline]
shape = "polygon"
corners = ["A", "B", "C", "D"]
readings = [
    { side = "A-B", length = "40" }, { side = "B-C", length = "30" }, { side = "C-D", length = "41" },
    { side = "D-A", length = "30" },
]
"""


def test_a_face_that_cannot_be_surveyed_leaves_the_others() -> None:
    job = open_text(COTTAGE + FOLDS).job
    assert job is not None
    found = measured_so_far(job, Run())
    assert found.survey is not None
    assert [f.where[:2] for f in found.faults] == [("faces", "Q1")]
    assert "Q1" not in {f.id for f in found.survey.faces}
    assert "K1" in {f.id for f in found.survey.faces}


def test_only_some_faces() -> None:
    opened = open_text(COTTAGE)
    assert opened.job is not None
    some = only(opened.job, {"K1", "F1"})
    assert [f.id for f in some.faces] == ["K1", "F1"]
    assert {(j.a, j.b) for j in some.joins} == {("K1", "F1")}


def test_an_empty_reading_is_still_to_be_taped_and_no_fault() -> None:
    text = (
        COTTAGE.partition("[[faces]]")[0].partition("[[shapes]]")[0]
        + """
[[faces]]
id = "Z1"
between = ["inside", "outside"]
[faces.outline]
shape = "polygon"
corners = ["A", "B", "C"]
readings = [{ side = "A-B", length = "40" }, { side = "B-C" }, { side = "C-A", length = "x" }]
"""
    )
    opened = open_text(text)
    item = next(i for i in items_of(opened) if i.id == "Z1")
    found = rows_of(item, opened, texts(), None, printer_of(None, opened.data))
    told = {f.where[-2:]: still_to_tape(f, found, opened) for f in opened.faults_at(item.where)}
    assert (told["readings", 1], told[2, "length"]) == (True, False)
