"""The plan: where the line runs, which way each face gets, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass

from snugbay.base import Finding
from snugbay.pieces import BoardChoice
from snugbay.ways import AsFound, HourElement, Option

AS_FOUND = "as-found"
"""Way id of leaving a face as it is."""


@dataclass(frozen=True)
class Band:
    """P10, P50, P90 of a quantity."""

    p10: float
    p50: float
    p90: float


@dataclass(frozen=True)
class Purchase:
    """Whole units to buy.

    Attributes
    ----------
    item, name : str
        Item id and name for people.
    units : int
        Whole units to buy (what is in hand already taken off).
    unit : str
        sheet, kit, can, roll, box, bag, each, job.
    need : float
        Amount needed before rounding, in units.
    on_hand : float
        In the shed.
    price : float
        Of one unit, typical, in the job's currency.
    total : float
        Units times price.
    once : bool
        True for gear bought once.
    why : str
        What for.
    source, status : str
        Of the price; ``"your own figure"`` where the user stated it.
    """

    item: str
    name: str
    units: int
    unit: str
    need: float
    on_hand: float
    price: float
    total: float
    once: bool = False
    why: str = ""
    source: str = ""
    status: str = ""


@dataclass(frozen=True)
class PlanPoint:
    """One buildable plan with its typical figures.

    Attributes
    ----------
    inside : tuple of str
        Buffer zones brought inside the line.
    line : tuple of str
        Faces that divide warm from cold in this plan.
    ways : tuple of (str, str)
        Face id and way id for every face (``as-found`` where nothing is done).
    cash : float
        Money to spend now, whole units. [currency]
    hours : float
        Own hours, typical. [h]
    saving : float
        Yearly saving against as found. [currency/a]
    saving_kwh : float
        [kWh/a]
    whole_cost : float
        The objective: cash + hours x worth + present value of the energy of the years. [currency]
    """

    inside: tuple[str, ...]
    line: tuple[str, ...]
    ways: tuple[tuple[str, str], ...]
    cash: float
    hours: float
    saving: float
    saving_kwh: float
    whole_cost: float

    def way(self, face: str) -> str:
        """Return the way id of a face."""
        return dict(self.ways)[face]


@dataclass(frozen=True)
class BreakEven:
    """Where the choice tips.

    Attributes
    ----------
    what : str
        ``"worth of an hour"``, ``"kit price"``, ``"number of notches"``, ``"energy price"``.
    value : float
        At which the choice tips, in ``unit``.
    unit : str
        Unit.
    below, above : str
        What is best on either side, in words.
    text : str
        The sentence.
    """

    what: str
    value: float
    unit: str
    below: str
    above: str
    text: str


@dataclass(frozen=True)
class Spread:
    """Monte Carlo of the chosen plan with correlated draws.

    Attributes
    ----------
    draws : int
        Number of draws.
    hours, cash, saving, payback_years : Band
        Of the chosen plan.
    beats : tuple of (str, float)
        Chance that the plan's whole cost is lower than the named other plan's.
    tornado : tuple of (str, float, float)
        What matters: driver, whole cost at its P10 and at its P90, largest swing first.
    """

    draws: int
    hours: Band
    cash: Band
    saving: Band
    payback_years: Band
    beats: tuple[tuple[str, float], ...]
    tornado: tuple[tuple[str, float, float], ...]


@dataclass(frozen=True)
class Money:
    """What the money and the hours buy.

    Attributes
    ----------
    payback_cash, payback_with_hours : float or None
        Years; None where the saving never pays it back.
    net_present_value, net_present_value_with_hours : float
        Over the wished years. [currency]
    carbon : float
        Saved a year. [kg/a]
    flow : tuple of float
        Cash flow year by year, year 0 first. [currency]
    incentive : float
        Counted because the user typed it in. [currency]
    """

    payback_cash: float | None
    payback_with_hours: float | None
    net_present_value: float
    net_present_value_with_hours: float
    carbon: float
    flow: tuple[float, ...]
    incentive: float = 0.0


@dataclass(frozen=True)
class Weighing:
    """The answer of `weigh`.

    Attributes
    ----------
    plan : PlanPoint
        The chosen plan.
    second : PlanPoint or None
        The next best plan that differs.
    as_found : AsFound
        The state now.
    options : tuple of Option
        Every face and way that was looked at, fitting or not.
    candidates : tuple of PlanPoint
        Best plan for each line that was considered, best first.
    single_way : tuple of (str, PlanPoint)
        Best plan that uses one way throughout (where that is possible), by way id.
    frontier : tuple of PlanPoint
        Cash, hours, saving: no other buildable plan is better in all.
    spread : Spread
        P10, P50, P90.
    break_evens : tuple of BreakEven
        In words.
    purchases : tuple of Purchase
        Whole units.
    hours : tuple of HourElement
        The chosen plan's hours by element, shared set-up counted once.
    face_hours : tuple of (str, tuple of HourElement)
        The same for each face that gets work.
    boards : tuple of BoardChoice
        Boards of the chosen plan.
    money : Money
        Return.
    zone_temps_c : tuple of (str, float, float)
        Zone, mean temperature in the coldest month before and after. [°C]
    zone_design_c : tuple of (str, float, float)
        On a design day before and after. [°C]
    gap : float
        Proved gap of the mixed-integer program. [-]
    rounds : int
        Fixed-point rounds over the buffer temperatures.
    findings : tuple of Finding
        What the user must know.
    """

    plan: PlanPoint
    second: PlanPoint | None
    as_found: AsFound
    options: tuple[Option, ...]
    candidates: tuple[PlanPoint, ...]
    single_way: tuple[tuple[str, PlanPoint], ...]
    frontier: tuple[PlanPoint, ...]
    spread: Spread
    break_evens: tuple[BreakEven, ...]
    purchases: tuple[Purchase, ...]
    hours: tuple[HourElement, ...]
    face_hours: tuple[tuple[str, tuple[HourElement, ...]], ...]
    boards: tuple[BoardChoice, ...]
    money: Money
    zone_temps_c: tuple[tuple[str, float, float], ...]
    zone_design_c: tuple[tuple[str, float, float], ...]
    gap: float
    rounds: int
    findings: tuple[Finding, ...] = ()

    def option(self, face: str, way: str) -> Option:
        """Return what was reckoned for a face and way; raise `KeyError` otherwise."""
        for option in self.options:
            if option.face == face and option.way == way:
                return option
        raise KeyError((face, way))
