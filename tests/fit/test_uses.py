"""Steps use what the list buys: kits of the sizes on it, sheets as they are laid."""

from __future__ import annotations

import pytest
from tests.fit.test_order import MADE

from snugbay.document import example, read
from snugbay.fit import FittingPlan, Step, with_uses
from snugbay.materials import Rates
from snugbay.sheets import Placement, Sheet, SheetPlan
from snugbay.ways.resources import Shelf, shelf
from snugbay.weigh import Purchase

NOTHING = SheetPlan((), 0.0, 0, 0, 0.0, 0.0)


def things() -> Shelf:
    return shelf(read(example("bakery-rim")), (), Rates())


def bought(item: str, units: int, on_hand: float = 0.0) -> Purchase:
    return Purchase(item, item, units, "kit", float(units), on_hand, 1.0, float(units))


def uses(steps: tuple[Step, ...], buying: tuple[Purchase, ...], sheets: SheetPlan = NOTHING) -> list[dict[str, float]]:
    made = with_uses(FittingPlan(steps, (), 0.0, 0.0, 0.0), MADE, sheets, buying, things())
    return [dict(step.uses) for step in made.steps]


def test_a_kit_of_another_size_is_used_as_it_is_bought() -> None:
    """0.23 of a large kit is 0.69 of the small one that the list buys."""
    steps = (Step(1, "a", "", uses=(("kit-600", 0.23), ("screw-box", 0.5))),)
    assert uses(steps, (bought("kit-200", 2),)) == [{"kit-200": pytest.approx(0.69), "screw-box": 0.5}]


def test_kits_of_two_sizes_are_opened_one_after_the_other() -> None:
    steps = tuple(Step(n, "a", "", uses=(("kit-600", 0.6),)) for n in (1, 2))
    assert uses(steps, (bought("kit-200", 1), bought("kit-600", 0, on_hand=1.0))) == [
        {"kit-600": pytest.approx(0.6)},
        {"kit-600": pytest.approx(0.4), "kit-200": pytest.approx(0.6)},
    ]
    assert uses(steps, (bought("kit-200", 5),))[1] == {"kit-200": pytest.approx(1.8)}  # a need over the list stretches


def test_sheets_are_those_that_are_laid() -> None:
    def sheet(number: int, source: str, *labels: str) -> Sheet:
        own = tuple(Placement(x, (), (), 0.0, (0.0, 1.0), (0.0, 0.0)) for x in labels)
        return Sheet(number, "polyiso-2in", 0.05, 1.2, 2.4, source, own)

    laid = SheetPlan(
        (sheet(1, "new", "A-1a", "A-1b", "A-2a"), sheet(2, "on hand", "A-1c"), sheet(3, "half", "B-1a", "B-2a")),
        0.0,
        0,
        0,
        0.0,
        0.0,
    )
    steps = (
        Step(1, "first layer", "", pieces=("A-1a", "A-1b"), uses=(("polyiso-2in", 9.0),)),
        Step(2, "second", "", pieces=("A-2a",), uses=(("polyiso-2in", 9.0), ("screw-box", 1.0))),
        Step(3, "plug", "", pieces=("A-1c",)),
        Step(4, "offcut", "", pieces=("B-1a", "B-2a"), uses=(("polyiso-2in", 9.0),)),
        Step(5, "not laid", "", pieces=("C",), uses=(("polyiso-2in", 0.3),)),
    )
    found = uses(steps, (), laid)
    assert found == [
        {"polyiso-2in": pytest.approx(2 / 3)},
        {"polyiso-2in": pytest.approx(1 / 3), "screw-box": 1.0},
        {"polyiso-2in": pytest.approx(1.0)},
        {},
        {"polyiso-2in": 0.3},
    ]
