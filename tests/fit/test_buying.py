"""The list holds all that the steps need."""

from __future__ import annotations

from dataclasses import replace

from tests.booklet.plan_fixture import PLAN

from snugbay.fit import FittingPlan, buying
from snugbay.materials import Rates
from snugbay.sheets import Placement, Sheet, SheetPlan
from snugbay.ways import Need, Option
from snugbay.weigh import Purchase, Weighing

BOARD = "polyiso-1in"


def sprayed() -> Weighing:
    """A face that is sprayed, with a hatch whose plug takes a tenth of a sheet."""
    face = PLAN.job.faces[0].id
    option = Option(face, "kit/2in", "kit", True, r_typical=2.0, needs=(Need(BOARD, 0.1, 0.1, 0.1),), group="kit")
    point = replace(PLAN.weighing.plan, ways=((face, "kit/2in"),))
    list_ = (Purchase(BOARD, "1 in foil-faced polyiso", 1, "sheet", 0.1, 0.0, 30.0, 30.0),)
    return replace(PLAN.weighing, plan=point, options=(option,), purchases=list_)


def listed(*sheets: Sheet) -> dict[str, tuple[int, float]]:
    laid = SheetPlan(sheets, 0.0, 0, 0, 0.0, 0.0)
    found = buying(PLAN.job, sprayed(), laid, FittingPlan((), (), 0.0, 0.0, 0.0), Rates())
    return {p.item: (p.units, p.need) for p in found}


def test_a_plug_in_a_sprayed_wall_gets_its_sheet() -> None:
    assert listed() == {BOARD: (1, 0.1)}


def test_a_plug_comes_out_of_an_offcut_that_is_kept() -> None:
    own = (Placement("A", (), (), 0.0, (0.0, 1.0), (0.0, 0.0)),)
    full = Sheet(1, BOARD, 0.0254, 1.2, 2.4, "new", own)
    assert listed(full) == {BOARD: (2, 1.1)}
    assert listed(replace(full, keep=((0.0, 0.0, 0.6, 0.6),))) == {BOARD: (1, 1.0)}
