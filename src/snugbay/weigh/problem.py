"""The question that the program answers: faces, options, purchases, zones and limits as numbers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from snugbay.job import Objective, ZoneKind
from snugbay.ways import Option
from snugbay.ways.balance import Graph
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
    start : str
        Item id of gear that it is used with, bought once with the first unit; empty where it needs none.
    start_price : float
        Of that gear, 0 where it is in the shed. [currency]
    most : float
        Units that a job uses at most; the last pack of a resource has no such limit.
    """

    item: str
    amount: float
    price: float
    start: str = ""
    start_price: float = 0.0
    most: float = float("inf")

    def cost(self, units: int, prices: Mapping[str, float] = MappingProxyType({})) -> float:
        """Money for so many units, and what they are used with; ``prices`` overrides prices by item id."""
        if units == 0:
            return 0.0
        return units * prices.get(self.item, self.price) + prices.get(self.start, self.start_price)


@dataclass(frozen=True)
class Resource:
    """Something used up, and what it is sold in.

    Attributes
    ----------
    id : str
        Resource id.
    packs : tuple of Pack
        Those with a limit first, then the largest first.
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
    def starts(self) -> dict[str, float]:
        """Gear that comes with what is used up: item id to price."""
        return {k.start: k.start_price for r in self.resources for k in r.packs if k.start}

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


def crew_of(option: Option) -> str:
    """Crew that an option hires, empty for own hands."""
    return option.group if option.minimum > 0 or option.charge > 0 else ""
