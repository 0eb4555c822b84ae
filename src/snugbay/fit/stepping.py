"""Putting steps together: numbers, sentences, hours and uses added up."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from snugbay.fit.values import Step
from snugbay.ways import HourElement, Option


class Steps:
    """Numbers the steps as they are added."""

    def __init__(self) -> None:
        self.made: list[Step] = []

    def add(
        self,
        title: str,
        text: str,
        *,
        face: str = "",
        pieces: tuple[str, ...] = (),
        cautions: tuple[str, ...] = (),
        hours: float = 0.0,
        uses: tuple[tuple[str, float], ...] = (),
        wait_hours: float = 0.0,
    ) -> None:
        """Add a step."""
        number = len(self.made) + 1
        self.made.append(Step(number, title, text, face, pieces, cautions, hours, uses, wait_hours))


def hours_of(elements: tuple[HourElement, ...], *names: str) -> float:
    """Typical hours of some elements. [h]"""
    return sum(h.typical for h in elements if h.element in names)


def sentences(texts: Iterable[str]) -> str:
    """Put short instructions together, each a sentence of its own, none twice."""
    return " ".join(f"{t[:1].upper()}{t[1:]}" + ("" if t.endswith(".") else ".") for t in dict.fromkeys(texts) if t)


def uses_of(options: Sequence[Option], wanted: Callable[[str], bool]) -> tuple[tuple[str, float], ...]:
    """Add up what options use of the items that are wanted."""
    uses: dict[str, float] = {}
    for option in options:
        for need in option.needs:
            if wanted(need.item):
                uses[need.item] = uses.get(need.item, 0.0) + need.typical
    return tuple(uses.items())
