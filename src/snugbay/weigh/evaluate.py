"""What one plan costs, takes and saves, reckoned directly and without the program."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from snugbay.job import ZoneKind
from snugbay.ways.balance import season_loss_of
from snugbay.weigh.problem import FaceChoices, Floats, Pack, Problem, Resource, crew_of

EPS = 1e-6
"""Share of a pack that rounding up forgives."""


@dataclass(frozen=True)
class Plan:
    """A choice for every face, and the spaces brought inside.

    Attributes
    ----------
    inside : tuple of int
        Numbers of the buffer spaces inside the line.
    picks : tuple of int
        Number of the option of each face.
    """

    inside: tuple[int, ...]
    picks: tuple[int, ...]


@dataclass(frozen=True)
class Worth:
    """What a plan comes to.

    Attributes
    ----------
    cash, hours, season_kwh : float
        Money now, own hours, heat lost a year.
    """

    cash: float
    hours: float
    season_kwh: float


def is_warm(p: Problem, zone: int, inside: Sequence[int]) -> bool:
    """Tell whether a zone is on the warm side of the line."""
    return p.net.kinds[zone] is ZoneKind.INSIDE or zone in inside


def on_line(p: Problem, face: FaceChoices, inside: Sequence[int]) -> bool:
    """Tell whether a face divides warm from cold."""
    a, b = face.zones
    return is_warm(p, a, inside) != is_warm(p, b, inside)


def cheapest_packs(resource: Resource, need: float) -> dict[str, int]:
    """Whole units of the packs of a resource that cover a need for the least money.

    Parameters
    ----------
    resource : Resource
        With its packs and what is in the shed.
    need : float
        Amount in the resource's measure.

    Returns
    -------
    dict of str to int
        Item id to units.
    """
    left = need - resource.on_hand
    packs = resource.packs
    if left <= EPS * packs[0].amount:
        return {}
    return _cover(packs, left)[1]


def _cover(packs: Sequence[Pack], left: float) -> tuple[float, dict[str, int]]:
    first = packs[0]
    most = max(math.ceil(left / first.amount - EPS), 0)
    if len(packs) == 1:
        return first.cost(most), {first.item: most} if most else {}
    best: tuple[float, dict[str, int]] | None = None
    for n in range(int(min(most, first.most)) + 1):
        cost, rest = _cover(packs[1:], max(left - n * first.amount, 0.0))
        cost += first.cost(n)
        if best is None or cost < best[0] - 1e-9:
            best = (cost, {first.item: n, **rest} if n else rest)
    assert best is not None
    return best


def total_needs(p: Problem, plan: Plan) -> dict[str, float]:
    """Amounts of resources of a whole plan."""
    out: dict[str, float] = {}
    for face, pick in zip(p.faces, plan.picks, strict=True):
        for r, amount in face.needs[pick].items():
            out[r] = out.get(r, 0.0) + amount
    return out


def cash(p: Problem, plan: Plan, prices: Mapping[str, float] | None = None) -> float:
    """Money to spend now. [currency] ``prices`` overrides prices of items by id."""
    more = prices or {}
    total = 0.0
    for r, amount in total_needs(p, plan).items():
        resource = p.resource_by_id[r]
        units = cheapest_packs(resource, amount)
        total += sum(k.cost(units.get(k.item, 0), more) for k in resource.packs)
    used = [f.options[i] for f, i in zip(p.faces, plan.picks, strict=True)]
    gear = {g for o in used for g in o.gear}
    total += sum(price for g, price in p.gear if g in gear)
    for crew, least in p.crews:
        charges = [f.charge[i] for f, i in zip(p.faces, plan.picks, strict=True) if crew_of(f.options[i]) == crew]
        if charges:
            total += max(least, float(sum(charges)))
    return float(total)


def hours(p: Problem, plan: Plan) -> float:
    """Own hours, shared work once. [h]"""
    used = [f.options[i] for f, i in zip(p.faces, plan.picks, strict=True)]
    shared = {s for o in used for s, _ in o.shared_hours}
    own = sum(float(f.hours[i]) for f, i in zip(p.faces, plan.picks, strict=True))
    return own + sum(h for s, h in p.shared if s in shared)


def conductance(p: Problem, plan: Plan) -> Floats:
    """Conductance of each pair of zones. [W/K], shape (pairs,)"""
    c = p.base.copy()
    for face, pick in zip(p.faces, plan.picks, strict=True):
        if face.zones[0] != face.zones[1]:
            c[face.pair] += face.heat[pick]
    return c


def season_kwh(p: Problem, plan: Plan) -> float:
    """Heat lost by the rooms in a year, buffer temperatures from their own balance. [kWh]"""
    return float(season_loss_of(p.net, conductance(p, plan), p.drop))


def worth(p: Problem, plan: Plan) -> Worth:
    """Reckon a plan."""
    return Worth(cash(p, plan), hours(p, plan), season_kwh(p, plan))


def whole_cost(p: Problem, w: Worth) -> float:
    """Money, own hours at their worth, and the energy of the years. [currency]"""
    return w.cash + p.worth * w.hours + p.kwh_worth * w.season_kwh


def allowed(p: Problem, plan: Plan) -> bool:
    """Tell whether a plan keeps the rules of the line: treated faces on it, air barrier closed, faces dealt with."""
    for face, pick in zip(p.faces, plan.picks, strict=True):
        line = on_line(p, face, plan.inside)
        treated = face.options[pick].group != "as-found"
        if treated and not line and not face.must:
            return False
        if line and p.air_barrier and face.airtight.any() and not face.airtight[pick]:
            return False
        if line and p.deal and _can_deal(p, face) and not _dealt(p, face, pick):
            return False
    return True


def _can_deal(p: Problem, face: FaceChoices) -> bool:
    deep = face.deep & face.airtight if p.air_barrier and face.airtight.any() else face.deep
    return bool(deep.any())


def _dealt(p: Problem, face: FaceChoices, pick: int) -> bool:
    del p
    return bool(face.deep[pick])


def within(p: Problem, w: Worth) -> bool:
    """Tell whether a plan keeps the job's limits of cash, hours and heat."""
    slack = 1e-6
    return (
        w.cash <= p.limits.cash * (1 + slack)
        and w.hours <= p.limits.hours * (1 + slack)
        and w.season_kwh <= p.limits.season_kwh * (1 + slack)
    )
