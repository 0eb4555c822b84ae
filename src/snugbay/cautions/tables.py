"""Read the gates and rules."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from snugbay.base import Weight


@dataclass(frozen=True)
class Row:
    """One row of the tables.

    Attributes
    ----------
    code, trigger : str
        Name, and the hazard or rule that brings it up.
    weight, title, text, clears, protection, source, status
        As in `Caution`.
    """

    code: str
    trigger: str
    weight: Weight
    title: str
    text: str
    clears: str
    protection: tuple[str, ...]
    source: str
    status: str


def _row(data: Mapping[str, Any], code: str, trigger: str, weight: str) -> Row:
    return Row(
        code,
        trigger,
        Weight(data.get("weight", weight)),
        data["title"],
        data["text"],
        data.get("clears", ""),
        tuple(data.get("protection", ())),
        data["source"],
        data["status"],
    )


def _load(name: str) -> dict[str, Any]:
    return tomllib.loads(files("snugbay").joinpath("data", "cautions", name).read_text(encoding="utf-8"))


@cache
def gates() -> tuple[Row, ...]:
    """Return the look-round gates, one for each hazard."""
    rows = _load("gates.toml")["gate"]
    return tuple(_row(r, "gate-" + r["hazard"].replace(" ", "-"), r["hazard"], "stop") for r in rows)


@cache
def rules() -> tuple[Row, ...]:
    """Return the cautions that the plan itself brings up."""
    return tuple(_row(r, r["code"], r["trigger"], "warn") for r in _load("rules.toml")["caution"])
