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
from snugbay.document.roughly import LIMITS, danger_lines, rough_lines, understood
from snugbay.document.starting import Started, asked, started
from snugbay.flow.rough import RoughAnswer, rough
from snugbay.job import Job
from snugbay.weigh import Band


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
    console.print("Before you crawl in, look for:", markup=False)
    for stop, line in danger_lines(answer):
        console.print(f"  {'STOP' if stop else 'warn'}: {line}", markup=False)
    console.print(LIMITS, markup=False)


def _band(b: Band, digits: int = 0) -> str:
    low, middle, high = (round(v, digits) + 0.0 for v in (b.p10, b.p50, b.p90))  # + 0.0: no minus before a nought
    return f"{middle:,.{digits}f} ({low:,.{digits}f} to {high:,.{digits}f})"


def _table(job: Job, answer: RoughAnswer) -> Table:
    currency = job.place.currency
    table = Table(title="Roughly, 8 in 10 chances in brackets", title_justify="left", box=SIMPLE)
    for head in ("way", "own hours", f"money now, {currency}", f"saving a year, {currency}", "chance of regret"):
        table.add_column(head, justify="left" if head == "way" else "right")
    for way in answer.ways:
        figures = (_band(way.hours), _band(way.cash), _band(way.saving), f"{way.regret:.0%}")
        table.add_row(way.name, *figures)
    return table


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
