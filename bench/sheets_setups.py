"""What hands have to do at the bench: set-ups, drawings, cuts that stop, on the trade lists and the example households.

    python bench/sheets_setups.py [--lists NAME ...] [--examples NAME ...]

Each trade list is cut from 4 x 8 ft boards with a knife and a tape in sixteenths at quick effort, each example as its
household would. Printed are sheets, cuts, straightedge set-ups, drawings (the sheet and every part that is cut again),
the most cuts and inside marks on one of them, cuts that end within the board, hours, and the processor's time. Without
names: the four shorter trade lists and the four examples. To compare with another state of the program, run this file
with that state's `src` on PYTHONPATH.
"""

import argparse
import json
import time
from collections import Counter
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from snugbay.base import Effort, Run
from snugbay.document import EXAMPLES, example, read
from snugbay.flow import whole
from snugbay.job import Stock, Tool
from snugbay.materials import Rates, board
from snugbay.pieces import Edge, EdgeKind, Piece
from snugbay.sheets import SheetPlan, plan_sheets
from snugbay.tape import Tape

DATA = Path(__file__).parent.parent / "tests" / "sheets" / "data" / "trade-dev.json"
INCH = 0.0254
BOARD = "polyiso-2in"
SHORT = 4


def of_list(row: dict[str, Any]) -> SheetPlan:
    """Cut the boards of a trade list."""
    pieces = tuple(
        Piece(
            f"P{n}",
            "P",
            1,
            BOARD,
            board(BOARD).thickness,
            tuple((x * INCH, y * INCH) for x, y in outline),
            tuple(Edge(EdgeKind.ROUGH) for _ in outline),
        )
        for n, outline in enumerate(row["pieces"])
    )
    return plan_sheets(pieces, Stock(), (Tool.KNIFE,), Rates(), Tape("in", 16), Run(0, Effort.QUICK)).value


def of_example(name: str) -> SheetPlan:
    """Cut the boards of an example household, as its plan does."""
    job, run = read(example(name)), Run(0, Effort.QUICK)
    taped, weighing = whole.weighed(job, run).value
    return whole.cut(job, taped, weighing, run).value[1]


def line(plan: SheetPlan) -> str:
    """Say what there is to do."""
    cuts = [(s.number, c) for s in plan.sheets for c in s.cuts]
    drawings = Counter((sheet, c.blank) for sheet, c in cuts)
    blanks = {(sheet, c.number): c.blank for sheet, c in cuts}
    inside = Counter((s.number, blanks[s.number, m.cut]) for s in plan.sheets for m in s.marks if m.edge == "inside")
    kinds = Counter(c.kind for _, c in cuts)
    return (
        f"{len(plan.sheets):3d} sheets {len(cuts):4d} cuts {plan.set_ups:4d} set-ups {len(drawings):4d} drawings, "
        f"at most {max(drawings.values(), default=0):3d} cuts {max(inside.values(), default=0):3d} marks inside; "
        f"{kinds['stopped']:3d} stopped {kinds['plunge']:3d} plunge {plan.minutes / 60:5.1f} h"
    )


def main() -> None:
    parser = argparse.ArgumentParser()
    rows = [row for row in json.loads(DATA.read_text()) if not row["name"].endswith("free")]
    parser.add_argument("--lists", nargs="*", default=[row["name"] for row in rows[:SHORT]])
    parser.add_argument("--examples", nargs="*", default=list(EXAMPLES))
    chosen = parser.parse_args()
    makers: list[tuple[str, Callable[[], SheetPlan]]] = []
    makers += [(row["name"], partial(of_list, row)) for row in rows if row["name"] in chosen.lists]
    makers += [(name, partial(of_example, name)) for name in chosen.examples]
    for name, make in makers:
        start = time.process_time()
        print(f"{name:18s} {line(make())}  {time.process_time() - start:5.1f} s of processor", flush=True)


if __name__ == "__main__":
    main()
