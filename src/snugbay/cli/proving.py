"""The command `prove`."""

from __future__ import annotations

from pathlib import Path

from rich.console import Console

from snugbay.base import InputError, Run
from snugbay.cli.app import check_folder, read_text, write_file
from snugbay.cli.kept import change_lines, kept_plan, unplanned
from snugbay.cli.loading import load
from snugbay.cli.telling import screen
from snugbay.cli.weighing import money
from snugbay.flow import proved, rates_of, to_read_unplanned
from snugbay.job import Job
from snugbay.prove import Interval, ProveAnswer, ToRead, learned_rates
from snugbay.prove.wording import counted
from snugbay.words import gathered, writer_of

MOST = 8
"""Readings or entries that one line names. [-]"""

PAGE = "before-and-after.pdf"


def prove_job(path: Path, as_json: bool, run: Run, out: Path | None = None, rates: Path | None = None) -> bool:
    """Prove a job, print it, write the page and the learned rates if asked; return False where it was stopped."""
    job, kept = load(path), kept_plan(path)
    if out is not None:
        check_folder(out)
    if kept is None:
        return _unplanned(path, job, run, asked=as_json or out is not None or rates is not None)
    answer = proved(kept.plan, job, run)
    value = answer.value
    if not as_json:
        for line in change_lines(kept, read_text(path)):
            print(line)
    if as_json:
        from snugbay.document.answers import prove_answer, to_json

        print(to_json(prove_answer(job, value, answer.findings)), end="")
    else:
        tell(screen(), job, value)
    if out is not None:
        from snugbay.booklet import proof_pdf

        write_file(out / PAGE, proof_pdf(job, value))
        _said(f"The page is {out / PAGE}.", as_json)
    if rates is not None:
        from snugbay.cli.keeping import keep

        known = learned_rates(value.learned, rates_of(job))
        keep(known, job.title, rates)
        _said(f"{len(known)} learned rates are in {rates}.", as_json)
    return answer.finished


def _unplanned(path: Path, job: Job, run: Run, *, asked: bool) -> bool:
    """Say what to read where there is no plan to hold anything against."""
    if asked:
        raise InputError("There is no plan to prove.", hint=unplanned(path), code="plan.none")
    print(unplanned(path))
    print("What to read before any work begins, for all faces between warm and cold:")
    _to_read(screen(), to_read_unplanned(job, run))
    return True


def _said(text: str, as_json: bool) -> None:
    if not as_json:
        print(text)


def tell(console: Console, job: Job, value: ProveAnswer) -> None:
    """Print the answer in plain words: hours, what was learned, verdicts, seams, saving, findings, what to read."""
    _hours(console, value)
    for face in value.faces:
        console.print(f"{face.face} {face.title}, {face.when}: {face.text}", markup=False)
    for n, seam in enumerate(value.seams):
        head = "Open first" if n == 0 and seam.chance >= 0.5 else "Seam"
        console.print(f"{head}: {seam.face}, {seam.spot}: {seam.text}", markup=False)
    if value.saving is not None:
        low, mid, high = (
            money(v, job.place.currency) for v in (value.saving.low80, value.saving.median, value.saving.high80)
        )
        planned = money(value.saving_planned, job.place.currency)
        console.print(f"Saves {mid} a year by the readings (8 in 10 chances {low} to {high}); planned {planned}.")
    writer = writer_of(job)
    for weight, line in ((f.weight, writer.finding(f)) for f in gathered(value.findings, MOST)):
        console.print(f"{weight.value}: {line}", markup=False)
    _to_read(console, value.to_read)


def _hours(console: Console, value: ProveAnswer) -> None:
    console.print(value.forecast.text, markup=False)
    if not value.forecast.converged:
        console.print("warn: the reckoning of the hours did not settle; take its figures as rough.")
    for factor in value.learned:
        if factor.hours < 0.05:  # too little to have a line of its own; JSON has it
            continue
        rests_on = f"{factor.hours:.1f} h in {counted(factor.entries, 'entry', 'entries')}"
        console.print(f"{factor.element}: {_times(factor.factor)} the plan's rate ({rests_on}).")
    if value.replan is not None:
        console.print(value.replan.text, markup=False)
        if value.replan.advised:
            console.print("See snugbay replan for what to do with the rest.")


def _to_read(console: Console, wanted: tuple[ToRead, ...]) -> None:
    """Print what to read, under the moment to read it."""
    if not wanted:
        return
    console.print("To read:")
    for when in dict.fromkeys(r.when for r in wanted):
        console.print(f"  {when[:1].upper()}{when[1:]}:", markup=False)
        for item in wanted:
            if item.when == when:
                console.print(f"    - {item.what}, {item.where}: {item.why}", markup=False)


def _times(interval: Interval) -> str:
    return f"{interval.median:.2f} times (8 in 10 chances {interval.low80:.2f} to {interval.high80:.2f})"
