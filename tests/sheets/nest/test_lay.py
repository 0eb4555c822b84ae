"""Layouts: valid by an independent check, as few sheets as was promised, the same for the same seed."""

from __future__ import annotations

import random
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.sheets.nest.checker import blocked, faults, lists
from tests.sheets.nest.test_shapes import stars

from snugbay.base import NoFit, Run
from snugbay.sheets import Budget, Instance, Layout, SheetSize, lay
from snugbay.sheets.nest.instance import Outline
from snugbay.sheets.nest.lay import warm
from snugbay.sheets.nest.problem import area_bound

SMALL = Budget(60_000_000)


@pytest.fixture(scope="module", autouse=True)
def _compiled() -> None:
    warm()


def rectangle(w: float, h: float) -> Outline:
    return ((0.0, 0.0), (w, 0.0), (w, h), (0.0, h))


def laid(instance: Instance, budget: Budget = SMALL, seed: int = 1) -> Layout:
    layout = lay(instance, budget, Run(seed=seed)).value
    assert faults(instance, layout) == []
    assert len(layout.sheets) >= layout.lower_bound
    assert blocked(instance, layout) < 1e-6 * instance.sheet.width * instance.sheet.height
    return layout


def test_trade_lists() -> None:
    """With a fortieth of the work of a ten-second run; free angles never need more sheets."""
    found = {name: len(laid(instance).sheets) for name, instance in lists("trade-dev").items()}
    plain = {name: n for name, n in found.items() if not name.endswith("-free")}
    assert sum(plain.values()) <= 65
    assert all(found[f"{name}-free"] <= n for name, n in plain.items())


def test_jigsaws_of_convex_pieces() -> None:
    """One of each class whose optimum is known; rectangles alone (TI, TJ) are the hard ones: 1 sheet over each."""
    chosen = [i for i in lists("convex-dev").values() if i.name.endswith("001") and i.optimum is not None]
    over = {i.name: len(laid(i).sheets) - (i.optimum or 0) for i in chosen}
    assert sum(over.values()) <= 3
    assert max(over.values()) <= 1


def test_jigsaws_with_notched_pieces() -> None:
    for instance in lists("nonconvex-dev").values():
        assert len(laid(instance).sheets) == instance.optimum


@pytest.mark.parametrize("name", ["D02-eave-24", "D04-mixed-48-free"])
def test_same_seed_same_layout(name: str) -> None:
    instance = lists("trade-dev")[name]
    first = lay(instance, SMALL, Run(seed=7)).value
    assert lay(instance, SMALL, Run(seed=7)).value == first
    assert first.ended == "work"
    other = lay(instance, SMALL, Run(seed=8)).value
    assert other != first


def test_a_slower_run_gives_the_same_layout() -> None:
    """Effort is counted in work: with waits strewn in, as many as a machine half as fast, nothing changes."""
    instance = lists("trade-dev")["D02-eave-24"]
    plain = lay(instance, SMALL, Run(seed=3)).value
    waits: list[float] = []

    def wait() -> bool:
        waits.append(0.1)
        time.sleep(0.1)
        return False

    slowed = lay(instance, SMALL, Run(seed=3, stop=wait, progress=lambda *_: time.sleep(0.05))).value
    assert len(waits) > 10
    assert slowed == plain
    assert slowed.ended == "work"


def test_more_work_is_never_worse_than_the_start() -> None:
    instance = lists("trade-dev")["D06-mixed-110"]
    counts = [len(laid(instance, Budget(work)).sheets) for work in (100_000, 20_000_000)]
    assert counts[1] <= counts[0]


def test_ends_at_the_bound() -> None:
    instance = Instance("four", SheetSize(10.0, 10.0), (rectangle(5.0, 5.0),) * 8)
    layout = laid(instance)
    assert len(layout.sheets) == 2
    assert layout.ended == "bound"


def test_the_bound_takes_notches_as_they_are() -> None:
    """Two sheets' halves with a notch each, and a square that goes into one: all on one sheet."""
    half = (
        (0.0, 0.0),
        (49.99, 0.0),
        (49.99, 100.0),
        (30.0, 100.0),
        (30.0, 90.0),
        (20.0, 90.0),
        (20.0, 100.0),
        (0.0, 100.0),
    )
    pieces = (half, half, rectangle(9.0, 9.0))
    assert area_bound(Instance("n", SheetSize(100.0, 100.0), pieces, 0.01)) == 1


def test_the_bound_grows_with_the_kerf_and_shrinks_with_offcuts() -> None:
    squares = (rectangle(10.0, 10.0),) * 9
    sheet = SheetSize(31.0, 31.0)
    assert area_bound(Instance("k", sheet, squares, 0.5)) == 1
    assert area_bound(Instance("k", sheet, squares, 0.9)) == 2
    assert area_bound(Instance("k", sheet, squares, 0.9, offcuts=(SheetSize(10.0, 10.0),))) == 1
    spoiled = SheetSize(31.0, 31.0, spoiled=((0.0, 0.0, 20.0, 5.0),))
    assert area_bound(Instance("k", spoiled, squares, 0.5)) == 2


