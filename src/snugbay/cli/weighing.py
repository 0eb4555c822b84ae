"""The command `weigh`."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rich.box import SIMPLE
from rich.table import Table

from snugbay.base import Finding, Run, Weight
from snugbay.cli.loading import load
from snugbay.cli.telling import screen
from snugbay.draw.charts import way_name
from snugbay.flow import weighed
from snugbay.job import Job, Objective, Units, short_list
from snugbay.materials.items import unit_price
from snugbay.tape.quantities import R_SI_PER_R_IP
from snugbay.ways import Option, rates_of
from snugbay.weigh import AS_FOUND, Band, Weighing
from snugbay.weigh.points import optimality, second_costs_more
from snugbay.words import Writer, gathered, writer_of


def weigh(path: Path, as_json: bool, everything: bool, run: Run) -> bool:
    """Weigh a job up and print it; return False where it was stopped."""
    job = load(path)
    answer = weighed(job, run)
    _, weighing = answer.value
    if as_json:
        from snugbay.document.answers import to_json, weigh_answer

        print(to_json(weigh_answer(job, weighing, answer.findings)), end="")
        return answer.finished
    console = screen()
    console.print(_options(job, weighing, everything))
    if not everything:
        console.print("All ways, with the reasons of those that do not fit: --all.", style="dim")
    console.print(
        "Wet or dry by the hour is said of the chosen ways; all plans named here were judged so, other ways by months.",
        style="dim",
    )
    for line in (*warnings(answer.findings, writer_of(job)), *plan_lines(job, weighing)):
        console.print(line, markup=False)
    if not answer.finished:
        console.print("Unfinished: this is the best so far.")
    return answer.finished


def warnings(findings: tuple[Finding, ...], writer: Writer) -> list[str]:
    """Return what must be known before the decision is read: every finding that is more than a note."""
    loud = gathered(f for f in findings if f.weight is not Weight.NOTE)
    return [f"{f.weight.value.upper()}: {writer.finding(f)}" for f in loud]


def money(amount: float, currency: str) -> str:
    """Print an amount of money."""
    return Writer(currency=currency).money(amount)


def band(b: Band, unit: str = "") -> str:
    """Print P10, P50, P90 in words."""
    tail = f" {unit}" if unit else ""
    return f"{b.p50:,.0f}{tail} (8 in 10 chances between {b.p10:,.0f} and {b.p90:,.0f})"


MOST_OTHERS = 4
"""Ways shown beside the chosen one, for each face, unless all are asked for."""


def _shown(weighing: Weighing, face: str, everything: bool) -> list[Option]:
    """Chosen way first, then the others that fit by hours and cost, then those that do not."""
    chosen = weighing.plan.way(face)
    own = [o for o in weighing.options if o.face == face]
    fitting = [o for o in own if o.fits and o.way not in (chosen, AS_FOUND)]
    best = [o for o in own if o.way == chosen] + sorted(fitting, key=lambda o: -o.r_typical / (1 + o.hours_typical))
    return best + [o for o in own if not o.fits] if everything else best[: 1 + MOST_OTHERS]


def _used_up(job: Job, weighing: Weighing, option: Option) -> str:
    """Cost of what the way uses up on this face, before whole units."""
    prices = {p.item: p.price for p in weighing.purchases}
    if any(n.item not in prices for n in option.needs):
        rates = rates_of(job)
        for need in option.needs:
            if need.item not in prices:
                prices[need.item] = unit_price(need.item, job.place.currency, rates)
    return f"{option.charge + sum(n.typical * prices[n.item] for n in option.needs):.0f}"


def r_text(r: float, imperial: bool) -> str:
    """Print a resistance in the job's own system."""
    return f"R-{r / R_SI_PER_R_IP:.1f}" if imperial else f"{r:.2f}"


