"""Rates and prices with low, typical, high; the user's own figures come before the table's."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from itertools import pairwise
from types import MappingProxyType

from snugbay.base import UnknownName
from snugbay.materials.tables import Row, number, rows

OWN = "your own figure"


@dataclass(frozen=True)
class Rate:
    """One rate or price.

    Attributes
    ----------
    id : str
        Dotted id, ``"time_model.cutting.cut_setup"``.
    low, typical, high : float
        In ``unit``.
    unit : str
        Unit as printed.
    source : str
        Source ids, comma-separated.
    status : str
        Seen in source text, from memory, assumption, derived, or the user's own figure.
    """

    id: str
    low: float
    typical: float
    high: float
    unit: str
    source: str
    status: str

    @property
    def mean(self) -> float:
        """Three-point mean (low + 4 typical + high) / 6. [unit]"""
        return (self.low + 4 * self.typical + self.high) / 6

    @property
    def deviation(self) -> float:
        """Three-point standard deviation (high - low) / 6. [unit]"""
        return (self.high - self.low) / 6

    @property
    def assumed(self) -> bool:
        """True where no source text was read for it; such figures say so on screen."""
        return not self.status.startswith(("seen", OWN))


def _rate(row: Row) -> Rate:
    typical = float(row["typical"])
    low, high = number(row, "low"), number(row, "high")
    return Rate(
        row["id"],
        typical if low is None else low,
        typical,
        typical if high is None else high,
        row["unit"],
        row["source"],
        row["status"],
    )


@cache
def _table() -> Mapping[str, Rate]:
    both = (*rows("trade/rates.csv"), *rows("ways/rates.csv"))
    return MappingProxyType({row["id"]: _rate(row) for row in both})


@dataclass(frozen=True)
class Rates:
    """The rates table with the user's own figures laid over it.

    Attributes
    ----------
    own : tuple of (str, float, float, float)
        Rate id, low, typical, high.
    """

    own: tuple[tuple[str, float, float, float], ...] = ()

    def __getitem__(self, rate_id: str) -> Rate:
        """Return a rate; raise `UnknownName` with close names otherwise."""
        table = _table()
        if rate_id not in table:
            close = get_close_matches(rate_id, table, n=3, cutoff=0.4)
            raise UnknownName(
                f"There is no rate {rate_id!r}.", hint="Close names: " + (", ".join(close) or "none") + "."
            )
        base = table[rate_id]
        for own_id, low, typical, high in self.own:
            if own_id == rate_id:
                return Rate(base.id, low, typical, high, base.unit, "", OWN)
        return base

    def ids(self) -> tuple[str, ...]:
        """Return all rate ids."""
        return tuple(_table())


@cache
def source_titles() -> Mapping[str, str]:
    """Return source id -> title."""
    return MappingProxyType({row["id"]: row["title"] for row in rows("trade/sources.csv")})


def headroom_factor(headroom: float) -> float | None:
    """Factor on the time spent inside the space for a working height.

    Parameters
    ----------
    headroom : float
        Working height. [m]

    Returns
    -------
    float or None
        Factor; None below the last row of the table: no board work there.

    Notes
    -----
    Straight lines between the rows of ``trade/headroom.csv`` [S01, curve assumed].
    """
    table = sorted((float(r["headroom_in"]) * 0.0254, float(r["factor"])) for r in rows("trade/headroom.csv"))
    if headroom < table[0][0] - 1e-9:
        return None
    for (h0, f0), (h1, f1) in pairwise(table):
        if headroom <= h1:
            return f0 + (f1 - f0) * (max(headroom, h0) - h0) / (h1 - h0)
    return table[-1][1]
