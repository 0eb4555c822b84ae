"""Random small spaces through cutting, proof, layout and drawings: what breaks. Run by hand:

    python -m bench.draw_spaces [count] [first seed]

Prints each space that breaks with its seed; a space that breaks becomes a test in `tests/draw/test_spaces.py`.
"""

from __future__ import annotations

import sys
import time
import traceback
from collections import Counter

import numpy as np
from tests.draw.spaces import REFUSED, drawn, random_space


def main(count: int, first: int) -> None:
    found: Counter[str] = Counter()
    start = time.process_time()
    for seed in range(first, first + count):
        try:
            found["boards"] += drawn(random_space(np.random.default_rng(seed)))
            found["drawn"] += 1
        except REFUSED as error:
            found[f"refused: {type(error).__name__}"] += 1
        except Exception as error:  # the study looks for any fault at all
            found["broken"] += 1
            where = traceback.extract_tb(error.__traceback__)[-1]
            print(
                f"seed {seed}: {type(error).__name__}: {str(error)[:160]} ({where.filename}:{where.lineno})", flush=True
            )
    print(f"{count} spaces, {time.process_time() - start:.0f} s of processor: {dict(found)}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200, int(sys.argv[2]) if len(sys.argv) > 2 else 1)