def _options(job: Job, weighing: Weighing, everything: bool) -> Table:
    currency = job.place.currency
    imperial = job.units is Units.FT_IN
    r_head = "R after (h ft²F/Btu)" if imperial else "R after (m²K/W)"
    table = Table(title=f"{job.title}: ways for each face", title_justify="left", box=SIMPLE)
    for head in ("face", "way", "own hours", f"uses, {currency}", r_head, "verdict"):
        table.add_column(head, justify="right" if head in ("own hours", f"uses, {currency}") else "left")
    for face, _ in weighing.plan.ways:
        for option in _shown(weighing, face, everything):
            chosen = weighing.plan.way(face) == option.way
            verdict = "fits" if option.fits else "; ".join(map(writer_of(job).told, option.why_not))
            verdict = f"CHOSEN{_by_hour(weighing, face)}" if chosen else verdict
            figures = (
                f"{option.hours_typical:.1f}",
                _used_up(job, weighing, option),
                r_text(option.r_typical, imperial),
            )
            table.add_row(face, option.title, *(figures if option.fits else ("", "", "")), verdict)
    return table


HOURS = {"dry": ", stays dry", "watch": ", near its limits", "wet": ", DOES NOT STAY DRY"}
"""What three years by the hour say of a chosen way."""


def _by_hour(weighing: Weighing, face: str) -> str:
    """Return the verdict of the hours on a face's chosen way; empty where it was judged by months only."""
    built = weighing.by_hour.build_ups if weighing.by_hour is not None else ()
    return next((HOURS[b.verdict] for b in built if face in b.faces), "")


def _left_out(weighing: Weighing, writer: Writer) -> list[str]:
    """Return what was chosen first and left out again, and why."""
    return [f"Left out: {writer.finding(f)}" for f in weighing.findings if f.code == "weigh.left-out-wet"]


def _others(job: Job, weighing: Weighing) -> list[str]:
    plan, second = weighing.plan, weighing.second
    if second is None:
        return []
    more = second_costs_more(weighing)
    changed = _by_way(weighing, tuple((f, w) for f, w in second.ways if plan.way(f) != w))
    years = f"over {job.wishes.years:g} years"
    if round(more) == 0:
        return [f"Just as good, the same cost {years}: {changed}."]
    if more < 0 and job.wishes.objective is Objective.WHOLE_COST:
        return [f"About as good, {money(-more, job.place.currency)} less {years} in the middle: {changed}."]
    side = "more" if more > 0 else f"less, but is second by {job.wishes.objective.value},"
    return [f"Second best costs {money(abs(more), job.place.currency)} {side} {years}: {changed}."]


def _by_way(weighing: Weighing, ways: Sequence[tuple[str, str]]) -> str:
    groups: dict[str, list[str]] = {}
    for face, way in ways:
        groups.setdefault(way_name(weighing, way), []).append(face)
    return "; ".join(f"{short_list(faces)}: {title}" for title, faces in groups.items())


def plan_lines(job: Job, weighing: Weighing) -> list[str]:
    """Return the chosen plan in a screenful of words."""
    plan, spread, currency = weighing.plan, weighing.spread, job.place.currency
    where = "brings " + ", ".join(job.zone(z).title for z in plan.inside) + " inside" if plan.inside else "stays out"
    ways = _by_way(weighing, tuple((f, w) for f, w in plan.ways if w != AS_FOUND))
    place = weighing.as_found.place
    return [
        *([writer_of(job).finding(place)] if place is not None else []),
        f"The line {where}; it runs through {short_list(plan.line)}.",
        f"Ways: {ways or 'leave everything as found'}.",
        *_left_out(weighing, writer_of(job)),
        f"Own hours: {band(spread.hours, 'h')}.",
        f"Money now: {band(spread.cash, currency)}.",
        f"Saving a year: {band(spread.saving, currency)}, {plan.saving_kwh:,.0f} kWh.",
        *(writer_of(job).finding(f) for f in weighing.findings if f.code == "weigh.calibrated"),
        *_others(job, weighing),
        *(b.text for b in weighing.break_evens),
        optimality(weighing, job.wishes.objective, currency),
    ]
