"""Gibbs sampler for the learner: normal parameters, heavy-tailed noise by reweighting, several chains side by side.

The logarithm of a sum of parts bends a little; the sampler proposes from the straight-line model about its best point
and corrects by acceptance, so that what it settles to is exact.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from snugbay.base import Run
from snugbay.prove.model import Floats, Model, Terms
from snugbay.prove.tables import figure

LEAST_KEPT = 8
"""Sweeps kept before a stopped run breaks off, so that there is something to say."""


@dataclass(frozen=True)
class Draws:
    """Draws of the posterior.

    Attributes
    ----------
    theta : array, shape (n, p)
        Standard normal parameters, by `Model.names`.
    scale : array, shape (n,)
        Log-scale of the noise of one lump. [-]
    settled : float
        Largest potential scale reduction over the parameters, split chains; 1 where nothing was sampled.
    accepted : float
        Share of the proposals taken.
    finished : bool
        False where the run was stopped before the last draw.
    """

    theta: Floats
    scale: Floats
    settled: float = 1.0
    accepted: float = 1.0
    finished: bool = True

    @property
    def converged(self) -> bool:
        """Whether the chains agree."""
        return self.settled <= figure("learning", "sampler", "limit")


@dataclass(frozen=True)
class _Line:
    """Straight-line model of the entries about a point: mean + jac @ (theta - point)."""

    point: Floats
    mean: Floats
    jac: Floats


def entry_logs(model: Model, theta: Floats) -> Floats:
    """Logarithm of the expected hours of each entry, shape (..., m) for theta of shape (..., p)."""
    parts = np.log(model.hours) + theta @ model.terms.load.T + model.terms.offset
    starts = np.searchsorted(model.entry, np.arange(model.logged.size))
    top = np.maximum.reduceat(parts, starts, axis=-1)
    whole = np.add.reduceat(np.exp(parts - top[..., model.entry]), starts, axis=-1)
    return np.asarray(top + np.log(whole))


def _line(model: Model, point: Floats) -> _Line:
    parts = np.log(model.hours) + model.terms.load @ point + model.terms.offset
    mean = entry_logs(model, point)
    share = np.exp(parts - mean[model.entry])
    jac = np.zeros((model.logged.size, point.size))
    np.add.at(jac, model.entry, share[:, None] * model.terms.load)
    return _Line(point, mean, jac)


def best_point(model: Model, rounds: int = 30) -> _Line:
    """Gauss-Newton with Student-t weights from the prior's mean to the most probable parameters."""
    p = model.terms.load.shape[1]
    nu, scale2 = figure("learning", "noise", "tails"), figure("learning", "noise", "scale") ** 2
    line = _line(model, np.zeros(p))
    for _ in range(rounds):
        r = model.logged - line.mean
        weight = (nu + 1.0) / (nu + r**2 / (scale2 * model.variance)) / (scale2 * model.variance)
        h = np.eye(p) + line.jac.T @ (weight[:, None] * line.jac)
        step = np.linalg.solve(h, line.jac.T @ (weight * r) - line.point)
        line = _line(model, line.point + step)
        if float(np.abs(step).max()) < 1e-6:
            break
    return line


def _propose(line: _Line, weight: Floats, y: Floats, rng: np.random.Generator) -> Floats:
    """Draw from the straight-line posterior of each chain; weight has shape (chains, m).

    Notes
    -----
    A draw of prior and noise, moved by what the data say of their sum, has the posterior's mean and covariance; the
    system to solve is as large as the log is long, or by the normal equations as there are parameters.
    """
    m, p = line.jac.shape
    chains = weight.shape[0]
    target = y - line.mean + line.jac @ line.point
    u, e = rng.standard_normal((chains, p)), rng.standard_normal((chains, m))
    if m <= p:
        k = np.repeat((line.jac @ line.jac.T)[None], chains, axis=0)
        k[:, np.arange(m), np.arange(m)] += 1.0 / weight
        gap = target - u @ line.jac.T - e / np.sqrt(weight)
        return np.asarray(u + np.linalg.solve(k, gap[..., None])[..., 0] @ line.jac)
    h = np.eye(p) + line.jac.T @ (weight[..., None] * line.jac)
    shaken = (weight * target + np.sqrt(weight) * e) @ line.jac + u
    return np.asarray(np.linalg.solve(h, shaken[..., None])[..., 0])


