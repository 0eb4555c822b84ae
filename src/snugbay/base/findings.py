"""Findings: what the user must know although work goes on."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from snugbay.base.errors import Where
from snugbay.base.facts import Fact, Facts, Said, figure


class Weight(StrEnum):
    """How much a finding matters."""

    NOTE = "note"
    WARN = "warn"
    STOP = "stop"


@dataclass(frozen=True)
class Finding:
    """Something found on the way: a code and its facts. `Finding.of` makes one; `snugbay.words` says it.

    Attributes
    ----------
    code : str
        Stable short name, ``"survey.suspect"``: the row of the table of words that says it.
    weight : Weight
        Note, warn or stop.
    where : Where
        Place in the user's file it concerns.
    source : str
        Id of the source behind it, empty where it is the tool's own reckoning.
    facts : Facts
        What the sentence names, SI, by the names of the row's fields.
    """

    code: str
    weight: Weight = Weight.NOTE
    where: Where = ()
    source: str = ""
    facts: Facts = ()

    @classmethod
    def of(
        cls,
        code: str,
        weight: Weight = Weight.NOTE,
        where: Where = (),
        source: str = "",
        /,
        **facts: Fact | None,
    ) -> Finding:
        """Return a finding whose words stand in the table under its code."""
        return cls(code, weight=weight, where=where, source=source, facts=Said.of(code, **facts).facts)

    @property
    def said(self) -> Said:
        """The finding as a phrase."""
        return Said(self.code, self.facts)

    def having(self, **facts: Fact | None) -> Finding:
        """Return the finding with some facts put in or replaced."""
        return replace(self, facts=Said.of(self.code, **(dict(self.facts) | facts)).facts)

    def fact(self, name: str) -> Fact | None:
        """Return one of its facts."""
        return dict(self.facts)[name]

    def figure(self, name: str) -> float:
        """Return the SI figure of one of its quantities."""
        return figure(self.fact(name))
