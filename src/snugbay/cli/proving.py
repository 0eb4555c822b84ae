"""The command `prove`."""

from __future__ import annotations

from pathlib import Path

from snugbay.base import Run
from snugbay.cli.loading import load
from snugbay.cli.telling import screen
from snugbay.document.answers import prove_answer, to_json
from snugbay.flow import proved
from snugbay.prove import Interval


def prove_job(path: Path, as_json: bool, run: Run) -> bool:
    """Prove a job and print it; return False where it was stopped."""
    job = load(path)
    answer = proved(job, run)
    if as_json:
        print(to_json(prove_answer(job, answer.value, answer.findings)), end="")
        return answer.finished
    console = screen()
    value = answer.value
    console.print(value.forecast.text, markup=False)
    for factor in value.learned:
        console.print(f"{factor.element}: {_times(factor.factor)} the plan's rate ({factor.entries} entries).")
    if value.replan is not None:
        console.print(value.replan.text, markup=False)
    for face in value.faces:
        console.print(f"{face.face} {face.title}, {face.when}: {face.text}", markup=False)
    for seam in value.seams:
        console.print(f"cold seam {seam.face} {seam.spot}: {seam.text}", markup=False)
    for finding in answer.findings:
        console.print(f"{finding.weight.value}: {finding.text}", markup=False)
    if value.to_read:
        console.print("To read:")
        for item in value.to_read:
            console.print(f"  - {item.what}, {item.where}, {item.when}: {item.why}", markup=False)
    return answer.finished


def _times(interval: Interval) -> str:
    return f"{interval.median:.2f} times (8 in 10 chances {interval.low80:.2f} to {interval.high80:.2f})"
