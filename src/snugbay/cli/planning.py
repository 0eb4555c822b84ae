"""The command `plan`."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from snugbay.base import InputError, ProgressSink, Run, Weight
from snugbay.cli.app import check_file, read_text
from snugbay.cli.kept import kept_plan
from snugbay.cli.loading import load
from snugbay.cli.telling import progress_bar
from snugbay.cli.weighing import money, plan_lines, warnings
from snugbay.disk import place_folder, write_whole
from snugbay.document.answers import plan_answer, to_json
from snugbay.document.files import NamedFile, plan_files
from snugbay.document.snapshot import snapshot_of, snapshot_path, snapshot_text
from snugbay.fit import bill
from snugbay.flow import JobPlan, whole_job
from snugbay.job import Job, short_list
from snugbay.words import writer_of


def plan(path: Path, out: Path, as_json: bool, run: Run, force: bool = False) -> bool:
    """Plan a job, write its files and keep the plan beside it, print one screen; return False where it was stopped."""
    text, job = read_text(path), load(path)
    if not force:
        check_unbegun(path, job)
    check_file(snapshot_path(path))
    with progress_bar(as_json) as progress:
        answer = whole_job(job, replace(run, progress=progress))
        put_in_place(path, text, out, answer.value, progress)
    if as_json:
        print(to_json(plan_answer(answer.value)), end="")
    else:
        for line in summary(answer.value):
            print(line)
        print(f"\nFiles are in {out}/: booklet.pdf, pocket.html, sheets/, pieces.svg, buying.csv, plan.json ...")
        print(f"The plan is kept in {snapshot_path(path)}: log, prove, replan, why and serve go by it.")
    if not answer.finished:
        print("Unfinished: stopped on the way; these files hold the best so far.", file=sys.stderr)
    return answer.finished


def check_unbegun(path: Path, job: Job) -> None:
    """Refuse to plan from scratch what is being cut by a plan: its pieces would be other ones."""
    kept = kept_plan(path)
    cut = sorted({p for e in job.log.entries for p in e.pieces} & kept.pieces.keys()) if kept is not None else []
    if cut:
        raise InputError(
            f"The log names pieces of the plan that is kept: {short_list(cut[:4])}{' and others' * (len(cut) > 4)}.",
            hint="Plan what is left with snugbay replan, or from scratch, other pieces and all, with --force.",
            code="plan.begun",
        )


def put_in_place(path: Path, text: str, out: Path | None, plan: JobPlan, progress: ProgressSink) -> None:
    """Keep a plan beside its job, and its files in a folder where one is named: all of it, or nothing."""
    kept = snapshot_of(plan, text)
    beside = {snapshot_path(path): snapshot_text(kept).encode()}
    if out is None:
        for place, content in beside.items():
            write_whole(place, content)
    else:
        place_folder(out, _counted(plan, progress), kept.answer, beside)


def _counted(plan: JobPlan, progress: ProgressSink) -> Iterator[NamedFile]:
    for number, file in enumerate(plan_files(plan), 1):
        yield file
        progress("Writing", min(1.0, number / 12))


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
        lines += [f"  - {c.title}. {writer_of(job).told(c.trigger)} Cleared by: {c.clears}." for c in stops]
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
        lines.append(f"Pieces: {writer_of(job).said(plan.pieces.proof.said)}.")
    if sheets.sheets:
        new = sum(s.source == "new" for s in sheets.sheets)
        cuts = writer_of(job).long_length(sheets.cut_length)
        lines.append(
            f"Sheets: {new} new and {len(sheets.sheets) - new} on hand; {cuts} of cuts, "
            f"{sheets.set_ups} straightedge set-ups, {sheets.minutes / 60:.1f} h of marking and cutting."
        )
    lines += _bill(plan)
    lines.append(f"Defaults used: {len(plan.defaults)}, listed in the booklet. Seed {plan.seed}, answer {plan.digest}.")
    return lines
