"""Random spaces of any kind whose numbers can be: for tests of every room."""

from __future__ import annotations

import math
from collections.abc import Mapping
from random import Random

from hypothesis import strategies as st

from snugbay.base import InputError
from snugbay.job.outlines import Taped
from snugbay.job.space import Kind, Space, kind_names, kind_of
from snugbay.job.space.expand import solid_of
from snugbay.job.space.kinds import Number

ZONES = {"inside": True, "outside": False, "ground": False}
"""Whether a zone is warmer than a space."""


def usual_value(number: Number, share: float) -> float:
    """Return a value of a number in its usual range, a tenth of it at each end left out; counts whole."""
    low, high = number.usual
    value = low + (0.1 + 0.8 * share) * (high - low)
    return float(round(value)) if number.unit == "count" else value


def numbers_from(kind: Kind, shares: Mapping[str, float], given: frozenset[str]) -> dict[str, float] | None:
    """Return numbers for a kind, None where they make no body."""
    out = {n.name: usual_value(n, shares[n.name]) for n in kind.numbers if n.main or n.name in given}
    try:
        solid = solid_of(kind, {n.name: out.get(n.name, n.guess) for n in kind.numbers})
    except InputError:
        return None
    sides = (math.dist(solid.at[f.loop[i - 1]], solid.at[f.loop[i]]) for f in solid.faces for i in range(len(f.loop)))
    return out if min(sides) > 0.04 else None


def space_from(kind: Kind, numbers: Mapping[str, float]) -> Space:
    """Return a space with these numbers read, all else as the kind says."""
    zone = "inside" if kind.zone == "inside" else "s"
    return Space("s", kind.title, kind, {k: Taped(v) for k, v in numbers.items()}, zone=zone, warm=ZONES)


def spaces(names: tuple[str, ...] = ()) -> st.SearchStrategy[Space]:
    """Strategy: a space of any of the kinds named (all of them where none is), its numbers said or left out."""

    @st.composite
    def made(draw: st.DrawFn) -> Space:
        kind = kind_of(draw(st.sampled_from(names or kind_names())))
        given = frozenset(draw(st.sets(st.sampled_from([n.name for n in kind.numbers]))))
        shares = {n.name: draw(st.floats(0.0, 1.0)) for n in kind.numbers}
        numbers = numbers_from(kind, shares, given)
        if numbers is None:
            numbers = numbers_from(kind, {n.name: 0.4 for n in kind.numbers}, frozenset())
        assert numbers is not None
        return space_from(kind, numbers)

    return made()


def random_space(kind: Kind, rng: Random) -> Space:
    """Return a space with all numbers said, over their usual ranges."""
    for _ in range(200):
        shares = {n.name: rng.random() for n in kind.numbers}
        numbers = numbers_from(kind, shares, frozenset(n.name for n in kind.numbers if n.sigma > 0))
        if numbers is not None:
            return space_from(kind, numbers)
    raise AssertionError(f"no numbers make a {kind.name}")
