"""Ctrl-C: the first press asks the work to stop and keep its best, the second ends it at once."""

from __future__ import annotations

import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

from snugbay.cli import STOPPED

__all__ = ["STOPPED", "StopFlag", "stop_flag"]


class StopFlag:
    """Whether the user has asked to stop."""

    def __init__(self) -> None:
        self.asked = False

    def __call__(self) -> bool:
        """Answer whether to stop."""
        return self.asked

    def ask(self, _signum: int, _frame: FrameType | None) -> None:
        """Handle the signal."""
        if self.asked:
            raise KeyboardInterrupt
        self.asked = True
        print("\nStopping; keeping the best so far. Press Ctrl-C again to end at once.", file=sys.stderr, flush=True)


@contextmanager
def stop_flag() -> Iterator[StopFlag]:
    """Give a flag that Ctrl-C (and a plain kill) sets."""
    flag = StopFlag()
    old = {s: signal.signal(s, flag.ask) for s in (signal.SIGINT, signal.SIGTERM)}
    try:
        yield flag
    finally:
        for s, handler in old.items():
            signal.signal(s, handler)
