"""Sequential Monte Carlo in few dimensions: from a normal prior to a posterior, in small steps."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from snugbay.base import Run
from snugbay.prove.tables import figure

Floats = NDArray[np.float64]
LogLikelihood = Callable[[Floats], NDArray[Any]]
MOST_STEPS = 60
LEAST_ACCEPTED = 0.08


@dataclass(frozen=True)
class Particles:
    """Draws of the posterior.

    Attributes
    ----------
    u : array, shape (n, d)
        Standard normal parameters.
    steps : int
        Steps from prior to posterior.
    accepted : float
        Share of the last moves taken. [0..1]
    settled : bool
        True where the posterior was reached and the last moves mixed.
    """

    u: Floats
    steps: int
    accepted: float
    settled: bool


def _ess(log_w: Floats) -> float:
    w = np.exp(log_w - log_w.max())
    return float(w.sum() ** 2 / (w**2).sum())


def _next_power(power: float, log_l: Floats, least: float) -> float:
    """Largest power to which the particles can be taken with enough of them still counting."""
    if _ess((1.0 - power) * log_l) >= least:
        return 1.0
    low, high = power, 1.0
    for _ in range(50):
        mid = 0.5 * (low + high)
        low, high = (mid, high) if _ess((mid - power) * log_l) >= least else (low, mid)
    return max(low, power + 1e-9)


def _moves(
    u: Floats, log_l: Floats, power: float, log_like: LogLikelihood, times: int, rng: np.random.Generator
) -> tuple[Floats, Floats, float]:
    """Random-walk moves scaled by the particles' own spread."""
    n, d = u.shape
    root = np.linalg.cholesky(np.cov(u.T).reshape(d, d) + 1e-9 * np.eye(d))
    size, taken = 2.38 / np.sqrt(d), 0.0
    for _ in range(times):
        new = u + size * rng.standard_normal((n, d)) @ root.T
        log_new = np.asarray(log_like(new), dtype=np.float64)
        ratio = power * (log_new - log_l) - 0.5 * (new**2 - u**2).sum(axis=1)
        yes = np.log(rng.random(n)) < ratio
        u = np.where(yes[:, None], new, u)
        log_l = np.where(yes, log_new, log_l)
        taken = float(yes.mean())
        size *= float(np.exp(taken - 0.3))
    return u, log_l, taken


def particles(log_like: LogLikelihood, dims: int, run: Run, rng: np.random.Generator) -> Particles:
    """Draw from the posterior of a standard normal prior and a likelihood.

    Parameters
    ----------
    log_like : callable
        Logarithm of the likelihood of parameters of shape (n, d), finite.
    dims : int
        d.
    run : Run
        Stop is asked at each step.
    rng : Generator
        Source of chance.

    References
    ----------
    Tempered sequential Monte Carlo with resampling and random-walk moves (Del Moral, Doucet and Jasra), from memory.
    """
    n = int(figure("readings", "sampler", "particles"))
    moves, last = int(figure("readings", "sampler", "moves")), int(figure("readings", "sampler", "last_moves"))
    least = figure("readings", "sampler", "ess") * n
    u = rng.standard_normal((n, dims))
    log_l = np.asarray(log_like(u), dtype=np.float64)
    power, steps, accepted = 0.0, 0, 1.0
    while power < 1.0 and steps < MOST_STEPS and not (run.stop() and steps):
        new = _next_power(power, log_l, least)
        w = np.exp((new - power) * (log_l - log_l.max()))
        at = (np.arange(n) + rng.random()) / n
        pick = np.minimum(np.searchsorted(np.cumsum(w) / w.sum(), at), n - 1)
        power, steps = new, steps + 1
        times = last if power >= 1.0 else moves
        u, log_l, accepted = _moves(u[pick], log_l[pick], power, log_like, times, rng)
    return Particles(u, steps, accepted, power >= 1.0 and accepted >= LEAST_ACCEPTED)
