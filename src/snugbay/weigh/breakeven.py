"""Break-evens: at what worth of an hour, kit price, energy price or number of notches another plan becomes best.

For a fixed plan the whole cost is a straight line in each of these figures, so the least whole cost is the lower edge
of all plans' lines. The next corner of that edge is found by solving the program where two lines cross, until no plan
lies below the crossing: the figure is exact, and both sides have been solved.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from snugbay.base import Effort, Run
from snugbay.job import Objective
from snugbay.materials import name_and_unit
from snugbay.weigh.alternatives import Solver
from snugbay.weigh.asking import Aim
from snugbay.weigh.evaluate import Plan, Worth, cheapest_packs, total_needs
from snugbay.weigh.points import describe, kind_of
from snugbay.weigh.problem import Problem
from snugbay.weigh.values import BreakEven

MOST_STEPS = {Effort.QUICK: 2, Effort.NORMAL: 5, Effort.THOROUGH: 12}
"""Tips walked over that change the plan but not its kind."""
MOST_CROSSINGS = 25
MOST_NODES = 1000
"""Of the tree of one integer program: where the choice tips is worth a minute, not an hour."""


@dataclass(frozen=True)
class Line:
    """Whole cost of a plan as constant + slope times the figure."""

    plan: Plan
    constant: float
    slope: float

    def at(self, figure: float) -> float:
        """Whole cost at a figure."""
        return self.constant + self.slope * figure


AtFigure = Callable[[float], Line | None]
"""Best plan at a figure, as a line."""


@dataclass(frozen=True)
class Question:
    """One figure that may tip the choice.

    Attributes
    ----------
    what, unit : str
        Name and unit.
    now : float
        Its value in the job.
    low, high : float
        Range that is searched.
    best : Solver
        Best plan at a value.
    packs : mapping of str to float
        What the figure scales, where it stands for several prices: item id and price now, the figure's own first.
    """

    what: str
    unit: str
    now: float
    low: float
    high: float
    best: AtFigure
    packs: Mapping[str, float] = field(default_factory=dict)


def next_tip(best: AtFigure, start: Line, far: float) -> tuple[float, Line] | None:
    """Return the nearest figure towards ``far`` at which another plan becomes best, and that plan's line.

    Parameters
    ----------
    best : Solver
        Solves the program at a figure.
    start : Line
        Best plan where the walk stands.
    far : float
        Where to stop looking, on either side.
    """
    other = best(far)
    if other is None or other.at(far) >= start.at(far) - _slack(start.at(far)):
        return None
    for _ in range(MOST_CROSSINGS):
        steep = start.slope - other.slope
        if abs(steep) < 1e-15:
            return None
        cross = (other.constant - start.constant) / steep
        found = best(cross)
        if found is None or found.at(cross) >= start.at(cross) - _slack(start.at(cross)):
            return cross, other
        other = found
    return None


def _slack(value: float) -> float:
    return 1e-7 * max(abs(value), 1.0)


def _walk(p: Problem, q: Question, far: float, steps: int) -> tuple[float, Line, Line] | None:
    """Walk along the edge until the plan changes in kind: figure, plan before, plan after."""
    here = q.best(q.now)
    if here is None:
        return None
    kind = kind_of(p, here.plan)
    for _ in range(steps):
        tip = next_tip(q.best, here, far)
        if tip is None:
            return None
        at, beyond = tip
        if kind_of(p, beyond.plan) != kind:
            return at, here, beyond
        here = beyond
    return None


class _Open(Exception):
    """A program came to its limit: what is not proved tips nothing."""


def _proved(search: Solver, aim: Aim) -> tuple[Plan, Worth] | None:
    """Best plan and what it comes to; None where no plan keeps the limits."""
    answer = search.best(aim)
    if not answer.finished:
        raise _Open
    return None if answer.plan is None or answer.worth is None else (answer.plan, answer.worth)


def _worth_question(search: Solver) -> Question:
    p = search.problem

    def best(value: float) -> Line | None:
        found = _proved(search, Aim(1.0, value, p.kwh_worth))
        if found is None:
            return None
        plan, w = found
        return Line(plan, w.cash + p.kwh_worth * w.season_kwh, w.hours)

    return Question("worth of an hour", "an hour", p.worth, 0.0, max(4.0 * p.worth, 80.0), best)


def _energy_question(search: Solver) -> Question:
    p = search.problem
    factor = p.kwh_worth / p.kwh_price if p.kwh_price > 0 else 0.0

    def best(price: float) -> Line | None:
        found = _proved(search, Aim(1.0, p.worth, price * factor))
        if found is None:
            return None
        plan, w = found
        return Line(plan, w.cash + p.worth * w.hours, factor * w.season_kwh)

    return Question("energy price", "a kWh of heat", p.kwh_price, 0.1 * p.kwh_price, 4.0 * p.kwh_price, best)


def _item_money(p: Problem, plan: Plan, items: Mapping[str, float]) -> float:
    total = 0.0
    for r, amount in total_needs(p, plan).items():
        units = cheapest_packs(p.resource_by_id[r], amount)
        total += sum(n * items[i] for i, n in units.items() if i in items)
    return total


def _kit_question(search: Solver) -> Question | None:
    p = search.problem
    foam = p.resource_by_id.get("kit-foam")
    if foam is None:
        return None
    prices = {k.item: k.price for k in foam.packs}
    big = foam.packs[0]

    def best(price: float) -> Line | None:
        scale = price / big.price
        found = _proved(search, Aim(1.0, p.worth, p.kwh_worth, ((foam.id, scale),)))
        if found is None:
            return None
        plan, w = found
        money = _item_money(p, plan, prices)
        rest = w.cash - money + p.worth * w.hours + p.kwh_worth * w.season_kwh
        return Line(plan, rest, money / big.price)

    return Question("kit price", "", big.price, 0.1 * big.price, 3.0 * big.price, best, prices)


def _bought(p: Problem, plan: Plan) -> set[str]:
    """Items that a plan's resources are bought in."""
    return {i for r, n in total_needs(p, plan).items() for i, k in cheapest_packs(p.resource_by_id[r], n).items() if k}


