"""One run of the program: seed, effort, progress, stop; and the outcome of a stage."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import TYPE_CHECKING, Generic, TypeVar

from snugbay.base.findings import Finding

if TYPE_CHECKING:
    import numpy as np

T = TypeVar("T")

ProgressSink = Callable[[str, float], None]
"""Called with the name of the stage and the share done, 0 to 1."""

StopCheck = Callable[[], bool]
"""Answers whether the work should stop now and keep its best so far."""


def no_progress(stage: str, done: float) -> None:
    """Report to nobody."""


def never_stop() -> bool:
    """Answer that the work may go on."""
    return False


class Effort(StrEnum):
    """How much search to spend, counted in work, not in seconds."""

    QUICK = "quick"
    NORMAL = "normal"
    THOROUGH = "thorough"


@dataclass(frozen=True)
class Run:
    """What a stage is handed besides its input.

    Attributes
    ----------
    seed : int
        Seed of the whole job; each stage derives its own generator from it.
    effort : Effort
        How much search to spend.
    progress : ProgressSink
        Where progress is reported.
    stop : StopCheck
        Whether to stop.
    """

    seed: int = 1
    effort: Effort = Effort.NORMAL
    progress: ProgressSink = field(default=no_progress, compare=False)
    stop: StopCheck = field(default=never_stop, compare=False)

    def rng(self, stage: str) -> np.random.Generator:
        """Return the stage's own generator, so that a new stage shifts no other."""
        import numpy as np

        digest = hashlib.sha256(f"{self.seed}/{stage}".encode()).digest()
        return np.random.default_rng(int.from_bytes(digest[:8], "big"))

    def within(self, stage: str, start: float, end: float) -> Run:
        """Return a run whose progress 0..1 shows as ``start..end`` of ``stage``."""
        outer = self.progress

        def sink(_: str, done: float) -> None:
            outer(stage, start + (end - start) * min(max(done, 0.0), 1.0))

        return replace(self, progress=sink)


@dataclass(frozen=True)
class Outcome(Generic[T]):
    """What a stage gives back: the value, what was found, and where it came from.

    Attributes
    ----------
    value : T
        The result.
    findings : tuple of Finding
        What the user must know.
    provenance : tuple of str
        Sources, defaults and methods used, as short sentences or ids.
    finished : bool
        False where the search was stopped and this is the best so far.
    """

    value: T
    findings: tuple[Finding, ...] = ()
    provenance: tuple[str, ...] = ()
    finished: bool = True
