"""Every rate that can be overridden has an effect: each is changed by machine and some output must move."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from unittest.mock import patch

import numpy as np
import pytest
from tests.booklet.plan_fixture import PLAN
from tests.prove.cases import mill
from tests.ways.everything import ONE_IN, RUN, Small, outcome, small_jobs
from tests.weigh.test_calibrate import draws, house

from snugbay.document import read
from snugbay.job import PriceOverride, Tool
from snugbay.materials import Rate, Rates, money_rate
from snugbay.sheets.cutting.minutes import Bench
from snugbay.ways.reading import _bundled
from snugbay.weigh.calibrate import calibrated
from snugbay.weigh.dry import LIKE_PARTS
from snugbay.weigh.learned import Learned
from snugbay.weigh.likely import spreads_of
from snugbay.weigh.luck import at_point
from snugbay.weigh.replan import Progress, _in_hand, replan
from snugbay.weigh.stage import question
from snugbay.weigh.values import Purchase


@cache
def jobs() -> tuple[Small, ...]:
    return small_jobs()


@cache
def asked(number: int) -> tuple[object, frozenset[str]]:
    """What a small job comes to, and the rates that it asked for."""
    ids: set[str] = set()
    plain = Rates.__getitem__

    def noted(self: Rates, rate_id: str) -> Rate:
        ids.add(rate_id)
        return plain(self, rate_id)

    _bundled.cache_clear()  # some rates are read with the table of ways
    with patch.object(Rates, "__getitem__", noted):
        found = outcome(jobs()[number], jobs()[number].job)
    return found, frozenset(ids)


def others(rate_id: str) -> tuple[PriceOverride, ...]:
    """Figures far enough from the table's, up and down, to be felt through counts of whole passes and whole cans."""
    rate = Rates()[rate_id]
    row = (rate.low, rate.typical, rate.high)
    return tuple(PriceOverride(rate_id, *(a * x + b for x in row)) for a, b in ((2.3, 0.7), (0.1, 0.0)))


def offered(rate_id: str) -> bool:
    """Tell whether an offer, a price or a face as found changes with a rate, in any of the small jobs."""
    for number, small in reversed(tuple(enumerate(jobs()))):  # those that take long stand first
        found, ids = asked(number)
        for own in others(rate_id) if rate_id in ids else ():
            stock = replace(small.job.stock, prices=(own,))
            if outcome(small, replace(small.job, stock=stock)) != found:
                return True
    return False


def at_the_bench(rate_id: str) -> bool:
    """Tell whether what a tool takes of a board changes: kerf, reach past the mark."""
    own = others(rate_id)[0]
    rates = Rates(((rate_id, own.low, own.typical, own.high),))
    for tool in Tool:
        one, two = (Bench(tool, r, ONE_IN.thickness) for r in (Rates(), rates))
        if one.kerf != two.kerf or getattr(one, "saw", None) != getattr(two, "saw", None):
            return True
    return False


TWO = """version = 1
name = "two"
units = "{units}"
[place]
climate = "Portland, ME"
{currency}
[[zones]]
id = "rooms"
kind = "inside"
[[zones]]
id = "out"
kind = "outside"
[access]
width = 900
height = 2000
clear_run = 3000
[[stock.prices]]
item = "{rate}"
typical = 99
"""
FACE = """
[[faces]]
id = "W"
part = "wall"
between = ["rooms", "out"]
outline = { shape = "rectangle", width = 2000, height = 1200 }
"""


def taken_by_default(rate_id: str) -> bool:
    """Tell whether the worth of an hour that a document leaves open is the rate."""
    currency = {"us": "USD", "uk": "GBP", "eu": "EUR"}[rate_id[-2:]]
    text = TWO.format(units="mm", currency=f'currency = "{currency}"', rate=rate_id) + FACE
    return read(text).you.hour_worth == 99


def spread(rate_id: str) -> bool:
    """Tell whether the spread of a plan changes with a rate."""
    small = jobs()[2]
    changed = replace(small.job, stock=replace(small.job.stock, prices=others(rate_id)[:1]))
    one, two = (spreads_of(question(j, small.survey, RUN)) for j in (small.job, changed))
    return one != two


def opened(rate_id: str) -> bool:
    """Tell whether the rest of an opened kit is counted or not by the days that it keeps."""
    buy = Purchase("kit-200", "kit", 1, "kit", 1.0, 0.0, 400.0, 400.0)
    weighing = replace(PLAN.weighing, purchases=(buy,))
    state = Progress({}, 0.0, {"kit-200": 0.5}, {"kit-200": 25.0})
    rate = Rates()[rate_id]
    return _in_hand(weighing, state, rate.low)[0] != _in_hand(weighing, state, rate.high)[0]


def goes_on(rate_id: str) -> bool:
    """Tell whether the plan for the rest of a wall of boards, done far too slowly, changes with a rate."""
    job, taped, weighing, _ = mill()
    slow = np.full(200, 6.0)
    so_far, learned = Progress({"C1": 0.3}, 20.0, {}, {}), Learned({"C1": slow, "": slow}, slow, np.zeros(200))
    dear = replace(job, you=replace(job.you, hour_worth=200.0, days=None))

    def at(value: float) -> object:
        prices = (*dear.stock.prices, PriceOverride(rate_id, value, value, value))
        changed = replace(dear, stock=replace(dear.stock, prices=prices))
        found = replan(changed, taped, weighing, RUN, so_far, learned).value
        return found.plan.ways, found.returned

    return at(0.0) != at(1000.0 if rate_id.endswith("half_way") else 1.0)


def believed(rate_id: str) -> bool:
    """Tell whether what a year's bill lets one believe of a house changes with a rate."""
    base = house(np.random.default_rng(3), 1.0)
    water = tuple(replace(f, hot_water=True) for f in base.job.fuel_used)
    base, luck = replace(base, job=replace(base.job, fuel_used=water)), draws(np.random.default_rng(4))

    def found(rates: Rates) -> object:
        before = 12_000.0 * at_point(luck.found, (0.8, 1.0, 1.25))
        return calibrated(replace(base, rates=rates), luck, before, (0.8, 1.0, 1.25), 0.08, np.random.default_rng(5))[1]

    own = others(rate_id)[0]
    return found(base.rates) != found(Rates(((rate_id, own.low, own.typical, own.high),)))


def parted(rate_id: str) -> bool:
    """Tell whether the worth of parting like parts is read in the money of the job."""
    return (
        money_rate(rate_id, "USD", Rates()).typical != money_rate(rate_id, "USD", Rates(((rate_id, 1, 2, 3),))).typical
    )


SPREAD = ("ways.found.heat", "ways.energy_price.sigma")


@pytest.mark.parametrize("rate_id", Rates().ids())
def test_changing_a_rate_changes_an_answer(rate_id: str) -> None:
    """About 200 of 355 ids could be overridden with no effect: rows that nothing reads are gone."""
    if rate_id.startswith("economics.owner_time_value"):
        assert taken_by_default(rate_id)
    elif rate_id == "ways.kit.days_open":
        assert opened(rate_id)
    elif rate_id.startswith("ways.replan."):
        assert goes_on(rate_id)
    elif rate_id.startswith("ways.house."):
        assert believed(rate_id)
    elif rate_id == LIKE_PARTS:
        assert parted(rate_id)
    elif rate_id in SPREAD:
        assert spread(rate_id)
    else:
        assert offered(rate_id) or at_the_bench(rate_id)
