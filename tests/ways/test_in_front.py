"""What stands built in before a face keeps the room's warmth off it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.told_by_faces import COTTAGE_BY_FACES
from tests.ways.house import eaves_job

from snugbay.base import Weight
from snugbay.document import read
from snugbay.materials import Rates
from snugbay.physics.field import loose_board
from snugbay.physics.heat import FRONT
from snugbay.physics.units import celsius_from_f
from snugbay.ways.found import found_state, ground

PLYWOOD = 0.019 / 0.12
SHELTERED = 0.13
ROOM, EAVES = 68.0, 35.0


def inside_reading(front: float, board: float = 0.0) -> float:
    """Temperature of the box's inner face. [°F]"""
    rest = PLYWOOD + board + SHELTERED
    return EAVES + (ROOM - EAVES) * rest / (front + rest)


def test_a_box_of_drawers_reads_as_cold_as_it_was_read() -> None:
    """Common practice, no source: eaves about 35 °F, rooms 65 to 70 °F, drawers in 3/4 in plywood read about 41.5 °F
    inside bare and about 50 °F with 2 in boards set loosely round them; the boards were worth about R-3.6, not 13."""
    front = FRONT["drawers"]
    assert inside_reading(front) == pytest.approx(41.5, abs=1.5)
    assert inside_reading(0.13) > 57.0  # what a face open to the room would read
    rates = Rates()
    gap, channel, wind = (rates[f"ways.loose.{k}"].typical for k in ("gap_mm", "channel_mm", "wind_pa"))
    loose = loose_board(
        gap_low=gap / 1000,
        gap_high=gap / 1000,
        channel_depth=channel / 1000,
        height=0.6,
        length=0.6,
        board_resistance=0.0508 / 0.024,
        back_resistance=front + PLYWOOD,
        temp_warm_c=float(celsius_from_f(ROOM)),
        temp_cold_c=float(celsius_from_f(EAVES)),
        wind_pressure=wind,
        gap_depth=0.0508,
    )
    worth = float(loose.resistance_set)
    assert 5.678 * worth == pytest.approx(3.6, abs=1.0)
    assert inside_reading(front, worth) == pytest.approx(50.0, abs=2.0)


def test_a_closed_front_makes_the_surface_colder_and_the_loss_smaller() -> None:
    job, taped = eaves_job()
    box = job.faces[0]
    with_drawers = replace(job, faces=(replace(box, in_front="drawers"), *job.faces[1:]))
    (bare,) = (f for f in found_state(ground(job, taped)).faces if f.face == box.id)
    state = found_state(ground(with_drawers, taped))
    (closed,) = (f for f in state.faces if f.face == box.id)
    assert closed.r == pytest.approx(bare.r - 0.13 + FRONT["drawers"])
    assert closed.season_kwh < bare.season_kwh
    assert closed.warm_surface_c < bare.warm_surface_c
    (told,) = (f for f in state.findings if f.code.startswith("weigh.behind-front"))
    assert told.figure("surface") == pytest.approx(closed.warm_surface_c)
    assert told.weight is (Weight.WARN if told.figure("factor") < told.figure("needed") else Weight.NOTE)
    open_niche = replace(job, faces=(replace(box, in_front="open niche"), *job.faces[1:]))
    assert found_state(ground(open_niche, taped)).faces == found_state(ground(job, taped)).faces


def test_the_document_says_it_of_a_box() -> None:
    text = COTTAGE_BY_FACES.replace('title = "Window-seat niche"', 'title = "Window seat"\nin_front = "drawers"')
    job = read(text)
    assert {f.in_front for f in job.faces if f.id.startswith("B2-")} == {"drawers"}
    assert {f.in_front for f in job.faces if not f.id.startswith("B2-")} == {""}
