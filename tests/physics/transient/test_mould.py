"""The mould index: what the published model says of steady and changing surfaces."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from snugbay.base import InputError, OutOfRange
from snugbay.physics.transient import MouldClass, mould_index, mould_limit
from snugbay.physics.transient.mould import ORIGINAL, RATES

WEEK = 7 * 24


def _steady(temp: float, humidity: float, weeks: int, **kwargs: Any) -> NDArray[np.float64]:
    hours = np.ones(weeks * WEEK)
    return mould_index(temp * hours, humidity * hours, **kwargs)


def test_first_growth_takes_the_time_of_the_published_formula() -> None:
    # t_m weeks to index 1 on pine sapwood: exp(-0.68 ln T - 13.9 ln RH + 66.02) (Hukka and Viitanen 1999).
    for temp, humidity in ((20, 0.97), (10, 0.95), (5, 0.99)):
        weeks = math.exp(-0.68 * math.log(temp) - 13.9 * math.log(100 * humidity) + 66.02)
        index = _steady(temp, humidity, math.ceil(weeks) + 2, rates=ORIGINAL)
        reached = (int(np.argmax(index >= 1.0)) + 1) / WEEK
        # k2 is still nearly 1 at index 1 in this humidity, so growth is straight.
        assert reached == pytest.approx(weeks, rel=0.03)


def test_original_law_reaches_what_is_seen_in_the_published_time() -> None:
    # t_v weeks to index 3: exp(-0.74 ln T - 12.72 ln RH + 61.50), from memory; k1 = 2/(t_v/t_m - 1).
    temp, humidity = 20, 0.99
    visible = math.exp(-0.74 * math.log(temp) - 12.72 * math.log(100 * humidity) + 61.50)
    index = _steady(temp, humidity, math.ceil(visible) + 4, rates=ORIGINAL)
    assert (int(np.argmax(index >= 3.0)) + 1) / WEEK == pytest.approx(visible, rel=0.1)


@pytest.mark.parametrize("kind", list(MouldClass))
def test_steady_moist_air_comes_to_the_highest_index_of_its_class(kind: MouldClass) -> None:
    humidity = 0.97
    rates = RATES[kind]
    least = max(float(mould_limit(22.0, rates.least_humidity)), rates.least_humidity)
    part = (least - 97.0) / (least - 100.0)
    a, b, c = rates.highest
    highest = a + b * part - c * part**2
    index = _steady(22, humidity, 1500, rates=kind)
    assert index[-1] <= highest + 1e-9
    assert index[-1] == pytest.approx(highest, abs=0.15)
    assert (np.diff(index) >= 0).all()


def test_more_sensitive_surfaces_grow_faster() -> None:
    ends = [float(_steady(20, 0.95, 20, rates=kind)[-1]) for kind in MouldClass]
    assert ends == sorted(ends, reverse=True)
    assert len(set(ends)) == 4


def test_nothing_grows_in_dry_cold_or_hot_air() -> None:
    for temp, humidity in ((20, 0.79), (-5, 0.99), (60, 0.99), (5, 0.85)):
        assert _steady(temp, humidity, 30, rates=MouldClass.VERY)[-1] == 0


def test_limit_curve() -> None:
    # -0.00267 T^3 + 0.160 T^2 - 3.13 T + 100 up to 20 degrees, 80 above, 100 in frost.
    assert mould_limit([-5, 0, 5, 10, 30]) == pytest.approx([100, 100, 88.02, 82.03, 80], abs=0.02)
    assert float(mould_limit(30, 85)) == 85
    assert math.isnan(float(mould_limit(math.nan)))


def test_decline_follows_the_published_three_stages() -> None:
    dry = np.full(48, 0.4)
    index = mould_index(np.full(48, 20.0), dry, rates=MouldClass.VERY, start=3.0)
    assert index[5] == pytest.approx(3 - 0.032 * 6 / 24)
    assert index[23] == pytest.approx(index[5])
    assert index[47] == pytest.approx(index[23] - 0.016 * 24 / 24)
    slow = mould_index(np.full(48, 20.0), dry, start=3.0, decline=0.25)
    assert 3 - slow[-1] == pytest.approx((3 - index[-1]) / 4)
    assert mould_index(np.full(5000, 20.0), np.full(5000, 0.4), start=0.5)[-1] == 0


@settings(max_examples=30, deadline=None)
@given(st.floats(1, 45), st.floats(0.5, 1.0), st.floats(0.0, 0.05), st.sampled_from(list(MouldClass)))
def test_more_moisture_never_slows_growth(temp: float, humidity: float, more: float, kind: MouldClass) -> None:
    lower = _steady(temp, humidity, 12, rates=kind)
    higher = _steady(temp, min(humidity + more, 1.0), 12, rates=kind)
    assert (higher >= lower - 1e-9).all()
    assert (higher <= 6.0 + 1e-9).all()


def test_the_length_of_the_interval_hardly_matters() -> None:
    hours = np.arange(24 * 7 * 20)
    temp, humidity = 15 + 5 * np.sin(hours / 50), 0.9 + 0.08 * np.sin(hours / 200)
    hourly = mould_index(temp, humidity)
    daily = mould_index(temp.reshape(-1, 6).mean(1), humidity.reshape(-1, 6).mean(1), hours=6.0)
    assert daily[-1] == pytest.approx(hourly[-1], rel=0.05)


def test_free_water_counts_as_saturation() -> None:
    assert _steady(20, 1.001, 10)[-1] == pytest.approx(_steady(20, 1.0, 10)[-1])


def test_gaps_and_nonsense() -> None:
    index = mould_index(np.array([20.0, math.nan, 20.0]), np.full(3, 0.9))
    assert np.isnan(index).tolist() == [False, True, True]
    with pytest.raises(InputError):
        mould_index(np.ones(3), np.ones(4))
    with pytest.raises(OutOfRange):
        mould_index(np.ones(3), -np.ones(3))
    with pytest.raises(OutOfRange):
        mould_index(np.ones(3), np.ones(3), start=9)
