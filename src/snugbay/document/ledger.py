"""Keeps account of every default that was used while a document was read."""

from __future__ import annotations

from typing import TypeVar

from snugbay.base import Told
from snugbay.job import Default

T = TypeVar("T")


class Ledger:
    """Collects defaults in the order they were used."""

    def __init__(self) -> None:
        self._used: dict[str, Default] = {}

    def take(self, given: T | None, default: T, where: str, why: str = "", told: Told = "") -> T:
        """Return what was given, or the default after noting it."""
        if given is not None:
            return given
        self.note(where, told or f"{default}", why)
        return default

    def note(self, where: str, value: Told, why: str = "") -> None:
        """Note a default; the same field is noted once."""
        self._used.setdefault(where, Default(where, value, why))

    @property
    def used(self) -> tuple[Default, ...]:
        """All defaults used."""
        return tuple(self._used.values())
