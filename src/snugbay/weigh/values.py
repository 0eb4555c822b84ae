"""The plan: where the line runs, which way each face gets, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from snugbay.base import Finding, Told
from snugbay.pieces import BoardChoice
from snugbay.ways import AsFound, HourElement, Option
from snugbay.weigh.hourly import ByHour

SURE = 0.8
"""Chance from which changing the way of what is left is advised."""

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
class Middle:
    """What a plan comes to in the middle of all draws: medians.

    Attributes
    ----------
    cash, hours, saving, whole_cost : float
        As of `PlanPoint`. [currency, h, currency/a, currency]
    """

    cash: float
    hours: float
    saving: float
    whole_cost: float


@dataclass(frozen=True)
class PlanPoint:
    """One buildable plan with its typical figures, by which it is chosen.

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
    middle : Middle or None
        Medians over the draws of the spread, the same draws for every plan of a weighing.
    """

    inside: tuple[str, ...]
    line: tuple[str, ...]
    ways: tuple[tuple[str, str], ...]
    cash: float
    hours: float
    saving: float
    saving_kwh: float
    whole_cost: float
    middle: Middle | None = field(default=None, compare=False)

    def way(self, face: str) -> str:
        """Return the way id of a face."""
        return dict(self.ways)[face]

    @property
    def shown(self) -> PlanPoint:
        """The point with its medians in the place of its typical figures, as people see it; itself where none are."""
        m = self.middle
        if m is None:
            return self
        return replace(self, cash=m.cash, hours=m.hours, saving=m.saving, whole_cost=m.whole_cost)


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
    payback_with_hours : Band or None
        As ``payback_years``, with the worth of the hours; None where it was not drawn.
    """

    draws: int
    hours: Band
    cash: Band
    saving: Band
    payback_years: Band
    beats: tuple[tuple[str, float], ...]
    tornado: tuple[tuple[str, float, float], ...]
    payback_with_hours: Band | None = None


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
class Proof:
    """What is proved of a plan.

    Attributes
    ----------
    finished : bool
        False where the search was stopped or came to its limit of work.
    in_limits : bool
        Whether the plan keeps the job's limits of money and hours.
    judged : bool
        Whether plans that do not stay dry by the hour were left out.
    parting : float
        What doing each face in its own way would gain at most over doing like parts alike. [currency]
    """

    finished: bool = True
    in_limits: bool = True
    judged: bool = False
    parting: float = 0.0


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
    by_hour : ByHour or None
        Build-ups and spaces of the plan by the hour, where the choice looked at them.
    proof : Proof
        What is proved of the plan.
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
    by_hour: ByHour | None = None
    proof: Proof = Proof()

    def option(self, face: str, way: str) -> Option:
        """Return what was reckoned for a face and way; raise `KeyError` otherwise."""
        for option in self.options:
            if option.face == face and option.way == way:
                return option
        raise KeyError((face, way))


@dataclass(frozen=True)
class WhyNot:
    """What one way on one face would change.

    Attributes
    ----------
    face, way : str
        Face id and way id.
    fits : bool
        False where the way is not offered for the face.
    reasons : tuple of str
        Why not, where it does not fit.
    plan : PlanPoint or None
        Best plan with this way on this face; None where there is none.
    cash, hours, saving, whole_cost : float
        Of that plan, less those of the chosen plan. [currency, h, currency/a, currency]
    others : tuple of (str, str, str)
        Other faces whose way would change with it: face id, way now and then, by their titles.
    text : str
        In words.
    """

    face: str
    way: str
    fits: bool
    reasons: tuple[Told, ...]
    plan: PlanPoint | None
    cash: float = 0.0
    hours: float = 0.0
    saving: float = 0.0
    whole_cost: float = 0.0
    others: tuple[tuple[str, str, str], ...] = ()
    text: Told = ""


@dataclass(frozen=True)
class Replan:
    """The plan for what is left.

    Attributes
    ----------
    plan : PlanPoint
        Best plan from here: cash, hours and whole cost of what is left only.
    carry_on : PlanPoint or None
        Going on as planned, the same way; None where that no longer keeps the limits.
    switch : bool
        True where another way for the rest is better than carrying on.
    chance : float
        Chance that the best plan's remaining cost is lower than carrying on. [0..1] 1 where there is no carrying on.
    done : tuple of (str, float)
        Face id and share of its work that is done.
    sunk_hours, sunk_cash : float
        Spent, and not counted in the choice. [h, currency]
    pace : float
        Hours as logged over hours as planned, drawn towards 1 where little is logged. [-]
    purchases : tuple of Purchase
        What must still be bought.
    hours : tuple of HourElement
        Hours left by element.
    hours_left : Band
        P10, P50, P90 of the hours left. [h]
    gap : float
        Proved gap. [-]
    text : str
        In words.
    findings : tuple of Finding
        What the user must know: an opened kit that runs out of days, ...
    returned : tuple of (str, int, float)
        Item, whole units bought that this plan does not need, and what the shop is taken to give back for them.
        [currency] It is in the comparison with carrying on.
    """

    plan: PlanPoint
    carry_on: PlanPoint | None
    switch: bool
    chance: float
    done: tuple[tuple[str, float], ...]
    sunk_hours: float
    sunk_cash: float
    pace: float
    purchases: tuple[Purchase, ...]
    hours: tuple[HourElement, ...]
    hours_left: Band
    gap: float
    text: str
    findings: tuple[Finding, ...] = ()
    returned: tuple[tuple[str, int, float], ...] = ()

    @property
    def advised(self) -> bool:
        """True where another way for the rest is better, and surely enough to change for it."""
        return self.switch and self.chance >= SURE
