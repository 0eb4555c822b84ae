"""Copies of all jobs, made by the database itself while it is in use: one a day, the last seven days kept."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path

from snugbay.disk.whole import neighbour, sync_folder
from snugbay.store.database import Database, said

KEPT = 7
"""Days of which copies are kept."""
PATTERN = "jobs-????-??-??.sqlite"


def back_up(database: Database, folder: Path) -> Path | None:
    """Copy the database as it stands, where there is no copy of today yet.

    Parameters
    ----------
    database : Database
        May be in use meanwhile.
    folder : Path
        Made where it is missing; copies beyond the newest seven are removed.

    Returns
    -------
    Path or None
        The new copy; None where today's is there already.

    Raises
    ------
    StoreError, OSError
        If it cannot be made; earlier copies stay as they are.
    """
    copy = folder / f"jobs-{database.now()[:10]}.sqlite"
    if copy.exists():
        return None
    folder.mkdir(parents=True, exist_ok=True)
    part = neighbour(copy, "part")
    try:
        with said(database.path), closing(sqlite3.connect(part)) as into, database.reading() as source:
            source.backup(into)
            into.execute("PRAGMA journal_mode = DELETE")
        part.replace(copy)
        sync_folder(folder)
    finally:
        part.unlink(missing_ok=True)
    for old in sorted(folder.glob(PATTERN))[:-KEPT]:
        os.unlink(old)
    return copy
