"""What only the whole job can check is refused before anything is reckoned with it."""

from __future__ import annotations

import pytest

from snugbay.base import Effort, InputError, Run
from snugbay.document import EXAMPLES, example, read
from snugbay.flow import weighed
from snugbay.flow.checks import check_names, check_places
from snugbay.survey import survey

CELLAR = example("mill-cellar")
COTTAGE = example("ferry-cottage")


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
        (COTTAGE.replace('x = "143", y = "6"', 'x = "100", y = "6"'), "faces.K1.openings.hatch"),
        (COTTAGE.replace('y = "5", width = "36", height = "27"', 'y = "5", width = "30", height = "27"'),
         "faces.K1.openings.bookcase niche"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_with_its_place(text: str, place: str) -> None:
    with pytest.raises(InputError) as caught:
        weighed(read(text), Run(effort=Effort.QUICK))
    assert place in str(caught.value)
