"""The heat balance run backwards: from readings of one face to the resistance achieved and the air that goes round it.

Steady one-dimensional flow: the warm surface stands at T_w - (T_w - T_c)·R_si/R_T, the cold one at T_c + (T_w - T_c)·
R_se/R_T, and the flux is (T_w - T_c)/R_T, with R_T = R_si + R_0 + R_a + R_se. R_0 is what was there before. The work
added R_a = planned·kept·(1 - bypass): a share ``kept`` of the planned resistance, with air going round it that carries
the share ``bypass`` of the heat. On a windy night the air's conductance is a few times that of a calm one.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import chdtrc, ndtr

from snugbay.base import Run
from snugbay.prove.airs import Air
from snugbay.prove.screen import Spot
from snugbay.prove.smc import Floats, Particles, particles
from snugbay.prove.tables import figure

MOST_APART = 3
DIMS = 6
"""Parameters: warm film, cold film, resistance as found, kept, bypass, wind."""


@dataclass(frozen=True)
class Believed:
    """What is held of a face before its readings.

    Attributes
    ----------
    found : float
        Resistance as found without films, where it is read. [m²·K/W]
    planned : float
        Resistance that the plan adds. [m²·K/W]
    warm_film, cold_film : (float, float)
        Median and log-spread of the surface resistances. [m²·K/W, -]
    found_spread : float
        Log-spread of ``found``. [-]
    """

    found: float
    planned: float
    warm_film: tuple[float, float]
    cold_film: tuple[float, float]
    found_spread: float


@dataclass(frozen=True)
class Session:
    """Readings of one face taken together.

    Attributes
    ----------
    after, windy : bool
        After the work; on a windy night.
    warm, cold : Air
        Airs either side.
    kinds : tuple of str
        ``"warm"``, ``"cold"`` surface or ``"flux"``, one for each value.
    values, sigmas : array, shape (n,)
        [°C or W/m²]
    """

    after: bool
    windy: bool
    warm: Air
    cold: Air
    kinds: tuple[str, ...]
    values: Floats
    sigmas: Floats


@dataclass(frozen=True)
class Measured:
    """Resistance by a plate series, surface to surface: value and log-spread. [m²·K/W, -]"""

    after: bool
    resistance: float
    spread: float


@dataclass(frozen=True)
class Physical:
    """Draws in physical terms, arrays of shape (n,): resistances [m²·K/W], shares [-]."""

    warm_film: Floats
    cold_film: Floats
    found: Floats
    kept: Floats
    bypass: Floats
    wind: Floats
    planned: float

    def added(self, *, windy: bool = False) -> Floats:
        """Resistance that the work added, on a calm or a windy night."""
        open_ = 1.0 - self.bypass
        if windy:
            open_ = open_ / (open_ + self.wind * self.bypass)
        return np.asarray(self.planned * self.kept * open_)

    def total(self, *, after: bool, windy: bool = False) -> Floats:
        """Resistance with films."""
        bare = self.warm_film + self.found + self.cold_film
        return bare + self.added(windy=windy) if after else bare


def physical(u: Floats, held: Believed) -> Physical:
    """Turn standard normal parameters, shape (n, 6), into physical ones.

    Notes
    -----
    Kept: most·(uniform)^(1/2), so that work near the plan is likelier than far off; bypass: 1 - (uniform)^(1/3),
    a quarter in the mean. Both reach from nothing to all (assumption).
    """
    share = ndtr(u)
    return Physical(
        held.warm_film[0] * np.exp(held.warm_film[1] * u[:, 0]),
        held.cold_film[0] * np.exp(held.cold_film[1] * u[:, 1]),
        held.found * np.exp(held.found_spread * u[:, 2]),
        figure("readings", "build", "most_kept") * np.sqrt(share[:, 3]),
        1.0 - np.cbrt(share[:, 4]),
        figure("readings", "build", "wind_times") * np.exp(figure("readings", "build", "wind_spread") * u[:, 5]),
        held.planned,
    )


def predicted(p: Physical, s: Session) -> tuple[NDArray[Any], NDArray[Any], NDArray[Any]]:
    """Mean of each reading of a session, and its derivatives by the two airs; each of shape (n, readings)."""
    total = p.total(after=s.after, windy=s.windy)
    by = {"warm": 1.0 - p.warm_film / total, "cold": p.cold_film / total, "flux": 1.0 / total}
    warm_part = np.stack([by[k] for k in s.kinds], axis=1)
    of_cold = np.array([0.0 if k == "flux" else 1.0 for k in s.kinds])
    cold_part = of_cold - warm_part
    return s.warm.mean * warm_part + s.cold.mean * cold_part, warm_part, cold_part


def _against(p: Physical, s: Session) -> tuple[NDArray[Any], NDArray[Any]]:
    """Squared residuals of a session in units of their spread, and the logarithm of that spread; shape (n,) each."""
    stray, share = figure("readings", "errors", "spot_k"), figure("readings", "errors", "flux_share")
    mean, a, b = predicted(p, s)
    flux = np.array([k == "flux" for k in s.kinds])
    own = np.where(flux, np.hypot(s.sigmas, share * mean), np.hypot(s.sigmas, stray))
    cov = a[:, :, None] * a[:, None, :] * s.warm.sigma**2 + b[:, :, None] * b[:, None, :] * s.cold.sigma**2
    at = np.arange(len(s.kinds))
    cov[:, at, at] += own**2
    root = np.linalg.cholesky(cov)
    z = np.linalg.solve(root, (s.values - mean)[..., None])[..., 0]
    return (z**2).sum(axis=1), np.log(root[:, at, at]).sum(axis=1)


def _series_squares(p: Physical, m: Measured) -> NDArray[Any]:
    between = p.found + p.added() if m.after else p.found
    return np.asarray(((math.log(m.resistance) - np.log(between)) / m.spread) ** 2)


def log_likelihood(p: Physical, sessions: Sequence[Session], series: Sequence[Measured]) -> NDArray[Any]:
    """Logarithm of the likelihood, shape (n,); the true airs of a session are integrated out."""
    total = np.zeros_like(p.found)
    for s in sessions:
        squares, spread = _against(p, s)
        total -= 0.5 * squares + spread
    for m in series:
        total -= 0.5 * _series_squares(p, m)
    return total


def agreement(u: Floats, p: Physical, sessions: Sequence[Session], series: Sequence[Measured]) -> float:
    """Chance that readings of a face stray from each other and from what was held as far as these do. [0..1]

    Parameters
    ----------
    u : array, shape (n, 6)
        Draws of the posterior, standard normal before the readings.
    p : Physical
        The same in physical terms.
    sessions, series : sequence
        Readings.

    Notes
    -----
    The least sum of squares of what readings and parameters stray, against chi-square with as many degrees of freedom
    as there are readings: each parameter brings one square and takes one.
    """
    squares = (u**2).sum(axis=1)
    for s in sessions:
        squares = squares + _against(p, s)[0]
    for m in series:
        squares = squares + _series_squares(p, m)
    count = sum(len(s.kinds) for s in sessions) + len(series)
    return float(chdtrc(max(count, 1), squares.min()))


@dataclass(frozen=True)
class Inferred:
    """Posterior of one face.

    Attributes
    ----------
    draws, prior : Physical
        After and before the readings.
    particles : Particles
        With what shows that the sampler settled.
    sessions : tuple of Session
        What it was inferred from.
    series : tuple of Measured
        Plate series used.
    agrees : float
        Chance that good readings stray as far as these do; see `agreement`. [0..1]
    """

    draws: Physical
    prior: Physical
    particles: Particles
    sessions: tuple[Session, ...]
    series: tuple[Measured, ...]
    agrees: float

    def alone(self, held: Believed, *, after: bool) -> float:
        """Chance that readings of one stage alone, before or after the work, stray as far as these do. [0..1]"""
        sessions = tuple(s for s in self.sessions if s.after == after)
        series = tuple(m for m in self.series if m.after == after)
        found = infer(held, sessions, series, Run(), np.random.default_rng(self.prior.found.size))
        return found.agrees

    @property
    def contradicts(self) -> bool:
        """Whether the readings contradict each other or the layers so far that no figure is taken from them."""
        return self.agrees < figure("readings", "limits", "least_agreement")

    def read(self, *, after: bool) -> bool:
        """Tell whether the face was read before or after the work."""
        return any(s.after == after for s in self.sessions) or any(m.after == after for m in self.series)


def infer(
    held: Believed, sessions: Sequence[Session], series: Sequence[Measured], run: Run, rng: np.random.Generator
) -> Inferred:
    """Run the balance of one face backwards.

    Parameters
    ----------
    held : Believed
        What is held before.
    sessions, series : sequence
        Readings.
    run : Run
        Stop.
    rng : Generator
        Source of chance.
    """

    def log_like(u: Floats) -> NDArray[Any]:
        return log_likelihood(physical(u, held), sessions, series)

    found = particles(log_like, DIMS, run, rng)
    prior = physical(rng.standard_normal(found.u.shape), held)
    draws = physical(found.u, held)
    agrees = agreement(found.u, draws, sessions, series)
    return Inferred(draws, prior, found, tuple(sessions), tuple(series), agrees)


def sessions_of(
    spots: Sequence[Spot], airs: Mapping[tuple[str, str, str], Air], warm: str, cold: str
) -> tuple[Session, ...]:
    """Group the readings of a face's middle by the set they were taken in.

    Parameters
    ----------
    spots : sequence of Spot
        Of one face.
    airs : Mapping
        By (when, set, zone).
    warm, cold : str
        Zones of the face.

    Notes
    -----
    Readings of one kind are drawn together to their mean. As one instrument read them all, no more than three count as
    apart (assumption).
    """
    by: dict[tuple[str, str], list[Spot]] = {}
    for s in spots:
        if s.middle:
            by.setdefault((s.when, s.set), []).append(s)
    return tuple(_session(own, airs[when, name, warm], airs[when, name, cold]) for (when, name), own in by.items())


def _session(own: Sequence[Spot], warm: Air, cold: Air) -> Session:
    by: dict[str, list[Spot]] = {}
    for s in own:
        by.setdefault("flux" if s.flux else s.side, []).append(s)
    values, sigmas = [], []
    for rows in by.values():
        weight = np.array([1.0 / s.sigma**2 for s in rows])
        values.append(float(weight @ np.array([s.value for s in rows]) / weight.sum()))
        sigmas.append(float(np.sqrt(len(rows) / weight.sum() / min(len(rows), MOST_APART))))
    return Session(own[0].when == "after", own[0].windy, warm, cold, tuple(by), np.array(values), np.array(sigmas))
