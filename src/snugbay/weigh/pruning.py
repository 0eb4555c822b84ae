"""Options that need not be looked at: another of the same face beats or equals them in everything that counts."""

from __future__ import annotations

from collections.abc import Container, Sequence
from dataclasses import replace

import numpy as np

from snugbay.weigh.problem import FaceChoices, crew_of


def _dominated(a: int, b: int, f: FaceChoices) -> bool:
    """Tell whether option a of a face is no better than option b in anything."""
    first, second = f.options[a], f.options[b]
    if f.heat[b] > f.heat[a] or f.hours[b] > f.hours[a] or f.charge[b] > f.charge[a]:
        return False
    if (f.airtight[a] and not f.airtight[b]) or (f.deep[a] and not f.deep[b]):
        return False
    if not set(second.gear) <= set(first.gear) or not set(second.shared) <= set(first.shared):
        return False
    if crew_of(second) not in {"", crew_of(first)}:
        return False
    return all(amount <= f.needs[a].get(r, 0.0) for r, amount in f.needs[b].items())


def kept_of(f: FaceChoices, doubted: Container[str] = ()) -> list[int]:
    """Numbers of the options that no other option beats or equals in everything that counts.

    Parameters
    ----------
    f : FaceChoices
        The options.
    doubted : container of str
        Ways that may be ruled out later on: what they beat is kept.
    """
    keep = list(range(len(f.options)))
    for a in range(len(f.options) - 1, 0, -1):
        rivals = (b for b in keep if b != a and f.options[b].way not in doubted)
        if any(_dominated(a, b, f) and (not _dominated(b, a, f) or b < a) for b in rivals):
            keep.remove(a)
    return keep


def without_dominated(f: FaceChoices) -> FaceChoices:
    """Leave out options that another option beats or equals in everything that counts."""
    return picked(f, kept_of(f))


def picked(f: FaceChoices, keep: Sequence[int]) -> FaceChoices:
    """Keep only some options of a face."""
    index = np.asarray(keep, dtype=np.intp)
    return replace(
        f,
        options=tuple(f.options[i] for i in keep),
        heat=f.heat[index],
        hours=f.hours[index],
        charge=f.charge[index],
        needs=tuple(f.needs[i] for i in keep),
        airtight=f.airtight[index],
        deep=f.deep[index],
    )
