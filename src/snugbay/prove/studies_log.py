"""Synthetic jobs for the calibration of the learner: drawn from its own model, and from a rougher world beside it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import chdtrc

from snugbay.base import Run
from snugbay.job import Log, LogEntry
from snugbay.prove.forecast import hours_left
from snugbay.prove.log import planned_done, read_log
from snugbay.prove.model import Floats, Learning, Model, build
from snugbay.prove.sampler import entry_logs, prior_draws, sample
from snugbay.prove.tables import figure
from snugbay.prove.work import WHOLE, Cell, Work

CURVE = Learning(math.log(0.92), 0.04, math.log(0.8) / math.log(0.92))
ELEMENTS = (
    ("measuring", 0.45, 0.35),
    ("marking", 0.9, 0.35),
    ("cutting", 1.2, 0.48),
    ("carrying", 0.8, 0.40),
    ("fitting", 1.0, 0.42),
    ("fixing", 1.6, 0.50),
    ("sealing", 1.4, 0.42),
)
"""Element, hours on a face of middling size, log-spread: as plans for boards come out."""


def synthetic_work(rng: np.random.Generator) -> Work:
    """Draw a board job of 4 to 8 faces with 4 to 14 pieces each, and set-up and clean-up for the whole job."""
    cells: list[Cell] = []
    counts: dict[str, int] = {}
    for f in range(int(rng.integers(4, 9))):
        face = f"F{f}"
        counts[face] = int(rng.integers(4, 15))
        size = counts[face] / 9.0 * float(np.exp(rng.normal(0.0, 0.3)))
        cells.extend(Cell(face, e, h * size, s, face) for e, h, s in ELEMENTS)
    cells.append(Cell(WHOLE, "set-up", 1.0, 0.4, WHOLE))
    cells.append(Cell(WHOLE, "clean-up", 0.8, 0.4, WHOLE))
    return Work(tuple(cells), {}, counts, dict(counts), tuple(counts))


@dataclass(frozen=True)
class Asked:
    """What an entry will be written for: face, pieces, element."""

    face: str
    pieces: tuple[str, ...]
    element: str


def synthetic_order(work: Work, share: float, rng: np.random.Generator) -> list[Asked]:
    """Draw entries until a share of the pieces is done: one to three pieces at a time, uneven in what they name."""
    out: list[Asked] = [Asked(WHOLE, (), "set-up")]
    labels = [(f, f"{f}-{n}") for f in rng.permutation(list(work.counts)) for n in range(work.counts[str(f)])]
    wanted = max(1, round(share * len(labels)))
    while wanted > 0:
        k = min(int(rng.integers(1, 4)), wanted)
        face = str(labels[0][0])
        batch = tuple(str(name) for f, name in labels[:k] if str(f) == face)
        labels = labels[len(batch) :]
        wanted -= len(batch)
        style = rng.random()
        if style < 0.35:
            out.append(Asked(face, batch, "all"))
        else:
            out.extend(Asked(face, batch, e) for e, _, _ in ELEMENTS)
    return out


def log_of(asked: Sequence[Asked], hours: Sequence[float]) -> Log:
    """Write the entries down."""
    return Log(
        tuple(
            LogEntry(float(h), a.element, a.face, a.pieces, share_done=0.0 if a.pieces else 1.0)
            for a, h in zip(asked, hours, strict=True)
        )
    )


def uniform_p(ranks: Sequence[int], most: int, bins: int) -> float:
    """Chi-square probability that ranks 0..most are uniform, in equal bins."""
    count = np.bincount(np.asarray(ranks) * bins // (most + 1), minlength=bins)
    expected = len(ranks) / bins
    return float(chdtrc(bins - 1, ((count - expected) ** 2 / expected).sum()))


RANKED = ("worker", "cutting", "learning", "noise", "hours left")
THINNED = 99


def learner_ranks(jobs: int, run: Run) -> dict[str, list[int]]:
    """Ranks of true values among posterior draws, for jobs drawn from the learner's own model.

    References
    ----------
    Simulation-based calibration: the rank of the truth among independent draws of a right posterior is uniform.
    """
    rng = run.rng("prove study: learner")
    out: dict[str, list[int]] = {k: [] for k in RANKED}
    for _ in range(jobs):
        work = synthetic_work(rng)
        asked = synthetic_order(work, float(rng.uniform(0.05, 0.6)), rng)
        model = build(work, read_log(log_of(asked, [1.0] * len(asked)), work), CURVE)
        truth = prior_draws(model, 1, rng)
        noise = (
            truth.scale[0]
            * np.sqrt(model.variance)
            * rng.standard_t(figure("learning", "noise", "tails"), model.logged.size)
        )
        model = replace(model, logged=entry_logs(model, truth.theta[0]) + noise)
        left = hours_left(model, truth, rng)[0]
        d = sample(model, run, rng)
        keep = np.linspace(0, d.theta.shape[0] - 1, THINNED).astype(int)
        column = {n: i for i, n in enumerate(model.names)}
        for key, name in (
            ("worker", ("worker", "")),
            ("cutting", ("element", "cutting")),
            ("learning", ("learning", "")),
        ):
            i = column[name]
            out[key].append(int((d.theta[keep, i] < truth.theta[0, i]).sum()))
        out["noise"].append(int((d.scale[keep] < truth.scale[0]).sum()))
        out["hours left"].append(int((hours_left(model, d, rng)[keep] < left).sum()))
    return out


@dataclass(frozen=True)
class World:
    """The rougher world: how pieces and clocks behave.

    Attributes
    ----------
    piece, clock : float
        Log-normal spread of one element of one piece, and of an entry's time-keeping.
    slips : float
        Share of the entries whose clock was forgotten.
    """

    piece: float = 0.25
    clock: float = 0.12
    slips: float = 0.05


@dataclass(frozen=True)
class Tried:
    """One synthetic job of the rougher world.

    Attributes
    ----------
    in80, in95 : bool
        Whether the hours left fell into the forecast's band.
    error : float
        Forecast total over true total, less one. [-]
    done : float
        Share of the planned hours done.
    """

    in80: bool
    in95: bool
    error: float
    done: float


def _learned_factor(n: int, run: int, slope: float, floor: float) -> float:
    all_n = np.maximum(np.arange(1, run + 1, dtype=np.float64) ** math.log2(slope), floor)
    return float(all_n[n] / all_n.mean())


def rough_jobs(jobs: int, share: float | None, run: Run, world: World | None = None) -> list[Tried]:
    """Forecast jobs of the rougher world from their logs.

    Parameters
    ----------
    jobs : int
        Number of jobs.
    share : float or None
        Share of the pieces done when the forecast is made; None draws it between 5 and 60 %.
    run : Run
        Seed.
    world : World
        How pieces and clocks behave.
    """
    rng = run.rng(f"prove study: rough {share}")
    return [
        _rough_job(share if share is not None else float(rng.uniform(0.05, 0.6)), run, rng, world or World())
        for _ in range(jobs)
    ]


def _real_hours(work: Work, world: World, rng: np.random.Generator) -> dict[tuple[str, str], Floats]:
    """True hours of every element of every piece, by face and element."""
    w, e, f, own = (figure("learning", "loadings", k) for k in ("worker", "element", "face", "cell"))
    worker = rng.standard_normal()
    elements = {x: rng.standard_normal() for x in dict.fromkeys(c.element for c in work.cells)}
    faces = {x: rng.standard_normal() for x in dict.fromkeys(c.face for c in work.cells)}
    slope = float(np.exp(rng.normal(CURVE.slope, CURVE.spread)))
    floor = float(np.clip(rng.normal(0.8, 0.06), 0.5, 0.95))
    out: dict[tuple[str, str], Floats] = {}
    for c in work.cells:
        n = work.counts.get(c.face, 1)
        luck = w * worker + e * elements[c.element] + f * faces[c.face] + own * rng.standard_normal()
        factor = math.exp(c.spread * luck)
        steps = [1.0] if c.face == WHOLE else [_learned_factor(k, n, min(slope, 0.999), floor) for k in range(n)]
        chance = np.exp(rng.normal(0.0, world.piece, n))
        out[c.face, c.element] = c.hours / n * factor * np.array(steps) * chance
    return out


def _slip(rng: np.random.Generator) -> float:
    """Clock left running, or started late."""
    return float(rng.uniform(1.7, 4.0)) if rng.random() < 0.5 else float(rng.uniform(0.25, 0.6))


def _rough_job(share: float, run: Run, rng: np.random.Generator, world: World) -> Tried:
    work = synthetic_work(rng)
    asked = synthetic_order(work, share, rng)
    real = _real_hours(work, world, rng)
    hours: list[float] = []
    true_done = 0.0
    for a in asked:
        rows = [real[k] for k in real if k[0] == a.face and a.element in ("all", k[1])]
        which = [int(p.rsplit("-", 1)[1]) for p in a.pieces]
        spent = float(sum(r[which].sum() if which else r.sum() for r in rows))
        true_done += spent
        clock = math.exp(rng.normal(0.0, world.clock)) * (_slip(rng) if rng.random() < world.slips else 1.0)
        hours.append(spent * clock)
    record = read_log(log_of(asked, hours), work)
    model: Model = build(work, record, CURVE)
    left: NDArray[Any] = hours_left(model, sample(model, run, rng), rng)
    total = float(sum(r.sum() for r in real.values()))
    true_left = total - true_done
    a80, b80, a95, b95, mid = (float(x) for x in np.quantile(left, (0.1, 0.9, 0.025, 0.975, 0.5)))
    return Tried(
        a80 <= true_left <= b80,
        a95 <= true_left <= b95,
        (record.spent + mid) / total - 1.0,
        planned_done(work, record) / work.planned,
    )
