"""The whole job as one value."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from snugbay.base import Told, UnknownName
from snugbay.job.people import Access, Log, Logger, Temperature, You
from snugbay.job.place import FuelUsed, Place, Zone
from snugbay.job.stock import Stock
from snugbay.job.surfaces import Face, Host, Join


class Units(StrEnum):
    """How lengths are written and printed."""

    FT_IN = "ft-in"
    MM = "mm"


class Objective(StrEnum):
    """What the plan should be best at."""

    WHOLE_COST = "whole cost"
    LEAST_CASH = "least cash"
    FEWEST_HOURS = "fewest hours"
    WARMEST = "warmest"


class Hazard(StrEnum):
    """What was seen on the look round before the crawl; each is a gate in the safety table."""

    VERMICULITE = "vermiculite"
    ASBESTOS = "asbestos suspects"
    KNOB_AND_TUBE = "knob-and-tube wiring"
    BAD_WIRING = "bad wiring"
    DOWNLIGHTS = "recessed lights not rated for contact"
    FLUE = "flue or chimney"
    OPEN_FLUE_APPLIANCE = "open-draught appliance"
    GAS_SMELL = "gas smell"
    BATS = "bats"
    RODENTS = "rodents"
    GUANO = "droppings of bats or birds"
    WASPS = "wasps or bees"
    ROT = "rot or cut framing"
    NO_BOARDS = "no boards on the joists"
    WET = "wet sheathing or leak"
    FAN = "bath fan or dryer blowing in"
    MOULD = "mould"
    SEWAGE = "sewage or standing water"
    RADON_UNTESTED = "radon not tested"
    LEAD_PAINT = "old paint to be cut"
    UNKNOWN_FOAM = "unknown old foam"
    TIGHT = "headroom under 15 in or one way out"


@dataclass(frozen=True)
class Wishes:
    """What the plan must keep to and aim at.

    Attributes
    ----------
    objective : Objective
        What to be best at.
    years : float
        Years of energy that count.
    discount : float
        Real discount rate. [1/a]
    budget : float or None
        Most cash to spend now.
    hours : float or None
        Most own hours.
    air_barrier : bool
        True where the chosen line must be airtight all round.
    foil : str
        ``"room"`` or ``"cold"``: the side that the foil or print faces.
    layers : int
        Most layers of board to consider.
    target_r : float or None
        Resistance that each face of the line must reach. [m²·K/W]
    incentive : float
        Grant or rebate that the user counts on, in the job's currency.
    ways_never : tuple of str
        Way ids ruled out for the whole job.
    price_growth : float
        Yearly real growth of the energy price. [1/a]
    in_hands : bool
        True where no piece may be larger or heavier than the hands can hold in place at the face's headroom.
    plug : str
        How plugs are cut: ``"flat sill"``, ``"all four"``, or empty for the usual way of each face.
    covers : float
        Thickness of cover strips over framing edges, where boards lie in the bays only; 0 for none. [m]
    """

    objective: Objective = Objective.WHOLE_COST
    years: float = 20.0
    discount: float = 0.03
    budget: float | None = None
    hours: float | None = None
    air_barrier: bool = True
    foil: str = "room"
    layers: int = 2
    target_r: float | None = None
    incentive: float = 0.0
    ways_never: tuple[str, ...] = ()
    price_growth: float = 0.0
    in_hands: bool = False
    plug: str = ""
    covers: float = 0.0


@dataclass(frozen=True)
class Default:
    """A default that was used because the document said nothing.

    Attributes
    ----------
    where : str
        Field, as a dotted path.
    value : Told
        What was taken.
    why : str
        Source or reason.
    """

    where: str
    value: Told
    why: str = ""


@dataclass(frozen=True)
class Job:
    """One job.

    Attributes
    ----------
    name, title : str
        Short name and name for people.
    units : Units
        How lengths are printed.
    place, zones, access, faces, joins, stock, you, wishes, log, temperatures, hazards
        See the classes.
    defaults : tuple of Default
        Defaults used when the document was read.
    unseen : tuple of str
        Look-round questions that the user has not answered.
    own_ways : tuple of str
        The user's own ways, as the text of their TOML tables (read by `ways`).
    hosts : tuple of Host
        Boxes and the openings that they fill.
    loggers : tuple of Logger
        Loggers' files, read or still to be read.
    fuel_used : tuple of FuelUsed
        What meters and bills counted before the work.
    """

    name: str
    title: str
    units: Units
    place: Place
    zones: tuple[Zone, ...]
    access: Access
    faces: tuple[Face, ...]
    joins: tuple[Join, ...]
    stock: Stock
    you: You
    wishes: Wishes = field(default_factory=Wishes)
    hazards: tuple[Hazard, ...] = ()
    log: Log = field(default_factory=Log)
    temperatures: tuple[Temperature, ...] = ()
    defaults: tuple[Default, ...] = ()
    unseen: tuple[str, ...] = ()
    own_ways: tuple[str, ...] = ()
    hosts: tuple[Host, ...] = ()
    loggers: tuple[Logger, ...] = ()
    fuel_used: tuple[FuelUsed, ...] = ()

    def face(self, face_id: str) -> Face:
        """Return the face with this id; raise `UnknownName` otherwise."""
        for face in self.faces:
            if face.id == face_id:
                return face
        raise UnknownName(f"There is no face {face_id!r}.", hint="Faces: " + ", ".join(f.id for f in self.faces) + ".")

    def zone(self, zone_id: str) -> Zone:
        """Return the zone with this id; raise `UnknownName` otherwise."""
        for zone in self.zones:
            if zone.id == zone_id:
                return zone
        raise UnknownName(f"There is no zone {zone_id!r}.", hint="Zones: " + ", ".join(z.id for z in self.zones) + ".")
