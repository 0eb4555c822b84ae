"""Errors as text and exit status; progress as a bar on a terminal and nothing in a pipe."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

from snugbay.base import Problems, ProgressSink, SnugbayError, no_progress, place_text
from snugbay.base.characters import plain_line
from snugbay.words import writer_for

WRONG_INPUT = 2


def errors_of(error: SnugbayError) -> tuple[SnugbayError, ...]:
    """Return the single faults of an error."""
    return error.errors if isinstance(error, Problems) else (error,)


def error_lines(error: SnugbayError, file: Path | None) -> list[str]:
    """Return one line a fault: file, line, place, what is wrong, what to do."""
    lines = []
    for one in errors_of(error):
        head = str(file) if file is not None else ""
        if one.line is not None:
            head += f":{one.line}" if head else f"line {one.line}"
        place = place_text(one.where)
        writer = writer_for(one)
        hint = writer.hint(one)
        lines.append(": ".join(p for p in (head, place, writer.what(one)) if p) + (f" {hint}" if hint else ""))
    return lines


def tell_error(error: SnugbayError, file: Path | None, as_json: bool) -> None:
    """Print an error: plain lines on stderr, or one JSON object on stdout."""
    if as_json:
        faults = [
            {
                "code": e.code,
                "what": writer_for(e).what(e),
                "where": place_text(e.where),
                "line": e.line,
                "hint": writer_for(e).hint(e),
            }
            for e in errors_of(error)
        ]
        print(json.dumps({"error": {"file": str(file) if file else None, "faults": faults}}, indent=1))
        return
    for line in error_lines(error, file):
        print(plain_line(line), file=sys.stderr)


PIPE_WIDTH = 160
"""Width of tables that go into a pipe or a file. [characters]"""


def screen() -> Console:
    """Return the console for answers: as wide as the terminal, or wide where there is none."""
    return Console(highlight=False, width=None if sys.stdout.isatty() else PIPE_WIDTH)


@contextmanager
def progress_bar(quiet: bool = False) -> Iterator[ProgressSink]:
    """Give a progress sink: a bar on stderr when that is a terminal, silence otherwise."""
    if quiet or not sys.stderr.isatty():
        yield no_progress
        return
    columns = (TextColumn("{task.description:12}"), BarColumn(), TextColumn("{task.percentage:3.0f} %"))
    with Progress(*columns, TimeElapsedColumn(), console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("", total=1.0)

        def sink(stage: str, done: float) -> None:
            bar.update(task, description=stage, completed=done)

        yield sink
