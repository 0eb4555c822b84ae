"""The learner: against independent reckoning, and what it says in words."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import t as student
from tests.prove.cases import RUN, logged, mill

from snugbay.base import Run
from snugbay.job import Job, LogEntry
from snugbay.materials import Rates
from snugbay.prove import Followed, ProveAnswer, learned_rates, prove
from snugbay.prove.forecast import cell_factors, hours_left
from snugbay.prove.log import read_log
from snugbay.prove.model import Model, build, learning_of
from snugbay.prove.onward import used_up
from snugbay.prove.sampler import entry_logs, prior_draws, sample
from snugbay.prove.studies_log import CURVE, Asked, log_of, synthetic_work
from snugbay.prove.tables import figure
from snugbay.ways.conditions import learning


def _answer(job: Job, seed: int = 1) -> ProveAnswer:
    _, taped, weighing, pieces = mill()
    return prove(Followed(job, taped, weighing, pieces), replace(RUN, seed=seed)).value


def _batch(n: int) -> tuple[str, ...]:
    return tuple(p.id for p in mill()[3].pieces if p.face == "C1")[:n]


def test_loadings_make_one() -> None:
    loads = [figure("learning", "loadings", k) for k in ("worker", "element", "face", "cell")]
    assert sum(x**2 for x in loads) == pytest.approx(1.0, abs=1e-3)


def test_the_curve_is_that_of_the_plan() -> None:
    """Pieces one by one, and the mean over a run against the factor that the plan's hours have in them."""
    rates = Rates()
    curve = learning_of(rates["time_model.learning_curve.slope"], rates["time_model.learning_curve.plateau"])
    for n in (1, 5, 6, 7, 20):
        one = math.exp(curve.slope * curve.mean_between(n - 1, n))
        assert one == pytest.approx(max(n ** math.log2(0.92), 0.8), rel=1e-9)
    steps = [math.exp(curve.slope * curve.mean_between(n, n + 1)) for n in range(20)]
    assert np.mean(steps) == pytest.approx(learning(20, rates).typical, rel=1e-9)
    parts = [curve.mean_between(a, a + 0.25) for a in np.arange(2.0, 9.0, 0.25)]
    assert np.mean(parts) == pytest.approx(curve.mean_between(2.0, 9.0), rel=1e-9)


def test_nothing_logged_gives_the_plans_own_spread() -> None:
    """P10, P50 and P90 of the plan's spread, which joins elements and faces a little otherwise: within 15 %."""
    job, _, weighing, _ = mill()
    answer = _answer(job)
    band = weighing.spread.hours
    assert answer.learned == ()
    assert answer.replan is None
    assert answer.forecast.spent == answer.forecast.done == 0.0
    got = answer.forecast.remaining
    for mine, theirs in ((got.low80, band.p10), (got.median, band.p50), (got.high80, band.p90)):
        assert mine == pytest.approx(theirs, rel=0.15)
    assert "No pace is known yet" in answer.forecast.text
    assert answer.to_read


def _small_model(style: str) -> Model:
    work = synthetic_work(np.random.default_rng(5))
    faces = tuple(work.counts)
    if style == "elements":
        asked = [Asked(faces[0], (f"{faces[0]}-{i}",), "cutting") for i in range(3)]
        hours = [0.5, 0.4, 2.0]
    else:
        asked = [Asked(faces[0], (f"{faces[0]}-0", f"{faces[0]}-1"), "all"), Asked(faces[1], (f"{faces[1]}-0",), "all")]
        hours = [4.0, 1.5]
    return build(work, read_log(log_of(asked, hours), work), CURVE)


@pytest.mark.parametrize("style", ["elements", "all"])
def test_the_sampler_agrees_with_weighting_of_prior_draws(style: str) -> None:
    """Independent reckoning: many draws of the prior, each weighted by its likelihood."""
    model = _small_model(style)
    rng = np.random.default_rng(1)
    prior = prior_draws(model, 150_000, rng)
    z = (model.logged - entry_logs(model, prior.theta)) / (prior.scale[:, None] * np.sqrt(model.variance))
    like = student.logpdf(z, figure("learning", "noise", "tails")).sum(axis=1) - z.shape[1] * np.log(prior.scale)
    w = np.exp(like - like.max())
    w /= w.sum()
    assert 1 / (w**2).sum() > 1000  # enough draws count
    d = sample(model, Run(), rng)
    assert d.converged
    assert d.accepted > 0.6
    for name in (("worker", ""), ("element", "cutting"), ("learning", "")):
        i = model.names.index(name)
        mean = float(w @ prior.theta[:, i])
        sd = float(np.sqrt(w @ (prior.theta[:, i] - mean) ** 2))
        assert d.theta[:, i].mean() == pytest.approx(mean, abs=0.1)
        assert d.theta[:, i].std() == pytest.approx(sd, rel=0.1)
    left, weighted = hours_left(model, d, rng), hours_left(model, prior, rng)
    order = np.argsort(weighted)
    median = weighted[order][np.searchsorted(np.cumsum(w[order]), 0.5)]
    assert np.median(left) == pytest.approx(median, rel=0.05)


