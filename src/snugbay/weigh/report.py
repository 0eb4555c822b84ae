"""What a plan means in purchases, hours and temperatures."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from snugbay.materials import OWN, Item
from snugbay.pieces import BoardChoice
from snugbay.ways import HourElement, Option
from snugbay.ways.found import Ground, zone_temperatures
from snugbay.ways.resources import Shelf
from snugbay.weigh.evaluate import Plan, cheapest_packs, conductance
from snugbay.weigh.problem import Problem, Resource
from snugbay.weigh.question import needs_of
from snugbay.weigh.values import Purchase


def chosen(p: Problem, plan: Plan) -> tuple[Option, ...]:
    """Options of a plan, in the order of the faces."""
    return tuple(f.options[i] for f, i in zip(p.faces, plan.picks, strict=True))


def _status(thing: Item) -> str:
    return OWN if thing.price.status == OWN else thing.price.status


def purchases(p: Problem, plan: Plan, shelf: Shelf) -> tuple[Purchase, ...]:
    """Whole units to buy for a plan, used-up things first, then gear.

    Parameters
    ----------
    p : Problem
        The question.
    plan : Plan
        The plan.
    shelf : Shelf
        Names, prices, what is in the shed.
    """
    return bought(chosen(p, plan), p.resource_by_id, shelf)


def bought(used: Sequence[Option], resources: Mapping[str, Resource], shelf: Shelf) -> tuple[Purchase, ...]:
    """Whole units to buy for some options: the cheapest units that cover each need, and the gear.

    Parameters
    ----------
    used : sequence of Option
        What is done, face by face.
    resources : Mapping of str to Resource
        By id, with their packs and what is in the shed.
    shelf : Shelf
        Names and prices.
    """
    out = []
    why: dict[str, list[str]] = {}
    started: list[str] = []
    amounts: dict[str, float] = {}
    for o in used:
        for r, amount in needs_of(o, shelf).items():
            amounts[r] = amounts.get(r, 0.0) + amount
        for need in o.needs:
            resource = shelf.items[need.item].resource
            reasons = why.setdefault(resource, [])
            if need.why and need.why not in reasons:
                reasons.append(need.why)
    for r, amount in amounts.items():
        units = cheapest_packs(resources[r], amount)
        main = shelf.main(r)
        started += [k.start for k in resources[r].packs if k.start and units.get(k.item)]
        for thing in shelf.packs[r]:
            n = units.get(thing.id, 0)
            if n == 0 and (thing is not main or units):
                continue
            out.append(_purchase(thing, n, amount / thing.amount, shelf, "; ".join(why.get(r, [])), once=False))
    gear = dict.fromkeys([*(g for o in used for g in o.gear), *started])
    for g in gear:
        thing = shelf.items[g]
        n = 0 if shelf.on_hand.get(g, 0.0) >= 1 else 1
        reason = "hired once for the job" if thing.kind == "hire" else "bought once for the job"
        out.append(_purchase(thing, n, 1.0, shelf, reason, once=True))
    return tuple(out)


def _purchase(thing: Item, units: int, need: float, shelf: Shelf, why: str, *, once: bool) -> Purchase:
    price = thing.price.typical
    return Purchase(
        thing.id,
        thing.name,
        units,
        thing.unit,
        need,
        shelf.on_hand.get(thing.id, 0.0),
        price,
        units * price,
        once,
        why,
        thing.price.source,
        _status(thing),
    )


def crew_purchases(p: Problem, plan: Plan, names: dict[str, str]) -> tuple[Purchase, ...]:
    """What is paid to hired crews, one line each: at least the minimum charge."""
    out = []
    used = chosen(p, plan)
    for crew, least in p.crews:
        own = [o for o in used if o.group == crew and o.charge > 0]
        if not own:
            continue
        asked = sum(o.charge for o in own)
        total = max(asked, least)
        faces = ", ".join(o.face for o in own)
        why = f"faces {faces}" + ("; the least charge for a job" if least > asked else "")
        out.append(Purchase(crew, names.get(crew, crew), 1, "job", 1.0, 0.0, total, total, True, why))
    return tuple(out)


def by_element(hours: Iterable[HourElement]) -> tuple[HourElement, ...]:
    """Add hours of the same element together, longest first."""
    out: dict[str, HourElement] = {}
    for h in hours:
        old = out.get(h.element)
        if old is None:
            out[h.element] = h
            continue
        note = old.note if h.note in old.note else f"{old.note}; {h.note}" if old.note else h.note
        out[h.element] = replace(
            old,
            low=old.low + h.low,
            typical=old.typical + h.typical,
            high=old.high + h.high,
            inside=old.inside or h.inside,
            note=note,
            assumed=old.assumed or h.assumed,
        )
    return tuple(sorted(out.values(), key=lambda h: -h.typical))


def plan_hours(p: Problem, plan: Plan) -> tuple[HourElement, ...]:
    """Hours of a plan by element, shared work once."""
    return hours_of(chosen(p, plan))


def hours_of(used: Sequence[Option]) -> tuple[HourElement, ...]:
    """Hours of some options by element, shared work once."""
    shared = {s: h for o in used for s, h in o.shared_hours}
    own = [replace(h, note="") for o in used for h in o.hours]
    return by_element([*own, *(replace(h, note="once for the job") for h in shared.values())])


def face_hours(p: Problem, plan: Plan) -> tuple[tuple[str, tuple[HourElement, ...]], ...]:
    """Hours of each face that gets work."""
    return face_hours_of(chosen(p, plan))


def face_hours_of(used: Sequence[Option]) -> tuple[tuple[str, tuple[HourElement, ...]], ...]:
    """Hours of each face that gets work, by element."""
    return tuple((o.face, by_element(o.hours)) for o in used if o.hours)


def plan_boards(p: Problem, plan: Plan) -> tuple[BoardChoice, ...]:
    """Boards of a plan."""
    return tuple(o.boards for o in chosen(p, plan) if o.boards is not None)


def temps(base: Ground, p: Problem, plan: Plan, outdoor_c: float) -> tuple[tuple[str, float, float], ...]:
    """Temperature of each zone before and after at one outdoor temperature. [°C]"""
    heat = {f.id: f.options[0].heat_before for f in p.faces}
    before = zone_temperatures(base.loads.net, base.loads.conductance(base.by_id, heat), base.air, outdoor_c)
    after = zone_temperatures(base.loads.net, np.asarray(conductance(p, plan)), base.air, outdoor_c)
    return tuple((z, t, u) for (z, t), (_, u) in zip(before, after, strict=True))
