"""Three years of a build-up as plans are judged by them: against the usual step, and against a case that is known.

    python bench/judged.py

The reference is the same march with the step that its own tests hold to closed solutions.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import partial

from snugbay.physics import transient
from snugbay.weigh import lasting
from snugbay.weigh.lasting import OUTDOORS, Case, judged

STACKS = {
    "board on a rim": (("polyiso", 0.051), ("softwood", 0.038)),
    "batts against a deck": (("gypsum", 0.0125), ("mineral-batt", 0.14), ("board-sheathing", 0.02), ("slate", 0.006)),
    "two boards on studs": (("gypsum", 0.0125), ("air", 0.089), ("polyiso", 0.1), ("polyiso", 0.1)),
}


def processor_seconds(work: Callable[[], object]) -> float:
    """Processor time of one call. [s]"""
    start = time.process_time()
    work()
    return time.process_time() - start


def main() -> None:
    """Print both ratios for each stack."""
    for name, layers in STACKS.items():
        case = Case(layers, True, "open", OUTDOORS, "Minneapolis, MN", (), 20.0, 3)
        outside, indoor = lasting._airs(case)
        built = lasting._build_up(case)
        judged(case)  # compiled and read
        usual = processor_seconds(partial(transient.judge_three_years, built, outside, indoor=indoor))
        judged.cache_clear()
        new = processor_seconds(partial(judged, case))
        known = processor_seconds(partial(judged, case))
        print(f"{name}: {new:.2f} s, {new / usual:.2f} of the usual step's; known: {known / new:.1e} of that")


if __name__ == "__main__":
    main()
