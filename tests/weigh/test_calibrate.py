"""What the house has shown narrows what is believed of it, and no more than it may."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from tests.ways.house import eaves_job

from snugbay.base import Effort, InputError, Run, Weight
from snugbay.document import example, read
from snugbay.job import FuelUsed, Temperature, TemperatureKind
from snugbay.ways.balance import zone_kinds
from snugbay.ways.buildup import films, resistance
from snugbay.ways.found import Ground, ground
from snugbay.weigh.calibrate import calibrated, share_of_season
from snugbay.weigh.luck import Draws, at_point

STATED = (0.8, 1.0, 1.25)
YEAR = 0.08
PART_KWH = 12_000.0
N = 4_000


@cache
def laid() -> Ground:
    job, taped = eaves_job()
    return ground(job, taped)


def draws(rng: np.random.Generator) -> Draws:
    z = rng.standard_normal((6, N)).astype(np.float32)
    return Draws(z[0], z[1], z[2], z[3], z[4], z[5], {}, {}, z[:1], z[:1])


def house(rng: np.random.Generator, factor: float) -> Ground:
    """A house whose loss as found is what the factor says, read and billed with the errors of the trade."""
    base = laid()
    kinds, rates = zone_kinds(base.job), base.rates
    rest = float(at_point(rng.standard_normal(1).astype(np.float32), _three(base, "rest_w_m3k"))[0])
    rest *= base.job.place.house_volume
    heat = (PART_KWH * factor + rest * base.air.degree_hours_out / 1000.0) * (1 + YEAR * rng.standard_normal())
    plant = float(at_point(rng.standard_normal(1).astype(np.float32), _three(base, "efficiency"))[0])
    kwh = heat / (base.job.place.fuel.efficiency * plant) * np.exp(0.05 * rng.standard_normal())
    film = 1.0 + 0.10 * rng.standard_normal()
    told: list[Temperature] = []
    for night, (room, space, out) in enumerate([(20.0, -2.0, -8.0), (20.5, 0.0, -5.0), (19.5, -4.0, -12.0)]):
        name = f"night {night}"
        told += [
            Temperature(TemperatureKind.ROOM_AIR, room, set=name, zone="rooms"),
            Temperature(TemperatureKind.OUTDOOR_AIR, out, set=name, zone="out"),
            Temperature(TemperatureKind.BUFFER_AIR, space, set=name, zone="eaves"),
        ]
        for face in ("K", "F"):
            middle = resistance(replace(base.by_id[face], framing_share=0.0), kinds, rates)
            own = films(base.by_id[face], kinds)[0]
            bare = middle.total / factor - own
            share = own * film * (1 + 0.12 * rng.standard_normal()) / (bare + own * film)
            shown = room - share * (room - space) + 0.7 * rng.standard_normal()
            told.append(Temperature(TemperatureKind.SURFACE_CONTACT, shown, set=name, face=face))
        middle = resistance(replace(base.by_id["K"], framing_share=0.0), kinds, rates)
        flux = factor * (room - space) / middle.total * (1 + 0.10 * rng.standard_normal())
        told.append(Temperature(TemperatureKind.HEAT_FLUX, flux, set=name, face="K"))
    job = replace(base.job, fuel_used=(FuelUsed("2024-09-01", "2025-09-01", float(kwh)),), temperatures=tuple(told))
    return replace(base, job=job)


def _three(base: Ground, name: str) -> tuple[float, float, float]:
    rate = base.rates[f"ways.house.{name}"]
    return rate.low, rate.typical, rate.high


def test_on_synthetic_houses_bands_hold_the_truth_and_are_a_third_narrower() -> None:
    """200 houses drawn from the stated spreads: bands of 80 and 95 % hold the truth as often as they say."""
    rng = np.random.default_rng(5)
    inside = {80: 0, 95: 0}
    widths = []
    houses = 200
    for _ in range(houses):
        luck = rng.standard_normal(1).astype(np.float32)
        truth = float(at_point(luck, STATED)[0])
        d = draws(rng)
        prior = np.asarray(at_point(d.found, STATED), float)
        picks, found = calibrated(house(rng, truth), d, PART_KWH * prior, STATED, YEAR, rng)
        assert (found.bills, found.readings) == (1, 9)
        kept = prior[picks]
        for level, tail in ((80, 0.10), (95, 0.025)):
            low, high = np.quantile(kept, (tail, 1 - tail))
            inside[level] += low <= truth <= high
        # the saving: what the part loses less what a work of its own luck leaves it
        after = 0.3 * np.exp(0.15 * d.resistance)
        was, now = (np.ptp(np.quantile(PART_KWH * (f - after), (0.1, 0.9))) for f in (prior, kept))
        widths.append(now / was)
    # binomial: three standard deviations about the level
    for level, count in inside.items():
        p = level / 100
        assert abs(count / houses - p) < 3 * np.sqrt(p * (1 - p) / houses)
    assert np.median(widths) < 2 / 3


def test_a_bill_that_cannot_be_is_believed_less_and_told() -> None:
    rng = np.random.default_rng(1)
    base = laid()
    tiny = replace(base, job=replace(base.job, fuel_used=(FuelUsed("2024-09-01", "2025-09-01", 2_000.0),)))
    d = draws(rng)
    prior = np.asarray(at_point(d.found, STATED), float)
    _, found = calibrated(tiny, d, PART_KWH * prior, STATED, YEAR, rng)
    assert found.belief < 1.0
    assert found.found.p50 < found.found_before.p50  # it pulls, but it forces nothing out of the stated spread
    assert found.found.p50 > 0.7


def test_a_bill_alone_says_little_where_the_rest_of_the_house_is_unknown() -> None:
    rng = np.random.default_rng(2)
    base = laid()
    d = draws(rng)
    prior = np.asarray(at_point(d.found, STATED), float)
    usual = PART_KWH + 0.7 * base.job.place.house_volume * base.air.degree_hours_out / 1000.0
    usual /= base.job.place.fuel.efficiency
    billed = replace(base, job=replace(base.job, fuel_used=(FuelUsed("2024-09-01", "2025-09-01", usual),)))
    _, found = calibrated(billed, d, PART_KWH * prior, STATED, YEAR, rng)
    assert found.belief == 1.0
    width = (found.found.p90 - found.found.p10) / (found.found_before.p90 - found.found_before.p10)
    assert 0.7 < width <= 1.05


def test_a_year_is_a_season_and_a_summer_is_none() -> None:
    from datetime import date

    base = laid()
    assert share_of_season(base, date(2024, 9, 1), date(2025, 9, 1)) == pytest.approx(1.0, abs=0.01)
    assert share_of_season(base, date(2024, 6, 15), date(2024, 8, 15)) < 0.03
    assert 0.3 < share_of_season(base, date(2024, 12, 1), date(2025, 2, 1)) < 0.6


RIM_USED = """
[[fuel_used]]
from_day = "2024-10-01"
to_day = "2025-10-01"
kwh = 21000
hot_water = true
"""


def test_the_document_takes_bills_and_the_weighing_says_what_they_did() -> None:
    from snugbay.survey import survey
    from snugbay.weigh import weigh

    run = Run(seed=1, effort=Effort.QUICK)
    text = example("bakery-rim")
    job = read(text + RIM_USED)
    assert job.fuel_used == (FuelUsed("2024-10-01", "2025-10-01", 21000.0, True),)
    (told,) = (f for f in weigh(job, survey(job, run).value, run).findings if f.code.startswith("weigh.calibrated"))
    assert told.weight in (Weight.NOTE, Weight.WARN)
    assert told.figure("now_low") < told.figure("now_high")
    for wrong in ("2025-13-01", "2024-10-02"):
        with pytest.raises(InputError):
            read(text + RIM_USED.replace("2025-10-01", wrong))
