"""Short lists of faces: ``R1-01 to R1-22, K1``."""

from __future__ import annotations

import re
from collections.abc import Sequence

_NUMBERED = re.compile(r"^(.*?)(\d+)$")


def short_list(names: Sequence[str], fewest: int = 3) -> str:
    """Return names joined by commas, runs of consecutive numbers as ``first to last``.

    Parameters
    ----------
    names : sequence of str
        Face ids or piece labels, in order.
    fewest : int
        Shortest run that is drawn together.
    """
    parts: list[str] = []
    run: list[str] = []
    for name in [*names, ""]:
        if run and _follows(run[-1], name):
            run.append(name)
            continue
        parts += [f"{run[0]} to {run[-1]}"] if len(run) >= fewest else run
        run = [name] if name else []
    return ", ".join(parts)


def _follows(one: str, two: str) -> bool:
    a, b = _NUMBERED.match(one), _NUMBERED.match(two)
    return bool(a and b and a[1] == b[1] and int(a[2]) + 1 == int(b[2]))
