"""One SQLite file: opened with write-ahead log, busy timeout and full sync, written in immediate transactions."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator, Mapping
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path

from snugbay.base import StoreError
from snugbay.store.migrations import MIGRATIONS, applied, migrate

BUSY_SECONDS = 15.0
"""How long a writer waits for another one. [s]"""

NOT_THERE = "Check that the folder can be written, or set SNUGBAY_HOME to another one."
DAMAGED = "Run snugbay doctor: it tells what is whole, and saves it into a new file."
WORDS: Mapping[int, tuple[str, str, str]] = {
    sqlite3.SQLITE_FULL: ("The disk is full", "Make room and do it again: what was saved before is safe.", "full"),
    sqlite3.SQLITE_BUSY: (
        "The jobs are being written by another program and stayed locked",
        "Close the other Snugbay and try again.",
        "locked",
    ),
    sqlite3.SQLITE_LOCKED: ("The jobs are locked", "Close the other Snugbay and try again.", "locked"),
    sqlite3.SQLITE_CORRUPT: ("The file of the jobs is damaged", DAMAGED, "corrupt"),
    sqlite3.SQLITE_NOTADB: ("The file of the jobs is no database", f"{DAMAGED} {NOT_THERE}", "corrupt"),
    sqlite3.SQLITE_READONLY: ("The jobs may not be written", NOT_THERE, "open"),
    sqlite3.SQLITE_CANTOPEN: ("The jobs cannot be opened", NOT_THERE, "open"),
    sqlite3.SQLITE_PERM: ("The jobs may not be opened", NOT_THERE, "open"),
    sqlite3.SQLITE_IOERR: (
        "The disk gave an error while the jobs were read or written",
        "Look at the disk, then run snugbay doctor: what was saved before is safe if the disk is.",
        "disk",
    ),
}
"""What each result of the database means for people, by its primary code (sqlite.org, result and error codes)."""

Clock = Callable[[], datetime]


def utc_now() -> datetime:
    """Return the time now, in UTC."""
    return datetime.now(UTC)


def stamp(when: datetime) -> str:
    """Return a time as stored: ISO 8601 in UTC, to the millisecond."""
    return when.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


@contextmanager
def said(path: Path) -> Iterator[None]:
    """Turn an error of the database into one that says what happened and what to do; others pass."""
    try:
        yield
    except sqlite3.Error as error:
        code = getattr(error, "sqlite_errorcode", None)
        known = WORDS.get(code & 0xFF) if code is not None else None
        if known is None:
            raise
        what, hint, short = known
        raise StoreError(f"{what} ({path}).", hint=hint, code=f"store.{short}") from error


def _roll_back(connection: sqlite3.Connection) -> None:
    """End a transaction; the database may have ended it by itself where the disk was full."""
    if connection.in_transaction:
        connection.execute("ROLLBACK")


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
        If the file cannot be opened, is no database, or was written by a newer Snugbay, which leaves it untouched.
    """

    def __init__(self, path: Path, clock: Clock = utc_now) -> None:
        self.path = path
        self.clock = clock
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise StoreError(
                f"The folder {path.parent} cannot be made: {error.strerror}.",
                hint="Set SNUGBAY_HOME to a folder that can be written.",
                code="store.open",
            ) from error
        with self._open() as connection:
            self._refuse_newer(connection)  # before anything in the file is touched
            connection.execute("PRAGMA journal_mode = WAL")
            migrate(connection, self.now())

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
        unknown = [name for name in applied(connection) if name not in known]
        if unknown:
            raise StoreError(
                f"The jobs in {self.path} were written by a newer Snugbay ({unknown[0]!r} is unknown here).",
                hint="Update Snugbay; this version leaves the file as it is.",
                code="store.newer",
            )

    @contextmanager
    def _open(self) -> Iterator[sqlite3.Connection]:
        with said(self.path), closing(self._connected()) as connection:
            connection.row_factory = sqlite3.Row
            connection.execute("PRAGMA foreign_keys = ON")
            connection.execute("PRAGMA synchronous = FULL")
            yield connection

    def _connected(self) -> sqlite3.Connection:
        """Return a connection; one thread uses it at a time, the one that `held` opens may be closed by another."""
        return sqlite3.connect(self.path, timeout=BUSY_SECONDS, isolation_level=None, check_same_thread=False)

    @contextmanager
    def reading(self) -> Iterator[sqlite3.Connection]:
        """Yield a connection for reads that belong together (one snapshot)."""
        with self._open() as connection:
            connection.execute("BEGIN")
            try:
                yield connection
            finally:
                _roll_back(connection)

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """Yield a connection inside one immediate transaction: all of it is kept, or none."""
        with self._open() as connection:
            connection.execute("BEGIN IMMEDIATE")
            try:
                yield connection
                connection.execute("COMMIT")
            except BaseException:
                _roll_back(connection)
                raise
