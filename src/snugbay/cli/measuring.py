"""The command `measure`."""

from __future__ import annotations

from pathlib import Path

from rich.box import SIMPLE
from rich.console import Console
from rich.table import Table

from snugbay.base import InputError, Run
from snugbay.cli.app import check_file, write_file
from snugbay.cli.loading import load
from snugbay.cli.telling import screen
from snugbay.document.answers import measure_answer, to_json
from snugbay.flow import measured
from snugbay.job import Job, ReadingKind
from snugbay.survey import AdjustedReading, Survey
from snugbay.tape import tape_for
from snugbay.words import Writer, writer_of

TOLD = ("survey.suspect", "survey.loop")
"""Findings that the summary has told already."""


def measure(path: Path, as_json: bool, sketches: Path | None) -> None:
    """Adjust a job's readings and print them."""
    job = load(path)
    answer = measured(job, Run())
    if sketches is not None:
        _sketches(job, answer.value, sketches)
    if as_json:
        print(to_json(measure_answer(job, answer.value, answer.findings)), end="")
        return
    console = screen()
    writer = writer_of(job)
    console.print(_faces(job, answer.value, writer))
    _words(console, answer.value, writer)
    for finding in answer.findings:
        if finding.code not in TOLD:
            console.print(f"{finding.weight.value}: {writer.finding(finding)}", markup=False)


def _size(survey: Survey, face_id: str, writer: Writer) -> str:
    points = survey.face(face_id).points
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return f"{writer.length(max(xs) - min(xs))} x {writer.length(max(ys) - min(ys))}"


def _faces(job: Job, survey: Survey, writer: Writer) -> Table:
    table = Table(title=f"{job.title}: faces as adjusted", title_justify="left", box=SIMPLE)
    for head in ("face", "what", "size", "area", "readings", "checked", "largest change"):
        table.add_column(head)
    for face in survey.faces:
        checked = sum(r.redundancy > 0.01 for r in face.readings)
        lengths = [r for r in face.readings if r.reading.kind not in (ReadingKind.ANGLE, ReadingKind.LEAN)]
        table.add_row(
            face.id,
            job.face(face.id).title,
            _size(survey, face.id, writer),
            writer.area(face.area),
            str(len(face.readings)),
            str(checked),
            _change(lengths, writer),
        )
    return table


def _change(readings: list[AdjustedReading], writer: Writer) -> str:
    if not readings:
        return ""
    worst = max(readings, key=lambda r: abs(r.residual))
    if abs(worst.residual) <= 5e-5:
        return "none"
    return f"{writer.length(abs(worst.residual))} at {worst.reading.name}"


def _words(console: Console, survey: Survey, writer: Writer) -> None:
    passed = "hangs together" if survey.chi2 <= survey.chi2_limit else "does NOT hang together"
    if survey.suspects and survey.chi2 <= survey.chi2_limit:
        passed = "as a whole stays within its limit, but single readings stand out"
    console.print(
        f"The survey {passed}: weighted squares {survey.chi2:.1f}, limit {survey.chi2_limit:.1f} "
        f"({survey.freedom} checks, {survey.significance:.0%} test)."
    )
    for suspect in survey.suspects:
        console.print(f"SUSPECT {writer.said(suspect.said)}", markup=False)
    if not survey.suspects:
        console.print("No reading is suspect.")
    loops = [j for j in survey.joins if j.closing_error > 0]
    if loops:
        worst = max(loops, key=lambda j: j.closing_error)
        console.print(
            f"Loops of faces: {len(loops)}; "
            f"the worst closes within {writer.length(worst.closing_error)} ({worst.name})."
        )


def _sketches(job: Job, survey: Survey, folder: Path) -> None:
    from snugbay.draw import face_sketch, to_svg

    fmt = tape_for(job.units).text
    for face in survey.faces:
        write_file(folder / f"{face.id}.svg", to_svg(face_sketch(job, survey, face.id, fmt)).encode())


def blank_sheets(kinds: list[str], out: Path | None, units: str) -> None:
    """Write empty field sheets."""
    from snugbay.booklet import field_sheet_pdf

    if units not in ("ft-in", "mm"):
        raise InputError(f"{units!r} are no units.", hint="Write --units ft-in or --units mm.")
    if out is None:
        raise InputError("A field sheet is a PDF.", hint="Name it with --out sheet.pdf.")
    check_file(out, begins=b"%PDF")
    write_file(out, field_sheet_pdf(kinds, units))
    print(f"Wrote {out}.")