def test_one_slip_moves_little_and_is_asked_about() -> None:
    job, taped, weighing, pieces = mill()
    names = _batch(8)
    planned = dict(weighing.face_hours)["C1"]
    cut = next(h.typical for h in planned if h.element == "cutting") / len([p for p in pieces.pieces if p.face == "C1"])
    usual = [LogEntry(cut * 1.0, "cutting", "C1", (n,)) for n in names[:7]]
    calm = _answer(logged(job, *usual, LogEntry(cut, "cutting", "C1", (names[7],))))
    slip = _answer(logged(job, *usual, LogEntry(12 * cut, "cutting", "C1", (names[7],))))
    before, after = (next(k.factor.median for k in a.learned if k.element == "cutting") for a in (calm, slip))
    assert after < 1.3 * before
    odd = [f for f in slip.findings if f.code == "prove.log-odd"]
    assert [f.where for f in odd] == [("log", "entries", 7)]
    assert not [f for f in calm.findings if f.code == "prove.log-odd"]
    del taped


def test_slow_hands_are_learned_and_the_bands_narrow() -> None:
    job, _, weighing, _ = mill()
    planned = sum(h.typical for h in dict(weighing.face_hours)["C1"])
    answer = _answer(logged(job, *(LogEntry(0.1 * planned * 2.0, "all", "C1", share_done=0.1) for _ in range(5))))
    you = answer.learned[0]
    assert you.element == "you"
    assert you.factor.low95 > 1.0
    assert you.factor.high80 / you.factor.low80 < you.prior.high80 / you.prior.low80
    assert answer.forecast.converged
    assert "At this pace" in answer.forecast.text
    left = weighing.plan.hours - 0.5 * planned
    assert 1.3 * left < answer.forecast.remaining.median < 2.3 * left
    assert answer.forecast.total.median == pytest.approx(answer.forecast.spent + answer.forecast.remaining.median)


def test_same_seed_same_answer() -> None:
    job = logged(mill()[0], LogEntry(1.0, "cutting", "C1", _batch(3)))
    assert _answer(job) == _answer(job)
    assert _answer(job) != _answer(job, seed=2)


def test_replan_counts_nothing_twice() -> None:
    job, _, weighing, _ = mill()
    planned = sum(h.typical for h in dict(weighing.face_hours)["C1"])
    usual = _answer(logged(job, LogEntry(0.2 * planned, "all", "C1", share_done=0.2)))
    assert usual.replan is not None
    assert 0.0 <= usual.replan.chance <= 1.0
    assert usual.replan.advised == (usual.replan.chance >= 0.8)
    assert "count for neither side" in usual.replan.text
    assert not usual.replan.advised  # as planned so far, with the boards for the rest in hand
    assert "prove.used-unlogged" in [f.code for f in usual.findings]
    slow = _answer(logged(job, LogEntry(1.2 * planned, "all", "C1", share_done=0.2)))
    assert slow.replan is not None
    assert slow.replan.chance >= usual.replan.chance


def test_what_is_used_up_goes_with_the_work_unless_logged() -> None:
    job, _, weighing, _ = mill()
    half = used_up(job.log, weighing, {"C1": 0.5})
    needs = {b.item: b.need for b in weighing.purchases if not b.once and b.unit != "job" and b.need > 0}
    assert dict(half) == pytest.approx({i: n / 2 for i, n in needs.items()})
    item = next(iter(needs))
    own = used_up(replace(job.log, used=((item, 1.0),)), weighing, {"C1": 0.5})
    assert own[0] == (item, 1.0)
    assert len(own) == len(half)


def test_learned_rates_go_into_the_next_plan() -> None:
    job = logged(mill()[0], *(LogEntry(1.0, "cutting", "C1", (n,)) for n in _batch(5)))
    answer = _answer(job)
    rows = {r.item: r for r in learned_rates(answer.learned, Rates())}
    factor = next(k.factor.median for k in answer.learned if k.element == "cutting")
    assert factor > 1.5
    base, own = Rates()["time_model.cutting.cut_setup"], rows["time_model.cutting.cut_setup"]
    assert own.typical == pytest.approx(base.typical * factor)
    assert own.high / own.low < base.high / base.low
    assert own.low <= own.typical <= own.high
    taken = Rates(tuple((r.item, r.low, r.typical, r.high) for r in rows.values()))
    assert taken["time_model.cutting.cut_setup"].typical == own.typical
    assert not any("sealing" in r for r in rows)  # nothing was said of it


def test_factors_of_cells_without_entries_keep_the_prior_median() -> None:
    model = _small_model("elements")
    d = prior_draws(model, 20_000, np.random.default_rng(0))
    factors = np.median(cell_factors(model, d), axis=0)
    i = next(k for k in range(model.left.size) if model.cells.offset[k] == 0.0)
    assert factors[i] == pytest.approx(1.0, abs=0.02)
