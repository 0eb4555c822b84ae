"""The question that the program answers: faces, options, purchases, zones and limits as numbers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from snugbay.base import Finding, Weight
from snugbay.job import Job, Objective, ZoneKind
from snugbay.ways import Option
from snugbay.ways.balance import Graph, season_drop
from snugbay.ways.found import Ground
from snugbay.ways.limits import matches
from snugbay.ways.resources import Shelf
from snugbay.weigh.alike import Alike, alike

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Pack:
    """A unit that a resource is sold in.

    Attributes
    ----------
    item : str
        Item id.
    amount : float
        How much of the resource it holds.
    price : float
        Typical. [currency]
    """

    item: str
    amount: float
    price: float


@dataclass(frozen=True)
class Resource:
    """Something used up, and what it is sold in.

    Attributes
    ----------
    id : str
        Resource id.
    packs : tuple of Pack
        Largest first.
    on_hand : float
        Amount in the shed.
    """

    id: str
    packs: tuple[Pack, ...]
    on_hand: float = 0.0


@dataclass(frozen=True)
class FaceChoices:
    """One face and what may be done with it.

    Attributes
    ----------
    id : str
        Face id.
    pair : int
        Number of its pair of zones in the graph.
    zones : tuple of (int, int)
        Numbers of its zones.
    options : tuple of Option
        As found first, then what fits.
    heat, hours, charge : array, shape (options,)
        Conductance [W/K], own hours [h], money to others [currency].
    needs : tuple of Mapping of str to float
        Resource to amount, for each option.
    airtight, deep : array of bool, shape (options,)
        Options that close the air barrier; options that insulate and reach the wished resistance.
    must : bool
        True where the job insists on one of the options, on the line or not.
    """

    id: str
    pair: int
    zones: tuple[int, int]
    options: tuple[Option, ...]
    heat: Floats
    hours: Floats
    charge: Floats
    needs: tuple[Mapping[str, float], ...]
    airtight: NDArray[np.bool_]
    deep: NDArray[np.bool_]
    must: bool = False


@dataclass(frozen=True)
class Limits:
    """What the plan must keep to.

    Attributes
    ----------
    cash, hours : float
        Most money now and most own hours; infinite where nothing limits them.
    season_kwh : float
        Most heat lost in a year; infinite where nothing limits it.
    """

    cash: float = float("inf")
    hours: float = float("inf")
    season_kwh: float = float("inf")


@dataclass(frozen=True)
class Problem:
    """The whole question.

    Attributes
    ----------
    faces : tuple of FaceChoices
        In the job's order.
    resources : tuple of Resource
        What is used up.
    gear : tuple of (str, float)
        Item id and price of things bought once.
    shared : tuple of (str, float)
        Id and hours of work done once.
    crews : tuple of (str, float)
        Group of a hired crew and its least charge.
    net : Graph
        Zones and pairs.
    base : array, shape (pairs,)
        Conductance that belongs to no face. [W/K]
    drop : Mapping of ZoneKind to float
        Summed differences to the room over the season. [K·h]
    movable : tuple of int
        Numbers of the buffer spaces that may come inside.
    worth : float
        Of an own hour. [currency/h]
    kwh_worth : float
        Present value of a kWh of heat lost every year. [currency/kWh]
    kwh_price : float
        Price of a kWh of heat this year. [currency/kWh]
    limits : Limits
        Of the job.
    objective : Objective
        What to be best at.
    air_barrier : bool
        True where every face of the line must be made airtight if it can be.
    deal : bool
        True where every face of the line must be insulated if it can be.
    told_apart : tuple of str
        What tells each face from others that are alike but for their names; empty where nothing does.
    """

    faces: tuple[FaceChoices, ...]
    resources: tuple[Resource, ...]
    gear: tuple[tuple[str, float], ...]
    shared: tuple[tuple[str, float], ...]
    crews: tuple[tuple[str, float], ...]
    net: Graph
    base: Floats
    drop: Mapping[ZoneKind, float]
    movable: tuple[int, ...]
    worth: float
    kwh_worth: float
    kwh_price: float
    limits: Limits = Limits()
    objective: Objective = Objective.WHOLE_COST
    air_barrier: bool = True
    deal: bool = False
    told_apart: tuple[str, ...] = ()

    @cached_property
    def face_numbers(self) -> dict[str, int]:
        """Face id to number."""
        return {f.id: i for i, f in enumerate(self.faces)}

    @cached_property
    def groups(self) -> tuple[Alike, ...]:
        """Numbers of the faces that are alike, in the order of the first of each."""
        return alike(self.faces, self.told_apart)

    @cached_property
    def resource_by_id(self) -> dict[str, Resource]:
        """Resource id to resource."""
        return {r.id: r for r in self.resources}


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


def crew_of(option: Option) -> str:
    """Crew that an option hires, empty for own hands."""
    return option.group if option.minimum > 0 or option.charge > 0 else ""


def _dominated(a: int, b: int, f: FaceChoices) -> bool:
    """Tell whether option a of a face is no better than option b in anything."""
    first, second = f.options[a], f.options[b]
    if f.heat[b] > f.heat[a] or f.hours[b] > f.hours[a] or f.charge[b] > f.charge[a]:
        return False
    if (f.airtight[a] and not f.airtight[b]) or (f.deep[a] and not f.deep[b]):
        return False
    if not set(second.gear) <= set(first.gear) or not set(second.shared) <= set(first.shared):
        return False
    if crew_of(second) not in {"", crew_of(first)}:
        return False
    return all(amount <= f.needs[a].get(r, 0.0) for r, amount in f.needs[b].items())


def without_dominated(f: FaceChoices) -> FaceChoices:
    """Leave out options that another option beats or equals in everything that counts."""
    n = len(f.options)
    keep = list(range(n))
    for a in range(n - 1, 0, -1):
        if any(b != a and _dominated(a, b, f) and (not _dominated(b, a, f) or b < a) for b in keep):
            keep.remove(a)
    return picked(f, keep)


def picked(f: FaceChoices, keep: Sequence[int]) -> FaceChoices:
    """Keep only some options of a face."""
    index = np.asarray(keep, dtype=np.intp)
    return replace(
        f,
        options=tuple(f.options[i] for i in keep),
        heat=f.heat[index],
        hours=f.hours[index],
        charge=f.charge[index],
        needs=tuple(f.needs[i] for i in keep),
        airtight=f.airtight[index],
        deep=f.deep[index],
    )


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
                Finding(
                    "weigh.must-not-fit",
                    f"You want {face.must!r} on face {face_id}, but it does not fit"
                    + (f": {reasons[0]}." if reasons else ".")
                    + " The face is planned freely.",
                    Weight.WARN,
                    ("faces", face_id, "must"),
                )
            )
    target = job.wishes.target_r
    insulates = np.array([o.thickness > 0 for o in usable])
    deep = np.array([o.r_typical >= target - 1e-9 for o in usable]) if target is not None else insulates
    if target is not None and not deep.any():
        best = max((o.r_typical for o in usable), default=0.0)
        found.append(
            Finding(
                "weigh.target-out-of-reach",
                f"No way on face {face_id} reaches the wished {target:.1f} m2K/W; the best gives {best:.1f}.",
                Weight.WARN,
                ("wishes", "target_r"),
                numbers={"best": best, "wished": target},
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


def _resources(faces: Sequence[FaceChoices], shelf: Shelf) -> tuple[Resource, ...]:
    used = dict.fromkeys(r for f in faces for n in f.needs for r in n)
    out = []
    for r in used:
        packs = tuple(Pack(i.id, i.amount, i.price.typical) for i in shelf.packs[r])
        on_hand = sum(shelf.on_hand.get(i.id, 0.0) * i.amount for i in shelf.packs[r])
        out.append(Resource(r, packs, on_hand))
    return tuple(out)


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


def problem(
    base: Ground, options: Sequence[Option], shelf: Shelf, *, pruned: bool = True
) -> tuple[Problem, tuple[Finding, ...]]:
    """Put the question together.

    Parameters
    ----------
    base : Ground
        The job, measured.
    options : sequence of Option
        All options of all faces.
    shelf : Shelf
        What can be bought.
    pruned : bool
        Leave out options that another option of the face beats or equals in everything.

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
        faces.append(without_dominated(choices) if pruned else choices)
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
