"""The commands `why` and `replan`."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from snugbay.base import InputError, Run
from snugbay.cli.app import check_folder, read_text, write_file
from snugbay.cli.kept import change_lines, kept_plan
from snugbay.cli.loading import load
from snugbay.cli.telling import screen
from snugbay.cli.weighing import money
from snugbay.document.answers import buying_csv
from snugbay.draw import sheet_drawing, to_svg
from snugbay.draw.charts import way_name
from snugbay.flow import RestPlan, asked_why_not, replanned, why_not_in
from snugbay.job import Job
from snugbay.materials import boards
from snugbay.tape import tape_for
from snugbay.weigh import AS_FOUND
from snugbay.words import writer_of


def tell_why_not(path: Path, face: str, way: str, run: Run) -> bool:
    """Print what one way on one face would change; return False where it was stopped."""
    job, kept = load(path), kept_plan(path)
    console = screen()
    if kept is not None:
        for line in change_lines(kept, read_text(path)):
            console.print(line, markup=False)
        answer = why_not_in(kept.plan, face, way, run)
    else:
        answer = asked_why_not(job, face, way, run)
    console.print(writer_of(job).told(answer.value.text), markup=False)
    for reason in answer.value.reasons:
        console.print(f"  - {writer_of(job).told(reason)}", markup=False)
    for other, now, then in answer.value.others:
        console.print(f"  {other}: {then} instead of {now}", markup=False)
    return answer.finished


def tell_replan(path: Path, run: Run, out: Path | None = None) -> bool:
    """Print the plan for what is left and write its sheets if asked; return False where it was stopped."""
    job = load(path)
    if not job.log.entries:
        raise InputError("Nothing is logged yet.", where=("log",), hint="Write hours with snugbay log first.")
    if out is not None:
        check_folder(out)
    answer = replanned(job, run)
    rest, left = answer.value, answer.value.ways
    console = screen()
    console.print(left.text, markup=False)
    console.print(
        f"Spent and not counted: {left.sunk_hours:.0f} h and {money(left.sunk_cash, job.place.currency)}. "
        f"Left: {left.hours_left.p50:.0f} h (8 in 10 chances {left.hours_left.p10:.0f} to {left.hours_left.p90:.0f}) "
        f"and {money(sum(b.total for b in rest.buying), job.place.currency)}. Proved: gap {left.gap:.1e}."
    )
    for line in (*_ways(job, rest), *_sheets(rest), *_buys(job, rest)):
        console.print(line, markup=False)
    console.print(f"The plan was laid with seed {run.seed} and {run.effort.value} effort: name those that it had.")
    for finding in rest.findings:
        console.print(f"{finding.weight.value}: {writer_of(job).finding(finding)}", markup=False)
    if out is not None:
        _write(job, rest, out)
        console.print(f"The sheets and the list are in {out}.", markup=False)
    return answer.finished


def _ways(job: Job, rest: RestPlan) -> Iterator[str]:
    """Say what to do with the rest, face by face."""
    left = rest.ways
    done = dict(left.done)
    yield "The rest, face by face:"
    for face, way in left.plan.ways:
        share = done.get(face, 0.0)
        said = "leave as found" if way == AS_FOUND else way_name(rest.weighing, way)
        if share >= 1.0 - 1e-9:
            said = "done"
        elif share > 0:
            said = f"{share:.0%} done; the rest: {said}"
        yield f"  {face} {job.face(face).title}: {said}"
    hours = [h for h in left.hours if h.typical > 0.05]
    if hours:
        yield "Hours left: " + ", ".join(f"{h.element} {h.typical:.1f}" for h in hours) + "."


def _sheets(rest: RestPlan) -> Iterator[str]:
    """Say which pieces are still to be cut, and from what."""
    if not rest.pieces:
        yield "No board is left to cut."
        return
    to_cut = {p.id for p in rest.pieces}
    names = {b.key: b.name for b in boards()}
    again = "laid again, numbers run on" if rest.relaid else "the sheets stay as they were"
    yield f"Boards still to cut: {len(to_cut)}; {again}."
    for sheet in (*rest.begun, *rest.fresh):
        own = [p.piece for p in sheet.placements if p.piece in to_cut]
        if own:
            new = "to be bought" if rest.relaid else "in the house"
            source = {"new": new, "on hand": "in the house"}.get(sheet.source, sheet.source)
            source = "begun" if sheet in rest.begun else source
            yield f"  sheet {sheet.number} ({names[sheet.material]}, {source}): {', '.join(own)}"


def _buys(job: Job, rest: RestPlan) -> Iterator[str]:
    """Say what to buy still, and which whole sheets stay over."""
    yield "To buy still:" if rest.buying else "Nothing more to buy."
    for b in rest.buying:
        yield f"  {b.units} {b.unit} {b.name}, {money(b.total, job.place.currency)}"
    names = {b.key: b.name for b in boards()}
    for supply in rest.supplies:
        if supply.over:
            yield f"  {supply.over} of {supply.had} sheets of {names[supply.material]} stay over"


def _write(job: Job, rest: RestPlan, out: Path) -> None:
    fmt = tape_for(job.units).text
    for sheet in (*rest.begun, *rest.fresh):
        write_file(out / "sheets" / f"sheet-{sheet.number:02d}.svg", to_svg(sheet_drawing(sheet, fmt)).encode())
    write_file(out / "buying.csv", buying_csv(rest.buying, job.place.currency).encode())
