"""Spread: hours, money and saving of plans for all draws at once; what is drawn together is told in `luck`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from snugbay.job import ZoneKind
from snugbay.ways.balance import Graph, season_loss_of
from snugbay.weigh.evaluate import Plan
from snugbay.weigh.luck import (
    ALL_PRICES,
    ALL_R,
    METHOD,
    OWN,
    OWN_PRICE,
    OWN_R,
    WORKER,
    Draws,
    Floats,
    Three,
    at_point,
    at_quantile,
    steady_draws,
)
from snugbay.weigh.problem import Pack, Problem, crew_of
from snugbay.weigh.values import Band

Z90 = 1.2815515594600038
"""90th percentile of the normal law."""


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
class Outcomes:
    """Results of all draws for one plan, arrays of shape (n,): hours, cash, saving a year, whole cost."""

    hours: Floats
    cash: Floats
    saving: Floats
    whole: Floats


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
        total += _cover([_Drawn(k, _price(k.item, s, d), _start(k, s, d)) for k in resource.packs], left)
    used = {g for f, i in zip(p.faces, plan.picks, strict=True) for g in f.options[i].gear}
    for g, price in p.gear:
        if g in used and price > 0:
            total += _price(g, s, d)
    return total


@dataclass(frozen=True)
class _Drawn:
    """A pack with its price and that of what it is used with, shape (n,). [currency]"""

    pack: Pack
    price: Floats
    start: Floats | float

    def cost(self, units: Floats) -> Floats:
        return np.asarray(np.where(units > 0, units * self.price + self.start, 0.0))


def _start(pack: Pack, s: Spreads, d: Draws) -> Floats | float:
    return _price(pack.start, s, d) if pack.start_price > 0 else 0.0


def _cover(packs: Sequence[_Drawn], left: Floats) -> Floats:
    """Least money for whole packs that cover the amounts, two sizes at most mixed at a time."""
    first = packs[0]
    amount = first.pack.amount
    most = np.ceil(left / amount - 1e-6)
    if len(packs) == 1:
        return first.cost(np.maximum(most, 0.0))
    best = np.asarray(np.where(most <= first.pack.most, first.cost(np.maximum(most, 0.0)), np.inf))
    best = np.minimum(best, _cover(packs[1:], left))
    for n in range(1, int(min(most.max(initial=0.0) - 1.0, first.pack.most)) + 1):
        more = first.cost(np.full_like(left, n)) + _cover(packs[1:], np.maximum(left - n * amount, 0.0))
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


def season_before(p: Problem, s: Spreads, d: Draws) -> Floats:
    """Season loss of everything as found, for all draws. [kWh], shape (n,)"""
    return _loss(p.net, _conductance(p, None, s, d), p.drop)


def saved_kwh(p: Problem, plan: Plan, s: Spreads, d: Draws, before: Floats) -> Floats:
    """Heat that a plan saves in a mean winter, for all draws. [kWh], shape (n,)"""
    return np.asarray(before - _loss(p.net, _conductance(p, plan, s, d), p.drop))


def simulate(p: Problem, plan: Plan | None, s: Spreads, d: Draws, before: Floats | None = None) -> Outcomes:
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
    before : array, shape (n,), optional
        Of `season_before` for these draws, where it is known.
    """
    n = len(d.worker)
    before = season_before(p, s, d) if before is None else before
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
