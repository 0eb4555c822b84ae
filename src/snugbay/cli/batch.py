"""The command `many`."""

from __future__ import annotations

import sys
from pathlib import Path

from snugbay.base import Effort, InputError
from snugbay.cli.app import read_text, write_file
from snugbay.cli.telling import error_lines
from snugbay.cli.weighing import money
from snugbay.document import located
from snugbay.document.files import plan_files
from snugbay.many import Request, plan_many


def plan_files_of(jobs: list[Path], out: Path, workers: int, seed: int, effort: Effort) -> bool:
    """Plan many jobs and write their files; return False where any job had a fault."""
    folders = [out / path.stem for path in jobs]
    if len(set(folders)) != len(folders):
        raise InputError("Two jobs would write to the same folder.", hint="Give the files different names.")
    texts = {str(path): read_text(path) for path in jobs}
    requests = [Request(name, text) for name, text in texts.items()]
    good = True
    for answer, folder in zip(plan_many(requests, seed, effort, workers), folders, strict=True):
        if answer.plan is None:
            good = False
            error = answer.error and located(answer.error, texts[answer.name])
            for line in error_lines(error, Path(answer.name)) if error else []:
                print(line, file=sys.stderr)
            continue
        for name, content in plan_files(answer.plan, effort.value):
            write_file(folder / name, content)
        point = answer.plan.weighing.plan
        currency = answer.plan.job.place.currency
        print(f"{answer.name}: {money(point.cash, currency)}, {point.hours:.0f} h; wrote {folder}/")
    return good
