"""Findings: what the user must know although work goes on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType

from snugbay.base.errors import Where


class Weight(StrEnum):
    """How much a finding matters."""

    NOTE = "note"
    WARN = "warn"
    STOP = "stop"


@dataclass(frozen=True)
class Finding:
    """Something found on the way.

    Attributes
    ----------
    code : str
        Stable short name, ``"survey.suspect"``.
    text : str
        Plain sentence for the user, units of the text stated in it.
    weight : Weight
        Note, warn or stop.
    where : Where
        Place in the user's file it concerns.
    source : str
        Id of the source behind it, empty where it is the tool's own reckoning.
    numbers : Mapping[str, float]
        The figures behind the sentence, SI unless the key says otherwise.
    """

    code: str
    text: str
    weight: Weight = Weight.NOTE
    where: Where = ()
    source: str = ""
    numbers: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))

    def __reduce__(self) -> tuple[object, ...]:
        """Pickle with a plain dict for the numbers (mapping proxies do not pickle)."""
        return (_finding, (self.code, self.text, self.weight, self.where, self.source, dict(self.numbers)))


def _finding(code: str, text: str, weight: Weight, where: Where, source: str, numbers: dict[str, float]) -> Finding:
    return Finding(code, text, weight, where, source, numbers)
