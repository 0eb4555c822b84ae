"""The layout engine on lists of pieces, beside an optional peer.

    python bench/sheets_lay.py [--seconds S] [--no-peer] LISTS.json ...

Without files, the three in tests/sheets/data. Each list is laid with the work of S seconds (10 unless said) and no
clock, so that a busy machine changes nothing; every layout is checked by `tests/sheets/nest/checker.py`, which shares
no code with the engine. Printed are the sheets, the least there can be by area (or the known optimum), the sheets but
the last plus the share of the last that is used ("filled": it tells apart what whole sheets do not), and the
processor's time.

The peer is spyrrow (MIT), where it is installed: a strip of the sheet's width and any length, as short as it gets in S
seconds by the clock on one core. A strip has no ends of sheets to mind, so a layout needs more than its length.

With --hold it fails where more sheets are needed than may be: 2 in a hundred over the known optimum in a file whose
optima are known, 64 on the six trade lists in quarter turns and 64 at any angle.

How the time grows with the number of pieces: bench/sheets_growth.py. What cannot be reached: bench/sheets_bound.py.
"""

import argparse
import json
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from tests.sheets.nest.checker import DATA, faults

from snugbay.base import Run
from snugbay.sheets import Budget, Instance, Layout, instances_from_json, lay
from snugbay.sheets.nest.instance import area
from snugbay.sheets.nest.lay import warm

try:
    import spyrrow
except ImportError:
    spyrrow = None


def filled(instance: Instance, layout: Layout) -> float:
    """Sheets but the emptiest, and the share of that which is used."""
    used = sorted(sum(area(instance.pieces[p.piece]) for p in sheet.laid) for sheet in layout.sheets)
    return len(used) - 1 + used[0] / instance.sheet.area


def strip(instance: Instance, seconds: float) -> float:
    """Sheets' worth of strip that the peer needs."""
    turns = None if instance.free else list(instance.rotations)
    items = [
        spyrrow.Item(str(n), [*outline, outline[0]], demand=1, allowed_orientations=turns)
        for n, outline in enumerate(instance.pieces)
    ]
    task = spyrrow.StripPackingInstance(instance.name, strip_height=instance.sheet.width, items=items)
    config = spyrrow.StripPackingConfig(
        early_termination=False,
        total_computation_time=max(1, round(seconds)),
        num_workers=1,
        seed=0,
        min_items_separation=instance.kerf or None,
    )
    return float(task.solve(config).width) / instance.sheet.height


MOST_OVER = 0.02
"""Part by which the sheets of a file may exceed its known optima."""
MOST_TRADE = 64 + 64
"""Sheets that the trade lists may need, in quarter turns and at any angle together."""


def run(path: Path, seconds: float, peer: bool, hold: bool) -> bool:
    """Lay all lists of a file; False where a layout is not valid, or where it needs too many sheets and must not."""
    budget = Budget(Budget.of_seconds(seconds).work)
    sheets = least = wrong = 0
    more, strips = 0.0, 0.0
    instances = instances_from_json(json.loads(path.read_text()))
    known_all = all(i.optimum is not None for i in instances)
    for instance in instances:
        start = time.process_time()
        layout = lay(instance, budget, Run(seed=0)).value
        took = time.process_time() - start
        bad = faults(instance, layout)
        known = instance.optimum if instance.optimum is not None else layout.lower_bound
        sheets += len(layout.sheets)
        least += known
        more += filled(instance, layout)
        wrong += bool(bad)
        word = "" if not bad else f"  NOT VALID: {bad[0]}"
        line = f"{instance.name:24s} {len(instance.pieces):4d} pieces  {len(layout.sheets):3d} sheets  least {known:3d}"
        line += f"  filled {filled(instance, layout):7.3f}  {took:5.1f} s of processor{word}"
        if peer:
            length = strip(instance, seconds)
            strips += length
            line += f"  peer's strip {length:7.3f}"
        print(line, flush=True)
    line = f"{path.name}: {len(instances)} lists, {sheets} sheets, least {least}, filled {more:.3f}, not valid {wrong}"
    print(line + (f", peer's strips {strips:.3f}" if peer else ""))
    most = (1 + MOST_OVER) * least if known_all else MOST_TRADE
    if hold and sheets > most:
        print(f"{path.name}: more than {most:.1f} sheets")
    return not wrong and not (hold and sheets > most)


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("lists", nargs="*", type=Path)
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--no-peer", action="store_true")
    parser.add_argument("--hold", action="store_true", help="fail where more sheets are needed than may be")
    chosen = parser.parse_args()
    peer = spyrrow is not None and not chosen.no_peer
    if spyrrow is None:
        print("spyrrow is not installed: no peer")
    warm()
    files = chosen.lists or [DATA / f"{name}-dev.json" for name in ("trade", "nonconvex", "convex")]
    valid = [run(path, chosen.seconds, peer, chosen.hold) for path in files]
    sys.exit(0 if all(valid) else 1)


if __name__ == "__main__":
    main()
