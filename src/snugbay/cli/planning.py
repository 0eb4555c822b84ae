"""The command `plan`."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

from snugbay.base import Run, Weight
from snugbay.cli.app import write_file
from snugbay.cli.loading import load
from snugbay.cli.telling import progress_bar
from snugbay.cli.weighing import money, plan_lines, warnings
from snugbay.document.answers import plan_answer, to_json
from snugbay.document.files import plan_files
from snugbay.fit import bill
from snugbay.flow import JobPlan, whole_job
from snugbay.job import short_list
from snugbay.tape import in_units
from snugbay.words import writer_of


def plan(path: Path, out: Path, as_json: bool, run: Run) -> bool:
    """Plan a job, write its files, print one screen; return False where it was stopped."""
    job = load(path)
    with progress_bar(as_json) as progress:
        answer = whole_job(job, replace(run, progress=progress))
        names = []
        for name, content in plan_files(answer.value, run.effort.value):
            write_file(out / name, content)
            names.append(name)
            progress("Writing", min(1.0, len(names) / 12))
    _forget_old_sheets(out, names)
    if as_json:
        print(to_json(plan_answer(answer.value, run.effort.value)), end="")
    else:
        for line in summary(answer.value):
            print(line)
        print(f"\nFiles are in {out}/: booklet.pdf, pocket.html, sheets/, pieces.svg, buying.csv, plan.json ...")
    if not answer.finished:
        print("Unfinished: stopped on the way; these files hold the best so far.", file=sys.stderr)
    return answer.finished


def _forget_old_sheets(out: Path, names: list[str]) -> None:
    """Remove sheet drawings of an earlier run that this plan does not have."""
    for old in (out / "sheets").glob("sheet-*.svg"):
        if f"sheets/{old.name}" not in names:
            old.unlink()


def _bill(plan: JobPlan) -> list[str]:
    """Return what the list costs, and why that is not what the weighing said where it is not."""
    total, currency = bill(plan.weighing, plan.buying), plan.job.place.currency
    items = sum(p.units > 0 for p in plan.buying)
    lines = [f"To buy, counted from the sheets and joints: {money(total.bought, currency)} in {items} items."]
    if total.differs:
        why = "; ".join(total.reasons)
        lines.append(f"The plan was chosen at {money(total.reckoned, currency)}, before they were known: {why}.")
    return lines


def summary(plan: JobPlan) -> list[str]:
    """Return the plan on one screen, hazards first."""
    job, sheets = plan.job, plan.sheets
    lines = [f"{job.title}", ""]
    stops = [c for c in plan.cautions if c.weight is Weight.STOP]
    if stops:
        lines.append("STOP before anything else:")
        lines += [f"  - {c.title}. {c.trigger} Cleared by: {c.clears}." for c in stops]
        lines.append("")
    loud = warnings(plan.findings, writer_of(job))
    lines += [*loud, ""] if loud else []
    lines += plan_lines(job, plan.weighing)
    if plan.afterwards is not None:
        lines += [
            f"Three years by the hour: {short_list(list(b.faces))} {b.verdict}, mould index {b.mould_index:.1f} of 6."
            for b in plan.afterwards.build_ups
        ]
    if plan.pieces.pieces and plan.pieces.proof is not None:
        lines.append(f"Pieces: {plan.pieces.proof.text}.")
    if sheets.sheets:
        new = sum(s.source == "new" for s in sheets.sheets)
        cuts = in_units(f"{sheets.cut_length:.0f} m", job.units.value)
        lines.append(
            f"Sheets: {new} new and {len(sheets.sheets) - new} on hand; {cuts} of cuts, "
            f"{sheets.set_ups} straightedge set-ups, {sheets.minutes / 60:.1f} h of marking and cutting."
        )
    lines += _bill(plan)
    lines.append(f"Defaults used: {len(plan.defaults)}, listed in the booklet. Seed {plan.seed}, answer {plan.digest}.")
    return lines
