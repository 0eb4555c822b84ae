"""One SQLite file: opened with write-ahead log, busy timeout and full sync, written in immediate transactions."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from snugbay.base import StoreError
from snugbay.store.migrations import MIGRATIONS, migrate

BUSY_SECONDS = 15.0
"""How long a writer waits for another one. [s]"""

Clock = Callable[[], datetime]


def utc_now() -> datetime:
    """Return the time now, in UTC."""
    return datetime.now(UTC)


def stamp(when: datetime) -> str:
    """Return a time as stored: ISO 8601 in UTC, to the millisecond."""
    return when.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


class Database:
    """The file and the ways to read and write it.

    A connection lives for one read or one write, so that threads and processes never share one.

    Parameters
    ----------
    path : Path
        The database file; its folder is made where it is missing.
    clock : Clock
        Where the time comes from.

    Raises
    ------
    StoreError
        If the file cannot be opened, is no database, or was written by a newer Snugbay.
    """

    def __init__(self, path: Path, clock: Clock = utc_now) -> None:
        self.path = path
        self.clock = clock
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            with self._open() as connection:
                connection.execute("PRAGMA journal_mode = WAL")
                migrate(connection, self.now())
                self._refuse_newer(connection)
        except (OSError, sqlite3.Error) as error:
            raise StoreError(
                f"The jobs in {path} cannot be opened: {error}.",
                hint="Check that the folder can be written, or set SNUGBAY_HOME to another one.",
                code="store.open",
            ) from error

    @contextmanager
    def held(self) -> Iterator[None]:
        """Keep the write-ahead log in place for as long as a program serves.

        The last connection that closes folds the log into the file and syncs both; while this one stays open no save
        waits for that, and each still syncs the log.
        """
        with self._open() as connection:
            connection.execute("SELECT count(*) FROM migrations").fetchone()
            yield

    def now(self) -> str:
        """Return the time now, as stored."""
        return stamp(self.clock())

    def _refuse_newer(self, connection: sqlite3.Connection) -> None:
        known = {m.name for m in MIGRATIONS}
        unknown = [name for (name,) in connection.execute("SELECT name FROM migrations") if name not in known]
        if unknown:
            raise StoreError(
                f"The jobs in {self.path} were written by a newer Snugbay ({unknown[0]!r} is unknown here).",
                hint="Update Snugbay; this version leaves the file as it is.",
                code="store.newer",
            )

    @contextmanager
    def _open(self) -> Iterator[sqlite3.Connection]:
        connection = sqlite3.connect(
            self.path, timeout=BUSY_SECONDS, isolation_level=None, check_same_thread=False
        )  # each is used by one thread at a time; the one that `held` opens may be closed by another
        try:
            connection.row_factory = sqlite3.Row
            connection.execute("PRAGMA foreign_keys = ON")
            connection.execute("PRAGMA synchronous = FULL")
            yield connection
        finally:
            connection.close()

    @contextmanager
    def reading(self) -> Iterator[sqlite3.Connection]:
        """Yield a connection for reads that belong together (one snapshot)."""
        with self._open() as connection:
            connection.execute("BEGIN")
            try:
                yield connection
            finally:
                connection.execute("ROLLBACK")

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """Yield a connection inside one immediate transaction: all of it is kept, or none."""
        with self._open() as connection:
            try:
                connection.execute("BEGIN IMMEDIATE")
            except sqlite3.OperationalError as error:
                raise StoreError(
                    "The jobs are being written by another program and stayed locked.",
                    hint="Close the other Snugbay and try again.",
                    code="store.locked",
                ) from error
            try:
                yield connection
            except BaseException:
                connection.execute("ROLLBACK")
                raise
            connection.execute("COMMIT")
