"""A folder of results, made beside and put in place at once; what a manifest does not name is never touched."""

from __future__ import annotations

import ctypes
import hashlib
import json
import os
import re
import shutil
import sys
from collections.abc import Iterable, Mapping
from contextlib import ExitStack, suppress
from pathlib import Path
from types import MappingProxyType

from snugbay.base import InputError
from snugbay.disk.lock import locked
from snugbay.disk.whole import neighbour, sync_folder, told, waiting, write_new

MANIFEST = "files.json"
"""Names every file of a folder of results, with its digest."""

NOTHING: Mapping[Path, bytes] = MappingProxyType({})
ANOTHER = "Choose another folder with --out."


def _manifest(folder: Path) -> dict[str, str] | None:
    """Return the files that a folder's manifest names and their digests; None where it has none that can be read."""
    try:
        files = json.loads((folder / MANIFEST).read_bytes())["files"]
        return {str(name): str(digest) for name, digest in files.items()}
    except (OSError, ValueError, LookupError, TypeError, AttributeError):
        return None


def check_place(out: Path) -> None:
    """Refuse a folder that results cannot take the place of, before any work is done for them.

    Raises
    ------
    InputError
        If it holds what no manifest names or what was changed since, is being stood in, or may not be written.
    """
    target = Path(os.path.realpath(out))
    if not target.exists():
        for above in target.parents:
            if above.is_dir():
                if not os.access(above, os.W_OK | os.X_OK):
                    raise InputError(f"Nothing may be written in {above}.", hint=ANOTHER, code="file.unwritable")
                return
            if above.exists() or above.is_symlink():
                raise InputError(f"{above} is a file, not a folder.", hint=ANOTHER, code="file.not-folder")
        return
    if not target.is_dir():
        raise InputError(f"{out} is a file, not a folder.", hint=ANOTHER, code="file.not-folder")
    if Path.cwd().is_relative_to(target):
        raise InputError(
            f"{out} is the folder that you stand in: results take the place of a folder as a whole.",
            hint="Name a folder in it, such as --out plan.",
            code="file.own-folder",
        )
    if not os.access(target.parent, os.W_OK | os.X_OK):
        raise InputError(f"Nothing may be written in {target.parent}.", hint=ANOTHER, code="file.unwritable")
    strange = _strange(target)
    if strange:
        some = ", ".join(strange[:3]) + (f" and {len(strange) - 3} more" if len(strange) > 3 else "")
        raise InputError(
            f"{out} holds what no plan has written, or what was changed since: {some}.",
            hint="Move it elsewhere, or choose another folder with --out.",
            code="file.strange",
        )


def _strange(folder: Path) -> list[str]:
    """Return what a folder holds beside the files that its manifest names, as they were written."""
    own = _manifest(folder) or {}
    out: list[str] = []
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        if path.is_dir() and not path.is_symlink():
            if not any(path.iterdir()):
                out.append(name + "/")
        elif name == MANIFEST and own:
            continue
        elif path.is_symlink() or not path.is_file() or own.get(name) != _digest(path.read_bytes()):
            out.append(name)
    return out


def _digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def place_folder(
    out: Path, files: Iterable[tuple[str, bytes]], answer: str, beside: Mapping[Path, bytes] = NOTHING
) -> tuple[str, ...]:
    """Write files into a new folder beside and put it in the place of the old one, all at once.

    Whenever this ends, by an error, a kill or a full disk too, ``out`` holds all of the old files or all of the new
    ones.

    Parameters
    ----------
    out : Path
        The folder.
    files : iterable of (str, bytes)
        Names below it, with ``/``, and contents; may be made on the way.
    answer : str
        Digest of the answer that they show.
    beside : Mapping of Path to bytes
        Files elsewhere that go with them: written beforehand, and put in place right after the folder.

    Returns
    -------
    tuple of str
        The names.

    Raises
    ------
    InputError
        As `check_place`, or where something cannot be written.
    """
    check_place(out)
    target = Path(os.path.realpath(out))
    with told(out):
        target.parent.mkdir(parents=True, exist_ok=True)
    with locked(target):
        check_place(out)
        _sweep(target)
        part = neighbour(target, "part")
        try:
            with told(out):
                part.mkdir(mode=0o777)
            names = _filled(out, part, files, answer)
            with ExitStack() as ready:
                puts = [ready.enter_context(waiting(path, content)) for path, content in beside.items()]
                with told(out):
                    _exchanged(part, target)
                try:
                    for put in puts:
                        put()
                except InputError:
                    _back(part, target)
                    raise
        finally:
            shutil.rmtree(part, ignore_errors=True)
    return names


def _filled(out: Path, part: Path, files: Iterable[tuple[str, bytes]], answer: str) -> tuple[str, ...]:
    digests: dict[str, str] = {}
    folders = {part}
    for name, content in files:
        path = part / name
        with told(out / name):
            path.parent.mkdir(parents=True, exist_ok=True)
            write_new(path, content)
        digests[name] = _digest(content)
        folders.add(path.parent)
    with told(out / MANIFEST):
        write_new(part / MANIFEST, (json.dumps({"answer": answer, "files": digests}, indent=1) + "\n").encode())
        for folder in folders:
            sync_folder(folder)
    return tuple(digests)


def _exchanged(part: Path, target: Path) -> None:
    """Put a folder in the place of another, which then stands under the first one's name."""
    if not target.exists():
        os.rename(part, target)
    elif not _swapped(part, target):
        aside = neighbour(target, "old")
        os.rename(target, aside)
        try:
            os.rename(part, target)
        except OSError:
            os.rename(aside, target)
            raise
        os.rename(aside, part)
    sync_folder(target.parent)


def _back(part: Path, target: Path) -> None:
    """Take an exchange back, as far as that goes."""
    with suppress(OSError):
        if part.exists():
            _exchanged(part, target)
        else:
            os.rename(target, part)


EXCHANGE, AT_CWD = 2, -100
"""Of Linux's renameat2(2): exchange both names at once; paths as they stand."""


def _swapped(a: Path, b: Path) -> bool:
    """Exchange two folders in one step; False where the system has no such step."""
    if sys.platform != "linux":
        return False
    try:
        rename = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError):
        return False
    return int(rename(AT_CWD, os.fsencode(a), AT_CWD, os.fsencode(b), EXCHANGE)) == 0


def _sweep(target: Path) -> None:
    """Clear what a killed run left beside, the old folder put back first; under the lock nobody else is at work."""
    name = re.compile(re.escape(f".{target.name[:80]}.") + r"[0-9a-f]{16}\.(part|old)")
    with suppress(OSError):
        left = [p for p in target.parent.iterdir() if name.fullmatch(p.name) and p.is_dir() and not p.is_symlink()]
        for path in sorted(left, key=lambda p: p.suffix):
            if path.suffix == ".old" and not target.exists():
                os.rename(path, target)
            else:
                shutil.rmtree(path, ignore_errors=True)
