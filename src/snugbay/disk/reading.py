"""Files read once their size and kind are known: no device, no pipe, nothing outside the folder of a job."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from snugbay.base import InputError
from snugbay.base.characters import plain_line

LARGEST = 2_000_000
"""A job document is never longer than this. [bytes, and characters where it is text already]"""
LARGEST_BESIDE = 16_000_000
"""A weather file, a logger's file or a list of pieces is never longer than this. [bytes]"""
RIGHT_FILE = "Is it the right file?"


def read_file(path: Path, largest: int = LARGEST) -> bytes:
    """Read a regular file, once its size is known.

    Parameters
    ----------
    path : Path
        The file; a link to one is followed.
    largest : int
        What is longer is refused unread. [bytes]

    Raises
    ------
    InputError
        If it is not there, is a folder, a pipe or a device, may not be read, or is too long.
    """
    try:
        handle = os.open(path, os.O_RDONLY | os.O_NONBLOCK | os.O_CLOEXEC)  # a pipe without a writer does not wait
    except FileNotFoundError:
        raise InputError("There is no such file.", hint="Check the path.", code="file.missing") from None
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or "its name holds what no name may hold"
        raise InputError(f"The file cannot be read: {why}.", hint="Check its rights.", code="file.unreadable") from None
    kind = os.fstat(handle)
    if not stat.S_ISREG(kind.st_mode):
        os.close(handle)
        if stat.S_ISDIR(kind.st_mode):
            raise InputError("This is a folder, not a file.", hint="Name the file in it.", code="file.folder")
        raise InputError("This is a device or a pipe, not a file.", hint="Name a file.", code="file.kind")
    with open(handle, "rb") as opened:
        body = b"" if kind.st_size > largest else opened.read(largest + 1)
    if kind.st_size > largest or len(body) > largest:
        raise InputError(
            f"The file is too long: {kind.st_size:,} bytes, {largest:,} at most.", hint=RIGHT_FILE, code="file.size"
        )
    return body


def decoded(body: bytes) -> str:
    """Return the text of a file; raises `InputError` where it is not UTF-8."""
    try:
        return body.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError("The file is not text in UTF-8.", hint="Save it as UTF-8.", code="file.encoding") from None


def read_text(path: Path, largest: int = LARGEST) -> str:
    """Read a text file in UTF-8; raises as `read_file` and `decoded` do."""
    return decoded(read_file(path, largest))


def within(folder: Path, name: str) -> Path | None:
    """Return the path of a file that a document names, in its folder or below; None where the name leads outside."""
    try:
        root = folder.resolve()
        path = (root / name).resolve()
    except (OSError, ValueError, RuntimeError):
        return None
    return path if path.is_relative_to(root) else None


def text_beside(folder: Path, name: str) -> str:
    """Read a file that a document names.

    Parameters
    ----------
    folder : Path
        Where the document lies; nothing outside is read.
    name : str
        As the document has it.

    Raises
    ------
    InputError
        If the name leads out of the folder, or as `read_text`.
    """
    path = within(folder, name)
    if path is None:
        raise InputError(
            f"{plain_line(name)} lies outside the folder of the job.",
            hint="Put a copy of it beside the job document and give its name only.",
            code="file.outside",
        )
    try:
        return read_text(path, LARGEST_BESIDE)
    except InputError as error:
        error.what = f"{plain_line(name)}: {error.what[:1].lower()}{error.what[1:]}"
        raise
