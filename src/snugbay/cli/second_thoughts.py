"""The commands `why` and `replan`."""

from __future__ import annotations

from pathlib import Path

from rich.console import Console

from snugbay.base import InputError, Run
from snugbay.cli.loading import load
from snugbay.cli.telling import screen
from snugbay.cli.weighing import money
from snugbay.flow import asked_why_not, replanned
from snugbay.job import Job
from snugbay.weigh import AS_FOUND, Replan


def tell_why_not(path: Path, face: str, way: str, run: Run) -> bool:
    """Print what one way on one face would change; return False where it was stopped."""
    job = load(path)
    answer = asked_why_not(job, face, way, run)
    console = screen()
    console.print(answer.value.text, markup=False)
    for reason in answer.value.reasons:
        console.print(f"  - {reason}", markup=False)
    for other, now, then in answer.value.others:
        console.print(f"  {other}: {then} instead of {now}", markup=False)
    return answer.finished


def tell_replan(path: Path, run: Run) -> bool:
    """Print the plan for what is left; return False where it was stopped."""
    job = load(path)
    if not job.log.entries:
        raise InputError("Nothing is logged yet.", where=("log",), hint="Write hours with snugbay log first.")
    answer = replanned(job, run)
    left = answer.value
    console = screen()
    console.print(left.text, markup=False)
    console.print(
        f"Spent and not counted: {left.sunk_hours:.0f} h and {money(left.sunk_cash, job.place.currency)}. "
        f"Left: {left.hours_left.p50:.0f} h (8 in 10 chances {left.hours_left.p10:.0f} to {left.hours_left.p90:.0f}) "
        f"and {money(left.plan.cash, job.place.currency)}. Proved: gap {left.gap:.1e}."
    )
    _rest(console, job, left)
    for finding in left.findings:
        console.print(f"{finding.weight.value}: {finding.text}", markup=False)
    return answer.finished


def _rest(console: Console, job: Job, left: Replan) -> None:
    """Print what to do with the rest, face by face, and what to buy for it."""
    done = dict(left.done)
    console.print("The rest, face by face:")
    for face, way in left.plan.ways:
        share = done.get(face, 0.0)
        said = "leave as found" if way == AS_FOUND else way
        if share >= 1.0 - 1e-9:
            said = "done"
        elif share > 0:
            said = f"{share:.0%} done; the rest: {said}"
        console.print(f"  {face} {job.face(face).title}: {said}", markup=False)
    hours = [h for h in left.hours if h.typical > 0.05]
    if hours:
        console.print("Hours left: " + ", ".join(f"{h.element} {h.typical:.1f}" for h in hours) + ".")
    buys = [b for b in left.purchases if b.units]
    console.print("To buy still:" if buys else "Nothing more to buy.")
    for b in buys:
        console.print(f"  {b.units} {b.unit} {b.name}, {money(b.total, job.place.currency)}", markup=False)
