"""Faces that are alike: a row of equal bays is one choice of how many get which way, not one choice for each bay."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from snugbay.weigh.problem import FaceChoices

Alike = tuple[int, ...]
"""Numbers of faces that are alike, in the job's order."""


def _all_that_counts(f: FaceChoices) -> Hashable:
    """All that a program knows of a face but its name."""
    options = tuple((o.way, o.group, o.gear, o.shared, o.minimum, o.charge > 0) for o in f.options)
    needs = tuple(tuple(sorted(n.items())) for n in f.needs)
    figures = tuple(a.tobytes() for a in (f.heat, f.hours, f.charge, f.airtight, f.deep))
    return f.pair, f.zones, f.must, options, needs, figures


def alike(faces: Sequence[FaceChoices], told_apart: Sequence[str] = ()) -> tuple[Alike, ...]:
    """Put together faces whose zones, options and every figure of them are equal to the last digit.

    Parameters
    ----------
    faces : sequence of FaceChoices
        Of a question.
    told_apart : sequence of str
        What else tells each face from the others; empty where nothing does.

    Returns
    -------
    tuple of tuple of int
        Numbers of the faces that are alike, in the order of the first of each.
    """
    found: dict[Hashable, list[int]] = {}
    for number, face in enumerate(faces):
        mark = told_apart[number] if told_apart else ""
        found.setdefault((mark, _all_that_counts(face)), []).append(number)
    return tuple(tuple(group) for group in found.values())


def shared_out(counts: NDArray[np.intp], group: Alike) -> Iterator[tuple[int, int]]:
    """Share out how many of a group get each option: face number and option number, first options to first faces."""
    return zip(group, np.repeat(np.arange(len(counts)), counts).tolist(), strict=True)
