"""Files that a job document names and that came in with it: loggers' files, each by its name in the document."""

from __future__ import annotations

import sqlite3
import zlib
from dataclasses import dataclass

from snugbay.base import UnknownName
from snugbay.store.database import Database


@dataclass(frozen=True)
class FileRow:
    """A file that is there: its name in the document, and when it came in (ISO 8601)."""

    name: str
    at: str


class Beside:
    """Files beside the saved jobs; a newer one of the same name takes the place of the older, which stays kept."""

    def __init__(self, database: Database) -> None:
        self._db = database

    def keep(self, job: str, name: str, text: str) -> None:
        """Keep a file; raises `UnknownName` where there is no such job."""
        body, now = zlib.compress(text.encode()), self._db.now()
        with self._db.writing() as c:
            row = c.execute("SELECT COALESCE(MAX(number), 0) + 1 FROM beside WHERE job = ?", (job,)).fetchone()
            try:
                c.execute("INSERT INTO beside VALUES (?, ?, ?, ?, ?)", (job, int(row[0]), name, body, now))
            except sqlite3.IntegrityError as error:
                raise UnknownName(f"There is no job {job!r}.", code="store.no-job") from error

    def text(self, job: str, name: str) -> str | None:
        """Return the newest file of a name; None where none came in."""
        query = "SELECT body FROM beside WHERE job = ? AND name = ? ORDER BY number DESC LIMIT 1"
        with self._db.reading() as c:
            row = c.execute(query, (job, name)).fetchone()
        return None if row is None else zlib.decompress(row["body"]).decode()

    def all(self, job: str) -> tuple[FileRow, ...]:
        """Return the newest file of each name."""
        query = "SELECT name, MAX(at) AS at FROM beside WHERE job = ? GROUP BY name ORDER BY name"
        with self._db.reading() as c:
            return tuple(FileRow(r["name"], r["at"]) for r in c.execute(query, (job,)).fetchall())

    def newest(self, job: str) -> int:
        """Return how many files came in for a job so far: another number, another file."""
        with self._db.reading() as c:
            row = c.execute("SELECT COALESCE(MAX(number), 0) FROM beside WHERE job = ?", (job,)).fetchone()
        return int(row[0])
