"""Rates for cutting and fitting boards, from the bundled table."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from math import pi
from types import MappingProxyType

from snugbay.base import DataError, UnknownName
from snugbay.job import Tool

UNITS: Mapping[str, float] = MappingProxyType(
    {"in": 0.0254, "mm": 0.001, "m": 1.0, "m2": 1.0, "kg": 1.0, "1": 1.0, "%": 0.01, "deg": pi / 180}
)
"""SI value of one unit of the table."""

_TOOL_ROWS: Mapping[Tool, str] = MappingProxyType(
    {
        Tool.KNIFE: "cut_sigma_knife",
        Tool.RECIPROCATING: "cut_sigma_reciprocating",
        Tool.JIGSAW: "cut_sigma_jigsaw",
        Tool.HAND_SAW: "cut_sigma_hand_saw",
        Tool.CIRCULAR: "cut_sigma_circular",
    }
)


@dataclass(frozen=True)
class FitRate:
    """One row: low, typical and high in SI, with its source.

    Attributes
    ----------
    id : str
        Name of the row.
    low, typical, high : float
        [m], [rad], [kg], [m²] or a share, by the row's unit.
    source, status, note : str
        Where it comes from and how far it can be trusted.
    """

    id: str
    low: float
    typical: float
    high: float
    source: str
    status: str
    note: str


def _table(name: str) -> Mapping[str, Mapping[str, object]]:
    text = files("snugbay").joinpath("data", "pieces", name).read_text(encoding="utf-8")
    return tomllib.loads(text)


@cache
def rates() -> Mapping[str, FitRate]:
    """Return every row of the table by its id.

    Raises
    ------
    DataError
        If a row is damaged: an unknown unit or source, or low, typical, high out of order.
    """
    sources = _table("sources.toml")
    found: dict[str, FitRate] = {}
    for key, row in _table("fit.toml").items():
        unit, source = str(row["unit"]), str(row["source"])
        if unit not in UNITS or source not in sources:
            raise DataError(f"Row {key} of the fitting table has an unknown unit or source.", where=("fit.toml", key))
        low, typical, high = (float(str(row[k])) * UNITS[unit] for k in ("low", "typical", "high"))
        if not low <= typical <= high:
            raise DataError(f"Row {key} of the fitting table is out of order.", where=("fit.toml", key))
        found[key] = FitRate(key, low, typical, high, source, str(row["status"]), str(row["note"]))
    return MappingProxyType(found)


def rate(key: str) -> FitRate:
    """Return one row; raise `UnknownName` where there is none."""
    try:
        return rates()[key]
    except KeyError:
        raise UnknownName(f"There is no fitting rate {key!r}.", hint="Rows: " + ", ".join(rates()) + ".") from None


def typical(key: str) -> float:
    """Return the typical value of a row, SI."""
    return rate(key).typical


def cut_sigma(tool: Tool) -> float:
    """Return the standard deviation of one edge cut with this tool. [m]"""
    return typical(_TOOL_ROWS[tool])
