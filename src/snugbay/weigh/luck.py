"""Luck: what is drawn, what is drawn together, and the law that a figure of three points follows.

Low and high of a figure are taken as its 5th and 95th percentile, typical as its median; between them it follows two
halves of a log-normal law. What goes together is drawn together: one worker factor and one factor for each group of
ways behind all hours, one resistance factor behind all faces, one price factor behind all prices.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from snugbay.weigh.problem import Problem

Floats = NDArray[Any]
Three = tuple[float, float, float]
Z95 = 1.6448536269514722
"""95th percentile of the normal law: what low and high are taken as."""

WORKER, METHOD, OWN = 0.70, 0.50, 0.51
"""Loadings of hours on worker, method and face; their squares make 1."""
ALL_R, OWN_R = 0.80, 0.60
ALL_PRICES, OWN_PRICE = 0.60, 0.80


@dataclass(frozen=True)
class Draws:
    """Standard normal draws by driver; arrays of shape (n,), faces (faces, n).

    Attributes
    ----------
    worker, prices, energy, winter, found, resistance : array
        Common drivers.
    methods, items : Mapping of str to array
        By group of ways, by item, crew or resource.
    face_hours, face_r : array, shape (faces, n)
        Own luck of each face.
    """

    worker: Floats
    prices: Floats
    energy: Floats
    winter: Floats
    found: Floats
    resistance: Floats
    methods: Mapping[str, Floats]
    items: Mapping[str, Floats]
    face_hours: Floats
    face_r: Floats


def item_names(p: Problem) -> list[str]:
    """What has a price or an amount of its own luck."""
    names = [k.item for r in p.resources for k in r.packs]
    names += [*(g for g, _ in p.gear), *p.starts, *(f"crew:{c}" for c, _ in p.crews)]
    names += [f"need:{r.id}" for r in p.resources]
    return list(dict.fromkeys(names))


def groups_of_ways(p: Problem) -> list[str]:
    """Groups of ways; those of one group share their luck."""
    return list(dict.fromkeys(o.group for f in p.faces for o in f.options))


def draw(p: Problem, n: int, rng: np.random.Generator) -> Draws:
    """Draw all drivers, each draw with its mirror image.

    Parameters
    ----------
    p : Problem
        Which items, groups and faces there are.
    n : int
        Number of draws, a multiple of four.
    rng : Generator
        Source of chance.
    """
    groups, items = groups_of_ways(p), item_names(p)
    faces = len(p.faces)
    rows = 6 + len(groups) + len(items) + 2 * faces
    common = rows - 2 * faces
    quarter = n // 4
    z = np.empty((rows, 4 * quarter), dtype=np.float32)
    first = rng.standard_normal((common, 2 * quarter), dtype=np.float32)
    own = rng.standard_normal((2 * faces, quarter), dtype=np.float32)
    top, faces_rows = z[:common], z[common:]
    top[:, : 2 * quarter] = first
    np.negative(first, out=top[:, 2 * quarter :])
    # each face's luck meets two draws of what is common, and the mirror of both
    faces_rows[:, :quarter] = faces_rows[:, 3 * quarter :] = own
    np.negative(own, out=faces_rows[:, quarter : 2 * quarter])
    faces_rows[:, 2 * quarter : 3 * quarter] = faces_rows[:, quarter : 2 * quarter]
    at = iter(range(6, rows))
    return Draws(
        z[0],
        z[1],
        z[2],
        z[3],
        z[4],
        z[5],
        {g: z[next(at)] for g in groups},
        {i: z[next(at)] for i in items},
        z[rows - 2 * faces : rows - faces],
        z[rows - faces :],
    )


def steady_draws(p: Problem, **set_to: Sequence[float]) -> Draws:
    """Drivers at their medians but for those named, for the tornado: each given as one value a case."""
    n = max((len(v) for v in set_to.values()), default=1)
    zero = np.zeros(n, dtype=np.float32)
    named = {k: np.asarray(v, dtype=np.float32) for k, v in set_to.items()}
    groups = {g: named.get("methods", zero) for g in groups_of_ways(p)}
    faces = np.zeros((len(p.faces), n), dtype=np.float32)
    return Draws(
        named.get("worker", zero),
        named.get("prices", zero),
        named.get("energy", zero),
        named.get("winter", zero),
        named.get("found", zero),
        named.get("resistance", zero),
        groups,
        {i: named.get("needs", zero) if i.startswith("need:") else zero for i in item_names(p)},
        faces,
        faces,
    )


def at_quantile(z: Floats, low: Floats, typical: Floats, high: Floats) -> Floats:
    """Value of a three-point figure at a standard normal draw.

    Parameters
    ----------
    z : array
        Draws.
    low, typical, high : array, broadcast with ``z``
        5th percentile, median, 95th percentile, none negative. A low of zero makes the lower half a straight line.

    Returns
    -------
    array
        typical·(high/typical)^(z/1.645) above the median, typical·(typical/low)^(z/1.645) below.
    """
    t = np.where(typical > 0, typical, 1.0).astype(np.float32)
    up = np.log(np.where(typical > 0, high, 1.0) / t) / np.float32(Z95)
    straight = (low <= 0) & (typical > 0)
    down = np.log(t / np.where((low > 0) & (typical > 0), low, t)) / np.float32(Z95)
    # down·z + (up - down)·max(z, 0): one branch for both halves
    power = np.maximum(z, np.float32(0.0))
    power *= (up - down).astype(np.float32)
    power += z * down.astype(np.float32)
    value = np.exp(power, out=power)
    value *= typical
    if not np.any(straight):
        return np.asarray(value)
    line = np.maximum(typical + z / np.float32(Z95) * (typical - low), 0.0)
    return np.asarray(np.where(straight & (z < 0), line, value))


def at_point(z: Floats, three: Sequence[float]) -> Floats:
    """Value of one three-point figure for all draws; see `at_quantile`."""
    low, typical, high = (np.float32(v) for v in three)
    return at_quantile(z, np.asarray(low), np.asarray(typical), np.asarray(high))
