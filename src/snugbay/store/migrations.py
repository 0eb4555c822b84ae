"""The database's shape, as named steps in order; each is applied in one transaction together with its own record."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from dataclasses import dataclass

Script = Callable[[sqlite3.Connection], None]


@dataclass(frozen=True)
class Migration:
    """One step of the database's shape.

    Attributes
    ----------
    name : str
        Never changed once it has been released.
    apply : Script
        Changes the database; runs inside the caller's transaction.
    """

    name: str
    apply: Script


def _run(*statements: str) -> Script:
    def apply(connection: sqlite3.Connection) -> None:
        for statement in statements:
            connection.execute(statement)

    return apply


MIGRATIONS: tuple[Migration, ...] = (
    Migration(
        "jobs and their versions",
        _run(
            """CREATE TABLE jobs (
                id TEXT PRIMARY KEY,
                title TEXT NOT NULL,
                head INTEGER NOT NULL,
                created_at TEXT NOT NULL,
                changed_at TEXT NOT NULL,
                removed_at TEXT
            ) STRICT""",
            """CREATE TABLE versions (
                job TEXT NOT NULL REFERENCES jobs (id),
                number INTEGER NOT NULL,
                text BLOB NOT NULL,
                kind TEXT NOT NULL CHECK (kind IN ('new', 'edit', 'merge', 'undo', 'redo')),
                stands_for INTEGER NOT NULL,
                before INTEGER,
                author TEXT NOT NULL,
                what TEXT NOT NULL,
                at TEXT NOT NULL,
                PRIMARY KEY (job, number)
            ) STRICT""",
        ),
    ),
    Migration(
        "plans, layings, ticks",
        _run(
            """CREATE TABLE plans (
                job TEXT NOT NULL REFERENCES jobs (id),
                number INTEGER NOT NULL,
                version INTEGER NOT NULL,
                digest TEXT NOT NULL,
                program TEXT NOT NULL,
                finished INTEGER NOT NULL,
                body BLOB NOT NULL,
                at TEXT NOT NULL,
                PRIMARY KEY (job, number)
            ) STRICT""",
            """CREATE TABLE layings (
                job TEXT NOT NULL,
                plan INTEGER NOT NULL,
                number INTEGER NOT NULL,
                why TEXT NOT NULL,
                body BLOB NOT NULL,
                at TEXT NOT NULL,
                PRIMARY KEY (job, plan, number),
                FOREIGN KEY (job, plan) REFERENCES plans (job, number)
            ) STRICT""",
            """CREATE TABLE ticks (
                job TEXT NOT NULL REFERENCES jobs (id),
                plan INTEGER NOT NULL,
                kind TEXT NOT NULL,
                key TEXT NOT NULL,
                done INTEGER NOT NULL,
                at TEXT NOT NULL,
                PRIMARY KEY (job, plan, kind, key)
            ) STRICT""",
        ),
    ),
    Migration(
        "timers and paired devices",
        _run(
            """CREATE TABLE timers (
                job TEXT NOT NULL REFERENCES jobs (id),
                number INTEGER NOT NULL,
                face TEXT NOT NULL,
                element TEXT NOT NULL,
                pieces TEXT NOT NULL,
                started_at TEXT NOT NULL,
                stopped_at TEXT,
                PRIMARY KEY (job, number)
            ) STRICT""",
            """CREATE TABLE devices (
                key_hash TEXT PRIMARY KEY,
                name TEXT NOT NULL,
                paired_at TEXT NOT NULL,
                revoked_at TEXT
            ) STRICT""",
        ),
    ),
    Migration(
        "files beside the jobs",
        _run(
            """CREATE TABLE beside (
                job TEXT NOT NULL REFERENCES jobs (id),
                number INTEGER NOT NULL,
                name TEXT NOT NULL,
                body BLOB NOT NULL,
                at TEXT NOT NULL,
                PRIMARY KEY (job, number)
            ) STRICT""",
        ),
    ),
)


def applied(connection: sqlite3.Connection) -> frozenset[str]:
    """Return the names of the steps that have been applied, known here or not; only reads."""
    known = connection.execute("SELECT 1 FROM sqlite_schema WHERE type = 'table' AND name = 'migrations'").fetchone()
    return frozenset(name for (name,) in connection.execute("SELECT name FROM migrations")) if known else frozenset()


def pending(connection: sqlite3.Connection) -> tuple[Migration, ...]:
    """Return the steps that have not been applied; only reads."""
    done = applied(connection)
    return tuple(m for m in MIGRATIONS if m.name not in done)


def migrate(connection: sqlite3.Connection, now: str) -> tuple[str, ...]:
    """Apply every pending step, each in its own transaction; returns the names applied.

    Parameters
    ----------
    connection : sqlite3.Connection
        In autocommit mode.
    now : str
        Time to record, ISO 8601.
    """
    made: list[str] = []
    for migration in pending(connection):
        connection.execute("BEGIN IMMEDIATE")
        try:
            connection.execute(
                "CREATE TABLE IF NOT EXISTS migrations (number INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE,"
                " at TEXT NOT NULL) STRICT"
            )
            taken = connection.execute("SELECT 1 FROM migrations WHERE name = ?", (migration.name,)).fetchone()
            if taken is None:  # another process may have been quicker
                migration.apply(connection)
                connection.execute("INSERT INTO migrations (name, at) VALUES (?, ?)", (migration.name, now))
                made.append(migration.name)
            connection.execute("COMMIT")
        except BaseException:
            connection.execute("ROLLBACK")
            raise
    return tuple(made)
