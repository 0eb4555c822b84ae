"""Findings that say the same of several faces or pieces, said once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from snugbay.base import Fact, Finding
from snugbay.base.facts import (
    FaceRef,
    HeatFlux,
    Listed,
    Number,
    PieceRef,
    Range,
    RowRef,
    Span,
    Temperature,
    TemperatureDifference,
    figure,
)

MOST_NAMED = 6
"""Names that one sentence lists."""


def gathered(findings: Iterable[Finding], most: int = MOST_NAMED) -> tuple[Finding, ...]:
    """Return findings of one code as one, where they say the same of several readings, pieces or faces.

    Those about rows of a table may differ in their figures: the one that is left gives their least and greatest.
    """
    groups: dict[object, list[Finding]] = {}
    for finding in findings:
        groups.setdefault(_key(finding), []).append(finding)
    return tuple(_one(group, most) for group in groups.values())


def _ref(finding: Finding) -> str:
    """Return the name of the one row, or piece, or face of a finding; empty where there is none."""
    for kind in (RowRef, PieceRef, FaceRef):
        found = [name for name, fact in finding.facts if isinstance(fact, kind)]
        if len(found) == 1:
            return found[0]
    return ""


def _key(finding: Finding) -> object:
    ref = _ref(finding)
    if not ref:
        return finding.code, finding.weight, finding.facts
    rows = isinstance(finding.fact(ref), RowRef)
    rest = tuple(
        (name, type(fact) if rows and _measured(fact) else fact) for name, fact in finding.facts if name != ref
    )
    return finding.code, finding.weight, rest


def _measured(fact: Fact | None) -> bool:
    """Return whether a fact is a figure with a unit."""
    return isinstance(fact, (Temperature, TemperatureDifference, Span, HeatFlux, Number))


def _one(group: list[Finding], most: int) -> Finding:
    first, ref = group[0], _ref(group[0])
    refs: dict[Fact, None] = {fact: None for finding in group if ref and (fact := finding.fact(ref)) is not None}
    if len(refs) < 2:
        return first
    together = Listed(tuple(refs), "and", most)
    return replace(
        first,
        facts=tuple((name, together if name == ref else _over(group, name, fact)) for name, fact in first.facts),
    )


def _over(group: list[Finding], name: str, fact: Fact | None) -> Fact | None:
    """Return what a fact is over several findings: itself, or from its least to its greatest figure."""
    all_ = [one for finding in group if (one := finding.fact(name)) is not None]
    if not _measured(fact) or len(set(all_)) < 2:
        return fact
    return Range(min(all_, key=figure), max(all_, key=figure))
