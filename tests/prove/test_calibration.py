"""Calibration at a moderate size; the full size is in bench/prove_studies.py."""

from __future__ import annotations

import math

import numpy as np
import pytest

from snugbay.base import Run
from snugbay.prove.studies_log import THINNED, Tried, learner_ranks, rough_jobs, uniform_p
from snugbay.prove.studies_readings import inference_ranks

JOBS = 45
FACES = 100


def _likely(hits: float, share: float, n: int) -> bool:
    """Whether a share of n tries is within 3 standard errors of what it should be."""
    return abs(hits - share) <= 3.0 * math.sqrt(share * (1 - share) / n)


@pytest.fixture(scope="module")
def rough() -> dict[float, list[Tried]]:
    return {share: rough_jobs(JOBS, share, Run(seed=21)) for share in (0.1, 0.3)}


@pytest.mark.slow
def test_ranks_of_the_learner_are_uniform() -> None:
    """Simulation-based calibration, chi-square at 1 %."""
    for name, ranks in learner_ranks(JOBS, Run(seed=22)).items():
        assert uniform_p(ranks, THINNED, 5) > 0.01, name


@pytest.mark.slow
def test_bands_hold_in_a_rougher_world(rough: dict[float, list[Tried]]) -> None:
    both = [j for jobs in rough.values() for j in jobs]
    assert _likely(float(np.mean([j.in80 for j in both])), 0.80, len(both))
    assert _likely(float(np.mean([j.in95 for j in both])), 0.95, len(both))


@pytest.mark.slow
@pytest.mark.parametrize(("share", "bar"), [(0.1, 0.20), (0.3, 0.12)])
def test_forecasts_come_near_early(rough: dict[float, list[Tried]], share: float, bar: float) -> None:
    """After 10 % of the pieces within 20 % of the truth in 80 % of the jobs, after 30 % within 12 %."""
    near = float(np.mean([abs(j.error) <= bar for j in rough[share]]))
    assert near >= 0.80 - 2.0 * math.sqrt(0.16 / JOBS)


@pytest.mark.slow
def test_ranks_and_bands_of_the_inference() -> None:
    """Simulation-based calibration, chi-square at 1 %, and what the bands hold."""
    ranks, bands = inference_ranks(FACES, Run(seed=23))
    for name, own in ranks.items():
        assert uniform_p(own, THINNED, 5) > 0.01, name
        assert _likely(bands[name][0], 0.80, FACES)
        assert _likely(bands[name][1], 0.95, FACES)


def test_the_rank_test_can_fail() -> None:
    rng = np.random.default_rng(3)
    assert uniform_p(rng.integers(0, 100, 400).tolist(), 99, 10) > 0.01
    assert uniform_p((rng.beta(2, 2, 400) * 100).astype(int).tolist(), 99, 10) < 0.01
