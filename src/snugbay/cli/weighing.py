"""The command `weigh`."""

from __future__ import annotations

from pathlib import Path

from rich.console import Console
from rich.table import Table

from snugbay.base import Run
from snugbay.cli.app import read_text
from snugbay.document import read
from snugbay.document.answers import to_json, weigh_answer
from snugbay.flow import weighed
from snugbay.job import Job
from snugbay.weigh import Band, PlanPoint, Weighing


def weigh(path: Path, as_json: bool, run: Run) -> bool:
    """Weigh a job up and print it; return False where it was stopped."""
    job = read(read_text(path))
    answer = weighed(job, run)
    _, weighing = answer.value
    if as_json:
        print(to_json(weigh_answer(job, weighing, answer.findings)), end="")
        return answer.finished
    console = Console(highlight=False)
    console.print(_options(job, weighing))
    for line in plan_lines(job, weighing):
        console.print(line, markup=False)
    if not answer.finished:
        console.print("Unfinished: this is the best so far.")
    return answer.finished


def money(amount: float, currency: str) -> str:
    """Print an amount of money."""
    return f"{amount:,.0f} {currency}"


def band(b: Band, unit: str = "") -> str:
    """Print P10, P50, P90 in words."""
    tail = f" {unit}" if unit else ""
    return f"{b.p50:,.0f}{tail} (8 in 10 chances between {b.p10:,.0f} and {b.p90:,.0f})"


def _options(job: Job, weighing: Weighing) -> Table:
    currency = job.place.currency
    table = Table(title=f"{job.title}: ways for each face", title_justify="left")
    for head in ("face", "way", "own hours", f"used up, {currency}", "R after (m²K/W)", "verdict"):
        table.add_column(head)
    prices = {p.item: p.price for p in weighing.purchases}
    for option in weighing.options:
        chosen = weighing.plan.way(option.face) == option.way
        used = option.charge + sum(n.typical * prices.get(n.item, 0.0) for n in option.needs)
        verdict = "CHOSEN" if chosen else ("fits" if option.fits else option.why_not[0] if option.why_not else "no")
        figures = (f"{option.hours_typical:.1f}", f"{used:.0f}" if chosen else "", f"{option.r_typical:.2f}")
        table.add_row(option.face, option.title, *(figures if option.fits else ("", "", "")), verdict)
    return table


def _others(job: Job, weighing: Weighing) -> list[str]:
    lines = []
    plan = weighing.plan
    if weighing.second is not None:
        second: PlanPoint = weighing.second
        more = second.whole_cost - plan.whole_cost
        changed = [f"{f}: {w}" for f, w in second.ways if plan.way(f) != w]
        lines.append(
            f"Second best costs {money(more, job.place.currency)} more over {job.wishes.years:g} years: "
            + "; ".join(changed)
            + "."
        )
    return lines


def plan_lines(job: Job, weighing: Weighing) -> list[str]:
    """Return the chosen plan in a screenful of words."""
    plan, spread, currency = weighing.plan, weighing.spread, job.place.currency
    where = "brings " + ", ".join(job.zone(z).title for z in plan.inside) + " inside" if plan.inside else "stays out"
    ways = "; ".join(f"{f} {weighing.option(f, w).title.lower()}" for f, w in plan.ways if w != "as-found")
    return [
        f"The line {where}; it runs through " + ", ".join(plan.line) + ".",
        f"Ways: {ways}.",
        f"Own hours: {band(spread.hours, 'h')}.",
        f"Money now: {band(spread.cash, currency)}; to buy for the plan {money(plan.cash, currency)}.",
        f"Saving a year: {band(spread.saving, currency)}, {plan.saving_kwh:,.0f} kWh.",
        *_others(job, weighing),
        *(b.text for b in weighing.break_evens),
        f"Proved best of all combinations: gap {weighing.gap:.1e}.",
    ]
