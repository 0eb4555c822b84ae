"""The command `many`."""

from __future__ import annotations

import sys
from pathlib import Path

from snugbay.base import Effort, InputError, SnugbayError, no_progress
from snugbay.cli.app import read_text
from snugbay.cli.planning import check_unbegun, put_in_place
from snugbay.cli.telling import error_lines
from snugbay.cli.weighing import money
from snugbay.disk import check_place, text_beside
from snugbay.document import located, read
from snugbay.document.beside import with_files
from snugbay.many import Request, plan_many


def plan_files_of(jobs: list[Path], out: Path, workers: int, seed: int, effort: Effort) -> bool:
    """Plan many jobs and write their files; return False where any job had a fault."""
    folders = {str(path): out / path.stem for path in jobs}
    if len(set(folders.values())) != len(jobs):
        raise InputError("Two jobs would write to the same folder.", hint="Give the files different names.")
    requests: list[Request] = []
    good = True
    for path in jobs:
        try:
            requests.append(request_of(path))
            check_place(folders[str(path)])
        except SnugbayError as error:
            good = False
            _tell(error, path)
    texts = {r.name: r.text for r in requests}
    for answer in plan_many(requests, seed, effort, workers):
        if answer.plan is None:
            good = False
            if answer.error is not None:
                _tell(located(answer.error, texts[answer.name]), Path(answer.name))
            continue
        folder = folders[answer.name]
        try:
            put_in_place(Path(answer.name), texts[answer.name], folder, answer.plan, no_progress)
        except SnugbayError as error:
            good = False
            _tell(error, Path(answer.name))
            continue
        point, currency = answer.plan.weighing.plan, answer.plan.job.place.currency
        print(f"{answer.name}: {money(point.cash, currency)}, {point.hours:.0f} h; wrote {folder}/")
    return good


def _tell(error: SnugbayError, path: Path) -> None:
    for line in error_lines(error, path):
        print(line, file=sys.stderr)


def request_of(path: Path) -> Request:
    """Read a job's file and the files that it names; a document that is none is refused where it is planned."""
    text = read_text(path)
    beside: dict[str, str] = {}

    def text_of(name: str) -> str:
        beside[name] = text_beside(path.parent, name)
        return beside[name]

    try:
        job = read(text)
    except SnugbayError:
        return Request(str(path), text)
    try:
        check_unbegun(path, job)
        with_files(job, text_of)
    except SnugbayError as error:
        raise located(error, text) from None
    return Request(str(path), text, beside)
