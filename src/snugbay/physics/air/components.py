"""Leakage by component and by metre of joint."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache

from snugbay.base import OutOfRange, UnknownName
from snugbay.physics._num import Array, Real, not_negative, out
from snugbay.physics._tables import rows_of


@dataclass(frozen=True)
class LeakComponent:
    """A kind of leak.

    Attributes
    ----------
    item, unit : str
        Name, and what it is counted by: ``each``, ``m``, ``m2``.
    states : Mapping of str to float
        Effective leakage area at 4 Pa of one unit by state: ``typical``, ``tight``, others. [m²]
    source : str
        N1 seen, N2 from memory, A own assumption.
    what : str
        In words.
    """

    item: str
    unit: str
    states: Mapping[str, float]
    source: str
    what: str


@cache
def leakage_components() -> dict[str, LeakComponent]:
    """All kinds of leaks by name (NIST leakage-data library; former ASHRAE table; own assumptions, as marked)."""
    table = {}
    for r in rows_of("physics", "leaks.csv"):
        states = {"typical": float(r["typical_cm2"]) * 1e-4}
        if r["tight_cm2"]:
            states["tight"] = float(r["tight_cm2"]) * 1e-4
        if r["other_state"]:
            states[r["other_state"]] = float(r["other_cm2"]) * 1e-4
        table[r["item"]] = LeakComponent(r["item"], r["unit"], states, r["source"], r["what"])
    return table


def leakage_of(item: str, count: Real = 1.0, state: str = "typical") -> Array:
    """Effective leakage area at 4 Pa of a number, length or area of one kind of leak.

    Parameters
    ----------
    item : str
        Name in `leakage_components`.
    count : float or array
        Number, metres or square metres by the item's unit.
    state : str
        ``typical``, ``tight`` or another state of the item.

    Returns
    -------
    array
        [m²]

    Raises
    ------
    UnknownName
        If there is no such item; the hint lists close names.
    OutOfRange
        If the item has no figure for the state.
    """
    table = leakage_components()
    if item not in table:
        close = get_close_matches(item, list(table), n=3, cutoff=0.5)
        raise UnknownName(f"There is no leak called {item!r}.", hint=f"Near it: {', '.join(close or sorted(table))}.")
    states = table[item].states
    if state not in states:
        raise OutOfRange(f"{item!r} has no figure for {state!r}.", hint=f"It has {', '.join(states)}.")
    return out(states[state] * not_negative("A count", count))


def total_leakage(items: Mapping[str, Real], state: str = "typical") -> Array:
    """Sum of leakage areas of counted items in one state. [m²] See `leakage_of`."""
    return out(sum((leakage_of(item, count, state) for item, count in items.items()), start=0.0))
