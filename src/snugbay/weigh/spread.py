"""Spread: correlated draws of hours, prices, winters and resistances for plans, all draws at once.

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

from snugbay.job import ZoneKind
from snugbay.ways.balance import Graph, season_loss_of
from snugbay.weigh.evaluate import Plan
from snugbay.weigh.problem import Problem, crew_of
from snugbay.weigh.values import Band

Floats = NDArray[Any]
Three = tuple[float, float, float]
Z95 = 1.6448536269514722
"""95th percentile of the normal law: what low and high are taken as."""
Z90 = 1.2815515594600038

WORKER, METHOD, OWN = 0.70, 0.50, 0.51
"""Loadings of hours on worker, method and face; their squares make 1."""
ALL_R, OWN_R = 0.80, 0.60
ALL_PRICES, OWN_PRICE = 0.60, 0.80


@dataclass(frozen=True)
class Spreads:
    """Figures of the spread that belong to no option.

    Attributes
    ----------
    prices : Mapping of str to (low, typical, high)
        Of items and gear, by id.
    shared : Mapping of str to (low, typical, high)
        Shared hours by id. [h]
    crews : Mapping of str to (low, typical, high)
        Least charge by crew.
    found : (low, typical, high)
        Factor on the loss as found.
    year : float
        Relative standard deviation of a winter. [-]
    energy : float
        Log-normal spread of the energy price. [-]
    years : float
        Years that count.
    """

    prices: Mapping[str, Three]
    shared: Mapping[str, Three]
    crews: Mapping[str, Three]
    found: Three
    year: float
    energy: float
    years: float


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


@dataclass(frozen=True)
class Outcomes:
    """Results of all draws for one plan, arrays of shape (n,): hours, cash, saving a year, whole cost."""

    hours: Floats
    cash: Floats
    saving: Floats
    whole: Floats


def _item_names(p: Problem) -> list[str]:
    names = [k.item for r in p.resources for k in r.packs]
    names += [g for g, _ in p.gear] + [f"crew:{c}" for c, _ in p.crews] + [f"need:{r.id}" for r in p.resources]
    return list(dict.fromkeys(names))


def _groups(p: Problem) -> list[str]:
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
    groups, items = _groups(p), _item_names(p)
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
    groups = {g: named.get("methods", zero) for g in _groups(p)}
    faces = np.zeros((len(p.faces), n), dtype=np.float32)
    return Draws(
        named.get("worker", zero),
        named.get("prices", zero),
        named.get("energy", zero),
        named.get("winter", zero),
        named.get("found", zero),
        named.get("resistance", zero),
        groups,
        {i: named.get("needs", zero) if i.startswith("need:") else zero for i in _item_names(p)},
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


def _column(values: Sequence[Three]) -> tuple[Floats, Floats, Floats]:
    a = np.asarray(values, dtype=np.float32).reshape(-1, 3)
    return a[:, 0:1], a[:, 1:2], a[:, 2:3]


def _hours(p: Problem, plan: Plan, s: Spreads, d: Draws) -> Floats:
    used = [(n, f.options[i]) for n, (f, i) in enumerate(zip(p.faces, plan.picks, strict=True)) if f.hours[i] > 0]
    total = np.zeros_like(d.worker, dtype=np.float64)
    if used:
        low, mid, high = _column(
            [(sum(h.low for h in o.hours), o.hours_typical, sum(h.high for h in o.hours)) for _, o in used]
        )
        common = WORKER * d.worker
        z = OWN * d.face_hours[[n for n, _ in used]]
        groups = [o.group for _, o in used]
        for g in dict.fromkeys(groups):
            rows = [k for k, name in enumerate(groups) if name == g]
            z[rows] += common + METHOD * d.methods[g]
        total += at_quantile(z, low, mid, high).sum(axis=0)
    shared = {
        k: o.group for f, i in zip(p.faces, plan.picks, strict=True) for o in (f.options[i],) for k, _ in o.shared_hours
    }
    for k, group in shared.items():
        z = np.float32(WORKER) * d.worker + np.float32(np.hypot(METHOD, OWN)) * d.methods[group]
        total += at_point(z, s.shared[k])
    return total


def _price(name: str, s: Spreads, d: Draws) -> Floats:
    z = np.float32(ALL_PRICES) * d.prices + np.float32(OWN_PRICE) * d.items[name]
    return at_point(z, s.prices[name])


def _bought(p: Problem, plan: Plan, s: Spreads, d: Draws, needs: Mapping[str, Three]) -> Floats:
    total = np.zeros_like(d.prices, dtype=np.float64)
    for r, triple in needs.items():
        resource = p.resource_by_id[r]
        amount = at_point(d.items[f"need:{r}"], triple)
        left = np.maximum(amount.astype(np.float64) - resource.on_hand, 0.0)
        total += _cover([(k.amount, _price(k.item, s, d)) for k in resource.packs], left)
    used = {g for f, i in zip(p.faces, plan.picks, strict=True) for g in f.options[i].gear}
    for g, price in p.gear:
        if g in used and price > 0:
            total += _price(g, s, d)
    return total


def _cover(packs: Sequence[tuple[float, Floats]], left: Floats) -> Floats:
    """Least money for whole packs that cover the amounts, two sizes at most mixed at a time."""
    amount, price = packs[0]
    most = np.ceil(left / amount - 1e-6)
    best = np.asarray(most * price)
    if len(packs) == 1:
        return best
    rest = _cover(packs[1:], left)
    best = np.minimum(best, rest)
    for n in range(1, int(most.max(initial=0.0))):
        more = n * price + _cover(packs[1:], np.maximum(left - n * amount, 0.0))
        best = np.where(n < most, np.minimum(best, more), best)
    return np.asarray(best)


def _crews(p: Problem, plan: Plan, s: Spreads, d: Draws) -> Floats:
    total = np.zeros_like(d.prices, dtype=np.float64)
    for crew, _ in p.crews:
        used = [f.options[i] for f, i in zip(p.faces, plan.picks, strict=True) if crew_of(f.options[i]) == crew]
        if not used:
            continue
        z = np.float32(ALL_PRICES) * d.prices + np.float32(OWN_PRICE) * d.items[f"crew:{crew}"]
        charge = [sum(o.charge_low for o in used), sum(o.charge for o in used), sum(o.charge_high for o in used)]
        asked = at_point(z, charge)
        least = at_point(z, s.crews[crew])
        total += np.maximum(asked, least)
    return total


def _loss(net: Graph, c: Floats, drop: Mapping[ZoneKind, float]) -> Floats:
    """Season loss for conductances of shape (pairs, n), one buffer space in closed form, more by a solve. [kWh]"""

    free = net.free
    if len(free) > 1:
        return np.asarray(season_loss_of(net, np.moveaxis(c, 0, -1), drop))
    at: dict[int, Floats | float] = {i: drop[net.kinds[i]] for i in net.held}
    if free:
        own = [(n, pair) for n, pair in enumerate(net.pairs) if free[0] in pair]
        ends = [pair[0] if pair[1] == free[0] else pair[1] for _, pair in own]
        whole = sum(c[n] for n, _ in own)
        at[free[0]] = sum(c[n] * at[e] for (n, _), e in zip(own, ends, strict=True)) / whole
    total = np.zeros_like(c[0], dtype=np.float64)
    for n, (i, j) in enumerate(net.pairs):
        rooms = (net.kinds[i] is ZoneKind.INSIDE, net.kinds[j] is ZoneKind.INSIDE)
        if rooms[0] != rooms[1]:
            total += c[n] * at[j if rooms[0] else i]
    return total / 1000.0


def _conductance(p: Problem, plan: Plan | None, s: Spreads, d: Draws) -> Floats:
    n = len(d.found)
    c = np.repeat(p.base[:, None].astype(np.float32), n, axis=1)
    found = at_point(d.found, s.found)
    rows = []
    for number, face in enumerate(p.faces):
        if face.zones[0] == face.zones[1]:
            continue
        o = face.options[plan.picks[number]] if plan is not None else None
        if o is None or o.group == "as-found":
            c[face.pair] += np.float32(face.options[0].heat_before) * found
        else:
            rows.append((number, face.pair, (o.heat_low, o.heat_after, o.heat_high)))
    if rows:
        low, mid, high = _column([r[2] for r in rows])
        # a good resistance is a low conductance
        z = -(np.float32(ALL_R) * d.resistance + np.float32(OWN_R) * d.face_r[[r[0] for r in rows]])
        heat = at_quantile(z, low, mid, high)
        for pair in dict.fromkeys(r[1] for r in rows):
            c[pair] += heat[[k for k, r in enumerate(rows) if r[1] == pair]].sum(axis=0)
    return c


def simulate(p: Problem, plan: Plan | None, s: Spreads, d: Draws) -> Outcomes:
    """Work out one plan for all draws.

    Parameters
    ----------
    p : Problem
        The question.
    plan : Plan or None
        None leaves everything as found.
    s : Spreads
        Figures of the spread.
    d : Draws
        The same draws for every plan, so that plans are compared like with like.
    """
    n = len(d.worker)
    before = _loss(p.net, _conductance(p, None, s, d), p.drop)
    after = before if plan is None else _loss(p.net, _conductance(p, plan, s, d), p.drop)
    winter = np.maximum(1.0 + s.year * d.winter, 0.0)
    mean_winter = np.maximum(1.0 + s.year / max(s.years, 1.0) ** 0.5 * d.winter, 0.0)
    price = np.exp(np.float32(s.energy) * d.energy)
    if plan is None:
        hours, cash = np.zeros(n), np.zeros(n)
    else:
        hours = _hours(p, plan, s, d)
        cash = _bought(p, plan, s, d, _needs(p, plan)) + _crews(p, plan, s, d)
    saving = (before - after) * winter * price * p.kwh_price
    whole = cash + p.worth * hours + p.kwh_worth * after * mean_winter * price
    return Outcomes(hours, cash, saving, whole)


def _needs(p: Problem, plan: Plan) -> dict[str, Three]:
    """Amounts of each resource with their spread, in the measure of the resource."""
    out: dict[str, list[float]] = {}
    for face, pick in zip(p.faces, plan.picks, strict=True):
        scale = {k.item: (r.id, k.amount) for r in p.resources for k in r.packs}
        for need in face.options[pick].needs:
            if need.item not in scale:
                continue
            r, amount = scale[need.item]
            row = out.setdefault(r, [0.0, 0.0, 0.0])
            for k, v in enumerate((need.low, need.typical, need.high)):
                row[k] += v * amount
    return {r: (v[0], v[1], v[2]) for r, v in out.items()}


def band(values: Floats) -> Band:
    """P10, P50, P90; an infinite value stays infinite."""
    a, b, c = np.quantile(values, (0.1, 0.5, 0.9), method="inverted_cdf")
    return Band(float(a), float(b), float(c))


DRIVERS = (
    ("your pace", "worker"),
    ("luck with the way", "methods"),
    ("prices", "prices"),
    ("amounts needed", "needs"),
    ("energy price", "energy"),
    ("winters", "winter"),
    ("resistance reached", "resistance"),
    ("loss as found", "found"),
)


def tornado(p: Problem, plan: Plan, s: Spreads) -> tuple[tuple[str, float, float], ...]:
    """Whole cost with each driver alone at its P10 and its P90, largest swing first."""
    rows = []
    for words, name in DRIVERS:
        out = simulate(p, plan, s, steady_draws(p, **{name: (-Z90, Z90)}))
        rows.append((words, float(out.whole[0]), float(out.whole[1])))
    rows.sort(key=lambda r: -abs(r[2] - r[1]))
    return tuple(rows)
