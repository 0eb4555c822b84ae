"""One file, written whole: to a private neighbour first, synced, then put in the old one's place."""

from __future__ import annotations

import os
import secrets
import stat
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from snugbay.base import InputError

NOFOLLOW = getattr(os, "O_NOFOLLOW", 0)
HINT = "Choose another place, or make room there."


@contextmanager
def told(path: Path) -> Iterator[None]:
    """Turn an error of the system into one that names the file."""
    try:
        yield
    except OSError as error:
        why = error.strerror or str(error)
        raise InputError(f"{path} cannot be written: {why}.", hint=HINT, code="file.unwritable") from None


def neighbour(path: Path, ending: str) -> Path:
    """Return a private name beside a path that nobody can guess."""
    return path.with_name(f".{path.name[:80]}.{secrets.token_hex(8)}.{ending}")


def same_file(a: Path, b: Path) -> bool:
    """Tell whether two paths lead to one file, by whatever links; False where either is missing."""
    try:
        return os.path.samefile(a, b)
    except OSError:
        return False


def write_whole(path: Path, content: bytes) -> None:
    """Write a file so that at any moment it is the old one or the new one, and the new one stays after a power cut.

    A link is followed and stays a link; the rights of a file that was there stay; a new one gets the usual ones.

    Parameters
    ----------
    path : Path
        The file; folders above it are made.
    content : bytes
        All of it.

    Raises
    ------
    InputError
        If it cannot be written; what was there is then as it was.
    """
    with waiting(path, content) as put:
        put()


@contextmanager
def waiting(path: Path, content: bytes) -> Iterator[Callable[[], None]]:
    """Write a file to a private neighbour and give what puts it in its place; removed where that is not called.

    Raises
    ------
    InputError
        As `write_whole`.
    """
    target = Path(os.path.realpath(path))
    part = neighbour(target, "part")

    def put() -> None:
        with told(path):
            os.replace(part, target)
            sync_folder(target.parent)

    try:
        with told(path):
            target.parent.mkdir(parents=True, exist_ok=True)
            write_new(part, content, _mode(path, target))
        yield put
    finally:
        with suppress(OSError):
            part.unlink()


def _mode(path: Path, target: Path) -> int | None:
    """Return the rights of the file that is there; None where there is none."""
    try:
        found = target.stat()
    except FileNotFoundError:
        return None
    if not stat.S_ISREG(found.st_mode):
        what = "a folder" if stat.S_ISDIR(found.st_mode) else "no ordinary file"
        raise InputError(f"{path} is {what}.", hint="Name a file in a folder of yours.", code="file.not-file")
    if not os.access(target, os.W_OK):
        raise PermissionError(13, "it may only be read")
    return stat.S_IMODE(found.st_mode)


def write_new(path: Path, content: bytes, mode: int | None = None) -> None:
    """Write a file that must not be there yet, follow no link, and sync it."""
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | NOFOLLOW | getattr(os, "O_BINARY", 0)
    with os.fdopen(os.open(path, flags, 0o666), "wb") as file:
        file.write(content)
        file.flush()
        if mode is not None and hasattr(os, "fchmod"):
            os.fchmod(file.fileno(), mode)
        os.fsync(file.fileno())


def sync_folder(folder: Path) -> None:
    """Make what was put into a folder stay after a power cut, where the system can; it is in place by then."""
    if os.name != "posix":
        return
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
