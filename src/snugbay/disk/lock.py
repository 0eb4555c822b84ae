"""A lock on a file that is read, changed and written back, held by a side file for as long as that takes."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from snugbay.base import InputError
from snugbay.disk.whole import NOFOLLOW, told

WAIT_SECONDS = 120.0
"""How long one waits for others that write the same file. [s]"""
STEP_SECONDS = 0.01


@contextmanager
def locked(path: Path) -> Iterator[None]:
    """Hold the lock of a file, by any of its names, while it is read, changed and written.

    Raises
    ------
    InputError
        If its folder may not be written, or another program holds the lock for longer than two minutes.
    """
    target = Path(os.path.realpath(path))
    side = target.with_name(f".{target.name[:80]}.lock")
    end = time.monotonic() + WAIT_SECONDS
    while True:
        with told(path):
            handle = os.open(side, os.O_RDWR | os.O_CREAT | NOFOLLOW, 0o666)
        try:
            if _taken(handle) and _still(handle, side):
                try:
                    yield
                finally:
                    with suppress(OSError):
                        side.unlink()
                return
        finally:
            os.close(handle)  # lets go of the lock too
        if time.monotonic() > end:
            hint = "Close the other program that writes it, and try again."
            raise InputError(f"{path} is being written by another program.", hint=hint, code="file.locked")
        time.sleep(STEP_SECONDS)


def _still(handle: int, side: Path) -> bool:
    """Tell whether the file held is the one that stands there: whoever held it before has removed its own."""
    try:
        return os.path.samestat(os.fstat(handle), os.lstat(side))
    except OSError:
        return False


def _taken(handle: int) -> bool:
    """Take the lock of an open file; False where another has it."""
    if sys.platform == "win32":
        import msvcrt

        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True
    import fcntl

    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True
