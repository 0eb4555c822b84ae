"""The command `lay`."""

from __future__ import annotations

import json
import sys
from pathlib import Path

from snugbay.base import InputError, Run
from snugbay.cli.app import read_text, write_file
from snugbay.sheets import Budget, Layout, instances_from_json, lay, solution_to_json


def lay_file(source: Path, out: Path, seconds: float, run: Run) -> bool:
    """Lay every instance of a file, writing after each; return False where it was stopped."""
    try:
        data = json.loads(read_text(source))
    except json.JSONDecodeError as error:
        raise InputError(f"The file is not JSON: {error.msg}.", line=error.lineno, hint="Look at this line.") from None
    instances = instances_from_json(data)
    layouts: list[Layout] = []
    finished = True
    total = 0
    for number, instance in enumerate(instances):
        part = run.within(instance.name, number / len(instances), (number + 1) / len(instances))
        answer = lay(instance, Budget.of_seconds(seconds), part)
        layouts.append(answer.value)
        write_file(out, (json.dumps(solution_to_json(layouts)) + "\n").encode())
        sheets = len(answer.value.sheets)
        total += sheets
        print(f"{instance.name}: {len(instance.pieces)} pieces on {sheets} sheets", flush=True)
        finished = finished and answer.finished
        if run.stop():
            finished = False
            break
    word = "" if finished else " (stopped: unfinished, the best so far)"
    print(f"{len(layouts)} of {len(instances)} lists, {total} sheets{word}; wrote {out}", file=sys.stderr)
    return finished
