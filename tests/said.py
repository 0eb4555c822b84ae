"""What findings and phrases say, for tests that look at the words."""

from __future__ import annotations

from snugbay.base import Finding, Told
from snugbay.survey import JoinCheck, Suspect, Unchecked
from snugbay.words import Writer


def said(what: Finding | Suspect | Unchecked | JoinCheck | Told, units: str = "mm") -> str:
    """Return the words of a finding or a phrase in one system of units."""
    writer = Writer(units)
    if isinstance(what, Finding):
        return writer.finding(what)
    if isinstance(what, (Suspect, Unchecked, JoinCheck)):
        return writer.told(what.said)
    return writer.told(what)
