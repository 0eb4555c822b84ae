"""What is whole in a file of jobs, and what of a damaged one can be saved."""

from __future__ import annotations

import sqlite3
import zlib
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from snugbay.base import InputError
from snugbay.disk import within, write_whole
from snugbay.store.database import Database, said

TABLES = ("jobs", "versions", "plans", "layings", "ticks", "timers", "devices", "beside")
"""In the order in which rows may point at each other."""
BODIES = {"versions": "text", "plans": "body", "layings": "body", "beside": "body"}
"""Columns that hold compressed texts."""


@dataclass(frozen=True)
class Salvaged:
    """What was saved of a damaged file.

    Attributes
    ----------
    rows : tuple of (str, int)
        Table, rows saved.
    lost : tuple of str
        What could not be read, in words.
    """

    rows: tuple[tuple[str, int], ...]
    lost: tuple[str, ...]


def checked(path: Path) -> tuple[str, ...]:
    """Return what is wrong with a file of jobs, in words; empty where all is whole. Nothing is changed.

    Raises
    ------
    InputError
        If it is not there.
    StoreError
        If it cannot be opened at all.
    """
    with said(path), closing(_opened(path)) as c:
        try:
            found = [str(row[0]) for row in c.execute("PRAGMA integrity_check(20)") if row[0] != "ok"]
            found += [f"A row of {row[0]} points at nothing." for row in c.execute("PRAGMA foreign_key_check")]
            return (*found, *_unreadable(c), *_headless(c))
        except sqlite3.DatabaseError as error:
            return (f"The file breaks off: {error}.",)


def _opened(path: Path) -> sqlite3.Connection:
    if not path.is_file():
        raise InputError(f"There are no jobs in {path}.", hint="Name the folder with --home.", code="file.missing")
    connection = sqlite3.connect(f"file:{path.absolute()}?mode=ro", uri=True)
    connection.row_factory = sqlite3.Row
    return connection


def _tables(c: sqlite3.Connection) -> list[str]:
    there = {str(row[0]) for row in c.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")}
    return [t for t in TABLES if t in there]


def _unreadable(c: sqlite3.Connection) -> Iterator[str]:
    for table in _tables(c):
        if table in BODIES:
            for row in c.execute(f"SELECT * FROM {table}"):
                if not _whole(row[BODIES[table]]):
                    yield f"{_name(table, row)} is damaged."


def _headless(c: sqlite3.Connection) -> Iterator[str]:
    if {"jobs", "versions"} <= set(_tables(c)):
        query = "SELECT id FROM jobs WHERE NOT EXISTS (SELECT 1 FROM versions WHERE job = id AND number = head)"
        for row in c.execute(query):
            yield f"The job {row[0]!r} has lost its newest version."


def _whole(body: object) -> bool:
    try:
        zlib.decompress(bytes(body)).decode()  # type: ignore[call-overload]
    except (zlib.error, UnicodeDecodeError, TypeError):
        return False
    return True


def _name(table: str, row: sqlite3.Row) -> str:
    kind = {"versions": "Version", "plans": "Plan", "layings": "Laying", "beside": "File"}[table]
    return f"{kind} {row['number']} of the job {row['job']!r}"


def exported(database: Database, folder: Path) -> tuple[tuple[Path, ...], tuple[str, ...]]:
    """Write the newest readable version of each job, and the files it names, into a folder each.

    Returns
    -------
    (paths, faults)
        Documents written, and in words what is older than the newest or could not be read.
    """
    written: list[Path] = []
    faults: list[str] = []
    with database.reading() as c:
        for job in c.execute("SELECT id, head FROM jobs ORDER BY id").fetchall():
            rows = c.execute("SELECT number, text FROM versions WHERE job = ? ORDER BY number DESC", (job["id"],))
            found = next(((r["number"], r["text"]) for r in rows if _whole(r["text"])), None)
            if found is None:
                faults.append(f"No version of the job {job['id']!r} can be read.")
                continue
            if found[0] != job["head"]:
                faults.append(f"Version {found[0]} of the job {job['id']!r} is the newest that can be read.")
            own = folder / job["id"]
            write_whole(own / "job.toml", zlib.decompress(found[1]))
            written.append(own / "job.toml")
            for file in c.execute("SELECT name, body FROM beside WHERE job = ? ORDER BY number", (job["id"],)):
                path = within(own, file["name"])
                if path is not None and _whole(file["body"]):
                    write_whole(path, zlib.decompress(file["body"]))
    return tuple(written), tuple(faults)


def salvaged(path: Path, out: Path) -> Salvaged:
    """Copy every row that can still be read into a new file; the damaged one is only read.

    Parameters
    ----------
    path, out : Path
        The damaged file; the new one, which may not be there yet.

    Raises
    ------
    InputError
        If ``out`` is there already.
    """
    if out.exists():
        raise InputError(f"{out} is there already.", hint="Name a file that is not there yet.", code="file.exists")
    lost: list[str] = []
    counts: list[tuple[str, int]] = []
    Database(out)  # gives the new file its shape
    with said(path), closing(_opened(path)) as source, said(out), closing(sqlite3.connect(out)) as target:
        for table in TABLES:
            rows = list(_rows(source, table, lost))
            for row in rows:
                marks = ", ".join("?" * len(row.keys()))
                target.execute(f"INSERT OR IGNORE INTO {table} ({', '.join(row.keys())}) VALUES ({marks})", tuple(row))
            counts.append((table, len(rows)))
        lost += _put_right(target)
        target.commit()
    return Salvaged(tuple(counts), tuple(lost))


def _rows(source: sqlite3.Connection, table: str, lost: list[str]) -> Iterator[sqlite3.Row]:
    """Yield the rows of a table that can be read; where a page is damaged, from both of its sides."""
    for order in ("ASC", "DESC"):
        try:
            yield from source.execute(f"SELECT * FROM {table} ORDER BY rowid {order}")
        except sqlite3.DatabaseError as error:
            if order == "ASC":
                lost.append(f"{table}: {error}")
        else:
            return


def _put_right(target: sqlite3.Connection) -> list[str]:
    """Let each job's head be its newest readable version; leave out what points at nothing."""
    told: list[str] = []
    for job, head in target.execute("SELECT id, head FROM jobs").fetchall():
        rows = target.execute("SELECT number, text FROM versions WHERE job = ? ORDER BY number DESC", (job,))
        newest = next((number for number, text in rows if _whole(text)), None)
        if newest is None:
            told.append(f"No version of the job {job!r} could be saved.")
        elif newest != head:
            told.append(f"Of the job {job!r} version {newest} is the newest that could be saved, not {head}.")
            target.execute("UPDATE jobs SET head = ? WHERE id = ?", (newest, job))
    for table in TABLES[1:]:
        if table != "devices":
            gone = target.execute(f"DELETE FROM {table} WHERE job NOT IN (SELECT id FROM jobs)").rowcount
            if gone:
                told.append(f"{gone} rows of {table} belong to no job that could be saved.")
    return told
