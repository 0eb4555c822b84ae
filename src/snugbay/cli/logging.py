"""The command `log`: an entry is added to the job document, nothing in it is changed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

import tomlkit
from tomlkit.items import AoT

from snugbay.base import InputError
from snugbay.cli.app import read_text, write_file
from snugbay.document import read


@dataclass(frozen=True)
class Entry:
    """What the user typed; fields as in the job's log."""

    hours: float
    element: str
    face: str
    pieces: tuple[str, ...]
    share_done: float
    note: str
    replaces: int | None


def _table(entry: Entry) -> tomlkit.items.Table:
    table = tomlkit.table()
    table.add("day", date.today().isoformat())
    table.add("hours", entry.hours)
    for key in ("element", "face", "note"):
        if getattr(entry, key):
            table.add(key, getattr(entry, key))
    if entry.pieces:
        table.add("pieces", list(entry.pieces))
    if entry.share_done:
        table.add("share_done", entry.share_done)
    if entry.replaces is not None:
        table.add("replaces", entry.replaces)
    return table


def add(path: Path, entry: Entry) -> None:
    """Add an entry to the job's log; comments and order of the document stay.

    Raises
    ------
    InputError
        If the job, or the job with the entry, cannot be read; the file is then left as it was.
    """
    text = read_text(path)
    read(text)
    document = tomlkit.parse(text)
    log = document.setdefault("log", tomlkit.table())
    entries = log.setdefault("entries", tomlkit.aot())
    if isinstance(entries, AoT):
        entries.append(_table(entry))
    else:
        inline = tomlkit.inline_table()
        inline.update(_table(entry).unwrap())
        entries.append(inline)
    new = tomlkit.dumps(document)
    job = read(new)
    if not job.log.entries:  # pragma: no cover - the entry was just added
        raise InputError("The entry could not be written.")
    write_file(path, new.encode())
    number = len(job.log.entries) - 1
    total = sum(e.hours for e in job.log.entries)
    print(f"Entry {number} written: {entry.hours:g} h. Logged so far, corrections not counted off: {total:g} h.")
