"""Putting the question: from a job's faces, options and prices to the numbers of a `Problem`."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from snugbay.base import Finding, Said, Told, Weight
from snugbay.base.facts import FaceRef, Name, Resistance
from snugbay.job import Job, Objective, ZoneKind
from snugbay.materials import Item
from snugbay.ways import Option
from snugbay.ways.balance import season_drop
from snugbay.ways.found import Ground
from snugbay.ways.limits import matches
from snugbay.ways.resources import Shelf
from snugbay.weigh.problem import FaceChoices, Limits, Pack, Problem, Resource, crew_of


def present_factor(years: float, discount: float, growth: float) -> float:
    """Worth today of one unit a year, for so many years, the price growing.

    Parameters
    ----------
    years : float
        Years that count; a part of a year counts by its share.
    discount, growth : float
        Yearly rates. [1/a]

    Returns
    -------
    float
        Sum of ((1 + growth)/(1 + discount))^t for t = 1 .. years.
    """
    q = (1.0 + growth) / (1.0 + discount)
    whole = int(years)
    total = sum(q**t for t in range(1, whole + 1))
    return total + (years - whole) * q ** (whole + 1)


def needs_of(option: Option, shelf: Shelf) -> dict[str, float]:
    """Amounts of resources that an option uses, in the measure of each."""
    out: dict[str, float] = {}
    for need in option.needs:
        thing = shelf.items[need.item]
        out[thing.resource] = out.get(thing.resource, 0.0) + need.typical * thing.amount
    return out


def _because(reason: Told) -> Said:
    return Said.of("weigh.said.because", why=Name(reason) if isinstance(reason, str) else reason)


def _face(
    job: Job, base: Ground, face_id: str, options: Sequence[Option], shelf: Shelf
) -> tuple[FaceChoices, list[Finding]]:
    face = job.face(face_id)
    found: list[Finding] = []
    usable = [o for o in options if o.fits]
    must = False
    if face.must:
        wanted = [o for o in usable if matches(o.way, face.must)]
        if wanted:
            usable, must = wanted, True
        else:
            reasons = [r for o in options if matches(o.way, face.must) for r in o.why_not]
            found.append(
                Finding.of(
                    "weigh.must-not-fit",
                    Weight.WARN,
                    ("faces", face_id, "must"),
                    way=Name(face.must),
                    face=FaceRef(face_id),
                    why=_because(reasons[0]) if reasons else None,
                )
            )
    target = job.wishes.target_r
    insulates = np.array([o.thickness > 0 for o in usable])
    deep = np.array([o.r_typical >= target - 1e-9 for o in usable]) if target is not None else insulates
    if target is not None and not deep.any():
        best = max((o.r_typical for o in usable), default=0.0)
        found.append(
            Finding.of(
                "weigh.target-out-of-reach",
                Weight.WARN,
                ("wishes", "target_r"),
                face=FaceRef(face_id),
                wished=Resistance(target),
                best=Resistance(best),
            )
        )
    zones = base.loads.net.zones
    a, b = zones.index(face.warm), zones.index(face.cold)
    choices = FaceChoices(
        face_id,
        base.loads.net.pair(face.warm, face.cold),
        (a, b),
        tuple(usable),
        np.array([o.heat_after for o in usable]),
        np.array([o.hours_typical for o in usable]),
        np.array([o.charge for o in usable]),
        tuple(needs_of(o, shelf) for o in usable),
        np.array([o.air_barrier for o in usable]),
        deep,
        must,
    )
    return choices, found


def pack_of(thing: Item, shelf: Shelf) -> Pack:
    """Return what the program knows of a thing that is used up."""
    gear = thing.used_with
    price = shelf.items[gear].price.typical if gear and shelf.on_hand.get(gear, 0.0) < 1 else 0.0
    return Pack(thing.id, thing.amount, thing.price.typical, gear, price, shelf.most.get(thing.id, float("inf")))


def resource_of(name: str, shelf: Shelf) -> Resource:
    """Return what the program knows of a resource."""
    things = shelf.packs[name]
    on_hand = sum(shelf.on_hand.get(i.id, 0.0) * i.amount for i in things)
    return Resource(name, tuple(pack_of(i, shelf) for i in things), on_hand)


def _resources(faces: Sequence[FaceChoices], shelf: Shelf) -> tuple[Resource, ...]:
    used = dict.fromkeys(r for f in faces for n in f.needs for r in n)
    return tuple(resource_of(r, shelf) for r in used)


def _movable(base: Ground) -> tuple[int, ...]:
    """Buffer spaces that may come inside and have a face of their own towards a colder zone."""
    net = base.loads.net
    skins = {f.face.warm for f in base.faces} | {f.face.cold for f in base.faces}
    out = []
    for i in net.free:
        zone = base.job.zone(net.zones[i])
        outer = any(
            net.zones[i] in {f.face.warm, f.face.cold}
            and any(base.job.zone(z).kind is not ZoneKind.INSIDE for z in {f.face.warm, f.face.cold} - {net.zones[i]})
            for f in base.faces
        )
        if zone.may_come_inside and outer and zone.id in skins:
            out.append(i)
    return tuple(out)


def problem(base: Ground, options: Sequence[Option], shelf: Shelf) -> tuple[Problem, tuple[Finding, ...]]:
    """Put the question together.

    Parameters
    ----------
    base : Ground
        The job, measured.
    options : sequence of Option
        All options of all faces.
    shelf : Shelf
        What can be bought.

    Returns
    -------
    Problem, tuple of Finding
        The question, and what the user must know about it.
    """
    job = base.job
    by_face: dict[str, list[Option]] = {f.id: [] for f in job.faces}
    for option in options:
        by_face[option.face].append(option)
    faces, findings = [], []
    for face_id, own in by_face.items():
        choices, found = _face(job, base, face_id, own, shelf)
        faces.append(choices)
        findings += found
    used = [o for f in faces for o in f.options]
    gear = dict.fromkeys(g for o in used for g in o.gear)
    shared = {s: h.typical for o in used for s, h in o.shared_hours}
    crews = {crew_of(o): o.minimum for o in used if crew_of(o)}
    wishes, fuel = job.wishes, job.place.fuel
    price = fuel.price_kwh / fuel.efficiency
    days = job.you.days
    most_hours = min(
        wishes.hours if wishes.hours is not None else float("inf"),
        days * job.you.hours_per_day * job.you.hands if days is not None else float("inf"),
    )

    question = Problem(
        tuple(faces),
        _resources(faces, shelf),
        tuple((g, 0.0 if shelf.on_hand.get(g, 0.0) >= 1 else shelf.items[g].price.typical) for g in gear),
        tuple(shared.items()),
        tuple(crews.items()),
        base.loads.net,
        base.loads.base,
        season_drop(base.air),
        _movable(base),
        job.you.hour_worth,
        price * present_factor(wishes.years, wishes.discount, wishes.price_growth),
        price,
        Limits(wishes.budget if wishes.budget is not None else float("inf"), most_hours),
        wishes.objective,
        wishes.air_barrier,
        wishes.objective in (Objective.LEAST_CASH, Objective.FEWEST_HOURS) or wishes.target_r is not None,
    )
    return question, tuple(findings)
