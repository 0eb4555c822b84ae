"""The commands `why` and `replan`."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from snugbay.base import InputError, Run
from snugbay.cli.app import read_text
from snugbay.cli.kept import change_lines, changes_since, followed_plan, kept_plan
from snugbay.cli.loading import load
from snugbay.cli.planning import put_in_place
from snugbay.cli.telling import screen
from snugbay.cli.weighing import money, warnings
from snugbay.document.snapshot import snapshot_path
from snugbay.draw.charts import way_name
from snugbay.flow import JobPlan, Onward, asked_why_not, replanned, why_not_in
from snugbay.flow.relay import WHOLE
from snugbay.job import short_list
from snugbay.materials import boards
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
    changed: dict[tuple[str, str], list[str]] = {}
    for other, now, then in answer.value.others:
        changed.setdefault((then, now), []).append(other)
    for (then, now), faces in changed.items():
        console.print(f"  {short_list(faces)}: {then} instead of {now}", markup=False)
    if kept is not None and kept.plan.onward is not None and answer.value.plan is not None:
        console.print(AS_FROM_THE_START, markup=False)
    return answer.finished


AS_FROM_THE_START = "Reckoned for the whole job, finished faces as they are; what is bought already is not taken off."
"""Said with a plan that goes on: what it compares."""


def tell_replan(path: Path, run: Run, out: Path | None = None) -> bool:
    """Plan what is left and print it; with a folder, write it and keep it as the plan; False where it was stopped."""
    text, job, kept = read_text(path), load(path), followed_plan(path)
    if not job.log.entries:
        raise InputError("Nothing is logged yet.", where=("log",), hint="Write hours with snugbay log first.")
    console = screen()
    for change in changes_since(kept, text):
        console.print(f"Changed since the plan was printed: {change.text}", markup=False)
    answer = replanned(kept.plan, job, run)
    plan = answer.value
    for line in rest_lines(plan, kept.plan):
        console.print(line, markup=False)
    for line in warnings(plan.findings, writer_of(job)):
        console.print(line, markup=False)
    if out is None:
        console.print("Nothing was written: with --out FOLDER this becomes the plan that is followed.", markup=False)
    elif answer.finished:
        put_in_place(path, text, out, plan, run.progress)
        console.print(
            f"The new plan is in {out}/ and kept in {snapshot_path(path)}: follow it from here.", markup=False
        )
    else:
        console.print("Stopped: nothing was written, the plan that you follow stands.", markup=False)
    return answer.finished


def rest_lines(plan: JobPlan, before: JobPlan) -> Iterator[str]:
    """Say what a plan for the rest holds, and what is new in it against the plan before."""
    past = plan.onward
    if past is None:
        return
    left, currency = past.choice, plan.job.place.currency
    yield left.text
    yield (
        f"Spent and not counted: {left.sunk_hours:.0f} h and {money(left.sunk_cash, currency)}. "
        f"Left: {left.hours_left.p50:.0f} h (8 in 10 chances {left.hours_left.p10:.0f} to {left.hours_left.p90:.0f}) "
        f"and {money(sum(b.total for b in plan.buying), currency)}. Proved: gap {left.gap:.1e}."
    )
    yield from _ways(plan, past)
    yield from _sheets(plan, past)
    yield from _news(plan, before, past)
    yield from _buys(plan, past)


def _ways(plan: JobPlan, past: Onward) -> Iterator[str]:
    """Say what to do with the rest, face by face."""
    done = dict(past.choice.done)
    yield "The rest, face by face:"
    for face, way in plan.weighing.plan.ways:
        share = done.get(face, 0.0)
        said = "leave as found" if way == AS_FOUND else way_name(plan.weighing, way)
        if share >= 1.0 - 1e-9:
            said = "done"
        elif share > 0:
            said = f"{share:.0%} done; the rest: {said}"
        yield f"  {face} {plan.job.face(face).title}: {said}"
    hours = [h for h in past.choice.hours if h.typical > 0.05]
    if hours:
        yield "Hours left: " + ", ".join(f"{h.element} {h.typical:.1f}" for h in hours) + "."


def _sheets(plan: JobPlan, past: Onward) -> Iterator[str]:
    """Say which pieces are still to be cut, and from what."""
    to_cut = {p.id for p in plan.pieces.pieces} - set(past.cut)
    if not to_cut:
        yield "No board is left to cut."
        return
    names = {b.key: b.name for b in boards()}
    more = {s.material: s.more for s in past.supplies}
    again = "laid again, numbers run on" if past.relaid else "the sheets stay as they were"
    yield f"Boards still to cut: {len(to_cut)}; {again}."
    for sheet in plan.sheets.sheets:
        own = [p.piece for p in sheet.placements if p.piece in to_cut]
        if own:
            source = "to be bought" if sheet.source == "new" and more.get(sheet.material) else "in the house"
            source = source if sheet.source in WHOLE else sheet.source
            source = "begun" if sheet.number in past.begun else source
            yield f"  sheet {sheet.number} ({names[sheet.material]}, {source}): {', '.join(own)}"


def _news(plan: JobPlan, before: JobPlan, past: Onward) -> Iterator[str]:
    """Say what is new against the plan before: faces, pieces, sheets."""
    for face, was, now in past.ways:
        yield f"Changed: {face} had {_way(before, was)}, now {_way(plan, now)}."
    if past.new:
        yield f"New pieces: {short_list(list(past.new))}."
    if past.gone:
        yield f"Gone, not to be cut: {short_list(list(past.gone))}."
    if past.dropped:
        yield f"Drawings to throw away: sheets {short_list([str(n) for n in past.dropped])}."
    if past.cut:
        yield f"Cut already, their names stay: {short_list(list(past.cut))}."


def _way(plan: JobPlan, way: str) -> str:
    return "nothing" if way == AS_FOUND else way_name(plan.weighing, way)


def _buys(plan: JobPlan, past: Onward) -> Iterator[str]:
    """Say what to buy still, and which whole sheets stay over."""
    currency = plan.job.place.currency
    still = [b for b in plan.buying if b.units]
    yield "To buy still:" if still else "Nothing more to buy."
    for b in still:
        yield f"  {b.units} {b.unit} {b.name}, {money(b.total, currency)}"
    names = {b.key: b.name for b in boards()}
    for supply in past.supplies:
        if supply.over:
            yield f"  {supply.over} of {supply.had} sheets of {names[supply.material]} stay over"
    items = {b.item: b.name for b in plan.buying}
    for item, units, back in past.choice.returned:
        yield f"  {units} {items.get(item, item)} may go back to the shop: about {money(back, currency)} (assumption)"
