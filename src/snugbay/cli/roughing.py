"""The commands `rough` and `start`."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from rich.box import SIMPLE
from rich.table import Table

from snugbay.base import InputError, Run
from snugbay.cli.telling import screen
from snugbay.cli.weighing import money
from snugbay.document.spacing import shown
from snugbay.document.starting import Asked, Started, asked, started
from snugbay.flow.rough import RoughAnswer, Tip, rough
from snugbay.job import Job, short_list
from snugbay.weigh import Band

FIRST = 3
"""Things to find out that are told. [-]"""


def tell_rough(kind: str, words: Sequence[str], as_json: bool, run: Run) -> None:
    """Print the rough answer for a kind of space and a few numbers."""
    what = asked(kind, words)
    begun = started(what)
    answer = rough(begun.job, begun.space, run, hour_said="hour" in what.others)
    if as_json:
        print(json.dumps(rough_json(begun, answer), indent=1, ensure_ascii=False))
        return
    console = screen()
    for line in understood(what, begun, answer):
        console.print(line, markup=False)
    console.print(_table(begun.job, answer))
    for line in rough_lines(what, begun.job, answer):
        console.print(line, markup=False)


def understood(what: Asked, begun: Started, answer: RoughAnswer) -> list[str]:
    """Return what was understood, and every default."""
    units = what.units
    said = "; ".join(f"{n.name} {text} ({n.title})" for n, text in begun.understood)
    place = begun.job.place.climate + ("" if "place" in what.others else " (nobody said)")
    taken = "; ".join(
        f"{n.name} {shown(n, value, units)}"
        + (f" give or take {shown(n, n.sigma, units)}" if n.sigma and n.unit != "count" else "")
        for n, value in answer.defaults
    )
    hour = f"hour {begun.job.you.hour_worth:g} {begun.job.place.currency}" + (
        "" if "hour" in what.others else " (usual; say hour=...)"
    )
    out = [f"{what.kind.title}. Understood: {said}; place {place}; {hour}; fuel {begun.job.place.fuel.name}."]
    return [*out, f"Taken until said: {taken}."] if taken else out


def _band(b: Band, digits: int = 0) -> str:
    return f"{b.p50:,.{digits}f} ({b.p10:,.{digits}f} to {b.p90:,.{digits}f})"


def _table(job: Job, answer: RoughAnswer) -> Table:
    currency = job.place.currency
    table = Table(title="Roughly, 8 in 10 chances in brackets", title_justify="left", box=SIMPLE)
    for head in ("way", "own hours", f"money now, {currency}", f"saving a year, {currency}", "chance of regret"):
        table.add_column(head, justify="left" if head == "way" else "right")
    for way in answer.ways:
        figures = (_band(way.hours), _band(way.cash), _band(way.saving), f"{way.regret:.0%}")
        table.add_row(way.name, *figures)
    return table


def tip_text(job: Job, what: Asked, tip: Tip) -> str:
    """Return where the choice tips, in words."""
    side = "over" if tip.above else "under"
    if tip.name == "hour":
        return f"with your hour worth {side} {tip.value:,.0f} {job.place.currency}: {tip.to}"
    number = what.kind.number(tip.name)
    return f"with {tip.name} {side} {shown(number, tip.value, what.units)}: {tip.to}"


def rough_lines(what: Asked, job: Job, answer: RoughAnswer) -> list[str]:
    """Return the rough answer below its table, in words."""
    best = answer.best
    line = f"the line runs through {short_list(best.line)}" if best.line else "nothing is done"
    inside = "; ".join(f"{job.zone(z).title} comes inside" for z in best.inside)
    out = [f"Least cost over {job.wishes.years:g} years: {best.name}; {line}{'; ' + inside if inside else ''}."]
    tips = "; ".join(tip_text(job, what, t) for t in answer.tips)
    out.append(f"What would tip it: {tips or 'no number that was left out, and no usual worth of an hour'}.")
    out.append("Find out first:")
    for k, f in enumerate(answer.find_out[:FIRST], start=1):
        why = f"changes the choice {f.changes:.0%} of the time, worth about {money(f.worth, job.place.currency)}"
        out.append(f"  {k}. {f.text}: {why if f.worth >= 0.5 else 'sharpens the figures, hardly changes the choice'}.")
    out.append("Before you crawl in, look for:")
    out += [f"  {'STOP' if d.stop else 'warn'}: {d.title}. {d.text} Clears it: {d.clears}." for d in answer.dangers]
    out.append(
        "Rough: one layer of boards, wet or dry by months only, corners as regular as the kind. Rates and prices are "
        "low, typical and high of our tables; local code and licensed trades come first."
    )
    return out


def rough_json(begun: Started, answer: RoughAnswer) -> dict[str, Any]:
    """Return the rough answer as plain data."""
    return {
        "kind": begun.space.kind.name,
        "understood": {n.name: text for n, text in begun.understood},
        "defaults": {n.name: value for n, value in answer.defaults},
        "currency": begun.job.place.currency,
        "ways": [asdict(w) for w in answer.ways],
        "find_out": [asdict(f) for f in answer.find_out],
        "tips": [asdict(t) for t in answer.tips],
        "dangers": [asdict(d) for d in answer.dangers],
        "draws": answer.draws,
    }


def start(kind: str, words: Sequence[str], out: Path | None, force: bool) -> None:
    """Write the short document to go on with, or print it."""
    from snugbay.cli.app import write_file

    begun = started(asked(kind, words))
    if out is None:
        print(begun.text, end="")
        return
    if out.exists() and not force:
        raise InputError(f"{out} is there already.", hint="Name another file, or write over it with --force.")
    write_file(out, begun.text.encode())
    print(f"{out}: {begun.space.kind.title}. Go on: snugbay measure {out}")
