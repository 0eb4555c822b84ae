"""The model of the spread as a plain loop over draws: no arrays, one draw after the other. Also used by the bench."""

from __future__ import annotations

import math

from snugbay.job import ZoneKind
from snugbay.weigh.evaluate import Plan
from snugbay.weigh.luck import ALL_PRICES, ALL_R, METHOD, OWN, OWN_PRICE, OWN_R, WORKER, Z95, Draws
from snugbay.weigh.problem import Problem, crew_of
from snugbay.weigh.spread import Spreads


def value(z: float, three: tuple[float, float, float]) -> float:
    low, typical, high = three
    if typical <= 0:
        return 0.0
    if z >= 0:
        return float(typical * (high / typical) ** (z / Z95))
    if low <= 0:
        return max(typical + z / Z95 * (typical - low), 0.0)
    return float(typical * (typical / low) ** (z / Z95))


def _balance(p: Problem, c: list[float]) -> float:
    """Season loss by elimination over the buffer spaces, in plain Python. [kWh]"""
    free = list(p.net.free)
    place = {z: k for k, z in enumerate(free)}
    at = {i: p.drop[p.net.kinds[i]] for i in p.net.held}
    m = [[0.0] * len(free) for _ in free]
    rhs = [0.0] * len(free)
    for n, (i, j) in enumerate(p.net.pairs):
        for a, b in ((i, j), (j, i)):
            if a in place:
                m[place[a]][place[a]] += c[n]
                if b in place:
                    m[place[a]][place[b]] -= c[n]
                else:
                    rhs[place[a]] += c[n] * at[b]
    for k in range(len(free)):
        for r in range(k + 1, len(free)):
            f = m[r][k] / m[k][k]
            for q in range(k, len(free)):
                m[r][q] -= f * m[k][q]
            rhs[r] -= f * rhs[k]
    for k in reversed(range(len(free))):
        at[free[k]] = (rhs[k] - sum(m[k][q] * at[free[q]] for q in range(k + 1, len(free)))) / m[k][k]
    total = 0.0
    for n, (i, j) in enumerate(p.net.pairs):
        a, b = (p.net.kinds[z] is ZoneKind.INSIDE for z in (i, j))
        if a != b:
            total += c[n] * at[j if a else i]
    return total / 1000.0


def _packs(packs: list[tuple[float, float]], left: float) -> float:
    amount, price = packs[0]
    most = max(math.ceil(left / amount - 1e-6), 0)
    if len(packs) == 1:
        return most * price
    return min(n * price + _packs(packs[1:], max(left - n * amount, 0.0)) for n in range(most + 1))


def loop_of(p: Problem, plan: Plan, s: Spreads, d: Draws) -> dict[str, list[float]]:
    """Hours, cash, saving and whole cost of one plan, draw by draw."""
    out: dict[str, list[float]] = {"hours": [], "cash": [], "saving": [], "whole": []}
    chosen = [f.options[i] for f, i in zip(p.faces, plan.picks, strict=True)]
    scale = {k.item: (r.id, k.amount) for r in p.resources for k in r.packs}
    for k in range(len(d.worker)):
        worker, prices = float(d.worker[k]), float(d.prices[k])
        hours = 0.0
        shared: dict[str, str] = {}
        for n, o in enumerate(chosen):
            if o.hours:
                z = WORKER * worker + METHOD * float(d.methods[o.group][k]) + OWN * float(d.face_hours[n, k])
                own = (sum(h.low for h in o.hours), o.hours_typical, sum(h.high for h in o.hours))
                hours += value(z, own)
            shared.update({name: o.group for name, _ in o.shared_hours})
        for name, group in shared.items():
            z = WORKER * worker + math.hypot(METHOD, OWN) * float(d.methods[group][k])
            hours += value(z, s.shared[name])

        def price(name: str, k: int = k, prices: float = prices) -> float:
            return value(ALL_PRICES * prices + OWN_PRICE * float(d.items[name][k]), s.prices[name])

        needs: dict[str, list[float]] = {}
        for o in chosen:
            for need in o.needs:
                r, amount = scale[need.item]
                row = needs.setdefault(r, [0.0, 0.0, 0.0])
                for q, v in enumerate((need.low, need.typical, need.high)):
                    row[q] += v * amount
        cash = 0.0
        for r, row in needs.items():
            resource = p.resource_by_id[r]
            amount = value(float(d.items[f"need:{r}"][k]), (row[0], row[1], row[2]))
            cash += _packs([(q.amount, price(q.item)) for q in resource.packs], max(amount - resource.on_hand, 0.0))
        gear = {g for o in chosen for g in o.gear}
        cash += sum(price(g) for g, v in p.gear if g in gear and v > 0)
        for crew, _ in p.crews:
            hired = [o for o in chosen if crew_of(o) == crew]
            if hired:
                z = ALL_PRICES * prices + OWN_PRICE * float(d.items[f"crew:{crew}"][k])
                asked = value(
                    z,
                    (sum(o.charge_low for o in hired), sum(o.charge for o in hired), sum(o.charge_high for o in hired)),
                )
                cash += max(asked, value(z, s.crews[crew]))
        found = value(float(d.found[k]), s.found)
        before, after = [float(v) for v in p.base], [float(v) for v in p.base]
        for n, (f, o) in enumerate(zip(p.faces, chosen, strict=True)):
            before[f.pair] += f.options[0].heat_before * found
            if o.group == "as-found":
                after[f.pair] += f.options[0].heat_before * found
            else:
                z = -(ALL_R * float(d.resistance[k]) + OWN_R * float(d.face_r[n, k]))
                after[f.pair] += value(z, (o.heat_low, o.heat_after, o.heat_high))
        lost, kept = _balance(p, before), _balance(p, after)
        winter = max(1.0 + s.year * float(d.winter[k]), 0.0)
        mean = max(1.0 + s.year / max(s.years, 1.0) ** 0.5 * float(d.winter[k]), 0.0)
        energy = math.exp(s.energy * float(d.energy[k]))
        out["hours"].append(hours)
        out["cash"].append(cash)
        out["saving"].append((lost - kept) * winter * energy * p.kwh_price)
        out["whole"].append(cash + p.worth * hours + p.kwh_worth * kept * mean * energy)
    return out
