"""What only the whole job can check is refused before anything is reckoned with it."""

from __future__ import annotations

import pytest
from tests.said import said
from tests.told_by_faces import COTTAGE_BY_FACES

from snugbay.base import Effort, InputError, Run, Weight
from snugbay.document import EXAMPLES, example, read
from snugbay.flow import measured, weighed
from snugbay.flow.checks import check_names, check_places
from snugbay.survey import survey

CELLAR = example("mill-cellar")
COTTAGE = COTTAGE_BY_FACES


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_examples_pass(name: str) -> None:
    job = read(example(name))
    check_names(job)
    taped = survey(job, Run())
    check_places(job, taped.value, taped.findings)


@pytest.mark.parametrize(
    ("text", "place"),
    [
        (CELLAR.replace('id = "C1"', 'id = "C1"\nmust = "magic"'), "faces.C1.must"),
        (CELLAR.replace('id = "C1"', 'id = "C1"\nmust = "crew"\nnever = ["crew"]'), "faces.C1.must"),
        (CELLAR + '\n[wishes]\nnever = ["lava"]\n', "wishes.never[0]"),
        (CELLAR.replace("[stock]", '[stock]\nprices = [{ item = "gold", typical = 3 }]'), "stock.prices[0].item"),
        (CELLAR.replace("[stock]", '[stock]\non_hand = [{ item = "bogus", amount = 3 }]'), "stock.on_hand[0].item"),
        (CELLAR.replace("width = 900", "width = 9000"), "faces.C1.openings.cellar window"),
        (COTTAGE.replace('depth = "5", repeat = 8', 'depth = "90", repeat = 8'), "faces.S1.notches.rafter tie 1"),
        (COTTAGE.replace('x = "143", y = "6"', 'x = "100", y = "6"'), "faces.K1.openings.hatch"),
        (COTTAGE.replace('y = "5", width = "36", height = "27"', 'y = "5", width = "30", height = "27"'),
         "faces.K1.openings.bookcase niche"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_with_its_place(text: str, place: str) -> None:
    with pytest.raises(InputError) as caught:
        weighed(read(text), Run(effort=Effort.QUICK))
    assert place in str(caught.value)


def test_suspects_of_several_faces_say_whose_readings_they_are() -> None:
    """Two plain rectangles that meet, 100 mm apart: letters alone would not tell whose corner is meant."""
    faces = "".join(
        f'[[faces]]\nid = "{face}"\npart = "{part}"\nbetween = ["inside", "outside"]\n'
        f'layers = [{{ material = "gypsum", thickness = 12 }}]\n'
        f'outline = {{ shape = "rectangle", width = {width}, height = {height} }}\n'
        for face, part, width, height in (("N1", "knee wall", 3000, 1200), ("N2", "floor", 2900, 900))
    )
    head = CELLAR[: CELLAR.index("[[shapes]]")]
    found = measured(read(head + faces + '[[joins]]\na = ["N1", "A-B"]\nb = ["N2", "C-D"]\n'), Run())
    assert found.value.suspects == ()
    text = " ".join(said(f) for f in found.findings if f.code == "survey.out-of-square")
    assert text.startswith("N2: ")
    assert "N1 A-B (reads 3000 mm" in text
    assert "wrong: A-B (reads 2900 mm" in text


@pytest.mark.parametrize(
    ("old", "new", "place"),
    [
        ('x = "143", y = "6"', 'x = "150", y = "6"', "faces.K1.openings.hatch"),  # sticks out
        ('x = "143", y = "6"', 'x = "100", y = "6"', "faces.K1.openings.hatch"),  # over another
        ('y = "5", width = "36", height = "27"', 'y = "5", width = "30", height = "27"', "bookcase niche"),  # box
    ],
)
def test_measure_tells_what_a_plan_will_refuse(old: str, new: str, place: str) -> None:
    text = COTTAGE.replace(old, new)
    assert text != COTTAGE
    (found,) = (f for f in measured(read(text), Run()).findings if f.code == "flow.place")
    assert found.weight is Weight.STOP
    assert place in said(found)
    assert not [f for f in measured(read(COTTAGE), Run()).findings if f.code == "flow.place"]