def test_kerf_is_kept_between_pieces_and_not_at_the_edge() -> None:
    assert len(laid(Instance("k", SheetSize(10.0, 10.0), (rectangle(4.9, 10.0),) * 2, 0.2)).sheets) == 1
    assert len(laid(Instance("k", SheetSize(10.0, 10.0), (rectangle(4.91, 10.0),) * 2, 0.2)).sheets) == 2


def test_only_the_turns_allowed() -> None:
    board = rectangle(30.0, 10.0)
    layout = laid(Instance("g", SheetSize(31.0, 61.0), (board,) * 6, 0.125, rotations=(0, 180)))
    assert {p.angle_deg for s in layout.sheets for p in s.laid} <= {0.0, 180.0}


def test_a_long_piece_goes_in_at_a_slant_where_any_angle_is_allowed() -> None:
    long = rectangle(105.0, 2.0)
    instance = Instance("l", SheetSize(48.0, 96.0), (long, rectangle(20.0, 20.0)), 0.125, free=True)
    layout = laid(instance)
    assert len(layout.sheets) == 1
    with pytest.raises(NoFit) as caught:
        lay(Instance("l", SheetSize(48.0, 96.0), (rectangle(20.0, 20.0), long)), SMALL, Run())
    assert caught.value.where == ("l", "pieces", 1)


def test_too_large_even_at_a_slant() -> None:
    with pytest.raises(NoFit):
        lay(Instance("l", SheetSize(48.0, 96.0), (rectangle(108.0, 2.0),), free=True), SMALL, Run())


def test_offcuts_come_first_and_spoiled_zones_stay_free() -> None:
    offcut = SheetSize(30.0, 40.0, 1, ((0.0, 0.0, 5.0, 40.0), (20.0, 30.0, 10.0, 10.0)), "from the hall")
    pieces = (rectangle(24.0, 20.0), rectangle(14.0, 18.0), rectangle(40.0, 45.0), rectangle(47.0, 49.0))
    instance = Instance("o", SheetSize(48.0, 96.0), pieces, 0.125, offcuts=(offcut,))
    layout = laid(instance)
    assert layout.sheets[0].offcut == 0
    assert {p.piece for p in layout.sheets[0].laid} == {0, 1}
    assert len(layout.sheets) == 2


def test_two_equal_offcuts_are_used_twice() -> None:
    offcut = SheetSize(10.0, 10.0, 2)
    layout = laid(Instance("o", SheetSize(48.0, 96.0), (rectangle(10.0, 10.0),) * 2, offcuts=(offcut,)))
    assert [s.offcut for s in layout.sheets] == [0, 0]


def test_what_is_left_of_the_last_sheet_is_one_large_piece() -> None:
    pieces = (rectangle(47.0, 95.0), rectangle(20.0, 15.0), rectangle(24.0, 15.0), rectangle(10.0, 11.0))
    layout = laid(Instance("r", SheetSize(48.0, 96.0), pieces, 0.125))
    _, _, w, h = layout.leftover
    assert w * h >= 48 * (96 - 15.125 - 11.125)


def test_stopped_keeps_a_valid_layout() -> None:
    instance = lists("trade-dev")["D06-mixed-110"]
    outcome = lay(instance, Budget(10**12), Run(stop=lambda: True))
    assert not outcome.finished
    assert outcome.value.ended == "stopped"
    assert faults(instance, outcome.value) == []


def test_the_clock_is_a_cap() -> None:
    instance = lists("trade-dev")["D06-mixed-110"]
    start = time.monotonic()
    outcome = lay(instance, Budget(10**12, 0.3), Run())
    assert outcome.value.ended == "clock"
    assert outcome.finished
    assert time.monotonic() - start < 30  # it ended at all: the work alone would take a quarter of an hour
    assert faults(instance, outcome.value) == []


def test_progress_rises_to_one() -> None:
    told: list[float] = []
    instance = lists("trade-dev")["D02-eave-24"]
    lay(instance, Budget(2_000_000), Run(progress=lambda _, done: told.append(done)))
    assert told == sorted(told)
    assert told[-1] == 1.0


def test_many_pieces() -> None:
    rng = random.Random(2)
    pieces = tuple(rectangle(rng.randint(80, 400) / 8, rng.randint(80, 400) / 16) for _ in range(260))
    layout = laid(Instance("m", SheetSize(48.0, 96.0), pieces, 0.125), Budget(20_000_000))
    assert len(layout.sheets) <= 1.12 * layout.lower_bound


@settings(max_examples=25, deadline=None)
@given(st.lists(stars(), min_size=1, max_size=12), st.sampled_from([0.0, 0.125, 0.5]), st.booleans(), st.integers(1, 9))
def test_any_pieces_are_laid_validly(outlines: list[Outline], kerf: float, free: bool, seed: int) -> None:
    instance = Instance("any", SheetSize(90.0, 100.0), tuple(outlines), kerf, free=free)
    laid(instance, Budget(300_000), seed)