def _named_packs(p: Problem, q: Question, value: float, plans: Sequence[Plan]) -> list[tuple[str, float]]:
    """Packs whose prices tip the choice, with the prices at which it does.

    Where they fall, only those that one of the two plans buys: the others stay dearer and tip nothing. Where they
    rise, all: one left cheap would be bought instead.
    """
    scale = value / q.now
    used = set[str]().union(*(_bought(p, plan) for plan in plans))
    named = [i for i in q.packs if i in used or value > q.now]
    return [(i, scale * q.packs[i]) for i in named or q.packs]


def _notch_hours(p: Problem, plan: Plan) -> float:
    used = (f.options[i] for f, i in zip(p.faces, plan.picks, strict=True))
    return float(sum(o.notches * o.notch_hours for o in used))


def _notch_question(search: Solver, notches: int) -> Question | None:
    p = search.problem
    if notches == 0 or not any(o.notches for f in p.faces for o in f.options):
        return None

    def best(count: float) -> Line | None:
        found = _proved(search, Aim(1.0, p.worth, p.kwh_worth, notches=count / notches - 1.0))
        if found is None:
            return None
        plan, w = found
        slope = p.worth * _notch_hours(p, plan) / notches
        base = w.cash + p.worth * w.hours + p.kwh_worth * w.season_kwh
        return Line(plan, base - slope * notches, slope)

    return Question("number of notches", "notches", float(notches), 0.0, 20.0 * notches, best)


def _shown(value: float) -> str:
    return f"{value:.0f}" if value >= 10 else f"{value:.2g}"


def _sentence(
    p: Problem, q: Question, value: float, below: Plan, above: Plan, titles: dict[str, str], currency: str
) -> BreakEven:
    less, more = describe(p, below, titles), describe(p, above, titles)
    unit = q.unit
    match q.what:
        case "worth of an hour":
            text = f"With your hour worth less than {_shown(value)} {currency}: {less}; above that: {more}."
        case "number of notches":
            text = f"With fewer than {_shown(value)} notches: {less}; with more: {more}."
        case "kit price":
            packs = _named_packs(p, q, value, (below, above))
            value, unit = packs[0][1], f"for a {name_and_unit(packs[0][0])[0]}"
            at = " and ".join(f"{_shown(price)} {currency} for a {name_and_unit(item)[0]}" for item, price in packs)
            text = f"With the kit price under {at}: {less}; above that: {more}."
        case _:
            text = f"With the {q.what} under {_shown(value)} {currency} {q.unit}: {less}; above that: {more}."
    if less == more:
        text = text[:-1] + " (which faces get which way changes)."
    if p.objective is not Objective.WHOLE_COST:
        text = f"By whole cost, which is not what you asked for first: {text[0].lower()}{text[1:]}"
    return BreakEven(q.what, value, unit, less, more, text)


def break_evens(
    search: Solver, run: Run, titles: dict[str, str], notches: int, currency: str
) -> tuple[tuple[BreakEven, ...], tuple[str, ...]]:
    """Find where the choice tips.

    Parameters
    ----------
    search : Solver
        The question; its objective is taken as the whole cost.
    run : Run
        Stop.
    titles : dict
        Title of each zone by id.
    notches : int
        Notches and holes of the job.
    currency : str
        Of the job.

    Returns
    -------
    tuple of BreakEven
        The nearest tipping points on either side of each figure, where there are any in the range searched. Quick
        effort asks for the worth of an hour and the kit price alone.
    tuple of str
        Figures for which a side was left open: a program came to its limit of work.
    """
    p = search.problem
    questions: tuple[Question | None, ...] = (_worth_question(search), _kit_question(search))
    if run.effort is not Effort.QUICK:
        questions = (*questions, _energy_question(search), _notch_question(search, notches))
    out: list[BreakEven] = []
    left_open: list[str] = []
    for q in questions:
        if q is None or run.stop():
            continue
        try:
            out += _tips(p, q, run.effort, titles, currency)
        except _Open:
            left_open.append(q.what)
    return tuple(out), tuple(left_open)


def _tips(p: Problem, q: Question, effort: Effort, titles: dict[str, str], currency: str) -> Iterator[BreakEven]:
    for far in (q.low, q.high):
        found = _walk(p, q, far, MOST_STEPS[effort]) if far != q.now else None
        if found is not None:
            value, here, beyond = found
            below, above = (beyond.plan, here.plan) if far < q.now else (here.plan, beyond.plan)
            yield _sentence(p, q, value, below, above, titles, currency)
