"""The command `lay`."""

from __future__ import annotations

import json
import math
import sys
from pathlib import Path

from snugbay.base import Run
from snugbay.cli.app import check_file, read_text, write_file
from snugbay.disk import LARGEST_BESIDE
from snugbay.document.bounded import json_data
from snugbay.sheets import Budget, Layout, instances_from_json, lay, solution_to_json


def lay_file(source: Path, out: Path, seconds: float, run: Run) -> bool:
    """Lay every instance of a file, writing after each; return False where it was stopped."""
    data = json_data(read_text(source, LARGEST_BESIDE))
    check_file(out, begins=b"{")
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
        print(line_of(answer.value, len(instance.pieces)), flush=True)
        finished = finished and answer.finished
        if run.stop():
            finished = False
            break
    word = "" if finished else " (stopped: unfinished, the best so far)"
    print(f"{len(layouts)} of {len(instances)} lists, {total} sheets{word}; wrote {out}", file=sys.stderr)
    return finished


def line_of(layout: Layout, pieces: int) -> str:
    """What a person wants to know of a layout: sheets, the least there could be, the largest rectangle left over."""
    sheets = len(layout.sheets)
    _, _, wide, high = (math.floor(100.0 * v + 1e-6) / 100.0 for v in layout.leftover)
    least = "no layout needs fewer" if layout.ended == "bound" else f"at least {layout.lower_bound} needed by area"
    left = f"; left over on the last: {wide:.10g} x {high:.10g}" if wide > 0 and high > 0 else ""
    clock = "; the clock ended the search, a quieter machine may find better" if layout.ended == "clock" else ""
    return f"{layout.name}: {pieces} pieces on {sheets} {'sheet' if sheets == 1 else 'sheets'}, {least}{left}{clock}"
