"""Every reading knows the field in which its owner wrote it, and faults of readings are told there, with the line."""

import tomllib
from typing import Any

import pytest
from tests.said import said

from snugbay.base import Problems, Run, SnugbayError
from snugbay.document import EXAMPLES, example, read
from snugbay.document.places import located, path_of
from snugbay.job.outlines import BY_EYE
from snugbay.survey import survey

HEAD = """version = 1
name = "shapes"
units = "mm"
zones = [
  { id = "in", title = "in", kind = "inside" },
  { id = "out", title = "out", kind = "outside" },
  { id = "roof", title = "roof", kind = "buffer", volume_m3 = 5 },
]
[place]
climate = "Munich"
indoor = 20
fuel = "gas"
[access]
width = 600
height = 600
clear_run = 2000
"""
SHAPES = {
    "niche box": 'width = 900\nheight = 640\ndepth_of_box = 560\nmore = { "back A-C" = 1104, "left A-B" = 559 }',
    "knee wall": "length = 3000\nheight = 900\nheight_right = 904\n"
    "heights = [{ at = 1500, height = 905 }]\nfloor = 800",
    "gable triangle": 'base = 2000\nleft = 1500\nright = 1510\nheight = 1120\npeak = "99 cm"\nmore = { "A-B-C" = 48 }',
    "rafter slope": 'width = 3000\nrafter = 1500\npitch = "9/12"\nmore = { "A-C" = 3354 }',
    "dormer cheek": "front = 1300\ntop = 1200\nrake = 1900\nback = 400",
    "rim joist row": "height = 240\npockets = [{ width = 370, count = 2 }, { width = 362 }]",
    "cellar wall": "length = 5000\nheight = 2100\nheight_right = 2105",
}
OUTLINES = (
    '{ shape = "rectangle", width = 3000, height = 1500, right = 1502, top = 3001, diagonal = 3355 }',
    '{ shape = "triangle", bottom = 3000, right = 2000, left = 2100, height = 1300 }',
    '{ shape = "stations", base = 3000, stations = [{ at = 0, height = 900 }, { at = 3000, height = 1000 }] }',
    '{ shape = "polygon", corners = ["A", "B", "C"], readings = [{ side = "A-B", length = 900 }, '
    '{ side = "B-C", length = 800 }, { angle = "A-B-C", degrees = 80 }, { square = "A" }] }',
)
DOCUMENTS = (
    *(HEAD + f'[[shapes]]\nshape = "{k}"\nid = "X"\nbetween = ["in", "roof"]\n{v}\n' for k, v in SHAPES.items()),
    *(HEAD + f'[[faces]]\nid = "X"\nbetween = ["in", "roof"]\npart = "wall"\noutline = {o}\n' for o in OUTLINES),
    *(example(name) for name in EXAMPLES),
)


def held(data: Any, path: tuple[str | int, ...]) -> Any:
    for step in path:
        data = data[step]
    return data


@pytest.mark.parametrize("text", DOCUMENTS, ids=lambda t: t.partition('name = "')[2][:8])
def test_a_reading_leads_to_what_was_typed(text: str) -> None:
    data, seen = tomllib.loads(text), 0
    for face in read(text).faces:
        for reading in face.readings:
            if not reading.field:
                assert reading.instrument == BY_EYE or reading.written == ""
                continue
            where = held(data, path_of(("faces", face.id, *reading.field), data))
            typed = where.get("length", where.get("degrees")) if isinstance(where, dict) else where
            several = typed if isinstance(typed, list) else [typed]  # one edge read on both of its faces
            assert str(reading.written) in map(str, several) if typed is not None else reading.instrument == BY_EYE
            seen += 1
    assert seen >= 3


def test_a_shorthands_impossible_reading_is_told_at_its_own_field_and_line() -> None:
    """A dormer cheek whose top edge was typed with a digit too many."""
    text = DOCUMENTS[list(SHAPES).index("dormer cheek")].replace("back = 400", "").replace("top = 1200", "top = 12000")
    with pytest.raises(SnugbayError) as caught:
        survey(read(text), Run())
    fault = located(caught.value, text)
    assert fault.where == ("faces", "X", "front")
    assert fault.line == 1 + text.splitlines().index("front = 1300")
    told = said(fault.said or fault.what)
    assert "front edge, top edge and rake" in told
    assert "8800 mm longer" in told


def test_a_suspect_of_a_shorthand_is_placed_at_its_own_field() -> None:
    box = DOCUMENTS[0].replace(
        '"left A-B" = 559', '"left A-B" = 559, "back B-D" = 1104, "back C-D" = 900, "back B-C" = 672'
    )
    found = [f for f in survey(read(box), Run()).findings if f.code == "survey.suspect"]
    assert [f.where for f in found] == [("faces", "X-back", "more", "back B-C")]


@pytest.mark.parametrize(
    ("old", "new", "field"), [("base = 2000", "base = 9000", "base"), ("left = 1500", "left = 9000", "base")]
)
def test_a_gable_that_cannot_close_is_told_at_a_side(old: str, new: str, field: str) -> None:
    text = DOCUMENTS[list(SHAPES).index("gable triangle")].replace(old, new)
    text = text.replace("height = 1120\n", "").replace('peak = "99 cm"\n', "").replace('more = { "A-B-C" = 48 }', "")
    with pytest.raises(SnugbayError) as caught:
        survey(read(text), Run())
    faults = caught.value.errors if isinstance(caught.value, Problems) else (caught.value,)
    assert [f.where for f in faults] == [("faces", "X", "base")]
