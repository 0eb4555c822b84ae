"""Findings that say the same of several faces or pieces, said once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from snugbay.base import Fact, Finding
from snugbay.base.facts import FaceRef, Listed, PieceRef

MOST_NAMED = 6
"""Names that one sentence lists."""


def gathered(findings: Iterable[Finding], most: int = MOST_NAMED) -> tuple[Finding, ...]:
    """Return findings of one code whose facts differ in one piece alone, or one face, as one that names them all."""
    groups: dict[object, list[Finding]] = {}
    for finding in findings:
        groups.setdefault(_key(finding), []).append(finding)
    return tuple(_one(group, most) for group in groups.values())


def _ref(finding: Finding) -> str:
    """Return the name of the one piece of a finding, or else of its one face; empty where neither is."""
    for kind in (PieceRef, FaceRef):
        found = [name for name, fact in finding.facts if isinstance(fact, kind)]
        if len(found) == 1:
            return found[0]
    return ""


def _key(finding: Finding) -> object:
    ref = _ref(finding)
    if not ref:
        return finding.code, finding.text, finding.where, finding.facts
    return finding.code, finding.weight, tuple((name, fact) for name, fact in finding.facts if name != ref)


def _one(group: list[Finding], most: int) -> Finding:
    first, ref = group[0], _ref(group[0])
    refs: dict[Fact, None] = {fact: None for finding in group if ref and (fact := finding.fact(ref)) is not None}
    if len(refs) < 2:
        return first
    together = Listed(tuple(refs), "and", most)
    return replace(first, facts=tuple((name, together if name == ref else fact) for name, fact in first.facts))
