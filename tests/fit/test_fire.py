"""What the cautions ask for is on the list: ignition barriers, metal and fire-rated sealant round hot things."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import pytest
from tests.booklet.plan_fixture import PLAN

from snugbay.fit import FittingPlan, buying, fitting_plan
from snugbay.fit.fire import ring
from snugbay.job import Hole, HotThing, Job
from snugbay.materials import Rates
from snugbay.sheets import SheetPlan
from snugbay.ways import Option
from snugbay.ways.buildup import Added
from snugbay.ways.cover import SERVICE
from snugbay.weigh import Purchase, Weighing

FACE = PLAN.job.faces[0]
CHIMNEY = Hole("chimney", 0.2, 0.2, 0.5, 0.7, round=False, hot=True, hot_thing=HotThing.MASONRY)
FOAM = (Added(2.0, 2.0, 2.0, 0.05, False, "polyiso"),)


def foamed(*holes: Hole, cover: tuple[str, ...] = ()) -> tuple[Job, Weighing]:
    option = Option(FACE.id, "own", "foam", True, layers=FOAM, cover=cover, group="boards")
    faces = tuple(replace(f, holes=holes) if f.id == FACE.id else f for f in PLAN.job.faces)
    point = replace(PLAN.weighing.plan, ways=((FACE.id, "own"),))
    return replace(PLAN.job, faces=faces), replace(PLAN.weighing, plan=point, options=(option,), purchases=())


def bought(job: Job, weighing: Weighing) -> dict[str, Purchase]:
    nothing = SheetPlan((), 0.0, 0, 0, 0.0, 0.0)
    return {p.item: p for p in buying(job, weighing, nothing, FittingPlan((), (), 0.0, 0.0, 0.0), Rates())}


def test_a_plate_is_the_ring_round_the_thing_and_is_sealed_along_both_edges() -> None:
    """2 in kept off a masonry chimney (50.8 mm) and 1 in of lap: 0.6524 x 0.8524 less 0.5 x 0.7."""
    area, joints = ring(CHIMNEY, 0.0254)
    assert area == pytest.approx(0.6524 * 0.8524 - 0.35)
    assert joints == pytest.approx(2 * (0.5 + 0.7) + 2 * (0.6524 + 0.8524))
    round_one, _ = ring(replace(CHIMNEY, height=0.5, round=True), 0.0254)
    assert round_one == pytest.approx(0.6524**2 - pi * 0.25**2)


def test_a_chimney_puts_metal_and_fire_rated_sealant_on_the_list_and_into_a_step() -> None:
    job, weighing = foamed(CHIMNEY)
    list_ = bought(job, weighing)
    assert list_["fire-metal"].units >= 1
    assert list_["fire-sealant"].units >= 1
    assert all(list_[i].price > 0 and list_[i].status for i in ("fire-metal", "fire-sealant"))
    steps = fitting_plan(job, weighing, replace(PLAN.pieces, pieces=(), seams=()), (), Rates()).steps
    used = {item for s in steps for item, _ in s.uses}
    assert {"fire-metal", "fire-sealant"} <= used
    assert not {"fire-metal", "fire-sealant"} & set(bought(*foamed()))


def test_foam_in_a_service_space_puts_the_ignition_barrier_on_the_list() -> None:
    job, weighing = foamed(cover=(SERVICE,))
    area = next(f.area for f in weighing.as_found.faces if f.face == FACE.id)
    sheet = bought(job, weighing)["ignition-barrier"]
    assert sheet.need == pytest.approx(area / 0.3048**2 / 32 * 1.10)  # 10 % waste
    assert "waives" in sheet.why
    assert "ignition-barrier" not in bought(*foamed())