def reduction(chains: NDArray[Any]) -> float:
    """Largest potential scale reduction of split chains, shape (chains, draws, parameters).

    References
    ----------
    Gelman and Rubin's statistic with each chain cut in half, from memory.
    """
    half = chains.shape[1] // 2
    x = np.concatenate([chains[:, :half], chains[:, half : 2 * half]], axis=0)
    within = x.var(axis=1, ddof=1).mean(axis=0)
    between = x.mean(axis=1).var(axis=0, ddof=1)
    keep = within > 0
    return float(np.sqrt((half - 1) / half + between[keep] / within[keep]).max()) if keep.any() else 1.0


def prior_draws(model: Model, n: int, rng: np.random.Generator) -> Draws:
    """Draw from the prior alone."""
    return Draws(rng.standard_normal((n, len(model.names))), np.sqrt(_scale2(np.zeros(n), 0, rng)))


def _scale2(squares: Floats, count: int, rng: np.random.Generator) -> Floats:
    """Squared noise scale given the weighted squares of the residuals, one for each chain."""
    a = figure("learning", "noise", "scale_weight")
    top = (a + 1.0) * figure("learning", "noise", "scale") ** 2
    return np.asarray((top + 0.5 * squares) / rng.gamma(a + 0.5 * count, size=np.shape(squares)))


def sample(model: Model, run: Run, rng: np.random.Generator) -> Draws:
    """Draw from the posterior.

    Parameters
    ----------
    model : Model
        With or without entries; without any the draws are those of the prior.
    run : Run
        Stop is asked at each sweep.
    rng : Generator
        Source of chance.

    Returns
    -------
    Draws
        With the measure of agreement of the chains. Parameters that no entry touches keep their prior.
    """
    chains, keep = int(figure("learning", "sampler", "chains")), int(figure("learning", "sampler", "keep"))
    settle = int(figure("learning", "sampler", "settle"))
    m = model.logged.size
    if m == 0:
        return prior_draws(model, chains * keep, rng)
    active = np.any(model.terms.load != 0.0, axis=0)
    whole, model = model, replace(model, terms=Terms(model.terms.load[:, active], model.terms.offset))
    nu = figure("learning", "noise", "tails")
    line = best_point(model)
    theta = line.point + 0.5 * rng.standard_normal((chains, line.point.size))
    scale2 = np.full(chains, figure("learning", "noise", "scale") ** 2)
    kept: list[Floats] = []
    scales: list[Floats] = []
    taken = 0.0
    log_now = entry_logs(model, theta)
    for sweep in range(settle + keep):
        if run.stop() and len(kept) >= LEAST_KEPT:
            break
        r = model.logged - log_now
        rate = 0.5 * (nu + r**2 / (scale2[:, None] * model.variance))
        lam = rng.gamma(0.5 * (nu + 1.0), size=r.shape) / rate
        scale2 = _scale2((lam * r**2 / model.variance).sum(axis=1), m, rng)
        weight = lam / (scale2[:, None] * model.variance)
        new = _propose(line, weight, model.logged, rng)
        log_new = entry_logs(model, new)
        ratio = _excess(model, line, new, log_new, weight) - _excess(model, line, theta, log_now, weight)
        yes = np.log(rng.random(chains)) < ratio
        theta = np.where(yes[:, None], new, theta)
        log_now = np.where(yes[:, None], log_new, log_now)
        if sweep >= settle:
            taken += float(yes.mean())
            kept.append(theta)
            scales.append(np.sqrt(scale2))
    stack = np.stack(kept, axis=1)
    theta = rng.standard_normal((stack.shape[0] * stack.shape[1], len(whole.names)))
    theta[:, active] = stack.reshape(-1, stack.shape[-1])
    return Draws(
        theta,
        np.stack(scales, axis=1).reshape(-1),
        reduction(np.concatenate([stack, np.log(np.stack(scales, axis=1))[..., None]], axis=-1)),
        taken / len(kept),
        len(kept) == keep,
    )


def _excess(model: Model, line: _Line, theta: Floats, log_at: Floats, weight: Floats) -> Floats:
    """Log-likelihood of the bent model over that of the straight one."""
    straight = line.mean + (theta - line.point) @ line.jac.T
    return np.asarray(-0.5 * (weight * ((model.logged - log_at) ** 2 - (model.logged - straight) ** 2)).sum(axis=-1))
